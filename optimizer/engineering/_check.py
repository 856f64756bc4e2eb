"""Input checks and exact conversion shared by the topics."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from numbers import Rational
from typing import TypeAlias

Exact: TypeAlias = Fraction | Rational | Decimal | int | float
"""Anything that stands for one exact number; see `exact` for how a float is read."""


def finite(name: str, value: float) -> float:
    """Return `value` as a float; ValueError names it if it is not a finite number."""
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError) as error:
        raise ValueError(f"{name} must be a finite number, got {value!r}") from error
    if not math.isfinite(number):
        raise ValueError(f"{name} must be a finite number, got {value!r}")
    return number


def positive(name: str, value: float) -> float:
    """Return `value` as a float; ValueError names it unless it is finite and above 0."""
    number = finite(name, value)
    if number <= 0:
        raise ValueError(f"{name} must be above 0, got {value!r}")
    return number


def not_negative(name: str, value: float) -> float:
    """Return `value` as a float; ValueError names it unless it is finite and 0 or more."""
    number = finite(name, value)
    if number < 0:
        raise ValueError(f"{name} must be 0 or more, got {value!r}")
    return number


def within(name: str, value: float, low: float, high: float) -> float:
    """Return `value` as a float; ValueError names it unless low <= value <= high."""
    number = finite(name, value)
    if not low <= number <= high:
        raise ValueError(f"{name} must lie from {low:g} to {high:g}, got {value!r}")
    return number


def share(name: str, value: float) -> float:
    """Return `value` as a float; ValueError names it unless 0 < value <= 1."""
    number = finite(name, value)
    if not 0 < number <= 1:
        raise ValueError(f"{name} must be above 0 and at most 1, got {value!r}")
    return number


def whole(name: str, value: int, least: int) -> int:
    """Return `value`; ValueError names it unless it is a whole number >= `least`."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError(f"{name} must be a whole number, got {value!r}")
    if value < least:
        raise ValueError(f"{name} must be {least} or more, got {value!r}")
    return value


def one_of(name: str, value: str, accepted: Iterable[str]) -> str:
    """Return `value`; ValueError names it and what is accepted unless it is in `accepted`."""
    choices = tuple(accepted)
    if value not in choices:
        raise ValueError(f"{name} must be one of {', '.join(choices)}, got {value!r}")
    return value


def exact(name: str, value: Exact) -> Fraction:
    """Return `value` as a Fraction.

    A float is read as the shortest decimal that prints like it (4.8 is 24/5, not the binary
    neighbour of 4.8): the author of a price book meant the decimal. Every other type is exact
    already.
    """
    try:
        if isinstance(value, float):
            return Fraction(repr(float(value)))
        return Fraction(value)
    except (TypeError, ValueError, OverflowError) as error:
        raise ValueError(f"{name} must be a finite number, got {value!r}") from error


def exact_positive(name: str, value: Exact) -> Fraction:
    """Return `value` as a Fraction; ValueError names it unless it is above 0."""
    number = exact(name, value)
    if number <= 0:
        raise ValueError(f"{name} must be above 0, got {value!r}")
    return number


def exact_not_negative(name: str, value: Exact) -> Fraction:
    """Return `value` as a Fraction; ValueError names it unless it is 0 or more."""
    number = exact(name, value)
    if number < 0:
        raise ValueError(f"{name} must be 0 or more, got {value!r}")
    return number
