"""What a site asks: the schema of a site file.

All quantities are exact decimals in base units: metres, watts, bytes, bit/s, days, degrees
Celsius; money is in hundredths. The rules that give these fields their meaning are in
``optimizer/RULES.md``.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

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
from optimizer.reading.terms import (
    Codec,
    ConnectorType,
    ExportWay,
    Family,
    Method,
    Place,
    Route,
)
from optimizer.site.plan import KeepOut, Mount, Plan, PlanZone, Tilt
from optimizer.site.terms import (
    LEVEL_NAMES,
    STANDARDS,
    Detail,
    ExistingCable,
    Night,
    Recorded,
    Standard,
)


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


def _sort_of_zone(entry: Any) -> str:
    """What an entry of zones is, by what stands in it."""
    on_plan = "area" in entry if isinstance(entry, dict) else isinstance(entry, PlanZone)
    return "[area]" if on_plan else "[view]"


AnyZone = Annotated[
    Annotated[Zone, Tag("[view]")] | Annotated[PlanZone, Tag("[area]")],
    Discriminator(_sort_of_zone),
]
"""A surveyed view, or with `area` a zone on the plan; the two mix freely."""


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
        default=Decimal("0.2"),
        description="share of the rating of each supply, and of each of its outputs, that stays in "
        "hand for switching on, heat and age",
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

    @property
    def stated_tax(self) -> str | None:
        """The rate as people write it, "20 %"; None where no tax is stated."""
        return f"{float(self.tax * 100):g} %" if self.tax else None


class Assumptions(Base):
    """Values that decide and that nobody measured."""

    conductor_temperature: Temperature = Field(default=Decimal(40))
    end_allowance: Length = Field(
        default=Decimal("1.5"), description="added to cut cable at each end of a run"
    )
    face_tilt: Tilt = Field(
        default=Decimal(30),
        description="most that a line of sight may fall towards a face; common practice",
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
    zones: tuple[AnyZone, ...] = Field(min_length=1, max_length=4096)
    plan: Plan | None = None
    mounts: tuple[Mount, ...] = Field(default=(), max_length=1000)
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
    def views(self) -> tuple[Zone, ...]:
        """Zones that are surveyed views, in the order of the file."""
        return tuple(z for z in self.zones if isinstance(z, Zone))

    @property
    def areas(self) -> tuple[PlanZone, ...]:
        """Zones that are areas on the plan, in the order of the file."""
        return tuple(z for z in self.zones if isinstance(z, PlanZone))

    @property
    def edition(self) -> str:
        """Year of the edition whose level names the site uses."""
        return self.standard[-4:]

    def detail_px_m(self, zone: Zone | PlanZone | KeepOut) -> Fraction:
        """Required pixel density of a zone (or most of a keep-out area), exact. [px/m]"""
        level = DETAIL_LEVELS[self.edition].get(zone.detail)
        if level is not None:
            return level
        return units.exact(zone.detail, "density")

    def retention_days(self, zone: Zone | PlanZone) -> Decimal:
        """Retention of a zone: its own, or the site's. [day]"""
        return self.recording.retention if zone.retention is None else zone.retention

    def most_tilt_deg(self, zone: PlanZone) -> Decimal | None:
        """Most that a line of sight may fall towards a zone's targets; None for any. [degree]"""
        limits = [zone.most_tilt, self.assumptions.face_tilt if zone.faces else None]
        return min((one for one in limits if one is not None), default=None)


__all__ = [
    "LEVEL_NAMES",
    "STANDARDS",
    "AnyZone",
    "Assumptions",
    "Audio",
    "AudioPoint",
    "Detail",
    "Displays",
    "ExistingCable",
    "KeepOut",
    "Labour",
    "MoneyTerms",
    "Mount",
    "Needed",
    "Night",
    "Owned",
    "Plan",
    "PlanZone",
    "Policy",
    "Recorded",
    "Recording",
    "Site",
    "Spare",
    "Standard",
    "Zone",
]
