"""Why each line is in the bill: what it serves, and what speaks against each cheaper choice.

A cheaper item is called out only where one limit takes it out by itself, for the load that it would
have in this design. Of one against which no single limit speaks, only this is said: a proven
cheapest kit would not be cheaper with it. What the kit costs without an item is found by a solve.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import Any

from optimizer.errors import listed
from optimizer.explaining.asking_plan import Better
from optimizer.explaining.carrying import carried
from optimizer.explaining.difference import Wish, compared, range_of, wished, wished_way
from optimizer.explaining.direction import joined
from optimizer.explaining.why_cameras import camera_verdicts
from optimizer.explaining.why_demands import demands
from optimizer.explaining.why_kit import Kit, Verdict, gathered
from optimizer.explaining.why_laying import cable_verdicts, connector_verdicts, lead_verdicts
from optimizer.explaining.why_power import injector_verdicts, supply_verdicts, switch_verdicts
from optimizer.explaining.why_recorders import drive_verdicts, recorder_verdicts
from optimizer.instance import Memory
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import reaches, requirements
from optimizer.solving import solve_site
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import ItemChange, Step
from optimizer.solving.variants import Why
from optimizer.units import money, money_text

Progress = Callable[[str], None]
MOST_TOLD = 3
"""Cheaper items that are told for each place of a line."""

_VERDICTS: dict[str, Callable[[Kit, Any], Iterator[Verdict]]] = {
    "camera": camera_verdicts,
    "recorder": recorder_verdicts,
    "drive": drive_verdicts,
    "supply": supply_verdicts,
    "switch": switch_verdicts,
    "injector": injector_verdicts,
    "lead": lead_verdicts,
    "cable": cable_verdicts,
    "connector": connector_verdicts,
}
CHOSEN = ("camera", "recorder", "drive", "lead", "cable", "supply", "switch", "injector")
"""Kinds whose lines are choices that a reader may doubt; what is fitted to them follows."""


def why(
    asked: LoadedSite, book: LoadedBook, answer: Answer, memory: Memory | None = None
) -> tuple[Why, ...]:
    """The reasons of all lines of a bill, from tables and sums alone, without a solve.

    Raises
    ------
    ValueError
        If the answer holds no design.
    """
    design = answer.design()
    kit = Kit(asked.site, book, design, memory)
    known = tuple(dict.fromkeys(r.id for r in (*requirements(asked), *reaches(asked))))
    found = []
    for line in design.bill:
        item = book.items[line.item]
        verdicts = list(_VERDICTS[item.kind](kit, item)) if item.kind in _VERDICTS else []
        others, would_do = gathered(verdicts, MOST_TOLD)
        found.append(
            Why(
                item=line.item,
                because=line.because,
                demands=demands(kit, item, known),
                others=others,
                would_do=would_do,
            )
        )
    return tuple(found)


def with_prices(
    asked: LoadedSite,
    book: LoadedBook,
    answer: Answer,
    found: tuple[Why, ...],
    deadline: float,
    say: Progress,
) -> tuple[Why, ...]:
    """The reasons with the proven price of doing without each item that is a choice.

    Parameters
    ----------
    deadline : float
        On the clock of ``time.monotonic``; lines that are not reached are left as they are. [s]

    Raises
    ------
    Better
        If zones are on a plan and a cheaper kit of the same site comes to light.
    """
    told = []
    for one in found:
        chosen = book.items[one.item].kind in CHOSEN
        if chosen and time.monotonic() < deadline:
            say(f"what the kit costs without {one.item}")
            step = _without(asked, book, answer, one.item, deadline)
            one = one.model_copy(update={"without": step})
        told.append(one)
    return tuple(told)


def unpriced(book: LoadedBook, found: tuple[Why, ...]) -> tuple[str, ...]:
    """What :func:`with_prices` did not reach in its time, in words."""
    left = [w.item for w in found if book.items[w.item].kind in CHOSEN and w.without is None]
    return (f"what the kit costs without {listed(left, 6)}",) if left else ()


def _without(
    asked: LoadedSite, book: LoadedBook, answer: Answer, item: str, deadline: float
) -> Step:
    """What a kit costs without an item.

    Where the present price is not proven, a kit without the item may still cost less than the
    present one, down to what no kit of the site is below.
    """
    wish = Wish(lack=(item,))
    site, changes = wished(asked, book, wish)
    after = solve_site(
        site,
        book,
        seconds=max(deadline - time.monotonic(), 0.1),
        site_sha256=asked.source.sha256,
    )
    assert answer.total is not None
    if asked.site.areas and after.met and money(after.total or "0") < money(answer.total):
        # It was sought over other ways to aim, and is a kit of the site as asked as well.
        design = carried(asked.site, book, after.design())
        if design is not None:
            raise Better(design)
    going = wished_way(asked.site, site, book, wish)
    found = compared(answer, after, changes, going)
    _, there = joined(going, range_of(answer), range_of(after))
    items: tuple[ItemChange, ...] = ()
    if found.bills is not None:
        items = tuple(
            ItemChange(item=line.item, before=line.before, after=line.after)
            for line in found.bills.lines
            if line.before != line.after
        )
    return Step(
        changes=changes,
        status=found.status,
        before=answer.total,
        after=found.after if found.status == "proven" else None,
        low=money_text(there.low) if found.status == "between" and there.low else None,
        high=found.after if found.status == "between" else None,
        difference=found.difference,
        items=items,
    )


__all__ = ["CHOSEN", "unpriced", "why", "with_prices"]
