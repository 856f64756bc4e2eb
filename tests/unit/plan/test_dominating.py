"""Views that another makes needless."""

import numpy as np
import pytest

from optimizer.plan import dominating
from optimizer.plan.dominating import Sets, marked, undominated


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


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("pairs", [7, 2**20])
def test_many_cells_against_sets(seed, pairs, monkeypatch):
    """More cells than a word has, nested sets, and pairs compared in many small steps."""
    monkeypatch.setattr(dominating, "_PAIRS", pairs)
    rng = np.random.default_rng(100 + seed)
    whole = rng.uniform(size=(30, 150)) < 0.4
    parts = whole[rng.integers(0, 30, 90)] & (rng.uniform(size=(90, 150)) < 0.97)
    flags = np.concatenate([parts, whole])
    sets = [frozenset(np.flatnonzero(row).tolist()) for row in flags]
    kept = [
        i
        for i, one in enumerate(sets)
        if one and one not in sets[:i] and not any(one < other for other in sets)
    ]
    assert undominated(flags).tolist() == kept
    assert 0 < len(kept) < len(sets)
    rows, among = rng.permutation(120)[:60], rng.permutation(120)[:40]
    for more in (False, True):
        expected = [
            any(sets[a] < sets[b] or (sets[a] == sets[b] and not more) for b in among) for a in rows
        ]
        assert Sets(flags).held(rows, among, more=more).tolist() == expected
        assert any(expected)
        assert not all(expected)


def test_held_by_none():
    sets = Sets(np.array([[True, False], [True, True]]))
    nobody = np.zeros(0, dtype=np.int32)
    assert sets.held(np.array([1, 0]), nobody).tolist() == [False, False]
    assert sets.held(nobody, np.array([0])).tolist() == []
    assert Sets(np.zeros((0, 0), dtype=bool)).held(nobody, nobody).tolist() == []


def test_sets_as_flags():
    """Cells 2, 5 and 7 of nine are in some set."""
    sets = [np.array(one, dtype=np.int32) for one in ([2, 7], [5], [2, 5, 7])]
    flags, numbers = marked(sets, 9)
    assert numbers.tolist() == [2, 5, 7]
    assert flags.tolist() == [[True, False, True], [False, True, False], [True, True, True]]
