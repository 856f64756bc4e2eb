"""The least cover: reduced, bounded by Lagrangian relaxation, then settled by CP-SAT and HiGHS."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from optimizer.instance.covering import Cover, Reduced, reduce
from optimizer.model.program import Program
from optimizer.solving import cpsat, highs
from optimizer.solving.outcome import Outcome

_STEPS = 600
_LOOK = 10
_HALVE = 20
_LEAST_STEP = 0.005
_CPSAT_SHARE = 0.5
_CLOSE = 1e-6

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Covered:
    """What is known of a cover.

    Attributes
    ----------
    status : str
        As in :class:`~optimizer.solving.outcome.Outcome`.
    chosen : tuple of int or None
        Columns, ascending.
    bound : int
        Proven: no cover costs less. 0 where nothing is known.
    """

    status: str
    chosen: tuple[int, ...] | None
    cost: int | None
    bound: int


def least_cover(cover: Cover, seconds: float) -> Covered:
    """Find and prove the least cover.

    Parameters
    ----------
    seconds : float
        Time limit of the solvers; what is proven by then is told.
    """
    end = time.monotonic() + seconds
    reduced = reduce(cover)
    if reduced is None:
        return Covered("infeasible", None, None, 0)
    base = cover.cost(reduced.fixed)
    if not reduced.cover.rows:
        return Covered("optimal", reduced.lifted(()), base, base)
    relaxed = relax(reduced.cover)
    found = _settled(reduced.cover, relaxed, end)
    if found.values is None:
        if found.status == "infeasible":
            return Covered("infeasible", None, None, 0)
        return Covered("unknown", None, None, base + relaxed.bound)
    chosen = reduced.lifted(c for c, x in enumerate(found.values) if x)
    bound = base + max(found.bound or 0, relaxed.bound)
    return Covered(found.status, chosen, cover.cost(chosen), bound)


@dataclass(frozen=True)
class Relaxed:
    """What Lagrangian relaxation says of a cover.

    Attributes
    ----------
    bound : int
        No cover costs less.
    chosen : tuple of int or None
        The least cover met on the way.
    reduced : ndarray, shape (n_columns,)
        Cost of each column less what its rows pay, at the best bound.
    value : float
        The bound before it is rounded up.
    """

    bound: int
    chosen: tuple[int, ...] | None
    reduced: Floats
    value: float


def relax(cover: Cover) -> Relaxed:
    """Bound a cover from below, and find a good one, by subgradient steps.

    With multipliers u >= 0 of the rows, sum of u_i need_i + sum over groups of min(0, least reduced
    cost in the group) costs no more than any cover. Deterministic: a fixed number of steps.

    References
    ----------
    .. [1] Held, Wolfe, Crowder, Validation of subgradient optimization, Mathematical Programming
       6, 1974; Beasley, A Lagrangian heuristic for set-covering problems, Naval Research
       Logistics 37, 1990. From memory.
    """
    sparse = _Sparse(cover)
    costs, needs = sparse.costs, sparse.needs
    each = np.bincount(sparse.column, minlength=len(costs)).astype(float)
    share = costs / np.maximum(each, 1)
    multipliers = np.array([min((share[c] for c in row), default=0.0) for row in cover.rows])
    best_value, best_reduced = -math.inf, costs
    chosen = sparse.greedy(costs)
    upper = math.inf if chosen is None else cover.cost(chosen)
    size, since = 2.0, 0
    for step in range(_STEPS):
        reduced = sparse.reduced(multipliers)
        picked = sparse.cheapest_of_groups(reduced)
        value = float(multipliers @ needs + reduced[picked].sum())
        if value > best_value + 1e-9:
            best_value, best_reduced, since = value, reduced, 0
        else:
            since += 1
        if step % _LOOK == 0:
            other = sparse.greedy(reduced)
            if other is not None and cover.cost(other) < upper:
                chosen, upper = other, cover.cost(other)
        if upper - best_value < 1 - _CLOSE or size < _LEAST_STEP:
            break
        if since >= _HALVE:
            size, since = size / 2, 0
        slope = needs - sparse.count(picked)
        length = float(slope @ slope)
        if length == 0:
            break
        target = upper if math.isfinite(upper) else max(2 * value, 1.0)
        multipliers = np.maximum(0, multipliers + size * (target - value) / length * slope)
    bound = max(0, math.ceil(best_value - 1e-6 * max(1.0, abs(best_value))))
    return Relaxed(bound, chosen, best_reduced, best_value)


class _Sparse:
    """A cover as arrays: entry k says that column[k] covers row[k]."""

    def __init__(self, cover: Cover) -> None:
        self.cover = cover
        self.costs = np.array(cover.costs, dtype=float)
        self.needs = np.array([cover.need(i) for i in range(len(cover.rows))], dtype=float)
        sizes = [len(r) for r in cover.rows]
        self.row: Ints = np.repeat(np.arange(len(cover.rows)), sizes)
        self.column: Ints = np.array([c for r in cover.rows for c in r], dtype=np.int64)
        names = [cover.group(c) for c in range(len(cover.costs))]
        self.group: Ints = np.unique(np.array(names, dtype=np.int64), return_inverse=True)[1]
        order = np.argsort(self.column, kind="stable")
        ends = np.searchsorted(self.column[order], np.arange(len(self.costs) + 1))
        self.rows_of = [self.row[order[a:b]] for a, b in pairwise(ends)]

    def reduced(self, multipliers: Floats) -> Floats:
        """Cost of each column less what its rows pay for it."""
        paid = np.bincount(self.column, multipliers[self.row], minlength=len(self.costs))
        return np.asarray(self.costs - paid)

    def cheapest_of_groups(self, reduced: Floats) -> Ints:
        """For each group its column of least reduced cost, where that is below 0."""
        order = np.lexsort((reduced, self.group))
        first = np.ones(len(order), dtype=bool)
        first[1:] = self.group[order[1:]] != self.group[order[:-1]]
        least = order[first]
        return np.asarray(least[reduced[least] < 0])

    def count(self, chosen: Ints) -> Floats:
        """How many of the chosen columns cover each row."""
        out = np.zeros(len(self.needs))
        for c in chosen:
            out[self.rows_of[c]] += 1
        return out

    def greedy(self, reduced: Floats) -> tuple[int, ...] | None:
        """Cover step by step, least reduced cost for what is newly covered; then take out again."""
        lacking = self.needs.copy()
        news = np.bincount(self.column, minlength=len(self.costs)).astype(float)
        free = np.ones(len(self.costs), dtype=bool)
        chosen: list[int] = []
        while (lacking > 0).any():
            useful = free & (news > 0)
            if not useful.any():
                return None
            score = np.full(len(self.costs), math.inf)
            good = reduced[useful]
            score[useful] = np.where(good > 0, good / news[useful], good * news[useful])
            pick = int(np.argmin(score))
            chosen.append(pick)
            free &= self.group != self.group[pick]
            before = lacking > 0
            lacking[self.rows_of[pick]] -= 1
            full = before & (lacking <= 0)
            news -= np.bincount(self.column[full[self.row]], minlength=len(news))
        return self._pruned(chosen)

    def _pruned(self, chosen: Sequence[int]) -> tuple[int, ...]:
        kept = set(chosen)
        count = self.count(np.array(chosen, dtype=np.int64))
        for column in sorted(chosen, key=lambda c: (-self.cover.costs[c], c)):
            if (count[self.rows_of[column]] > self.needs[self.rows_of[column]]).all():
                kept.remove(column)
                count[self.rows_of[column]] -= 1
        return tuple(sorted(kept))


def _settled(cover: Cover, relaxed: Relaxed, end: float) -> Outcome:
    """The least cover by exact search, among what may cost less than the one that is known."""
    known = None
    if relaxed.chosen is not None:
        known = _values(cover, relaxed.chosen)
        cost = cover.cost(relaxed.chosen)
        if cost <= relaxed.bound:
            return Outcome("optimal", known, cost, cost)
    cover, kept = _worthwhile(cover, relaxed)
    program = as_program(cover)
    cp = cpsat.CpSat(program)
    inner = None if known is None else tuple(known[c] for c in kept)
    cp.hint(inner)
    left = end - time.monotonic()
    outcome = cp.solve(left * _CPSAT_SHARE)
    if outcome.status not in ("optimal", "infeasible"):
        start = outcome.values if outcome.values is not None else inner
        other = highs.solve(program, end - time.monotonic(), start=start)
        outcome = _better(outcome, other)
    if outcome.values is None:
        if known is None:
            return outcome
        return Outcome("feasible", known, program.value(inner or ()), outcome.bound)
    size = len(relaxed.reduced)
    values = [0] * size
    for c, x in zip(kept, outcome.values, strict=True):
        values[c] = x
    return Outcome(outcome.status, tuple(values), outcome.objective, outcome.bound)


def _values(cover: Cover, chosen: Sequence[int]) -> tuple[int, ...]:
    picked = set(chosen)
    return tuple(int(c in picked) for c in range(len(cover.costs)))


def _better(one: Outcome, two: Outcome) -> Outcome:
    if two.status in ("optimal", "infeasible"):
        return two
    bounds = [o.bound for o in (one, two) if o.bound is not None]
    solved = [o for o in (one, two) if o.values is not None]
    best = min(solved, key=lambda o: o.objective or 0, default=one)
    return Outcome(best.status, best.values, best.objective, max(bounds, default=None))


def _worthwhile(cover: Cover, relaxed: Relaxed) -> tuple[Cover, list[int]]:
    """The cover without columns that, by the Lagrangian bound, only dearer covers hold.

    Choosing column j of a group whose least reduced cost is m raises the bound by its reduced cost
    less min(0, m).
    """
    if relaxed.chosen is None:
        return cover, list(range(len(cover.costs)))
    known = set(relaxed.chosen)
    limit = cover.cost(relaxed.chosen) - relaxed.value + _CLOSE * max(1.0, relaxed.value)
    least: dict[int, float] = {}
    for c, r in enumerate(relaxed.reduced):
        least[cover.group(c)] = min(least.get(cover.group(c), 0.0), r)
    kept = [
        c for c, r in enumerate(relaxed.reduced) if c in known or r - least[cover.group(c)] < limit
    ]
    number = {c: n for n, c in enumerate(kept)}
    return (
        Cover(
            costs=tuple(cover.costs[c] for c in kept),
            rows=tuple(tuple(number[c] for c in row if c in number) for row in cover.rows),
            needs=cover.needs,
            groups=tuple(cover.group(c) for c in kept),
        ),
        kept,
    )


def as_program(cover: Cover) -> Program:
    """A cover as a program: a variable for each column, a row for each row and group."""
    program = Program()
    for number, cost in enumerate(cover.costs):
        program.var(f"column/{number}", 1, cost=cost)
    for number, row in enumerate(cover.rows):
        program.row(f"row/{number}", ["cover"], [(c, 1) for c in row], lo=cover.need(number))
    members: dict[int, list[tuple[int, int]]] = {}
    for number in range(len(cover.costs)):
        members.setdefault(cover.group(number), []).append((number, 1))
    for group, terms in members.items():
        if len(terms) > 1:
            program.row(f"group/{group}", ["cover"], terms, hi=1)
    return program


__all__ = ["Covered", "Reduced", "Relaxed", "as_program", "least_cover", "relax"]
