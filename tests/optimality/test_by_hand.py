"""Optima derived by hand: each sum stands beside the figure, none was read off a program.

Every case runs three times: by the second opinion, by trying everything, and by the program with
its audit. Most come in pairs, just met and just missed, where the step moves the optimum.
"""

from __future__ import annotations

import pytest

from tests.optimality.conftest import Solver
from tests.optimality.plain_kit import (
    ADAPTER,
    PAIR,
    PLAIN,
    RECORDER,
    SUPPLY,
    TWO,
    book,
    camera,
    site,
    zone,
)


def test_the_plain_kit(net: Solver) -> None:
    # 100 camera + 200 recorder + 50 drive + 40 box + 2 x 1 BNC + 2 pigtail + 30 supply
    assert net(site(), book()) == PLAIN == 100_00 + 200_00 + 50_00 + 40_00 + 2_00 + 2_00 + 30_00
    # A second zone: a camera 100, two BNC 2, a pigtail 2; its 20 m come from the same box.
    assert net(site(zone("a"), zone("b")), book()) == TWO == PLAIN + 104_00


# Coverage and optics


@pytest.mark.parametrize(
    ("detail", "distance", "expected"),
    [
        # 1920 x 4 / (4.8 x 10) = 160 px/m exactly; beyond it the long lens, 30 more. That one
        # sets min(8, 4.8 x 10 / 5 = 9.6) = 8 mm and shows 320 px/m.
        ("160 px/m", "10 m", PLAIN),
        ("160.001 px/m", "10 m", PLAIN + 30_00),
        ("320 px/m", "10 m", PLAIN + 30_00),
        ("320.001 px/m", "10 m", None),
        # "identify" is 250 px/m: 1920 x 4 / (4.8 x 6.4) = 250 exactly, so up to 6.4 m.
        ("identify", "6.4 m", PLAIN),
        ("identify", "6.41 m", PLAIN + 30_00),
    ],
)
def test_detail(net: Solver, detail: str, distance: str, expected: int | None) -> None:
    wanted = zone(detail=detail, distance=distance)
    assert net(site(wanted), book(long=camera(price="130.00", focal="4 to 8 mm"))) == expected


@pytest.mark.parametrize(
    ("width", "most", "expected"),
    [
        # At 10 m the 4 mm lens shows 4.8 x 10 / 4 = 12 m: one camera, or two side by side.
        ("12 m", 2, PLAIN),
        ("12.01 m", 2, TWO),
        ("12.01 m", 1, None),
        ("24 m", 2, TWO),
        ("24.01 m", 2, None),
    ],
)
def test_split_views(net: Solver, width: str, most: int, expected: int | None) -> None:
    assert net(site(zone(width=width, most_cameras=most)), book()) == expected


@pytest.mark.parametrize(
    ("picture", "expected"),
    [
        # The recorder keeps 1200 px: 1200 x 4 / (4.8 x 10) = 100 px/m, as asked. At 1199 px it
        # is 99.9: the other recorder, 45 dearer, keeps all 1920.
        ("1200x1080", PLAIN),
        ("1199x1080", PLAIN + 45_00),
    ],
)
def test_recorded_picture(net: Solver, picture: str, expected: int) -> None:
    small = {"inputs": [{"families": ["hd_coax"], "count": 4, "picture": picture}]}
    full = {**RECORDER, "price": "245.00"}
    assert net(site(), book(rec=small, full=full)) == expected


@pytest.mark.parametrize(
    ("most", "expected"),
    [
        # Zone b needs 200 px/m: the long lens (130). With one model both zones take it.
        (2, TWO + 30_00),
        (1, TWO + 60_00),
    ],
)
def test_camera_models(net: Solver, most: int, expected: int) -> None:
    asked = site(zone("a"), zone("b", detail="200 px/m"), policy={"most_camera_models": most})
    assert net(asked, book(long=camera(price="130.00", focal="8 mm"))) == expected


# Light


@pytest.mark.parametrize(
    ("night", "distance", "expected"),
    [
        # The plain camera needs 0.5 lx; one with a lamp of 10 m costs 20 more, of 30 m 50 more.
        ("0.5 lx", "10 m", PLAIN),
        ("0.49 lx", "10 m", PLAIN + 20_00),
        ("dark", "10 m", PLAIN + 20_00),
        ("dark", "10.01 m", PLAIN + 50_00),
    ],
)
def test_light(net: Solver, night: str, distance: str, expected: int) -> None:
    prices = book(
        near=camera(price="120.00", infrared="10 m"), far=camera(price="150.00", infrared="30 m")
    )
    assert net(site(zone(night=night, distance=distance)), prices) == expected


# Recording


@pytest.mark.parametrize(
    ("days", "failures", "arrays", "expected"),
    [
        # 74 days: 13.436928 x 74 = 994.3, so 995 GB on one drive of 1000 GB. 75 days: 1007.8, so
        # 1008 GB on two.
        (74, 0, [], PLAIN),
        (75, 0, [], PLAIN + 50_00),
        # Mirrored: one pair, then two pairs (4 drives), where array 5 would do with 3.
        (74, 1, ["mirror"], PLAIN + 50_00),
        (75, 1, ["mirror"], PLAIN + 150_00),
        (75, 1, ["mirror", "5"], PLAIN + 100_00),
        # Two failures: array 6 of 4 drives holds 2000 GB; 148 days are 1988.7 GB, 149 days
        # 2002.1 GB, and there is no fifth bay.
        (148, 2, ["6", "5"], PLAIN + 150_00),
        (149, 2, ["6", "5"], None),
    ],
)
def test_storage(
    net: Solver, days: int, failures: int, arrays: list[str], expected: int | None
) -> None:
    asked = site(recording={"retention": f"{days} days", "drive_failures": failures})
    assert net(asked, book(rec={"arrays": arrays})) == expected


@pytest.mark.parametrize(
    ("rate", "expected"),
    [
        # Two cameras need 2 x 20 736 = 41 472 kpx/s; else a second recorder and its drive, 250.
        ("41.472 Mpx/s", TWO),
        ("41.471 Mpx/s", TWO + 250_00),
    ],
)
def test_encode_rate(net: Solver, rate: str, expected: int) -> None:
    assert net(site(zone("a"), zone("b")), book(rec={"encode_rate": rate})) == expected


@pytest.mark.parametrize(
    ("spare", "expected"),
    [
        # 4 channels less 1 camera leave 3. A fourth needs the 8-channel recorder, 60 dearer: a
        # second small one would have no camera.
        (3, PLAIN),
        (4, PLAIN + 60_00),
        (7, PLAIN + 60_00),
        (8, None),
    ],
)
def test_spare_channels(net: Solver, spare: int, expected: int | None) -> None:
    inputs = [{"families": ["hd_coax"], "count": 8, "picture": "1920x1080"}]
    prices = book(large={**RECORDER, "inputs": inputs, "price": "260.00"})
    assert net(site(spare={"channels": spare}), prices) == expected


@pytest.mark.parametrize(
    ("days", "bay", "expected"),
    [
        # A writer costs 15. In a drive bay it leaves 1 of 2 bays: 1000 GB, or 75 days no more.
        (74, "own_bay", PLAIN + 15_00),
        (75, "own_bay", PLAIN + 65_00),
        (74, "drive_bay", PLAIN + 15_00),
        (75, "drive_bay", None),
    ],
)
def test_optical_writer(net: Solver, days: int, bay: str, expected: int | None) -> None:
    asked = site(recording={"retention": f"{days} days", "export": ["optical"]})
    prices = book(
        rec={"optical": bay, "bays": 2}, writer={"kind": "optical_writer", "price": "15.00"}
    )
    assert net(asked, prices) == expected


# Cabling


@pytest.mark.parametrize(
    ("run", "expected"),
    [
        # With 1 m at each end the cuts are 62 m and 38 m: one box of 100 m to the centimetre.
        ("36 m", TWO),
        ("36.01 m", TWO + 40_00),
    ],
)
def test_cutting(net: Solver, run: str, expected: int) -> None:
    asked = site(
        zone("a", run="60 m"),
        zone("b", run=run),
        assumptions={"end_allowance": "1 m"},
    )
    # 62 m of 18 AWG would drop too much at 6 W (see the drop below), so these draw 3 W.
    feeds = [{"feed": "12 V DC", "watts": "3 W", "volts": "10.8 to 13.2 V"}]
    assert net(asked, book(cam={"feeds": feeds})) == expected


@pytest.mark.parametrize(
    ("run", "joints", "coupler", "expected"),
    [
        # Two joined leads of 15.24 m (20), a coupler 1.50 and a male pigtail 2 at the screw
        # terminals, in place of box 40, two BNC 2 and pigtail 2: 20.50 less.
        ("30.48 m", 1, "joint", PLAIN - 20_50),
        ("30.49 m", 1, "joint", PLAIN),
        ("30.48 m", 1, None, PLAIN - 22_00),
        ("30.48 m", 0, "joint", PLAIN),
        # Three leads, two couplers: 30 + 3 + 2 against 44.
        ("30.49 m", 2, "joint", PLAIN - 9_00),
    ],
)
def test_joined_leads(
    net: Solver, run: str, joints: int, coupler: str | None, expected: int
) -> None:
    lead = {
        "kind": "lead",
        "price": "10.00",
        "carries": ["video", "power"],
        "length": "50 ft",
        "series": "ready",
        "joinable": True,
        "gauge": "18 AWG",
        "fit": "rg59",
    }
    if coupler is not None:
        lead["coupler"] = coupler
    prices = book(lead=lead, joint={"kind": "coupler", "type": "joint", "price": "1.50"})
    assert net(site(zone(run=run), policy={"most_joints": joints}), prices) == expected


@pytest.mark.parametrize(
    ("length", "expected"),
    [
        # Existing category cable with two baluns (4 each) in place of box 40 and two BNC 2: 34
        # less. 24 AWG has 84.22 ohm/km at 20 C; over 2 of its pairs in parallel the loop is
        # 2 x 84.22 / 2 = 84.22 ohm/km. 6 W at 10.8 V are 0.5556 A, and 1.2 V are lost at
        # 2.16 ohm: 25.65 m.
        ("25.6 m", PLAIN - 34_00),
        # Beyond it a power pair of its own (box 10).
        ("25.7 m", PLAIN - 24_00),
        # The picture itself goes 60 m; past that the new cable.
        ("60 m", PLAIN - 24_00),
        ("60.01 m", PLAIN),
    ],
)
def test_baluns_on_existing_cable(net: Solver, length: str, expected: int) -> None:
    old = {"medium": "category", "length": length, "gauge": "24 AWG", "fit": "cat5e"}
    balun = {
        "kind": "balun",
        "price": "4.00",
        "families": ["hd_coax"],
        "reach": "60 m",
        "power_pairs": 2,
    }
    assert net(site(zone(existing=[old])), book(balun=balun, pair=PAIR)) == expected


@pytest.mark.parametrize(
    ("length", "watts", "mains", "expected"),
    [
        # Baluns that draw nothing leave mains at the camera: adapter 12 in place of supply 30 and
        # male pigtail 2, baluns 8 in place of box 40 and two BNC 2.
        ("23.3 m", "0 W", True, PLAIN - 54_00),
        # 6.6 W at 10.8 V are 0.6111 A, and 1.2 V are lost at 1.9636 ohm: at 84.22 ohm/km 23.316 m.
        ("23.3 m", "0.6 W", True, PLAIN - 34_00),
        # Beyond it neither the adapter nor a pair of its own would bring the balun its power.
        ("23.4 m", "0.6 W", True, PLAIN),
        ("23.4 m", "0.6 W", False, PLAIN),
        ("23.4 m", "0 W", False, PLAIN - 34_00),
    ],
)
def test_powered_baluns(net: Solver, length: str, watts: str, mains: bool, expected: int) -> None:
    old = {"medium": "category", "length": length, "gauge": "24 AWG", "fit": "cat5e"}
    balun = {
        "kind": "balun",
        "price": "4.00",
        "families": ["hd_coax"],
        "reach": "60 m",
        "power_pairs": 2,
        "watts": watts,
    }
    asked = site(zone(existing=[old], mains=mains))
    assert net(asked, book(balun=balun, pair=PAIR, adapter=ADAPTER)) == expected


# Power


@pytest.mark.parametrize(
    ("run", "expected"),
    [
        # 18 AWG has 6.385 ohm/1000 ft = 20.95 ohm/km at 20 C. 6 W at 10.8 V are 0.5556 A; 1.2 V
        # are lost at a loop of 2.16 ohm, 51.56 m. Beyond it the 13 V supply, 15 dearer.
        ("51.5 m", PLAIN),
        ("51.6 m", PLAIN + 15_00),
        # From 13 V 2.2 V may be lost: 3.96 ohm, 94.5 m.
        ("94.4 m", PLAIN + 15_00),
        ("94.6 m", None),
    ],
)
def test_voltage_drop(net: Solver, run: str, expected: int | None) -> None:
    strong = {**SUPPLY, "price": "45.00", "volts": "13 V"}
    assert net(site(zone(run=run)), book(strong=strong)) == expected


@pytest.mark.parametrize(
    ("total", "outputs", "spare", "expected"),
    [
        # At the end of 1 m of 18 AWG (0.0419 ohm) 6 W leave (12 + sqrt(144 - 24 x 0.0419)) / 2
        # = 11.979 V and draw 500.9 mA, counted as 501: two draw 1002 mA.
        ("1.002 A", 4, "0 %", TWO),
        ("1.001 A", 4, "0 %", TWO + 30_00),
        ("4 A", 1, "0 %", TWO + 30_00),
        # With 20 % kept free, 1.2525 A leave 1.002 A and 1.252 A leave 1.0016, counted as 1.001.
        ("1.2525 A", 4, "20 %", TWO),
        ("1.252 A", 4, "20 %", TWO + 30_00),
    ],
)
def test_supply_current(net: Solver, total: str, outputs: int, spare: str, expected: int) -> None:
    asked = site(zone("a", run="1 m"), zone("b", run="1 m"), spare={"supply": spare})
    assert net(asked, book(supply={"total_amps": total, "outputs": outputs})) == expected


@pytest.mark.parametrize(
    ("watts", "mains", "expected"),
    [
        # Mains at the camera: coax alone (box 20, BNC 2) and an adapter 12 are 34, against 74 for
        # box, BNC, pigtail and supply. 6 W at 12 V are 500 mA, all that the adapter gives.
        ("6 W", True, PLAIN - 40_00),
        # 6.001 W are 500.1 mA, counted as 501. Coax 20 and a pair of its own 12 with BNC 2, male
        # pigtail 2 and supply 30 make 66.
        ("6.001 W", True, PLAIN - 8_00),
        # In the room the adapter would feed 20 m of pair, where 6 W draw more than 500 mA.
        ("6 W", False, PLAIN - 8_00),
        # 20 m of 16 AWG (13.18 ohm/km) are 0.527 ohm; 5 W leave 11.776 V and draw 425 mA there:
        # adapter 12 and a female pigtail 3 for its barrel in place of the supply 30.
        ("5 W", False, PLAIN - 23_00),
    ],
)
def test_adapter(net: Solver, watts: str, mains: bool, expected: int) -> None:
    coax = {
        "kind": "cable",
        "price": "20.00",
        "medium": "coax",
        "construction": "coax",
        "box": "100 m",
        "fit": "rg59",
    }
    feeds = [{"feed": "12 V DC", "watts": watts, "volts": "10.8 to 13.2 V"}]
    pair = {**PAIR, "price": "12.00"}
    prices = book(cam={"feeds": feeds}, coax=coax, adapter=ADAPTER, pair=pair)
    assert net(site(zone(mains=mains)), prices) == expected
