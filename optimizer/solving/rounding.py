"""Rounding cuts from the tableau of the linear relaxation, made valid by integer arithmetic.

A row of the tableau names multipliers u of the rows. They are scaled by M and rounded to integers,
so that any error makes a cut weaker, never wrong: with integer rows, slacks s and shifted variables
y (whole and >= 0), sum a_j y_j + sum u_i s_i = b holds exactly. For b = qM + r, 0 < r < M, mixed
integer rounding gives

    sum F(a_j) y_j + sum F(u_i) s_i <= (M - r) q,  F(a) = (M - r) floor(a/M) + max(0, a mod M - r)

References
----------
.. [1] R. E. Gomory, "An algorithm for the mixed integer problem", RAND, 1960.
.. [2] H. Marchand, L. A. Wolsey, "Aggregation and mixed integer rounding to solve MIPs",
   Operations Research 49, 2001.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from optimizer.model.program import FREE, Program, Row
from optimizer.solving.shrinking import Grid, Ints

CUT = "rounding"
"""Name of every cut."""

_SCALE = 1 << 16
_LARGEST = 20_000
_MOST_TERMS = 1000
_MOST_ROWS = 2000
_TRIED = 60
_KEPT = 40
_FRACTION = 0.02
_DEPTH = 1e-4
_SAFE = 2.0**52

Floats = NDArray[np.float64]


class Rounding:
    """Cuts for one program whose rows are those of the relaxation."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.grid = Grid(program)
        self.lower = np.array(program.lower, dtype=np.int64)
        self.upper = np.array(program.upper, dtype=np.int64)
        self.span = np.maximum(np.abs(self.lower), np.abs(self.upper)).astype(float)

    def cuts(self, point: Floats, tableau: list[Floats]) -> list[Row]:
        """Cuts that a point breaks, deepest first.

        Parameters
        ----------
        point : array, shape (n_variables,)
            A vertex of the relaxation.
        tableau : list of array, shape (n_rows,)
            Rows of the inverse of its basis.
        """
        grid = self.grid
        activity = np.bincount(grid.row, grid.coef * point[grid.col], len(grid.low)).astype(float)
        stand = _Standing(
            # A row stands at the side that its activity is nearest to; its slack counts from there.
            (grid.low > -FREE)
            & ((grid.high >= FREE) | (activity - grid.low <= grid.high - activity)),
            self.upper - point < point - self.lower,
            grid, self.lower, self.upper,
        )  # fmt: skip
        found: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[float, Row]] = {}
        for multipliers in tableau:
            for sign in (1, -1):
                made = self._cut(point, stand, sign * multipliers)
                if made is not None:
                    found.setdefault((made[1].cols, made[1].coefs), made)
        best = sorted(found.values(), key=lambda m: -m[0])[:_KEPT]
        return [row for _, row in best]

    def _cut(self, point: Floats, stand: _Standing, shares: Floats) -> tuple[float, Row] | None:
        grid = self.grid
        scaled = np.rint(shares * _SCALE)
        rows = np.nonzero(scaled)[0]
        if not 0 < len(rows) <= _MOST_ROWS or np.abs(scaled[rows]).max() > 2**40:
            return None
        whole = scaled[rows].astype(np.int64)
        if not _small(grid, rows, whole):
            return None
        sums = _combined(grid, rows, whole, len(point))
        right = int(np.dot(whole, stand.side[rows]))
        if float(np.dot(np.abs(sums.astype(float)), self.span)) > _SAFE:
            return None
        right -= int(np.dot(sums, stand.end))
        rest = right % _SCALE
        if not _FRACTION * _SCALE < rest < (1 - _FRACTION) * _SCALE:
            return None
        terms = _rounded(np.where(stand.at_top, -sums, sums), rest)
        limit = (_SCALE - rest) * (right // _SCALE)
        back = np.where(stand.at_top, -terms, terms)
        limit += int(np.dot(back, stand.end))
        free = ~stand.fixed[rows]
        rows, whole, at_low = rows[free], whole[free], stand.at_low[rows[free]]
        weights = _rounded(np.where(at_low, -whole, whole), rest)
        signed = np.where(at_low, weights, -weights)
        if not _small(grid, rows, signed):
            return None
        back = back + _combined(grid, rows, signed, len(point))
        limit += int(np.dot(signed, stand.side[rows]))
        return self._row(point, back, limit)

    def _row(self, point: Floats, sums: Ints, limit: int) -> tuple[float, Row] | None:
        """sum <= limit, with smaller numbers, if the point still breaks it."""
        cols = np.nonzero(sums)[0]
        if not 0 < len(cols) <= _MOST_TERMS:
            return None
        coefs = sums[cols]
        over = int(np.abs(coefs).max()) // _LARGEST
        if over:
            # Over variables that start at zero, smaller coefficients only weaken the row.
            bits = over.bit_length()
            limit -= int(np.dot(coefs, self.lower[cols]))
            coefs >>= bits
            limit >>= bits
            limit += int(np.dot(coefs, self.lower[cols]))
            cols, coefs = cols[coefs != 0], coefs[coefs != 0]
            if not len(cols):
                return None
        divisor = int(np.gcd.reduce(coefs))
        coefs //= divisor
        limit //= divisor
        depth = (float(np.dot(coefs, point[cols])) - limit) / float(np.linalg.norm(coefs))
        if depth < _DEPTH:
            return None
        return depth, Row(CUT, (), tuple(cols.tolist()), tuple(coefs.tolist()), -FREE, limit)


class _Standing:
    """Where a point stands: which side of each row, and which end of each variable, is nearest."""

    def __init__(
        self,
        at_low: NDArray[np.bool_],
        at_top: NDArray[np.bool_],
        grid: Grid,
        lower: Ints,
        upper: Ints,
    ) -> None:
        self.at_low, self.at_top = at_low, at_top
        self.side = np.where(at_low, grid.low, grid.high)
        self.end = np.where(at_top, upper, lower)
        self.fixed = grid.low == grid.high


def fractional(point: Floats, basic: Ints) -> list[int]:
    """Places in the basis of the variables that are farthest from whole."""
    found = []
    for place, var in enumerate(basic):
        if var >= 0:
            part = point[var] - math.floor(point[var])
            if _FRACTION < part < 1 - _FRACTION:
                found.append((abs(part - 0.5), place))
    return [place for _, place in sorted(found)[:_TRIED]]


def _rounded(amounts: Ints, rest: int) -> Ints:
    return (_SCALE - rest) * (amounts // _SCALE) + np.maximum(0, amounts % _SCALE - rest)


def _combined(grid: Grid, rows: Ints, weights: Ints, size: int) -> Ints:
    entries = grid.entries(rows)
    counts = grid.start[rows + 1] - grid.start[rows]
    # Sums of whole numbers below 2^53 are exact in floating point, and several times as fast.
    amounts = np.repeat(weights, counts).astype(float) * grid.coef[entries]
    return np.bincount(grid.col[entries], weights=amounts, minlength=size).astype(np.int64)


def _small(grid: Grid, rows: Ints, weights: Ints) -> bool:
    """Whether sums with these weights stay far from the limits of the arithmetic."""
    sizes = np.abs(weights.astype(float))
    reach = float(np.dot(sizes, grid.size[rows]))
    return reach < _SAFE and float(np.dot(sizes, grid.sides[rows])) < _SAFE
