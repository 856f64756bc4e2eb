"""What if: each figure follows from the prices in ``door.py``."""

from __future__ import annotations

import time
from decimal import Decimal

import pytest

import optimizer
from optimizer.errors import InputError
from optimizer.explaining.difference import Wish, bill_difference, compared, what_if, wished
from optimizer.reading.source import Source
from optimizer.site.loading import LoadedSite
from optimizer.site.schema import Owned
from optimizer.solving.answer import Answer
from optimizer.solving.variants import BillDifference, WhatIf
from tests.optimality import rooms
from tests.unit.explaining import door


@pytest.fixture(scope="module")
def first() -> Answer:
    found = door.answer()
    assert (found.status, found.total) == ("optimal", "231.00")
    return found


def asked_if(first: Answer, wish: Wish) -> WhatIf:
    after = what_if(door.asked(), door.book(), first, wish, time.monotonic() + 60, lambda _: None)
    assert after.what_if is not None
    return after.what_if


def rows(bills: BillDifference | None) -> dict[str, tuple[str, int, int, str]]:
    assert bills is not None
    return {line.item: (line.what, line.before, line.after, line.amount) for line in bills.lines}


def adds_up(bills: BillDifference | None) -> bool:
    assert bills is not None
    goods = sum((Decimal(line.amount) for line in bills.lines), Decimal(0))
    parts = goods - Decimal(bills.reductions) + Decimal(bills.labour) + Decimal(bills.tax)
    return goods == Decimal(bills.goods) and parts == Decimal(bills.total)


COMPOSITE = {
    "cam-comp": ("added", 0, 1, "30.00"),
    "rec-comp": ("added", 0, 1, "120.00"),
    "cam-hd": ("removed", 1, 0, "-40.00"),
    "rec-hd": ("removed", 1, 0, "-100.00"),
}


@pytest.mark.parametrize(
    ("wish", "difference", "lines"),
    [
        # 220.00 less 210.00, and 10 % tax on it.
        (Wish(lack=("cam-hd",)), "11.00", COMPOSITE),
        (Wish(have={"cam-comp": 1}), "11.00", COMPOSITE),
        # 71 days of HD over coax would take drive-2tb, 225.00; composite 220.00.
        (Wish(values={"recording/retention": "71"}), "11.00", COMPOSITE),
        # 70 days still go on 1 TB.
        (Wish(values={"recording/retention": "70 days"}), "0.00", {}),
        # Coax with power for the lead: 34.00 for 10.00.
        (
            Wish(lack=("lead-20",)),
            "26.40",
            {
                "cp59-50": ("added", 0, 1, "30.00"),
                "bnc": ("added", 0, 2, "2.00"),
                "tail-m": ("added", 0, 1, "1.00"),
                "tail-f": ("added", 0, 1, "1.00"),
                "lead-20": ("removed", 1, 0, "-10.00"),
            },
        ),
        (Wish(lack=("sign",)), "-5.50", {"sign": ("removed", 1, 0, "-5.00")}),
        (Wish(have={"sign": 3}), "11.00", {"sign": ("changed", 1, 3, "10.00")}),
        (Wish(values={"policy/require.sign": "none"}), "-5.50",
         {"sign": ("removed", 1, 0, "-5.00")}),
    ],
)  # fmt: skip
def test_differences(
    first: Answer, wish: Wish, difference: str, lines: dict[str, tuple[str, int, int, str]]
) -> None:
    found = asked_if(first, wish)
    assert (found.status, found.before, found.difference) == ("proven", "231.00", difference)
    assert (found.low, found.high) == (difference, difference)
    assert Decimal(found.after or 0) == Decimal("231.00") + Decimal(difference)
    assert rows(found.bills) == lines
    assert adds_up(found.bills)


def test_what_is_changed_is_named(first: Answer) -> None:
    [change] = asked_if(first, Wish(values={"recording/retention": "70"})).changes
    assert (change.requirement, change.asked, change.to) == (
        "recording/retention",
        "7 days",
        "70 days",
    )
    changes = asked_if(first, Wish(lack=("sign",))).changes
    assert [(c.requirement, c.asked, c.to) for c in changes] == [
        ("policy/require.sign", "at least 1 in use", "not asked"),
        ("policy/forbid.sign", "allowed", "forbidden"),
    ]


def test_wanting_a_forbidden_item_lifts_the_ban() -> None:
    policy = {**door.SITE["policy"], "forbid": ["cam-comp"]}
    site, changes = wished(door.asked(policy=policy), door.book(), Wish(have={"cam-comp": 2}))
    assert site.policy.forbid == ()
    assert [(c.requirement, c.to) for c in changes] == [
        ("policy/forbid.cam-comp", "allowed"),
        ("policy/require.cam-comp", "at least 2 in use"),
    ]


def test_doing_without_a_pinned_item_unpins_it() -> None:
    owned = [{"item": "rec-hd", "quantity": 1, "pinned": True}]
    site, changes = wished(door.asked(owned=owned), door.book(), Wish(lack=("rec-hd",)))
    assert site.owned == (Owned(item="rec-hd", quantity=1, pinned=False),)
    assert [c.requirement for c in changes] == ["owned.rec-hd/pinned", "policy/forbid.rec-hd"]


def test_an_item_that_is_not_in_the_kit_is_not_missed(first: Answer) -> None:
    after = what_if(
        door.asked(), door.book(), first, Wish(lack=("rec-comp",)), time.monotonic(), lambda _: None
    )
    assert after.model_copy(update={"what_if": None}) == first
    assert after.what_if is not None
    assert (after.what_if.difference, after.what_if.bills) == (
        "0.00",
        BillDifference(goods="0.00", reductions="0.00", labour="0.00", tax="0.00", total="0.00"),
    )


def test_nothing_left_to_buy(first: Answer) -> None:
    found = asked_if(first, Wish(lack=("cam-hd", "cam-comp")))
    assert (found.status, found.after, found.difference, found.bills) == (
        "unmeetable",
        None,
        None,
        None,
    )


def test_unproven_totals_give_an_interval(first: Answer) -> None:
    # 231.00 proven against 250.00 of which 240.00 are proven: 9.00 to 19.00 more.
    open_end = first.model_copy(
        update={"status": "feasible", "total": "250.00", "lower_bound": "240.00"}
    )
    found = compared(first, open_end, ())
    assert (found.status, found.difference) == ("between", None)
    assert (found.low, found.high) == ("9.00", "19.00")
    back = compared(open_end, first, ())
    assert (back.low, back.high) == ("-19.00", "-9.00")


def test_a_change_that_makes_a_kit_possible(first: Answer) -> None:
    none = first.model_copy(update={"status": "unmeetable", "total": None, "lower_bound": None})
    found = compared(none, first, ())
    assert (found.status, found.before, found.after) == ("proven", None, "231.00")


def test_bills_are_antisymmetric(first: Answer) -> None:
    other = what_if(
        door.asked(),
        door.book(),
        first,
        Wish(lack=("lead-20",)),
        time.monotonic() + 60,
        lambda _: None,
    )
    there = bill_difference(first.design(), other.design())
    back = bill_difference(other.design(), first.design())
    assert Decimal(there.total) == -Decimal(back.total) == Decimal("26.40")
    assert {line.item: Decimal(line.amount) for line in there.lines} == {
        line.item: -Decimal(line.amount) for line in back.lines
    }


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        (Wish(lack=("cam-hdd",)), 'did you mean "cam-hd"?'),
        (Wish(have={"cam-hd": 1}, lack=("cam-hd",)), "cannot be both in the kit and not"),
        (Wish(values={"policy/require.cam-hdd": "3"}), 'did you mean "cam-hd"?'),
        (Wish(values={"recording/retension": "3"}), "recording/retention"),
        (Wish(values={"recording/retention": "soon"}), "recording/retention"),
    ],
)
def test_slips_of_the_pen_are_refused(first: Answer, wish: Wish, words: str) -> None:
    with pytest.raises(InputError, match=words.replace("?", r"\?")):
        asked_if(first, wish)


def test_from_python() -> None:
    found = optimizer.what_if(door.asked(), door.book(), have=["cam-comp"])
    assert found.what_if is not None
    assert (found.total, found.what_if.difference) == ("242.00", "11.00")
    same = optimizer.what_if(door.asked(), door.book())
    assert same.what_if is not None
    assert (same.what_if.changes, same.what_if.difference) == ((), "0.00")
    told = optimizer.explain(door.asked(), door.answer(), door.book())
    assert [w.item for w in told.why] == [line.item for line in told.bill]
    beside = optimizer.alternatives(door.asked(), told, 2, door.book()).alternatives
    assert beside is not None
    assert [v.total for v in beside.ranked] == ["231.00", "242.00"]
    curve = optimizer.steps(door.asked(), "recording/retention", "70", "71", door.book())
    assert [level.total for level in curve.levels] == ["231.00", "242.00"]


def test_a_field_that_is_no_requirement_by_itself_has_its_value_told() -> None:
    floor = rooms.zone(rooms.box(1, 1, 3, 3), "50 px/m")
    plan = rooms.site(rooms.square(6), [floor], [rooms.mount("a", 0, 0)])
    asked = LoadedSite(plan, Source("by hand", plan.model_dump(mode="json"), {}, ""))
    name = f"zones.{floor['id']}/heights"
    _, [change] = wished(asked, rooms.book(), Wish(values={name: "1 to 1.5 m"}))
    assert (change.asked, change.to) == ("1 m to 1.8 m", "1 m to 1.5 m")
