"""Quantities as people write them ("30 m", "98 ft", "4 TB"), turned into exact base units.

Every result is an exact ``decimal.Decimal`` in the base unit of its dimension, so that no
rounding happens before the instance decides its direction (demand up, capacity down).
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple


class Dimension(NamedTuple):
    """The units one kind of quantity may carry.

    Attributes
    ----------
    base : str
        Unit of the parsed value.
    factors : dict of str to Decimal
        How many base units each accepted unit is.
    example : str
        Shown in messages.
    """

    base: str
    factors: dict[str, Decimal]
    example: str


def _factors(**named: str) -> dict[str, Decimal]:
    return {name: Decimal(value) for name, value in named.items()}


_LENGTH = _factors(m="1", cm="0.01", mm="0.001", km="1000", ft="0.3048")
_LENGTH["in"] = Decimal("0.0254")
_RATE = {
    "bit/s": Decimal(1),
    "kbit/s": Decimal(1000),
    "Mbit/s": Decimal(1_000_000),
    "Gbit/s": Decimal(1_000_000_000),
}
_DAYS = {
    "days": Decimal(1),
    "day": Decimal(1),
    "d": Decimal(1),
    "weeks": Decimal(7),
    "week": Decimal(7),
    "h": Decimal(1) / Decimal(24),
    "hours": Decimal(1) / Decimal(24),
}

DIMENSIONS: dict[str, Dimension] = {
    "length": Dimension("m", _LENGTH, "30 m, 98 ft"),
    "lens": Dimension("mm", {"mm": Decimal(1)}, "4 mm"),
    "power": Dimension("W", _factors(W="1", mW="0.001", kW="1000"), "6 W"),
    "voltage": Dimension("V", _factors(V="1", mV="0.001"), "12 V"),
    "current": Dimension("A", _factors(A="1", mA="0.001"), "0.5 A"),
    "storage": Dimension(
        "byte",
        {
            "GB": Decimal(10) ** 9,
            "TB": Decimal(10) ** 12,
            "GiB": Decimal(2) ** 30,
            "TiB": Decimal(2) ** 40,
        },
        "4 TB, 3.6 TiB",
    ),
    "bit rate": Dimension("bit/s", _RATE, "4 Mbit/s"),
    "picture rate": Dimension(
        "px/s", {"px/s": Decimal(1), "kpx/s": Decimal(1000), "Mpx/s": Decimal(10**6)}, "120 Mpx/s"
    ),
    "frame rate": Dimension("fps", {"fps": Decimal(1)}, "15 fps"),
    "light": Dimension("lx", {"lx": Decimal(1), "lux": Decimal(1)}, "0.5 lx"),
    "density": Dimension(
        "px/m", {"px/m": Decimal(1), "px/ft": 1 / Decimal("0.3048")}, "250 px/m, 76.2 px/ft"
    ),
    "duration": Dimension("day", _DAYS, "31 days, 6 weeks, 72 h"),
    "minutes": Dimension(
        "min", {"min": Decimal(1), "s": Decimal(1) / Decimal(60), "h": Decimal(60)}, "2 min"
    ),
    "pace": Dimension(
        "min/m", {"min/m": Decimal(1), "min/ft": 1 / Decimal("0.3048")}, "0.5 min/m"
    ),
    "temperature": Dimension("C", {"C": Decimal(1), "F": Decimal(1)}, "-20 C, -4 F"),
    "share": Dimension("1", {"%": Decimal("0.01")}, "20 %"),
    "gauge": Dimension("AWG", {"AWG": Decimal(1)}, "18 AWG"),
}

_NUMBER = re.compile(r"\s*([+-]?\d+(?:\.\d+)?)\s*(\S.*?)?\s*\Z")
_MOST_DIGITS = 15


class UnitError(ValueError):
    """A quantity that cannot be read; ``accepted`` and ``hint`` help to put it right."""

    def __init__(self, what: str, accepted: str, hint: str) -> None:
        super().__init__(what)
        self.what, self.accepted, self.hint = what, accepted, hint


def parse(text: str, dimension: str) -> Decimal:
    """Read one quantity.

    Parameters
    ----------
    text : str
        A number and its unit, such as "30 m".
    dimension : str
        A key of :data:`DIMENSIONS`.

    Returns
    -------
    Decimal
        The value in the base unit of the dimension (degrees Celsius for temperatures).

    Raises
    ------
    UnitError
        If there is no number, no unit, or a unit of another dimension.
    """
    kind = DIMENSIONS[dimension]
    accepted = f"a {dimension} with one of the units {', '.join(kind.factors)} (such as {kind.example})"
    match = _NUMBER.match(str(text))
    if match is None:
        raise UnitError("this is not a quantity", accepted, f"write it as {kind.example}")
    number, unit = match.group(1), match.group(2)
    if len(number) > _MOST_DIGITS:
        raise UnitError("this number is absurdly long", accepted, f"write it as {kind.example}")
    if unit is None:
        raise UnitError(
            "the unit is missing", accepted, f'did you mean "{number} {next(iter(kind.factors))}"?'
        )
    factor = kind.factors.get(unit)
    if factor is None:
        close = [u for u in kind.factors if u.lower() == unit.lower()]
        hint = f'did you mean "{number} {close[0]}"?' if close else f"write it as {kind.example}"
        raise UnitError(f'"{unit}" is not a unit of {dimension}', accepted, hint)
    value = Decimal(number)
    if dimension == "temperature" and unit == "F":
        return (value - 32) * 5 / 9
    if factor == Decimal(1) / Decimal(24):
        return value / 24
    return value * factor


_MONEY = re.compile(r"\d{1,9}(?:\.\d{1,2})?\Z")


def money(text: str) -> int:
    """Read an amount of money without passing through binary floating point.

    Parameters
    ----------
    text : str
        An amount with at most two decimals, such as "12.50".

    Returns
    -------
    int
        The amount in hundredths of the currency unit.

    Raises
    ------
    UnitError
        If it is negative, has more than two decimals or is not a number.
    """
    plain = str(text).strip()
    if not _MONEY.match(plain):
        raise UnitError(
            "this is not an amount of money",
            "a number that is not negative, with at most two decimals, such as 12.50",
            "leave the currency out: it is stated once for the file",
        )
    return int((Decimal(plain) * 100).to_integral_exact())


def money_text(hundredths: int) -> str:
    """Write an amount in hundredths as "1843.20"."""
    sign = "-" if hundredths < 0 else ""
    whole, part = divmod(abs(hundredths), 100)
    return f"{sign}{whole}.{part:02d}"
