"""Ways out: on set systems against exhaustive enumeration, and on the door's site by hand.

The prices and the storage of the door are derived in door.py: 1 TB holds 70 days of HD over coax or
265 days of composite (1,000 / 3.772), 2 TB holds 141 or 530; recorders have one bay.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import chain, combinations
from types import SimpleNamespace
from typing import Any, cast

import pytest

import optimizer
from optimizer.explaining.asking import Asker
from optimizer.explaining.conflict import Asking, Verdict
from optimizer.explaining.holding import Holding, Memory
from optimizer.explaining.ways_out import Sets, budget_alone, sets_of, singles
from optimizer.solving.proof import WayOut, WaysOut
from tests.unit.explaining import door

LONG = 120.0
Oracle = Callable[[frozenset[str]], Verdict]


def _drawn(seed: int) -> tuple[list[str], list[frozenset[str]], list[str]]:
    """Ids, sets of them that cannot hold together, and what must not be touched."""
    rng = random.Random(f"ways {seed}")
    ids = [f"r{n}" for n in range(rng.randint(2, 8))]
    quarrels = [
        frozenset(rng.sample(ids, rng.randint(1, min(4, len(ids)))))
        for _ in range(rng.randint(1, 5))
    ]
    return ids, quarrels, rng.sample(ids, rng.choice((0, 0, 1, 2)))


def _exhaustive(
    ids: list[str], quarrels: list[frozenset[str]], musts: list[str]
) -> set[frozenset[str]]:
    """Ways out by their definition, from every subset there is."""
    free = [i for i in ids if i not in musts]
    every = chain.from_iterable(combinations(free, n) for n in range(len(free) + 1))
    enough = [frozenset(some) for some in every if all(not q.isdisjoint(some) for q in quarrels)]
    return {one for one in enough if not any(other < one for other in enough)}


def _found(
    ids: list[str],
    oracle: Oracle,
    musts: list[str],
    most: int,
    longest: int,
    go_on: Callable[[], bool] = lambda: True,
) -> Sets:
    """What the search finds where only the oracle knows anything."""
    holding = SimpleNamespace(
        order=tuple(ids),
        untouchable=tuple(musts),
        limit=None,
        lone=None,
        zones=("no zone",),
        sites=lambda _ids: iter(()),
        relaxed=lambda _changes: "a site",
        within=lambda _site, _budget: True,
    )
    ask = Asking(oracle)
    return sets_of(cast("Holding", holding), cast("Memory", ask), [], most, longest, go_on)


def _oracle(quarrels: list[frozenset[str]]) -> Oracle:
    return lambda ids: "no" if any(q <= ids for q in quarrels) else "yes"


@pytest.mark.parametrize("block", range(4))
def test_sets_as_found_by_exhaustive_enumeration(block: int) -> None:
    for seed in range(60 * block, 60 * (block + 1)):
        ids, quarrels, musts = _drawn(seed)
        ways = _exhaustive(ids, quarrels, musts)
        sets = _found(ids, _oracle(quarrels), musts, 100, len(ids))
        assert {frozenset(one) for one in sets.found} == ways
        assert len(sets.found) == len(ways)
        assert sets.complete
        assert [len(one) for one in sets.found] == sorted(len(one) for one in sets.found)
        if not musts:
            smallest = {q for q in quarrels if not any(other < q for other in quarrels)}
            assert {frozenset(c) for c in sets.conflicts} == smallest
            assert sets.all_conflicts


def test_what_is_called_complete_lacks_nothing_up_to_its_length() -> None:
    cut = {"by number": 0, "by length": 0}
    for seed in range(200):
        ids, quarrels, musts = _drawn(seed)
        ways = _exhaustive(ids, quarrels, musts)
        sets = _found(ids, _oracle(quarrels), musts, 1, 2)
        short = {w for w in ways if len(w) <= sets.longest}
        assert {frozenset(one) for one in sets.found} <= ways
        if sets.complete:
            assert {frozenset(one) for one in sets.found if len(one) <= sets.longest} == short
        cut["by number"] += sets.complete and sets.longest < 2
        cut["by length"] += sets.complete and short != ways
    assert min(cut.values()) > 10


def test_what_is_not_known_leaves_the_list_open() -> None:
    opened = 0
    for seed in range(200):
        ids, quarrels, musts = _drawn(seed)
        sure = _oracle(quarrels)
        rng = random.Random(f"silent {seed}")
        silent = {frozenset(ids) - frozenset(rng.sample(ids, min(2, len(ids)))) for _ in range(6)}

        def oracle(
            some: frozenset[str], sure: Oracle = sure, silent: set[frozenset[str]] = silent
        ) -> Verdict:
            return "unknown" if some in silent else sure(some)

        if oracle(frozenset(ids)) != "no":
            continue
        ways = _exhaustive(ids, quarrels, musts)
        sets = _found(ids, oracle, musts, 100, len(ids))
        assert all(sure(frozenset(ids) - frozenset(one)) == "yes" for one in sets.found)
        if sets.complete:
            assert {frozenset(one) for one in sets.found} == ways
        opened += not sets.complete
    assert opened > 10


def test_time_that_runs_out_leaves_the_list_open() -> None:
    steps = iter([True, True, False])
    quarrels = [frozenset("ab"), frozenset("cd")]
    sets = _found(list("abcd"), _oracle(quarrels), [], 9, 4, lambda: next(steps, False))
    assert not sets.complete
    assert not sets.all_conflicts


@contextmanager
def held(**fields: Any) -> Iterator[Holding]:
    """The door's requirements."""
    asker = Asker(door.book(), time.monotonic() + LONG, lambda _: None)
    try:
        yield Holding(door.asked(**fields), door.book(), asker)
    finally:
        asker.close()


def ways_of(**fields: Any) -> WaysOut:
    """The ways out of the door's site with changes, each asked again and met at its total."""
    asked = door.asked(**fields)
    found = optimizer.prove(asked, door.book(), seconds=LONG).ways_out
    assert found is not None
    for way in found.found:
        values = {c.requirement: "none" if c.to == "not asked" else c.to for c in way.changes}
        again = optimizer.prove(asked, door.book(), values, LONG)
        assert (again.status, again.total) == ("optimal", way.total)
        assert way.cheapest
        assert way.smallest
    return found


def _changes(way: WayOut) -> dict[str, str]:
    return {c.requirement: c.to for c in way.changes}


def test_a_day_less_is_the_smallest_change_of_retention() -> None:
    # 531 days of composite are 531 x 3.7723 = 2,003.1 GB, 530 days 1,999.3 GB: on drive-2tb. HD
    # over coax fits 141 days, so composite alone: 30 + 120 + lead 10 + 55 + 15 + sign 5 = 235 net.
    found = ways_of(recording={"retention": "531 days"})
    by_change = {tuple(_changes(w).items()): w for w in found.found}
    day = by_change[(("recording/retention", "530 days"),)]
    assert (day.steps, day.total) == (1, "258.50")
    # Less of the day is kept instead: 23 h of 24.
    hour = by_change[(("zones.door/recorded", "23 h"),)]
    assert (hour.steps, hour.total) == (1, "258.50")
    assert found.complete
    assert found.budget is None


def test_what_must_not_be_touched_is_in_no_way_out() -> None:
    found = ways_of(recording={"retention": "531 days"}, untouchable=["recording/retention"])
    assert found.untouchable == ("recording/retention",)
    assert found.found
    assert found.complete
    assert all("recording/retention" not in _changes(w) for w in found.found)
    # What else is asked keeps its ways out.
    assert any(_changes(w) == {"zones.door/recorded": "23 h"} for w in found.found)


def test_lifting_the_budget_is_always_tried_and_the_total_without_it_given() -> None:
    # 242.00 is the price of composite, 231.00 of HD over coax; the site is told to do with 200.
    poor = {"currency": "EUR", "tax": "10 %", "budget": "200"}
    with held(money=poor) as holding:
        alone = budget_alone(holding)
    assert alone is not None
    assert alone.model_dump() == {
        "budget": "200.00", "enough": "yes", "total": "231.00", "more": "31.00",
        "lower_bound": "231.00", "tax": "10 %",
    }  # fmt: skip
    # 600 days are met by nothing, at any price: more money is no way out.
    with held(money=poor, recording={"retention": "600 days"}) as holding:
        alone = budget_alone(holding)
    assert alone is not None
    assert (alone.enough, alone.total, alone.lower_bound) == ("no", None, None)
    with held() as holding:
        assert budget_alone(holding) is None


def test_budget_of_net_prices_is_raised_in_net_prices() -> None:
    # 210.00 net is 231.00 with tax: ten more than 200.00 net.
    net = {"currency": "EUR", "tax": "10 %", "budget": "200", "budget_includes_tax": False}
    with held(money=net) as holding:
        alone = budget_alone(holding)
    assert alone is not None
    assert (alone.total, alone.more) == ("231.00", "10.00")


def test_single_ways_out_of_a_budget() -> None:
    # Without the sign 225.50 is enough; a step less of anything else saves nothing, since the
    # cheapest camera, recorder, lead, drive and supply serve already. 230.99 is one too little.
    poor = {"currency": "EUR", "tax": "10 %", "budget": "230.99"}
    with held(money=poor) as holding:
        found = {one for s in singles(holding, Memory(holding), lambda: True).found for one in s}
    assert found == {"budget", "policy/require.sign"}


def test_a_last_zone_is_never_left_out() -> None:
    found = ways_of(recording={"retention": "531 days"})
    assert all("zones.door" not in _changes(w) for w in found.found)


def test_fewest_requirements_come_first_then_fewest_steps() -> None:
    # At 531 days neither door can be kept by itself, so each has to give, unless the days do.
    asked = door.asked(
        zones=[{**door.SITE["zones"][0], "id": name} for name in ("left", "right")],
        recording={"retention": "531 days"},
    )
    found = optimizer.prove(asked, door.book(), seconds=LONG, ways=20).ways_out
    assert found is not None
    assert found.complete
    first, *others = found.found
    assert (_changes(first), first.steps) == ({"recording/retention": "530 days"}, 1)
    ranks = [(len(w.changes), w.steps, float(w.total)) for w in others]
    assert ranks == sorted(ranks)
    for way in others:
        gone = {c.partition("/")[0] for c in _changes(way)}
        assert gone == {"zones.left", "zones.right"}
        # Some zone always stays.
        assert not {"zones.left", "zones.right"} <= set(_changes(way))
    hours = {"zones.left/recorded": "23 h", "zones.right/recorded": "23 h"}
    [both] = [w for w in others if _changes(w) == hours]
    assert both.steps == 2
