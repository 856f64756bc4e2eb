"""The frontier: every pair of a quantity's value and a total that no other pair beats.

It is read off the exact step function of the total (:mod:`optimizer.scenarios.quantities`): the
pairs at the hard end of each step, as long as nothing harder is as cheap. Each is then solved anew
as a main question, so that it comes with its audited kit; a total that differs is a defect.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from decimal import Decimal

from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.asking_plan import OVER
from optimizer.explaining.difference import bill_difference
from optimizer.explaining.explain_plan import with_design
from optimizer.pricebook import LoadedBook
from optimizer.scenarios.answering import Progress, answers_to
from optimizer.scenarios.findings import BarredStretch, Frontier, FrontierPoint, OpenStretch
from optimizer.scenarios.quantities import Range, quantity
from optimizer.site import LoadedSite
from optimizer.site.schema import Site
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import ItemChange, PriceLevel
from optimizer.units import money

_TOTALS = 0.6
"""Share of the time in which the totals are sought; the kits of the points get the rest."""


def frontier(
    asked: LoadedSite,
    book: LoadedBook,
    name: str,
    over: Range,
    deadline: float,
    say: Progress,
) -> Frontier:
    """The exact set of undominated pairs of total and a quantity.

    Parameters
    ----------
    name : str
        Id of a requirement with natural steps, or of a run; "zones" for the zones that are kept,
        by weight; "detail" for one level of detail in all zones.
    over : Range
        First (easier) and last (harder) value, between which the natural steps from the first on
        are looked at; for zones their weights.
    deadline : float
        On the clock of ``time.monotonic``. [s]

    Raises
    ------
    InputError
        As for :func:`optimizer.scenarios.quantities.quantity`.
    Defect
        If the kit of a point does not cost what was proven before.
    """
    begun = time.monotonic()
    found = quantity(asked, book, name, over, begun + _TOTALS * (deadline - begun), say)
    kept, doubtful = undominated(found.levels)
    unknown = [level for level in kept if level.last not in found.answers]
    say("working out the kits of the points")
    solved = answers_to([(found.site(one), book) for one in unknown], deadline, say, reasons=False)
    answers = {**found.answers, **{o.last: a for o, a in zip(unknown, solved, strict=True)}}
    points: list[FrontierPoint] = []
    late: list[PriceLevel] = []
    for level in kept:
        design = found.designs.get(level.last)
        if design is not None:
            # On a plan a kit of another value may be cheaper than what is listed for this one.
            site = found.site(level).site
            answers[level.last] = _no_dearer(site, book, answers[level.last], design)
        # Or what was listed anew may be cheaper than all that the step function knew.
        same = not asked.site.areas or answers[level.last].total == level.total
        if answers[level.last].status == "optimal" and same:
            point = _point(level, answers[level.last], points)
            points.append(point.model_copy(update={"because": found.because(level)}))
        else:
            late.append(level)
    stretches = [level for level in found.levels if level in (*doubtful, *late)]
    return Frontier(
        site=asked.site.name,
        requirement=name,
        text=found.text,
        asked=found.asked,
        unit=found.unit,
        currency=asked.site.money.currency,
        tax=asked.site.money.stated_tax,
        points=tuple(points),
        open=tuple(_open(level) for level in stretches),
        barred=tuple(
            BarredStretch(first=level.first, last=level.last, because=level.because)
            for level in found.levels
            if level.status == "unmeetable"
        ),
        complete=not stretches,
        over=OVER if asked.site.areas else "",
        solves=found.solves + len(solved),
    )


def _no_dearer(site: Site, book: LoadedBook, answer: Answer, design: Design) -> Answer:
    """The answer, or one with a known design where that costs less."""
    if answer.status != "optimal" or money(design.total) >= money(answer.total or "0"):
        return answer
    return with_design(site, book, answer, design)


def undominated(levels: Sequence[PriceLevel]) -> tuple[list[PriceLevel], list[PriceLevel]]:
    """Levels whose last value is on the frontier, and those of which that is not known.

    Parameters
    ----------
    levels : list of PriceLevel
        Of an exact step function, from the easiest value to the hardest.
    """
    kept: list[PriceLevel] = []
    doubtful: list[PriceLevel] = []
    cheapest: Decimal | None = None
    """Of the kits that are known for harder values."""
    floor: Decimal | None = None
    """Harder values that are open cost no less than this."""
    for level in reversed(levels):
        if level.status == "between":
            low = Decimal(level.low or 0)
            if cheapest is None or low < cheapest:
                doubtful.append(level)
                floor = low if floor is None else min(floor, low)
            known = level.high
        else:
            known = level.total
            if known is not None and (cheapest is None or Decimal(known) < cheapest):
                sure = floor is None or Decimal(known) < floor
                (kept if sure else doubtful).append(level)
        if known is not None:
            cheapest = Decimal(known) if cheapest is None else min(cheapest, Decimal(known))
    return kept[::-1], doubtful[::-1]


def _point(level: PriceLevel, answer: Answer, before: Sequence[FrontierPoint]) -> FrontierPoint:
    if answer.total is None or answer.total != level.total:
        raise Defect(f"{level.last} costs {level.total} by one proof and {answer.total} by another")
    difference, items = None, tuple[ItemChange, ...]()
    if before:
        bills = bill_difference(before[-1].answer.design(), answer.design())
        difference = bills.total
        items = tuple(
            ItemChange(item=line.item, before=line.before, after=line.after)
            for line in bills.lines
            if line.before != line.after
        )
    return FrontierPoint(
        value=level.last,
        number=level.last_number,
        total=answer.total,
        difference=difference,
        items=items,
        because=level.because,
        answer=answer,
    )


def _open(level: PriceLevel) -> OpenStretch:
    low = level.total if level.low is None else level.low
    high = level.total if level.high is None else level.high
    return OpenStretch(first=level.first, last=level.last, low=low, high=high)


__all__ = ["frontier", "undominated"]
