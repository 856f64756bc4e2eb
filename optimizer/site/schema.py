"""What a site asks: the schema of a site file.

All quantities are exact decimals in base units: metres, watts, bytes, bit/s, days, degrees
Celsius; money is in hundredths. The rules that give these fields their meaning are in
``optimizer/RULES.md``.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from optimizer import units
from optimizer.engineering.optics import DETAIL_LEVELS
from optimizer.reading.fields import (
    Base,
    BitRate,
    Duration,
    FrameRate,
    Gauge,
    Ident,
    IkCode,
    IpCode,
    Length,
    Money,
    Pace,
    Share,
    Span,
    Temperature,
    refuse,
)
from optimizer.reading.terms import (
    Codec,
    ConnectorType,
    ExportWay,
    Family,
    Medium,
    Method,
    Place,
    Route,
)

LEVEL_NAMES = sorted({name for levels in DETAIL_LEVELS.values() for name in levels})


def _detail(value: Any) -> str:
    text = str(value).strip()
    if text in LEVEL_NAMES:
        return text
    try:
        density = units.parse(text, "density")
    except units.UnitError as error:
        raise refuse(
            "this is neither a level of detail nor a pixel density",
            ", ".join(LEVEL_NAMES) + ", or a density such as 250 px/m",
            error.hint,
        ) from None
    if not Decimal(1) <= density <= Decimal(5000):
        raise refuse(
            "this density is outside the range that is believable here",
            "1 to 5000 px/m",
            "check the number and its unit",
        )
    return text


def _night(value: Any) -> str:
    text = str(value).strip()
    if text in ("lit", "dark"):
        return text
    try:
        units.parse(text, "light")
    except units.UnitError as error:
        raise refuse(
            "this does not say how light it is at night", "lit, dark, or a figure such as 2 lx", error.hint
        ) from None
    return text


def _recorded(value: Any) -> Decimal:
    if isinstance(value, Decimal):
        return value
    text = str(value)
    try:
        if "%" in text:
            share = units.parse(text, "share")
        else:
            share = units.parse(text, "duration")
    except units.UnitError:
        raise refuse(
            "this does not say how much of the day is recorded",
            "hours a day such as 12 h, or a share of the time such as 40 %",
            "write 24 h for continuous recording",
        ) from None
    if not 0 < share <= 1:
        raise refuse(
            "a day has 24 hours, and something must be recorded",
            "more than 0, at most 24 h or 100 %",
            "write 24 h for continuous recording",
        )
    return share


Detail = Annotated[
    str,
    BeforeValidator(_detail),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": LEVEL_NAMES},
                {"type": "string", "pattern": r"^\d+(\.\d+)?\s*px/(m|ft)$"},
            ]
        }
    ),
]
Night = Annotated[
    str,
    BeforeValidator(_night),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": ["lit", "dark"]},
                {"type": "string", "pattern": r"^\d+(\.\d+)?\s*(lx|lux)$"},
            ]
        }
    ),
]
Recorded = Annotated[
    Decimal,
    BeforeValidator(_recorded),
    WithJsonSchema({"type": "string", "examples": ["24 h", "40 %"]}),
]


class ExistingCable(Base):
    """Cable that is already in place along a run and may be kept."""

    medium: Medium
    length: Length = Field(description="its real length, which decides drop and reach")
    gauge: Gauge | None = Field(default=None, description="of its power conductors or pairs")
    fit: str | None = Field(
        default=None, description="rg59, rg6, rg11 (coax), cat5e, cat6 (category) or audio"
    )
    terminated: bool = Field(default=False, description="signal connectors are fitted and sound")
    count: int = Field(default=1, ge=1, le=64)

    @model_validator(mode="after")
    def _complete(self) -> ExistingCable:
        if self.medium in ("coax_power", "power_pair", "category") and self.gauge is None:
            raise ValueError(f"an existing {self.medium} needs its gauge, such as 18 AWG")
        fits = {"coax_power": "coax", "coax": "coax", "category": "category", "audio_pair": "audio"}
        wanted = {
            "coax": ("rg59", "rg6", "rg11"),
            "category": ("cat5e", "cat6"),
            "audio": ("audio",),
        }.get(fits.get(self.medium, ""), None)
        if wanted is not None and self.fit not in wanted:
            raise ValueError(f"an existing {self.medium} needs its fit: one of {', '.join(wanted)}")
        return self


class Zone(Base):
    """A place that must be seen, as a surveyed view from a camera point."""

    id: Ident
    name: str = ""
    distance: Length = Field(description="camera point to the farthest place that needs the detail")
    width: Length = Field(description="scene width to be seen at that distance")
    detail: Detail
    frame_rate: FrameRate
    place: Place = "indoors"
    ingress: IpCode | None = None
    impact: IkCode | None = None
    temperature: Span("temperature", "-90", "120") | None = None  # type: ignore[valid-type]
    night: Night = "lit"
    night_colour: bool = False
    steerable: bool = False
    discreet: bool = False
    recorded: Recorded = Field(default=Decimal(1), validate_default=False)
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
    reserve: Share = Field(default=Decimal("0.05"), description="kept free on the drives")
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

    consent: str = Field(default="", description="the lawful basis and notice, in your words")
    bit_rate: BitRate = Field(default=Decimal(64000))
    points: tuple[AudioPoint, ...] = ()


class Spare(Base):
    """Room to grow."""

    channels: int = Field(default=0, ge=0, le=1024)
    storage: Share = Field(default=Decimal(0))
    supply: Share = Field(
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

    families: tuple[Family, ...] = Field(
        default=("composite", "hd_coax", "network"), min_length=1
    )
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

    currency: str = Field(pattern=r"^[A-Z]{3}$")
    tax: Share = Field(default=Decimal(0))
    budget: Money | None = None
    budget_includes_tax: bool = True


class Assumptions(Base):
    """Values that decide and that nobody measured."""

    conductor_temperature: Temperature = Field(default=Decimal(40))
    end_allowance: Length = Field(
        default=Decimal("1.5"), description="added to cut cable at each end of a run"
    )


class Site(Base):
    """A site file."""

    leastkit: Literal["site/1"]
    name: str
    note: str = ""
    standard: Literal["IEC 62676-4:2014", "IEC 62676-4:2025"] = "IEC 62676-4:2014"
    money: MoneyTerms
    zones: tuple[Zone, ...] = Field(min_length=1, max_length=4096)
    recording: Recording
    audio: Audio = Audio()
    spare: Spare = Spare()
    owned: tuple[Owned, ...] = ()
    policy: Policy = Policy()
    assumptions: Assumptions = Assumptions()

    @property
    def edition(self) -> str:
        """Year of the edition whose level names the site uses."""
        return self.standard[-4:]

    def detail_px_m(self, zone: Zone) -> Fraction:
        """Required pixel density of a zone, exact. [px/m]"""
        level = DETAIL_LEVELS[self.edition].get(zone.detail)
        if level is not None:
            return level
        return Fraction(units.parse(zone.detail, "density"))

    def retention_days(self, zone: Zone) -> Decimal:
        """Retention of a zone: its own, or the site's. [day]"""
        return self.recording.retention if zone.retention is None else zone.retention
