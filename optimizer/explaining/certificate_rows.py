"""The rows of a program as flat arrays: sums of rows, and bounds carried from row to row.

Everything here is in whole numbers below 2^53, so that no step of the arithmetic rounds; what a
sum proves is decided again, in unlimited integers, by the checker.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from optimizer.model.program import FREE, Program, Row

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
_ROUNDS = 8
_EXACT = 2.0**52
_LOSS = 1e-12
_MOST_SCALE = 10**12


@dataclass(frozen=True)
class Sum:
    """Rows times whole numbers: a positive one takes a row's lower side, a negative the upper."""

    parts: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Bound:
    """A variable is at most a value, or at least."""

    var: int
    above: bool
    value: int


@dataclass(frozen=True)
class Step:
    """Bounds that follow from a sum.

    Attributes
    ----------
    tried : bool
        The sum closes the other side of the one bound there is; otherwise the bounds follow from
        the sum and those there were.
    """

    why: Sum
    bounds: tuple[Bound, ...]
    tried: bool = False


class Rows:
    """The rows of a program that still bind under some bounds, without settled columns."""

    def __init__(self, program: Program) -> None:
        rows = program.rows
        self.ids: Ints = np.arange(len(rows))
        self.row: Ints = np.repeat(self.ids, [len(r.cols) for r in rows])
        self.col: Ints = np.array([c for r in rows for c in r.cols], dtype=np.int64)
        self.coef: Ints = np.array([k for r in rows for k in r.coefs], dtype=np.int64)
        self.low: Ints = np.array([r.lo for r in rows], dtype=np.int64)
        self.high: Ints = np.array([r.hi for r in rows], dtype=np.int64)
        self.has_low = self.low > -FREE
        self.has_high = self.high < FREE

    def activity(self, lower: Ints, upper: Ints) -> tuple[Ints, Ints, Ints, Ints]:
        """Least and most of each entry, and of each row."""
        up = self.coef > 0
        first, last = self.coef * lower[self.col], self.coef * upper[self.col]
        least, most = np.where(up, first, last), np.where(up, last, first)
        size = len(self.low)
        return (
            least,
            most,
            np.bincount(self.row, least, size).astype(np.int64),
            np.bincount(self.row, most, size).astype(np.int64),
        )

    def restricted(self, lower: Ints, upper: Ints) -> Rows:
        """The same under bounds, without settled columns and rows that cannot be broken."""
        _, _, least, most = self.activity(lower, upper)
        kept = (self.has_low & (least < self.low)) | (self.has_high & (most > self.high))
        free = lower[self.col] < upper[self.col]
        held = ~free
        size = len(self.low)
        settled = np.bincount(self.row[held], self.coef[held] * lower[self.col[held]], size).astype(
            np.int64
        )
        out: Rows = object.__new__(Rows)
        entries = free & kept[self.row]
        number = np.cumsum(kept) - 1
        out.ids = self.ids[kept]
        out.row, out.col = number[self.row[entries]], self.col[entries]
        out.coef = self.coef[entries]
        out.has_low, out.has_high = self.has_low[kept], self.has_high[kept]
        out.low = np.where(out.has_low, self.low[kept] - settled[kept], -FREE)
        out.high = np.where(out.has_high, self.high[kept] - settled[kept], FREE)
        return out

    def carry(self, lower: Ints, upper: Ints, steps: list[Step]) -> Sum | None:
        """Carry bounds from row to row, in place, noting each step.

        Returns
        -------
        Sum or None
            The row that cannot be kept any more, if there is one.
        """
        size = np.abs(self.coef)
        up = self.coef > 0
        high, low = self.has_high[self.row], self.has_low[self.row]
        for _ in range(_ROUNDS):
            least, most, row_least, row_most = self.activity(lower, upper)
            for broken, sign in (
                (self.has_high & (row_least > self.high), -1),
                (self.has_low & (row_most < self.low), 1),
            ):
                if broken.any():
                    return Sum(((int(self.ids[np.argmax(broken)]), sign),))
            # |coef| x may be at most what the row leaves over the least of all others.
            over = (self.high - row_least)[self.row] + least
            under = (self.low - row_most)[self.row] + most
            top = np.where(up, over // size, -(under // size))
            bottom = np.where(up, -(-under // size), -(over // size))
            lowered = (top < upper[self.col]) & np.where(up, high, low)
            raised = (bottom > lower[self.col]) & np.where(up, low, high)
            if not lowered.any() and not raised.any():
                return None
            # One entry after the other, those of a row together.
            for entry in np.nonzero(lowered | raised)[0]:
                var, row = int(self.col[entry]), int(self.ids[self.row[entry]])
                if lowered[entry] and top[entry] < upper[var]:
                    why = Sum(((row, -1 if up[entry] else 1),))
                    if top[entry] < lower[var]:
                        return why
                    upper[var] = top[entry]
                    _note(steps, why, Bound(var, True, int(top[entry])))
                if raised[entry] and bottom[entry] > lower[var]:
                    why = Sum(((row, 1 if up[entry] else -1),))
                    if bottom[entry] > upper[var]:
                        return why
                    lower[var] = bottom[entry]
                    _note(steps, why, Bound(var, False, int(bottom[entry])))
        return None

    def rounded(
        self,
        weights: Floats,
        lower: Ints,
        upper: Ints,
        own: Mapping[int, float],
        digits: int = 1,
    ) -> Sum | None:
        """Whole multipliers near the given ones that cannot be reached within bounds.

        Parameters
        ----------
        weights : array
            A multiplier for each of these rows.
        own : dict
            Multipliers of further rows by their number among these; in place of those in weights.
        digits : int
            Power of ten to begin with.

        Returns
        -------
        Sum or None
            None if rounding made it too weak at every scale.
        """
        weights = weights.copy()
        for number, weight in own.items():
            weights[number] = weight
        weights = np.where((weights > 0) & ~self.has_low, 0.0, weights)
        weights = np.where((weights < 0) & ~self.has_high, 0.0, weights)
        largest = float(np.max(np.abs(weights), initial=0.0))
        if largest == 0.0:
            return None
        scale = 10**digits / largest
        while scale * largest < _MOST_SCALE:
            whole = np.rint(weights * scale)
            if self.closes(whole, lower, upper):
                used = np.nonzero(whole)[0]
                divisor = int(np.gcd.reduce(whole[used].astype(np.int64)))
                return Sum(tuple((int(self.ids[i]), int(whole[i]) // divisor) for i in used))
            scale *= 10
        return None

    def closes(self, whole: Floats, lower: Ints, upper: Ints) -> bool:
        """Whether a sum with whole multipliers cannot be reached within bounds."""
        return self.reached(whole, lower, upper)[1] < 0

    def reached(self, whole: Floats, lower: Ints, upper: Ints) -> tuple[Floats, float]:
        """Coefficients of a sum, and by how much it can at most exceed what it must be.

        The second is exact, or too large by a little where floats cannot hold it exactly.
        """
        used = whole != 0
        sides = np.where(whole > 0, self.low, self.high)[used] * whole[used]
        entries = used[self.row]
        terms, columns = whole[self.row[entries]] * self.coef[entries], self.col[entries]
        column = np.asarray(np.bincount(columns, terms, len(lower)), dtype=np.float64)
        reach = np.where(column > 0, column * upper, column * lower)
        # Large terms may cancel: it is their size before that which tells what may be lost.
        most = np.maximum(np.abs(lower), np.abs(upper))
        size = float(np.sum(np.abs(terms) * most[columns]) + np.sum(np.abs(sides)))
        lost = 0.0 if size < _EXACT else size * _LOSS
        return column, float(np.sum(reach)) - float(np.sum(sides)) + lost


def _note(steps: list[Step], why: Sum, bound: Bound) -> None:
    """Add a bound to the last step if that is by the same sum."""
    if steps and steps[-1].why == why and not steps[-1].tried:
        steps[-1] = Step(why, (*steps[-1].bounds, bound))
    else:
        steps.append(Step(why, (bound,)))


def with_limit(program: Program, below: int | None) -> tuple[Program, int | None]:
    """A program whose cost is limited, and the number of the row that limits it.

    Parameters
    ----------
    below : int, optional
        What the cost shall be less than: a row at the end. Without it a row of the program that
        limits the cost, such as a budget, is looked for.

    Returns
    -------
    tuple of Program and (int or None)
    """
    terms = {i: k for i, k in enumerate(program.cost) if k}
    if below is not None:
        row = Row("below", (), tuple(terms), tuple(terms.values()), -FREE, below - 1)
        return replace(program, rows=[*program.rows, row]), len(program.rows)
    caps = [
        (row.hi, number)
        for number, row in enumerate(program.rows)
        if row.hi < FREE and dict(zip(row.cols, row.coefs, strict=True)) == terms
    ]
    return program, min(caps)[1] if caps else None
