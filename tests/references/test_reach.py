"""Cable losses and reach against published figures."""

from fractions import Fraction

import pytest

from optimizer.engineering import reach

FOOT_M = 0.3048


def test_rg59_published_points():
    # ARRL antenna book, chapter 6: 1.79 dB/100 ft at 30 MHz, 4.11 at 150 MHz. The square root
    # scaling predicts 1.79 x sqrt(5) = 4.00 at 150, 2.6 % below the published figure.
    per_100_ft = [reach.coax_loss_db_per_100m("rg59", mhz) * FOOT_M for mhz in (30, 150)]
    assert per_100_ft == pytest.approx([1.79, 4.00], abs=5e-3)
    assert per_100_ft[1] == pytest.approx(4.11, rel=0.03)


def test_rg59_scaled():
    # 2.4 dB/100 m at 5 MHz, 3.4 at 10, 10.7 at 100; 6 dB at 5 MHz after 821 ft = 250 m.
    losses = [reach.coax_loss_db_per_100m("rg59", mhz) for mhz in (5, 10, 100)]
    assert losses == pytest.approx([2.4, 3.4, 10.7], abs=0.05)
    assert 6 / losses[0] * 100 == pytest.approx(250, abs=0.5)
    assert 6 / losses[0] * 100 / FOOT_M == pytest.approx(821, abs=0.5)


@pytest.mark.parametrize(
    ("coax", "mhz", "least", "most"),
    [
        # Typical ranges, all from memory.
        ("rg59", 1, 1.0, 1.3),
        ("rg59", 5, 2.0, 2.5),
        ("rg59", 10, 2.6, 3.4),
        ("rg59", 100, 8, 11),
        ("rg6", 1, 0.7, 0.9),
        ("rg6", 5, 1.5, 1.9),
        ("rg6", 10, 2.0, 2.6),
        ("rg6", 100, 6, 7),
        ("rg11", 1, 0.5, 0.7),
        ("rg11", 5, 1.0, 1.3),
        ("rg11", 10, 1.3, 1.7),
        ("rg11", 100, 4, 5),
    ],
)
def test_typical_ranges_from_memory(coax, mhz, least, most):
    # The anchors stand on the ends of two ranges, hence the hair of slack.
    loss = reach.coax_loss_db_per_100m(coax, mhz)
    assert least - 1e-9 <= loss <= most + 1e-9


def test_composite_reach():
    # 100share.com: RG-59 750 ft = 228.6 m, RG-6 1,200 ft = 365.76 m; whole metres rounded down.
    assert reach.signal_reach_m("composite", "rg59") == int(750 * FOOT_M) == 228
    assert reach.signal_reach_m("composite", "rg6") == int(1200 * FOOT_M) == 365
    # RG-11 1,500 to 2,000 ft, from memory: 457 to 610 m.
    assert 1500 * FOOT_M <= reach.signal_reach_m("composite", "rg11") <= 2000 * FOOT_M


def test_hd_coax_reach_of_the_trade():
    # 250, 350 and 500 m: common practice, no source.
    reaches = [reach.signal_reach_m("hd_coax", coax) for coax in ("rg59", "rg6", "rg11")]
    assert reaches == [250, 350, 500]


def test_twisted_pair_reach():
    # 300 m passive and 900 m active, from memory; within 500 to 8,000 ft (100share.com, 2004).
    assert reach.TWISTED_PAIR_REACH_M == {"passive": 300, "active": 900}
    for metres in reach.TWISTED_PAIR_REACH_M.values():
        assert 500 * FOOT_M <= metres <= 8000 * FOOT_M


def test_control_bus():
    # RS-485 specification sheet (scribd 101931228): 32 unit loads, 1200 m or 4000 ft.
    assert reach.RS485_REACH_M == 1200
    # 4000 ft is 1219 m: the two published figures are 1.6 % apart.
    reach_ft = reach.RS485_REACH_M / FOOT_M
    assert reach_ft == pytest.approx(4000, rel=0.02)
    assert reach.rs485_nodes() == 32
    # A logger manual: 256 with one eighth of a unit load.
    assert reach.rs485_nodes(Fraction(1, 8)) == 256


def test_control_bus_rate():
    # Rate x length no more than about 1e8 (from memory): 83.3 kbit/s at 1200 m, below the
    # published 100 kbit/s; 8.33 Mbit/s at 12 m, below the published top of 35 Mbit/s, which
    # caps it on the shortest bus.
    assert reach.rs485_max_rate(1200) == pytest.approx(83_333, abs=1)
    assert reach.rs485_max_rate(1200) <= 100e3
    assert reach.rs485_max_rate(12) == pytest.approx(8.333e6, rel=1e-3)
    assert reach.rs485_max_rate(1) == 35e6


def test_trap_11_standard_of_the_75_ohm_connector():
    # Titles: IEC 61169-63:2020 (BNC75), IEC 61169-8:2007 (50 ohm); 61169-29 is type 1,0/2,3.
    assert reach.BNC_STANDARDS[75] == "IEC 61169-63"
    assert reach.BNC_STANDARDS[50] == "IEC 61169-8"
    assert "IEC 61169-29" not in reach.BNC_STANDARDS.values()


def test_memory_values_of_the_trade():
    # RG-11 2,000 ft = 609.6 m rounded down to 600 m; 120 ohm at both ends of a control bus.
    assert reach.signal_reach_m("composite", "rg11") == 600
    assert reach.RS485_TERMINATION_OHM == 120
