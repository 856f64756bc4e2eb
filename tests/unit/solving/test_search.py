"""Questions with something known beforehand: a price to beat, a price that nothing is below."""

from __future__ import annotations

import time

import pytest

from optimizer.instance import Memory, build_instance
from optimizer.model import build
from optimizer.solving.pursue import Pursuit, pursue
from tests.optimality.asking import loaded
from tests.optimality.generator import random_case
from tests.optimality.plain_kit import PLAIN, book, site


def asked(below: int | None = None, least: int = 0) -> Pursuit:
    instance = build_instance(site(), loaded(book()))
    until = time.monotonic() + 60
    return pursue(instance, until, lambda _: None, below=below, ties=False, least=least)


def test_nothing_is_below_the_cheapest() -> None:
    # The plain kit is the only one: 424.00, derived in plain_kit.
    found = asked(below=PLAIN).found
    assert (found.status, found.values) == ("infeasible", None)


def test_the_cheapest_is_below_a_hundredth_more() -> None:
    found = asked(below=PLAIN + 1).found
    assert (found.status, found.objective, found.bound) == ("optimal", PLAIN, PLAIN)


def test_a_design_at_the_known_least_is_the_cheapest() -> None:
    found = asked(least=PLAIN).found
    assert (found.status, found.objective, found.bound) == ("optimal", PLAIN, PLAIN)


@pytest.mark.parametrize("seed", range(40))
def test_bounds_known_beforehand_change_no_optimum(seed: int) -> None:
    drawn_site, drawn_book = random_case(seed)
    prices = loaded(drawn_book)
    memory = Memory()
    instance = build_instance(drawn_site, prices, memory=memory)
    if not instance.recorders or any(not z.candidates for z in instance.zones):
        return

    def sought(below: int | None, least: int) -> tuple[str, int | None]:
        # The second time on, wiring comes from memory.
        again = build_instance(drawn_site, prices, memory=memory)
        until = time.monotonic() + 60
        draft = build(again)
        result = pursue(
            again, until, lambda _: None, below=below, ties=False, draft=draft, least=least
        )
        return result.found.status, result.found.objective

    status, best = sought(None, 0)
    if status == "infeasible":
        assert sought(10**9, 0)[0] == "infeasible"
        return
    assert best is not None
    assert sought(best, 0) == ("infeasible", None)
    assert sought(best + 1, 0) == ("optimal", best)
    assert sought(None, best) == ("optimal", best)
    assert sought(best + 100_000, best - 1) == ("optimal", best)
