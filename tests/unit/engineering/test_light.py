"""Night rules: verdicts, reasons, limits and laws."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engineering.light import ambient_lux, irradiance, night_ok

amounts = st.one_of(st.none(), st.fractions(Fraction(1, 1000), 200))
nights = st.one_of(st.sampled_from(["lit", "dark"]), st.fractions(0, 200))


@pytest.mark.parametrize(
    ("night", "colour", "reach", "lux_colour", "lux_mono", "distance", "verdict", "reason"),
    [
        # Lit counts as 50 lx.
        ("lit", True, None, 0.5, None, 20, True, "colour needs 0.5 lx, the view has 50 lx"),
        ("lit", True, None, 50, None, 20, True, "colour needs 50 lx, the view has 50 lx"),
        ("lit", True, 30, 51, 0.1, 20, False, "colour needs 51 lx, the view has 50 lx"),
        ("lit", False, None, None, 0.1, 20, True, "monochrome needs 0.1 lx, the view has 50 lx"),
        # Dark: only infra-red, and never colour.
        ("dark", False, 35, None, None, 35, True, "infra-red reaches 35 m, the view is at 35 m"),
        ("dark", False, 20, 0.1, 0.01, 35, False, "infra-red reaches 20 m, the view is at 35 m"),
        (
            "dark",
            False,
            None,
            0.1,
            0.01,
            5,
            False,
            "the view is dark and there is no infra-red lamp",
        ),
        (
            "dark",
            True,
            80,
            0.001,
            0.001,
            10,
            False,
            "colour needs light, the view is dark and infra-red pictures are monochrome",
        ),
        # A figure.
        (0.3, True, None, 0.3, None, 10, True, "colour needs 0.3 lx, the view has 0.3 lx"),
        (0.3, True, 50, 0.5, 0.1, 10, False, "colour needs 0.5 lx, the view has 0.3 lx"),
        (0.3, False, None, 0.5, 0.1, 10, True, "monochrome needs 0.1 lx, the view has 0.3 lx"),
        (0.3, False, None, 0.2, 0.4, 10, True, "colour needs 0.2 lx, the view has 0.3 lx"),
        (0.3, False, 12, 0.5, 0.4, 10, True, "infra-red reaches 12 m, the view is at 10 m"),
        (
            0.3,
            False,
            8,
            0.5,
            0.4,
            10,
            False,
            "monochrome needs 0.4 lx, the view has 0.3 lx; "
            "infra-red reaches 8 m, the view is at 10 m",
        ),
        (
            0.3,
            False,
            None,
            0.5,
            None,
            10,
            False,
            "colour needs 0.5 lx, the view has 0.3 lx; there is no infra-red lamp",
        ),
        (
            0.3,
            False,
            0,
            None,
            None,
            10,
            False,
            "no least light is stated; there is no infra-red lamp",
        ),
        (
            0.3,
            True,
            40,
            None,
            0.1,
            10,
            False,
            "no least light for colour is stated and infra-red pictures are monochrome",
        ),
    ],
)
def test_verdicts(night, colour, reach, lux_colour, lux_mono, distance, verdict, reason):
    assert night_ok(night, colour, reach, lux_colour, lux_mono, distance) == (verdict, reason)


def test_equal_is_enough_in_every_number_type():
    for lux in (0.1, Decimal("0.1"), Fraction(1, 10)):
        assert night_ok(lux, True, None, 0.1, None, 10)[0]
        assert night_ok(Fraction(1, 10), True, None, lux, None, 10)[0]
    assert night_ok("dark", False, Decimal("17.6"), None, None, 17.6)[0]


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        (("bright", False, None, 1, 1, 10), "night"),
        ((-1, False, None, 1, 1, 10), "night"),
        (("lit", False, -1, 1, 1, 10), "infrared_reach_m"),
        # "0 lx" on a data sheet means the lamp; without a lamp no picture needs no light.
        (("lit", False, None, 0, 1, 10), "lux_colour"),
        (("lit", False, None, 1, 0, 10), "lux_mono"),
        (("lit", False, None, 1, 1, 0), "distance_m"),
    ],
)
def test_bad_input_is_named(arguments, name):
    with pytest.raises(ValueError, match=f"^{name} must be .*, got "):
        night_ok(*arguments)


def test_zero_lux_is_dark():
    assert ambient_lux("dark") == ambient_lux(0) == 0
    assert night_ok(0, False, 20, 1, 1, 35) == night_ok("dark", False, 20, 1, 1, 35)


@given(nights, amounts, amounts, amounts, st.fractions(1, 100))
def test_colour_is_never_easier(night, reach, lux_colour, lux_mono, distance):
    if night_ok(night, True, reach, lux_colour, lux_mono, distance)[0]:
        assert night_ok(night, False, reach, lux_colour, lux_mono, distance)[0]


@given(nights, st.booleans(), amounts, amounts, amounts, st.fractions(1, 100), st.fractions(1, 10))
def test_better_equipment_never_hurts(night, colour, reach, lux_colour, lux_mono, distance, factor):
    if night_ok(night, colour, reach, lux_colour, lux_mono, distance)[0]:
        better = (
            None if reach is None else reach * factor,
            None if lux_colour is None else lux_colour / factor,
            None if lux_mono is None else lux_mono / factor,
        )
        assert night_ok(night, colour, *better, distance)[0]
        assert night_ok(night, colour, reach, lux_colour, lux_mono, distance / factor)[0]


@given(st.fractions(0, 100), st.fractions(0, 100), st.booleans(), amounts, amounts, amounts)
def test_more_light_never_hurts(light, more, colour, reach, lux_colour, lux_mono):
    if night_ok(light, colour, reach, lux_colour, lux_mono, 20)[0]:
        assert night_ok(light + more, colour, reach, lux_colour, lux_mono, 20)[0]


@given(nights, st.booleans(), amounts, amounts, amounts, st.fractions(1, 100))
def test_there_is_always_a_reason(night, colour, reach, lux_colour, lux_mono, distance):
    _, reason = night_ok(night, colour, reach, lux_colour, lux_mono, distance)
    assert reason
    assert "None" not in reason


@pytest.mark.parametrize(("arguments", "name"), [((-1, 1), "intensity"), ((1, 0), "distance")])
def test_irradiance_refuses(arguments, name):
    with pytest.raises(ValueError, match=f"^{name} must be "):
        irradiance(*arguments)


def test_exactly_enough_for_monochrome():
    assert night_ok(0.4, False, None, 0.5, 0.4, 10) == (
        True,
        "monochrome needs 0.4 lx, the view has 0.4 lx",
    )


def test_a_short_lamp_is_still_named():
    reason = "infra-red reaches 0.5 m, the view is at 10 m"
    assert night_ok("dark", False, 0.5, None, None, 10) == (False, reason)
