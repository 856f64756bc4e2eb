"""The second opinion against trying everything, and what the random cases bear on."""

from __future__ import annotations

import pytest

from tests.optimality.brute import brute_force
from tests.optimality.deciding import DECIDES, HOLDS, WAYS
from tests.optimality.generator import random_case, tiny_case
from tests.optimality.loosening import LOOSENED
from tests.optimality.second import second_design, second_opinion

TOO_BIG = {11, 73}
"""Tiny cases that still have too many kits to try: nothing bounds a search that finds none."""

TINY = [seed for seed in range(122) if seed not in TOO_BIG]


@pytest.mark.parametrize("first", range(0, len(TINY), 10))
def test_second_opinion_equals_brute_force(first: int) -> None:
    wrong = {}
    for seed in TINY[first : first + 10]:
        site, book = tiny_case(seed)
        found = second_opinion(site, book), brute_force(site, book)
        if found[0] != found[1]:
            wrong[seed] = found
    assert wrong == {}


def test_the_tiny_cases_are_of_both_sorts() -> None:
    met = sum(second_opinion(*tiny_case(seed)) is not None for seed in TINY)
    assert len(TINY) // 2 <= met <= len(TINY) - 10


@pytest.mark.parametrize("rule", LOOSENED)
def test_every_rule_decides_somewhere(rule: str) -> None:
    site, book = random_case(DECIDES[rule])
    assert second_opinion(*LOOSENED[rule](site, book)) != second_opinion(site, book)


@pytest.mark.parametrize("way", WAYS)
def test_every_way_of_building_is_somewhere_the_cheapest(way: str) -> None:
    found = second_design(*random_case(HOLDS[way]))
    assert found is not None
    assert found.features[way] >= 1


def test_a_seed_always_gives_the_same_case() -> None:
    assert random_case(7) == random_case(7)
    assert tiny_case(7) == tiny_case(7)
    assert random_case(7) != random_case(8)
