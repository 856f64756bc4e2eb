"""Arguments: each sum derived by hand, and none told where its inequality does not hold."""

from __future__ import annotations

import time

import pytest

from optimizer.explaining.argument import argue
from optimizer.explaining.argument_money import lowest_price, money_steps
from optimizer.explaining.argument_sum import summed
from optimizer.explaining.asking import Asker
from optimizer.explaining.certificate import Certificate
from optimizer.explaining.conflicts import several
from optimizer.explaining.holding import Holding, Memory
from optimizer.explaining.usable import best_usable, least_stored, most_cameras
from optimizer.instance import build_instance
from optimizer.model.program import Program
from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from optimizer.solving.proof import Argument
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import RECORDER, book, camera, site, zone


def told(asked: Site, prices: Book) -> Argument:
    """The argument of the only conflict of a site."""
    end = time.monotonic() + 60
    holding = Holding(unread(asked), loaded(prices), Asker(loaded(prices), end, lambda _: None))
    quarrels = several(holding, Memory(holding), 1, end, lambda: end)
    return argue(holding, quarrels.conflicts[0], quarrels.sites[0], None)


def text(argument: Argument) -> str:
    """Its steps as one text."""
    return "\n".join(step.text for step in argument.steps)


def test_detail_beyond_the_lens() -> None:
    # 1920 px x 4 mm / (4.8 mm x 10 m) = 160 px/m.
    argument = told(site(zone(detail="320 px/m"), zone("b")), book())
    assert argument.closed
    words = text(argument)
    assert "Asked: a: detail 320 px/m." in words
    assert "1,920 px x 4 mm / (4.8 mm x 10 m) = 160.0 px/m, 320 are asked" in words
    assert "all 1 camera items of the book, so a has no camera" in words
    assert [s.requirements for s in argument.steps][-2] == ("zones.a/detail",)


def test_more_to_keep_than_the_bays_hold() -> None:
    # 75 days of 13.436928 GB are 1007.77, so 1,008 GB; one bay holds 1,000.
    argument = told(site(zone(), recording={"retention": "75 days"}), book(rec={"bays": 1}))
    assert argument.closed
    words = text(argument)
    assert "1.244 Mbit/s / 8 x 24 x 3,600 s x 75 days = 1,008 GB" in words
    assert "1 x 1,000 GB = 1,000 GB" in words
    assert "1,008 GB are more than 1,000 GB." in words
    assert any(step.origin == "book: rec" for step in argument.steps)


def test_two_recorders_are_reckoned_with_where_there_are_two_cameras() -> None:
    # 150 days are 2,015.5 GB for each of two cameras: 4,032 GB on at most two times 2,000.
    asked = site(zone(), zone("b"), recording={"retention": "150 days"})
    argument = told(asked, book(rec={"bays": 2}))
    assert argument.closed
    # Either camera alone is too much for a recorder that has it alone: one place is enough.
    assert "2,016 GB are more than 2,000 GB." in text(argument)
    instance = build_instance(asked, loaded(book(rec={"bays": 2})), reduce=False, group=False)
    assert most_cameras(instance) == 2


def test_more_points_than_audio_inputs() -> None:
    points = [{"id": f"p{n}", "run": "5 m"} for n in range(3)]
    asked = site(zone(), audio={"consent": "Invented.", "points": points})
    prices = book(
        rec={"audio_inputs": 2},
        mic={"kind": "microphone", "price": "20.00", "watts": "1 W", "volts": "10.8 to 13.2 V"},
        hear={"kind": "cable", "price": "10.00", "medium": "audio_pair", "construction": "hear",
              "box": "100 m", "fit": "audio"},
        feed={"kind": "cable", "price": "10.00", "medium": "power_pair", "construction": "feed",
              "box": "100 m", "gauge": "18 AWG"},
        rca={"kind": "connector", "price": "1.00", "type": "rca", "fits": ["audio"],
             "method": "solder"},
    )  # fmt: skip
    argument = told(asked, prices)
    assert argument.closed
    words = text(argument)
    assert "3 audio points can be recorded through an audio input only" in words
    assert "1 x 2 = 2 inputs are fewer than 3 points" in words


def test_one_model_for_two_zones_that_share_none() -> None:
    asked = site(zone(steerable=True), zone("b", discreet=True), policy={"most_camera_models": 1})
    prices = book(
        rec={"control": ["coax"]},
        turning=camera(steerable=True, control="coax"),
        hidden=camera(discreet=True),
    )
    argument = told(asked, prices)
    assert argument.closed
    words = text(argument)
    assert "a can be seen by 1 camera item: turning" in words
    assert "b can be seen by 1 camera item: hidden" in words
    assert "need 2 different items, at most 1 may be used" in words


def test_no_recorder_is_left() -> None:
    argument = told(site(zone(), recording={"export": ["usb"]}), book())
    assert argument.closed
    assert "1 recorder item out: it has no usb export" in text(argument)


def test_a_recorder_that_has_to_be_used_and_can_not() -> None:
    """Only the other recorder has an array: each of the two demands by itself can be met."""
    prices = book(other={**RECORDER, "price": "300.00", "arrays": ["mirror"]})
    asked = site(
        zone(),
        recording={"drive_failures": 1},
        policy={"require": [{"item": "rec", "quantity": 1}]},
    )
    argument = told(asked, prices)
    assert set(argument.conflict) >= {"recording/drive_failures", "policy/require.rec"}
    assert argument.steps[-1].requirements == ("policy/require.rec",)
    words = text(argument)
    assert "rec has to be used, and no kit can use it: no array of it survives" in words
    assert "nothing is at least" not in words


def test_a_budget_below_the_cheapest_parts_is_closed_by_their_sum() -> None:
    # Camera 100, recorder 200, 134.4 of 1,000 GB at 50: at least 135 x 0.05 = 6.75 beside them.
    asked = site(money={"currency": "EUR", "budget": "300.00"})
    steps, closed = money_steps(build_instance(asked, loaded(book()), reduce=False, group=False))
    assert closed
    assert "135 / 1,000 x 50.00 = 6.75" in steps[2].text
    assert steps[-1].text == "Together at least 306.75; the budget is 300.00."
    # At 306.75 it is not: the rest of a kit costs more, but these parts do not show it.
    asked = site(money={"currency": "EUR", "budget": "306.75"})
    assert not money_steps(build_instance(asked, loaded(book()), reduce=False, group=False))[1]


def test_a_budget_that_parts_do_not_reach_is_told_by_the_proven_price() -> None:
    # The plain kit is 424.00.
    argument = told(site(money={"currency": "EUR", "budget": "420.00"}), book())
    assert not argument.closed
    assert "costs less than" in text(argument)


def test_lowest_price_is_below_breaks_and_offers() -> None:
    prices = loaded(
        book(
            offers=[{"id": "o", "name": "o", "when": [{"items": ["cam"], "at_least": 2}],
                     "percent": "10 %", "on": ["cam"]}],
            cam={"breaks": [{"at_least": 5, "price": "80.00"}]},
        )
    )  # fmt: skip
    instance = build_instance(site(), prices)
    # 80.00 less 10 % of the list price of 100.00.
    assert lowest_price(instance, prices.items["cam"]) == 70_00
    owned = build_instance(site(owned=[{"item": "cam", "quantity": 1}]), prices)
    assert lowest_price(owned, prices.items["cam"]) == 0


@pytest.mark.parametrize(
    ("failures", "array", "usable"),
    # Four bays of 1,000 GB.
    [(0, "single", 4000), (1, "mirror", 2000), (1, "5", 3000), (1, "10", 2000), (2, "6", 2000)],
)
def test_best_usable_capacity(failures: int, array: str, usable: int) -> None:
    prices = loaded(book(rec={**RECORDER, "arrays": [] if array == "single" else [array]}))
    asked = site(recording={"drive_failures": failures})
    [fit] = build_instance(asked, prices).recorders
    assert best_usable(fit)[0] == usable


def test_least_stored_counts_reserve_and_spare() -> None:
    # 10 days of 13.436928 GB, 20 % to spare, 10 % kept free: 134.36928 x 1.2 / 0.9 = 179.2.
    asked = site(recording={"reserve": "10 %"}, spare={"storage": "20 %", "supply": "0 %"})
    instance = build_instance(asked, loaded(book()), reduce=False)
    need = least_stored(instance, instance.zones[0])
    assert need is not None
    assert need.gigabytes == 180
    assert "x 1.2 to spare / 0.9 to keep free = 180 GB" in need.words


def _program() -> Program:
    program = Program()
    x, y = program.var("buy/x", 5), program.var("buy/y", 5)
    program.row("need", ["zones.a/seen"], [(x, 1), (y, 1)], lo=8)
    program.row("most", ["fact/x"], [(x, 2), (y, 1)], hi=6)
    return program


def test_a_weighted_sum_in_words() -> None:
    # need once, most once: (x + y) - (2x + y) = -x is at least 8 - 6 = 2, and at most 0.
    steps = summed(_program(), Certificate(("by 0:1 1:-1",)))
    assert [s.text for s in steps] == [
        "[bought x] + [bought y] is at least 8.",
        "- 2 x [bought x] - [bought y] is at least -6.",
        "Added up, the left sides can be at most 0 and have to be at least 2.",
    ]
    assert steps[0].requirements == ("zones.a/seen",)


def test_cases_are_told_one_by_one() -> None:
    lines = ("if 0 <= 2", "by 0:1", "by 1:-2 0:1")
    steps = summed(_program(), Certificate(lines))
    # x at most 2: x + y is at most 7, not 8. x from 3: x + y - 4x - 2y = -3x - y is at least
    # 8 - 12 = -4, and at most -9.
    words = [s.text for s in steps]
    assert words[0] == "If [bought x] at most 2:"
    assert words[2] == "Added up, the left sides can be at most 7 and have to be at least 8."
    assert words[3] == "If [bought x] at least 3:"
    assert words[-1] == "Added up, the left sides can be at most -9 and have to be at least -4."


def test_what_is_too_long_is_not_told() -> None:
    assert summed(_program(), Certificate(("so 0:1", "by 0:1 1:-1"))) == []
    assert summed(_program(), Certificate(("by 0:1 1:-1",), below=5)) == []
    assert summed(_program(), Certificate(tuple(["by 0:1 1:-1"] * 5))) == []
