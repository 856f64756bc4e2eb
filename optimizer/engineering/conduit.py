"""How many cables a conduit takes.

Whether this table binds low-voltage data cable depends on the article that refers to it (from
memory); as practice it serves everywhere. Local codes decide.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final

from optimizer.engineering._check import Exact, exact_positive, positive, whole

NIPPLE_FILL: Final = Fraction(60, 100)
_ROUND_UP_FROM: Final = Fraction(8, 10)
JAM_RATIOS: Final = (2.8, 3.2)


def fill_limit(cables: int, nipple: bool = False) -> Fraction:
    """Most of a conduit's cross-section that cables may take.

    Parameters
    ----------
    cables : int
        Cables in the conduit, >= 1.
    nipple : bool
        True for a piece of 24 in. (0.61 m) or less.

    Returns
    -------
    Fraction
        0.53 for one cable, 0.31 for two, 0.40 for more; 0.60 in a nipple.

    Raises
    ------
    ValueError
        If there is no cable; names the count.

    References
    ----------
    .. [1] NEC chapter 9, table 1 and note 4, through a secondary copy.
    """
    count = whole("cables", cables, 1)
    if nipple:
        return NIPPLE_FILL
    return Fraction({1: 53, 2: 31}.get(count, 40), 100)


def cables_that_fit(conduit_mm: Exact, cable_mm: Exact, nipple: bool = False) -> int:
    """Equal round cables that a conduit takes; a remainder of 0.8 or more counts as one.

    Parameters
    ----------
    conduit_mm : Fraction, Decimal, int or float
        Inside diameter of the conduit, > 0. [mm]
    cable_mm : Fraction, Decimal, int or float
        Outside diameter of a cable, > 0. [mm]
    nipple : bool
        True for a piece of 24 in. (0.61 m) or less.

    Returns
    -------
    int
        Cables.

    Raises
    ------
    ValueError
        If a diameter is not above 0; names it and its value.

    References
    ----------
    .. [1] NEC chapter 9, table 1 and notes 4 and 7, through a secondary copy.
    """
    conduit = exact_positive("conduit_mm", conduit_mm)
    cable = exact_positive("cable_mm", cable_mm)
    if cable > conduit:
        return 0
    ratio = (conduit / cable) ** 2
    many = math.floor(fill_limit(3, nipple) * ratio + 1 - _ROUND_UP_FROM)
    if many >= 3 or nipple:
        return many
    # One and two cables have limits of their own, and rounding up is meant for the many.
    if fill_limit(2) * ratio >= 2:
        return 2
    return 1 if fill_limit(1) * ratio >= 1 else 0


def may_jam(conduit_mm: float, cable_mm: float) -> bool:
    """Whether three equal cables may wedge in a bend, at a diameter ratio of 2.8 to 3.2.

    Parameters
    ----------
    conduit_mm : float
        Inside diameter of the conduit, > 0. [mm]
    cable_mm : float
        Outside diameter of a cable, > 0. [mm]

    Returns
    -------
    bool
        True if the ratio lies in the range.

    Raises
    ------
    ValueError
        If a diameter is not above 0; names it and its value.

    References
    ----------
    .. [1] NEC chapter 9, table 1, note 2, through a secondary copy.
    """
    ratio = positive("conduit_mm", conduit_mm) / positive("cable_mm", cable_mm)
    return JAM_RATIOS[0] <= ratio <= JAM_RATIOS[1]
