"""A short look at a whole program with a price to beat, before it is split into cases.

The linear relaxation alone often shows that nothing is cheaper. Where it does not, its reduced
costs take out what would cost the price to beat or more, and CP-SAT is given what is left, with an
effort in deterministic units.
"""

from __future__ import annotations

from optimizer.model.program import Program
from optimizer.solving.case import opened
from optimizer.solving.cpsat import CpSat
from optimizer.solving.outcome import Outcome
from optimizer.solving.shrinking import Grid, Shrunk, shrink

_SMALL = 1500
"""Variables left up to which CP-SAT is asked."""


def refuted(program: Program, limit: int) -> bool:
    """Whether the linear relaxation shows that nothing costs less than a limit. [hundredth]"""
    left = shrink(Grid(program), {})
    case = None if left is None else opened(left)
    return case is None or case.bound >= limit


def glance(program: Program, limit: int | None, seconds: float, work: float) -> Outcome:
    """What can be said of a program with little effort.

    Parameters
    ----------
    limit : int or None
        Only solutions that cost less than this are of interest: "infeasible" then says that
        there is none. [hundredth]
    seconds, work : float
        Limits of CP-SAT, in seconds and in deterministic units.

    Returns
    -------
    Outcome
        "optimal" and "infeasible" are proven; otherwise nothing is settled.
    """
    left = shrink(Grid(program), {})
    bound = None
    if left is not None and limit is not None:
        left, bound = _cut_down(left, limit)
    if left is None:
        return Outcome("infeasible", None, None, None)
    if len(left.columns) > _SMALL:
        return Outcome("unknown", None, None, bound)
    model = CpSat(left.program)
    if limit is not None:
        model.add_row(model.cost, hi=limit - 1 - left.offset)
    found = model.solve(seconds, work=work)
    if found.status == "infeasible":
        return Outcome("infeasible", None, None, None)
    if found.values is None or found.objective is None:
        return Outcome("unknown", None, None, bound)
    cost = found.objective + left.offset
    return Outcome(found.status, left.lifted(found.values), cost, bound)


def _cut_down(shrunk: Shrunk, limit: int) -> tuple[Shrunk | None, int | None]:
    """Without what would cost the limit or more, and what the rest costs at least."""
    case = opened(shrunk)
    if case is None or case.bound >= limit:
        return None, None
    if not case.point.exact:
        return shrunk, None
    fixed = case.trees[0].tightened({}, case.point, limit - shrunk.offset, every=True)
    again = shrink(Grid(shrunk.program), fixed)
    return None if again is None else again.within(shrunk), int(case.bound)


__all__ = ["glance", "refuted"]
