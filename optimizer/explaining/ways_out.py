"""Ways out of a site that cannot be met: the fewest and smallest changes after which it is.

A set of requirements comes first (:func:`sets_of`): without them the rest can be met. Then each of
them is asked again as far as it goes, so that no natural step less is enough (:mod:`climbing`).
Facts are never touched, nor what the site file calls untouchable; and some zone always stays.

References
----------
.. [1] M. H. Liffiton, A. Previti, A. Malik, J. Marques-Silva, Fast, flexible MUS enumeration,
   Constraints 21, 2016: conflicts and ways out found in turn.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from optimizer.explaining.asking import least_net
from optimizer.explaining.climbing import Climb, each_needed, smallest
from optimizer.explaining.conflict import smallest_hitting
from optimizer.explaining.conflicts import among
from optimizer.explaining.holding import BUDGET, Holding, Memory
from optimizer.site.requirements import NOT_ASKED
from optimizer.solving.explanation import Change
from optimizer.solving.proof import BudgetAlone, WayOut, WaysOut
from optimizer.units import money_text

_SETTLED = 2_500
"""Variables up to which the cheapest kit of a way out is looked for."""


@dataclass
class Sets:
    """Sets of requirements that are ways out when they are dropped.

    Attributes
    ----------
    found : list of tuple of str
    longest : int
        Most members that were looked for.
    complete : bool
        Whether there is proven to be no other up to that length.
    conflicts : list of tuple of str
        Conflicts known at the end; those met on the way too.
    all_conflicts : bool
        Whether there is proven to be no other conflict.
    """

    longest: int
    found: list[tuple[str, ...]] = field(default_factory=list)
    complete: bool = False
    conflicts: list[tuple[str, ...]] = field(default_factory=list)
    all_conflicts: bool = False


def sets_of(
    holding: Holding,
    memory: Memory,
    conflicts: Sequence[tuple[str, ...]],
    most: int,
    longest: int,
    go_on: Callable[[], bool],
) -> Sets:
    """Smallest sets of requirements without which the rest can be met, fewest members first.

    Parameters
    ----------
    conflicts : sequence
        Those known.
    most : int
        Sets after which it may stop, at the end of a length.
    longest : int
        Most members.
    go_on : callable
        Asked before each step; false ends the search.
    """
    out = Sets(longest, conflicts=list(conflicts))
    if holding.limit is not None and all(BUDGET in c for c in conflicts):
        _one_by_one(holding, memory, out, most, go_on)
    else:
        _in_turn(holding, memory, out, most, go_on)
    return out


def _touchable(holding: Holding) -> list[str]:
    return [i for i in holding.order if i not in holding.untouchable]


def _in_turn(
    holding: Holding, memory: Memory, out: Sets, most: int, go_on: Callable[[], bool]
) -> None:
    """Conflicts and ways out in turn [1]_: a smallest set that hits all known conflicts is tried.

    It is a way out, or what it leaves holds a conflict that was not known.
    """
    everything, touchable = frozenset(holding.order), _touchable(holding)
    open_: set[frozenset[str]] = set()
    void: set[frozenset[str]] = set()
    size = 0
    while go_on():
        sets = [[i for i in c if i in touchable] for c in out.conflicts]
        hitting = smallest_hitting(sets, touchable, out.longest, out.found, open_ | void)
        if hitting is None:
            out.complete = not open_
            untouched = len(touchable) == len(holding.order)
            longer = smallest_hitting(sets, touchable, len(touchable), out.found)
            out.all_conflicts = out.complete and untouched and longer is None
            return
        size = len(hitting)
        if len(out.found) >= most and size > len(out.found[most - 1]):
            break
        if hitting.issuperset(holding.zones):
            void.add(hitting)
            continue
        verdict = memory(everything - hitting)
        left_out = _left_out(holding, hitting) if verdict == "yes" else None
        if left_out:
            out.found.append(tuple(i for i in holding.order if i in hitting))
        elif verdict == "yes" and left_out is False:
            void.add(hitting)
        elif verdict != "no":
            open_.add(hitting)
        else:
            _learn(holding, memory, out, hitting)
    # Shorter ones come first, so up to the length before the one in hand nothing is missing.
    if size > 1:
        out.longest, out.complete = size - 1, not open_


def _left_out(holding: Holding, chosen: frozenset[str]) -> bool | None:
    """Whether the site can be met with these dropped and their zones gone.

    What is not asked may be there or not; a change that is told has to be one or the other.
    """
    site = holding.relaxed(dict.fromkeys(chosen))
    return False if site is None else holding.within(site, BUDGET not in chosen)


def _learn(holding: Holding, memory: Memory, out: Sets, hitting: frozenset[str]) -> None:
    out.conflicts.append(among(holding, memory, [i for i in holding.order if i not in hitting]))


def singles(holding: Holding, memory: Memory, go_on: Callable[[], bool]) -> Sets:
    """Single requirements without which the rest can be met, where the budget is what is lacking.

    Each of them is in every conflict, so they are found before any conflict is.
    """
    out = Sets(1)
    _one_by_one(holding, memory, out, 1, go_on)
    return out


def _one_by_one(
    holding: Holding, memory: Memory, out: Sets, most: int, go_on: Callable[[], bool]
) -> None:
    """Each set by itself, where the budget is what is lacking: its conflicts are too large to find.

    Zones and audio points come first: what does not help when the whole place is left out does not
    help in part.
    """
    everything, touchable = frozenset(holding.order), _touchable(holding)
    places = [i for i in touchable if i in holding.parts]
    order = [*(i for i in touchable if i == BUDGET), *places]
    order += [i for i in touchable if i not in order]
    sure = True
    for size in range(1, out.longest + 1):
        if size > 1 and len(out.found) >= most:
            out.longest = size - 1
            break
        for some in combinations(order, size):
            chosen = frozenset(some)
            if any(chosen.issuperset(known) for known in (*out.found, holding.zones)):
                continue
            if any(chosen.isdisjoint(known) for known in out.conflicts):
                continue
            if not go_on():
                return
            verdict = memory(everything - chosen)
            left_out = _left_out(holding, chosen) if verdict == "yes" else None
            if left_out:
                out.found.append(tuple(i for i in holding.order if i in chosen))
            elif left_out is None and verdict != "no":
                sure = False
    out.complete = sure


def told(holding: Holding, climb: Climb, settle: bool) -> WayOut | None:
    """The way out in words and money.

    Parameters
    ----------
    settle : bool
        Look for the cheapest kit of the changed site, where it is small.
    """
    places, asker = climb.places, holding.asker
    changes: list[Change] = []
    values: dict[str, str | None] = {}
    for one, number in places.items():
        if one == BUDGET:
            continue
        value, r = climb.ladders[one][number - 1], holding.listed[one]
        values[one] = value
        to = NOT_ASKED if value is None else value
        steps = None if value is None else number
        changes.append(Change(requirement=one, asked=r.value, to=to, steps=steps))
    site = holding.relaxed(values)
    assert site is not None
    known = asker.so_far(site)
    # What the budget lacks is the price of the cheapest kit; elsewhere it can wait.
    if (settle and holding.decider.size(site) <= _SETTLED) or BUDGET in places:
        known = asker.cheapest(site)
    if known.high is None:
        return None
    more, steps = None, sum(n for i, n in places.items() if i != BUDGET)
    if BUDGET in places:
        amount, extra = more_budget(holding, known.high)
        steps += -(-extra // 100)
        more = money_text(extra)
        r = holding.listed[BUDGET]
        change = Change(
            requirement=BUDGET, asked=r.value, to=money_text(amount), steps=-(-extra // 100)
        )
        changes.insert(0, change)
    elif holding.limit is not None and known.high > holding.limit:
        return None
    return WayOut(
        changes=tuple(changes),
        steps=steps,
        total=money_text(known.high),
        cheapest=known.settled,
        smallest=not climb.open
        and (known.settled or BUDGET not in places)
        and each_needed(climb, places),
        more_budget=more,
    )


def more_budget(holding: Holding, total: int) -> tuple[int, int]:
    """The budget that just covers a total, and what it is above the one asked. [hundredth]"""
    terms = holding.asked.site.money
    assert terms.budget is not None
    amount = total if terms.budget_includes_tax else least_net(total, terms.tax)
    return amount, amount - terms.budget


def budget_alone(holding: Holding) -> BudgetAlone | None:
    """What lifting the budget alone does; None where none is asked."""
    terms = holding.asked.site.money
    if terms.budget is None:
        return None
    known = holding.asker.cheapest(holding.free)
    enough = holding.any(holding.free)
    known = holding.asker.so_far(holding.free) if known.high is None else known
    more = None if known.high is None else max(more_budget(holding, known.high)[1], 0)
    return BudgetAlone(
        budget=money_text(terms.budget),
        more=None if more is None else money_text(more),
        tax=terms.stated_tax,
        enough="open" if enough is None else "yes" if enough else "no",
        total=None if known.high is None else money_text(known.high),
        lower_bound=money_text(known.low) if known.low and not known.unmeetable else None,
    )


def ways_out(
    holding: Holding, sets: Sets, most: int, budget: BudgetAlone | None, deadline: float
) -> WaysOut:
    """The ways out of some sets, ranked: fewest requirements, fewest steps, lowest total."""
    found: list[tuple[WayOut, Climb]] = []
    lost = False
    for chosen in sorted(sets.found, key=len):
        if time.monotonic() > deadline and found:
            lost = True
            break
        climb = smallest(holding, chosen, sets.conflicts)
        way = None if climb is None else told(holding, climb, settle=False)
        lost = lost or way is None
        if way is not None and climb is not None:
            found.append((way, climb))
    found.sort(key=lambda one: _rank(one[0]))
    again = [(told(holding, climb, settle=True), way) for way, climb in found[:most]]
    shown = sorted((new or way for new, way in again), key=_rank)
    return WaysOut(
        found=tuple(shown),
        longest=sets.longest,
        complete=sets.complete and not lost,
        others=len(found) - len(shown),
        untouchable=holding.untouchable,
        budget=budget,
    )


def _rank(way: WayOut) -> tuple[int, int, float]:
    return len(way.changes), way.steps, float(way.total)


__all__ = ["Sets", "budget_alone", "more_budget", "sets_of", "singles", "told", "ways_out"]
