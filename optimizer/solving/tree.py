"""A tree of cases over the few counts that decide a kit: recorders, boxes, supplies, tools, tiers.

Which cameras, paths and feeds are chosen is nearly settled by the linear relaxation once it is
known what is bought; what it gets wrong is that it buys parts of a recorder or a box. So cases are
made over what is bought, and the rest of a case is left to CP-SAT when little is left of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from optimizer.model.program import Program
from optimizer.solving.relaxing import Point, Relaxer, whole

_WHOLE = 1e-6
_TRIED = 4
_STEPS = 20
_PROBING_STEPS = 50
_KINDS = (
    "family/", "recorder/", "array/", "drives/", "box/", "supply/", "switch/", "tool/", "offer/",
    "buy/", "change/",
)  # fmt: skip
_ORDER: tuple[tuple[str, ...], ...] = (
    ("family/",), ("recorder/",), ("box/", "supply/", "switch/", "tool/"),
)  # fmt: skip
"""Kinds that are made whole one after another, before all others: with recorders that are whole
half of what the relaxation lacks is gone, with boxes and supplies most of the rest."""

_WAYS = ("feed/", "path/", "seen/", "stream/", "on/", "steer/", "sound/")

Fixed = dict[int, tuple[int, int]]


@dataclass(frozen=True)
class Node:
    """A case: bounds in place of those of the program, and what is known of it."""

    fixed: Fixed
    bound: float
    basis: object = field(default=None, compare=False)


@dataclass
class Gains:
    """How much the bound rose, for each unit by which a count was pushed off its fraction."""

    seen: dict[tuple[int, int], tuple[float, int]] = field(default_factory=dict)

    def add(self, var: int, way: int, gain: float) -> None:
        """Remember a gain."""
        total, times = self.seen.get((var, way), (0.0, 0))
        self.seen[var, way] = (total + gain, times + 1)

    def score(self, var: int, down: float) -> float | None:
        """What branching on a count promises; None if it was never tried."""
        low, high = self.seen.get((var, 0)), self.seen.get((var, 1))
        if low is None or high is None:
            return None
        return max(low[0] / low[1] * down, 1.0) * max(high[0] / high[1] * (1 - down), 1.0)


class Tree:
    """Expands cases; keeps the linear relaxation and what was learned on the way."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.relaxer = Relaxer(program)
        self.counts = np.array(
            [i for i, n in enumerate(program.names) if n.startswith(_KINDS)], dtype=np.int64
        )
        self.ways = np.array(
            [i for i, n in enumerate(program.names) if n.startswith(_WAYS)], dtype=np.int64
        )
        self.lower = np.array(program.lower)
        self.upper = np.array(program.upper)
        self.gains = Gains()

    def limits(self, fixed: Fixed, var: int) -> tuple[int, int]:
        """Bounds of a variable in a case."""
        return fixed.get(var, (int(self.lower[var]), int(self.upper[var])))

    def relax(self, node: Node) -> Point:
        """The relaxation of a case."""
        return self.relaxer.solve(node.fixed, node.basis)

    def open_counts(self, point: Point) -> list[int]:
        """Counts that are not whole."""
        values = point.primal[self.counts]
        return [int(i) for i in self.counts[np.abs(values - np.round(values)) > _WHOLE]]

    def tightened(self, fixed: Fixed, point: Point, cutoff: int, every: bool) -> Fixed:
        """Bounds beyond which a solution would cost the cutoff or more, by reduced costs.

        Parameters
        ----------
        every : bool
            For all variables, not only for the counts.
        """
        room = cutoff - 1 - point.value + max(0.01, 1e-7 * abs(point.value))
        chosen = np.arange(len(self.lower)) if every else self.counts
        cost = point.reduced[chosen]
        steps = np.floor(
            np.divide(room, np.abs(cost), where=np.abs(cost) > 1e-6, out=np.full(len(chosen), 1e15))
            + 1e-6
        )
        out = dict(fixed)
        for index in np.nonzero(steps < 1e9)[0]:
            var, step = int(chosen[index]), int(steps[index])
            low, high = self.limits(out, var)
            if cost[index] > 0 and low + step < high:
                out[var] = (low, low + step)
            elif cost[index] < 0 and high - step > low:
                out[var] = (high - step, high)
        return out

    def probed(self, fixed: Fixed, point: Point, cutoff: float) -> Fixed:
        """Bounds without price breaks and offers that are proven too dear to be reached.

        A relaxation buys at the price for many by reaching a part of the number it takes. To reach
        it whole often costs the cutoff or more.
        """
        self.stop_at(cutoff)
        out = dict(fixed)
        for var in self.open_counts(point):
            name = self.program.names[var]
            if self.limits(out, var) == (0, 1) and (
                name.endswith(".tier") or name.startswith("offer/")
            ):
                reached = {**out, var: (1, 1)}
                if self.relaxer.lies_above(reached, point.basis, _PROBING_STEPS):
                    out[var] = (0, 0)
        return out

    def stop_at(self, cutoff: float) -> None:
        """Stop relaxations that are proven to cost the cutoff or more."""
        self.relaxer.stop_above(cutoff - 1 + max(0.01, 1e-7 * abs(cutoff)))

    def split(self, node: Node, point: Point, cutoff: float) -> list[Node]:
        """The cases that a case falls into, without those that can be no cheaper."""
        var = self._choose(node, point, cutoff)
        found = []
        for way, fixed in enumerate(self._sides(node.fixed, var, point.primal[var])):
            below = self.relaxer.solve(fixed, point.basis)
            value = below.value if below.exact else node.bound
            self.gains.add(var, way, self._gain(point, var, way, value, cutoff))
            bound = max(node.bound, whole(value))
            if bound < cutoff:
                found.append(Node(fixed, bound, below.basis or point.basis))
        return found

    def _rank(self, var: int) -> int:
        name = self.program.names[var]
        found = (rank for rank, kinds in enumerate(_ORDER) if name.startswith(kinds))
        return next(found, len(_ORDER))

    def _choose(self, node: Node, point: Point, cutoff: float) -> int:
        counts = self.open_counts(point)
        rank = min(self._rank(var) for var in counts)
        candidates = [var for var in counts if self._rank(var) == rank]
        values = point.primal
        fresh = [i for i in candidates if self._score(i, values) is None]
        fresh.sort(key=lambda i: (-self._weight(i, values), i))
        for var in fresh[:_TRIED]:
            for way, fixed in enumerate(self._sides(node.fixed, var, values[var])):
                guess = self.relaxer.solve(fixed, point.basis, _STEPS)
                self.gains.add(var, way, self._gain(point, var, way, guess.value, cutoff))
        return max(candidates, key=lambda i: (self._score(i, values) or 0.0, -i))

    def _weight(self, var: int, values: NDArray[np.float64]) -> float:
        part = values[var] - math.floor(values[var])
        return float(min(part, 1 - part) * (1 + abs(self.program.cost[var])))

    def _score(self, var: int, values: NDArray[np.float64]) -> float | None:
        return self.gains.score(var, float(values[var] - math.floor(values[var])))

    @staticmethod
    def _gain(point: Point, var: int, way: int, value: float, cutoff: float) -> float:
        down = point.primal[var] - math.floor(point.primal[var])
        rise = min(value, cutoff if math.isfinite(cutoff) else 2 * point.value + 1) - point.value
        return max(float(rise), 0.0) / max(float(down if way == 0 else 1 - down), _WHOLE)

    def _sides(self, fixed: Fixed, var: int, value: float) -> tuple[Fixed, Fixed]:
        low, high = self.limits(fixed, var)
        floor = math.floor(value)
        return {**fixed, var: (low, floor)}, {**fixed, var: (floor + 1, high)}

    def near(self, fixed: Fixed, point: Point, places: int, share: int) -> Fixed:
        """A case narrowed to what its relaxation uses, or would use for little more.

        Parameters
        ----------
        places : int
            Zone tables and audio points.
        share : int
            Ways kept for each of them.
        """
        cost = point.reduced[self.ways]
        if not len(cost):
            return fixed
        limit = np.sort(cost)[min(len(cost) - 1, share * places)]
        out = dict(fixed)
        for var in self.ways[(cost > limit) & (point.primal[self.ways] < _WHOLE)]:
            low, _ = self.limits(fixed, int(var))
            out[int(var)] = (low, low)
        return out
