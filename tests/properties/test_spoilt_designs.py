"""Each way of spoiling a design that the program made is noticed by the audit, by its own rule."""

from __future__ import annotations

from functools import lru_cache

import pytest

from optimizer.design import Design
from optimizer.solving import solve_site
from tests.optimality.asking import loaded
from tests.properties.cases import case
from tests.properties.spoiling import SPOILERS, Good

SEEDS = range(40)
FEWEST = 3
"""Designs in which a spoiler must find something, so that it cannot pass by doing nothing."""


@lru_cache(maxsize=1)
def good_designs() -> tuple[Good, ...]:
    """The designs of all seeds that can be met, each without fault."""
    found = []
    for seed in SEEDS:
        site, book = case(seed)
        answer = solve_site(site, loaded(book))
        if answer.met:
            items = {item.id: item for item in book.items}
            data = answer.design().model_dump(mode="json")
            found.append(Good(site, items, book.offers, data))
    return tuple(found)


def test_the_designs_are_without_fault_before_they_are_spoilt() -> None:
    assert len(good_designs()) >= len(SEEDS) // 2
    for good in good_designs():
        assert Design.model_validate(good.data)
        assert good.findings() == []


@pytest.mark.parametrize("name", SPOILERS)
def test_a_spoilt_design_is_noticed(name: str) -> None:
    rule, spoil = SPOILERS[name]
    designs, missed = 0, []
    for number, good in enumerate(good_designs()):
        spoilt = list(spoil(good))
        designs += bool(spoilt)
        for turn, one in enumerate(spoilt):
            rules = {f.rule for f in one.findings()}
            if rule not in rules:
                missed.append(f"design {number}, turn {turn}: noticed {sorted(rules)}")
    assert not missed, "\n".join(missed[:20])
    assert designs >= FEWEST
