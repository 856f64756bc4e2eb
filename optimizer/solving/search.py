"""Finding the optimum of a program, and proving it.

The site is split into cases: first by which signal families are used at all, then by counts of
what is bought (see :mod:`optimizer.solving.tree`), cheapest bound first. A case of which little is
left goes to CP-SAT, with the cheapest price known as its limit. Two cases of different families
are worked on at a time, on two cores; what each finds is taken up in a fixed order, and efforts are
limited in deterministic units, so that the same site takes the same way on any machine.
"""

from __future__ import annotations

import heapq
import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from itertools import product

from optimizer.model.draft import Draft
from optimizer.model.program import Program
from optimizer.solving.cpsat import CpSat
from optimizer.solving.outcome import Outcome
from optimizer.solving.polishing import FREE_PLACES, Polisher
from optimizer.solving.relaxing import Point, whole
from optimizer.solving.shrinking import Grid, Shrunk, shrink
from optimizer.solving.tree import Fixed, Node, Tree

Progress = Callable[[str], None]

_CORES = 2
_DESIGN_WORK = 0.5
_LEAF_WORK = 0.4
_FEW = 20
_OFTEN = 24
_PATIENCE = 5
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


@dataclass
class _Case:
    """Some families and no others: what is left of the program, and its tree.

    Attributes
    ----------
    share : float
        A node goes to CP-SAT when its room is this share of the price. Learned on the way.
    """

    shrunk: Shrunk
    tree: Tree
    root: Node
    point: Point
    share: float = 0.02
    worked: int = 0

    @property
    def bound(self) -> float:
        """Proven for the whole case, in prices of the whole program."""
        return self.root.bound + self.shrunk.offset


@dataclass
class _Result:
    """What came out of a node: designs, cheaper one last, and the nodes that are left."""

    values: tuple[int, ...] | None = None
    cost: float = math.inf
    nodes: list[Node] = field(default_factory=list)


def minimise(
    draft: Draft, seconds: float, progress: Progress, below: int | None = None
) -> Found:
    """Find the cheapest solution of a program.

    Parameters
    ----------
    seconds : float
        Time limit.
    below : int, optional
        Only solutions that cost less than this are of interest: "infeasible" then says that
        there is none. [hundredth]
    """
    places = len(draft.instance.zones) + len(draft.instance.sounds)
    return _Search(draft.program, places, seconds, progress, below).run()


class _Search:
    def __init__(
        self,
        program: Program,
        places: int,
        seconds: float,
        progress: Progress,
        below: int | None,
    ) -> None:
        self.program, self.places, self.say = program, places, progress
        self.end = time.monotonic() + seconds
        self.grid = Grid(program)
        self.values: tuple[int, ...] | None = None
        self.cutoff = math.inf if below is None else float(below)
        self.heap: list[tuple[float, int, _Case, Node]] = []
        self.pushed = 0

    @property
    def left(self) -> float:
        return self.end - time.monotonic()

    def run(self) -> Found:
        cases = self._cases()
        self._report()
        if self.places > FREE_PLACES:
            self._polish()
            cases = [c for c in map(self._narrowed, cases) if c is not None]
        for case in cases:
            self._push(case, case.root)
        rounds = 0
        with ThreadPoolExecutor(_CORES) as pool:
            while batch := self._batch():
                if self.left <= 0:
                    for case, node in batch:
                        self._push(case, node)
                    break
                futures = [pool.submit(self._work, case, node, self.cutoff) for case, node in batch]
                for (case, _), future in zip(batch, futures, strict=True):
                    self._take(case, future.result())
                rounds += 1
                if rounds % _OFTEN == 0:
                    self._report()
        open_ = [bound for bound, _, _, _ in self.heap if bound < self.cutoff]
        if self.values is None:
            least = int(min(open_)) if open_ and min(open_) > -math.inf else None
            return Found("unknown" if open_ else "infeasible", None, None, least)
        cost = int(self.cutoff)
        least = int(min([self.cutoff, *(max(b, 0.0) for b in open_)]))
        return Found("optimal" if least >= cost else "feasible", self.values, cost, least)

    def _polish(self) -> None:
        """Make the design of a large site cheaper, until several steps in a row fail."""
        polisher = Polisher(self.program, self.grid)
        failed, seed = 0, 0
        with ThreadPoolExecutor(_CORES) as pool:
            while self.values is not None and failed < _PATIENCE and self.left > 0:
                steps = [
                    pool.submit(polisher.step, self.values, self.cutoff, seed + i, self.left)
                    for i in range(_CORES)
                ]
                seed += _CORES
                failed += 1
                for step in steps:
                    better = step.result()
                    if better is not None and better[1] < self.cutoff:
                        self.values, self.cutoff = better
                        failed = 0
                if seed % _OFTEN == 0:
                    self._report()

    def _report(self) -> None:
        price = "none yet" if self.values is None else f"{self.cutoff / 100:.2f}"
        least = min((b for b, _, _, _ in self.heap), default=self.cutoff)
        self.say(f"cheapest so far {price}; {len(self.heap)} cases left, from {least / 100:.2f}")

    def _push(self, case: _Case, node: Node) -> None:
        self.pushed += 1
        heapq.heappush(self.heap, (node.bound + case.shrunk.offset, self.pushed, case, node))

    def _batch(self) -> list[tuple[_Case, Node]]:
        """The nodes of least bound, of different cases."""
        chosen: list[tuple[_Case, Node]] = []
        aside: list[tuple[float, int, _Case, Node]] = []
        while self.heap and len(chosen) < _CORES and len(aside) < 4 * _OFTEN:
            entry = heapq.heappop(self.heap)
            bound, _, case, node = entry
            if bound >= self.cutoff:
                self.heap.clear()
                break
            if any(other is case for other, _ in chosen):
                aside.append(entry)
            else:
                chosen.append((case, node))
        for entry in aside:
            heapq.heappush(self.heap, entry)
        return chosen

    def _cases(self) -> list[_Case]:
        """Cases that the relaxation leaves open, each with a try at a good design."""
        families = [i for i, n in enumerate(self.program.names) if n.startswith("family/")]
        choices = [
            {f: (c, c) for f, c in zip(families, choice, strict=True)}
            for choice in product((1, 0), repeat=len(families))
            if any(choice) or not families
        ]
        with ThreadPoolExecutor(_CORES) as pool:
            cases = [c for c in pool.map(self._case, choices) if c is not None]
            cases.sort(key=lambda c: c.bound)
            for start in range(0, len(cases), _CORES):
                batch = [c for c in cases[start : start + _CORES] if c.bound < self.cutoff]
                if self.left <= 0:
                    break
                tries = [
                    pool.submit(self._design, c, c.root, c.point, self.cutoff - c.shrunk.offset)
                    for c in batch
                ]
                for case, tried in zip(batch, tries, strict=True):
                    self._take(case, tried.result())
            open_ = [c for c in cases if c.bound < self.cutoff]
            return [c for c in pool.map(self._narrowed, open_) if c is not None]

    def _case(self, fixed: Fixed) -> _Case | None:
        shrunk = shrink(self.grid, fixed)
        return None if shrunk is None else _case(shrunk)

    def _narrowed(self, case: _Case) -> _Case | None:
        """The case without what would cost more than the cheapest design known."""
        if math.isinf(self.cutoff) or not case.point.exact:
            return case
        cutoff = int(self.cutoff) - case.shrunk.offset
        fixed = case.tree.tightened({}, case.point, cutoff, every=True)
        again = shrink(Grid(case.shrunk.program), fixed)
        if again is None:
            return None
        settled = case.shrunk.settled.copy()
        settled[case.shrunk.columns] = again.settled
        columns = case.shrunk.columns[again.columns]
        offset = case.shrunk.offset + again.offset
        return _case(Shrunk(again.program, columns, settled, offset))

    def _take(self, case: _Case, result: _Result) -> None:
        cost = result.cost + case.shrunk.offset
        if result.values is not None and cost < self.cutoff:
            self.values, self.cutoff = case.shrunk.lifted(result.values), cost
        for node in result.nodes:
            if node.bound + case.shrunk.offset < self.cutoff:
                self._push(case, node)

    def _cpsat(self, case: _Case, fixed: Fixed, limit: float, work: float | None) -> Outcome:
        model = CpSat(restricted(case.shrunk.program, fixed))
        if not math.isinf(limit):
            model.add_row(model.cost, hi=int(limit) - 1)
        return model.solve(max(self.left, 0.1), work=work, search=_LEAF)

    def _design(self, case: _Case, node: Node, point: Point, limit: float) -> _Result:
        """A good design: what the relaxation of a node uses, made whole by CP-SAT."""
        if not point.exact:
            return _Result()
        near = case.tree.near(node.fixed, point, self.places, _FEW)
        outcome = self._cpsat(case, near, limit, _DESIGN_WORK)
        return _result(outcome)

    def _work(self, case: _Case, node: Node, cutoff: float) -> _Result:
        """Close a node, or split it."""
        limit = cutoff - case.shrunk.offset
        case.worked += 1
        point = case.tree.relax(node)
        bound = max(node.bound, whole(point.value)) if point.exact else node.bound
        if bound >= limit:
            return _Result()
        node = replace(node, bound=bound)
        if not point.exact or not case.tree.open_counts(point):
            return self._finish(case, node, self._narrow(case, node, point, limit, True), limit)
        result = _Result()
        if case.worked % _OFTEN == _OFTEN // 2:
            result = self._design(case, node, point, limit)
            limit = min(limit, result.cost)
        if limit - bound <= case.share * limit and not math.isinf(limit):
            tight = self._narrow(case, node, point, limit, True)
            outcome = self._cpsat(case, tight, limit, _LEAF_WORK)
            closed = outcome.status in ("optimal", "infeasible")
            case.share = min(case.share * (1.1 if closed else 0.8), 0.2)
            better = _result(outcome)
            if better.cost < result.cost:
                result = better
            if closed:
                return result
            limit = min(limit, result.cost)
        node = replace(node, fixed=self._narrow(case, node, point, limit, False))
        result.nodes = case.tree.split(node, point, limit)
        return result

    @staticmethod
    def _narrow(case: _Case, node: Node, point: Point, limit: float, every: bool) -> Fixed:
        if math.isinf(limit) or not point.exact:
            return node.fixed
        return case.tree.tightened(node.fixed, point, int(limit), every)

    def _finish(self, case: _Case, node: Node, fixed: Fixed, limit: float) -> _Result:
        """A node that cannot be split: CP-SAT has the last word, or it stays open."""
        outcome = self._cpsat(case, fixed, limit, None)
        result = _result(outcome)
        if outcome.status in ("feasible", "unknown"):
            result.nodes = [replace(node, bound=max(node.bound, outcome.bound or node.bound))]
        return result


def _case(shrunk: Shrunk) -> _Case | None:
    tree = Tree(shrunk.program)
    point = tree.relaxer.solve({})
    if math.isinf(point.value):
        return None
    bound = whole(point.value) if point.exact else -math.inf
    return _Case(shrunk, tree, Node({}, bound, point.basis), point)


def _result(outcome: Outcome) -> _Result:
    if outcome.values is None or outcome.objective is None:
        return _Result()
    return _Result(outcome.values, outcome.objective)


def restricted(program: Program, fixed: Fixed) -> Program:
    """A program with other bounds."""
    lower, upper = list(program.lower), list(program.upper)
    for var, (low, high) in fixed.items():
        lower[var], upper[var] = low, high
    return replace(program, lower=lower, upper=upper)


__all__ = ["Found", "minimise", "restricted"]
