"""What a site asks: the schema of a site file.

All quantities are exact decimals in base units: metres, watts, bytes, bit/s, days, degrees
Celsius; money is in hundredths. The rules that give these fields their meaning are in
``optimizer/RULES.md``.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from optimizer import units
from optimizer.engineering.optics import DETAIL_LEVELS
from optimizer.reading.fields import (
    AsWritten,
    Base,
    BitRate,
    CelsiusRange,
    Currency,
    Duration,
    FrameRate,
    Gauge,
    Ident,
    IkCode,
    IpCode,
    Length,
    Money,
    Pace,
    PartShare,
    Prose,
    Share,
    Temperature,
    Title,
    ViewLength,
)
from optimizer.reading.hints import suggest
from optimizer.reading.readers import FieldReader, quantity, refuse
from optimizer.reading.terms import (
    Codec,
    ConnectorType,
    ExportWay,
    Family,
    Fit,
    Medium,
    Method,
    Place,
    Route,
)

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


class Zone(Base):
    """A place that must be seen, as a surveyed view from a camera point."""

    id: Ident
    name: Title = ""
    distance: ViewLength = Field(
        description="camera point to the farthest place that needs the detail"
    )
    width: ViewLength = Field(description="scene width to be seen at that distance")
    detail: Detail
    frame_rate: FrameRate
    place: Place = "indoors"
    ingress: IpCode | None = None
    impact: IkCode | None = None
    temperature: CelsiusRange | None = None
    night: Night = "lit"
    night_colour: bool = False
    steerable: bool = False
    discreet: bool = False
    recorded: Recorded = Field(default=Decimal(1))
    retention: Duration | None = None
    bit_rate: BitRate | None = Field(default=None, description="measured, for each camera here")
    run: Length = Field(description="cable path from the camera point to the equipment room")
    mains: bool = Field(default=False, description="mains is at hand at the camera point")
    route: Route = "indoor"
    existing: tuple[ExistingCable, ...] = ()
    most_cameras: int = Field(default=8, ge=1, le=64)


class Displays(Base):
    """Local display outputs that every recorder must have."""

    hdmi: int = Field(default=0, ge=0, le=8)
    vga: int = Field(default=0, ge=0, le=8)
    composite: int = Field(default=0, ge=0, le=8)


class Recording(Base):
    """How pictures are kept."""

    retention: Duration
    drive_failures: int = Field(default=0, ge=0, le=2)
    codec: Codec = "H.264"
    activity: Literal["low", "medium", "high"] = "medium"
    measured: dict[Ident, BitRate] = Field(
        default_factory=dict, description="measured bit rate by camera item"
    )
    reserve: PartShare = Field(default=Decimal("0.05"), description="kept free on the drives")
    export: tuple[ExportWay, ...] = ()
    displays: Displays = Displays()


class AudioPoint(Base):
    """A place where sound is recorded."""

    id: Ident
    zone: Ident | None = Field(default=None, description="the zone whose camera is at this spot")
    run: Length
    route: Route = "indoor"
    place: Place = "indoors"
    mains: bool = False
    power: Literal["any", "room", "camera", "local"] = "any"
    existing: tuple[ExistingCable, ...] = ()


class Audio(Base):
    """Sound recording; regulated separately from pictures nearly everywhere."""

    consent: Prose = Field(default="", description="the lawful basis and notice, in your words")
    bit_rate: BitRate = Field(default=Decimal(64000))
    points: tuple[AudioPoint, ...] = ()


class Spare(Base):
    """Room to grow."""

    channels: int = Field(default=0, ge=0, le=1024)
    storage: Share = Field(default=Decimal(0))
    supply: PartShare = Field(
        default=Decimal("0.2"), description="unloaded share of each output and each whole supply"
    )


class Owned(Base):
    """Equipment that is already there."""

    item: Ident
    quantity: int = Field(ge=1, le=10000)
    pinned: bool = Field(default=False, description="must be used")


class Needed(Base):
    """An item that the kit must hold."""

    item: Ident
    quantity: int = Field(default=1, ge=1, le=10000)


class Labour(Base):
    """Time that counts."""

    rate: Money = Field(default=0, description="for an hour")
    pulling: Pace = Field(default=Decimal(0), description="time to lay a cable, such as 0.5 min/m")


class Policy(Base):
    """What the buyer or installer allows."""

    families: tuple[Family, ...] = Field(default=("composite", "hd_coax", "network"), min_length=1)
    require: tuple[Needed, ...] = ()
    forbid: tuple[Ident, ...] = ()
    most_camera_models: int | None = Field(default=None, ge=1)
    connectors: dict[ConnectorType, tuple[Method, ...]] = Field(
        default_factory=dict, description="allowed ways of fitting, by connector type"
    )
    most_joints: int = Field(default=1, ge=0, le=3, description="joints in a run of leads")
    labour: Labour = Labour()


class MoneyTerms(Base):
    """Currency, tax and budget."""

    currency: Currency
    tax: Share = Field(default=Decimal(0))
    budget: Money | None = None
    budget_includes_tax: bool = True


class Assumptions(Base):
    """Values that decide and that nobody measured."""

    conductor_temperature: Temperature = Field(default=Decimal(40))
    end_allowance: Length = Field(
        default=Decimal("1.5"), description="added to cut cable at each end of a run"
    )


class Wish(Base):
    """A requirement that may be lowered, or a place that may be left out, for want of money.

    Only ``leastkit within`` gives way on wishes; every other question is about the whole site.
    """

    rank: int = Field(ge=1, le=99, description="1 is kept before 2, 2 before 3, and so on")
    weight: int = Field(
        default=1, ge=1, le=1000, description="of one step, beside others of the same rank"
    )
    least: AsWritten | None = Field(
        default=None,
        description="the value below which it is not lowered; without it, it may be dropped",
    )


class Site(Base):
    """A site file."""

    leastkit: Literal["site/1"]
    name: Title
    note: Prose = ""
    standard: Standard = "IEC 62676-4:2014"
    money: MoneyTerms
    zones: tuple[Zone, ...] = Field(min_length=1, max_length=4096)
    recording: Recording
    audio: Audio = Audio()
    spare: Spare = Spare()
    owned: tuple[Owned, ...] = ()
    policy: Policy = Policy()
    assumptions: Assumptions = Assumptions()
    untouchable: tuple[str, ...] = Field(
        default=(),
        description="ids of requirements, such as recording/retention, that no way out may touch "
        "where the site cannot be met",
    )
    wishes: dict[str, Wish] = Field(
        default_factory=dict,
        description="requirement id to its rank: what may be given up for want of money; what is "
        "not named here is a must",
    )

    @property
    def edition(self) -> str:
        """Year of the edition whose level names the site uses."""
        return self.standard[-4:]

    def detail_px_m(self, zone: Zone) -> Fraction:
        """Required pixel density of a zone, exact. [px/m]"""
        level = DETAIL_LEVELS[self.edition].get(zone.detail)
        if level is not None:
            return level
        return units.exact(zone.detail, "density")

    def retention_days(self, zone: Zone) -> Decimal:
        """Retention of a zone: its own, or the site's. [day]"""
        return self.recording.retention if zone.retention is None else zone.retention
