"""Where all solutions lie that cost no more than a price.

The tree of a proof that nothing is cheaper than a price C, grown with C + 1 for its limit, keeps
what costs exactly C. What is left are a few small boxes, often one: every solution of cost <= C has
its counts within the bounds of one of them. A stricter question (RULES.md: a kit of it is a kit of
the first) is then settled in the boxes alone: whether it can be had at the same price.
"""

from __future__ import annotations

import heapq
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from optimizer.model.draft import Draft
from optimizer.solving.case import Case, by_families, lifted, narrowed, opened
from optimizer.solving.openings import Openings
from optimizer.solving.relaxing import whole
from optimizer.solving.shrinking import Grid, Ints, shrink
from optimizer.solving.tree import Fixed, Node
from optimizer.solving.working import Worker

_CORES = 2
_WORK = 0.1
"""Effort to see whether a case holds anything, in deterministic units."""

_NEAR = 0.015
"""Share of the price up to which the room left in a case lets CP-SAT look into it."""

_MOST = 40
"""Boxes beyond which a question in each of them takes longer than a search."""


@dataclass(frozen=True)
class Box:
    """Bounds of all variables of a program; arrays of shape (n_variables,)."""

    lower: Ints
    upper: Ints


def region(draft: Draft, most: int, seconds: float) -> tuple[Box, ...] | None:
    """Boxes that hold every solution of a program which costs no more than a price.

    Parameters
    ----------
    draft : Draft
        Its pooled program.
    most : int
        The price. [hundredth, net]
    seconds : float
        Time limit.

    Returns
    -------
    tuple of Box or None
        None where time ran out, or the boxes are too many to be of use.
    """
    return _Growing(draft, most + 1, seconds).run()


class _Growing:
    def __init__(self, draft: Draft, limit: int, seconds: float) -> None:
        self.draft, self.limit = draft, limit
        places = len(draft.instance.zones) + len(draft.instance.sounds)
        self.worker = Worker(places, time.monotonic() + seconds)
        self.grid = Grid(draft.program)
        self.openings = Openings(draft)
        self.heap: list[tuple[float, int, Case, Node]] = []
        self.pushed = 0
        self.boxes: list[Box] = []

    def run(self) -> tuple[Box, ...] | None:
        with ThreadPoolExecutor(_CORES) as pool:
            for case in pool.map(self._case, by_families(self.draft.program)):
                if case is not None:
                    self._push(case, case.root)
            while self.heap and len(self.boxes) <= _MOST:
                if self.worker.left <= 0:
                    return None
                batch = [heapq.heappop(self.heap)[2:] for _ in range(min(_CORES, len(self.heap)))]
                looks = [pool.submit(self._look, *one, slot) for slot, one in enumerate(batch)]
                for (case, _), look in zip(batch, looks, strict=True):
                    for found in look.result():
                        if isinstance(found, Node):
                            self._push(case, found)
                        else:
                            self.boxes.append(found)
        return None if self.worker.left <= 0 or len(self.boxes) > _MOST else tuple(self.boxes)

    def _case(self, fixed: Fixed) -> Case | None:
        if self.worker.left <= 0:
            return None
        shrunk = shrink(self.grid, fixed)
        case = None if shrunk is None else opened(shrunk)
        if case is None or case.bound >= self.limit:
            return None
        case = lifted(case, self.openings, self.limit)
        return None if case is None else narrowed(case, self.openings, self.limit)

    def _push(self, case: Case, node: Node) -> None:
        self.pushed += 1
        heapq.heappush(self.heap, (node.bound + case.shrunk.offset, self.pushed, case, node))

    def _look(self, case: Case, node: Node, slot: int) -> list[Node | Box]:
        """What is left of a node: nothing, a box, or the nodes it falls into."""
        tree, limit = case.tree(slot), self.limit - case.shrunk.offset
        tree.stop_at(limit)
        point = tree.relax(node)
        if whole(point.value) >= limit:
            return []
        if not point.exact:
            return self._box(case, node.fixed)
        fixed = tree.tightened(node.fixed, point, limit, every=True)
        counts = tree.open_counts(point)
        near = not counts or limit - point.value <= _NEAR * self.limit
        if near and self.worker.empty(case, fixed, float(limit), _WORK):
            return []
        if not counts:
            return self._box(case, fixed)
        return list(tree.split(replace(node, fixed=fixed), point, limit))

    def _box(self, case: Case, fixed: Fixed) -> list[Node | Box]:
        """The bounds of a part of a case, carried through its rows, for the whole program."""
        lower, upper = case.shrunk.settled.copy(), case.shrunk.settled.copy()
        program = case.shrunk.program
        low, high = np.array(program.lower), np.array(program.upper)
        for var, (least, most) in fixed.items():
            low[var], high[var] = max(low[var], least), min(high[var], most)
        if not case.grid.tighten(low, high):
            return []
        lower[case.shrunk.columns], upper[case.shrunk.columns] = low, high
        return [Box(lower, upper)]


__all__ = ["Box", "region"]
