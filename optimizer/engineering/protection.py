"""Enclosure codes (IP, IK), fire ratings of cable and the routes a cable may take.

The fire rating that a building needs is for the local code and the authority to say.
"""

from __future__ import annotations

import re
from typing import Final

from optimizer.engineering._check import one_of

_IP: Final = re.compile(r"IP([0-6X])([0-9X])")

_IK_JOULES: Final[dict[str, float]] = {
    "IK00": 0.0,
    "IK01": 0.14,
    "IK02": 0.2,
    "IK03": 0.35,
    "IK04": 0.5,
    "IK05": 0.7,
    "IK06": 1.0,
    "IK07": 2.0,
    "IK08": 5.0,
    "IK09": 10.0,
    "IK10": 20.0,
    "IK11": 50.0,
}

# Numerals that a second numeral vouches for. Up to 6 each includes the lower ones. Immersion (7,
# 8) and hot jets (9) do not include the jets of 5 and 6, nor 9 the immersion: such an enclosure
# is marked with two codes if it stands both.
_WATER: Final[dict[str, str]] = {
    "0": "0",
    "1": "01",
    "2": "012",
    "3": "0123",
    "4": "01234",
    "5": "012345",
    "6": "0123456",
    "7": "012347",
    "8": "0123478",
    "9": "012349",
    "X": "0",
}

FIRE: Final[dict[str, int]] = {"CMX": 0, "CM": 1, "CMG": 1, "CMR": 2, "CMP": 3}
"""Order of the communications-cable fire ratings; a higher one may replace a lower one."""

_OTHER_FAMILIES: Final[dict[str, dict[str, int]]] = {
    "Class 2": {"CL2X": 0, "CL2": 1, "CL2R": 2, "CL2P": 3},
    "coax": {"CATVX": 0, "CATV": 1, "CATVR": 2, "CATVP": 3},
}

ROUTES: Final[tuple[str, ...]] = ("indoor", "riser", "plenum", "outdoor", "buried")
_ROUTE_FIRE: Final[dict[str, str]] = {"indoor": "CM", "riser": "CMR", "plenum": "CMP"}

ROUTE_NEEDS: Final[dict[str, str]] = {
    "indoor": "fire rating CM or better",
    "riser": "fire rating CMR or better",
    "plenum": "fire rating CMP",
    "outdoor": "an outdoor jacket",
    "buried": "a cable for direct burial",
}
"""What each route asks of a cable, in words."""


def parse_ip(code: str) -> tuple[int | None, int | None]:
    """Numerals of one ingress-protection code.

    Parameters
    ----------
    code : str
        "IP" and two numerals, first 0 to 6, second 0 to 9; X where one is not stated.

    Returns
    -------
    tuple of int or None
        First (solids) and second (water) numeral; None for X.

    Raises
    ------
    ValueError
        If the code is not of that form; names it.

    References
    ----------
    .. [1] IEC 60529; first numerals 1 to 3 published, the rest from memory.
    """
    match = _IP.fullmatch(code)
    if match is None:
        raise ValueError(f"code must look like IP65 or IPX4, got {code!r}")
    first, second = (None if digit == "X" else int(digit) for digit in match.groups())
    return first, second


def ip_at_least(have: str, need: str) -> bool:
    """Whether an enclosure's mark covers the protection that is asked.

    The first numeral includes every lower one. The second does so up to 6 only; 7 and 8
    vouch for 0 to 4 and immersion up to themselves, 9 for 0 to 4 and itself. A mark of two
    codes, "IP66/IP67", vouches for what either does; a need of two asks for both.

    Parameters
    ----------
    have, need : str
        Codes, each one or more joined by "/"; X vouches for nothing and asks for nothing.

    Returns
    -------
    bool
        True if everything asked is vouched for.

    Raises
    ------
    ValueError
        If a code cannot be read; names it.

    References
    ----------
    .. [1] IEC 60529, clause on the second numeral, from memory.
    """
    marks = [parse_ip(code) for code in have.split("/")]
    return all(any(_covers(mark, parse_ip(code)) for mark in marks) for code in need.split("/"))


def _covers(mark: tuple[int | None, int | None], asked: tuple[int | None, int | None]) -> bool:
    solids = (mark[0] or 0) >= (asked[0] or 0)
    return solids and str(asked[1] or 0) in _WATER["X" if mark[1] is None else str(mark[1])]


def ik_joules(code: str) -> float:
    """Impact energy that an enclosure code stands for.

    Parameters
    ----------
    code : str
        "IK00" to "IK11".

    Returns
    -------
    float
        Energy; 0 for IK00, not protected. [J]

    Raises
    ------
    ValueError
        If the code is unknown; names it and what is accepted.

    References
    ----------
    .. [1] IEC 62262 with its 2021 amendment, through a secondary page. For IK01 an older page
       has 0.15 J; IK00 from memory.
    """
    return _IK_JOULES[one_of("code", code, _IK_JOULES)]


def ik_at_least(have: str, need: str) -> bool:
    """Whether an enclosure stands the impact that is asked.

    Parameters
    ----------
    have, need : str
        "IK00" to "IK11".

    Returns
    -------
    bool
        True if it does.

    Raises
    ------
    ValueError
        If a code is unknown; names it and what is accepted.

    References
    ----------
    .. [1] IEC 62262, through a secondary page.
    """
    one_of("have", have, _IK_JOULES)
    return ik_joules(have) >= _IK_JOULES[one_of("need", need, _IK_JOULES)]


def fire_level(rating: str) -> int:
    """Place of a fire rating in its family's order: 0 limited use, 1 general, 2 riser, 3 plenum.

    Parameters
    ----------
    rating : str
        Of the CM, CL2 or CATV family.

    Returns
    -------
    int
        Level.

    Raises
    ------
    ValueError
        If the rating is unknown; names it and what is accepted.

    References
    ----------
    .. [1] CMP over CMR over CMG and CM over CMX, published; the others by their names.
    """
    return _rating("rating", rating)[1]


def fire_at_least(have: str, need: str) -> bool:
    """Whether a cable may stand in for one of the rating that is asked.

    A higher level replaces a lower one of its own family; the CM family also replaces the
    others, never the other way round.

    Parameters
    ----------
    have, need : str
        Ratings of the CM, CL2 or CATV family.

    Returns
    -------
    bool
        True if it may.

    Raises
    ------
    ValueError
        If a rating is unknown; names it and what is accepted.

    References
    ----------
    .. [1] NEC 800.154 and the 1996 substitution table, through secondary pages; CM in place of
       CATV from memory.
    """
    family, level = _rating("have", have)
    needed_family, needed_level = _rating("need", need)
    return family in (needed_family, "communications") and level >= needed_level


def route_ok(route: str, fire: str | None, outdoor: bool, burial: bool) -> bool:
    """Whether a cable may be laid on a route.

    Parameters
    ----------
    route : str
        "indoor", "riser", "plenum", "outdoor" or "buried"; see `ROUTE_NEEDS`.
    fire : str or None
        Fire rating, only its level counts here; None where the cable has none.
    outdoor : bool
        True if the jacket stands sun and rain.
    burial : bool
        True if the cable may lie in the ground without a duct.

    Returns
    -------
    bool
        True if it may.

    Raises
    ------
    ValueError
        If the route or the rating is unknown; names it and what is accepted.

    References
    ----------
    .. [1] Level by route: NEC fire order through a secondary page; outdoor and buried: common
       practice, no source.
    """
    one_of("route", route, ROUTES)
    level = -1 if fire is None else _rating("fire", fire)[1]
    if route == "outdoor":
        return outdoor
    if route == "buried":
        return burial
    return level >= FIRE[_ROUTE_FIRE[route]]


def _rating(name: str, rating: str) -> tuple[str, int]:
    families = {"communications": FIRE, **_OTHER_FAMILIES}
    for family, order in families.items():
        if rating in order:
            return family, order[rating]
    accepted = ", ".join(known for order in families.values() for known in order)
    raise ValueError(f"{name} must be one of {accepted}, got {rating!r}")
