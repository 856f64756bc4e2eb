"""Batteries and heat: errors and laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engineering import battery

sizes = st.floats(0.1, 1000)


@given(sizes, sizes, st.floats(1, 2), st.floats(1, 100))
def test_peukert_is_the_plain_division_at_exponent_1(capacity, amps, exponent, hour):
    plain = capacity / amps
    assert battery.peukert_h(capacity, amps, 1, hour) == pytest.approx(plain)
    hours = battery.peukert_h(capacity, amps, exponent, hour)
    # Faster than rated gives less than the division says, slower gives more.
    if amps > capacity / hour:
        assert hours <= plain * (1 + 1e-9)
    else:
        assert hours >= plain * (1 - 1e-9)


@given(sizes, sizes, st.floats(1, 3))
def test_more_load_lasts_no_longer(capacity, watts, factor):
    hours = battery.ups_runtime_h(12, capacity, watts)
    assert battery.ups_runtime_h(12, capacity, watts * factor) <= hours


@given(sizes, sizes)
def test_capacity_needed_lasts_the_time_with_what_is_left(watts, hours):
    capacity = battery.capacity_needed_ah(12, watts, hours, celsius=5)
    # 80 % left with age, 20 K of cold take another 20 %.
    assert battery.ups_runtime_h(12, capacity * 0.8 * 0.8, watts) == pytest.approx(hours)


@given(st.floats(25, 60))
def test_warmth_gains_nothing(celsius):
    cool = battery.capacity_needed_ah(12, 10, 10, celsius=25)
    assert battery.capacity_needed_ah(12, 10, 10, celsius=celsius) == cool


def test_temperature_and_exponent_limits_are_included():
    # 65 K of cold leave 35 % of the capacity: 10 Ah / (1 x 0.35).
    cold = battery.capacity_needed_ah(10, 10, 10, celsius=-40, end_of_life=1)
    assert cold == pytest.approx(10 / 0.35)
    assert battery.capacity_needed_ah(10, 10, 10, celsius=60, end_of_life=1) == pytest.approx(10)
    for celsius in (-40.1, 60.1):
        with pytest.raises(ValueError, match=r"^celsius must lie from -40 to 60, got "):
            battery.capacity_needed_ah(10, 10, 10, celsius=celsius)
    # Twice the rated current at exponent 2: 20 h x (1/2)^2 = 5 h.
    assert battery.peukert_h(100, 10, 2, 20) == pytest.approx(5)
    with pytest.raises(ValueError, match=r"^exponent must lie from 1 to 2, got 2.01$"):
        battery.peukert_h(100, 10, 2.01, 20)


@given(st.floats(0, 10_000), st.floats(0.01, 1))
def test_apparent_power_is_never_less(watts, factor):
    assert battery.apparent_power(watts, factor) >= watts


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: battery.ups_runtime_h(0, 1, 1), "volts"),
        (lambda: battery.ups_runtime_h(12, 0, 1), "amp_hours"),
        (lambda: battery.ups_runtime_h(12, 1, 0), "watts"),
        (lambda: battery.ups_runtime_h(12, 1, 1, depth=0), "depth"),
        (lambda: battery.ups_runtime_h(12, 1, 1, efficiency=1.1), "efficiency"),
        (lambda: battery.capacity_needed_ah(12, 1, 0), "hours"),
        (lambda: battery.capacity_needed_ah(12, 1, 1, celsius=-50), "celsius"),
        (lambda: battery.capacity_needed_ah(12, 1, 1, end_of_life=0), "end_of_life"),
        (lambda: battery.apparent_power(1, 0), "power_factor"),
        (lambda: battery.peukert_h(100, 0, 1.2, 20), "amps"),
        (lambda: battery.peukert_h(100, 5, 0.9, 20), "exponent"),
        (lambda: battery.peukert_h(100, 5, 1.2, 0), "rated_hour"),
        (lambda: battery.heat_btu_h(-1), "watts"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ValueError, match=f"^{name} must .*, got "):
        call()
