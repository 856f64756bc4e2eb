"""The linear relaxation under changing bounds: solved again from where it stood.

One solver object is kept; a node of the search only changes bounds of columns and starts from the
basis of its parent, which costs a hundredth of a second where a fresh start costs a tenth.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from optimizer.model.program import FREE, Program, Row
from optimizer.solving import highs

Bounds = Mapping[int, tuple[int, int]]
_NO_LIMIT = 2**31 - 1
_ABOVE = (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kObjectiveBound)


@dataclass(frozen=True)
class Point:
    """What the relaxation says of a node.

    Attributes
    ----------
    value : float
        Lower bound; infinite where the node has no solution below the value to stop above.
    exact : bool
        Whether the relaxation was solved to its end; if not, only `value` may be read.
    """

    value: float
    exact: bool
    primal: NDArray[np.float64]
    reduced: NDArray[np.float64]
    basis: object


class Relaxer:
    """The relaxation of one program."""

    def __init__(self, program: Program) -> None:
        self.solver = highs.quiet_solver()
        self.solver.setOptionValue("solver", "simplex")
        self.solver.passModel(highs.relaxed_model(program))
        self.lower = np.array(program.lower, dtype=float)
        self.upper = np.array(program.upper, dtype=float)
        self.now: dict[int, tuple[int, int]] = {}
        self.limit = highspy.kHighsInf

    def solve(self, bounds: Bounds, basis: object = None, steps: int = _NO_LIMIT) -> Point:
        """Solve under bounds that replace those of the program.

        Parameters
        ----------
        steps : int
            Most steps of the simplex method. A dual step never lowers the value, so what is
            reached is an estimate of the bound, to be used for choosing only.
        """
        status = self._run(bounds, basis, steps)
        solver = self.solver
        solution = solver.getSolution()
        value, exact = solver.getInfo().objective_function_value, True
        if status in _ABOVE:
            value = math.inf
        elif status != highspy.HighsModelStatus.kOptimal:
            exact = False
        return Point(
            value,
            exact,
            np.array(solution.col_value),
            np.array(solution.col_dual),
            solver.getBasis() if exact else None,
        )

    def solve_within(self, seconds: float) -> Point:
        """Solve under the bounds of the program, for so long at most."""
        self.solver.setOptionValue("time_limit", max(seconds, 0.1))
        point = self.solve({})
        self.solver.setOptionValue("time_limit", highspy.kHighsInf)
        return point

    def lies_above(self, bounds: Bounds, basis: object, steps: int) -> bool:
        """Whether a few steps prove that a node has no solution below the value to stop above."""
        status = self._run(bounds, basis, steps)
        if status == highspy.HighsModelStatus.kOptimal:
            return bool(self.solver.getInfo().objective_function_value > self.limit)
        return status in _ABOVE

    def _run(self, bounds: Bounds, basis: object, steps: int) -> highspy.HighsModelStatus:
        self._set(bounds)
        if basis is not None:
            self.solver.setBasis(basis)
        self.solver.setOptionValue("simplex_iteration_limit", steps)
        self.solver.run()
        status: highspy.HighsModelStatus = self.solver.getModelStatus()
        return status

    def add(self, rows: Sequence[Row]) -> None:
        """Add rows; bases known from before are of no use afterwards, but the last one stays."""
        for row in rows:
            self.solver.addRow(
                -highspy.kHighsInf if row.lo <= -FREE else float(row.lo),
                highspy.kHighsInf if row.hi >= FREE else float(row.hi),
                len(row.cols),
                np.array(row.cols, dtype=np.int32),
                np.array(row.coefs, dtype=float),
            )

    def reprice(self, column: int, cost: float) -> None:
        """Change what a column costs."""
        self.solver.changeColCost(column, cost)

    def basic(self) -> NDArray[np.int64]:
        """Basic variable at each place of the basis; negative where it is a row.

        Empty where no row has a term: then the solver has made no basis, and asking it for one
        ends the process (HiGHS 1.16).
        """
        if not self.solver.getNumNz():
            return np.zeros(0, dtype=np.int64)
        return np.array(self.solver.getBasicVariables()[1], dtype=np.int64)

    def row_prices(self) -> NDArray[np.float64]:
        """What the last relaxation would pay for one more on the right of each row."""
        return np.array(self.solver.getSolution().row_dual)

    def tableau(self, place: int) -> NDArray[np.float64]:
        """The row of the inverse of the basis at a place, shape (n_rows,)."""
        return np.asarray(self.solver.getBasisInverseRow(place)[1], dtype=float)

    def stop_above(self, value: float) -> None:
        """Stop a solve as soon as its value is proven to lie above this one."""
        self.limit = value if math.isfinite(value) else highspy.kHighsInf
        self.solver.setOptionValue("objective_bound", self.limit)

    def _set(self, bounds: Bounds) -> None:
        changed = [v for v in {*self.now, *bounds} if self.now.get(v) != bounds.get(v)]
        if not changed:
            return
        columns = np.array(sorted(changed), dtype=np.int32)
        low = np.array([bounds[v][0] if v in bounds else self.lower[v] for v in columns])
        high = np.array([bounds[v][1] if v in bounds else self.upper[v] for v in columns])
        self.solver.changeColsBounds(len(columns), columns, low.astype(float), high.astype(float))
        self.now = dict(bounds)


def whole(value: float) -> float:
    """Whole-number bound that a relaxation proves, with room for its tolerances."""
    if math.isinf(value):
        return value
    return math.ceil(value - max(0.01, 1e-7 * abs(value)))
