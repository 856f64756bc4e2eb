"""The shared input checks: what is read as what, and what is refused."""

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

from optimizer.engineering import _check


@pytest.mark.parametrize(
    ("value", "meant"),
    [
        (4.8, Fraction(24, 5)),
        (0.1, Fraction(1, 10)),
        (1e-15, Fraction(1, 10**15)),
        (np.float64(4.8), Fraction(24, 5)),
        (Decimal("62.5"), Fraction(125, 2)),
        (Fraction(1, 3), Fraction(1, 3)),
        (7, Fraction(7)),
    ],
)
def test_exact_reads_the_decimal_that_was_meant(value, meant):
    assert _check.exact("value", value) == meant


@pytest.mark.parametrize(
    "value",
    [float("nan"), float("inf"), Decimal("NaN"), Decimal("Infinity"), None, "wide", [1]],
)
def test_exact_refuses_what_is_no_number(value):
    with pytest.raises(ValueError, match=r"^width must be a finite number, got "):
        _check.exact("width", value)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), None, "wide", 10**400])
def test_finite_refuses_what_is_no_number(value):
    with pytest.raises(ValueError, match=r"^width must be a finite number, got "):
        _check.finite("width", value)


def test_messages_name_input_and_value():
    with pytest.raises(ValueError, match=r"^watts must be 0 or more, got -1$"):
        _check.not_negative("watts", -1)
    with pytest.raises(ValueError, match=r"^volts must be above 0, got 0$"):
        _check.positive("volts", 0)
    with pytest.raises(ValueError, match=r"^depth must be above 0 and at most 1, got 1.5$"):
        _check.share("depth", 1.5)
    with pytest.raises(ValueError, match=r"^celsius must lie from -60 to 200, got 300$"):
        _check.within("celsius", 300, -60, 200)
    with pytest.raises(ValueError, match=r"^n must be a whole number, got 2.0$"):
        _check.whole("n", 2.0, 1)
    with pytest.raises(ValueError, match=r"^n must be a whole number, got True$"):
        _check.whole("n", True, 1)
    with pytest.raises(ValueError, match=r"^n must be 1 or more, got 0$"):
        _check.whole("n", 0, 1)
    with pytest.raises(ValueError, match=r"^codec must be one of a, b, got 'c'$"):
        _check.one_of("codec", "c", ("a", "b"))
    with pytest.raises(ValueError, match=r"^fps must be above 0, got 0$"):
        _check.exact_positive("fps", 0)
    with pytest.raises(ValueError, match=r"^days must be 0 or more, got -2$"):
        _check.exact_not_negative("days", -2)


def test_limits_themselves_are_accepted():
    assert _check.not_negative("watts", 0) == 0
    assert _check.share("depth", 1) == 1
    assert _check.within("celsius", 200, -60, 200) == 200
    assert _check.whole("n", 1, 1) == 1
    assert _check.exact_not_negative("days", 0) == 0
