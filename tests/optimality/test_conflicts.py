"""Conflicts and ways out: derived by hand, and random sites against exhaustive enumeration."""

from __future__ import annotations

import time
from typing import Any

import pytest

from optimizer.explaining.asking import Asker
from optimizer.explaining.conflicts import Quarrels, several
from optimizer.explaining.holding import Holding, Memory
from optimizer.explaining.ways_out import budget_alone, sets_of, ways_out
from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from optimizer.solving.proof import WaysOut
from tests.optimality.asking import loaded
from tests.optimality.conflicts import LONGEST, differences, unmeetable_case
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import book, camera, site, zone

CASES = 20
CHUNK = 5

Found = tuple[Quarrels, WaysOut]


def found(asked: Site, prices: Book, most: int = 5, longest: int = LONGEST) -> Found:
    """Conflicts and ways out of a site that cannot be met."""
    end = time.monotonic() + 60
    asker = Asker(loaded(prices), end, lambda _: None)
    holding = Holding(unread(asked), loaded(prices), asker)
    memory = Memory(holding)
    quarrels = several(holding, memory, most, end, lambda: end)
    assert quarrels.open == ()
    conflicts = [c.ids for c in quarrels.conflicts]
    sets = sets_of(holding, memory, conflicts, most, longest, lambda: True)
    ways = ways_out(holding, sets, most, budget_alone(holding), end)
    asker.close()
    return quarrels, ways


def told(ways: WaysOut) -> list[tuple[dict[str, str], int, str]]:
    """Changes, steps and total of each way out, in its order."""
    return [({c.requirement: c.to for c in w.changes}, w.steps, w.total) for w in ways.found]


@pytest.mark.parametrize("first", range(0, CASES, CHUNK))
def test_random_sites(first: int) -> None:
    wrong = []
    for number in range(first, first + CHUNK):
        differing, conflicts, _ = differences(*unmeetable_case(number))
        assert conflicts
        wrong += [f"{number}: {one}" for one in differing]
    assert not wrong, "\n".join(wrong)


def test_random_sites_have_conflicts_of_several_and_ways_of_two() -> None:
    members, touched = set(), set()
    for number in (50, 273):
        _, conflicts, ways = differences(*unmeetable_case(number))
        members.update(conflicts)
        touched.update(ways)
    assert max(members) >= 2
    assert max(touched) == 2


# The plain kit: one camera 100, recorder 200, drive 50, supply 30, and cable, all in
# tests/optimality/plain_kit.py; 1920 px before a lens of 4 mm show 12 m at 10 m, 160 px/m.

SHARP: dict[str, Any] = {"detail": "320 px/m"}
LONG = {"long": camera(price="130.00", focal="4 to 8 mm")}
"""30 dearer, 320 px/m at 10 m."""


def test_a_detail_that_no_lens_reaches() -> None:
    # Dropping the zone leaves nothing; of the preferred numbers R10 below 320 (315, 250, 200, 160)
    # the plain camera's 160 px/m is the fourth.
    quarrels, ways = found(site(zone(**SHARP), zone("b")), book())
    [conflict] = quarrels.conflicts
    assert conflict.ids == ("zones.a", "zones.a/detail")
    assert conflict.smallest
    assert conflict.members[0].total_without == "0.00"
    assert ways.complete
    assert [(changes, steps) for changes, steps, _ in told(ways)] == [
        ({"zones.a": "not asked"}, 1),
        ({"zones.a/detail": "160 px/m"}, 4),
    ]


def test_untouchable_demands_are_in_conflicts_and_in_no_way_out() -> None:
    asked = site(zone(**SHARP), zone("b"), untouchable=["zones.a"])
    quarrels, ways = found(asked, book())
    assert quarrels.conflicts[0].ids == ("zones.a", "zones.a/detail")
    assert [changes for changes, *_ in told(ways)] == [{"zones.a/detail": "160 px/m"}]
    assert (ways.untouchable, ways.complete) == (("zones.a",), True)
    both = site(zone(**SHARP), zone("b"), untouchable=["zones.a", "zones.a/detail"])
    _, ways = found(both, book())
    assert (ways.found, ways.complete) == ((), True)


def test_two_independent_conflicts() -> None:
    # A frame rate beyond the camera's 25 fps in one zone, a detail in the other.
    asked = site(zone(frame_rate="26 fps"), zone("b", **SHARP), zone("c"))
    quarrels, ways = found(asked, book())
    assert [c.ids for c in quarrels.conflicts] == [
        ("zones.a", "zones.a/frame_rate"),
        ("zones.b", "zones.b/detail"),
    ]
    assert all(c.independent for c in quarrels.conflicts)
    assert [(changes, steps) for changes, steps, _ in told(ways)] == [
        ({"zones.a": "not asked", "zones.b": "not asked"}, 2),
        ({"zones.a/frame_rate": "25 fps", "zones.b": "not asked"}, 2),
        ({"zones.a": "not asked", "zones.b/detail": "160 px/m"}, 5),
        ({"zones.a/frame_rate": "25 fps", "zones.b/detail": "160 px/m"}, 5),
    ]
    assert ways.complete


def test_too_little_money() -> None:
    # The sharp camera is 30.00 dearer than the plain one, and the kit with it is out of a budget
    # one hundredth below its price.
    plain = _total(site(zone()), book(**LONG))
    sharp = _total(site(zone(**SHARP)), book(**LONG))
    assert sharp == plain + 30_00
    budget = f"{(sharp - 1) / 100:.2f}"
    asked = site(zone(**SHARP), money={"currency": "EUR", "budget": budget})
    quarrels, ways = found(asked, book(**LONG), longest=1)
    [conflict] = quarrels.conflicts
    assert set(conflict.ids) >= {"budget", "zones.a/detail"}
    assert ways.budget is not None
    assert (ways.budget.enough, ways.budget.more) == ("yes", "0.01")
    assert ways.budget.total == ways.budget.lower_bound == f"{sharp / 100:.2f}"
    ways_told = {tuple(changes): (changes, total) for changes, _, total in told(ways)}
    assert ways_told["zones.a/detail",] == ({"zones.a/detail": "160 px/m"}, f"{plain / 100:.2f}")
    assert ways_told["budget",][1] == f"{sharp / 100:.2f}"
    [way] = [w for w in ways.found if w.more_budget is not None]
    assert (way.more_budget, way.steps) == ("0.01", 1)


def test_a_budget_does_not_help_against_a_fact() -> None:
    asked = site(zone(**SHARP), zone("b"), money={"currency": "EUR", "budget": "10.00"})
    quarrels, ways = found(asked, book())
    assert ("zones.a", "zones.a/detail") in [c.ids for c in quarrels.conflicts]
    assert ways.budget is not None
    assert (ways.budget.enough, ways.budget.total) == ("no", None)
    # The budget has to be lifted too, whatever is done about the zone.
    assert all("budget" in changes for changes, *_ in told(ways))


def test_requirements_that_conflict_only_together() -> None:
    # 13.436928 GB a day: 75 days are 1007.8 GB; the recorder has one bay.
    asked = site(zone(), recording={"retention": "75 days"})
    one_bay = book(rec={"bays": 1})
    quarrels, ways = found(asked, one_bay)
    [conflict] = quarrels.conflicts
    assert set(conflict.ids) == {
        "zones.a/frame_rate", "zones.a/recorded", "recording/retention",
    }  # fmt: skip
    # 74 days are 994.3 GB, 23 hours 965.8 GB, 9 fps 907 GB: one step of any.
    assert sorted((tuple(changes.items()), steps) for changes, steps, _ in told(ways)) == [
        ((("recording/retention", "74 days"),), 1),
        ((("zones.a/frame_rate", "9 fps"),), 1),
        ((("zones.a/recorded", "23 h"),), 1),
    ]


def _total(asked: Site, prices: Book) -> int:
    """Cheapest total by the second formulation. [hundredth]"""
    from tests.optimality.second import second_opinion

    net = second_opinion(asked, prices)
    assert net is not None
    return net
