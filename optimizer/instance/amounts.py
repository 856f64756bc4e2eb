"""Rounding from exact quantities to the integers of the model.

Whatever is asked rounds up, whatever a piece can do rounds down (RULES.md), so that rounding can
only make a design safer.
"""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction
from typing import Final

Exact = Decimal | Fraction | int

CM_PER_M: Final = 100
GB: Final = 10**9
_FLOAT_NOISE: Final = 1e-9


def up(value: Exact) -> int:
    """Smallest integer that is not below an exact value."""
    return math.ceil(Fraction(value))


def down(value: Exact) -> int:
    """Largest integer that is not above an exact value."""
    return math.floor(Fraction(value))


def up_float(value: float) -> int:
    """Smallest integer not below a float, forgiving noise in its last digits."""
    return math.ceil(value - _FLOAT_NOISE * max(1.0, abs(value)))


def labour_price(rate: int, minutes: Exact) -> int:
    """Price of some minutes of work, in hundredths, rounded up."""
    return up(Fraction(rate) * Fraction(minutes) / 60)


def pieces_reduction(price: int, share: Decimal) -> int:
    """Reduction of one piece by a share of its price, in hundredths, rounded down."""
    return down(Fraction(price) * Fraction(share))
