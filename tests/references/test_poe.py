"""Power over Ethernet against published class powers and the arithmetic of the worst cable."""

import pytest

from optimizer.engineering import copper, poe

TABLE = [
    # class, type, source W, device W (published list at git.phoenixinquis.net); least source V
    # and loop ohm from memory; P - (P/V)^2 R and least device V by arithmetic.
    (0, 1, 15.4, 12.95, 44, 20, 12.95, 37.0),
    (3, 1, 15.4, 12.95, 44, 20, 12.95, 37.0),
    (1, 1, 4.0, 3.84, 44, 20, 3.835, 42.2),
    (2, 1, 7.0, 6.49, 44, 20, 6.494, 40.8),
    (4, 2, 30, 25.5, 50, 12.5, 25.5, 42.5),
    (5, 3, 45, 40, 50, 6.25, 39.94, 44.4),
    (6, 3, 60, 51, 50, 6.25, 51.0, 42.5),
    (7, 4, 75, 62, 52, 6.25, 62.0, 43.0),
    (8, 4, 90, 71.3, 52, 6.25, 71.28, 41.2),
]


@pytest.mark.parametrize(
    ("cls", "kind", "source", "device", "volts", "loop", "left", "device_volts"), TABLE
)
def test_classes(cls, kind, source, device, volts, loop, left, device_volts):
    row = poe.CLASSES[cls]
    assert (poe.source_watts(cls), poe.device_watts(cls)) == (source, device)
    assert (row.type, row.source_v_min, row.loop_ohm) == (kind, volts, loop)
    # The worst cable leaves the class's device power, to the rounding of the table.
    assert poe.delivered_watts(source, volts, loop) == pytest.approx(left, abs=6e-3)
    assert left == pytest.approx(device, abs=0.07)
    # The device's least voltage: from the stored row and from the cable itself.
    assert row.device_v_min == device_volts
    assert poe.device_voltage(volts, left, loop) == pytest.approx(device_volts, abs=0.05)


def test_every_class_is_in_the_table():
    assert sorted(poe.CLASSES) == sorted(row[0] for row in TABLE)


def test_standard_device_voltages_from_memory():
    # 37, 42.5, 42.5 and 41.1 V for types 1 to 4, from memory: no class falls below its type's.
    least = {1: 37.0, 2: 42.5, 3: 42.5, 4: 41.1}
    for row in poe.CLASSES.values():
        assert row.device_v_min >= least[row.type]


def test_trap_10_type_4_starts_at_52_v_on_four_pairs():
    # 71.3 W come out only with 52 V and 6.25 ohm: 90 - (90/52)^2 x 6.25 = 71.28. With 50 V it
    # would be 90 - 20.25 = 69.75 W, with the two-pair 12.5 ohm 90 - 37.4 = 52.6 W.
    row = poe.CLASSES[8]
    assert (row.source_v_min, row.loop_ohm) == (52, 6.25)
    assert poe.delivered_watts(90, 52, 6.25) == pytest.approx(71.28, abs=5e-3)
    assert poe.delivered_watts(90, 50, 6.25) == pytest.approx(69.75)
    assert poe.delivered_watts(90, 52, 12.5) == pytest.approx(52.6, abs=0.05)
    # Some lists quote 100 W for type 4: the absolute limit, not the class power.
    assert poe.source_watts(8) == 90


def test_type_1_current_from_memory():
    # 350 mA at type 1 (also wiki.mattrude.com): 15.4 W / 44 V = 0.35 A = 12.95 W / 37 V.
    assert poe.source_watts(3) / 44 == pytest.approx(0.350)
    assert copper.current_at_load(44, 12.95, 20) == pytest.approx(0.350)


def test_channel():
    # 90 m fixed and 10 m of cords (wonder.eclipse.co.uk).
    assert poe.CHANNEL_M == 90 + 10


def test_worst_cable_is_within_the_channel():
    # A 100 m category pair loop at its limit is 18.76 ohm at 20 C, within type 1's 20 ohm.
    assert copper.loop_of(copper.CATEGORY_OHM_PER_M, poe.CHANNEL_M) < poe.CLASSES[3].loop_ohm
