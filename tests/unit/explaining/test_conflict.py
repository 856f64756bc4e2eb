"""Conflicts and ways out, against exhaustive enumeration of random set systems."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from itertools import chain, combinations

import pytest

from optimizer.explaining.conflict import (
    Asking,
    Conflict,
    Verdict,
    WayOut,
    explore,
    independent,
    quickxplain,
    smallest_hitting,
)

Sets = set[frozenset[str]]


def _subsets(ids: Iterable[str]) -> list[frozenset[str]]:
    pool = list(ids)
    sizes = range(len(pool) + 1)
    return [frozenset(c) for c in chain.from_iterable(combinations(pool, n) for n in sizes)]


def _smallest(sets: Iterable[frozenset[str]]) -> Sets:
    found = list(sets)
    return {one for one in found if not any(other < one for other in found)}


def _exhaustive(ids: list[str], met: Callable[[frozenset[str]], bool]) -> tuple[Sets, Sets]:
    """Conflicts and ways out by their definitions, from every subset there is."""
    everything = frozenset(ids)
    conflicts = _smallest(s for s in _subsets(ids) if not met(s))
    ways = _smallest(s for s in _subsets(ids) if met(everything - s))
    return conflicts, ways


def _oracle(quarrels: Iterable[frozenset[str]]) -> Callable[[frozenset[str]], Verdict]:
    listed = list(quarrels)
    return lambda ids: "no" if any(q <= ids for q in listed) else "yes"


def _drawn(seed: int) -> tuple[list[str], list[frozenset[str]]]:
    rng = random.Random(seed)
    ids = [f"r{n}" for n in range(rng.randint(1, 8))]
    rng.shuffle(ids)
    quarrels = [
        frozenset(rng.sample(ids, rng.randint(1, min(4, len(ids)))))
        for _ in range(rng.randint(0, 6))
    ]
    return ids, quarrels


@pytest.mark.parametrize("block", range(10))
def test_as_found_by_exhaustive_enumeration(block: int) -> None:
    for seed in range(60 * block, 60 * (block + 1)):
        ids, quarrels = _drawn(seed)
        oracle = _oracle(quarrels)
        conflicts, ways = _exhaustive(ids, lambda s, o=oracle: o(s) == "yes")
        found = explore(ids, oracle, most_conflicts=100, most_ways_out=100)
        assert {frozenset(c.members) for c in found.conflicts} == conflicts
        assert {frozenset(w.members) for w in found.ways_out} == ways
        assert len(found.conflicts) == len(conflicts)
        assert len(found.ways_out) == len(ways)
        assert found.all_conflicts
        assert found.all_ways_out
        assert not any(c.unsure for c in found.conflicts)
        assert all(w.smallest for w in found.ways_out)
        lengths = [len(w.members) for w in found.ways_out]
        assert lengths == sorted(lengths)


def test_quickxplain_gives_the_conflict_the_order_prefers() -> None:
    several = 0
    for seed in range(400):
        ids, quarrels = _drawn(seed)
        oracle = _oracle(quarrels)
        conflicts, _ = _exhaustive(ids, lambda s, o=oracle: o(s) == "yes")
        found = quickxplain(ids, oracle)
        if not conflicts:
            assert found is None
            continue
        several += len(conflicts) > 1
        # The one whose last member stands earliest; of those, whose last but one does; ...
        best = min(conflicts, key=lambda c: sorted((ids.index(i) for i in c), reverse=True))
        assert found == Conflict(tuple(i for i in ids if i in best))
    assert several > 100


def test_limits_are_kept_and_told() -> None:
    cut = {"conflicts": 0, "ways": 0, "length": 0}
    for seed in range(200):
        ids, quarrels = _drawn(seed)
        oracle = _oracle(quarrels)
        conflicts, ways = _exhaustive(ids, lambda s, o=oracle: o(s) == "yes")
        found = explore(ids, oracle, most_conflicts=1, most_ways_out=2, longest=2)
        assert {frozenset(c.members) for c in found.conflicts} <= conflicts
        assert {frozenset(w.members) for w in found.ways_out} <= ways
        assert len(found.conflicts) == min(1, len(conflicts))
        assert len(found.ways_out) <= 2
        short = {w for w in ways if len(w) <= 2}
        if found.all_conflicts:
            assert len(found.conflicts) == len(conflicts)
        if found.all_ways_out:
            assert len(found.ways_out) == len(short)
        assert len(found.ways_out) == min(2, len(short))
        cut["conflicts"] += not found.all_conflicts
        cut["ways"] += not found.all_ways_out
        cut["length"] += short != ways
    assert min(cut.values()) > 10


def test_conflicts_that_share_nothing_come_first_and_stand_alone() -> None:
    quarrels = [frozenset("ab"), frozenset("bc"), frozenset("de")]
    found = explore(list("abcde"), _oracle(quarrels), most_conflicts=2, most_ways_out=0)
    # ab is preferred to bc; what it leaves, c d e, still holds de.
    assert [c.members for c in found.conflicts] == [("a", "b"), ("d", "e")]
    assert independent(found.conflicts) == found.conflicts
    assert independent([Conflict(("a", "b")), Conflict(("b", "c"))]) == (Conflict(("a", "b")),)


def test_hard_ids_are_asked_for_and_never_reported() -> None:
    oracle = _oracle([frozenset({"must", "a"}), frozenset({"b"})])
    found = explore(["a", "b", "c"], oracle, hard=["must"])
    assert {c.members for c in found.conflicts} == {("a",), ("b",)}
    assert found.ways_out == (WayOut(("a", "b")),)


def test_what_is_met_has_no_conflict_and_needs_no_way_out() -> None:
    found = explore(["a", "b"], lambda _: "yes")
    assert (found.conflicts, found.ways_out) == ((), (WayOut(()),))
    assert found.all_conflicts
    assert found.all_ways_out


def test_an_unknown_answer_is_never_taken_for_a_proof() -> None:
    told = 0
    for seed in range(300):
        ids, quarrels = _drawn(seed)
        sure = _oracle(quarrels)
        silent = random.Random(f"silent {seed}").sample(_subsets(ids), len(_subsets(ids)) // 3)

        def oracle(
            asked: frozenset[str],
            sure: Callable[[frozenset[str]], Verdict] = sure,
            silent: list[frozenset[str]] = silent,
        ) -> Verdict:
            return "unknown" if asked in silent else sure(asked)

        conflicts, ways = _exhaustive(ids, lambda s, o=sure: o(s) == "yes")
        if sure(frozenset(ids)) == "yes" or sure(frozenset()) == "no":
            continue
        found = explore(ids, oracle, most_conflicts=100, most_ways_out=100)
        for conflict in found.conflicts:
            # Together unmeetable in any case; a smallest one unless it says it is not sure.
            assert sure(frozenset(conflict.members)) == "no"
            for one in set(conflict.members) - set(conflict.unsure):
                assert sure(frozenset(conflict.members) - {one}) == "yes"
        for way in found.ways_out:
            assert sure(frozenset(ids) - frozenset(way.members)) == "yes"
            if way.smallest:
                assert frozenset(way.members) in ways
        if found.all_ways_out:
            assert {frozenset(w.members) for w in found.ways_out} == ways
        if found.all_conflicts:
            assert {frozenset(c.members) for c in found.conflicts} == conflicts
        told += bool(
            not found.all_conflicts
            or any(c.unsure for c in found.conflicts)
            or not all(w.smallest for w in found.ways_out)
        )
    assert told > 50


def test_time_running_out_is_told() -> None:
    steps = iter([True, False])
    oracle = _oracle([frozenset("ab"), frozenset("cd")])
    found = explore(list("abcd"), oracle, go_on=lambda: next(steps, False))
    assert len(found.conflicts) >= 1
    assert not found.all_conflicts
    assert not found.all_ways_out


def test_the_oracle_is_asked_only_what_does_not_follow() -> None:
    asked: list[frozenset[str]] = []

    def oracle(ids: frozenset[str]) -> Verdict:
        asked.append(ids)
        return "unknown" if "c" in ids else "no" if ids >= {"a", "b"} else "yes"

    ask = Asking(oracle)
    assert ask(frozenset("ab")) == "no"
    assert ask(frozenset("abd")) == "no"  # more than what cannot be met
    assert ask(frozenset("ad")) == "yes"
    assert ask(frozenset("d")) == "yes"  # less than what can be met
    assert ask(frozenset("ac")) == "unknown"
    assert ask(frozenset("ac")) == "unknown"
    assert len(asked) == ask.asked == 3


@pytest.mark.parametrize(
    ("order", "hard", "words"),
    [
        (["a", "b", "a"], [], "a is named twice"),
        (["a", "b"], ["b"], "b is named twice"),
        (["a"], ["x"], "cannot be met by itself"),
    ],
)
def test_questions_without_sense_are_refused(order: list[str], hard: list[str], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        quickxplain(order, _oracle([frozenset("x"), frozenset("b")]), hard)


def test_smallest_hitting_set_gives_up_what_is_named_last() -> None:
    sets = [("a", "b"), ("b", "c"), ("c", "d")]
    # Of size 2: ac, bc, bd; later places are 3 and 1 for bd, 2 and 1 for bc.
    assert smallest_hitting(sets, "abcd", 4) == frozenset("bd")
    assert smallest_hitting(sets, "abcd", 1) is None
    assert smallest_hitting(sets, "abcd", 4, [("b", "d")]) == frozenset("bc")
    assert smallest_hitting(sets, "abcd", 4, (), [frozenset("bd")]) == frozenset("bc")
    assert smallest_hitting([], "abcd", 4) == frozenset()
