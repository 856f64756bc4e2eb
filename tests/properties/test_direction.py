"""Which way changes go, against the prices themselves: both sites solved to the end."""

from __future__ import annotations

import random

import pytest

from optimizer.errors import InputError
from optimizer.explaining.direction import way_between
from optimizer.explaining.inquiry import without_budget
from optimizer.site.changes import changed
from optimizer.site.requirements import reaches, requirements
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from optimizer.units import money
from tests.optimality.asking import loaded
from tests.optimality.generator import tiny_case

CHANGES = 8


def total(site: Site, prices: object) -> float | None:
    """The cheapest total, endless where there is no kit; None where not proven. [hundredth]"""
    found = solve_site(site, prices, seconds=20)  # type: ignore[arg-type]
    if found.status == "unmeetable":
        return float("inf")
    return money(found.total or "0") if found.status == "optimal" else None


@pytest.mark.parametrize("seed", range(6))
def test_prices_go_the_way_that_is_claimed(seed: int) -> None:
    asked, book = tiny_case(seed)
    before, prices = without_budget(asked), loaded(book)
    chance = random.Random(seed)
    moves: list[dict[str, str | None]] = []
    for r in (*requirements(before), *reaches(before)):
        moves += [{r.id: value} for value in (r.easier(), r.harder()) if value is not None]
        moves += [{r.id: None}] if r.can_be_dropped else []
    first, told = total(before, prices), 0
    assert first is not None
    for move in chance.sample(moves, min(CHANGES, len(moves))):
        other = dict(chance.choice(moves)) | move
        try:
            after = changed(before, other)
        except InputError:
            continue
        going, second = way_between(before, after, prices), total(after, prices)
        if second is None:
            continue
        told += going.no_cheaper + going.no_dearer
        assert not going.no_cheaper or second >= first, other
        assert not going.no_dearer or second <= first, other
    assert told
