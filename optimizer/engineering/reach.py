"""How far each signal family carries over each cable.

Outdoor copper needs surge protection and bonding where it enters a building; between buildings
fibre is the better way. Local codes and licensed practice decide.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final

from optimizer.engineering._check import Exact, exact_positive, one_of, positive, within

_ANCHOR_DB_PER_100M: Final[dict[str, tuple[float, float]]] = {
    # 1.79 dB per 100 ft at 30 MHz, published (typical).
    "rg59": (30.0, 1.79 / 0.3048),
    # The upper end of the range at 100 MHz, from memory; scaled down it stays in the ranges
    # given at 1, 5 and 10 MHz too.
    "rg6": (100.0, 7.0),
    "rg11": (100.0, 5.0),
}

COAX_REACH_M: Final[dict[tuple[str, str], int]] = {
    # 750 ft published; others say up to 300 m, and many keep to 500 ft.
    ("composite", "rg59"): 228,
    # 1,200 ft published.
    ("composite", "rg6"): 365,
    # From memory: 1,500 to 2,000 ft, some say nearly 3,000 ft.
    ("composite", "rg11"): 600,
    # Common practice, no source.
    ("hd_coax", "rg59"): 250,
    ("hd_coax", "rg6"): 350,
    ("hd_coax", "rg11"): 500,
}
"""Longest run by signal family and coax with a solid copper core, as a default. [m]"""

TWISTED_PAIR_REACH_M: Final[dict[str, int]] = {"passive": 300, "active": 900}
"""Longest composite run over a twisted pair with baluns, passive at both ends or with an active
receiver: from memory, inside a published span of 500 to 8,000 ft. [m]"""

RS485_REACH_M: Final = 1200
"""Longest control bus: guidance beside TIA-485-A, through a secondary page. [m]"""

RS485_UNIT_LOADS: Final = 32
"""Unit loads of 12 kohm that one bus carries: through a secondary page."""

RS485_TOP_BIT_S: Final = 35e6
RS485_BIT_S_M: Final = 1e8
RS485_TERMINATION_OHM: Final = 120
"""At both ends of the bus only: from memory. [ohm]"""

BNC_STANDARDS: Final[dict[int, str]] = {50: "IEC 61169-8", 75: "IEC 61169-63"}
"""Standard of the BNC connector by impedance [ohm]: published titles. IEC 61169-29 is another
connector. The two intermate, and looks are no dependable sign of which one it is."""


def coax_loss_db_per_100m(type: str, mhz: float) -> float:
    """Loss of 100 m of coax, scaled with the square root of frequency.

    Good for baseband and HD-over-coax frequencies on solid copper; copper-clad steel loses far
    more at the low end.

    Parameters
    ----------
    type : str
        "rg59", "rg6" or "rg11".
    mhz : float
        Frequency, 1 to 1000. [MHz]

    Returns
    -------
    float
        Loss. [dB/100 m]

    Raises
    ------
    ValueError
        If the type is unknown or the frequency out of range; names it.

    References
    ----------
    .. [1] RG-59 at 30 MHz from a published antenna handbook table; RG-6 and RG-11 from memory.
    """
    at_mhz, loss = _ANCHOR_DB_PER_100M[one_of("type", type, _ANCHOR_DB_PER_100M)]
    return loss * math.sqrt(within("mhz", mhz, 1, 1000) / at_mhz)


def signal_reach_m(family: str, coax: str) -> int:
    """Longest run of a signal family over a coax.

    Parameters
    ----------
    family : str
        "composite" or "hd_coax".
    coax : str
        "rg59", "rg6" or "rg11", with a solid copper core.

    Returns
    -------
    int
        Reach, a default that a price book may override. [m]

    Raises
    ------
    ValueError
        If the family or the coax is unknown; names it and what is accepted.

    References
    ----------
    .. [1] Composite over RG-59 and RG-6 from a published installer's page, over RG-11 from
       memory; HD over coax: common practice, no source.
    """
    one_of("family", family, ("composite", "hd_coax"))
    one_of("coax", coax, ("rg59", "rg6", "rg11"))
    return COAX_REACH_M[family, coax]


def rs485_max_rate(length_m: float) -> float:
    """Fastest dependable rate on a control bus, min(35 Mbit/s, 1e8 / length).

    The rule stays on the safe side of the published 100 kbit/s at 1200 m.

    Parameters
    ----------
    length_m : float
        Length of the bus from end to end, > 0. [m]

    Returns
    -------
    float
        Rate; 0 past `RS485_REACH_M`. [bit/s]

    Raises
    ------
    ValueError
        If the length is not above 0; names it and its value.

    References
    ----------
    .. [1] Rate x length rule from memory; 35 Mbit/s and 1200 m through a secondary page.
    """
    length = positive("length_m", length_m)
    if length > RS485_REACH_M:
        return 0.0
    return min(RS485_TOP_BIT_S, RS485_BIT_S_M / length)


def rs485_nodes(unit_load: Exact = 1) -> int:
    """Equal devices that one control bus carries.

    Parameters
    ----------
    unit_load : Fraction, Decimal, int or float
        Load of one device in unit loads, > 0; Fraction(1, 8) is common.

    Returns
    -------
    int
        Devices.

    Raises
    ------
    ValueError
        If the load is not above 0; names it and its value.

    References
    ----------
    .. [1] 32 unit loads through a secondary page; 256 at one eighth in a logger manual.
    """
    return math.floor(Fraction(RS485_UNIT_LOADS) / exact_positive("unit_load", unit_load))
