"""Scenarios and frontiers: figures derived by hand, and random sites against brute enumeration."""

from __future__ import annotations

import time
from typing import Any

import pytest

from optimizer.errors import InputError
from optimizer.explaining.inquiry import without_budget
from optimizer.scenarios import Comparison, compare, frontier
from optimizer.scenarios.frontier import undominated
from optimizer.scenarios.quantities import Range
from optimizer.site.schema import Site
from optimizer.solving.explanation import FigureStatus, PriceLevel
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import book, camera, site, zone
from tests.optimality.scenarios import differences, named, told


def compared(asked: Site, *entries: dict[str, Any], **changes: Any) -> Comparison:
    end = time.monotonic() + 60
    return compare(unread(asked), loaded(book(**changes)), named(*entries), end, lambda _: None)


def totals(found: Comparison) -> dict[str, str | None]:
    return {one.id: one.total for one in found.scenarios}


def test_totals_derived_by_hand() -> None:
    # The plain kit costs 424.00, that of two zones 528.00. A day is 13.436928 GB: 75 days are
    # 1007.8 GB and take a second drive of 50. At 60 for a drive, two are 120: 424 - 50 + 120.
    # With 20 % tax, 1.2 x 424.00. A second zone of 20 m with two drives at 75 days: each camera
    # 1007.8 GB, 2015.7 GB in all: three drives, 528 + 2 x 50.
    found = compared(
        site(),
        {"id": "both", "builds_on": "longer", "add": {"zones": [zone("b")]}},
        {"id": "longer", "set": {"recording/retention": "75 days"}},
        {"id": "dear", "builds_on": "longer", "prices": {"disk": "60.00"}},
        {"id": "second", "add": {"zones": [zone("b")]}},
        {"id": "taxed", "set": {"money/tax": "20 %"}},
        {"id": "back", "builds_on": "second", "drop": {"zones": ["a"]}},
        {"id": "no-tax", "builds_on": "taxed", "set": {"money/tax": "0"}},
    )
    assert totals(found) == {
        "base": "424.00",
        "both": "628.00",
        "longer": "474.00",
        "dear": "494.00",
        "second": "528.00",
        "taxed": "508.80",
        "back": "424.00",
        "no-tax": "424.00",
    }
    assert all(one.status == "optimal" for one in found.scenarios)
    differ = {one.id: one.difference for one in found.scenarios}
    assert differ["base"] is None
    assert differ["longer"] == "50.00"
    assert differ["back"] == "0.00"
    disks = next(row for row in found.items if row.item == "disk")
    assert disks.quantities == (1, 3, 2, 2, 1, 1, 1, 1)
    assert disks.differs
    kept = next(row for row in found.demands if row.id == "recording/retention")
    assert kept.values[:4] == ("10 days", "75 days", "75 days", "75 days")
    there = next(row for row in found.demands if row.id == "zones.b/detail")
    assert there.values[:2] == ("not there", "100 px/m")
    priced = next(row for row in found.demands if row.id == "prices/disk")
    assert priced.values[:4] == ("50.00", "50.00", "50.00", "60.00")


def test_policy_of_a_scenario() -> None:
    # Where the plain camera is forbidden, the other at 130 stands in its place: 424 + 30.
    other = {"long": camera(price="130.00", focal="4 to 8 mm")}
    found = compared(
        site(),
        {"id": "block", "policy": {"forbid": ["cam"]}},
        {"id": "by-id", "set": {"policy/forbid.cam": "true"}},
        {"id": "labour", "policy": {"labour": {"rate": "60.00", "pulling": "0.5 min/m"}}},
        **other,
    )
    # 20 m at 0.5 min/m are 10 min at 60 an hour: 10.00 more; fittings state no minutes.
    assert totals(found) == {
        "base": "424.00",
        "block": "454.00",
        "by-id": "454.00",
        "labour": "434.00",
    }


def test_an_unmeetable_scenario_says_which_demands_conflict() -> None:
    # The plain camera shows 12 m at 10 m with one camera; 13 m cannot be seen.
    found = compared(
        site(), {"id": "wide", "set": {"zones.a/width": "13 m"}}, {"id": "as-is", "name": "same"}
    )
    base, wide, same = found.scenarios
    assert (wide.status, wide.total, wide.difference) == ("unmeetable", None, None)
    assert "zones.a/width (13 m)" in wide.because
    assert (same.total, same.difference) == (base.total, "0.00")
    assert next(r for r in found.items if r.item == "cam").quantities == (1, None, 1)


def test_no_time_is_said_to_be_no_answer() -> None:
    found = compare(
        unread(site()), loaded(book()), named({"id": "a"}), time.monotonic(), lambda _: None
    )
    for one in found.scenarios:
        assert one.status in ("optimal", "feasible", "undecided")
        assert (one.status == "undecided") == (one.total is None) == bool(one.because)


@pytest.mark.parametrize(
    ("low", "high", "points"),
    [
        # One drive holds 74.4 days, two 148.8, three 223.2.
        ("70", "150", [("74 days", 424_00), ("148 days", 474_00), ("150 days", 524_00)]),
        ("70", "74", [("74 days", 424_00)]),
        ("74", "75", [("74 days", 424_00), ("75 days", 474_00)]),
    ],
)
def test_a_frontier_derived_by_hand(low: str, high: str, points: list[tuple[str, int]]) -> None:
    end = time.monotonic() + 60
    found = frontier(
        unread(site()), loaded(book()), "recording/retention", Range(low, high), end, lambda _: None
    )
    assert told(found) == points
    assert found.complete
    assert not found.open
    for point in found.points:
        assert point.answer.status == "optimal"
        assert point.answer.total == point.total


def test_a_frontier_says_from_where_on_nothing_can_be_had() -> None:
    # Four bays of 1 TB hold 4000 / 13.436928 = 297.7 days.
    end = time.monotonic() + 60
    found = frontier(
        unread(site()),
        loaded(book()),
        "recording/retention",
        Range("295", "299"),
        end,
        lambda _: None,
    )
    assert told(found) == [("297 days", 574_00)]
    assert [(b.first, b.last) for b in found.barred] == [("298 days", "299 days")]
    assert found.complete


def test_a_frontier_over_shares_of_the_day() -> None:
    # 75 days of all hours are 1007.8 GB, of 95 % of them 957.4: one drive of 1000.
    asked = site(zone(recorded="90 %"), recording={"retention": "75 days"})
    end = time.monotonic() + 60
    found = frontier(
        unread(asked),
        loaded(book()),
        "zones.a/recorded",
        Range("85 %", "100 %"),
        end,
        lambda _: None,
    )
    assert told(found) == [("95 %", 424_00), ("100 %", 474_00)]
    assert [point.number for point in found.points] == ["22.8", "24"]
    assert found.unit == "h"


THREE = site(zone("a"), zone("b"), zone("c", detail="300 px/m"))
"""Two plain zones, and one that only the camera of 8 mm at 180 shows, 80 more than the plain."""

LONG = {"long": camera(price="180.00", focal="8 mm")}


@pytest.mark.parametrize(
    ("weights", "points"),
    [
        # The plain kit for one, 104 for the second, 104 + 80 for the third.
        ({}, [("1", 424_00), ("2", 528_00), ("3", 712_00)]),
        # c by itself weighs 5 at 424 + 80, which is cheaper than a and b together at weight 2.
        ({"c": 5}, [("1", 424_00), ("5", 504_00), ("6", 608_00), ("7", 712_00)]),
        ({"a": 2, "c": 2}, [("2", 424_00), ("3", 528_00), ("4", 608_00), ("5", 712_00)]),
    ],
)
def test_a_frontier_over_the_zones_that_are_kept(
    weights: dict[str, int], points: list[tuple[str, int]]
) -> None:
    end = time.monotonic() + 60
    asked = without_budget(THREE.model_copy(update={"untouchable": ("zones.a/detail",)}))
    over = Range(weights=weights)
    found = frontier(unread(asked), loaded(book(**LONG)), "zones", over, end, lambda _: None)
    assert told(found) == points
    assert found.complete
    kept = [{c.zone for c in point.answer.cameras} for point in found.points]
    weighed = [sum(weights.get(z, 1) for z in zones) for zones in kept]
    assert [str(w) for w in weighed] == [value for value, _ in points]
    assert found.points[-1].because == "all zones"


def test_zones_that_no_kit_meets_are_left_out_and_said() -> None:
    # 13 m cannot be seen with one camera of 12 m.
    asked = site(zone("a"), zone("b", width="13 m"))
    end = time.monotonic() + 60
    found = frontier(unread(asked), loaded(book()), "zones", Range(), end, lambda _: None)
    assert told(found) == [("1", 424_00)]
    assert found.points[0].because == "without b"
    assert [(b.first, b.last) for b in found.barred] == [("2", "2")]
    assert found.complete


def test_a_frontier_over_the_detail_of_all_zones() -> None:
    # observe, recognise and identify are 62.5, 125 and 250 px/m (IEC 62676-4:2014, 5 m of scene at
    # 10 m): the plain camera gives 160, the long one 320: 424, then 424 + 80.
    end = time.monotonic() + 60
    found = frontier(
        unread(site()), loaded(book(**LONG)), "detail", Range("observe", "identify"), end,
        lambda _: None,
    )  # fmt: skip
    assert told(found) == [("recognise", 424_00), ("identify", 504_00)]
    assert [point.number for point in found.points] == ["125", "250"]
    assert found.complete


@pytest.mark.parametrize(
    ("name", "over", "told_so"),
    [
        ("zones", Range("1", "2"), "all zones are looked at"),
        ("zones", Range(weights={"ab": 2}), 'the site has no zone "ab"'),
        ("zones", Range(weights={"a": 0}), "a zone cannot weigh 0"),
        ("detail", Range("observe", "recognize"), '"recognize" is not a level of detail here'),
        ("detail", Range("identify", "observe"), "the range holds no step"),
        ("detail", Range("observe"), "both ends of the range are needed"),
        ("recording/retention", Range("7"), "both ends of the range are needed"),
        ("recording/retention", Range("7", "9", {"a": 2}), "only zones have weights"),
        ("zone", Range("7", "9"), "asks for nothing called"),
    ],
)
def test_what_a_frontier_refuses(name: str, over: Range, told_so: str) -> None:
    with pytest.raises(InputError, match=told_so) as caught:
        frontier(unread(site()), loaded(book()), name, over, time.monotonic() + 9, lambda _: None)
    assert all(trouble.hint and trouble.accepted for trouble in caught.value.troubles)


def test_weights_of_too_many_sums_are_refused() -> None:
    asked = site(*(zone(f"z{n}") for n in range(12)))
    weights = {f"z{n}": 2**n if n < 10 else 1000 for n in range(12)}
    with pytest.raises(InputError, match="more than 2000 different sums"):
        frontier(
            unread(asked), loaded(book()), "zones", Range(weights=weights),
            time.monotonic() + 9, lambda _: None,
        )  # fmt: skip


def test_no_time_leaves_the_zones_open() -> None:
    found = frontier(
        unread(THREE), loaded(book(**LONG)), "zones", Range(), time.monotonic(), lambda _: None
    )
    assert not found.complete
    assert [(o.first, o.last) for o in found.open][-1][1] == "3"


def level(
    last: str,
    status: FigureStatus,
    total: str | None = None,
    low: str | None = None,
    high: str | None = None,
) -> PriceLevel:
    return PriceLevel(
        first=last, last=last, first_number=last, last_number=last, unit="", status=status,
        total=total, low=low, high=high,
    )  # fmt: skip


def test_what_is_undominated_where_something_is_open() -> None:
    cheap = level("1", "proven", "10.00")
    same = level("2", "proven", "20.00")
    open_ = level("3", "between", low="15.00", high="20.00")
    last = level("4", "proven", "30.00")
    # A kit at 20 is known for 3, so 2 is beaten for sure; 3 itself may cost 15 to 20.
    assert undominated([cheap, same, open_, last]) == ([cheap, last], [open_])
    # With 16 for 2, the open value may cost 15 and beat it, or 20 and not.
    maybe = level("2", "proven", "16.00")
    assert undominated([cheap, maybe, open_, last]) == ([cheap, last], [maybe, open_])
    # What is open from 30 on cannot beat 30 at a harder value.
    beyond = level("3", "between", low="30.00", high="40.00")
    assert undominated([cheap, beyond, last]) == ([cheap, last], [])
    # A harder value at the same total, or a lower one, beats.
    assert undominated([last, cheap]) == ([cheap], [])
    assert undominated([level("0", "proven", "10.00"), cheap]) == ([cheap], [])
    none = level("5", "unmeetable")
    assert undominated([cheap, none]) == ([cheap], [])


@pytest.mark.parametrize("number", range(6))
def test_random_sites_against_brute_enumeration(number: int) -> None:
    wrong, figures = differences(number)
    assert wrong == []
    assert figures > 0
