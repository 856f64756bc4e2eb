"""Copper: edges, errors and laws of the constant-power load."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from optimizer.engineering import copper

volts = st.floats(5, 60)
powers = st.floats(0.01, 100)
loops = st.floats(0.01, 50)


def test_no_load_and_no_cable_lose_nothing():
    assert copper.voltage_at_load(12, 0, 5) == 12
    assert copper.voltage_at_load(12, 6, 0) == 12
    assert copper.current_at_load(12, 6, 0) == 0.5
    assert copper.current_at_load(12, 0, 5) == 0
    assert copper.collapse_power(12, 0) == math.inf
    assert copper.loop_resistance(18, 0, 20) == 0


def test_just_at_collapse_half_the_voltage_is_left():
    # 12^2 / (4 x 4) = 9 W exactly.
    assert copper.collapse_power(12, 4) == 9
    assert copper.voltage_at_load(12, 9, 4) == 6
    assert copper.voltage_at_load(12, 9.001, 4) is None
    assert copper.current_at_load(12, 9.001, 4) is None


def test_temperature_limits_are_included():
    # 1 + 0.00393 x (-80) and 1 + 0.00393 x 180
    assert copper.temperature_factor(-60) == pytest.approx(0.6856)
    assert copper.temperature_factor(200) == pytest.approx(1.7074)
    for celsius in (-60.1, 200.1):
        with pytest.raises(ValueError, match=r"^celsius must lie from -60 to 200, got "):
            copper.temperature_factor(celsius)


def test_constant_current_stops_at_nothing():
    assert copper.voltage_at_current(12, 10, 5) == 0


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: copper.awg_diameter_mm(41), "awg"),
        (lambda: copper.awg_diameter_mm(-4), "awg"),
        (lambda: copper.resistance_per_m(18.0), "awg"),
        (lambda: copper.resistance_per_m(18, 300), "celsius"),
        (lambda: copper.temperature_factor(-300), "celsius"),
        (lambda: copper.loop_resistance(18, -1, 20), "length_m"),
        (lambda: copper.loop_resistance(18, 1, 20, 0), "conductors_per_leg"),
        (lambda: copper.loop_of(0, 1), "ohm_per_m"),
        (lambda: copper.voltage_at_load(0, 1, 1), "supply_v"),
        (lambda: copper.voltage_at_load(12, -1, 1), "watts"),
        (lambda: copper.voltage_at_load(12, 1, -1), "loop_ohm"),
        (lambda: copper.voltage_at_current(12, -1, 1), "amps"),
        (lambda: copper.collapse_power(12, -1), "loop_ohm"),
        (lambda: copper.drop_percent(12, 13), "load_v"),
        (lambda: copper.class2_limits(0), "volts_max"),
        (lambda: copper.class2_limits(61), "volts_max"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ValueError, match=f"^{name} must .*, got "):
        call()


@given(st.integers(-3, 39))
def test_every_gauge_is_thinner_than_the_one_before(awg):
    assert copper.awg_diameter_mm(awg + 1) < copper.awg_diameter_mm(awg)
    assert copper.resistance_per_m(awg + 1) > copper.resistance_per_m(awg)


@given(st.integers(-3, 40), st.floats(0, 500), st.floats(-60, 200), st.integers(1, 4))
def test_parallel_conductors_share(awg, length, celsius, legs):
    alone = copper.loop_resistance(awg, length, celsius)
    assert copper.loop_resistance(awg, length, celsius, legs) == pytest.approx(alone / legs)


@given(volts, powers, loops)
def test_the_answer_solves_the_circuit(supply, watts, loop):
    load = copper.voltage_at_load(supply, watts, loop)
    assume(load is not None)
    amps = copper.current_at_load(supply, watts, loop)
    assert amps * load == pytest.approx(watts)
    assert supply - amps * loop == pytest.approx(load)
    # The larger root: never below half the supply.
    assert supply / 2 <= load <= supply


@given(volts, powers, loops)
def test_it_holds_exactly_up_to_collapse(supply, watts, loop):
    most = copper.collapse_power(supply, loop)
    assume(abs(watts / most - 1) > 1e-9)
    assert (copper.voltage_at_load(supply, watts, loop) is None) == (watts > most)


@given(volts, powers, loops, st.floats(1, 3))
def test_more_load_or_cable_never_leaves_more(supply, watts, loop, factor):
    load = copper.voltage_at_load(supply, watts, loop)
    for heavier in (
        copper.voltage_at_load(supply, watts * factor, loop),
        copper.voltage_at_load(supply, watts, loop * factor),
    ):
        assert heavier is None or (load is not None and heavier <= load)


@given(volts, powers, loops)
def test_constant_power_drops_at_least_as_much_as_constant_current(supply, watts, loop):
    load = copper.voltage_at_load(supply, watts, loop)
    assume(load is not None)
    assert load <= copper.voltage_at_current(supply, watts / supply, loop) + 1e-9


@given(volts, st.floats(0, 1))
def test_drop_percent_is_a_share(supply, share):
    assert copper.drop_percent(supply, supply * share) == pytest.approx(100 * (1 - share), abs=1e-9)


@given(st.floats(0.1, 60))
def test_class_2_never_passes_either_limit(volts_max):
    apparent, amps = copper.class2_limits(volts_max)
    assert apparent == pytest.approx(volts_max * amps)
    assert apparent <= 100
    assert amps <= 5


def test_class_2_turns_over_at_20_v_without_a_step():
    # 5 A x 20 V is 100 VA: both rules meet there.
    assert copper.class2_limits(20) == (100.0, 5.0)
    assert copper.class2_limits(20.001)[1] == pytest.approx(5.0, abs=1e-3)
    # Just above, 5 A would already be 102.5 VA.
    assert copper.class2_limits(20.5) == (100.0, 100 / 20.5)
