"""Finding the optimum of a program, and proving it.

The site is split into cases: first by which signal families are used at all, then by counts of
what is bought (see :mod:`optimizer.solving.tree`), cheapest bound first. A case of which little is
left goes to CP-SAT with the cheapest price known as its limit; how little is learned on the way,
in deterministic units, so that the same site takes the same way on any machine.
"""

from __future__ import annotations

import heapq
import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product

from optimizer.model.draft import Draft
from optimizer.model.program import FREE, Program
from optimizer.solving.cpsat import CpSat
from optimizer.solving.outcome import Outcome
from optimizer.solving.relaxing import Point, whole
from optimizer.solving.tree import Fixed, Node, Tree

Progress = Callable[[str], None]

_FIRST_WORK = 0.5
_LEAF_WORK = 0.4
_FEW = 20
_OFTEN = 25
_LEAF = {"add_zero_half_cuts": False, "add_cg_cuts": False}


@dataclass(frozen=True)
class Found:
    """What is known after the search.

    Attributes
    ----------
    status : str
        As in :class:`~optimizer.solving.outcome.Outcome`.
    bound : int or None
        Proven: no solution costs less.
    """

    status: str
    values: tuple[int, ...] | None
    objective: int | None
    bound: int | None


def minimise(draft: Draft, seconds: float, progress: Progress) -> Found:
    """Find the cheapest solution of a program.

    Parameters
    ----------
    seconds : float
        Time limit.
    """
    places = len(draft.instance.zones) + len(draft.instance.sounds)
    return _Search(draft.program, places, seconds, progress).run()


class _Search:
    def __init__(
        self, program: Program, places: int, seconds: float, progress: Progress
    ) -> None:
        self.program, self.say = program, progress
        self.end = time.monotonic() + seconds
        self.tree = Tree(program)
        self.best: Outcome | None = None
        self.places = places
        self.worked = 0
        self.heap: list[tuple[float, int, Node]] = []
        self.pushed = 0
        # A case goes to CP-SAT when its room is this share of the price. Learned on the way.
        self.share = 0.02

    @property
    def left(self) -> float:
        return self.end - time.monotonic()

    @property
    def cutoff(self) -> float:
        """A solution must cost less than this."""
        return math.inf if self.best is None else float(self.best.objective or 0)

    def run(self) -> Found:
        self._start()
        while self.heap and self.left > 0:
            _, _, node = heapq.heappop(self.heap)
            if node.bound >= self.cutoff:
                self.heap.clear()
                break
            self._work(node)
            self.worked += 1
            if self.worked % _OFTEN == 0:
                self._report()
        open_ = [node.bound for _, _, node in self.heap]
        if self.best is None:
            bound = int(min(open_)) if open_ else None
            return Found("unknown" if open_ else "infeasible", None, None, bound)
        objective = self.best.objective or 0
        bound = int(min([objective, *open_]))
        status = "optimal" if bound >= objective else "feasible"
        return Found(status, self.best.values, objective, bound)

    def _report(self) -> None:
        price = "none yet" if self.best is None else f"{(self.best.objective or 0) / 100:.2f}"
        bound = min((b for b, _, _ in self.heap), default=0.0)
        self.say(f"cheapest so far {price}; {len(self.heap)} cases left, from {bound / 100:.2f}")

    def _push(self, node: Node) -> None:
        self.pushed += 1
        heapq.heappush(self.heap, (node.bound, self.pushed, node))

    def _start(self) -> None:
        """The cases of families that the relaxation leaves open, and first designs in them."""
        families = [i for i, n in enumerate(self.program.names) if n.startswith("family/")]
        basis: object = None
        found: list[tuple[Node, Point]] = []
        for choice in product((1, 0), repeat=len(families)):
            if families and not any(choice):
                continue
            fixed = {f: (c, c) for f, c in zip(families, choice, strict=True)}
            point = self.tree.relaxer.solve(fixed, basis)
            basis = point.basis or basis
            if not math.isinf(point.value):
                bound = whole(point.value) if point.exact else -FREE
                found.append((Node(fixed, bound, point.basis or basis), point))
        found.sort(key=lambda pair: pair[0].bound)
        for node, _ in found:
            self._push(node)
        for node, point in found:
            if node.bound < self.cutoff and self.left > 0 and point.exact:
                self._design(node.fixed, point, _FEW)
        self._report()

    def _design(self, fixed: Fixed, point: Point, share: int) -> Outcome:
        """A good design of a case: what its relaxation uses, made whole by CP-SAT."""
        near = self.tree.near(fixed, point, self.places, share)
        outcome = self._cpsat(near, _FIRST_WORK)
        self._take(outcome)
        return outcome

    def _take(self, outcome: Outcome) -> None:
        if outcome.objective is not None and outcome.objective < self.cutoff:
            self.best = outcome

    def _cpsat(self, fixed: Fixed, work: float | None) -> Outcome:
        program = restricted(self.program, fixed)
        model = CpSat(program)
        if self.best is not None:
            model.add_row(model.cost, hi=int(self.cutoff) - 1)
        return model.solve(max(self.left, 0.1), work=work, search=_LEAF)

    def _work(self, node: Node) -> None:
        """Close a case, or split it."""
        point = self.tree.relax(node)
        if math.isinf(point.value):
            return
        if not point.exact:
            self._finish(node, node.fixed)
            return
        bound = max(node.bound, whole(point.value))
        if bound >= self.cutoff:
            return
        node = replace(node, bound=bound)
        if not self.tree.open_counts(point):
            self._finish(node, self._narrow(node, point, every=True))
            return
        if self.worked % _OFTEN == _OFTEN // 3:
            self._design(node.fixed, point, _FEW)
            if bound >= self.cutoff:
                return
        if self.best is not None:
            room = (self.cutoff - bound) / self.cutoff
            if room <= self.share and self._close(node, point):
                return
            node = replace(node, fixed=self._narrow(node, point, every=False))
        for child in self.tree.split(node, point, self.cutoff):
            self._push(child)

    def _narrow(self, node: Node, point: Point, every: bool) -> Fixed:
        if self.best is None:
            return node.fixed
        return self.tree.tightened(node.fixed, point, int(self.cutoff), every)

    def _close(self, node: Node, point: Point) -> bool:
        """Let CP-SAT try a case for a short while."""
        outcome = self._cpsat(self._narrow(node, point, every=True), _LEAF_WORK)
        self._take(outcome)
        closed = outcome.status in ("optimal", "infeasible")
        self.share = min(self.share * (1.1 if closed else 0.8), 0.2)
        return closed

    def _finish(self, node: Node, fixed: Fixed) -> None:
        """A case that cannot be split: CP-SAT has the last word, or it stays open."""
        outcome = self._cpsat(fixed, None)
        self._take(outcome)
        if outcome.status in ("feasible", "unknown"):
            self._push(replace(node, bound=max(node.bound, outcome.bound or node.bound)))


def restricted(program: Program, fixed: Fixed) -> Program:
    """A program with other bounds."""
    lower, upper = list(program.lower), list(program.upper)
    for var, (low, high) in fixed.items():
        lower[var], upper[var] = low, high
    return replace(program, lower=lower, upper=upper)


__all__ = ["Found", "minimise", "restricted"]
