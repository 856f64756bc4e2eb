"""Cameras on a plan: the choice of views by itself, before and beside the search for the kit.

Where only the choice of views counts, with a weight for each camera, what is left is a covering
problem, and a small one: on a mount, a view gives way to one that sees as much with a camera of no
more weight, whatever else the two cameras need. It is solved for two sets of weights. The least
number of cameras, and the least that cameras wired by themselves can cost, hold for every kit
(:class:`Floor`); the second choice is where the search starts.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from optimizer.errors import Defect
from optimizer.instance import Instance
from optimizer.instance.covering import Cover
from optimizer.instance.tables import Aim, Viewing, ZoneTable
from optimizer.instance.viewing import viewing as viewing_of
from optimizer.model.draft import Draft
from optimizer.model.families import linking
from optimizer.model.program import Row
from optimizer.plan.dominating import Sets, marked, undominated
from optimizer.solving.covering import least_cover
from optimizer.solving.partly import least_choice

Progress = Callable[[str], None]
Weights = Mapping[tuple[int, int], int]
Values = tuple[int, ...]

_COUNT_SHARE = 0.35

CAMERAS = "cameras"
"""Name of the floor under the number of cameras."""


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

    @property
    def row(self) -> str:
        """Name of its row."""
        return f"view/floor/{self.name}"


@dataclass(frozen=True)
class Chosen:
    """A choice of views.

    Attributes
    ----------
    status : str
        As in :class:`~optimizer.solving.outcome.Outcome`.
    aims : tuple of int
        Numbers of the aims; empty where none was found in time.
    bound : int or None
        No choice weighs less.
    """

    status: str
    aims: tuple[int, ...] = ()
    bound: int | None = None


def floor_of(name: str, weights: Weights, chosen: Chosen) -> list[Floor]:
    """What a choice of views by some weights proves of every kit, if anything."""
    least = chosen.bound or 0
    return [Floor(name, dict(weights), least)] if least > 0 else []


@dataclass(frozen=True)
class Placed:
    """What is proven of every choice of views, without a look at the rest of the kit.

    Attributes
    ----------
    possible : bool
        Whether there may be one.
    """

    possible: bool
    floors: tuple[Floor, ...] = ()


def place(instance: Instance, seconds: float) -> Placed:
    """What is proven of the choice of views by itself, for least cameras and for least weight.

    Parameters
    ----------
    instance : Instance
        With plan zones.
    seconds : float
        Time limit.
    """
    end = time.monotonic() + seconds
    ones = dict.fromkeys(on_mounts(instance), 1)
    count = choose(instance, ones, _COUNT_SHARE * seconds)
    if hopeless(count, ones):
        return Placed(False)
    prices = {key: weight_of(instance, key) for key in ones}
    cheap = choose(instance, prices, end - time.monotonic(), count.aims)
    if cheap.status == "infeasible":
        raise Defect("the fewest cameras are found, yet no choice of views does")
    floors = floor_of(CAMERAS, ones, count) + floor_of("price", prices, cheap)
    return Placed(True, tuple(floors))


def hopeless(chosen: Chosen, weights: Weights) -> bool:
    """Whether it is proven that no choice of views does.

    A bound beyond all cameras that there can be says the same as a proof that none do.
    """
    return chosen.status == "infeasible" or (chosen.bound or 0) > sum(weights.values())


def on_mounts(instance: Instance) -> list[tuple[int, int]]:
    """Table and number of each candidate on a mount."""
    return [
        (index, number)
        for index, table in enumerate(instance.zones)
        if table.optional
        for number in range(len(table.candidates))
    ]


def weight_of(instance: Instance, key: tuple[int, int]) -> int:
    """What a camera costs with its share of a recorder, cabling and drives apart."""
    table = instance.zones[key[0]]
    candidate = table.candidates[key[1]]
    takers = {item for level in candidate.levels for item in level.recorders}
    shares = [f.recorder.price / f.channels for f in instance.recorders if f.item in takers]
    return round(candidate.view.camera.price + min(shares, default=0.0))


def choose(
    instance: Instance, weights: Weights, seconds: float, start: Iterable[int] = ()
) -> Chosen:
    """The choice of views of least weight, and what is proven of it.

    Parameters
    ----------
    weights : mapping of (int, int) to int
        Of each candidate on a mount, >= 0; see :func:`on_mounts`.
    seconds : float
        Time limit.
    start : iterable of int
        Aims of a choice that is known; empty where none is.
    """
    end = time.monotonic() + seconds
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
        rows = [(tuple(g.aims.tolist()), s.zone.cameras) for s in rest.zones for g in s.groups]
        cover = Cover(
            tuple(costs),
            tuple(r for r, _ in rows),
            tuple(n for _, n in rows),
            tuple(a.table for a in aims),
        )
        covered = least_cover(cover, seconds)
        chosen = () if covered.chosen is None else tuple(kept[c] for c in covered.chosen)
        return Chosen(covered.status, chosen, covered.bound)
    known = _among(whole, kept, start)
    found = least_choice(instance, rest, costs, end - time.monotonic(), known)
    if found.values is None:
        return Chosen(found.status, (), found.bound)
    return Chosen(found.status, tuple(a for a, x in zip(kept, found.values, strict=False) if x),
                   found.bound)  # fmt: skip


def _among(whole: Viewing, kept: Sequence[int], start: Iterable[int]) -> list[int]:
    """For each aim one of those kept that sees as much from the same mount, by place in these."""
    found = []
    for number in start:
        aim = whole.aims[number]
        own = set(aim.cells.tolist())
        found += [
            next(
                place
                for place, k in enumerate(kept)
                if whole.aims[k].table == aim.table and own.issubset(whole.aims[k].cells.tolist())
            )
        ]
    return found


def _undominated(viewing: Viewing, least: Mapping[tuple[int, str, int], int]) -> list[int]:
    """Aims that no other one of their mount outdoes at no more weight."""
    by_mount: dict[int, list[int]] = {}
    for number, aim in enumerate(viewing.aims):
        if (aim.table, aim.lens, aim.duty) in least:
            by_mount.setdefault(aim.table, []).append(number)
    kept = []
    for numbers in by_mount.values():
        flags, _ = marked([viewing.aims[n].cells for n in numbers], len(viewing.prepared.cells))
        weight = np.array([least[place_of(viewing.aims[n])] for n in numbers])
        sets = Sets(flags)
        mine: list[int] = []
        for one in np.unique(weight).tolist():
            rows = np.flatnonzero(weight == one)
            rows = rows[undominated(flags[rows])]
            mine += rows[~sets.held(rows, np.array(mine, dtype=np.int32))].tolist()
        kept += [numbers[row] for row in sorted(mine)]
    return kept


def place_of(aim: Aim) -> tuple[int, str, int]:
    return aim.table, aim.lens, aim.duty


def with_floors(draft: Draft, floors: Sequence[Floor]) -> Draft:
    """The program with what is proven of every choice of views; these rows are an aid."""
    for floor in floors:
        terms = [(draft.cameras[key], weight) for key, weight in floor.weights.items()]
        draft.program.row(floor.row, ["fact/views"], terms, lo=floor.least)
        if floor.name == CAMERAS:
            linking.write_least(draft, floor.least)
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
        first.setdefault(place_of(aim), aim)
        cells.setdefault(place_of(aim), set()).update(aim.cells.tolist())
    aims = [
        replace(first[key], cells=np.array(sorted(seen), dtype=np.int32))
        for key, seen in cells.items()
    ]
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
    places = {place_of(a) for a in aims}
    tables: list[ZoneTable] = []
    for index, table in enumerate(instance.zones):
        if table.optional:
            kept = tuple(c for c in table.candidates if (index, c.lens, c.duty) in places)
            table = replace(table, candidates=kept)
        tables.append(table)
    rest = viewing_of(instance.site, tables, aims, whole.prepared, sure=whole.sure, reduce=True)
    return replace(instance, zones=tuple(tables), viewing=replace(rest, over=whole.over))


def restricted(draft: Draft, chosen: tuple[int, ...]) -> Draft:
    """The whole program with some aims only; variables keep their numbers.

    A mount may bear any camera with the lens and the duty of one of its aims, as in
    :func:`narrowed_to`.
    """
    upper = list(draft.program.upper)
    kept = set(chosen)
    places = {place_of(aim) for number, (aim, _) in enumerate(draft.aims) if number in kept}
    for number, (_, var) in enumerate(draft.aims):
        if number not in kept:
            upper[var] = 0
    for (index, number), var in draft.cameras.items():
        table = draft.instance.zones[index]
        candidate = table.candidates[number]
        if table.optional and (index, candidate.lens, candidate.duty) not in places:
            upper[var] = 0
    rows = [_without_zeros(row, upper) for row in draft.program.rows]
    rows = [row for row in rows if row.cols or row.lo > 0 or row.hi < 0]
    return replace(draft, program=replace(draft.program, upper=upper, rows=rows))


def _without_zeros(row: Row, upper: Sequence[int]) -> Row:
    """A row without the variables that can only be 0: none is below."""
    if all(upper[c] for c in row.cols):
        return row
    terms = [(c, k) for c, k in zip(row.cols, row.coefs, strict=True) if upper[c]]
    return replace(row, cols=tuple(c for c, _ in terms), coefs=tuple(k for _, k in terms))
