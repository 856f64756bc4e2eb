"""How far each requirement of a way out has to give, so that no natural step less is enough."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from optimizer.explaining.holding import BUDGET, Holding, rungs

_SHARE = 3
"""A conflict is looked at by itself where it is of no more than one zone in so many."""

_PAIR_PROBES = 40
"""Most values of one of two requirements that are tried for the fewest steps in all."""


@dataclass
class Climb:
    """How far each requirement of a set has to give.

    Attributes
    ----------
    ladders : dict
        Values of each, easier and easier.
    places : dict
        For each how many rungs it has given.
    """

    holding: Holding
    ladders: dict[str, list[str | None]]
    places: dict[str, int]
    conflicts: Sequence[tuple[str, ...]] = ()
    open: bool = False

    def values(self, places: dict[str, int]) -> dict[str, str | None]:
        """What is asked in place of the values of the site file."""
        return {i: self.ladders[i][n - 1] for i, n in places.items() if n and i != BUDGET}

    def verdict(self, places: dict[str, int]) -> bool | None:
        """Whether that is enough; None where time ran out."""
        changes = self.values(places)
        site = self.holding.relaxed(changes)
        if site is None or self.ruled_out(places):
            return False
        return self.holding.within(site, not places.get(BUDGET))

    def ruled_out(self, places: dict[str, int]) -> bool:
        """Whether a known conflict stands in spite of the changes: a small site tells that."""
        changes = self.values(places)
        return any(self.holding.stands(conflict, changes) for conflict in self.conflicts)

    def lowest(self, one: str, places: dict[str, int]) -> int:
        """The fewest rungs of one requirement, the others as they are.

        What the known conflicts rule out comes first; what is left is asked of the whole site.
        """
        high = places[one]
        low = _last(0, high, lambda n: self.ruled_out({**places, one: n}))
        return _last(low, high, lambda n: not self._enough(one, n, places)) + 1

    def _enough(self, one: str, number: int, places: dict[str, int]) -> bool:
        verdict = self.verdict({**places, one: number})
        self.open = self.open or verdict is None
        return verdict is True

    @property
    def steps(self) -> int:
        return sum(self.places.values())


def _local(holding: Holding, conflict: tuple[str, ...]) -> bool:
    """Whether a conflict is of few places, so that they are asked for less than all."""
    places = {i.partition("/")[0] for i in conflict}
    zones = sum(z in places for z in holding.zones)
    return BUDGET not in conflict and _SHARE * zones <= len(holding.zones)


def _last(low: int, high: int, short: Callable[[int], bool]) -> int:
    """The last rung that falls short, where low does and high does not; galloping, then halving."""
    step = 1
    while low + step < high:
        if not short(low + step):
            high = low + step
            break
        low, step = low + step, 2 * step
    while high - low > 1:
        middle = (low + high) // 2
        if short(middle):
            low = middle
        else:
            high = middle
    return low


def smallest(
    holding: Holding, chosen: tuple[str, ...], conflicts: Sequence[tuple[str, ...]] = ()
) -> Climb | None:
    """A way out that changes just these requirements, none of them further than it must.

    Parameters
    ----------
    conflicts : sequence of tuple of str
        Known ones; they tell of a small site what would be harder to tell of the whole.

    Returns
    -------
    Climb or None
        None where time ran out before a design of it was found, or where the changed site cannot
        be asked for.
    """
    ladders = {i: rungs(holding.listed[i]) for i in chosen}
    top = {i: len(ladders[i]) for i in chosen}
    touched = [c for c in conflicts if not set(c).isdisjoint(chosen) and _local(holding, c)]
    climb = Climb(holding, ladders, dict(top), touched)
    if climb.verdict(top) is not True:
        return None
    stepped = [i for i in chosen if i != BUDGET]
    best: dict[str, int] | None = None
    for order in (stepped, stepped[::-1]) if len(stepped) > 1 else (stepped,):
        places = dict(top)
        for one in order:
            places[one] = climb.lowest(one, places)
        if best is None or sum(places.values()) < sum(best.values()):
            best = places
    assert best is not None
    if len(stepped) == 2:
        best = _fewest(climb, top, best, stepped[0], stepped[1])
    climb.places = best
    return climb


def _fewest(
    climb: Climb, top: dict[str, int], best: dict[str, int], one: str, two: str
) -> dict[str, int]:
    """Of two requirements that give against each other, the pair of rungs with the smallest sum."""
    first = {**top}
    first[one] = climb.lowest(one, first)
    most = first[one] + _PAIR_PROBES
    for number in range(first[one], min(top[one], most) + 1):
        room = sum(best.values()) - number - 1
        room -= sum(n for i, n in best.items() if i not in (one, two))
        if room < 1:
            break
        tried = {**best, one: number, two: min(room, top[two])}
        if climb.verdict(tried) is True:
            best = {**tried, two: climb.lowest(two, tried)}
    return best


def each_needed(climb: Climb, places: dict[str, int]) -> bool:
    """Whether a step less of any, all else as it is, is proven not to be enough."""
    return all(
        climb.verdict({**places, one: number - 1}) is False
        for one, number in places.items()
        if one != BUDGET
    ) and (BUDGET not in places or climb.verdict({**places, BUDGET: 0}) is False)


__all__ = ["Climb", "each_needed", "smallest"]
