"""Which way changes go, and where ranges end: sums on paper over the plain kit and the one door."""

from __future__ import annotations

import time
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from optimizer.explaining import difference as differing
from optimizer.explaining import why as reasoning
from optimizer.explaining.asking import Asker, Have, Known
from optimizer.explaining.curve import _swept
from optimizer.explaining.difference import Wish, compared, what_if, wished, wished_way
from optimizer.explaining.direction import (
    Range,
    Way,
    difference,
    joined,
    sign,
    signs,
    way,
    way_between,
)
from optimizer.explaining.inquiry import Inquiry
from optimizer.explaining.why import with_prices
from optimizer.scenarios import comparing
from optimizer.site.changes import changed, find
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from optimizer.solving.answer import Answer
from optimizer.solving.variants import Why
from optimizer.units import money_text
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import PLAIN, book, camera, site, zone
from tests.optimality.scenarios import named
from tests.unit.explaining import door

STRICTER, EASIER = Way(no_cheaper=True), Way(no_dearer=True)


@pytest.mark.parametrize(
    ("fields", "name", "value", "expected"),
    [
        ({}, "detail", "160 px/m", 1),
        ({}, "detail", "10 px/m", -1),
        ({}, "detail", None, -1),
        ({"recorded": "12 h"}, "recorded", "60 %", 1),  # 14.4 h
        ({"recorded": "12 h"}, "recorded", "40 %", -1),  # 9.6 h
        ({"recorded": "12 h"}, "recorded", "50 %", 0),
        ({"temperature": "-10 to 30 C"}, "temperature", "-10 to 35 C", 1),
        ({"temperature": "-10 to 30 C"}, "temperature", "0 to 30 C", -1),
        # Warmer at one end and at the other: neither covers the other, whichever is longer.
        ({"temperature": "-10 to 30 C"}, "temperature", "0 to 50 C", None),
        ({"ingress": "IP65"}, "ingress", "IP66", 1),
        ({"ingress": "IP65"}, "ingress", "IP54", -1),
        # Better against dust, worse against water.
        ({"ingress": "IP56"}, "ingress", "IP65", None),
        ({"steerable": True}, "steerable", "false", -1),
        ({"most_cameras": 4}, "most_cameras", "3", 1),
    ],
)
def test_which_way_a_value_goes(
    fields: dict[str, Any], name: str, value: str | None, expected: int | None
) -> None:
    asked = site(zone("gate", **{"detail": "100 px/m", **fields}))
    assert sign(find(asked, f"zones.gate/{name}"), value) == expected


def test_budgets_go_the_other_way() -> None:
    asked = site(money={"currency": "EUR", "budget": "500"})
    budget = find(asked, "budget")
    assert [sign(budget, v) for v in ("499", "500.00", "501", None)] == [1, 0, -1, -1]


def test_what_is_added_asks_for_more_and_what_is_not_known_says_nothing() -> None:
    one = site(zone("gate"))
    two = changed(one, {"zones.gate/ingress": "IP65"})
    assert [s for _, s in signs(one, two, ["zones.gate/ingress"]) or ()] == [1]
    assert [s for _, s in signs(two, one, ["zones.gate/ingress"]) or ()] == [-1]
    # A time of its own may be shorter than that of the whole site.
    own = changed(one, {"zones.gate/retention": "1 day"})
    assert signs(one, own, ["zones.gate/retention"]) is None


# At 10 m the camera shows 160 px/m and 12 m of scene; two side by side each take half the width,
# but its lens is fixed, so that more of them make no picture finer.
def fine(detail: str, width: str = "6 m", **fields: Any) -> Site:
    return site(zone("gate", detail=detail, width=width, most_cameras=8), **fields)


SPARE = {"spare": {"channels": 1}}


def goes(before: Site, after: Site, *names: str) -> Way:
    moves = signs(before, after, names)
    assert moves is not None
    return way(before, after, loaded(book()), moves)


def test_changes_of_one_direction_go_that_way_together() -> None:
    one = fine("100 px/m")
    detail, width = "zones.gate/detail", "zones.gate/width"
    more = changed(one, {detail: "125 px/m", width: "7 m"})
    less = changed(one, {detail: "80 px/m", width: "5 m"})
    both = changed(one, {detail: "125 px/m", width: "5 m"})
    assert goes(one, more, detail, width) == STRICTER
    assert goes(one, less, detail, width) == EASIER
    assert goes(one, both, detail, width) == Way()
    assert goes(one, changed(one, {}), detail) == Way(True, True)


def test_where_channels_stay_free_it_is_sure_as_long_as_no_camera_is_new() -> None:
    detail, width = "zones.gate/detail", "zones.gate/width"
    one = fine("100 px/m", **SPARE)
    # One camera before and after.
    assert goes(one, fine("125 px/m", **SPARE), detail) == STRICTER
    assert goes(fine("125 px/m", **SPARE), one, detail) == EASIER
    # 13 m take two cameras of 12 m: a kit with two is none of a site with one of 6 m.
    wide = fine("100 px/m", "13 m", **SPARE)
    assert goes(one, wide, width) == Way()
    assert goes(wide, one, width) == Way()
    # Without channels to keep free the second camera can be taken away.
    assert goes(fine("100 px/m"), fine("100 px/m", "13 m"), width) == STRICTER


def test_ranges_end_at_what_the_other_price_says() -> None:
    # Proven 100: a stricter site costs no less, an easier one no more.
    proven = Range(100, 100)
    assert difference(STRICTER, proven, Range(40, 112)) == (0, 12)
    assert difference(EASIER, proven, Range(40, 112)) == (-60, 0)
    assert difference(Way(), proven, Range(40, 112)) == (-60, 12)
    assert difference(STRICTER, proven, Range()) == (0, None)
    assert difference(EASIER, proven, Range()) == (None, 0)


def test_ranges_of_a_price_that_is_not_proven() -> None:
    # The stricter site costs 100 at least as well; its kit at 105 is one of the first site. So the
    # first lies from 100 to 105, as the second does, and 0 to 5 are between them.
    assert joined(STRICTER, Range(100, 110), Range(90, 105)) == (Range(100, 105), Range(100, 105))
    assert difference(STRICTER, Range(100, 110), Range(90, 105)) == (0, 5)
    # The kit at 110 serves the easier site too; that the easier one costs 104 binds the first.
    assert joined(EASIER, Range(100, 110), Range(104, 130)) == (Range(104, 110), Range(104, 110))
    assert difference(EASIER, Range(100, 110), Range(104, 130)) == (-6, 0)
    # A kit of the first site says nothing of how cheap a stricter one can be.
    assert joined(STRICTER, Range(100, 110), Range(90, 130))[1] == Range(100, 130)


def answered(asked: Site) -> Answer:
    found = solve_site(asked, loaded(book()), seconds=60)
    assert (found.status, found.total) == ("optimal", "424.00")
    return found


def inquiry(asked: Site) -> Inquiry:
    one = Asker(loaded(book()), time.monotonic() + 60, lambda _: None)
    one.cheapest(asked)
    have = one.design(asked)
    assert have is not None
    return Inquiry.of(unread(asked), loaded(book()), have.design, one)


@pytest.mark.parametrize(
    ("value", "low", "high"),
    [
        # What was found out: from 217.67 to 434.49. The proven price is 424.00.
        ("125 px/m", "424.00", "434.49"),
        ("80 px/m", "217.67", "424.00"),
    ],
)
def test_findings_are_cut_off_at_the_proven_price(value: str, low: str, high: str) -> None:
    asks = inquiry(fine("100 px/m", **SPARE))
    assert asks.total == PLAIN
    detail = asks.listed["zones.gate/detail"]
    asks.site({detail.id: value})
    step = asks.step([(detail, value, 1)], Known(21767, 43449, {}))
    assert (step.status, step.before, step.low, step.high) == ("between", "424.00", low, high)


def test_a_relaxation_that_nothing_is_known_to_be_cheaper_for_is_settled() -> None:
    asks = inquiry(fine("100 px/m", **SPARE))
    detail = asks.listed["zones.gate/detail"]
    asks.site({detail.id: "80 px/m"})
    step = asks.step([(detail, "80 px/m", 1)], Known(PLAIN))
    assert (step.status, step.difference, step.items) == ("proven", "0.00", ())


def test_which_way_one_site_goes_from_another() -> None:
    prices = loaded(book())
    one, two = site(zone("a")), site(zone("a"), zone("b", detail="125 px/m"))
    longer = changed(one, {"recording/retention": "20 days"})
    assert way_between(one, longer, prices) == STRICTER
    assert way_between(longer, one, prices) == EASIER
    assert way_between(one, one, prices) == Way(True, True)
    # A zone more, with all that is asked of it; a zone less.
    assert way_between(one, two, prices) == STRICTER
    assert way_between(two, one, prices) == EASIER
    both = changed(longer, {"zones.a/detail": "80 px/m"})
    assert way_between(one, both, prices) == Way()
    # Tax is no requirement: what it does to a price is another matter.
    taxed = longer.model_copy(
        update={"money": longer.money.model_copy(update={"tax": Decimal("0.2")})}
    )
    assert way_between(one, taxed, prices) == Way()


def test_scenarios_are_cut_off_too(monkeypatch: pytest.MonkeyPatch) -> None:
    found = answered(site())
    least = found.model_copy(update={"status": "feasible", "lower_bound": "217.67"})
    monkeypatch.setattr(comparing, "answers_to", lambda *_: [found, least, least])
    entries = (
        {"id": "longer", "set": {"recording/retention": "20 days"}},
        {"id": "dear", "prices": {"disk": "60.00"}},
    )
    told = comparing.compare(
        unread(site()), loaded(book()), named(*entries), time.monotonic() + 9, lambda _: None
    )
    ends = [(s.difference_low, s.difference_high) for s in told.scenarios]
    # 217.67 - 424.00, and the kit of the first is one of the second.
    assert ends[1:] == [("0.00", "0.00"), ("-206.33", "0.00")]


@pytest.fixture(scope="module")
def first() -> Answer:
    found = door.answer()
    assert (found.status, found.total) == ("optimal", "231.00")
    return found


@pytest.mark.parametrize(
    ("wish", "expected"),
    [
        (Wish(have={"lead-20": 1}), STRICTER),
        (Wish(have={"cam-comp": 1}), STRICTER),
        (Wish(lack=("lead-20",)), STRICTER),
        (Wish(lack=("lead-20",), values={"recording/retention": "8"}), STRICTER),
        (Wish(values={"recording/retention": "6", "zones.door/width": "2"}), EASIER),
        (Wish(lack=("lead-20",), values={"recording/retention": "6"}), Way()),
        # The sign is asked for: doing without it asks for less and for more.
        (Wish(lack=("sign",)), Way()),
    ],
)
def test_which_way_a_wish_goes(wish: Wish, expected: Way) -> None:
    asked = door.asked()
    after, _ = wished(asked, door.book(), wish)
    assert wished_way(asked.site, after, door.book(), wish) == expected


def test_to_want_what_is_forbidden_says_nothing() -> None:
    asked = door.asked(policy={**door.SITE["policy"], "forbid": ["cam-comp"]})
    wish = Wish(have={"cam-comp": 1})
    after, _ = wished(asked, door.book(), wish)
    assert wished_way(asked.site, after, door.book(), wish) == Way()


def hasty(total: str | None, low: str) -> Callable[..., Answer]:
    """Somebody who solves a site as far as time allows: a kit at a total, none below a bound."""

    def solved(*_: Any, **__: Any) -> Answer:
        found = door.answer(door.asked(recording={"retention": "71 days"}))
        assert found.total == "242.00"
        status = "undecided" if total is None else "feasible"
        none = {} if total is not None else dict.fromkeys(("total", "net", "tax"))
        return found.model_copy(update={"status": status, "lower_bound": low, "gap": 0.1, **none})

    return solved


def test_a_stricter_wish_is_no_cheaper(first: Answer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(differing, "solve_site", hasty("242.00", "24.67"))
    wish = Wish(lack=("cam-hd",))
    found = what_if(door.asked(), door.book(), first, wish, time.monotonic(), lambda _: None)
    assert found.what_if is not None
    assert (found.what_if.low, found.what_if.high) == ("0.00", "11.00")
    # 231.00 are proven for the door as asked, so that no kit without the camera is below.
    assert (found.status, found.lower_bound) == ("feasible", "231.00")


def test_an_eased_wish_is_no_dearer(first: Answer, monkeypatch: pytest.MonkeyPatch) -> None:
    for total in ("242.00", None):
        monkeypatch.setattr(differing, "solve_site", hasty(total, "200.00"))
        wish = Wish(values={"recording/retention": "6 days"})
        found = what_if(door.asked(), door.book(), first, wish, time.monotonic(), lambda _: None)
        assert found.what_if is not None
        # The first kit serves the eased door too: 231.00, and 200.00 at least.
        assert (found.status, found.total) == ("feasible", "231.00")
        assert (found.what_if.low, found.what_if.high) == ("-31.00", "0.00")


def test_an_unmeetable_site_bounds_nothing(first: Answer) -> None:
    none = first.model_copy(update={"status": "unmeetable", "total": None, "lower_bound": None})
    found = compared(none, first, (), EASIER)
    assert (found.status, found.low, found.high) == ("proven", None, None)


def test_a_kit_without_an_item_is_no_cheaper(
    first: Answer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reasoning, "solve_site", hasty("242.00", "24.67"))
    lines = (Why(item="cam-hd", because="", demands=()),)
    soon = time.monotonic() + 60
    (told,) = with_prices(door.asked(), door.book(), first, lines, soon, lambda _: None)
    assert told.without is not None
    assert (told.without.low, told.without.high) == ("231.00", "242.00")
    # Where the present kit at 231.00 is proven to 220.00 only, so is a kit without the camera.
    unproven = first.model_copy(update={"status": "feasible", "lower_bound": "220.00"})
    (told,) = with_prices(door.asked(), door.book(), unproven, lines, soon, lambda _: None)
    assert told.without is not None
    assert (told.without.low, told.without.high) == ("220.00", "242.00")


def test_a_kit_of_a_harder_value_bounds_the_easier_ones() -> None:
    values = ["100 px/m", "125 px/m", "160 px/m"]
    sites = [fine(value) for value in values]
    knows = Asker(loaded(book()), time.monotonic() + 60, lambda _: None)
    knows.cheapest(sites[1])
    have = knows.design(sites[1])
    assert have is not None
    late = Asker(loaded(book()), time.monotonic(), lambda _: None)
    late.tell(sites[1], Have(sites[1], have.design).design, proven=False)
    points = _swept(late, values, sites)
    assert [p.known.high for p in points] == [PLAIN, PLAIN, None]
    assert money_text(PLAIN) == "424.00"


def test_a_camera_finer_than_before_is_new() -> None:
    # The coarse one does for 100 px/m, 106.7 px/m, not for 125: what is taken out is never new.
    prices = loaded(book(coarse=camera(price="80.00", picture="1280x720")))
    one, two = (fine(d, **SPARE) for d in ("100 px/m", "125 px/m"))
    moves = signs(one, two, ["zones.gate/detail"])
    assert moves is not None
    assert way(one, two, prices, moves) == STRICTER
    back = signs(two, one, ["zones.gate/detail"])
    assert back is not None
    assert way(two, one, prices, back) == EASIER
