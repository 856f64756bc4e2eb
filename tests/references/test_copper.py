"""Copper tables and voltage drop against published figures, SciPy and a load-flow program."""

import pandapower as pp
import pytest
from scipy.optimize import brentq

from optimizer.engineering import copper

KFT_M = 304.8


def test_gauge_ladder():
    # ASTM B258: 36 AWG is 0.005 in, 4/0 is 0.46 in, each step 1.1229322 (liquisearch.com).
    assert copper.awg_diameter_mm(36) == pytest.approx(0.127)
    assert copper.awg_diameter_mm(-3) == pytest.approx(0.46 * 25.4)
    ratio = copper.awg_diameter_mm(18) / copper.awg_diameter_mm(19)
    assert ratio == pytest.approx(1.1229322, abs=5e-8)


@pytest.mark.parametrize(
    ("awg", "ohm_kft", "ohm_km"),
    [
        # Copper wire tables at 20 C (4 digits through one secondary table, two decimals at
        # wp.1728.org; NBS Handbook 100 itself not seen).
        (16, 4.016, 13.18),
        (18, 6.385, 20.95),
        (20, 10.15, 33.30),
        (22, 16.14, 52.95),
        (23, 20.36, 66.80),
        (24, 25.67, 84.22),
    ],
)
def test_wire_table_at_20_c(awg, ohm_kft, ohm_km):
    # Formula and table agree within about 0.02 % (10.152 against 10.15 is 0.023 %); the kilometre
    # column is rounded to 0.01 besides.
    assert copper.resistance_per_m(awg) * KFT_M == pytest.approx(ohm_kft, rel=2.5e-4)
    ohm_per_km = copper.resistance_per_m(awg) * 1000
    assert ohm_per_km == pytest.approx(ohm_km, abs=2.5e-4 * ohm_km + 5e-3)


@pytest.mark.parametrize(
    # NEC chapter 9 table 8, solid uncoated copper at 75 C (sfasoft.com), three digits.
    ("awg", "ohm_kft"),
    [(18, 7.77), (16, 4.89), (14, 3.07), (12, 1.93)],
)
def test_code_table_at_75_c(awg, ohm_kft):
    # 16 AWG: 4.016 x 1.21615 = 4.884, 0.006 below the published 4.89; the others round to it.
    assert copper.resistance_per_m(awg, 75) * KFT_M == pytest.approx(ohm_kft, abs=7e-3)


@pytest.mark.parametrize(
    # 1 + 0.00393 (t - 20)
    ("celsius", "factor"),
    [(20, 1), (25, 1.0197), (40, 1.0786), (50, 1.1179), (60, 1.1572), (75, 1.21615)],
)
def test_temperature_factors(celsius, factor):
    assert copper.temperature_factor(celsius) == pytest.approx(factor, abs=6e-5)


def test_trap_6_temperature_matters():
    # 75 C has 21.6 % more than 20 C: 6.385 becomes 7.765.
    hot = copper.resistance_per_m(18, 75)
    assert hot / copper.resistance_per_m(18) - 1 == pytest.approx(0.216, abs=5e-4)
    assert hot * KFT_M == pytest.approx(7.765, abs=2e-3)


def test_trap_7_loop_is_twice_the_run():
    # 12 V, 0.5 A, 100 ft of 18 AWG at 20 C: 2 x 100 ft x 6.385 ohm/kft x 0.5 A = 0.6385 V.
    loop = copper.loop_resistance(18, 30.48, 20)
    assert loop == pytest.approx(1.277, abs=5e-4)
    assert 12 - copper.voltage_at_current(12, 0.5, loop) == pytest.approx(0.6385, abs=2e-4)


def test_category_cable_loops():
    # 9.38 ohm/100 m (TIA-568.2-D, secondary): pair 18.76, two pairs 9.38, four pairs 4.69. With
    # k pairs shared out, each leg has k conductors.
    loops = [copper.loop_of(copper.CATEGORY_OHM_PER_M, 100, legs) for legs in (1, 2, 4)]
    assert loops == pytest.approx([18.76, 9.38, 4.69])


def test_worked_example_16_awg():
    # electrician2.com: 24 V, 4 A, 100 ft at 4.99 ohm/kft (7-strand): 3.992 V, 16.7 % with 4.0 V.
    loop = copper.loop_of(4.99 / KFT_M, 30.48)
    volts = copper.voltage_at_current(24, 4, loop)
    assert 24 - volts == pytest.approx(3.992, abs=5e-4)
    assert copper.drop_percent(24, volts) == pytest.approx(16.7, abs=0.1)


@pytest.mark.parametrize(
    # tradelicenseprep.com: 120 V, 20 A, 100 ft, K 12.9 ohm cmil/ft. 12 AWG has 6530 cmil
    # (7.9 V, 6.6 %); 8 AWG has 16510 cmil (3.1 V, 2.6 %).
    ("cmil", "drop", "percent"),
    [(6530, 7.9, 6.6), (16510, 3.1, 2.6)],
)
def test_worked_example_by_circular_mils(cmil, drop, percent):
    loop = copper.loop_of(12.9 / cmil / 0.3048, 30.48)
    volts = copper.voltage_at_current(120, 20, loop)
    assert 120 - volts == pytest.approx(drop, abs=0.05)
    assert copper.drop_percent(120, volts) == pytest.approx(percent, abs=0.05)


def test_computed_example_24_v():
    # 24 V, 1 A, 300 ft of 16 AWG at 20 C: 0.6 kft x 4.016 = 2.410 V, 10.04 %.
    loop = copper.loop_resistance(16, 91.44, 20)
    volts = copper.voltage_at_current(24, 1, loop)
    assert 24 - volts == pytest.approx(2.410, abs=1e-3)
    assert copper.drop_percent(24, volts) == pytest.approx(10.04, abs=5e-3)


def test_trap_8_constant_power_drops_more_and_collapses():
    # 12 V, 200 ft of 18 AWG (2.554 ohm loop), 6 W: (12 + sqrt(144 - 61.296)) / 2 = 10.547 V;
    # 0.5 A would give 10.723 V; collapse above 144 / (4 x 2.554) = 14.1 W.
    assert copper.loop_resistance(18, 60.96, 20) == pytest.approx(2.554, abs=5e-4)
    assert copper.voltage_at_load(12, 6, 2.554) == pytest.approx(10.547, abs=5e-4)
    assert copper.voltage_at_current(12, 0.5, 2.554) == pytest.approx(10.723, abs=5e-4)
    assert copper.collapse_power(12, 2.554) == pytest.approx(14.1, abs=0.05)
    assert copper.voltage_at_load(12, 14.0, 2.554) is not None
    assert copper.voltage_at_load(12, 14.2, 2.554) is None


CASES = [(12, 6, 2.554), (12, 3.5, 5.1), (24, 20, 3.0), (13.8, 0.5, 20.0), (48, 60, 6.25)]


@pytest.mark.parametrize(("supply", "watts", "loop"), CASES)
def test_constant_power_against_scipy(supply, watts, loop):
    # The current that draws exactly `watts`, sought between nothing and the collapse current.
    amps = brentq(lambda i: (supply - i * loop) * i - watts, 0, supply / (2 * loop), xtol=1e-14)
    assert copper.current_at_load(supply, watts, loop) == pytest.approx(amps, rel=1e-9)
    assert copper.voltage_at_load(supply, watts, loop) == pytest.approx(supply - amps * loop)


@pytest.mark.parametrize(("supply", "watts", "loop"), CASES)
def test_constant_power_against_load_flow(supply, watts, loop):
    # An AC load flow with next to no reactance and the supply as its base voltage. Line-to-line
    # voltage with three-phase power obeys the same equation as the DC loop. 1e-12 MVA is 1 uW.
    net = pp.create_empty_network(sn_mva=1e-6)
    start = pp.create_bus(net, vn_kv=supply / 1000)
    end = pp.create_bus(net, vn_kv=supply / 1000)
    pp.create_ext_grid(net, start, vm_pu=1.0)
    pp.create_line_from_parameters(
        net,
        start,
        end,
        length_km=1,
        r_ohm_per_km=loop,
        x_ohm_per_km=1e-9,
        c_nf_per_km=0,
        max_i_ka=1,
    )
    pp.create_load(net, end, p_mw=watts / 1e6, q_mvar=0)
    pp.runpp(net, tolerance_mva=1e-12, max_iteration=50, numba=False)
    volts = net.res_bus.vm_pu[end] * supply
    assert copper.voltage_at_load(supply, watts, loop) == pytest.approx(volts, rel=1e-7)


def test_load_flow_figure():
    # The figure of the load-flow run recorded in the engineering basis: 10.547087 V.
    assert copper.voltage_at_load(12, 6, 2.554) == pytest.approx(10.547087, abs=5e-7)


def test_trap_9_12_v_class_2_is_limited_by_current():
    # Up to 20 V: 5.0 x Vmax VA and 5.0 A, from memory: 12 V gives 60 VA and not 100.
    assert copper.class2_limits(12) == (60.0, 5.0)
    # ecmag.com: 5 A at 0 to 15 V goes back to 1940.
    assert copper.class2_limits(15)[1] == 5.0
    # ecmweb.com: 100 VA at 30 V and below (above 20 V); 100/Vmax at 50 V gives 2 A.
    assert copper.class2_limits(24) == pytest.approx((100.0, 100 / 24))
    assert copper.class2_limits(30)[0] == 100.0
    assert copper.class2_limits(50)[1] == pytest.approx(2.0)


def test_drop_limit_of_the_trade():
    # 12 V equipment is kept within 10 percent: common practice, no source. 10.8 V from memory.
    assert copper.DROP_LIMIT_PERCENT == 10
    assert copper.drop_percent(12, 10.8) == pytest.approx(copper.DROP_LIMIT_PERCENT)
