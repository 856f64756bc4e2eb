"""Field types and small parts that several sections of a site file share."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from optimizer import units
from optimizer.engineering.optics import DETAIL_LEVELS
from optimizer.reading.fields import Base, Gauge, Length
from optimizer.reading.hints import suggest
from optimizer.reading.readers import FieldReader, quantity, refuse
from optimizer.reading.terms import Fit, Medium

Standard = Literal["IEC 62676-4:2014", "IEC 62676-4:2025"]
STANDARDS: tuple[Standard, ...] = ("IEC 62676-4:2014", "IEC 62676-4:2025")
LEVEL_NAMES = sorted({name for levels in DETAIL_LEVELS.values() for name in levels})
_DENSITY = quantity("density", "1 px/m", "20000 px/m")
_LIGHT = quantity("light", "0 lx", "200000 lx")
_DAY_ACCEPTED = "hours a day or a share of the time, more than 0, at most 24 h or 100 %"


def _detail(text: str) -> str:
    word = text.strip()
    if word in LEVEL_NAMES:
        return word
    if not any(c.isdigit() for c in word):
        raise refuse(
            "this is neither a level of detail nor a pixel density",
            _DETAIL_ACCEPTED,
            suggest(word, LEVEL_NAMES, f"write it as {_DENSITY.example}"),
        )
    _figure(word, "density", _DENSITY, _DETAIL_ACCEPTED)
    return word


def _figure(word: str, dimension: str, reader: FieldReader, accepted: str) -> None:
    try:
        units.parse(word, dimension)
    except units.UnitError as error:
        raise refuse(error.what, accepted, error.hint) from None
    reader(word)


def _night(text: str) -> str:
    word = text.strip()
    if word not in ("lit", "dark"):
        if not any(c.isdigit() for c in word):
            raise refuse(
                "this does not say how light it is at night",
                _NIGHT_ACCEPTED,
                suggest(word, ("lit", "dark"), "write lit where lamps burn all night"),
            )
        _figure(word, "light", _LIGHT, _NIGHT_ACCEPTED)
    return word


def _recorded(text: str) -> Decimal:
    try:
        share = units.parse(text, "share" if "%" in text else "duration")
    except units.UnitError:
        hint = "write 24 h for continuous recording"
        raise refuse(
            "this does not say how much of the day is recorded", _DAY_ACCEPTED, hint
        ) from None
    if share <= 0:
        raise refuse(
            "something must be recorded", _DAY_ACCEPTED, "leave the zone out if nothing is"
        )
    if share > 1:
        raise refuse("a day has 24 hours", _DAY_ACCEPTED, "write 24 h for continuous recording")
    return share


def _or_figure(words: list[str], figure: FieldReader) -> dict[str, Any]:
    return {"anyOf": [{"enum": words}, figure.schema]}


_DETAIL_ACCEPTED = ", ".join(LEVEL_NAMES) + ", or a density such as 250 px/m"
_NIGHT_ACCEPTED = "lit, dark, or a figure such as 2 lx"
Detail = Annotated[
    str,
    FieldReader(str, _detail, _DETAIL_ACCEPTED, "recognise", _or_figure(LEVEL_NAMES, _DENSITY)),
]
Night = Annotated[
    str,
    FieldReader(str, _night, _NIGHT_ACCEPTED, "lit", _or_figure(["lit", "dark"], _LIGHT)),
]
Recorded = Annotated[
    Decimal,
    FieldReader(
        Decimal,
        _recorded,
        _DAY_ACCEPTED,
        "24 h",
        {"type": "string", "description": _DAY_ACCEPTED, "examples": ["24 h", "40 %"]},
        lambda value: units.written(value, "share"),
    ),
]

_FITS: dict[str, tuple[Fit, ...]] = {
    "coax_power": ("rg59", "rg6", "rg11"),
    "coax": ("rg59", "rg6", "rg11"),
    "category": ("cat5e", "cat6"),
    "audio_pair": ("audio",),
}


class ExistingCable(Base):
    """Cable that is already in place along a run and may be kept."""

    medium: Medium
    length: Length = Field(description="its real length, which decides drop and reach")
    gauge: Gauge | None = Field(default=None, description="of its power conductors or pairs")
    fit: Fit | None = Field(
        default=None, description="rg59, rg6, rg11 (coax), cat5e, cat6 (category) or audio"
    )
    terminated: bool = Field(default=False, description="signal connectors are fitted and sound")
    count: int = Field(default=1, ge=1, le=64)

    @model_validator(mode="after")
    def _complete(self) -> ExistingCable:
        if self.medium in ("coax_power", "power_pair", "category") and self.gauge is None:
            raise refuse(
                f"an existing {self.medium} needs its gauge",
                units.accepts("gauge"),
                "add a line 'gauge: ...'; it is printed on the jacket",
                field="gauge",
            )
        fits = _FITS.get(self.medium, ())
        if fits and self.fit is None:
            raise refuse(
                f"an existing {self.medium} needs its fit",
                ", ".join(fits),
                f"add a line 'fit: {fits[0]}'",
                field="fit",
            )
        if self.fit is not None and self.fit not in fits:
            raise refuse(
                f"this is not a fit of an existing {self.medium}",
                ", ".join(fits) or "no fit",
                "put fit or medium right",
                field="fit",
            )
        return self


__all__ = ["LEVEL_NAMES", "STANDARDS", "Detail", "ExistingCable", "Night", "Recorded", "Standard"]
