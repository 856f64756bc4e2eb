"""The linear relaxation under bounds, and the sums of rows that its duals suggest.

Duals and rays are floating-point numbers; they only suggest multipliers. What they are worth is
decided in whole numbers by :class:`~optimizer.explaining.certificate_rows.Rows`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import highspy
import numpy as np

from optimizer.explaining.certificate_rows import Bound, Floats, Ints, Rows, Step, Sum
from optimizer.solving import highs

NO_LIMIT = 2**31 - 1
_STATED = highspy.HighsModelStatus
_SCALE = 1e5
_BEYOND = 5.0


@dataclass(frozen=True)
class View:
    """What the relaxation says under some bounds.

    Attributes
    ----------
    value : float
        Least cost; infinite where there is no solution.
    exact : bool
        Whether it was solved to its end; if not, the value is an estimate from below.
    primal : array
        Values of the free columns.
    weights : array
        A multiplier for each row: duals, or the ray where there is no solution.
    """

    value: float
    exact: bool
    primal: Floats
    weights: Floats
    basis: Any


class Relaxed:
    """The relaxation of some rows; one solver object, solved again from where it stood.

    Parameters
    ----------
    rows : Rows
        Restricted to the bounds given.
    cost : sequence of int
        What is minimised.
    cap : int or None
        Number of the row that limits the cost, as in the whole program: it is left out, and
        stands behind the objective instead.
    """

    def __init__(
        self, rows: Rows, lower: Ints, upper: Ints, cost: Sequence[int], cap: int | None
    ) -> None:
        self.rows = rows
        self.free: Ints = np.nonzero(lower < upper)[0]
        place = np.cumsum(lower < upper) - 1
        held = np.nonzero(rows.ids == cap)[0] if cap is not None else np.array([], dtype=np.int64)
        self.cap = int(held[0]) if len(held) else None
        costs = np.array(cost, dtype=np.int64)
        self.settled = int(np.sum(np.where(lower == upper, costs * lower, 0)))
        used = np.ones(len(rows.ids), dtype=bool)
        if self.cap is not None:
            used[self.cap] = False
        self.used: Ints = np.nonzero(used)[0]
        number = np.cumsum(used) - 1
        entries = used[rows.row]
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.free), len(self.used)
        lp.col_cost_ = costs[self.free].astype(float)
        lp.col_lower_ = lower[self.free].astype(float)
        lp.col_upper_ = upper[self.free].astype(float)
        infinite = highspy.kHighsInf
        lp.row_lower_ = np.where(rows.has_low, rows.low, -infinite)[self.used]
        lp.row_upper_ = np.where(rows.has_high, rows.high, infinite)[self.used]
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        sizes = np.bincount(number[rows.row[entries]], minlength=len(self.used))
        lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int32)
        lp.a_matrix_.index_ = place[rows.col[entries]].astype(np.int32)
        lp.a_matrix_.value_ = rows.coef[entries].astype(float)
        self.solver = highs.quiet_solver()
        self.solver.setOptionValue("solver", "simplex")
        # A presolved model that has no solution yields no ray.
        self.solver.setOptionValue("presolve", "off")
        if self.cap is not None:
            # A little beyond the limit, so that rounding the multipliers has room to lose.
            self.solver.setOptionValue("objective_bound", float(rows.high[self.cap]) + _BEYOND)
        self.solver.passModel(lp)
        self.now = lower[self.free].copy(), upper[self.free].copy()

    def solve(self, lower: Ints, upper: Ints, basis: Any = None, steps: int = NO_LIMIT) -> View:
        """Solve under bounds, from a basis.

        Parameters
        ----------
        steps : int
            Most steps of the simplex method.
        """
        low, high = lower[self.free], upper[self.free]
        changed = np.nonzero((low != self.now[0]) | (high != self.now[1]))[0].astype(np.int32)
        solver = self.solver
        if len(changed):
            solver.changeColsBounds(
                len(changed), changed, low[changed].astype(float), high[changed].astype(float)
            )
            self.now = low, high
        if basis is not None:
            solver.setBasis(basis)
        solver.setOptionValue("simplex_iteration_limit", steps)
        solver.run()
        status = solver.getModelStatus()
        solution = solver.getSolution()
        weights = np.zeros(len(self.rows.ids))
        if status == _STATED.kInfeasible:
            _, known, ray = solver.getDualRay()
            if known:
                weights[self.used] = np.array(ray)
            return View(math.inf, True, np.array(solution.col_value), weights, None)
        weights[self.used] = np.array(solution.row_dual)
        value = solver.getInfo().objective_function_value + self.settled
        exact = status == _STATED.kOptimal
        primal = np.array(solution.col_value)
        return View(value, exact, primal, weights, solver.getBasis() if exact else None)

    def closing(self, view: View, lower: Ints, upper: Ints, limit: float) -> Sum | None:
        """A sum that cannot be reached within bounds, if the view is one of no solution.

        Parameters
        ----------
        limit : float
            The most that may be spent.
        """
        rows = self.rows
        if math.isinf(view.value):
            for way in (view.weights, -view.weights):
                found = rows.rounded(way, lower, upper, {})
                if found is not None:
                    return found
            return None
        if self.cap is None or view.value <= limit:
            return None
        return rows.rounded(view.weights, lower, upper, {self.cap: -1.0})

    def fixings(self, view: View, lower: Ints, upper: Ints) -> Step | None:
        """Bounds beyond which the cost would be too high, by one sum; also set in place."""
        if self.cap is None or not view.exact:
            return None
        rows = self.rows
        weights = view.weights.copy()
        weights[self.cap] = -1.0
        weights = np.where((weights > 0) & ~rows.has_low, 0.0, weights)
        weights = np.where((weights < 0) & ~rows.has_high, 0.0, weights)
        whole = np.rint(weights * _SCALE)
        column, room = rows.reached(whole, lower, upper)
        if room < 0:
            return None
        moved = (column != 0) & (room < np.abs(column) * (upper - lower))
        bounds = []
        for var in np.nonzero(moved)[0]:
            most = int(room // abs(column[var]))
            if column[var] < 0 and lower[var] + most < upper[var]:
                upper[var] = lower[var] + most
                bounds.append(Bound(int(var), True, int(upper[var])))
            elif column[var] > 0 and upper[var] - most > lower[var]:
                lower[var] = upper[var] - most
                bounds.append(Bound(int(var), False, int(lower[var])))
        if not bounds:
            return None
        used = np.nonzero(whole)[0]
        why = Sum(tuple((int(rows.ids[i]), int(whole[i])) for i in used))
        return Step(why, tuple(bounds))
