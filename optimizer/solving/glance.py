"""A short look at a whole program with a price to beat, before it is split into cases.

The linear relaxation alone often shows that nothing is cheaper. Where it does not, its reduced
costs take out what would cost the price to beat or more, and CP-SAT is given what is left, with an
effort in deterministic units.
"""

from __future__ import annotations

from optimizer.model.program import Program
from optimizer.solving.case import Case, opened
from optimizer.solving.cpsat import CpSat
from optimizer.solving.outcome import Outcome
from optimizer.solving.shrinking import Grid, Shrunk, shrink

_SMALL = 1500
"""Variables left up to which CP-SAT is asked."""


class Glance:
    """What can be said of a program with little effort.

    Parameters
    ----------
    limit : int or None
        Only solutions that cost less than this are of interest. [hundredth]

    Attributes
    ----------
    refuted : bool
        The linear relaxation shows that there is none.
    bound : int or None
        No solution costs less; None where the relaxation was not solved. [hundredth]
    """

    def __init__(self, program: Program, limit: int | None) -> None:
        self.left = shrink(Grid(program), {})
        self.case: Case | None = None
        self.bound: int | None = None
        if self.left is not None and limit is not None:
            self.case = opened(self.left)
            if self.case is None or self.case.bound >= limit:
                self.left = None
            elif self.case.point.exact:
                self.bound = int(self.case.bound)
        self.refuted = self.left is None

    def settle(self, limit: int | None, seconds: float, work: float) -> Outcome:
        """Have CP-SAT look at what is left, if that is little.

        Parameters
        ----------
        limit : int or None
            As before, or lower. [hundredth]
        seconds, work : float
            Limits of CP-SAT, in seconds and in deterministic units.

        Returns
        -------
        Outcome
            "optimal" and "infeasible", which says that nothing costs less than the limit, are
            proven; otherwise nothing is settled.
        """
        left = self._cut_down(limit)
        if left is None:
            return Outcome("infeasible", None, None, None)
        if len(left.columns) > _SMALL:
            return Outcome("unknown", None, None, self.bound)
        model = CpSat(left.program)
        if limit is not None:
            model.add_row(model.cost, hi=limit - 1 - left.offset)
        found = model.solve(seconds, work=work)
        if found.status == "infeasible":
            return Outcome("infeasible", None, None, None)
        if found.values is None or found.objective is None:
            return Outcome("unknown", None, None, self.bound)
        cost = found.objective + left.offset
        return Outcome(found.status, left.lifted(found.values), cost, self.bound)

    def _cut_down(self, limit: int | None) -> Shrunk | None:
        """What is left without what would cost the limit or more; None if nothing is."""
        if self.left is None or self.case is None or limit is None or self.bound is None:
            return self.left
        tree, room = self.case.trees[0], limit - self.left.offset
        fixed = tree.tightened({}, self.case.point, room, every=True)
        again = shrink(Grid(self.left.program), fixed)
        return None if again is None else again.within(self.left)


__all__ = ["Glance"]
