"""Picking plans, against all of them written out."""

from __future__ import annotations

import random
from itertools import product

import pytest

from optimizer.scenarios.picking import Picker, Plan
from optimizer.site.changes import find
from optimizer.site.wishes import Wished
from tests.optimality.plain_kit import site, zone

ASKED = site(zone("a"), zone("b"), zone("c"))


def wished(name: str, rank: int, steps: int, weight: int = 1, within: str = "") -> Wished:
    values = (*(str(n) for n in range(steps)), None)
    above = (within,) if within else ()
    return Wished(find(ASKED, name), rank, weight, values, above)


WISHES = (
    wished("zones.b", 1, 1, 2),
    wished("recording/retention", 1, 3),
    wished("zones.b/detail", 2, 2, 1, "zones.b"),
    wished("zones.c", 2, 1, 3),
)


def every(picker: Picker) -> list[Plan]:
    plans = product(*(range(one.steps + 1) for one in picker.wishes))
    return [plan for plan in plans if picker.closed(plan) == plan]


def costs_no_less(plan: Plan, out: Plan, sure: tuple[bool, ...]) -> bool:
    return all(
        p >= o if monotone else p == o for p, o, monotone in zip(plan, out, sure, strict=True)
    )


@pytest.mark.parametrize("seed", range(12))
def test_the_highest_that_is_left(seed: int) -> None:
    rng = random.Random(seed)
    sure = tuple(rng.random() < 0.7 for _ in WISHES)
    picker = Picker(WISHES, sure)
    plans = every(picker)
    out = rng.sample(plans, rng.randint(1, 5))
    left = [p for p in plans if not any(costs_no_less(p, o, sure) for o in out)]
    best = max((picker.score(p) for p in left), default=None)
    found = picker.highest(out)
    assert (None if found is None else picker.score(found)) == best
    if found is None:
        return
    assert found in left
    assert best is not None
    assert picker.foremost(out, best) == max(p for p in left if picker.score(p) == best)
    beyond = [p for p in left if picker.score(p)[0] > 0]
    least = picker.least(out, (), 0)
    assert (least is None) == (not beyond)
    if least is not None:
        assert least in beyond
        assert sum(least) == min(map(sum, beyond))


def test_nothing_is_left_where_giving_up_everything_is_too_dear() -> None:
    picker = Picker(WISHES, (True,) * 4)
    assert picker.highest([picker.bottom]) is None
    assert picker.highest([]) == picker.top == (1, 3, 2, 1)


def test_what_goes_with_a_zone() -> None:
    picker = Picker(WISHES, (True,) * 4)
    assert picker.closed((0, 3, 2, 1)) == (0, 3, 0, 1)
    assert picker.score((1, 2, 1, 1)) == (2 + 2, 1 + 3)


def test_which_plans_surely_cost_no_more() -> None:
    picker = Picker(WISHES, (False, True, True, True))
    assert picker.eases((1, 2, 1, 0), (1, 3, 1, 1))
    assert not picker.eases((0, 2, 0, 0), (1, 3, 1, 1))
    assert not picker.eases((1, 3, 1, 1), (1, 2, 1, 1))
