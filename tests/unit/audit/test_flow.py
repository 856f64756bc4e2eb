"""Sharing out pieces, checked against Hall's theorem by trying every set of demands."""

from __future__ import annotations

from itertools import chain, combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.audit.flow import shortage

ITEMS = "abcd"
DEMANDS = st.lists(
    st.tuples(st.integers(0, 4), st.frozensets(st.sampled_from(ITEMS), max_size=3)), max_size=6
)
PIECES = st.dictionaries(st.sampled_from(ITEMS), st.integers(0, 5))


def overdrawn(demands, pieces):
    """Sets of demands that want more than all pieces any of them accepts."""
    everyone = range(len(demands))
    sets = chain.from_iterable(combinations(everyone, n) for n in range(1, len(demands) + 1))
    for chosen in sets:
        items = frozenset().union(*(demands[i][1] for i in chosen))
        if sum(demands[i][0] for i in chosen) > sum(pieces.get(i, 0) for i in items):
            yield chosen


@settings(max_examples=400, deadline=None)
@given(DEMANDS, PIECES)
def test_a_shortage_is_found_exactly_when_some_set_wants_too_much(demands, pieces):
    found = shortage(demands, pieces)
    assert (found is not None) == any(True for _ in overdrawn(demands, pieces))
    if found is not None:
        assert found.demands in list(overdrawn(demands, pieces))
        assert found.wanted > found.there


def test_a_piece_is_taken_from_a_demand_that_can_do_without():
    """a serves both, b only the first: 1 + 1 of a and b are enough once the first moves to b."""
    assert shortage([(1, frozenset("ab")), (1, frozenset("a"))], {"a": 1, "b": 1}) is None


def test_the_shortage_names_the_demands_and_pieces():
    """Both want a alone, of which there is one; the third has its own b."""
    found = shortage(
        [(1, frozenset("a")), (1, frozenset("a")), (1, frozenset("b"))], {"a": 1, "b": 1}
    )
    assert found is not None
    assert (found.demands, found.pieces, found.wanted, found.there) == ((0, 1), ("a",), 2, 1)
