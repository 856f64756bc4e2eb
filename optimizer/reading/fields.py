"""Field types shared by the schemas of site, price book and design.

Quantities are exact ``Decimal`` values in base units (see :mod:`optimizer.units`); money is an
``int`` in hundredths of the currency unit. The ranges are what is believable, not what is usual:
a value outside is refused as a slip of the pen. They are common practice, no source.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Annotated, NamedTuple

from pydantic import BaseModel, ConfigDict

from optimizer import units
from optimizer.reading.readers import (
    FieldReader,
    SpanOf,
    code,
    ident_read,
    line,
    prose,
    quantity,
    refuse,
    span,
)

__all__ = [
    "AsWritten",
    "Base",
    "BitRate",
    "CelsiusRange",
    "Currency",
    "Current",
    "Density",
    "Duration",
    "FrameRate",
    "Gauge",
    "Ident",
    "IkCode",
    "IpCode",
    "Length",
    "Lens",
    "LensRange",
    "Light",
    "Minutes",
    "Money",
    "Pace",
    "PartShare",
    "Picture",
    "PictureRate",
    "PictureSize",
    "Power",
    "Prose",
    "Share",
    "SpanOf",
    "Storage",
    "Temperature",
    "Title",
    "ViewLength",
    "VoltRange",
    "Voltage",
]


class Base(BaseModel):
    """Frozen data in which an unknown key is an error."""

    model_config = ConfigDict(extra="forbid", frozen=True)


Length = Annotated[Decimal, quantity("length", "0 m", "100 km")]
ViewLength = Annotated[Decimal, quantity("length", "1 cm", "20 km")]
"""Distance to a scene or width of one: never 0, which every formula of optics divides by."""
Lens = Annotated[Decimal, quantity("lens", "0.1 mm", "3000 mm")]
LensRange = Annotated[SpanOf, span("lens", "0.1 mm", "3000 mm", "2.8 to 12 mm")]
Power = Annotated[Decimal, quantity("power", "0 W", "20 kW")]
Voltage = Annotated[Decimal, quantity("voltage", "0 V", "500 V")]
VoltRange = Annotated[SpanOf, span("voltage", "0 V", "500 V", "10.8 to 13.2 V")]
Current = Annotated[Decimal, quantity("current", "0 A", "1000 A")]
Storage = Annotated[Decimal, quantity("storage", "1 GB", "1000 TB")]
BitRate = Annotated[Decimal, quantity("bit rate", "1 kbit/s", "100 Gbit/s")]
PictureRate = Annotated[Decimal, quantity("picture rate", "1 kpx/s", "1000000 Mpx/s")]
FrameRate = Annotated[Decimal, quantity("frame rate", "0.01 fps", "240 fps")]
Light = Annotated[Decimal, quantity("light", "0 lx", "200000 lx")]
Density = Annotated[Decimal, quantity("density", "1 px/m", "20000 px/m")]
Duration = Annotated[Decimal, quantity("duration", "1 h", "3660 days")]
Minutes = Annotated[Decimal, quantity("minutes", "0 min", "10000 min")]
Pace = Annotated[Decimal, quantity("pace", "0 min/m", "1000 min/m")]
Temperature = Annotated[Decimal, quantity("temperature", "-60 C", "120 C")]
"""Of a conductor: the range in which `engineering.copper` knows how its resistance goes."""
CelsiusRange = Annotated[SpanOf, span("temperature", "-90 C", "120 C", "-20 to 50 C")]
Share = Annotated[Decimal, quantity("share", "0 %", "100 %")]
PartShare = Annotated[Decimal, quantity("share", "0 %", "90 %")]
"""A share that leaves something: what is kept free of a drive or a supply."""
Gauge = Annotated[Decimal, quantity("gauge", "0 AWG", "40 AWG", whole=True)]

Title = Annotated[str, line(200)]
Prose = Annotated[str, prose(10_000)]


def _money(text: str) -> int:
    try:
        return units.money(text)
    except units.UnitError as error:
        raise refuse(error.what, error.accepted, error.hint) from None


Money = Annotated[
    int,
    FieldReader(
        int,
        _money,
        units.MONEY_ACCEPTED,
        "12.50",
        {
            "type": ["string", "number"],
            "pattern": r"^[0-9]{1,9}(\.[0-9]{1,2})?$",
            "minimum": 0,
            "description": "an amount, such as 12.50",
            "examples": ["12.50"],
        },
        units.money_text,
    ),
]


class PictureSize(NamedTuple):
    """Recorded or sensed picture, in pixels."""

    width: int
    height: int

    def __str__(self) -> str:
        return f"{self.width}x{self.height}"


_PICTURE = re.compile(r"([1-9][0-9]{1,4})\s*x\s*([1-9][0-9]{1,4})")


def _picture(text: str) -> PictureSize:
    match = _PICTURE.fullmatch(text.strip())
    if match is None:
        likely = _PICTURE.fullmatch(re.sub(r"[X×*]", "x", text.strip()))
        raise refuse(
            "this is not a picture size",
            "WIDTHxHEIGHT in pixels",
            f'did you mean "{likely.group(1)}x{likely.group(2)}"?'
            if likely
            else "write it as 1920x1080",
        )
    return PictureSize(int(match.group(1)), int(match.group(2)))


Picture = Annotated[
    PictureSize,
    FieldReader(
        PictureSize,
        _picture,
        "WIDTHxHEIGHT in pixels",
        "1920x1080",
        {
            "type": "string",
            "pattern": r"^\s*[1-9][0-9]{1,4}\s*x\s*[1-9][0-9]{1,4}\s*$",
            "description": "a picture size in pixels",
            "examples": ["1920x1080"],
        },
    ),
]

IpCode = Annotated[
    str,
    code(
        r"IP[0-6X][0-9X]",
        "an ingress code of IEC 60529",
        "IP66",
        {
            r"IP[0-9X]": "two numerals follow: solids (0 to 6) and water (0 to 9), such as IP66",
            r"IP[789][0-9X]": "the first numeral (solids) goes up to 6, such as IP69",
            r"IP[0-6X]9K": "write the code of IEC 60529, such as IP69",
            r"[0-6X][0-9X]": "write the letters too, such as IP66",
        },
    ),
]
"""One mark or several that all hold, such as IP66/IP67."""

IkCode = Annotated[
    str,
    code(
        r"IK(?:0[0-9]|1[01])",
        "an impact code of IEC 62262",
        "IK08",
        {
            r"IK[0-9]": "the code has two digits, such as IK08",
            r"IK1[0-9]|IK[2-9][0-9]": "the codes go from IK00 to IK11",
            r"IK1[01]\+": "write the code of IEC 62262 without the plus, such as IK10",
        },
    ),
]

Ident = Annotated[
    str,
    FieldReader(
        str,
        ident_read,
        "an id: 1 to 64 small letters, digits, '.', '-' and '_'",
        "back-door",
        {
            "type": "string",
            "pattern": "^[a-z0-9][a-z0-9_.-]{0,63}$",
            "description": "an id",
            "examples": ["back-door"],
        },
    ),
]


def _currency(text: str) -> str:
    plain = text.strip()
    if re.fullmatch("[A-Z]{3}", plain):
        return plain
    upper = plain.upper()
    raise refuse(
        "this is not a currency code",
        "three capital letters, such as EUR",
        f'did you mean "{upper}"?'
        if re.fullmatch("[A-Z]{3}", upper)
        else "write the code of ISO 4217, not a sign or a name",
    )


Currency = Annotated[
    str,
    FieldReader(
        str,
        _currency,
        "three capital letters, such as EUR",
        "EUR",
        {"type": "string", "pattern": "^[A-Z]{3}$", "description": "a code of ISO 4217"},
    ),
]
_WORDS = line(500)
AsWritten = Annotated[
    str,
    FieldReader(
        str,
        _WORDS,
        _WORDS.accepted,
        "31 days",
        {
            "type": ["string", "number", "boolean"],
            "maxLength": 500,
            "description": "a value as a site file would have it, or none",
        },
    ),
]
"""Numbers and truth values are read as they are written, like any other."""
