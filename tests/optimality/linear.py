"""A bare integer program and HiGHS, with the answer checked again in whole numbers."""

from __future__ import annotations

from collections.abc import Iterable

import highspy
import numpy as np

Terms = list[tuple[int, int]]
"""Coefficient and variable, summed."""

INFINITE = 10**15


class WrongAnswerError(Exception):
    """The solver's answer does not keep the rows, or its bound contradicts it."""


class Program:
    """Minimise a cost over bounded integers under two-sided linear rows, all in whole numbers."""

    def __init__(self) -> None:
        self.upper: list[int] = []
        self.rows: list[tuple[dict[int, int], int, int]] = []
        self.cost: dict[int, int] = {}

    def var(self, upper: int = 1) -> int:
        """A variable from 0 to `upper`."""
        self.upper.append(upper)
        return len(self.upper) - 1

    def row(
        self, terms: Iterable[tuple[int, int]], low: int = -INFINITE, high: int = INFINITE
    ) -> None:
        """low <= sum <= high; terms of one variable add up."""
        merged: dict[int, int] = {}
        for factor, index in terms:
            merged[index] = merged.get(index, 0) + factor
        self.rows.append(({i: f for i, f in merged.items() if f}, low, high))

    def equal(self, left: Terms, right: Terms) -> None:
        self.row([*left, *less(right)], 0, 0)

    def at_most(self, left: Terms, right: Terms) -> None:
        self.row([*left, *less(right)], high=0)

    def charge(self, terms: Terms, price: int = 1) -> None:
        """Add to the cost."""
        for factor, index in terms:
            self.cost[index] = self.cost.get(index, 0) + factor * price

    def most(self, terms: Terms) -> int:
        """A bound on the sum from the bounds of its variables, all terms positive."""
        return sum(factor * self.upper[index] for factor, index in terms)

    def solve(self, seconds: float = 120.0) -> list[int] | None:
        """A cheapest assignment, None if there is none.

        Raises
        ------
        WrongAnswerError
            If time runs out, or the rounded assignment breaks a row or the proven bound.
        """
        solver = self._load()
        solver.setOptionValue("time_limit", seconds)
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        if status != highspy.HighsModelStatus.kOptimal:
            raise WrongAnswerError(f"HiGHS stopped with {solver.modelStatusToString(status)}")
        values = [round(v) for v in solver.getSolution().col_value]
        self._check(values)
        bound = solver.getInfo().mip_dual_bound
        if self.value(values) > bound + 0.5:
            raise WrongAnswerError(f"cost {self.value(values)} above the proven bound {bound}")
        return values

    def value(self, values: list[int]) -> int:
        """Cost of an assignment."""
        return sum(price * values[index] for index, price in self.cost.items())

    def _check(self, values: list[int]) -> None:
        for index, value in enumerate(values):
            if not 0 <= value <= self.upper[index]:
                raise WrongAnswerError(
                    f"variable {index} is {value}, outside 0 to {self.upper[index]}"
                )
        for number, (terms, low, high) in enumerate(self.rows):
            total = sum(factor * values[index] for index, factor in terms.items())
            if not low <= total <= high:
                raise WrongAnswerError(f"row {number} sums to {total}, outside {low} to {high}")

    def _load(self) -> highspy.Highs:
        solver = highspy.Highs()
        for option, value in (
            ("output_flag", False),
            ("threads", 1),
            ("random_seed", 1),
            ("mip_rel_gap", 0.0),
            ("mip_abs_gap", 0.4),
            ("mip_feasibility_tolerance", 1e-7),
            ("primal_feasibility_tolerance", 1e-8),
        ):
            solver.setOptionValue(option, value)
        model = highspy.HighsLp()
        count, rows = len(self.upper), len(self.rows)
        model.num_col_, model.num_row_ = count, rows
        model.col_cost_ = np.array([float(self.cost.get(i, 0)) for i in range(count)])
        model.col_lower_ = np.zeros(count)
        model.col_upper_ = np.array(self.upper, dtype=float)
        model.row_lower_ = np.array(
            [-highspy.kHighsInf if lo <= -INFINITE else lo for _, lo, _ in self.rows], dtype=float
        )
        model.row_upper_ = np.array(
            [highspy.kHighsInf if hi >= INFINITE else hi for _, _, hi in self.rows], dtype=float
        )
        model.integrality_ = [highspy.HighsVarType.kInteger] * count
        starts, indices, factors = [0], [], []
        for terms, _, _ in self.rows:
            indices += list(terms)
            factors += list(terms.values())
            starts.append(len(indices))
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = np.array(starts)
        model.a_matrix_.index_ = np.array(indices, dtype=np.int32)
        model.a_matrix_.value_ = np.array(factors, dtype=float)
        solver.passModel(model)
        return solver


def less(terms: Terms) -> Terms:
    """The terms with their signs turned."""
    return [(-factor, index) for factor, index in terms]


def times(number: int, terms: Terms) -> Terms:
    return [(number * factor, index) for factor, index in terms]


__all__ = ["INFINITE", "Program", "Terms", "WrongAnswerError", "less", "times"]
