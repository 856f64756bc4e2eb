"""Views that another makes needless."""

import numpy as np
import pytest

from optimizer.plan.dominating import undominated


@pytest.mark.parametrize(
    ("rows", "kept"),
    [
        (["110", "100", "011"], [0, 2]),
        (["110", "110"], [0]),
        (["000", "010"], [1]),
        (["100", "010", "001"], [0, 1, 2]),
        (["001", "011", "111", "111"], [2]),
        (["000"], []),
    ],
)
def test_by_hand(rows, kept):
    flags = np.array([[c == "1" for c in row] for row in rows])
    assert undominated(flags).tolist() == kept


@pytest.mark.parametrize("seed", range(6))
def test_against_sets(seed):
    rng = np.random.default_rng(seed)
    flags = rng.uniform(size=(400, 12)) < rng.uniform(0.1, 0.7)
    sets = [frozenset(np.flatnonzero(row).tolist()) for row in flags]
    expected = [
        i
        for i, one in enumerate(sets)
        if one and one not in sets[:i] and not any(one < other for other in sets)
    ]
    assert undominated(flags).tolist() == expected
