"""More optima derived by hand: network and PoE, sound, steering.

As in ``test_by_hand``: each sum stands beside the figure, and every case runs three times.
"""

from __future__ import annotations

from typing import Any

import pytest

from optimizer.pricebook.schema import Book
from tests.optimality.conftest import Solver
from tests.optimality.plain_kit import (
    ADAPTER,
    PAIR,
    PLAIN,
    RECORDER,
    TWO,
    Row,
    book,
    camera,
    site,
    zone,
)

# Network cameras and PoE

NETWORK = 458_00
"""Two network cameras 160, recorder 150, drive 50, box of category cable 35, four RJ45 at 0.50,
switch 60, its link 1."""


def network_book(**changes: Row) -> Book:
    net_camera = {
        **camera(family="network", price="80.00", poe_class=2, codecs=["H.264"]),
        "feeds": [],
    }
    rows: dict[str, Row] = {
        "eye": net_camera,
        "nvr": {
            **{k: v for k, v in RECORDER.items() if k != "encode_rate"},
            "price": "150.00",
            "inputs": [{"families": ["network"], "count": 4, "picture": "1920x1080"}],
            "ingest": "80 Mbit/s",
        },
        "category": {
            **PAIR,
            "price": "35.00",
            "medium": "category",
            "construction": "category",
            "gauge": "24 AWG",
            "fit": "cat5e",
        },
        "rj45": {
            "kind": "connector",
            "price": "0.50",
            "type": "rj45",
            "fits": ["cat5e"],
            "method": "plug",
        },
        "switch": {
            "kind": "switch",
            "price": "60.00",
            "ports": 4,
            "poe": {"ports": 4, "poe_class": 4, "budget": "60 W"},
        },
        "link": {
            "kind": "lead",
            "price": "1.00",
            "carries": ["data"],
            "length": "1 m",
            "series": "link",
        },
    }
    for name, row in changes.items():
        rows[name] = {**rows.get(name, {}), **row}
    plain = ("cam", "rec", "siamese", "bnc", "male", "female", "supply")
    return book(None, plain, **rows)


@pytest.mark.parametrize(
    ("poe", "ports", "expected"),
    [
        # Class 2 takes 7 W at the source, two of them 14 W. Short of it one camera is fed by an
        # injector (15) through a plain port.
        ({"ports": 4, "poe_class": 2, "budget": "14 W"}, 4, NETWORK),
        ({"ports": 4, "poe_class": 2, "budget": "13.99 W"}, 4, NETWORK + 15_00),
        ({"ports": 1, "poe_class": 2, "budget": "60 W"}, 2, NETWORK + 15_00),
        # A port of class 1 feeds neither: two injectors.
        ({"ports": 4, "poe_class": 1, "budget": "60 W"}, 4, NETWORK + 30_00),
        # One port in all: a second switch 60 with its link 1.
        ({"ports": 1, "poe_class": 2, "budget": "60 W"}, 1, NETWORK + 61_00),
    ],
)
def test_poe_of_a_switch(net: Solver, poe: Row, ports: int, expected: int) -> None:
    injector = {"kind": "injector", "price": "15.00", "poe_class": 3}
    prices = network_book(switch={"poe": poe, "ports": ports}, injector=injector)
    assert net(site(zone("a"), zone("b")), prices) == expected


@pytest.mark.parametrize(
    ("budget", "expected"),
    [
        # A recorder with powered ports costs 40 more and saves switch 60 and link 1.
        ("14 W", NETWORK - 21_00),
        ("13.99 W", NETWORK),
    ],
)
def test_poe_of_a_recorder(net: Solver, budget: str, expected: int) -> None:
    own = {
        **{k: v for k, v in RECORDER.items() if k != "encode_rate"},
        "price": "190.00",
        "inputs": [{"families": ["network"], "count": 4, "picture": "1920x1080"}],
        "ingest": "80 Mbit/s",
        "poe": {"ports": 2, "poe_class": 2, "budget": budget},
    }
    assert net(site(zone("a"), zone("b")), network_book(own=own)) == expected


@pytest.mark.parametrize(
    ("ingest", "expected"),
    [
        # A stream of 1 244 160 bit/s counts as 1245 kbit/s, two as 2490; else a second recorder
        # 150 with its drive 50.
        ("2.49 Mbit/s", NETWORK),
        ("2.489 Mbit/s", NETWORK + 200_00),
    ],
)
def test_ingest(net: Solver, ingest: str, expected: int) -> None:
    assert net(site(zone("a"), zone("b")), network_book(nvr={"ingest": ingest})) == expected


@pytest.mark.parametrize(
    ("run", "allowance", "expected"),
    [
        # 98 m and 1 m at each end: the 100 m of a channel, and the box besides. One camera: half
        # of the cameras and RJ45 less, 81.
        ("98 m", "1 m", NETWORK - 81_00),
        ("98.01 m", "1 m", None),
    ],
)
def test_network_reach(net: Solver, run: str, allowance: str, expected: int | None) -> None:
    asked = site(zone(run=run), assumptions={"end_allowance": allowance})
    assert net(asked, network_book(category={"box": "305 m"})) == expected


@pytest.mark.parametrize(
    ("audio_rate", "expected"),
    [
        # The sound of a camera with a microphone built in travels in its stream: 1245 + 64 kbit/s
        # fit in 1.309 Mbit/s; 64.001 kbit/s count as 65.
        ("64 kbit/s", NETWORK - 81_00),
        ("64.001 kbit/s", None),
    ],
)
def test_sound_in_the_stream(net: Solver, audio_rate: str, expected: int | None) -> None:
    asked = site(zone(), audio={"points": [point()], "bit_rate": audio_rate})
    prices = network_book(eye={"audio": "built_in"}, nvr={"ingest": "1.309 Mbit/s"})
    assert net(asked, prices) == expected


# Sound over its own wires


def point(**what: Any) -> Row:
    return {"id": "p", "zone": "a", "run": "1 m", **what}


def sound_book(**changes: Row) -> Book:
    rows: dict[str, Row] = {
        "rec": {"audio_inputs": 1},
        "mic": {
            "kind": "microphone",
            "price": "20.00",
            "watts": "1.2 W",
            "volts": "10.8 to 13.2 V",
        },
        "sound": {**PAIR, "price": "12.00", "medium": "audio_pair", "fit": "audio"},
        "pair": PAIR,
        "rca": {
            "kind": "connector",
            "price": "0.50",
            "type": "rca",
            "fits": ["audio"],
            "method": "plug",
        },
        "splitter": {"kind": "splitter", "price": "3.00"},
        "adapter": ADAPTER,
    }
    rows["sound"] = {**rows["sound"], "construction": "sound"}
    for name, row in changes.items():
        rows[name] = {**rows.get(name, {}), **row}
    return book(**rows)


@pytest.mark.parametrize(
    ("amps", "power", "mains", "expected"),
    [
        # Camera and microphone on one feed: 7.2 W at the end of 1 m of 18 AWG (0.0419 ohm) leave
        # (12 + sqrt(144 - 28.8 x 0.0419)) / 2 = 11.975 V and draw 601.3 mA, counted as 602.
        # Microphone 20, audio pair 12, two RCA 1, splitter 3; the camera's one male pigtail now
        # ends at the splitter, whose tail is the camera's plug.
        ("0.602 A", "any", False, PLAIN + 36_00),
        # Else a pair of its own: microphone 20, audio pair 12, RCA 1, power pair 10, male pigtail
        # 2, and an output that is free.
        ("0.601 A", "any", False, PLAIN + 45_00),
        ("0.602 A", "room", False, PLAIN + 45_00),
        # Mains at the point: microphone 20, audio pair 12, RCA 1, adapter 12.
        ("0.602 A", "local", True, PLAIN + 45_00),
        ("0.602 A", "local", False, None),
    ],
)
def test_microphone(net: Solver, amps: str, power: str, mains: bool, expected: int | None) -> None:
    asked = site(zone(run="1 m"), audio={"points": [point(power=power, mains=mains)]})
    # A brick would be cheaper than the supply for the plain camera: it gives too little here.
    prices = sound_book(
        supply={"output_amps": amps}, adapter={"output_amps": "0.2 A", "total_amps": "0.2 A"}
    )
    assert net(asked, prices) == expected


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        # 64 kbit/s are 0.6912 GB a day. 70 days: 940.6 GB of pictures count as 941, 48.4 of sound
        # as 49: 990 GB. 71 days: 954.1 as 955 and 49.1 as 50 are 1005: a second drive.
        (70, PLAIN + 36_00),
        (71, PLAIN + 86_00),
    ],
)
def test_storage_of_sound(net: Solver, days: int, expected: int) -> None:
    asked = site(
        zone(run="1 m"), recording={"retention": f"{days} days"}, audio={"points": [point()]}
    )
    assert net(asked, sound_book(adapter={"output_amps": "0.2 A"})) == expected


@pytest.mark.parametrize(
    ("terminals", "expected"),
    [
        # A camera with terminals takes no pigtail after a pair: 2 less. With a microphone on its
        # feed the pair ends in a male pigtail 2 for the splitter, and a female one 3 follows.
        (False, PLAIN + 36_00),
        (True, PLAIN + 39_00),
    ],
)
def test_splitter_ends(net: Solver, terminals: bool, expected: int) -> None:
    plug = "terminals" if terminals else "barrel"
    asked = site(zone(run="1 m"), audio={"points": [point(power="camera")]})
    prices = sound_book(cam={"power_plug": plug}, adapter={"output_amps": "0.2 A"})
    assert net(asked, prices) == expected


@pytest.mark.parametrize(
    ("inputs", "expected"),
    [
        # Two points at the two ends of the room, each on the feed of its camera: 20 + 1 + 3 each,
        # and one box of audio pair 12. With one input a second recorder 200 with its drive 50.
        (2, TWO + 60_00),
        (1, TWO + 310_00),
    ],
)
def test_audio_inputs(net: Solver, inputs: int, expected: int) -> None:
    points = [point(id="p"), point(id="q", zone="b")]
    asked = site(zone("a", run="1 m"), zone("b", run="1 m"), audio={"points": points})
    prices = sound_book(
        rec={"audio_inputs": inputs}, adapter={"output_amps": "0.2 A"}, pair={"price": "99.00"}
    )
    assert net(asked, prices) == expected


# Steering


@pytest.mark.parametrize(
    ("load", "loads", "control", "expected"),
    [
        # Steerable cameras at 300, a box of control pair 15. Half a unit load is 4 eighths, two
        # fill one unit load; 0.51 counts as 5 eighths: a second recorder 200 with its drive 50.
        ("0.5", 1, ["rs485"], TWO + 400_00 + 15_00),
        ("0.51", 1, ["rs485"], TWO + 400_00 + 15_00 + 250_00),
        ("0.51", 2, ["rs485"], TWO + 400_00 + 15_00),
        ("0.5", 1, ["coax"], None),
    ],
)
def test_steering(
    net: Solver, load: str, loads: int, control: list[str], expected: int | None
) -> None:
    steer = {**PAIR, "medium": "control_pair", "construction": "steer", "price": "15.00"}
    prices = book(
        rec={"control": control, "unit_loads": loads},
        dome=camera(price="300.00", steerable=True, control="rs485", unit_load=load),
        steer={k: v for k, v in steer.items() if k != "gauge"},
    )
    zones = [zone("a", steerable=True), zone("b", steerable=True)]
    assert net(site(*zones), prices) == expected


@pytest.mark.parametrize(
    ("pairs", "expected"),
    [
        # Over category cable 35 with two baluns 4 each the video takes a pair, and one is left for
        # control while power takes no more than 2: against combined cable 40 and BNC 2 one more.
        # With 3 pairs of power the control pair 15 is needed; then combined cable is cheaper.
        (2, PLAIN + 200_00 - 42_00 + 43_00),
        (3, PLAIN + 200_00 + 15_00),
    ],
)
def test_steering_in_the_category_cable(net: Solver, pairs: int, expected: int) -> None:
    steer = {**PAIR, "medium": "control_pair", "construction": "steer", "price": "15.00"}
    prices = book(
        rec={"control": ["rs485"]},
        dome=camera(price="300.00", steerable=True, control="rs485"),
        steer=steer,
        category={
            **PAIR,
            "medium": "category",
            "construction": "category",
            "price": "35.00",
            "gauge": "24 AWG",
            "fit": "cat5e",
        },
        balun={
            "kind": "balun",
            "price": "4.00",
            "families": ["hd_coax"],
            "reach": "60 m",
            "power_pairs": pairs,
        },
    )
    assert net(site(zone(steerable=True)), prices) == expected
