"""Covers: the least costly choice of columns that covers every row often enough.

What is left of a kit when only the choice of views counts: a row is a cell to be seen, a column a
way to aim a camera of a mount, a group the ways of one mount, of which at most one is used.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain


@dataclass(frozen=True)
class Cover:
    """A covering problem.

    Minimise the cost of the chosen columns such that each row i has at least ``needs[i]`` of its
    columns among them, and each group has at most one.

    Attributes
    ----------
    costs : tuple of int
        For each column, >= 0.
    rows : tuple of tuple of int
        For each row the columns that cover it, ascending.
    needs : tuple of int
        For each row, >= 1. Empty: 1 for each.
    groups : tuple of int
        For each column the number of its group. Empty: each column is a group by itself.
    """

    costs: tuple[int, ...]
    rows: tuple[tuple[int, ...], ...]
    needs: tuple[int, ...] = ()
    groups: tuple[int, ...] = ()

    def need(self, row: int) -> int:
        """Columns that a row needs."""
        return self.needs[row] if self.needs else 1

    def group(self, column: int) -> int:
        """Group of a column."""
        return self.groups[column] if self.groups else column

    def cost(self, chosen: Iterable[int]) -> int:
        """Cost of some columns."""
        return sum(self.costs[c] for c in chosen)

    def covers(self, chosen: Iterable[int]) -> bool:
        """Whether some columns keep every row and every group."""
        picked = set(chosen)
        groups = [self.group(c) for c in picked]
        return len(groups) == len(set(groups)) and all(
            len(picked.intersection(row)) >= self.need(i) for i, row in enumerate(self.rows)
        )


@dataclass(frozen=True)
class Reduced:
    """What is left of a cover after reduction: same least cost, less its fixed part.

    Attributes
    ----------
    cover : Cover
        Over the columns that are left, numbered anew.
    columns : tuple of int
        For each column that is left, its number in the original.
    fixed : tuple of int
        Original columns that some least cover surely holds.
    """

    cover: Cover
    columns: tuple[int, ...]
    fixed: tuple[int, ...] = ()

    def lifted(self, chosen: Iterable[int]) -> tuple[int, ...]:
        """A cover of the original from a cover of what is left."""
        return tuple(sorted({*self.fixed, *(self.columns[c] for c in chosen)}))


def mask(numbers: Iterable[int]) -> int:
    """Whole numbers >= 0 as the bits of one."""
    out = 0
    for number in numbers:
        out |= 1 << number
    return out


def implied(rows: Sequence[Collection[int]], needs: Sequence[int]) -> list[bool]:
    """Which rows hold wherever another one holds.

    Row j is implied by row i if the columns of i are among those of j and i needs at least as
    many; of equal rows the first is kept.

    Parameters
    ----------
    rows : sequence of collections of int
        For each row its columns.
    needs : sequence of int
        Columns each row needs.
    """
    out = [False] * len(rows)
    sets = [frozenset(row) for row in rows]
    times = Counter(c for row in sets for c in row)
    # A row is filed under its rarest column: whoever holds the row holds that column.
    filed: dict[int, list[int]] = {}
    bare: list[int] = []
    for j in sorted(range(len(sets)), key=lambda i: (len(sets[i]), -needs[i], i)):
        own, need = sets[j], needs[j]
        near = chain(bare, *(filed[c] for c in own if c in filed))
        if any(sets[i] <= own and needs[i] >= need for i in near):
            out[j] = True
        elif own:
            filed.setdefault(min(own, key=lambda c: (times[c], c)), []).append(j)
        else:
            bare.append(j)
    return out


def outdone(
    sets: Sequence[int],
    costs: Sequence[int],
    groups: Sequence[int],
    once: int,
) -> list[bool]:
    """Which columns another one can stand in for at no greater cost.

    Column a gives way to b if b covers all that a covers and costs no more, and they are of one
    group; or, if b is a group by itself, where every row of a needs one column only (b may be in
    the cover already). Of columns that could stand in for each other the first is kept.

    Parameters
    ----------
    sets : sequence of int
        For each column its rows as bits.
    once : int
        Rows that need one column, as bits.
    """
    size: dict[int, int] = {}
    for group in groups:
        size[group] = size.get(group, 0) + 1
    by_row: dict[int, list[int]] = {}
    for b, covered in enumerate(sets):
        for row in bits(covered):
            by_row.setdefault(row, []).append(b)
    order = sorted(range(len(sets)), key=lambda a: (-costs[a], sets[a].bit_count(), -a))
    gone = [False] * len(sets)
    for a in order:
        own = sets[a]
        if not own:
            gone[a] = True
            continue
        rival = min((by_row[row] for row in bits(own)), key=len)
        anywhere = not own & ~once
        gone[a] = any(
            b != a
            and not gone[b]
            and not own & ~sets[b]
            and costs[b] <= costs[a]
            and (groups[a] == groups[b] or (anywhere and size[groups[b]] == 1))
            for b in rival
        )
    return gone


def bits(number: int) -> Iterator[int]:
    """The bits of a whole number >= 0 that are set, ascending."""
    while number:
        low = number & -number
        yield low.bit_length() - 1
        number ^= low


@dataclass
class _State:
    """A cover while it is being reduced, rows and columns as bits."""

    cover: Cover
    rows: dict[int, int] = field(default_factory=dict)
    columns: dict[int, int] = field(default_factory=dict)
    needs: dict[int, int] = field(default_factory=dict)
    fixed: list[int] = field(default_factory=list)


def reduce(cover: Cover) -> Reduced | None:
    """Leave out rows that others imply, columns that others outdo, and fix what must be chosen.

    The least cost of what is left, with the cost of what is fixed, is that of the cover. None if
    a row cannot have the columns it needs.
    """
    state = _State(cover)
    state.rows = {i: mask(row) for i, row in enumerate(cover.rows)}
    state.needs = {i: cover.need(i) for i in range(len(cover.rows))}
    by_column: dict[int, list[int]] = {c: [] for c in range(len(cover.costs))}
    for i, row in enumerate(cover.rows):
        for column in row:
            by_column[column].append(i)
    state.columns = {c: mask(rows) for c, rows in by_column.items()}
    while True:
        before = len(state.rows), len(state.columns)
        _drop_rows(state)
        _drop_columns(state)
        if not _fix(state):
            return None
        if (len(state.rows), len(state.columns)) == before:
            return _packed(state)


def _drop_rows(state: _State) -> None:
    names = list(state.rows)
    gone = implied([list(bits(state.rows[i])) for i in names], [state.needs[i] for i in names])
    dropped = {i for i, out in zip(names, gone, strict=True) if out}
    keep = ~mask(dropped)
    for i in dropped:
        del state.rows[i], state.needs[i]
    if dropped:
        state.columns = {c: rows & keep for c, rows in state.columns.items()}


def _drop_columns(state: _State) -> None:
    names = list(state.columns)
    once = mask(i for i, need in state.needs.items() if need == 1)
    gone = outdone(
        [state.columns[c] for c in names],
        [state.cover.costs[c] for c in names],
        [state.cover.group(c) for c in names],
        once,
    )
    dropped = {c for c, out in zip(names, gone, strict=True) if out}
    _without(state, dropped)


def _without(state: _State, dropped: set[int]) -> None:
    keep = ~mask(dropped)
    for c in dropped:
        del state.columns[c]
    if dropped:
        state.rows = {i: columns & keep for i, columns in state.rows.items()}


def _fix(state: _State) -> bool:
    """Choose the columns of rows that have no more than they need; False if one has fewer."""
    for i in list(state.rows):
        if i not in state.rows or state.rows[i].bit_count() > state.needs[i]:
            continue
        if state.rows[i].bit_count() < state.needs[i]:
            return False
        for column in list(bits(state.rows[i])):
            if not _choose(state, column):
                return False
    return True


def _choose(state: _State, column: int) -> bool:
    if column not in state.columns:
        return False
    state.fixed.append(column)
    met = []
    for i in bits(state.columns[column]):
        state.needs[i] -= 1
        if not state.needs[i]:
            met.append(i)
    keep = ~mask(met)
    for i in met:
        del state.rows[i], state.needs[i]
    group = state.cover.group(column)
    _without(state, {c for c in state.columns if state.cover.group(c) == group})
    state.columns = {c: rows & keep for c, rows in state.columns.items()}
    return True


def _packed(state: _State) -> Reduced:
    columns = tuple(sorted(state.columns))
    number = {c: n for n, c in enumerate(columns)}
    cover = Cover(
        costs=tuple(state.cover.costs[c] for c in columns),
        rows=tuple(tuple(number[c] for c in bits(row)) for row in state.rows.values()),
        needs=tuple(state.needs.values()),
        groups=tuple(state.cover.group(c) for c in columns),
    )
    return Reduced(cover, columns, tuple(state.fixed))
