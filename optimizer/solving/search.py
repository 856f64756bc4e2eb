"""Finding the optimum of a program, and proving it.

The site is split into cases: first by which signal families are used at all, then by counts of
what is bought (see :mod:`optimizer.solving.tree`), cheapest bound first. A case of which little is
left goes to CP-SAT, with the cheapest price known as its limit. Two nodes are worked on at a time,
on two cores; what each finds is taken up in a fixed order, and efforts are limited in deterministic
units, so that the same site takes the same way on any machine.
"""

from __future__ import annotations

import heapq
import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from optimizer.model.draft import Draft
from optimizer.model.families.money import largest_net
from optimizer.solving.case import Case, by_families, lifted, narrowed, opened
from optimizer.solving.openings import Openings
from optimizer.solving.polishing import Polisher
from optimizer.solving.shrinking import Grid, shrink
from optimizer.solving.tree import Fixed, Node
from optimizer.solving.working import NEAR, Result, Worker

Progress = Callable[[str], None]

_CORES = 2
_OFTEN = 24
_PATIENCE = 4
_FAR = 0.025
_POLISHING = 0.3


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


def minimise(
    draft: Draft,
    seconds: float,
    progress: Progress,
    below: int | None = None,
    least: int = 0,
    stop: Callable[[], bool] | None = None,
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
    stop : callable, optional
        Asked now and then; true ends the search as if time were out.
    """
    places = len(draft.instance.zones) + len(draft.instance.sounds)
    return _Search(draft, places, seconds, progress, below, least, stop).run()


class _Search:
    def __init__(
        self,
        draft: Draft,
        places: int,
        seconds: float,
        progress: Progress,
        below: int | None,
        least: int = 0,
        stop: Callable[[], bool] | None = None,
    ) -> None:
        self.draft, self.program, self.say = draft, draft.program, progress
        self.worker = Worker(places, time.monotonic() + seconds, stop)
        self.grid = Grid(draft.program)
        self.openings = Openings(draft)
        self.values: tuple[int, ...] | None = None
        budget = largest_net(draft.instance.site.money)
        limits = [math.inf if below is None else below, math.inf if budget is None else budget + 1]
        self.cutoff = float(min(limits))
        # Who names a price to beat expects that nothing does; a budget is there to be kept.
        self.hopeful = below is None
        self.liked = np.zeros(len(draft.program.names))
        self.heap: list[tuple[float, int, Case, Node]] = []
        self.pushed = 0
        self.least = least
        self.floor = -math.inf
        self.unseen = False
        self.none = False
        self.families = sum(n.startswith("family/") for n in draft.program.names)
        # The whole site as one case, where there is nothing to split by and it was tried already.
        self.ready: Case | None = None

    @property
    def _settled(self) -> bool:
        """Whether there is nothing to be found, or nothing better than what was found."""
        return self.none or self.cutoff <= self.least

    def run(self) -> Found:
        with ThreadPoolExecutor(_CORES) as pool:
            self._start(pool)
            if self.ready is not None:
                self._push(self.ready, self.ready.root)
            elif not self._settled:
                self._close(pool, self._cases(pool))
            self._grow(pool)
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
        """Close each case as a whole, if little is left of it; else open its tree."""
        cases.sort(key=lambda c: c.bound)
        for start in range(0, len(cases), _CORES):
            cutoff = self.cutoff
            batch = [c for c in cases[start : start + _CORES] if c.bound < cutoff]
            futures = [pool.submit(self.worker.close, c, cutoff) for c in batch]
            for case, future in zip(batch, futures, strict=True):
                self._take(case, future.result())

    def _grow(self, pool: ThreadPoolExecutor) -> None:
        """Work on the trees, two nodes at a time, until nothing cheaper can be left."""
        rounds = 0
        while not self._settled and (batch := self._batch()):
            if self.worker.left <= 0:
                for case, node in batch:
                    self._push(case, node)
                break
            futures = []
            for slot, (case, node) in enumerate(batch):
                case.worked += 1
                look = case.worked % _OFTEN == _OFTEN // 2
                futures.append(pool.submit(self.worker.expand, case, node, self.cutoff, slot, look))
            for (case, _), future in zip(batch, futures, strict=True):
                result = future.result()
                if result.closed is not None:
                    case.learn(result.closed)
                self._take(case, result)
            rounds += 1
            if rounds % _OFTEN == 0:
                self._report()

    def _start(self, pool: ThreadPoolExecutor) -> None:
        """A first design from what the relaxation of the whole site uses, made cheaper in steps."""
        shrunk = shrink(self.grid, {})
        case = None if shrunk is None else opened(shrunk)
        if case is None or not case.point.exact:
            return
        self.floor = case.bound
        if self.hopeful:
            self._try(pool, [case])
            if self.values is None:
                result, self.none = self.worker.any_design(case)
                self._take(case, result)
            self._report()
        if not self._settled and math.isfinite(self.cutoff):
            self._at_once(case)
        relaxed = case.shrunk.settled.astype(float)
        relaxed[case.shrunk.columns] = case.point.primal
        self.liked = relaxed

    def _at_once(self, case: Case) -> None:
        """Whether the whole site, made small by the price to beat, is settled without cases."""
        small = lifted(case, self.openings, self.cutoff)
        whole = self.families < 2
        if small is not None and (whole or self.cutoff - small.bound <= NEAR * self.cutoff):
            small = narrowed(small, self.openings, self.cutoff)
        if small is None:
            self.none = True
            return
        self.floor = max(self.floor, small.bound)
        if whole:
            self.ready = small
            return
        result = self.worker.close(small, self.cutoff)
        self._take(small, replace(result, nodes=[]))
        self.none = not result.nodes

    def _polish(self, pool: ThreadPoolExecutor) -> None:
        """Make the design cheaper, until several steps in a row fail."""
        polisher = Polisher(self.draft, self.grid, self.liked)
        failed, seed = 0, 0
        end = time.monotonic() + self.worker.left * _POLISHING
        while self.values is not None and failed < _PATIENCE and time.monotonic() < end:
            steps = [
                pool.submit(polisher.step, self.values, self.cutoff, seed + i, self.worker.left)
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
        """The nodes of least bound."""
        chosen: list[tuple[Case, Node]] = []
        while self.heap and len(chosen) < _CORES:
            bound, _, case, node = heapq.heappop(self.heap)
            if bound >= self.cutoff:
                self.heap.clear()
                break
            chosen.append((case, node))
        return chosen

    def _cases(self, pool: ThreadPoolExecutor) -> list[Case]:
        """Cases by signal families that may hold something cheaper, made small."""
        cases = [c for c in pool.map(self._case, by_families(self.program)) if c is not None]
        cases.sort(key=lambda c: c.bound)
        ready: list[Case] = []
        for start in range(0, len(cases), _CORES):
            batch = [c for c in cases[start : start + _CORES] if c.bound < self.cutoff]
            if self.worker.left > 0:
                batch = [c for c in pool.map(self._lifted, batch) if c is not None]
                if self.hopeful or self.values is not None:
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
        if self.worker.left <= 0:
            return open_
        found = pool.map(lambda c: narrowed(c, self.openings, self.cutoff), open_)
        return [c for c in found if c is not None]

    def _try(self, pool: ThreadPoolExecutor, cases: list[Case]) -> None:
        """Look for a good design in each case."""
        cutoff = self.cutoff
        tries = [pool.submit(self.worker.design, c, cutoff) for c in cases]
        for case, tried in zip(cases, tries, strict=True):
            self._take(case, tried.result())

    def _case(self, fixed: Fixed) -> Case | None:
        if self.worker.left <= 0:
            self.unseen = True
            return None
        shrunk = shrink(self.grid, fixed)
        return None if shrunk is None else opened(shrunk)

    def _lifted(self, case: Case) -> Case | None:
        return lifted(case, self.openings, self.cutoff)

    def _take(self, case: Case, result: Result) -> None:
        cost = result.cost + case.shrunk.offset
        if result.values is not None and cost < self.cutoff:
            self.values, self.cutoff = case.shrunk.lifted(result.values), cost
        for node in result.nodes:
            if node.bound + case.shrunk.offset < self.cutoff:
                self._push(case, node)


__all__ = ["Found", "minimise"]
