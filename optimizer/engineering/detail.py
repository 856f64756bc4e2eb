"""How much detail a picture must show: named levels of pixel density and older height rules."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from optimizer.engineering._check import Exact, exact_positive, one_of, whole

DETAIL_LEVELS: Final[dict[str, dict[str, Fraction]]] = {
    "2014": {
        "monitor": Fraction(25, 2),
        "detect": Fraction(25),
        "observe": Fraction(125, 2),
        "recognise": Fraction(125),
        "identify": Fraction(250),
        "inspect": Fraction(1000),
    },
    "2025": {
        "overview": Fraction(20),
        "outline": Fraction(40),
        "discern": Fraction(80),
        "perceive": Fraction(125),
        "characterise": Fraction(250),
        "validate": Fraction(500),
        "scrutinise": Fraction(1500),
    },
}
"""Pixel density of each detail level by edition of IEC 62676-4. [px/m]

2014: quoted by a secondary page; kept at 12.5 and 62.5, which other pages round.
2025: from memory, unverified until somebody checks a copy of the standard.
"""

TARGET_LINES: Final = 400
TARGET_HEIGHT_M: Final = Fraction(8, 5)
FOOT_M: Final = Fraction(3048, 10000)


def detail_px_m(edition: str, level: str) -> Fraction:
    """Pixel density of a named level of IEC 62676-4.

    Parameters
    ----------
    edition : str
        "2014" or "2025" (the latter from memory).
    level : str
        Name of the level in that edition.

    Returns
    -------
    Fraction
        Pixel density. [px/m]

    Raises
    ------
    ValueError
        If the edition or the level is unknown; names it and what is accepted.

    References
    ----------
    .. [1] IEC 62676-4:2014, through a secondary page; IEC 62676-4:2025 from memory.
    """
    levels = DETAIL_LEVELS[one_of("edition", edition, DETAIL_LEVELS)]
    return levels[one_of("level", level, levels)]


def density_per_foot(px_m: Exact) -> Fraction:
    """Pixel density by the foot, px/m x 0.3048.

    Parameters
    ----------
    px_m : Fraction, Decimal, int or float
        Pixel density, > 0. [px/m]

    Returns
    -------
    Fraction
        The same density. [px/ft]

    Raises
    ------
    ValueError
        If the density is not above 0; names it and its value.

    References
    ----------
    .. [1] The international foot, 0.3048 m exactly.
    """
    return exact_positive("px_m", px_m) * FOOT_M


def density_from_height_percent(
    percent: Exact, lines: int = TARGET_LINES, target_m: Exact = TARGET_HEIGHT_M
) -> Fraction:
    """Pixel density when a target fills a share of the picture's height.

    The older rule states detail as percent of picture height. Only with 400 lines and a 1.6 m
    target does it equal the px/m levels of the 2014 edition.

    Parameters
    ----------
    percent : Fraction, Decimal, int or float
        Share of the picture's height, > 0; above 100 only a part of the target shows. [%]
    lines : int
        Lines in the picture, >= 1. [px]
    target_m : Fraction, Decimal, int or float
        Height of the target, > 0. [m]

    Returns
    -------
    Fraction
        Vertical pixel density. [px/m]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] EN 50132-7:2012, percentages from memory; target height by a secondary page.
    """
    rows = whole("lines", lines, 1)
    filled = exact_positive("percent", percent) / 100 * rows
    return filled / exact_positive("target_m", target_m)
