"""Conflicts, against exhaustive enumeration of random set systems."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from itertools import chain, combinations

import pytest

from optimizer.explaining.conflict import (
    Asking,
    Conflict,
    Verdict,
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


def _exhaustive(ids: list[str], met: Callable[[frozenset[str]], bool]) -> Sets:
    """Conflicts by their definition, from every subset there is."""
    return _smallest(s for s in _subsets(ids) if not met(s))


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


def test_quickxplain_gives_the_conflict_the_order_prefers() -> None:
    several = 0
    for seed in range(400):
        ids, quarrels = _drawn(seed)
        oracle = _oracle(quarrels)
        conflicts = _exhaustive(ids, lambda s, o=oracle: o(s) == "yes")
        found = quickxplain(ids, oracle)
        if not conflicts:
            assert found is None
            continue
        several += len(conflicts) > 1
        # The one whose last member stands earliest; of those, whose last but one does; ...
        best = min(conflicts, key=lambda c: sorted((ids.index(i) for i in c), reverse=True))
        assert found == Conflict(tuple(i for i in ids if i in best))
    assert several > 100


def test_hard_ids_are_asked_for_and_never_reported() -> None:
    oracle = _oracle([frozenset({"must", "a"}), frozenset({"b"})])
    assert quickxplain(["a", "b", "c"], oracle, ["must"]) == Conflict(("a",))
    assert quickxplain(["b", "c"], oracle, ["must"]) == Conflict(("b",))
    assert quickxplain(["c"], oracle, ["must"]) is None


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

        conflict = quickxplain(ids, oracle)
        if conflict is None:
            assert oracle(frozenset(ids)) != "no"
            continue
        # Together unmeetable in any case; a smallest one unless it says it is not sure.
        assert sure(frozenset(conflict.members)) == "no"
        for one in set(conflict.members) - set(conflict.unsure):
            assert sure(frozenset(conflict.members) - {one}) == "yes"
        told += bool(conflict.unsure)
    assert told > 50


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
