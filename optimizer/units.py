"""Quantities as people write them ("30 m", "98 ft", "4 TB"), turned into exact base units.

Every result is a ``decimal.Decimal`` in the base unit of its dimension, so that no rounding
happens before the instance decides its direction (demand up, capacity down). It is exact wherever
the value has a decimal expansion that ends; else ("10 h" is 0.41666... day) it is the nearest
number of 28 digits, and :func:`exact` gives the fraction.

Factors: foot and inch by the international yard and pound agreement of 1959 (NIST SP 811,
appendix B: 0.3048 m and 0.0254 m, exact); decimal prefixes by the SI brochure (BIPM, 9th
edition); GiB and TiB by IEC 80000-13; Fahrenheit by NIST SP 811, appendix B.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from decimal import Context, Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from optimizer.errors import quoted


class Dimension(NamedTuple):
    """The units one kind of quantity may carry.

    Attributes
    ----------
    base : str
        Unit of the parsed value.
    factors : dict of str to Fraction
        How many base units each accepted unit is; the first is offered where a unit is missing.
    example : str
        Shown in messages.
    spoken : mapping of str to str
        What people also write for an accepted unit: never accepted, named in the hint.
    """

    base: str
    factors: dict[str, Fraction]
    example: str
    spoken: Mapping[str, str] = MappingProxyType({})


def _factors(**named: str) -> dict[str, Fraction]:
    return {name: Fraction(value) for name, value in named.items()}


def _also(**words: str) -> dict[str, str]:
    """Spoken words by the unit they stand for, turned round."""
    return {word: unit for unit, row in words.items() for word in row.split()}


FOOT = Fraction("0.3048")
_LENGTH = _factors(m="1", cm="0.01", mm="0.001", km="1000", ft="0.3048")
_LENGTH["in"] = Fraction("0.0254")
_LENGTH_SPOKEN = _also(
    m="metre metres meter meters mtr", km="kilometre kilometres", cm="centimetres", ft="foot feet '"
)
_LENGTH_SPOKEN.update(dict.fromkeys(("inch", "inches", '"'), "in"))

DIMENSIONS: dict[str, Dimension] = {
    "length": Dimension("m", _LENGTH, "30 m, 98 ft", _LENGTH_SPOKEN),
    "lens": Dimension("mm", _factors(mm="1"), "4 mm"),
    "power": Dimension(
        "W", _factors(W="1", mW="0.001", kW="1000"), "6 W", _also(W="watt watts Watt Watts")
    ),
    "voltage": Dimension(
        "V", _factors(V="1", mV="0.001"), "12 V", _also(V="volt volts VDC VAC Vdc Vac")
    ),
    "current": Dimension(
        "A", _factors(A="1", mA="0.001"), "0.5 A", _also(A="amp amps ampere amperes Amp Amps")
    ),
    "storage": Dimension(
        "byte",
        {
            "GB": Fraction(10**9),
            "TB": Fraction(10**12),
            "GiB": Fraction(2**30),
            "TiB": Fraction(2**40),
        },
        "4 TB, 3.6 TiB",
    ),
    "bit rate": Dimension(
        "bit/s",
        {
            "Mbit/s": Fraction(10**6),
            "kbit/s": Fraction(10**3),
            "bit/s": Fraction(1),
            "Gbit/s": Fraction(10**9),
        },
        "4 Mbit/s",
        {
            **dict.fromkeys(("Mbps", "mbps", "Mb/s"), "Mbit/s"),
            **dict.fromkeys(("kbps", "Kbps", "kb/s", "Kb/s"), "kbit/s"),
            **dict.fromkeys(("Gbps", "gbps", "Gb/s"), "Gbit/s"),
        },
    ),
    "picture rate": Dimension(
        "px/s",
        {"Mpx/s": Fraction(10**6), "kpx/s": Fraction(10**3), "px/s": Fraction(1)},
        "120 Mpx/s",
    ),
    "frame rate": Dimension(
        "fps", _factors(fps="1"), "15 fps", dict.fromkeys(("ips", "Hz", "images/s", "f/s"), "fps")
    ),
    "light": Dimension("lx", _factors(lx="1", lux="1"), "0.5 lx"),
    "density": Dimension(
        "px/m",
        {"px/m": Fraction(1), "px/ft": 1 / FOOT},
        "250 px/m, 76.2 px/ft",
        {"ppm": "px/m", "ppf": "px/ft", "pixels/m": "px/m", "pixels/ft": "px/ft"},
    ),
    "duration": Dimension(
        "day",
        {
            "days": Fraction(1),
            "day": Fraction(1),
            "d": Fraction(1),
            "weeks": Fraction(7),
            "week": Fraction(7),
            "h": Fraction(1, 24),
            "hours": Fraction(1, 24),
        },
        "31 days, 6 weeks, 72 h",
        _also(h="hr hrs hour", weeks="w wk wks"),
    ),
    "minutes": Dimension(
        "min",
        {"min": Fraction(1), "s": Fraction(1, 60), "h": Fraction(60)},
        "2 min",
        _also(min="minute minutes mins", s="sec second seconds", h="hr hrs hour hours"),
    ),
    "pace": Dimension("min/m", {"min/m": Fraction(1), "min/ft": 1 / FOOT}, "0.5 min/m"),
    "temperature": Dimension(
        "C", _factors(C="1", F="1"), "-20 C, -4 F", _also(C="°C ºC ℃ degC", F="°F ºF ℉ degF")
    ),
    "angle": Dimension("deg", _factors(deg="1"), "45 deg", _also(deg="° º degree degrees Deg DEG")),
    "share": Dimension("1", {"%": Fraction(1, 100)}, "20 %", _also(**{"%": "percent pct ％"})),
    "gauge": Dimension("AWG", _factors(AWG="1"), "18 AWG", {"ga": "AWG", "gauge": "AWG"}),
}

# Said where the unit is understood and still cannot be taken.
_ADVICE = {
    ("gauge", "mm2"): "18 AWG is 0.82 mm2, 16 AWG 1.31 mm2, 20 AWG 0.52 mm2, 24 AWG 0.20 mm2",
    ("duration", "months"): "months differ in length: write days",
    ("bit rate", "MB/s"): "1 MB/s is 8 Mbit/s",
}
_ADVICE[("gauge", "mm²")] = _ADVICE[("gauge", "mm2")]
_ADVICE[("duration", "month")] = _ADVICE[("duration", "months")]

# [0-9], not \d: the digits of other scripts look like nothing anybody here checks by eye.
_QUANTITY = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s*(.*)", re.DOTALL)
_MOST_CHARACTERS = 40
_WIDE = Context(prec=80)
_RESULT = Context(prec=28)


class UnitError(ValueError):
    """A quantity that cannot be read; ``accepted`` and ``hint`` help to put it right."""

    def __init__(self, what: str, accepted: str, hint: str) -> None:
        super().__init__(what)
        self.what, self.accepted, self.hint = what, accepted, hint


def accepts(dimension: str) -> str:
    """What a quantity may look like, in words: "a length in m, cm, ... (such as 30 m)"."""
    kind = DIMENSIONS[dimension]
    units = [*kind.factors]
    row = ", ".join(units[:-1]) + f" or {units[-1]}" if len(units) > 1 else units[0]
    article = "an" if dimension.startswith("a") else "a"
    return f"{article} {dimension} in {row}, such as {kind.example}"


def split(text: str, dimension: str) -> tuple[Decimal, str]:
    """Take a quantity apart into its number and its unit.

    Parameters
    ----------
    text : str
        A number and its unit, such as "30 m".
    dimension : str
        A key of :data:`DIMENSIONS`.

    Raises
    ------
    UnitError
        If there is no number, no unit, or a unit of another dimension.
    """
    kind = DIMENSIONS[dimension]
    plain = text.strip()
    match = _QUANTITY.fullmatch(plain)
    if match is None:
        raise UnitError("this is not a quantity", accepts(dimension), _mended(plain, kind))
    number, unit = match.groups()
    if unit in kind.factors and len(number) <= _MOST_CHARACTERS:
        return Decimal(number), unit
    if len(number) > _MOST_CHARACTERS:
        raise UnitError(
            "this number is absurdly long", accepts(dimension), f"write it as {kind.example}"
        )
    if not unit:
        raise UnitError(
            "the unit is missing",
            accepts(dimension),
            f'did you mean "{number} {next(iter(kind.factors))}"?',
        )
    if re.search(r"[0-9,]", unit) and (dimension, unit) not in _ADVICE:
        raise UnitError(
            "this is not one number and its unit", accepts(dimension), _mended(plain, kind)
        )
    raise UnitError(
        f"{quoted(unit, 20)} is not a unit of {dimension}",
        accepts(dimension),
        _other_unit(number, unit, dimension),
    )


def _other_unit(number: str, unit: str, dimension: str) -> str:
    kind = DIMENSIONS[dimension]
    advice = _ADVICE.get((dimension, unit))
    if advice is not None:
        return advice
    meant = kind.spoken.get(unit) or next(
        (u for u in kind.factors if u.casefold() == unit.casefold()), None
    )
    return f"write it as {kind.example}" if meant is None else f'did you mean "{number} {meant}"?'


def _mended(text: str, kind: Dimension) -> str:
    """A hint for a text that is not a plain number and a unit."""
    if re.match(r"[+-]?[0-9]+(\.[0-9]+)?[eE][+-]?[0-9]", text):
        return f"write the number out in full, as in {kind.example}"
    if re.match(r"[+-]?[0-9.]*,[0-9]", text):
        return f"use a decimal point and no separators, as in {kind.example}"
    plain = re.sub(r"\A[\u2212\u2013\u2010\u2011]", "-", text)
    plain = re.sub(r"\A([+-]?)\.(?=[0-9])", r"\g<1>0.", plain)
    match = _QUANTITY.fullmatch(plain)
    if plain != text and match is not None and match.group(2) in kind.factors:
        return f'did you mean "{match.group(1)} {match.group(2)}"?'
    return f"write it as {kind.example}"


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
        The value in the base unit of the dimension (degrees Celsius for temperatures): exact, or
        the nearest number of 28 digits where the decimal expansion does not end.

    Raises
    ------
    UnitError
        If there is no number, no unit, or a unit of another dimension.
    """
    number, unit = split(text, dimension)
    if unit == "F":
        number = _WIDE.multiply(_WIDE.subtract(number, Decimal(32)), Decimal(5))
        return _RESULT.divide(number, Decimal(9))
    factor = DIMENSIONS[dimension].factors[unit]
    if factor == 1:
        return number
    # 80 digits hold every product of 40 digits and a factor, so this rounds once, at the end.
    product = _WIDE.multiply(number, Decimal(factor.numerator))
    return _RESULT.divide(product, Decimal(factor.denominator))


def exact(text: str, dimension: str) -> Fraction:
    """Read one quantity without any rounding; see :func:`parse`.

    Returns
    -------
    Fraction
        The value in the base unit of the dimension ("80 px/ft" is 100000/381 px/m).

    Raises
    ------
    UnitError
        If there is no number, no unit, or a unit of another dimension.
    """
    number, unit = split(text, dimension)
    if unit == "F":
        return (Fraction(number) - 32) * Fraction(5, 9)
    return Fraction(number) * DIMENSIONS[dimension].factors[unit]


def written(value: Decimal, dimension: str) -> str:
    """Write a value in the base unit so that :func:`parse` reads it back unchanged."""
    if dimension == "share":
        return f"{_plain(_WIDE.multiply(value, Decimal(100)))} %"
    base = DIMENSIONS[dimension].base
    unit = {"byte": "GB", "day": "days"}.get(base, base)
    number = value if base != "byte" else _WIDE.divide(value, Decimal(10**9))
    return f"{_plain(number)} {unit}"


def _plain(number: Decimal) -> str:
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


_MONEY = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,2})?")
MONEY_ACCEPTED = "an amount from 0 to 999999999.99 with at most two decimals, such as 12.50"


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
    plain = text.strip()
    if _MONEY.fullmatch(plain):
        return int(Decimal(plain) * 100)
    if re.fullmatch(r"[-\u2212][0-9.,]+", plain):
        raise UnitError(
            "an amount of money cannot be negative here",
            MONEY_ACCEPTED,
            "leave the sign out; a reduction is an offer of the price book",
        )
    if re.fullmatch(r"[0-9]+\.[0-9]{3,}", plain):
        raise UnitError(
            "this amount has more than two decimals",
            MONEY_ACCEPTED,
            "round it, or price a pack of several pieces",
        )
    if re.fullmatch(r"[0-9]{10,}(\.[0-9]*)?", plain):
        raise UnitError(
            "this amount is larger than any that is believable here",
            MONEY_ACCEPTED,
            "check the number",
        )
    if plain.startswith(".") and _MONEY.fullmatch(f"0{plain}"):
        hint = f'did you mean "0{plain}"?'
    elif re.fullmatch(r"[0-9.]+[eE]\+?[0-9]+", plain):
        hint = "write the number out in full, as in 1234.50"
    elif re.fullmatch(r"[0-9., '\u00a0\u202f]+", plain):
        hint = "use a decimal point and no separators, as in 1234.50"
    elif re.search(r"[0-9]", plain):
        hint = "write the number alone: the currency is stated once for the file"
    else:
        hint = "write a number, such as 12.50"
    raise UnitError("this is not an amount of money", MONEY_ACCEPTED, hint)


def money_text(hundredths: int) -> str:
    """Write an amount in hundredths as "1843.20"."""
    sign = "-" if hundredths < 0 else ""
    whole, part = divmod(abs(hundredths), 100)
    return f"{sign}{whole}.{part:02d}"


def shown_px_m(px_m: float, decimals: int) -> float:
    """A density as it is told: rounded down, so that it is never more than what is there.

    What is just met is told as met: a thousandth is given back, which binary sums and lenses set
    to decimals take away.

    Parameters
    ----------
    px_m : float
        >= 0. [px/m]
    decimals : int
        >= 0.
    """
    scale = float(10**decimals)
    return math.floor((px_m + 1e-3) * scale) / scale
