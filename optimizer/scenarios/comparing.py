"""Scenarios side by side: totals, what each demand became, which items differ."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from optimizer.errors import InputError
from optimizer.explaining.difference import compared
from optimizer.explaining.direction import Way, way_between
from optimizer.explaining.explain_plan import better_known
from optimizer.pricebook import LoadedBook
from optimizer.scenarios.answering import Progress, answers_to
from optimizer.scenarios.applying import Case, cases
from optimizer.scenarios.because import because
from optimizer.scenarios.findings import NOT_THERE, Compared, Comparison, DemandRow, ItemRow
from optimizer.scenarios.loading import LoadedScenarios
from optimizer.site import LoadedSite, Site
from optimizer.site.putting import put
from optimizer.site.requirements import NOT_ASKED, reaches, requirements
from optimizer.solving.answer import Answer
from optimizer.units import money_text

_FACTS = ("money/tax",)
"""Shown beside the requirements, because they move totals too."""


def compare(
    asked: LoadedSite,
    book: LoadedBook,
    loaded: LoadedScenarios,
    deadline: float,
    say: Progress,
) -> Comparison:
    """The cheapest kit of the site and of each scenario.

    Parameters
    ----------
    deadline : float
        On the clock of ``time.monotonic``; what is not proven by then is said to be open. [s]

    Raises
    ------
    InputError
        As for :func:`optimizer.scenarios.applying.cases`, before anything is solved.
    Defect
        If the program contradicts itself.
    """
    columns = cases(asked, book, loaded)
    found = answers_to([(case.asked, case.book) for case in columns], deadline, say)
    if any(case.asked.site.areas for case in columns):
        found = _matched(columns, found)
    return Comparison(
        site=asked.site.name,
        currency=asked.site.money.currency,
        tax=asked.site.money.stated_tax,
        scenarios=tuple(
            _compared(case, columns[0], found[0], answer)
            for case, answer in zip(columns, found, strict=True)
        ),
        demands=tuple(_demands(columns)),
        items=tuple(_items(columns, found)),
    )


def _matched(columns: Sequence[Case], found: Sequence[Answer]) -> list[Answer]:
    """The answers, each with the kit of another scenario where that is cheaper and does as well.

    On a plan each is sought over its own ways to aim; kits at other prices are other kits.
    """
    answers = list(found)
    for at, case in enumerate(columns):
        for other, there in zip(columns, found, strict=True):
            if (
                other is not case
                and other.book.sha256 == case.book.sha256
                and case.asked.site.areas
            ):
                answers[at] = better_known(case.asked.site, case.book, answers[at], there)
    return answers


def _compared(case: Case, first: Case, base: Answer, answer: Answer) -> Compared:
    told = compared(base, answer, (), _way(first, case)) if case.on else None
    return Compared(
        id=case.id,
        name=case.name,
        builds_on=case.on,
        status=answer.status,
        total=answer.total,
        lower_bound=answer.lower_bound,
        gap=answer.gap,
        difference=None if told is None else told.difference,
        difference_low=None if told is None else told.low,
        difference_high=None if told is None else told.high,
        because=because(answer),
        bills=None if told is None else told.bills,
        answer=answer,
    )


def _way(first: Case, case: Case) -> Way:
    """Which way a scenario goes from the first; other prices go any way."""
    if case.book.sha256 != first.book.sha256:
        return Way()
    return way_between(first.asked.site, case.asked.site, case.book)


def _demands(columns: Sequence[Case]) -> list[DemandRow]:
    sites = [case.asked.site for case in columns]
    listed_ids = [{r.id: r.value for r in (*reaches(site), *requirements(site))} for site in sites]
    order = _merged([r.id for r in (*requirements(site), *reaches(site))] for site in sites)
    named = dict.fromkeys(name for case in columns for name in case.named)
    rows = [
        _row(
            name,
            [
                known[name] if name in known else _stated(site, name)
                for known, site in zip(listed_ids, sites, strict=True)
            ],
        )
        for name in dict.fromkeys((*order, *named, *_FACTS))
    ]
    rows.append(_row("policy/labour", [_labour(site) for site in sites]))
    rows.append(_row("book", [case.book.book.name for case in columns]))
    for key in dict.fromkeys(key for case in columns for key, _ in case.shifted):
        changes = [", then ".join(c for k, c in case.shifted if k == key) for case in columns]
        rows.append(_row(f"price_changes/{key}", [c or "none" for c in changes]))
    for item in dict.fromkeys(item for case in columns for item in case.priced):
        rows.append(_row(f"prices/{item}", [_price(case.book, item) for case in columns]))
    return rows


def _row(name: str, values: Sequence[str]) -> DemandRow:
    return DemandRow(id=name, values=tuple(values), differs=len(set(values)) > 1)


def _merged(lists: Iterable[Sequence[str]]) -> list[str]:
    """Ids of all lists, each after what stands before it in the first list that has it."""
    order: list[str] = []
    for ids in lists:
        at = 0
        for name in ids:
            if name in order:
                at = order.index(name) + 1
            else:
                order.insert(at, name)
                at += 1
    return order


def _stated(site: Site, name: str) -> str:
    """The value of an id that is no requirement of a site: a fact, or something not asked."""
    place = name.partition("/")[0]
    group, _, one = place.partition(".")
    there: dict[str, Callable[[], bool]] = {
        "zones": lambda: any(z.id == one for z in site.zones),
        "audio": lambda: any(p.id == one for p in site.audio.points),
        "owned": lambda: any(o.item == one for o in site.owned),
        "mounts": lambda: any(m.id == one for m in site.mounts),
        "keep_outs": lambda: any(k.id == one for k in (site.plan.keep_outs if site.plan else ())),
    }
    if one and group in there and not there[group]():
        return NOT_THERE
    if name == place or name == "audio/points":
        return NOT_ASKED
    try:
        path = put(site.model_dump(mode="json"), site, name, None)
    except InputError:
        # A requirement without a place of its own in this site: nobody asks for it here.
        return NOT_ASKED
    value: Any = site.model_dump(mode="json")
    for step in path:
        value = value[step] if not isinstance(value, dict) or step in value else None
    if value is None or isinstance(value, list | dict):
        return NOT_ASKED
    return str(value).lower() if isinstance(value, bool) else str(value)


def _labour(site: Site) -> str:
    labour = site.policy.labour.model_dump(mode="json")
    return f"{labour['rate']} an hour, pulling {labour['pulling']}"


def _price(book: LoadedBook, item: str) -> str:
    return money_text(book.items[item].price) if item in book.items else NOT_THERE


def _items(columns: Sequence[Case], found: Sequence[Answer]) -> list[ItemRow]:
    bought = [{line.item: line.quantity for line in a.bill} if a.met else None for a in found]
    named = {item for one in bought if one is not None for item in one}
    catalogue = dict.fromkeys(item for case in columns for item in case.book.items)
    rows = []
    for item in (i for i in catalogue if i in named):
        numbers = tuple(None if one is None else one.get(item, 0) for one in bought)
        differs = len({n for n in numbers if n is not None}) > 1
        rows.append(ItemRow(item=item, quantities=numbers, differs=differs))
    return rows


__all__ = ["compare"]
