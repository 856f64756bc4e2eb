"""Views that another view makes needless, and sets of cells as flags.

A set that holds another one holds each of its cells, the rarest one too. So only the sets that hold
a set's rarest cell are compared with it, 64 cells at a time, and most are out after the first 64.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from optimizer.plan.prepared import Flags, Ints

_PAIRS = 2**20
"""Pairs of sets that are compared at once, about: their words take 8 MB."""

_BLOCK = 2048
"""Sets whose cells are listed at once."""

_WORD = 64

_Words: TypeAlias = NDArray[np.uint64]
_Places: TypeAlias = NDArray[np.signedinteger]


def undominated(flags: Flags) -> Ints:
    """Rows that no other row holds all of; of equal rows the first, of empty ones none.

    Parameters
    ----------
    flags : ndarray of bool, shape (rows, cells)

    Returns
    -------
    ndarray of int32
        Their numbers, rising.
    """
    rows = distinct(flags)
    rows = rows[flags[rows].any(axis=1)]
    sets = Sets(flags[rows])
    everyone = np.arange(len(rows), dtype=np.int32)
    return rows[~sets.held(everyone, everyone, more=True)]


def distinct(flags: Flags) -> Ints:
    """Of equal rows the first. Their numbers, rising."""
    first: dict[bytes, int] = {}
    for number, row in enumerate(np.packbits(flags, axis=1)):
        first.setdefault(row.tobytes(), number)
    return np.fromiter(first.values(), dtype=np.int32, count=len(first))


class Sets:
    """Sets of cells, to be asked which of them others hold.

    Parameters
    ----------
    flags : ndarray of bool, shape (sets, cells)
        None is empty.
    """

    def __init__(self, flags: Flags) -> None:
        order = np.argsort(flags.sum(axis=0, dtype=np.int32), kind="stable")
        # The rarest cells come first: a set's first cell is its rarest.
        self.flags = flags.take(order, axis=1)
        self.size = self.flags.sum(axis=1, dtype=np.int32)
        self.rarest = self.flags.argmax(axis=1) if len(order) else self.size
        self.words = _words(self.flags)
        self.others = ~self.words

    def held(self, rows: _Places, among: _Places, *, more: bool = False) -> Flags:
        """Which of some sets one among others holds all of.

        Parameters
        ----------
        rows, among : ndarray of int
            Numbers of sets.
        more : bool
            Only those count that hold something else besides.

        Returns
        -------
        ndarray of bool, shape (rows,)
        """
        found = np.zeros(len(self.flags), dtype=bool)
        if not len(rows) or not len(among):
            return found[rows]
        judges = np.zeros(len(self.flags), dtype=bool)
        judges[among] = True
        ordered = rows[np.argsort(self.rarest[rows], kind="stable")]
        starts = np.flatnonzero(np.diff(self.rarest[ordered], prepend=-1))
        for some in np.split(ordered, starts[1:]):
            cell = int(self.rarest[some[0]])
            near = np.flatnonzero(self.flags[:, cell] & judges)
            step = max(1, _PAIRS // max(1, len(near)))
            for begin in range(0, len(some), step):
                part = some[begin : begin + step]
                found[self._holding(part, near, cell // _WORD, int(more))] = True
        return found[rows]

    def _holding(self, some: _Places, near: _Places, word: int, more: int) -> _Places:
        """Those of some sets that a near one holds; both are the same before some word."""
        lacks = self.words[word][some][:, None] & self.others[word][near]
        fits = self.size[some][:, None] + more <= self.size[near]
        one, other = np.nonzero((lacks == 0) & fits)
        first, second = some[one], near[other]
        for own, others in zip(self.words[word + 1 :], self.others[word + 1 :], strict=True):
            if not len(first):
                break
            kept = (own[first] & others[second]) == 0
            first, second = first[kept], second[kept]
        return first


def _words(flags: Flags) -> _Words:
    """Sets as words of 64 flags each, shape (words, sets)."""
    packed = np.packbits(flags, axis=1)
    room = np.zeros((len(flags), -(-flags.shape[1] // _WORD) * (_WORD // 8)), dtype=np.uint8)
    room[:, : packed.shape[1]] = packed
    return np.ascontiguousarray(room.view(np.uint64).T)


def marked(sets: Sequence[Ints], size: int) -> tuple[Flags, Ints]:
    """Sets of cells as flags, over those of all cells that are in any.

    Parameters
    ----------
    sets : sequence of ndarray of int
        Numbers of cells.
    size : int
        How many cells there are in all.

    Returns
    -------
    tuple of ndarray of bool, shape (sets, cells) and ndarray of int32
        The flags, and the number of the cell that each column stands for, rising.
    """
    present = np.zeros(size, dtype=bool)
    for one in sets:
        present[one] = True
    numbers = np.flatnonzero(present).astype(np.int32)
    place = np.zeros(size, dtype=np.int32)
    place[numbers] = np.arange(len(numbers), dtype=np.int32)
    flags = np.zeros((len(sets), len(numbers)), dtype=bool)
    for begin in range(0, len(sets), _BLOCK):
        part = sets[begin : begin + _BLOCK]
        rows, cells = listed(part)
        flags[begin + rows, place[cells]] = True
    return flags, numbers


def listed(sets: Sequence[Ints]) -> tuple[_Places, Ints]:
    """The cells of some sets one after the other, each with the number of its set."""
    rows = np.repeat(np.arange(len(sets)), [len(one) for one in sets])
    return rows, np.concatenate(sets)
