"""The price curve: the exact total for each value of one requirement over a range.

From the loosest value up, each design found is carried over to tighter values as far as the audit
lets it pass, and the cheapest kit of the next value is sought. The tightest value is asked about
first: where a total is as high as that, everything between is settled.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from optimizer.design import Design
from optimizer.errors import InputError, Trouble
from optimizer.explaining.asking import Asker, Have, Known, Progress
from optimizer.explaining.asking_plan import OVER, asker_for
from optimizer.explaining.inquiry import beyond_budget, item_changes, without_budget
from optimizer.explaining.monotony import monotone
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.changes import changed, find
from optimizer.site.ladders import in_unit, plain
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import Requirement
from optimizer.site.schema import Site
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import FigureStatus, PriceCurve, PriceLevel
from optimizer.units import money_text

MOST_VALUES = 2000
"""Values that a curve may have."""


@dataclass(frozen=True)
class _Point:
    """One value and what is known of its price."""

    value: str
    site: Site
    known: Known


def curve(
    asked: LoadedSite,
    book: LoadedBook,
    name: str,
    low: str,
    high: str,
    deadline: float,
    say: Progress,
    answer: Answer | None = None,
    designs: dict[str, Design] | None = None,
) -> PriceCurve:
    """The exact step function of the total over values of a requirement, in its natural steps.

    Parameters
    ----------
    name : str
        Id of a requirement with a ladder of steps, or of a run.
    low, high : str
        First (easier) and last (harder) value; a number without a unit is taken in the unit of
        the requirement.
    deadline : float
        On the clock of ``time.monotonic``. [s]
    answer : Answer, optional
        To the question of the site file, if it is known.
    designs : dict of str to Design, optional
        Filled with a design of each value for which one is known.

    Raises
    ------
    InputError
        For an unknown id, a value that is refused, or a range that holds no step.
    """
    r = find(asked, name)
    free = without_budget(asked.site)
    values = _values(free, r, low, high)
    sites = [changed(free, {name: value}) for value in values]
    sure = monotone(sites[-1], book, [r]) and monotone(sites[0], book, [r])
    with closing(asker_for(asked.site, book, deadline, say)) as asker:
        if answer is not None and answer.status == "optimal":
            asker.tell(free, answer.design(), proven=True)
        points = _swept(asker, values, sites) if sure else _each(asker, values, sites)
        if designs is not None:
            known = {p.value: asker.design(p.site) for p in points}
            designs |= {value: have.design for value, have in known.items() if have is not None}
    levels = _levels(asked.site, book, r, points)
    return PriceCurve(
        requirement=name,
        text=r.text,
        asked=r.value,
        currency=asked.site.money.currency,
        tax=asked.site.money.stated_tax,
        levels=levels,
        complete=all(level.status != "between" for level in levels),
        over=OVER if free.areas else "",
        solves=asker.solves,
    )


def _values(free: Site, r: Requirement, low: str, high: str) -> list[str]:
    """Values from low to high in natural steps; each end is checked by the schema."""
    first, last = (_with_unit(r, value) for value in (low, high))
    for value in (first, last):
        changed(free, {r.id: value})
    end = r.ladder.hardness(last)
    values = [first]
    while len(values) <= MOST_VALUES and (harder := r.harder(values[-1])) is not None:
        if r.ladder.hardness(harder) > end:
            break
        values.append(harder)
    what = ""
    if len(values) == 1:
        what = "there is no natural step from one end of the range to the other"
    elif len(values) > MOST_VALUES:
        what = f"the range holds more than {MOST_VALUES} steps"
    if what:
        raise InputError(
            Trouble(
                what,
                field=r.id,
                value=f"{first} to {last}",
                accepted=f"2 to {MOST_VALUES} values, the easier end first",
                hint=f"the site asks for {r.value}",
            )
        )
    return values


def _with_unit(r: Requirement, value: str) -> str:
    text = value.strip()
    bare = text.replace(".", "", 1).isdigit()
    return f"{text} {r.unit}" if bare and r.unit else text


def _each(asker: Asker, values: Sequence[str], sites: Sequence[Site]) -> list[_Point]:
    """Every value by itself: where asking for less may cost more, nothing follows."""
    return [_Point(v, s, asker.cheapest(s)) for v, s in zip(values, sites, strict=True)]


def _swept(asker: Asker, values: Sequence[str], sites: Sequence[Site]) -> list[_Point]:
    """From the easiest value up; a total is never below that of an easier value."""
    last = asker.cheapest(sites[-1])
    for at, site in enumerate(sites):
        known = asker.so_far(site)
        if last.high is not None and last.bought is not None:
            known = asker.at_most(site, last.high, last.bought)
        if at:
            before = asker.so_far(sites[at - 1])
            if before.unmeetable:
                asker.unmeetable(site, before.because)
                continue
            known = asker.at_least(site, before.low)
        known = asker.cheapest(site)
        have = asker.design(site)
        if known.settled and have is not None:
            _carry_on(asker, have, sites, at)
    for easier, harder in reversed(list(pairwise(sites))):
        have, known = asker.design(harder), asker.so_far(easier)
        if have is not None and (known.high is None or have.total < known.high):
            asker.carry(easier, have)
    return [_Point(v, s, asker.closed(s)) for v, s in zip(values, sites, strict=True)]


def _carry_on(asker: Asker, have: Have, sites: Sequence[Site], at: int) -> None:
    """Take a design up as far as it goes: so far the total stays."""
    for site in sites[at + 1 :]:
        if asker.so_far(site).settled or asker.carry(site, have) is None:
            return
        asker.at_least(site, have.total)


def _levels(
    site: Site, book: LoadedBook, r: Requirement, points: Sequence[_Point]
) -> tuple[PriceLevel, ...]:
    """Neighbouring values of the same total as one level each."""
    levels: list[PriceLevel] = []
    start = 0
    before: Known | None = None
    for end, point in enumerate(points):
        following = points[end + 1] if end + 1 < len(points) else None
        if following is not None and _alike(point.known, following.known):
            continue
        level = _level(site, r, points[start], point)
        # The kit of the hardest value of a level serves the whole level.
        level = _compared(book, level, before, point.known)
        levels.append(level)
        before, start = point.known, end + 1
    return tuple(levels)


def _alike(one: Known, two: Known) -> bool:
    if one.unmeetable or two.unmeetable:
        return one.unmeetable and two.unmeetable
    return (one.low, one.high) == (two.low, two.high)


def _level(site: Site, r: Requirement, first: _Point, last: _Point) -> PriceLevel:
    known = last.known
    status: FigureStatus = "between"
    if known.settled:
        status = "unmeetable" if known.unmeetable else "proven"
    return PriceLevel(
        first=first.value,
        last=last.value,
        first_number=_number(r, first.value),
        last_number=_number(r, last.value),
        unit=r.unit,
        status=status,
        total=money_text(known.high) if status == "proven" and known.high is not None else None,
        low=money_text(known.low) if status == "between" else None,
        high=money_text(known.high) if status == "between" and known.high is not None else None,
        because=known.because or beyond_budget(site, known),
    )


def _compared(
    book: LoadedBook, level: PriceLevel, before: Known | None, known: Known
) -> PriceLevel:
    """The level with what differs from the one before it, where both are proven."""
    if before is None or not (before.settled and known.settled):
        return level
    if before.high is None or known.high is None:
        return level
    assert before.bought is not None
    assert known.bought is not None
    return level.model_copy(
        update={
            "difference": money_text(known.high - before.high),
            "items": item_changes(book, before.bought, known.bought),
        }
    )


def _number(r: Requirement, value: str) -> str:
    """The value as a plain number in the requirement's unit."""
    if r.unit in ("", "lx"):
        return plain(Decimal(str(float(r.ladder.hardness(value)))))
    if r.quantity == "detail":
        return plain(Decimal(str(float(r.ladder.hardness(value)))))
    if r.unit == "h" and "%" in value:  # a share of the day
        return plain(24 * in_unit(value, "share", "%") / 100)
    return plain(in_unit(value, _DIMENSIONS[r.unit], r.unit))


_DIMENSIONS = {
    "m": "length",
    "days": "duration",
    "fps": "frame rate",
    "%": "share",
    "h": "duration",
    "deg": "angle",
}


__all__ = ["MOST_VALUES", "curve"]
