"""Switches and injectors: what a cheaper one could not power.

Two cameras of class 3 hang on the switch: a port must give 15.4 W for each (IEEE 802.3, class 3),
30.8 W together. The third, on the injector, is of class 4: 30 W.
"""

from __future__ import annotations

from typing import Any

import pytest

from optimizer.design import FedFrom, PowerUnit
from optimizer.explaining.why_kit import Kit
from optimizer.explaining.why_power import injector_verdicts, switch_verdicts
from optimizer.pricebook.schema import Injector, Switch
from tests.unit.explaining.why_cases import book, like
from tests.unit.reporting import handmade

NET = like("cam-dome", "cam-net", "90.00", family="network", codecs=["H.264"], poe_class=3)
NET4 = like("cam-dome", "cam-net-4", "95.00", family="network", codecs=["H.264"], poe_class=4)
SWITCH: dict[str, Any] = {
    "id": "sw",
    "kind": "switch",
    "name": "switch",
    "price": "50.00",
    "ports": 4,
    "poe": {"ports": 4, "poe_class": 4, "budget": "62 W"},
}
INJECTOR = {"id": "inj", "kind": "injector", "name": "injector", "price": "20.00", "poe_class": 4}


def kit(*rows: dict[str, Any], plain: bool = False) -> Kit:
    """Two cameras on a switch, fed by it unless plain, and one on an injector."""
    own = FedFrom(way="local", unit="supply-2")
    fed = FedFrom(way="poe", unit="switch-1", output=1)
    cameras = [
        handmade.camera(
            "gate",
            number,
            "cam-net",
            number,
            focal_mm=8.75,
            view_angle_deg=35.5,
            px_per_m=250.0,
            path="D1",
            runs=(),
            power=own if plain else fed,
            data_port="switch-1" if plain else None,
        )
        for number in (1, 2)
    ]
    injected = handmade.CAMERAS[0].model_copy(
        update={"item": "cam-net-4", "power": FedFrom(way="poe", unit="injector-1", output=1)}
    )
    design = handmade.DESIGN.model_copy(
        update={
            "cameras": (*cameras, injected),
            "switches": (
                PowerUnit(
                    id="switch-1", item="sw", outputs_used=2, outputs=4, load=3080, limit=6200
                ),
            ),
            "injectors": (
                PowerUnit(
                    id="injector-1", item="inj", outputs_used=1, outputs=1, load=3000, limit=3000
                ),
            ),
        }
    )
    return Kit(handmade.SITE, book(NET, NET4, SWITCH, INJECTOR, *rows), design)


@pytest.mark.parametrize(
    ("fields", "limit"),
    [
        ({"ports": 1, "poe": None}, "it has 1 port for 2 cameras"),
        ({"poe": None}, "it powers no cameras, 2 are fed from here"),
        (
            {"poe": {"ports": 1, "poe_class": 4, "budget": "62 W"}},
            "it has 1 powered port for 2 cameras",
        ),
        (
            {"poe": {"ports": 4, "poe_class": 2, "budget": "62 W"}},
            "a port gives 7 W, 15.4 W are needed",
        ),
        (
            {"poe": {"ports": 4, "poe_class": 4, "budget": "30 W"}},
            "it gives 30 W in all, 30.8 W are needed",
        ),
        ({}, ""),
    ],
)
def test_switches(fields: dict[str, Any], limit: str) -> None:
    one = kit({**SWITCH, "id": "other", "price": "40.00", **fields})
    item = one.book.items["sw"]
    assert isinstance(item, Switch)
    [verdict] = switch_verdicts(one, item)
    assert (verdict.item, verdict.place, verdict.limit) == ("other", "switch-1", limit)


def test_a_switch_that_only_connects_needs_no_power() -> None:
    one = kit({**SWITCH, "id": "other", "price": "40.00", "poe": None}, plain=True)
    item = one.book.items["sw"]
    assert isinstance(item, Switch)
    [verdict] = switch_verdicts(one, item)
    assert verdict.limit == ""


@pytest.mark.parametrize(("poe_class", "limit"), [(3, "it gives 15.4 W, 30 W are needed"), (4, "")])
def test_injectors(poe_class: int, limit: str) -> None:
    one = kit({**INJECTOR, "id": "other", "price": "15.00", "poe_class": poe_class})
    item = one.book.items["inj"]
    assert isinstance(item, Injector)
    [verdict] = injector_verdicts(one, item)
    assert (verdict.place, verdict.limit) == ("till/1", limit)
