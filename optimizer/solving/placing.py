"""Cameras on a plan: the choice of views by itself, before and beside the search for the kit.

Where only the choice of views counts, with a weight for each camera, what is left is a covering
problem, and a small one: on a mount, a view gives way to one that sees as much with a camera of no
more weight, whatever else the two cameras need. It is solved for two sets of weights. The least
number of cameras, and the least that cameras wired by themselves can cost, hold for every kit
(:class:`Floor`); the second choice is where the search starts.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from optimizer.errors import Defect
from optimizer.instance import Instance
from optimizer.instance.covering import Cover
from optimizer.instance.tables import Aim, Viewing, ZoneTable
from optimizer.instance.viewing import viewing as viewing_of
from optimizer.model.draft import Draft
from optimizer.model.families.viewing import write_zones
from optimizer.model.program import Program
from optimizer.solving import highs
from optimizer.solving.covering import least_cover
from optimizer.solving.cpsat import CpSat
from optimizer.solving.outcome import Outcome

Progress = Callable[[str], None]
Weights = Mapping[tuple[int, int], int]

_COUNT_SHARE = 0.35
_COMPLETE_SECONDS = 20.0
_ATTEMPTS = 24
_NEAR_SHARE = 0.5
_PATIENCE = 20
_FREE = 8
_STEP_WORK = 2.0
_HEAVIER = 3.0
_CPSAT_SHARE = 0.3


class Floor(NamedTuple):
    """Whatever is chosen, the weights of the cameras on mounts sum to at least a bound.

    Attributes
    ----------
    weights : dict of (int, int) to int
        Of each table and candidate.
    """

    name: str
    weights: dict[tuple[int, int], int]
    least: int


@dataclass(frozen=True)
class Placed:
    """What the choice of views alone says.

    Attributes
    ----------
    status : str
        "infeasible" where no choice of views does; then nothing else is known.
    floors : tuple of Floor
        Hold for every kit.
    aims : tuple of int
        Numbers of the aims of a good choice; empty where none was found in time.
    """

    status: str
    floors: tuple[Floor, ...] = ()
    aims: tuple[int, ...] = ()


def place(instance: Instance, seconds: float, say: Progress) -> Placed:
    """Choose views alone, for least cameras and for least weight.

    Parameters
    ----------
    instance : Instance
        With plan zones.
    seconds : float
        Time limit.
    """
    end = time.monotonic() + seconds
    ones = dict.fromkeys(_on_mounts(instance), 1)
    say("choosing views: fewest cameras")
    count = _choose(instance, ones, _COUNT_SHARE * seconds)
    # A bound beyond all cameras that there can be says the same as a proof that none do.
    if count.status == "infeasible" or (count.bound or 0) > len(ones):
        return Placed("infeasible")
    prices = {key: _weight(instance, key) for key in ones}
    say("choosing views: least weight")
    cheap = _choose(instance, prices, end - time.monotonic())
    if cheap.status == "infeasible":
        raise Defect("the fewest cameras are found, yet no choice of views does")
    floors = tuple(
        Floor(name, dict(weights), found.bound or 0)
        for name, weights, found in (("cameras", ones, count), ("price", prices, cheap))
        if (found.bound or 0) > 0
    )
    best = cheap if cheap.aims else count
    return Placed("placed", floors, best.aims)


@dataclass(frozen=True)
class _Chosen:
    status: str
    aims: tuple[int, ...] = ()
    bound: int | None = None


def _on_mounts(instance: Instance) -> list[tuple[int, int]]:
    return [
        (index, number)
        for index, table in enumerate(instance.zones)
        if table.optional
        for number in range(len(table.candidates))
    ]


def _weight(instance: Instance, key: tuple[int, int]) -> int:
    """What a camera costs with its share of a recorder, cabling and drives apart."""
    table = instance.zones[key[0]]
    candidate = table.candidates[key[1]]
    takers = {item for level in candidate.levels for item in level.recorders}
    shares = [f.recorder.price / f.channels for f in instance.recorders if f.item in takers]
    return round(candidate.view.camera.price + min(shares, default=0.0))


def _choose(instance: Instance, weights: Weights, seconds: float) -> _Chosen:
    """The choice of views of least weight."""
    whole = instance.viewing
    assert whole is not None
    least: dict[tuple[int, str, int], int] = {}
    for (index, number), weight in weights.items():
        candidate = instance.zones[index].candidates[number]
        assert candidate.duty is not None
        place_ = (index, candidate.lens, candidate.duty)
        least[place_] = min(least.get(place_, weight), weight)
    kept = _undominated(whole, least)
    aims = [whole.aims[a] for a in kept]
    costs = [least[a.table, a.lens, a.duty] for a in aims]
    rest = viewing_of(
        instance.site, instance.zones, aims, whole.prepared, sure=whole.sure, reduce=True
    )
    if all(s.units is None and not s.zone.apart for s in rest.zones):
        rows = [(g.aims, s.zone.cameras) for s in rest.zones for g in s.groups]
        cover = Cover(
            tuple(costs),
            tuple(r for r, _ in rows),
            tuple(n for _, n in rows),
            tuple(a.table for a in aims),
        )
        covered = least_cover(cover, seconds)
        chosen = () if covered.chosen is None else tuple(kept[c] for c in covered.chosen)
        return _Chosen(covered.status, chosen, covered.bound)
    found = _with_shares(instance, rest, aims, costs, seconds)
    if found.values is None:
        return _Chosen(found.status, (), found.bound)
    return _Chosen(found.status, tuple(a for a, x in zip(kept, found.values, strict=False) if x),
                   found.bound)  # fmt: skip


def _undominated(viewing: Viewing, least: Mapping[tuple[int, str, int], int]) -> list[int]:
    """Aims that no other one of their mount outdoes at no more weight."""
    by_mount: dict[int, list[int]] = {}
    for number, aim in enumerate(viewing.aims):
        if (aim.table, aim.lens, aim.duty) in least:
            by_mount.setdefault(aim.table, []).append(number)
    kept = []
    for numbers in by_mount.values():
        sets = {n: frozenset(viewing.aims[n].cells) for n in numbers}
        weight = {n: least[_place(viewing.aims[n])] for n in numbers}
        mine: list[int] = []
        for n in sorted(numbers, key=lambda n: (weight[n], -len(sets[n]), n)):
            if not any(sets[n] <= sets[other] for other in mine):
                mine.append(n)
        kept += sorted(mine)
    return kept


def _place(aim: Aim) -> tuple[int, str, int]:
    return aim.table, aim.lens, aim.duty


def _with_shares(
    instance: Instance, viewing: Viewing, aims: list[Aim], costs: list[int], seconds: float
) -> Outcome:
    """The choice of least weight where shares or directions are asked."""
    program = Program()
    by_mount: dict[int, list[tuple[int, int]]] = {}
    for number, (aim, cost) in enumerate(zip(aims, costs, strict=True)):
        var = program.var(f"aim/{number}", 1, cost=cost)
        by_mount.setdefault(aim.table, []).append((var, 1))
    for mount, terms in by_mount.items():
        program.row(f"mount/{mount}", [], terms, hi=1)
    names = {i: table.name for i, table in enumerate(instance.zones) if table.optional}
    write_zones(program, viewing, range(len(aims)), names)
    end = time.monotonic() + seconds
    first = _greedy(viewing, aims, costs)
    known = None if first is None else _completed(program, viewing, first)
    if known is not None:
        known = _nearer(instance, program, aims, known, _NEAR_SHARE * seconds)
    solver = CpSat(program)
    solver.hint(known)
    outcome = solver.solve(_CPSAT_SHARE * seconds)
    if outcome.values is None and outcome.status == "unknown" and known is not None:
        outcome = Outcome("feasible", known, program.value(known), outcome.bound)
    if outcome.status in ("optimal", "infeasible"):
        return outcome
    other = highs.solve(program, max(end - time.monotonic(), 1.0), start=outcome.values)
    if other.status in ("optimal", "infeasible"):
        return other
    bound = max((o.bound for o in (outcome, other) if o.bound is not None), default=None)
    best = min(
        (o for o in (outcome, other) if o.values is not None),
        key=lambda o: o.objective or 0,
        default=outcome,
    )
    return Outcome(best.status, best.values, best.objective, bound)


def _greedy(viewing: Viewing, aims: list[Aim], costs: list[int]) -> set[int] | None:
    """Aims chosen one by one; zones that were left short weigh more in the next attempt."""
    weights = [1.0] * len(viewing.zones)
    for _ in range(_ATTEMPTS):
        attempt = _Attempt(viewing, aims, costs, weights)
        chosen = attempt.run(range(len(aims)))
        if chosen is not None:
            for one in sorted(chosen, key=lambda a: (-costs[a], a)):
                rest = _Attempt(viewing, aims, costs, weights).run(sorted(chosen - {one}))
                chosen = chosen if rest is None else rest
            return chosen
        for zone in attempt.short():
            weights[zone] *= _HEAVIER
    return None


class _Attempt:
    """Aim by aim, the most of what is lacking for its weight."""

    def __init__(
        self, viewing: Viewing, aims: list[Aim], costs: list[int], weights: list[float]
    ) -> None:
        self.viewing, self.aims, self.costs, self.weights = viewing, aims, costs, weights
        self.groups = [(n, g) for n, seen in enumerate(viewing.zones) for g in seen.groups]
        self.close = [set(group.close) for _, group in self.groups]
        self.sees: list[list[int]] = [[] for _ in aims]
        for number, (_, group) in enumerate(self.groups):
            for a in group.aims:
                self.sees[a].append(number)
        self.counted: list[list[int]] = [[] for _ in self.groups]
        # What each zone lacks: units of its area, or, where all is asked, groups of cells.
        self.left = [len(s.groups) if s.units is None else s.units for s in viewing.zones]

    def run(self, among: Sequence[int]) -> set[int] | None:
        """Aims among some; None if that leads nowhere."""
        chosen: set[int] = set()
        free = list(among)
        while self.short():
            gains = [(self._gain(a), -a) for a in free]
            gain, best = max(gains, default=(0.0, 0))
            if gain <= 0:
                return None
            for group in self._news(-best):
                self._count(group, self.aims[-best].table)
            chosen.add(-best)
            free = [a for a in free if self.aims[a].table != self.aims[-best].table]
        return chosen

    def short(self) -> list[int]:
        """Zones of which too little is seen."""
        return [zone for zone, left in enumerate(self.left) if left > 0]

    def _news(self, a: int) -> list[int]:
        """Groups that lack cameras and for which an aim counts."""
        mount = self.aims[a].table
        return [
            g
            for g in self.sees[a]
            if self.left[self.groups[g][0]] > 0
            and len(self.counted[g]) < self.viewing.zones[self.groups[g][0]].zone.cameras
            and not any(
                (m, mount) in self.close[g] or (mount, m) in self.close[g] for m in self.counted[g]
            )
        ]

    def _gain(self, a: int) -> float:
        total = sum(
            self.weights[self.groups[g][0]] * (self.groups[g][1].units + 1) for g in self._news(a)
        )
        return total / max(self.costs[a], 1)

    def _count(self, group: int, mount: int) -> None:
        zone, one = self.groups[group]
        seen = self.viewing.zones[zone]
        self.counted[group].append(mount)
        if len(self.counted[group]) == seen.zone.cameras:
            self.left[zone] -= 1 if seen.units is None else one.units


def _nearer(
    instance: Instance,
    program: Program,
    aims: list[Aim],
    known: tuple[int, ...],
    seconds: float,
) -> tuple[int, ...]:
    """A choice made cheaper in steps: a few mounts near each other are chosen anew at a time."""
    end = time.monotonic() + seconds
    assert instance.viewing is not None
    at = {m.id: m.at for m in instance.viewing.prepared.scene.mounts}
    tables = sorted({aim.table for aim in aims})
    place_of = {t: at[instance.zones[t].name] for t in tables}
    rng = random.Random(1)
    failed = 0
    while failed < _PATIENCE and time.monotonic() < end:
        centre = place_of[rng.choice(tables)]
        free = set(sorted(tables, key=lambda t: math.dist(place_of[t], centre))[:_FREE])
        solver = CpSat(program)
        for number, aim in enumerate(aims):
            if aim.table not in free:
                solver.fix(number, known[number])
        solver.hint(known)
        found = solver.solve(max(end - time.monotonic(), 0.1), work=_STEP_WORK)
        failed += 1
        if found.values is not None and program.value(found.values) < program.value(known):
            known, failed = found.values, 0
    return known


def _completed(program: Program, viewing: Viewing, chosen: set[int]) -> tuple[int, ...] | None:
    """All variables of the choice of some aims; None if it breaks a row."""
    solver = CpSat(program)
    for number in range(len(viewing.aims)):
        solver.fix(number, int(number in chosen))
    return solver.solve(_COMPLETE_SECONDS, first=True).values


def with_floors(draft: Draft, floors: Sequence[Floor]) -> Draft:
    """The program with what is proven of every choice of views; these rows are an aid."""
    for floor in floors:
        terms = [(draft.cameras[key], weight) for key, weight in floor.weights.items()]
        draft.program.row(f"view/floor/{floor.name}", ["fact/views"], terms, lo=floor.least)
    return draft


def seeing_all(instance: Instance) -> Instance:
    """The instance in which a camera sees at once what it could see in all of its aims.

    No kit of the instance itself costs less than the cheapest of this one, which is far smaller.
    """
    whole = instance.viewing
    assert whole is not None
    cells: dict[tuple[int, str, int], set[int]] = {}
    first: dict[tuple[int, str, int], Aim] = {}
    for aim in whole.aims:
        first.setdefault(_place(aim), aim)
        cells.setdefault(_place(aim), set()).update(aim.cells)
    aims = [replace(first[key], cells=tuple(sorted(seen))) for key, seen in cells.items()]
    rest = viewing_of(
        instance.site, instance.zones, aims, whole.prepared, sure=whole.sure, reduce=True
    )
    return replace(instance, viewing=replace(rest, over=whole.over))


def narrowed_to(instance: Instance, chosen: tuple[int, ...]) -> Instance:
    """The instance with some aims only; other mounts stay without a camera.

    A mount may bear any camera with the lens and the duty of one of its aims.
    """
    whole = instance.viewing
    assert whole is not None
    aims = [whole.aims[a] for a in chosen]
    places = {_place(a) for a in aims}
    tables: list[ZoneTable] = []
    for index, table in enumerate(instance.zones):
        if table.optional:
            kept = tuple(c for c in table.candidates if (index, c.lens, c.duty) in places)
            table = replace(table, candidates=kept)
        tables.append(table)
    rest = viewing_of(instance.site, tables, aims, whole.prepared, sure=whole.sure, reduce=True)
    return replace(instance, zones=tuple(tables), viewing=replace(rest, over=whole.over))
