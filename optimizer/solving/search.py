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

import numpy as np

from optimizer.model.draft import Draft
from optimizer.model.program import Program
from optimizer.solving.case import Case, lifted, narrowed, opened
from optimizer.solving.cpsat import CpSat
from optimizer.solving.openings import Openings
from optimizer.solving.outcome import Outcome
from optimizer.solving.polishing import Polisher
from optimizer.solving.relaxing import Point, whole
from optimizer.solving.rounding import CUT
from optimizer.solving.shrinking import Grid, shrink
from optimizer.solving.tree import Fixed, Node

Progress = Callable[[str], None]

_CORES = 2
_DESIGN_WORK = 0.5
_LEAF_WORK = 0.4
_WHOLE_WORK = 1.5
_ANY_WORK = 5.0
_FEW = 20
_OFTEN = 24
_PATIENCE = 4
_FAR = 0.025
_NEAR = 0.03
_POLISHING = 0.3
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
class _Result:
    """What came out of a node: designs, cheaper one last, and the nodes that are left."""

    values: tuple[int, ...] | None = None
    cost: float = math.inf
    nodes: list[Node] = field(default_factory=list)


def minimise(
    draft: Draft, seconds: float, progress: Progress, below: int | None = None, least: int = 0
) -> Found:
    """Find the cheapest solution of a program.

    Parameters
    ----------
    seconds : float
        Time limit.
    below : int, optional
        Only solutions that cost less than this are of interest: "infeasible" then says that
        there is none. [hundredth]
    least : int
        Known beforehand: no solution costs less. [hundredth]
    """
    places = len(draft.instance.zones) + len(draft.instance.sounds)
    return _Search(draft, places, seconds, progress, below, least).run()


class _Search:
    def __init__(
        self,
        draft: Draft,
        places: int,
        seconds: float,
        progress: Progress,
        below: int | None,
        least: int = 0,
    ) -> None:
        self.draft, self.program, self.places, self.say = draft, draft.program, places, progress
        self.end = time.monotonic() + seconds
        self.grid = Grid(draft.program)
        self.openings = Openings(draft)
        self.values: tuple[int, ...] | None = None
        self.cutoff = math.inf if below is None else float(below)
        self.liked = np.zeros(len(draft.program.names))
        self.heap: list[tuple[float, int, Case, Node]] = []
        self.pushed = 0
        self.least = least
        self.floor = -math.inf
        self.unseen = False
        self.none = False

    @property
    def left(self) -> float:
        return self.end - time.monotonic()

    @property
    def _settled(self) -> bool:
        """Whether there is nothing to be found, or nothing better than what was found."""
        return self.none or self.cutoff <= self.least

    def run(self) -> Found:
        rounds = 0
        with ThreadPoolExecutor(_CORES) as pool:
            self._start(pool)
            if not self._settled:
                self._close(pool, self._cases(pool))
            while not self._settled and (batch := self._batch()):
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
        open_ = [max(b, self.least) for b, _, _, _ in self.heap if b < self.cutoff]
        if self.unseen:
            open_.append(max(self.floor, self.least))
        if self.values is None:
            least = int(min(open_)) if open_ and min(open_) > -math.inf else None
            return Found("unknown" if open_ else "infeasible", None, None, least)
        cost = int(self.cutoff)
        least = int(min([self.cutoff, *(max(b, 0.0) for b in open_)]))
        return Found("optimal" if least >= cost else "feasible", self.values, cost, least)

    def _close(self, pool: ThreadPoolExecutor, cases: list[Case]) -> None:
        """Have CP-SAT close each case as a whole, if it is small enough; else open its tree."""
        cases.sort(key=lambda c: c.bound)
        for start in range(0, len(cases), _CORES):
            cutoff = self.cutoff
            batch = [c for c in cases[start : start + _CORES] if c.bound < cutoff]
            futures = [pool.submit(self._whole, c, cutoff) for c in batch]
            for case, future in zip(batch, futures, strict=True):
                self._take(case, future.result())

    def _whole(self, case: Case, cutoff: float) -> _Result:
        limit = cutoff - case.shrunk.offset
        if limit - case.root.bound > _NEAR * limit or math.isinf(limit) or self.left <= 0:
            return _Result(nodes=[case.root])
        tight = self._narrow(case, case.root, case.point, limit, True)
        outcome = self._cpsat(case, tight, limit, _WHOLE_WORK)
        result = _result(outcome)
        if outcome.status in ("feasible", "unknown"):
            result.nodes = [case.root]
        return result

    def _start(self, pool: ThreadPoolExecutor) -> None:
        """A first design from what the relaxation of the whole site uses, made cheaper in steps."""
        shrunk = shrink(self.grid, {})
        case = None if shrunk is None else opened(shrunk)
        if case is None or not case.point.exact:
            return
        self.floor = case.bound
        if math.isinf(self.cutoff):
            self._try(pool, [case])
            if self.values is None:
                self._take(case, self._first(case))
            self._report()
        if not self._settled and math.isfinite(self.cutoff):
            self._at_once(case)
        relaxed = case.shrunk.settled.astype(float)
        relaxed[case.shrunk.columns] = case.point.primal
        self.liked = relaxed

    def _at_once(self, case: Case) -> None:
        """Whether the whole site, made small by the price to beat, is settled without cases."""
        small = lifted(case, self.openings, self.cutoff)
        if small is not None and self.cutoff - small.bound <= _NEAR * self.cutoff:
            small = narrowed(small, self.openings, self.cutoff)
        if small is None:
            self.none = True
            return
        self.floor = max(self.floor, small.bound)
        result = self._whole(small, self.cutoff)
        if not result.nodes:
            self._take(small, result)
            self.none = True

    def _first(self, case: Case) -> _Result:
        """Any design at all; where CP-SAT sees that there is none, nothing is left to search."""
        model = CpSat(case.shrunk.program)
        outcome = model.solve(max(self.left, 0.1), work=_ANY_WORK, first=True)
        self.none = outcome.status == "infeasible"
        return _result(outcome)

    def _polish(self, pool: ThreadPoolExecutor) -> None:
        """Make the design cheaper, until several steps in a row fail."""
        polisher = Polisher(self.draft, self.grid, self.liked)
        failed, seed = 0, 0
        end = time.monotonic() + self.left * _POLISHING
        while self.values is not None and failed < _PATIENCE and time.monotonic() < end:
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
        self._report()

    def _report(self) -> None:
        price = "none yet" if self.values is None else f"{self.cutoff / 100:.2f}"
        least = min((b for b, _, _, _ in self.heap), default=self.cutoff)
        self.say(f"cheapest so far {price}; {len(self.heap)} cases left, from {least / 100:.2f}")

    def _push(self, case: Case, node: Node) -> None:
        self.pushed += 1
        heapq.heappush(self.heap, (node.bound + case.shrunk.offset, self.pushed, case, node))

    def _batch(self) -> list[tuple[Case, Node]]:
        """The nodes of least bound, of different cases."""
        chosen: list[tuple[Case, Node]] = []
        aside: list[tuple[float, int, Case, Node]] = []
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

    def _cases(self, pool: ThreadPoolExecutor) -> list[Case]:
        """Cases by signal families that may hold something cheaper, made small."""
        families = [i for i, n in enumerate(self.program.names) if n.startswith("family/")]
        choices = [
            {f: (c, c) for f, c in zip(families, choice, strict=True)}
            for choice in product((1, 0), repeat=len(families))
            if any(choice) or not families
        ]
        cases = [c for c in pool.map(self._case, choices) if c is not None]
        cases.sort(key=lambda c: c.bound)
        ready: list[Case] = []
        for start in range(0, len(cases), _CORES):
            batch = [c for c in cases[start : start + _CORES] if c.bound < self.cutoff]
            if self.left > 0:
                batch = [c for c in pool.map(self._lifted, batch) if c is not None]
                if self.values is not None:
                    self._try(pool, batch)
            ready += batch
            if self._settled:
                return []
        ready = self._narrowed(pool, ready)
        least = min((c.bound for c in ready), default=self.cutoff)
        if self.values is not None and least < (1 - _FAR) * self.cutoff:
            self._polish(pool)
            ready = self._narrowed(pool, ready)
        return ready

    def _narrowed(self, pool: ThreadPoolExecutor, cases: list[Case]) -> list[Case]:
        open_ = [c for c in cases if c.bound < self.cutoff]
        if self.left <= 0:
            return open_
        found = pool.map(lambda c: narrowed(c, self.openings, self.cutoff), open_)
        return [c for c in found if c is not None]

    def _try(self, pool: ThreadPoolExecutor, cases: list[Case]) -> None:
        """Look for a good design in each case."""
        cutoff = self.cutoff
        tries = [
            pool.submit(self._design, c, c.root, c.point, cutoff - c.shrunk.offset) for c in cases
        ]
        for case, tried in zip(cases, tries, strict=True):
            self._take(case, tried.result())

    def _case(self, fixed: Fixed) -> Case | None:
        if self.left <= 0:
            self.unseen = True
            return None
        shrunk = shrink(self.grid, fixed)
        return None if shrunk is None else opened(shrunk)

    def _lifted(self, case: Case) -> Case | None:
        return lifted(case, self.openings, self.cutoff)

    def _take(self, case: Case, result: _Result) -> None:
        cost = result.cost + case.shrunk.offset
        if result.values is not None and cost < self.cutoff:
            self.values, self.cutoff = case.shrunk.lifted(result.values), cost
        for node in result.nodes:
            if node.bound + case.shrunk.offset < self.cutoff:
                self._push(case, node)

    def _cpsat(self, case: Case, fixed: Fixed, limit: float, work: float | None) -> Outcome:
        whole_rows = [row for row in case.shrunk.program.rows if row.name != CUT]
        model = CpSat(restricted(replace(case.shrunk.program, rows=whole_rows), fixed))
        if not math.isinf(limit):
            model.add_row(model.cost, hi=int(limit) - 1)
        return model.solve(max(self.left, 0.1), work=work, search=_LEAF)

    def _design(self, case: Case, node: Node, point: Point, limit: float) -> _Result:
        """A good design: what the relaxation of a node uses, made whole by CP-SAT."""
        if not point.exact:
            return _Result()
        near = case.tree.near(node.fixed, point, self.places, _FEW)
        outcome = self._cpsat(case, near, limit, _DESIGN_WORK)
        return _result(outcome)

    def _work(self, case: Case, node: Node, cutoff: float) -> _Result:
        """Close a node, or split it."""
        limit = cutoff - case.shrunk.offset
        case.worked += 1
        case.tree.stop_at(limit)
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
        # Without any design known, CP-SAT is the one to find one, or to see that there is none.
        if limit - bound <= case.share * limit or math.isinf(limit):
            tight = self._narrow(case, node, point, limit, True)
            outcome = self._cpsat(case, tight, limit, _LEAF_WORK)
            closed = outcome.status in ("optimal", "infeasible")
            if not math.isinf(limit):
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
    def _narrow(case: Case, node: Node, point: Point, limit: float, every: bool) -> Fixed:
        if math.isinf(limit) or not point.exact:
            return node.fixed
        return case.tree.tightened(node.fixed, point, int(limit), every)

    def _finish(self, case: Case, node: Node, fixed: Fixed, limit: float) -> _Result:
        """A node that cannot be split: CP-SAT has the last word, or it stays open."""
        outcome = self._cpsat(case, fixed, limit, None)
        result = _result(outcome)
        if outcome.status in ("feasible", "unknown"):
            result.nodes = [replace(node, bound=max(node.bound, outcome.bound or node.bound))]
        return result


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
