"""Optima derived by hand: prices, offers, tax, stock, policy, labour.

As in ``test_by_hand``: each sum stands beside the figure, and every case runs three times.
"""

from __future__ import annotations

import pytest

from tests.optimality.conftest import Solver
from tests.optimality.plain_kit import PLAIN, TWO, Row, book, camera, site, zone


@pytest.mark.parametrize(
    ("price", "expected"),
    [
        # Two cameras are needed: 200. Three at 66.66 are 199.98 and bought; at 66.67, 200.01, not.
        ("66.66", TWO - 2),
        ("66.67", TWO),
    ],
)
def test_price_break(net: Solver, price: str, expected: int) -> None:
    breaks = [{"at_least": 3, "price": price}]
    assert net(site(zone("a"), zone("b")), book(cam={"breaks": breaks})) == expected


@pytest.mark.parametrize(
    ("offer", "expected"),
    [
        # 50.01 off for two drives pays for a second drive that nobody needs; 49.99 does not.
        ({"off": "50.01", "when": [{"items": ["disk"], "at_least": 2}]}, PLAIN - 1),
        ({"off": "49.99", "when": [{"items": ["disk"], "at_least": 2}]}, PLAIN),
        # 12.5 % of the camera 100 and of each BNC 1: 12.50 and 0.12 (0.125 rounded down) twice.
        (
            {
                "percent": "12.5 %",
                "on": ["cam", "bnc"],
                "when": [{"items": ["cam"], "at_least": 1}],
            },
            PLAIN - 12_74,
        ),
        # At most two pieces, the dearest first: 12.50 and 0.12.
        (
            {
                "percent": "12.5 %",
                "on": ["bnc", "cam"],
                "most": 2,
                "when": [{"items": ["cam"], "at_least": 1}],
            },
            PLAIN - 12_62,
        ),
        # Two conditions: a recorder and two cameras; a second camera for 100 saves 90.
        (
            {
                "off": "90.00",
                "when": [{"items": ["rec"], "at_least": 1}, {"items": ["cam"], "at_least": 2}],
            },
            PLAIN,
        ),
        (
            {
                "off": "110.00",
                "when": [{"items": ["rec"], "at_least": 1}, {"items": ["cam"], "at_least": 2}],
            },
            PLAIN - 10_00,
        ),
        # More than everything costs: the goods cost nothing.
        ({"off": "999.00", "when": [{"items": ["rec"], "at_least": 1}]}, 0),
    ],
)
def test_offers(net: Solver, offer: Row, expected: int) -> None:
    assert net(site(), book([{"id": "o", "name": "o", **offer}])) == expected


@pytest.mark.parametrize(
    ("budget", "with_tax", "met"),
    [
        # BNC at 1.02: net 424.04. 12.5 % tax is 53.005, rounded half up to 53.01: total 477.05.
        ("477.05", True, True),
        ("477.04", True, False),
        ("424.04", False, True),
        ("424.03", False, False),
    ],
)
def test_tax_and_budget(net: Solver, budget: str, with_tax: bool, met: bool) -> None:
    terms = {"tax": "12.5 %", "budget": budget, "budget_includes_tax": with_tax}
    expected = 424_04 if met else None
    assert net(site(money=terms), book(bnc={"price": "1.02"})) == expected


@pytest.mark.parametrize(
    ("pack", "price", "owned", "expected"),
    [
        # Two BNC: a pack of 10 at 3.00 in place of 2.00.
        (10, "3.00", 0, PLAIN + 1_00),
        # One owned piece leaves one to buy, which is a pack; two leave none.
        (10, "3.00", 1, PLAIN + 1_00),
        (10, "3.00", 2, PLAIN - 2_00),
        # Single pieces: one owned, one bought.
        (1, "3.00", 1, PLAIN + 1_00),
    ],
)
def test_packs_and_stock(net: Solver, pack: int, price: str, owned: int, expected: int) -> None:
    stock = [{"item": "bnc", "quantity": owned}] if owned else []
    assert net(site(owned=stock), book(bnc={"pack": pack, "price": price})) == expected


@pytest.mark.parametrize(
    ("pinned", "expected"),
    [
        # An owned drive of 250 GB holds the 135 GB asked and saves 50. Two that are pinned are
        # both put in.
        ({"item": "small", "quantity": 1}, PLAIN - 50_00),
        ({"item": "small", "quantity": 2, "pinned": True}, PLAIN - 50_00),
        # Five do not fit in four bays, and a second recorder would have no camera.
        ({"item": "small", "quantity": 5, "pinned": True}, None),
        # A dear camera that is owned is free. One that sees nothing at 50 lx cannot be used.
        ({"item": "dear", "quantity": 1, "pinned": True}, PLAIN - 100_00),
        ({"item": "blind", "quantity": 1, "pinned": True}, None),
    ],
)
def test_owned(net: Solver, pinned: Row, expected: int | None) -> None:
    prices = book(
        small={"kind": "drive", "capacity": "250 GB", "price": "60.00"},
        dear=camera(price="500.00"),
        blind=camera(price="5.00", lux_colour="100 lx"),
    )
    assert net(site(owned=[pinned]), prices) == expected


@pytest.mark.parametrize(
    ("policy", "expected"),
    [
        ({"require": [{"item": "sign", "quantity": 2}]}, PLAIN + 14_00),
        ({"require": [{"item": "disk", "quantity": 2}]}, PLAIN + 50_00),
        ({"require": [{"item": "supply", "quantity": 2}]}, None),
        ({"forbid": ["supply"]}, None),
        ({"forbid": ["female"]}, PLAIN),
        # The tool serves the crimped BNC only: 0.60 dearer for two, and the tool 9.
        ({"connectors": {"bnc": ["crimp"]}}, PLAIN + 9_60),
        ({"require": [{"item": "press", "quantity": 1}]}, PLAIN + 9_30),
    ],
)
def test_policy(net: Solver, policy: Row, expected: int | None) -> None:
    prices = book(
        sign={"kind": "extra", "price": "7.00"},
        crimped={
            "kind": "connector",
            "price": "1.30",
            "type": "bnc",
            "fits": ["rg59"],
            "method": "crimp",
            "tool": "press",
        },
        press={"kind": "tool", "price": "9.00", "types": ["press"]},
    )
    # A required tool needs one connector that it fits: one crimped (1.30), one twisted on (1.00).
    assert net(site(policy=policy), prices) == expected


# Labour


@pytest.mark.parametrize(
    ("tool", "expected"),
    [
        # At 60 an hour: pulling 0.5 min/m x 20 m = 10.00. Two twisted on, 3 min each: 2 x (1 + 3)
        # = 8.00. Two crimped, 1 min each: 2 x (0.20 + 1) = 2.40 and the tool.
        ("5.59", PLAIN - 2_00 + 10_00 + 7_99),
        ("5.61", PLAIN - 2_00 + 10_00 + 8_00),
    ],
)
def test_labour_decides(net: Solver, tool: str, expected: int) -> None:
    prices = book(
        bnc={"minutes": "3 min"},
        crimped={
            "kind": "connector",
            "price": "0.20",
            "type": "bnc",
            "fits": ["rg59"],
            "method": "crimp",
            "tool": "press",
            "minutes": "1 min",
        },
        press={"kind": "tool", "price": tool, "types": ["press"]},
    )
    asked = site(policy={"labour": {"rate": "60.00", "pulling": "0.5 min/m"}})
    assert net(asked, prices) == expected


def test_labour_rounds_up_for_each_piece(net: Solver) -> None:
    # At 61.37 an hour: pulling 0.33 min/m x 20 m = 6.6 min are 6.7507, so 6.76. A connector of
    # 3 min is 3.0685, so 3.07 each; the pigtail of 1 min 1.0228, so 1.03.
    prices = book(bnc={"minutes": "3 min"}, male={"minutes": "1 min"})
    asked = site(policy={"labour": {"rate": "61.37", "pulling": "0.33 min/m"}})
    assert net(asked, prices) == PLAIN + 6_76 + 2 * 3_07 + 1_03
