"""Field types shared by the schemas of site, price book and design.

Quantities are exact ``Decimal`` values in base units (see :mod:`optimizer.units`); money is an
``int`` in hundredths of the currency unit.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Annotated, Any, NamedTuple

from pydantic import BaseModel, BeforeValidator, ConfigDict, WithJsonSchema
from pydantic_core import PydanticCustomError

from optimizer import units


class Base(BaseModel):
    """Frozen data in which an unknown key is an error."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def refuse(what: str, accepted: str, hint: str) -> PydanticCustomError:
    """An error that keeps what is accepted and the hint for the message."""
    return PydanticCustomError(
        "quantity", "{what}", {"what": what, "accepted": accepted, "hint": hint}
    )


class Limits(NamedTuple):
    """The range in which a value is believable; outside it is a slip of the pen."""

    least: Decimal
    most: Decimal


def _quantity(dimension: str, least: str, most: str) -> Callable[[Any], Decimal]:
    limits = Limits(Decimal(least), Decimal(most))
    base = units.DIMENSIONS[dimension].base

    def read(value: Any) -> Decimal:
        if isinstance(value, Decimal):
            return value
        try:
            number = units.parse(str(value), dimension)
        except units.UnitError as error:
            raise refuse(error.what, error.accepted, error.hint) from None
        if not limits.least <= number <= limits.most:
            raise refuse(
                f"this {dimension} is outside the range that is believable here",
                f"{limits.least} to {limits.most} {base}",
                "check the number and its unit",
            )
        return number

    return read


def _schema(dimension: str) -> WithJsonSchema:
    kind = units.DIMENSIONS[dimension]
    names = "|".join(re.escape(u) for u in kind.factors)
    return WithJsonSchema(
        {
            "type": "string",
            "pattern": rf"^\s*[+-]?\d+(\.\d+)?\s*({names})\s*$",
            "description": f"a {dimension}, such as {kind.example}",
            "examples": kind.example.split(", "),
        }
    )


def _field(dimension: str, least: str, most: str) -> Any:
    return Annotated[
        Decimal, BeforeValidator(_quantity(dimension, least, most)), _schema(dimension)
    ]


Length = _field("length", "0", "100000")
Lens = _field("lens", "0.1", "2000")
Power = _field("power", "0", "20000")
Voltage = _field("voltage", "0", "500")
Current = _field("current", "0", "1000")
Storage = _field("storage", "1000000000", "1000000000000000")
BitRate = _field("bit rate", "1000", "10000000000")
PictureRate = _field("picture rate", "1", "1000000000000")
FrameRate = _field("frame rate", "0.1", "240")
Light = _field("light", "0", "200000")
Density = _field("density", "0.1", "10000")
Duration = _field("duration", "0.04", "3660")
Minutes = _field("minutes", "0", "10000")
Pace = _field("pace", "0", "1000")
Temperature = _field("temperature", "-90", "120")
Share = _field("share", "0", "1")
Gauge = _field("gauge", "0", "40")


def _money(value: Any) -> int:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    try:
        return units.money(str(value))
    except units.UnitError as error:
        raise refuse(error.what, error.accepted, error.hint) from None


Money = Annotated[
    int,
    BeforeValidator(_money),
    WithJsonSchema({"type": ["string", "number"], "description": "an amount, such as 12.50"}),
]


class PictureSize(NamedTuple):
    """Recorded or sensed picture, in pixels."""

    width: int
    height: int

    def __str__(self) -> str:
        return f"{self.width}x{self.height}"


_PICTURE = re.compile(r"\s*(\d{2,5})\s*x\s*(\d{2,5})\s*\Z")


def _picture(value: Any) -> PictureSize:
    if isinstance(value, PictureSize):
        return value
    match = _PICTURE.match(str(value))
    if match is None:
        raise refuse("this is not a picture size", "WIDTHxHEIGHT in pixels", "write it as 1920x1080")
    return PictureSize(int(match.group(1)), int(match.group(2)))


Picture = Annotated[
    PictureSize,
    BeforeValidator(_picture),
    WithJsonSchema({"type": "string", "pattern": r"^\d{2,5}x\d{2,5}$", "examples": ["1920x1080"]}),
]


class SpanOf(NamedTuple):
    """A closed range of one quantity, in its base unit."""

    low: Decimal
    high: Decimal


def Span(dimension: str, least: str, most: str) -> Any:  # noqa: N802 - reads as a type
    """Field type of a range such as "10.8 to 13.2 V" or a single value such as "4 mm"."""
    read_one = _quantity(dimension, least, most)
    example = units.DIMENSIONS[dimension].example.split(", ")[0]
    unit = example.split()[-1]

    def read(value: Any) -> SpanOf:
        if isinstance(value, SpanOf):
            return value
        parts = [p.strip() for p in str(value).split(" to ")]
        if len(parts) > 2:
            raise refuse(
                "this is not a range", f"LOW to HIGH {unit}", f'write it as "1 to 2 {unit}"'
            )
        if len(parts) == 2 and re.fullmatch(r"[+-]?\d+(\.\d+)?", parts[0]):
            shared = parts[1].split(maxsplit=1)
            parts[0] = f"{parts[0]} {shared[1] if len(shared) == 2 else ''}".strip()
        low = read_one(parts[0])
        high = read_one(parts[-1])
        if low > high:
            raise refuse(
                "the range runs backwards", f"LOW to HIGH {unit}", "swap the two values"
            )
        return SpanOf(low, high)

    return Annotated[
        SpanOf,
        BeforeValidator(read),
        WithJsonSchema(
            {"type": "string", "description": f"a {dimension} or a range", "examples": [example]}
        ),
    ]


def _code(pattern: str, what: str, example: str) -> Callable[[Any], str]:
    compiled = re.compile(pattern)

    def read(value: Any) -> str:
        text = str(value).strip().upper()
        if not compiled.fullmatch(text):
            raise refuse(f"this is not {what}", f"{what}, such as {example}", f"write {example}")
        return text

    return read


IpCode = Annotated[
    str, BeforeValidator(_code(r"IP[0-6X][0-9X]", "an ingress code of IEC 60529", "IP66"))
]
IkCode = Annotated[
    str, BeforeValidator(_code(r"IK(0\d|1[01])", "an impact code of IEC 62262", "IK08"))
]

_IDENT = re.compile(r"[a-z0-9][a-z0-9_.-]{0,63}\Z")


def _ident(value: Any) -> str:
    text = str(value)
    if not _IDENT.match(text):
        raise refuse(
            "this is not a usable id",
            "1 to 64 small letters, digits, '.', '-' and '_', starting with a letter or digit",
            "ids are used in findings and in the answer: keep them short, such as back-door",
        )
    return text


Ident = Annotated[str, BeforeValidator(_ident)]
