"""A program under tighter bounds, without what these settle.

Bounds are carried from row to row until nothing more follows; then columns with one value left and
rows that cannot be broken any more are taken out. What is left has the same solutions and the same
prices, and its linear relaxation is solved several times faster.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from optimizer.model.program import FREE, Program, Row

_ROUNDS = 12

Ints = NDArray[np.int64]


class Grid:
    """The rows of a program as flat arrays, one entry for each coefficient."""

    def __init__(self, program: Program) -> None:
        self.program = program
        rows = program.rows
        self.row: Ints = np.repeat(np.arange(len(rows)), [len(r.cols) for r in rows])
        self.col: Ints = np.array([c for r in rows for c in r.cols], dtype=np.int64)
        self.coef: Ints = np.array([k for r in rows for k in r.coefs], dtype=np.int64)
        self.low: Ints = np.array([r.lo for r in rows], dtype=np.int64)
        self.high: Ints = np.array([r.hi for r in rows], dtype=np.int64)
        self.start: Ints = np.cumsum([0, *(len(r.cols) for r in rows)])
        self.size = np.bincount(self.row, np.abs(self.coef), len(rows))
        self.sides = np.where(np.abs(self.low) < FREE, np.abs(self.low), 0.0) + np.where(
            np.abs(self.high) < FREE, np.abs(self.high), 0.0
        )

    def entries(self, rows: Ints) -> Ints:
        """Places of the entries of some rows."""
        counts = self.start[rows + 1] - self.start[rows]
        before = np.cumsum(counts) - counts
        return np.repeat(self.start[rows] - before, counts) + np.arange(counts.sum())

    def projected(self, rows: Ints, place: Ints, settled: Ints) -> list[Row]:
        """Some rows over what is left.

        Parameters
        ----------
        place : array, shape (n_variables,)
            Number of each variable that is left; -1 for the others.
        settled : array, shape (n_variables,)
            Their values.
        """
        entries = self.entries(rows)
        ends = np.cumsum(self.start[rows + 1] - self.start[rows])
        cols, coefs = self.col[entries], self.coef[entries]
        now = place[cols]
        left = now >= 0
        gone = np.concatenate([[0], np.cumsum(np.where(left, 0, coefs * settled[cols]))])
        kept = np.concatenate([[0], np.cumsum(left)])
        first = np.concatenate([[0], ends[:-1]]) if len(ends) else ends
        less, at = (gone[ends] - gone[first]).tolist(), kept[ends].tolist()
        new_cols, new_coefs = now[left].tolist(), coefs[left].tolist()
        out, begin = [], 0
        for number, end, moved in zip(rows.tolist(), at, less, strict=True):
            row = self.program.rows[number]
            out.append(
                Row(
                    row.name,
                    row.tags,
                    tuple(new_cols[begin:end]),
                    tuple(new_coefs[begin:end]),
                    row.lo if row.lo <= -FREE else row.lo - moved,
                    row.hi if row.hi >= FREE else row.hi - moved,
                )
            )
            begin = end
        return out

    def activity(self, lower: Ints, upper: Ints) -> tuple[Ints, Ints, Ints, Ints]:
        """Least and most of each entry, and of each row."""
        up = self.coef > 0
        first, last = lower[self.col], upper[self.col]
        least = self.coef * np.where(up, first, last)
        most = self.coef * np.where(up, last, first)
        size = len(self.low)
        row_least, row_most = np.zeros(size, np.int64), np.zeros(size, np.int64)
        np.add.at(row_least, self.row, least)
        np.add.at(row_most, self.row, most)
        return least, most, row_least, row_most

    def tighten(self, lower: Ints, upper: Ints) -> bool:
        """Carry bounds through all rows, in place; False if they leave no solution."""
        up = self.coef > 0
        size = np.abs(self.coef)
        for _ in range(_ROUNDS):
            least, most, row_least, row_most = self.activity(lower, upper)
            if np.any(row_least > self.high) or np.any(row_most < self.low):
                return False
            # |coef| x may be at most what the row leaves over the least of all others.
            over = self.high[self.row] - (row_least[self.row] - least)
            under = self.low[self.row] - (row_most[self.row] - most)
            top = np.where(up, over // size, -(under // size))
            bottom = np.where(up, -(-under // size), -(over // size))
            bounded_top = np.where(up, self.high[self.row] < FREE, self.low[self.row] > -FREE)
            bounded_bottom = np.where(up, self.low[self.row] > -FREE, self.high[self.row] < FREE)
            new_upper, new_lower = upper.copy(), lower.copy()
            np.minimum.at(new_upper, self.col[bounded_top], top[bounded_top])
            np.maximum.at(new_lower, self.col[bounded_bottom], bottom[bounded_bottom])
            if np.any(new_lower > new_upper):
                return False
            same = np.array_equal(new_lower, lower) and np.array_equal(new_upper, upper)
            lower[:], upper[:] = new_lower, new_upper
            if same:
                break
        return True


@dataclass(frozen=True)
class Shrunk:
    """What is left of a program.

    Attributes
    ----------
    columns : array
        For each variable left, its index in the whole program.
    settled : array
        Value of every variable of the whole program; of use for those that are settled.
    offset : int
        Cost of what is settled.
    """

    program: Program
    columns: Ints
    settled: Ints
    offset: int

    def lifted(self, values: tuple[int, ...]) -> tuple[int, ...]:
        """A solution of the whole program."""
        out = self.settled.copy()
        out[self.columns] = values
        return tuple(int(v) for v in out)

    def within(self, outer: Shrunk) -> Shrunk:
        """What is left of what was left of a larger program."""
        settled = outer.settled.copy()
        settled[outer.columns] = self.settled
        columns = outer.columns[self.columns]
        return Shrunk(self.program, columns, settled, outer.offset + self.offset)

    def projected(self, row: Row) -> Row:
        """A row of the whole program, over what is left."""
        place = np.full(len(self.settled), -1)
        place[self.columns] = np.arange(len(self.columns))
        return _projected(row, place, self.settled)


def shrink(grid: Grid, fixed: Mapping[int, tuple[int, int]]) -> Shrunk | None:
    """The program under some bounds; None if they leave no solution."""
    program = grid.program
    lower = np.array(program.lower, dtype=np.int64)
    upper = np.array(program.upper, dtype=np.int64)
    for var, (low, high) in fixed.items():
        lower[var], upper[var] = max(lower[var], low), min(upper[var], high)
    if np.any(lower > upper) or not grid.tighten(lower, upper):
        return None
    _, _, least, most = grid.activity(lower, upper)
    needed = (least < grid.low) | (most > grid.high)
    left = lower < upper
    columns = np.nonzero(left)[0]
    place = np.full(len(lower), -1)
    place[columns] = np.arange(len(columns))
    settled = lower.copy()
    rows = grid.projected(np.nonzero(needed)[0], place, settled)
    small = Program(
        names=[program.names[c] for c in columns],
        lower=[int(lower[c]) for c in columns],
        upper=[int(upper[c]) for c in columns],
        cost=[program.cost[c] for c in columns],
        rows=rows,
    )
    offset = sum(program.cost[c] * int(settled[c]) for c in np.nonzero(~left)[0])
    return Shrunk(small, columns, settled, int(offset))


def _projected(row: Row, place: Ints, settled: Ints) -> Row:
    terms = list(zip(row.cols, row.coefs, strict=True))
    kept = [(int(place[c]), k) for c, k in terms if place[c] >= 0]
    gone = sum(k * int(settled[c]) for c, k in terms if place[c] < 0)
    return Row(
        row.name,
        row.tags,
        tuple(c for c, _ in kept),
        tuple(k for _, k in kept),
        row.lo if row.lo <= -FREE else row.lo - gone,
        row.hi if row.hi >= FREE else row.hi - gone,
    )
