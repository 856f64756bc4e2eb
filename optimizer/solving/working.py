"""What is done with a case or a node: a design is looked for, it is closed, or it is split."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from optimizer.solving.case import Case
from optimizer.solving.cpsat import CpSat
from optimizer.solving.outcome import Outcome
from optimizer.solving.relaxing import Point, whole
from optimizer.solving.shrinking import shrink
from optimizer.solving.tree import Fixed, Node, Tree

DESIGN_WORK = 0.5
LEAF_WORK = 0.1
LOOK_WORK = 0.2
WHOLE_WORK = 1.5
ANY_WORK = 5.0
"""Efforts, in deterministic units: a limit in seconds would make the way hang on the machine."""

NEAR = 0.03
"""Share of the price to beat up to which the room left in a case lets CP-SAT close it whole."""

_FEW = 20
_SMALL = 1500
SEARCH = {
    "add_zero_half_cuts": False,
    "add_cg_cuts": False,
    "cp_model_probing_level": 0,
    "symmetry_level": 0,
    "max_presolve_iterations": 1,
}
"""Most of what CP-SAT is given is small: a longer presolve takes more time than it saves."""


@dataclass
class Result:
    """What came out of a node: the cheapest design, and the nodes that are left.

    Attributes
    ----------
    closed : bool or None
        Whether CP-SAT closed it; None if it was not asked with a price to beat.
    """

    values: tuple[int, ...] | None = None
    cost: float = math.inf
    nodes: list[Node] = field(default_factory=list)
    closed: bool | None = None


class Worker:
    """Works on cases until a time.

    Parameters
    ----------
    places : int
        Zone tables and audio points.
    end : float
        On the clock of ``time.monotonic``. [s]
    stop : callable, optional
        Asked now and then; true ends the work as if time were out.
    """

    def __init__(self, places: int, end: float, stop: Callable[[], bool] | None = None) -> None:
        self.places, self.end, self.stop = places, end, stop

    @property
    def left(self) -> float:
        """Time left. [s]"""
        if self.stop is not None and self.stop():
            return 0.0
        return self.end - time.monotonic()

    def any_design(self, case: Case) -> tuple[Result, bool]:
        """Any design at all, and whether it is proven that there is none."""
        model = CpSat(case.shrunk.program)
        outcome = model.solve(max(self.left, 0.1), work=ANY_WORK, first=True)
        return _result(outcome), outcome.status == "infeasible"

    def design(self, case: Case, cutoff: float) -> Result:
        """A good design: what the relaxation of a case uses, made whole by CP-SAT."""
        return self._near(case, case.trees[0], case.root, case.point, cutoff - case.shrunk.offset)

    def close(
        self, case: Case, cutoff: float, most: int = _SMALL, work: float = WHOLE_WORK
    ) -> Result:
        """Have CP-SAT close a case as a whole if little is left of it; else open its tree.

        Parameters
        ----------
        most : int
            Variables left up to which it is asked.
        work : float
            Effort, in deterministic units.
        """
        limit = cutoff - case.shrunk.offset
        near = limit - case.root.bound <= NEAR * cutoff
        if math.isinf(limit) or not near or len(case.shrunk.columns) > most or self.left <= 0:
            return Result(nodes=[case.root])
        fixed = _narrow(case.trees[0], case.root, case.point, limit, every=True)
        outcome = self._cpsat(case, fixed, limit, work)
        result = _result(outcome)
        if outcome.status in ("feasible", "unknown"):
            result.nodes = [case.root]
        return result

    def empty(self, case: Case, fixed: Fixed, limit: float, work: float) -> bool:
        """Whether some effort proves that no solution of a part costs less than a limit.

        Parameters
        ----------
        limit : float
            In prices of what is left of the case. [hundredth]
        work : float
            Effort, in deterministic units.
        """
        return self._cpsat(case, fixed, limit, work, first=True).status == "infeasible"

    def look(self, case: Case, cutoff: float, fixed: Fixed | None = None, slot: int = 0) -> Result:
        """A short look for a good design near the relaxation of a case, or of a part of it."""
        tree, limit = case.tree(slot), cutoff - case.shrunk.offset
        tree.stop_at(limit)
        point = tree.relaxer.solve(fixed or {}, case.root.basis)
        if not point.exact:
            return Result()
        if whole(point.value) >= limit:
            return Result(closed=True)
        near = tree.near(fixed or {}, point, self.places, _FEW)
        return _result(self._cpsat(case, near, limit, LOOK_WORK))

    def expand(self, case: Case, node: Node, cutoff: float, slot: int, look: bool) -> Result:
        """Close a node, or split it.

        Parameters
        ----------
        slot : int
            Which of the trees of the case to use: two nodes may be worked on at a time.
        look : bool
            Whether to look for a good design on the way.
        """
        tree = case.tree(slot)
        limit = cutoff - case.shrunk.offset
        tree.stop_at(limit)
        point = tree.relax(node)
        bound = max(node.bound, whole(point.value)) if point.exact else node.bound
        if bound >= limit:
            return Result()
        node = replace(node, bound=bound)
        if not point.exact or not tree.open_counts(point):
            return self._finish(case, node, _narrow(tree, node, point, limit, every=True), limit)
        result = Result()
        if look:
            result = self._near(case, tree, node, point, limit)
            limit = min(limit, result.cost)
        # Without any design known, CP-SAT is the one to find one, or to see that there is none.
        if limit - bound <= case.share * limit or math.isinf(limit):
            fixed = _narrow(tree, node, point, limit, every=True)
            outcome = self._cpsat(case, fixed, limit, LEAF_WORK)
            done = outcome.status in ("optimal", "infeasible")
            better = _result(outcome)
            if better.cost < result.cost:
                result = better
            result.closed = None if math.isinf(limit) else done
            if done:
                return result
            limit = min(limit, result.cost)
        node = replace(node, fixed=_narrow(tree, node, point, limit, every=False))
        result.nodes = tree.split(node, point, limit)
        return result

    def _near(self, case: Case, tree: Tree, node: Node, point: Point, limit: float) -> Result:
        if not point.exact:
            return Result()
        near = tree.near(node.fixed, point, self.places, _FEW)
        return _result(self._cpsat(case, near, limit, DESIGN_WORK))

    def _finish(self, case: Case, node: Node, fixed: Fixed, limit: float) -> Result:
        """A node that cannot be split: CP-SAT has the last word, or it stays open."""
        outcome = self._cpsat(case, fixed, limit, None)
        result = _result(outcome)
        if outcome.status in ("feasible", "unknown"):
            result.nodes = [replace(node, bound=max(node.bound, outcome.bound or node.bound))]
        return result

    def _cpsat(
        self, case: Case, fixed: Fixed, limit: float, work: float | None, *, first: bool = False
    ) -> Outcome:
        """What CP-SAT says of a case under bounds; cuts are for the relaxation only."""
        small = shrink(case.grid, fixed)
        if small is None:
            return Outcome("infeasible", None, None, None)
        model = CpSat(small.program)
        if not math.isinf(limit):
            model.add_row(model.cost, hi=int(limit) - 1 - small.offset)
        found = model.solve(max(self.left, 0.1), work=work, first=first, search=SEARCH)
        values = None if found.values is None else small.lifted(found.values)
        cost = None if found.objective is None else found.objective + small.offset
        bound = None if found.bound is None else found.bound + small.offset
        return Outcome(found.status, values, cost, bound)


def _narrow(tree: Tree, node: Node, point: Point, limit: float, *, every: bool) -> Fixed:
    if math.isinf(limit) or not point.exact:
        return node.fixed
    return tree.tightened(node.fixed, point, int(limit), every)


def _result(outcome: Outcome) -> Result:
    if outcome.values is None or outcome.objective is None:
        return Result()
    return Result(outcome.values, outcome.objective)
