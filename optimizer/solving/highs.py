"""HiGHS: the second opinion, and the source of linear bounds."""

from __future__ import annotations

import ctypes
import math
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

import highspy
import numpy as np

from optimizer.errors import Defect
from optimizer.model.program import FREE, Program
from optimizer.solving.outcome import Outcome

VERSION = "HiGHS 1.16"
_OFF = 1e-5


def _model(program: Program, integer: bool) -> highspy.HighsLp:
    lp = highspy.HighsLp()
    columns, rows = len(program.names), len(program.rows)
    lp.num_col_, lp.num_row_ = columns, rows
    lp.col_cost_ = np.array(program.cost, dtype=float)
    lp.col_lower_ = np.array(program.lower, dtype=float)
    lp.col_upper_ = np.array(program.upper, dtype=float)
    inf = highspy.kHighsInf
    lp.row_lower_ = np.array([-inf if r.lo <= -FREE else r.lo for r in program.rows], dtype=float)
    lp.row_upper_ = np.array([inf if r.hi >= FREE else r.hi for r in program.rows], dtype=float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0, *(len(r.cols) for r in program.rows)])
    lp.a_matrix_.index_ = np.array([c for r in program.rows for c in r.cols], dtype=np.int32)
    lp.a_matrix_.value_ = np.array([k for r in program.rows for k in r.coefs], dtype=float)
    if integer:
        lp.integrality_ = [highspy.HighsVarType.kInteger] * columns
    return lp


_making = Lock()


def _silently() -> highspy.Highs:
    """A solver object. Making one prints a banner on standard output, which belongs to answers."""
    with _making, Path(os.devnull).open("wb") as nowhere:
        sys.stdout.flush()
        kept = os.dup(1)
        os.dup2(nowhere.fileno(), 1)
        try:
            solver = highspy.Highs()
            ctypes.CDLL(None).fflush(None)
        finally:
            os.dup2(kept, 1)
            os.close(kept)
    solver.silent()
    return solver


def quiet_solver() -> highspy.Highs:
    """A solver with one thread and a fixed seed."""
    solver = _silently()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 1)
    return solver


def relaxed_model(program: Program) -> highspy.HighsLp:
    """A program without its integrality."""
    return _model(program, integer=False)


def _solver(seconds: float) -> highspy.Highs:
    solver = quiet_solver()
    solver.setOptionValue("time_limit", max(seconds, 0.01))
    return solver


def whole_bound(relaxed: Relaxation) -> int:
    """Whole-number bound that a relaxation proves, with room for its tolerances."""
    return math.ceil(relaxed.value - max(0.01, 1e-7 * abs(relaxed.value)))


@dataclass(frozen=True)
class Relaxation:
    """Optimum of the linear relaxation, with its reduced costs."""

    value: float
    primal: np.ndarray[tuple[int], np.dtype[np.float64]]
    reduced: np.ndarray[tuple[int], np.dtype[np.float64]]


def relax(program: Program, seconds: float) -> Relaxation | None:
    """Solve the linear relaxation; None if it has no solution or time ran out."""
    solver = _solver(seconds)
    solver.passModel(_model(program, integer=False))
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    solution = solver.getSolution()
    return Relaxation(
        solver.getInfo().objective_function_value,
        np.array(solution.col_value),
        np.array(solution.col_dual),
    )


def has_no_solution(program: Program, seconds: float) -> bool:
    """Whether HiGHS proves that a program has no solution, by its relaxation if that is enough."""
    solver = _solver(seconds)
    solver.passModel(_model(program, integer=False))
    solver.run()
    if solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return True
    return solve(program, seconds).status == "infeasible"


def solve(
    program: Program,
    seconds: float,
    *,
    start: tuple[int, ...] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Outcome:
    """Solve a program to the last unit.

    Parameters
    ----------
    start : tuple of int, optional
        A known solution.
    stop : callable, optional
        Asked now and then; true ends the solve.

    Raises
    ------
    Defect
        If it returns values that break a row after rounding.
    """
    solver = _solver(seconds)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.5)
    solver.setOptionValue("mip_feasibility_tolerance", 1e-7)
    solver.passModel(_model(program, integer=True))
    if start is not None:
        solution = highspy.HighsSolution()
        solution.col_value = [float(v) for v in start]
        solver.setSolution(solution)
    if stop is not None:
        solver.cbMipInterrupt.subscribe(
            lambda event: setattr(event.data_in, "user_interrupt", stop())
        )
    solver.run()
    status = solver.getModelStatus()
    info = solver.getInfo()
    if status == highspy.HighsModelStatus.kInfeasible:
        return Outcome("infeasible", None, None, None)
    bound = None
    if math.isfinite(info.mip_dual_bound):
        bound = math.ceil(info.mip_dual_bound - _OFF * max(1.0, abs(info.mip_dual_bound) * 1e-4))
    if info.primal_solution_status != 2:
        return Outcome("unknown", None, None, bound)
    values = tuple(round(v) for v in solver.getSolution().col_value)
    broken = program.broken(values)
    if broken:
        raise Defect(f"HiGHS's solution breaks {broken[0]}")
    objective = program.value(values)
    if status == highspy.HighsModelStatus.kOptimal:
        return Outcome("optimal", values, objective, objective)
    return Outcome("feasible", values, objective, bound)
