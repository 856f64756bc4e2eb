"""Power over Ethernet: choice of class, edges and errors."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engineering import poe


@pytest.mark.parametrize(
    ("watts", "cls"),
    [
        (0.1, 1),
        (3.84, 1),
        (3.85, 2),
        (6.49, 2),
        (12.95, 3),
        (12.96, 4),
        (25.5, 4),
        (40, 5),
        (51, 6),
        (62, 7),
        (71.3, 8),
        (71.31, None),
    ],
)
def test_class_for(watts, cls):
    assert poe.class_for(watts) == cls


@given(st.floats(0.01, 71.3))
def test_class_for_is_the_cheapest_that_is_enough(watts):
    cls = poe.class_for(watts)
    assert poe.device_watts(cls) >= watts
    for other in poe.CLASSES:
        if poe.device_watts(other) >= watts:
            assert poe.source_watts(other) >= poe.source_watts(cls)


@given(st.sampled_from(sorted(poe.CLASSES)), st.floats(0, 1))
def test_a_device_within_its_class_keeps_its_least_voltage(cls, share):
    row = poe.CLASSES[cls]
    # Half a percent of slack: classes 5 and 8 promise a little more than their cable leaves.
    volts = poe.device_voltage(row.source_v_min, row.device_w * share, row.loop_ohm)
    assert volts >= row.device_v_min * 0.995


@pytest.mark.parametrize("cls", [-1, 9, 3.5, True, "4", None])
def test_no_such_class(cls):
    for function in (poe.source_watts, poe.device_watts):
        with pytest.raises(ValueError, match=r"^cls must be a class from 0 to 8, got "):
            function(cls)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: poe.class_for(0), "watts"),
        (lambda: poe.delivered_watts(-1, 48, 1), "source_w"),
        (lambda: poe.delivered_watts(1, 0, 1), "source_v"),
        (lambda: poe.delivered_watts(1, 48, -1), "loop_ohm"),
        (lambda: poe.device_voltage(0, 1, 1), "source_v"),
        (lambda: poe.device_voltage(48, -1, 1), "watts"),
        (lambda: poe.device_voltage(48, 1, -1), "loop"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ValueError, match=f"^{name} must be .*, got "):
        call()


def test_past_the_cable_there_is_no_voltage():
    # 44^2 / (4 x 20) = 24.2 W.
    assert poe.device_voltage(44, 24.2, 20) == 22
    assert poe.device_voltage(44, 24.3, 20) is None


def test_a_class_cannot_be_changed():
    with pytest.raises(AttributeError):
        poe.CLASSES[4].source_w = 100
