"""Views that another view makes needless."""

from __future__ import annotations

import numpy as np

from optimizer.plan.prepared import Flags, Ints

_BLOCK = 1024


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
    size = flags.sum(axis=1)
    rows = np.nonzero(size)[0]
    if not len(rows):
        return np.zeros(0, dtype=np.int32)
    packed = np.packbits(flags[rows], axis=1)
    _, first = np.unique(packed, axis=0, return_index=True)
    rows = rows[np.sort(first)]
    seen = flags[rows].astype(np.float32)
    # Counts stay far below 2^24, up to which single precision is exact.
    total = size[rows].astype(np.float32)
    kept = np.ones(len(rows), dtype=bool)
    for start in range(0, len(rows), _BLOCK):
        part = slice(start, start + _BLOCK)
        common = seen[part] @ seen.T
        held = common == total[part, None]
        # Rows differ, so a row that is held by another is smaller than it.
        kept[part] = held.sum(axis=1) == 1
    return rows[kept].astype(np.int32)
