"""A bounded integer program that knows no solver.

CP-SAT, HiGHS and the MPS export all read this one program, so that a second opinion is about the
same thing. Every row says which requirement or fact it stands for.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import repeat
from typing import Final

from optimizer.errors import Defect

FREE: Final = 2**53
"""Stands for "no limit" at a row's side."""

_MOST: Final = 2**31
_MOST_ACTIVITY: Final = 2**50


@dataclass(frozen=True)
class Row:
    """lo <= sum of coefs x variables <= hi.

    Attributes
    ----------
    name : str
        Unique, "family/what".
    tags : tuple of str
        Ids of the requirements and facts it stands for.
    """

    name: str
    tags: tuple[str, ...]
    cols: tuple[int, ...]
    coefs: tuple[int, ...]
    lo: int
    hi: int


@dataclass
class Program:
    """Variables, rows and an objective to be minimised."""

    names: list[str] = field(default_factory=list)
    lower: list[int] = field(default_factory=list)
    upper: list[int] = field(default_factory=list)
    cost: list[int] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)

    @property
    def terms(self) -> int:
        """Coefficients in all rows."""
        return sum(len(row.cols) for row in self.rows)

    def var(self, name: str, upper: int, lower: int = 0, cost: int = 0) -> int:
        """Add an integer variable and return its index."""
        if lower > upper:
            raise Defect(f"variable {name} has no value: {lower} to {upper}")
        self.names.append(name)
        self.lower.append(lower)
        self.upper.append(upper)
        self.cost.append(cost)
        return len(self.names) - 1

    def row(
        self,
        name: str,
        tags: Sequence[str],
        terms: Iterable[tuple[int, int]],
        lo: int = -FREE,
        hi: int = FREE,
        ones: Sequence[int] = (),
    ) -> None:
        """Add a row.

        Parameters
        ----------
        terms : iterable of (int, int)
            Variable and coefficient; may repeat a variable.
        ones : sequence of int
            Variables with the coefficient 1, all different and in none of the terms. Rows of many
            thousands are written far sooner from these than term by term.
        """
        sums: dict[int, int] = {}
        for col, coef in terms:
            sums[col] = sums.get(col, 0) + coef
        cols = tuple(c for c, k in sums.items() if k)
        coefs = tuple(sums[c] for c in cols)
        row = Row(name, tuple(tags), (*ones, *cols), (*repeat(1, len(ones)), *coefs), lo, hi)
        self.rows.append(row)

    def equal(
        self, name: str, tags: Sequence[str], terms: Iterable[tuple[int, int]], value: int = 0
    ) -> None:
        """Add a row whose sides are equal."""
        self.row(name, tags, terms, value, value)

    def check(self) -> None:
        """Refuse numbers so large that a solver could overflow on them.

        Raises
        ------
        Defect
            Naming the row; CP-SAT is known to go wrong above 2^31 in a row's coefficients.
        """
        span = [max(abs(low), abs(high)) for low, high in zip(self.lower, self.upper, strict=True)]
        widest = max(span, default=0)
        for row in self.rows:
            # A long row of small numbers need not be added up.
            most = len(row.coefs) * max(max(row.coefs, default=0), -min(row.coefs, default=0))
            if most < _MOST and most * widest < _MOST_ACTIVITY:
                continue
            if sum(map(abs, row.coefs)) >= _MOST:
                raise Defect(f"row {row.name} has coefficients that are too large")
            if sum(abs(k) * span[c] for c, k in zip(row.cols, row.coefs, strict=True)) >= (
                _MOST_ACTIVITY
            ):
                raise Defect(f"row {row.name} can reach values that are too large")

    def value(self, solution: Sequence[int]) -> int:
        """Objective of a solution."""
        return sum(k * x for k, x in zip(self.cost, solution, strict=True))

    def broken(self, solution: Sequence[int]) -> list[str]:
        """Names of bounds and rows that a solution does not keep."""
        out = [
            self.names[i] for i, x in enumerate(solution) if not self.lower[i] <= x <= self.upper[i]
        ]
        for row in self.rows:
            got = sum(k * solution[c] for c, k in zip(row.cols, row.coefs, strict=True))
            if not row.lo <= got <= row.hi:
                out.append(row.name)
        return out
