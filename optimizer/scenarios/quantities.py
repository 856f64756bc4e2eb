"""What a total can be set against: one demand, the detail of all zones, the zones that are kept.

Each gives an exact step function of the least total, from what is easiest to what is hardest, and
the site that stands for a step. A further quantity is a function of this kind and a name in
:data:`OF_THE_SITE`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from optimizer.design import Design
from optimizer.engineering.optics import DETAIL_LEVELS
from optimizer.errors import InputError, Trouble, listed
from optimizer.explaining.curve import curve
from optimizer.explaining.inquiry import without_budget
from optimizer.pricebook import LoadedBook
from optimizer.reading.hints import suggest
from optimizer.scenarios.answering import Progress, answers_to
from optimizer.scenarios.applying import as_read, left_out
from optimizer.scenarios.leaving import Kept, zones_kept
from optimizer.site import LoadedSite
from optimizer.site.changes import changed
from optimizer.site.ladders import Density, plain
from optimizer.site.schema import Site
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import PriceLevel
from optimizer.units import money_text

ZONES, DETAIL = "zones", "detail"
MOST_WEIGHT = 1000


@dataclass(frozen=True)
class Quantity:
    """A step function of the total.

    Attributes
    ----------
    levels : tuple of PriceLevel
        From the easiest value to the hardest; without the budget.
    site : callable
        The site of a level, as if it had been read.
    answers : dict of str to Answer
        By the last value of a level, where they are known already.
    because : callable
        What is to be said beside a level.
    designs : dict of str to Design
        By value, where zones are on a plan: a kit that was found for another value may do.
    """

    text: str
    asked: str
    unit: str
    levels: tuple[PriceLevel, ...]
    site: Callable[[PriceLevel], LoadedSite]
    solves: int
    answers: Mapping[str, Answer] = field(default_factory=dict)
    because: Callable[[PriceLevel], str] = lambda level: level.because
    designs: Mapping[str, Design] = field(default_factory=dict)


@dataclass(frozen=True)
class Range:
    """What a frontier is asked over: two ends, or weights of zones (1 where nothing is said)."""

    low: str | None = None
    high: str | None = None
    weights: Mapping[str, int] = field(default_factory=dict)


Maker = Callable[[LoadedSite, LoadedBook, Range, float, Progress], Quantity]


def quantity(
    asked: LoadedSite,
    book: LoadedBook,
    name: str,
    over: Range,
    deadline: float,
    say: Progress,
) -> Quantity:
    """The step function of a quantity of the site, or of one demand.

    Parameters
    ----------
    name : str
        A name in :data:`OF_THE_SITE`, or the id of a demand with natural steps.
    deadline : float
        On the clock of ``time.monotonic``. [s]

    Raises
    ------
    InputError
        As for :func:`optimizer.explaining.curve.curve`; for ends or weights that do not go with
        the quantity.
    """
    if over.weights and name != ZONES:
        raise _refused(name, "only zones have weights", f"weights beside {ZONES}", "leave them out")
    if name in OF_THE_SITE:
        return OF_THE_SITE[name](asked, book, over, deadline, say)
    low, high = _ends(name, over)
    designs: dict[str, Design] = {}
    found = curve(asked, book, name, low, high, deadline, say, designs=designs)
    free = without_budget(asked.site)

    def site(level: PriceLevel) -> LoadedSite:
        return _as_read(asked, changed(free, {name: level.last}), f"{name}={level.last}")

    unit = found.levels[0].unit
    return Quantity(
        found.text,
        found.asked,
        unit,
        found.levels,
        site,
        found.solves,
        designs=designs if free.areas else {},
    )


def _ends(name: str, over: Range) -> tuple[str, str]:
    if over.low is None or over.high is None:
        raise _refused(
            name,
            "both ends of the range are needed",
            "the easier value and the harder one",
            "say from where to where",
        )
    return over.low, over.high


def _refused(name: str, what: str, accepted: str, hint: str) -> InputError:
    return InputError(Trouble(what, field=name, accepted=accepted, hint=hint))


def _as_read(asked: LoadedSite, site: Site, change: str) -> LoadedSite:
    return as_read(site, f"{asked.source.name}, {change}")


def _detail(
    asked: LoadedSite, book: LoadedBook, over: Range, deadline: float, say: Progress
) -> Quantity:
    """All zones at the same level of detail, whatever each asks for now."""
    low, high = _ends(DETAIL, over)
    edition = asked.site.edition
    levels = sorted(DETAIL_LEVELS[edition], key=lambda n: DETAIL_LEVELS[edition][n])
    for end in (low, high):
        if end not in levels:
            hint = suggest(end, levels, "name a level of the site's edition")
            raise _refused(DETAIL, f'"{end}" is not a level of detail here', listed(levels), hint)
    names = levels[levels.index(low) : levels.index(high) + 1]
    if len(names) < 2:
        raise _refused(
            DETAIL,
            "the range holds no step",
            f"two levels, the easier first: {listed(levels)}",
            "put the ends right",
        )
    free = without_budget(asked.site)
    sites = {
        name: _as_read(
            asked,
            changed(free, {f"zones.{z.id}/detail": name for z in free.zones}),
            f"{DETAIL}={name}",
        )
        for name in names
    }
    answers = dict(
        zip(
            names,
            answers_to([(s, book) for s in sites.values()], deadline, say, reasons=False),
            strict=True,
        )
    )
    ladder = Density(edition)
    found = [
        _level(name, plain(Decimal(str(float(ladder.hardness(name))))), "px/m", answers[name])
        for name in names
    ]
    return Quantity(
        "all zones at the same level of detail",
        ", ".join(dict.fromkeys(z.detail for z in asked.site.zones)),
        "px/m",
        tuple(found),
        lambda level: sites[level.last],
        len(names),
        {name: one for name, one in answers.items() if one.status == "optimal"},
    )


def _level(value: str, number: str, unit: str, answer: Answer) -> PriceLevel:
    """A level of one value."""
    base = {"first": value, "last": value, "first_number": number, "last_number": number}
    if answer.status == "optimal":
        return PriceLevel(**base, unit=unit, status="proven", total=answer.total)
    if answer.status == "unmeetable":
        return PriceLevel(**base, unit=unit, status="unmeetable")
    low, high = answer.lower_bound or "0.00", answer.total
    return PriceLevel(**base, unit=unit, status="between", low=low, high=high)


def _zones(
    asked: LoadedSite, book: LoadedBook, over: Range, deadline: float, say: Progress
) -> Quantity:
    """Zones left out, those that are kept being as cheap as any that weigh as much."""
    if over.low is not None or over.high is not None:
        raise _refused(
            ZONES, "all zones are looked at, from one to all", "no range", "leave both ends out"
        )
    free = without_budget(asked.site)
    weights = _weights(free, over.weights)
    found = zones_kept(free, book, weights, deadline, say)
    levels = _steps(found.kept)
    by_weight = {str(one.weight): one for one in found.kept}

    def gone(level: PriceLevel) -> list[str]:
        stays = by_weight[level.last].zones
        return [z.id for z in free.zones if z.id not in stays]

    def site(level: PriceLevel) -> LoadedSite:
        kept = left_out(free, gone(level)) if gone(level) else free
        return _as_read(asked, kept, f"without {', '.join(gone(level)) or 'nothing'}")

    def because(level: PriceLevel) -> str:
        return f"without {listed(gone(level))}" if gone(level) else "all zones"

    total = sum(weights.values())
    text = "weight of the zones that are kept" if over.weights else "number of zones that are kept"
    return Quantity(text, str(total), "", levels, site, found.solves, because=because)


def _weights(site: Site, given: Mapping[str, int]) -> dict[str, int]:
    """The weight of every zone, 1 where none is given."""
    names = [z.id for z in site.zones]
    for name, weight in given.items():
        if name not in names:
            hint = suggest(name, names, "name a zone of the site")
            raise _refused(name, f'the site has no zone "{name}"', listed(names), hint)
        if not 1 <= weight <= MOST_WEIGHT:
            accepted = f"whole numbers from 1 to {MOST_WEIGHT}"
            raise _refused(name, f"a zone cannot weigh {weight}", accepted, "give another weight")
    return {name: given.get(name, 1) for name in names}


def _steps(kept: Sequence[Kept]) -> tuple[PriceLevel, ...]:
    """Neighbouring weights of the same total as one level each."""
    levels: list[PriceLevel] = []
    start = 0
    for end, one in enumerate(kept):
        after = kept[end + 1] if end + 1 < len(kept) else None
        if after is not None and (one.low, one.high) == (after.low, after.high):
            continue
        first, last = str(kept[start].weight), str(one.weight)
        start = end + 1
        base = {"first": first, "last": last, "first_number": first, "last_number": last}
        if one.low is None:
            levels.append(PriceLevel(**base, unit="", status="unmeetable"))
            continue
        low = money_text(one.low)
        high = None if one.high is None else money_text(one.high)
        if one.low == one.high:
            levels.append(PriceLevel(**base, unit="", status="proven", total=high))
        else:
            levels.append(PriceLevel(**base, unit="", status="between", low=low, high=high))
    return tuple(levels)


OF_THE_SITE: Mapping[str, Maker] = {ZONES: _zones, DETAIL: _detail}


__all__ = ["DETAIL", "OF_THE_SITE", "ZONES", "Quantity", "Range", "quantity"]
