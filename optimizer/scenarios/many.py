"""Many sites solved one by one, what is finished kept, and all of it bought in one order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from optimizer.errors import Defect, InputError, Trouble
from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Packed
from optimizer.scenarios.answering import mark, under
from optimizer.scenarios.applying import Case, cases
from optimizer.scenarios.because import because
from optimizer.scenarios.crew import Task, as_they_come, attempted, crew
from optimizer.scenarios.keeping import Folder
from optimizer.scenarios.loading import LoadedScenarios
from optimizer.scenarios.portfolio import (
    Portfolio,
    PortfolioColumn,
    Purchase,
    PurchaseLine,
    SiteAnswer,
    Split,
)
from optimizer.scenarios.schema import BASE
from optimizer.site import LoadedSite
from optimizer.solving.answer import Answer
from optimizer.solving.purchase import reduction_lines, reductions, tax_on, unit_price
from optimizer.solving.together import Basket, Order, order
from optimizer.units import money, money_text

Told = Callable[[int, int], None]
Runner = Callable[[Sequence[Task]], Iterator[tuple[int, Answer | Exception]]]
Result = Answer | Exception

FAULT = "a fault of the program, to be reported with this site and the price book"


@dataclass(frozen=True)
class _Job:
    """One site under one scenario."""

    site: str
    case: Case
    task: Task

    @property
    def place(self) -> str:
        """Where its answer is kept, without the ending."""
        return f"answers/{self.case.id}/{self.site}"


def many(
    sites: Mapping[str, LoadedSite],
    book: LoadedBook,
    loaded: LoadedScenarios | None,
    folder: Folder,
    seconds: float,
    run: Runner,
    tell: Told,
) -> Portfolio:
    """Answers to all sites, as they stand and under each scenario.

    Parameters
    ----------
    sites : dict of str to LoadedSite
        By what they are called.
    folder : Folder
        Entered. An answer that it keeps is not sought again; each new one is kept at once.
    seconds : float
        For each answer. [s]
    run : callable
        Does the tasks, here or elsewhere.
    tell : callable
        Told how many answers are there, of how many.

    Raises
    ------
    InputError
        If a scenario is refused for a site, before anything is solved, or a file cannot be
        written; what is finished by then is kept.
    """
    jobs = _jobs(sites, book, loaded, seconds)
    found = _answers(jobs, folder, seconds, run, tell)
    columns: dict[str, list[_Job]] = {}
    for job in jobs:
        columns.setdefault(job.case.id, []).append(job)
    return Portfolio(
        currency=book.book.currency,
        scenarios=tuple(_column(some, found, folder, seconds) for some in columns.values()),
    )


def local(size: int) -> Runner:
    """Tasks done by so many processes of this machine; by this one, if it is one."""

    def run(tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        if min(size, len(tasks)) <= 1:
            yield from ((place, attempted(task)) for place, task in enumerate(tasks))
            return
        with crew(min(size, len(tasks))) as doer:
            yield from as_they_come(doer, tasks, min(size, len(tasks)))

    return run


def _jobs(
    sites: Mapping[str, LoadedSite],
    book: LoadedBook,
    loaded: LoadedScenarios | None,
    seconds: float,
) -> list[_Job]:
    jobs: list[_Job] = []
    troubles: list[Trouble] = []
    for name, asked in sites.items():
        base = (Case(BASE, asked.site.name, "", asked, book),)
        try:
            made = base if loaded is None else cases(asked, book, loaded)
        except InputError as error:
            troubles += [replace(t, what=f"{t.what}, for site {name}") for t in error.troubles]
            continue
        jobs += [_Job(name, c, Task(c.asked, c.book, seconds, why=True)) for c in made]
    if troubles:
        raise InputError(*troubles)
    return jobs


def _answers(
    jobs: Sequence[_Job], folder: Folder, seconds: float, run: Runner, tell: Told
) -> dict[str, Result]:
    """Results by their place; sites that are alike are solved once."""
    found: dict[str, Result] = {}
    alike: dict[str, list[_Job]] = {}
    for job in jobs:
        kept = folder.kept(job.place, job.task)
        if kept is not None:
            found[job.place] = kept
        else:
            alike.setdefault(mark(job.case.asked, job.case.book), []).append(job)
    tell(len(found), len(jobs))
    # The long ones first, so that no process is left with one of them at the end.
    groups = sorted(alike.values(), key=lambda g: -len(g[0].case.asked.site.zones))
    try:
        for place, result in run([group[0].task for group in groups]) if groups else ():
            for job in groups[place]:
                found[job.place] = result
                if isinstance(result, Answer):
                    own = found[job.place] = under(result, job.case.asked)
                    assert isinstance(own, Answer)
                    folder.keep(job.place, own, seconds)
            tell(len(found), len(jobs))
    except KeyboardInterrupt:
        # It may come between an answer's file and the count of it, or before the file is there.
        answers = {place: r for place, r in found.items() if isinstance(r, Answer)}
        tell(sum(folder.holds(p, a, seconds) for p, a in answers.items()), len(jobs))
        raise
    return found


def _column(
    jobs: Sequence[_Job], found: Mapping[str, Result], folder: Folder, seconds: float
) -> PortfolioColumn:
    results = [found[job.place] for job in jobs]
    told = [_told(j, r, folder, seconds) for j, r in zip(jobs, results, strict=True)]
    met = [(j, r) for j, r in zip(jobs, results, strict=True) if isinstance(r, Answer) and r.met]
    first = jobs[0].case
    return PortfolioColumn(
        id=first.id,
        name="" if first.id == BASE else first.name,
        sites=tuple(told),
        counts=dict(Counter(one.status for one in told)),
        net=_sum(a.net for _, a in met),
        total=_sum(a.total for _, a in met),
        lower_bound=_sum(a.lower_bound for _, a in met),
        purchase=_purchase(met) if met else None,
    )


def _sum(amounts: Iterator[str | None]) -> str | None:
    """Sum of amounts; none where there are none."""
    some = [money(a) for a in amounts if a is not None]
    return money_text(sum(some)) if some else None


def _told(job: _Job, result: Result, folder: Folder, seconds: float) -> SiteAnswer:
    asked = job.case.asked
    where = asked.source.name.partition(", scenario ")[0]
    if not isinstance(result, Answer):
        said = f"{type(result).__name__}: {result}; {FAULT}"
        return SiteAnswer(
            site=job.site, name=asked.site.name, file=where, status="fault", because=said
        )
    return SiteAnswer(
        site=job.site,
        name=asked.site.name,
        file=where,
        status=result.status,
        cameras=len(result.cameras) if result.met else None,
        net=result.net,
        total=result.total,
        lower_bound=result.lower_bound,
        gap=result.gap,
        because=because(result),
        answer=folder.where(job.place, result, seconds),
    )


def _purchase(met: Sequence[tuple[_Job, Answer]]) -> Purchase:
    """What the kits take together, in one order and apart."""
    book = met[0][0].case.book
    if any(job.case.book.sha256 != book.sha256 for job, _ in met):
        raise Defect("the sites of one purchase have different price books")
    site = met[0][0].case.asked.site
    baskets = [_basket(job, answer) for job, answer in met]
    whole = order(site, book, baskets, whole=True)
    some = order(site, book, baskets, whole=False) if len(baskets) > 1 else whole
    apart = sum(b.alone for b in baskets)
    if some.proven and some.net > min(apart, whole.net):
        raise Defect("some sites in one order cost more than all or none")
    rates = {job.case.asked.site.money.tax for job, _ in met}
    saving = None
    if len(rates) == 1:
        net = whole.net + sum(money(a.labour or "0.00") for _, a in met)
        bills = sum(money(a.total or "0.00") for _, a in met)
        saving = money_text(bills - net - tax_on(net, min(rates)))
    taken = reductions(book.items, book.book.offers, whole.bought)
    return Purchase(
        book=book.book.name,
        sites=tuple(b.name for b in baskets),
        lines=tuple(_lines(book, baskets, whole, met)),
        goods=money_text(whole.goods),
        reductions=reduction_lines(taken),
        net=money_text(whole.net),
        apart=money_text(apart),
        saving=money_text(apart - whole.net),
        tax=str(site.money.model_dump(mode="json")["tax"]) if len(rates) == 1 else None,
        saving_with_tax=saving,
        split=_split(some, apart) if some.net < whole.net else None,
    )


def _split(some: Order, apart: int) -> Split:
    return Split(
        net=money_text(some.net),
        saving=money_text(apart - some.net),
        alone=some.others,
        proven=some.proven,
    )


def _basket(job: _Job, answer: Answer) -> Basket:
    """Pieces that a kit uses and the site has not."""
    site = job.case.asked.site
    owned = {o.item: o.quantity for o in site.owned}
    pieces = {line.item: line.used - owned.get(line.item, 0) for line in answer.bill}
    return Basket(
        job.site,
        {item: n for item, n in pieces.items() if n > 0},
        money(answer.net or "0.00") - money(answer.labour or "0.00"),
        frozenset(site.policy.forbid),
    )


def _lines(
    book: LoadedBook,
    baskets: Sequence[Basket],
    whole: Order,
    met: Sequence[tuple[_Job, Answer]],
) -> Iterator[PurchaseLine]:
    apart = Counter[str]()
    for _, answer in met:
        apart.update({line.item: line.quantity for line in answer.bill})
    for item, count in whole.bought.items():
        one = book.items[item]
        price = unit_price(one, count)
        needed = {b.name: b.pieces[item] for b in baskets if item in b.pieces}
        pack = one.pack if isinstance(one, Packed) else 1
        yield PurchaseLine(
            item=item,
            name=one.name,
            quantity=count,
            unit_price=money_text(price),
            line_total=money_text(price * count),
            pieces=sum(needed.values()),
            over=pack * count - sum(needed.values()),
            apart=apart[item],
            sites=needed,
        )


__all__ = ["FAULT", "Runner", "Told", "local", "many"]
