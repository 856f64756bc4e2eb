"""Views that another view makes needless."""

from __future__ import annotations

import numpy as np

from optimizer.plan.prepared import Flags, Ints

_BLOCK = 128


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
    # Largest first: a row can only be held by one before it. Counts stay far below 2^24, up to
    # which single precision is exact.
    rows = rows[np.argsort(-size[rows], kind="stable")]
    seen, total = flags[rows].astype(np.float32), size[rows].astype(np.float32)
    kept = np.zeros(0, dtype=np.intp)
    for start in range(0, len(rows), _BLOCK):
        block = np.arange(start, min(start + _BLOCK, len(rows)))
        held = (seen[block] @ seen[kept].T == total[block, None]).any(axis=1)
        block = block[~held]
        common = seen[block] @ seen[block].T
        # Rows differ, so that a row which another one holds is smaller than it.
        block = block[(common == total[block, None]).sum(axis=1) == 1]
        kept = np.concatenate([kept, block])
    return np.sort(rows[kept]).astype(np.int32)
