"""What can be bought: the schema of a price book, one model for each kind of item.

All quantities are exact decimals in base units, prices in hundredths of the currency unit. The
rules that say how items work together are in ``optimizer/RULES.md``.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, model_validator

from optimizer.reading.fields import (
    Base,
    BitRate,
    Current,
    FrameRate,
    Gauge,
    Ident,
    IkCode,
    IpCode,
    Length,
    Lens,
    Light,
    Minutes,
    Money,
    Picture,
    PictureRate,
    Power,
    Share,
    Span,
    Storage,
    Voltage,
)
from optimizer.reading.terms import Codec, ConnectorType, Display, Family, Medium, Method

Feed = Literal["12 V DC", "24 V AC"]
Fire = Literal["CMX", "CM", "CMG", "CMR", "CMP"]
Array = Literal["mirror", "5", "6", "10"]
Volts = Span("voltage", "0", "500")
Celsius = Span("temperature", "-90", "120")


class PriceBreak(Base):
    """Unit price of every piece when at least this many are bought."""

    at_least: int = Field(ge=2)
    price: Money


class Item(Base):
    """What all items have."""

    id: Ident
    name: str = Field(min_length=1)
    price: Money
    breaks: tuple[PriceBreak, ...] = ()
    note: str = ""

    @model_validator(mode="after")
    def _breaks_rise(self) -> Item:
        starts = [b.at_least for b in self.breaks]
        if starts != sorted(set(starts)):
            raise ValueError("price breaks must stand in rising order of at_least")
        return self


class CameraFeed(Base):
    """One way to feed a camera with low voltage."""

    feed: Feed
    watts: Power
    volts: Volts = Field(description="at the camera, lowest to highest")  # type: ignore[valid-type]


class Camera(Item):
    kind: Literal["camera"]
    family: Family
    picture: Picture
    frame_rate: FrameRate = Field(description="highest")
    sensor_width: Lens
    sensor_height: Lens
    focal: Span("lens", "0.5", "500")  # type: ignore[valid-type]
    steerable: bool = False
    discreet: bool = False
    outdoors: bool = False
    ingress: IpCode | None = None
    impact: IkCode | None = None
    temperature: Celsius  # type: ignore[valid-type]
    infrared: Length | None = Field(default=None, description="reach of its own lamps")
    lux_colour: Light
    lux_mono: Light | None = None
    feeds: tuple[CameraFeed, ...] = ()
    poe_class: int | None = Field(default=None, ge=0, le=8)
    power_plug: Literal["barrel", "terminals"] = "barrel"
    audio: Literal["none", "input", "built_in"] = "none"
    control: Literal["none", "rs485", "coax", "network"] = "none"
    unit_load: Decimal = Field(default=Decimal(1), gt=0, le=1)
    codecs: tuple[Codec, ...] = ()
    bracket: Ident | None = Field(default=None, description="hole pattern that needs a bracket")

    @model_validator(mode="after")
    def _whole(self) -> Camera:
        if not self.feeds and self.poe_class is None:
            raise ValueError("a camera needs at least one feed or a PoE class")
        if self.family == "network" and not self.codecs:
            raise ValueError("a network camera needs its codecs")
        if self.family != "network" and self.poe_class is not None:
            raise ValueError("only a network camera has a PoE class")
        if len({f.feed for f in self.feeds}) != len(self.feeds):
            raise ValueError("each feed may stand only once")
        return self


class Inputs(Base):
    """A group of equal recorder inputs."""

    families: tuple[Family, ...] = Field(min_length=1)
    count: int = Field(ge=1, le=512)
    picture: Picture = Field(description="largest recorded picture")


class PoePorts(Base):
    """Powered ports."""

    ports: int = Field(ge=1, le=256)
    poe_class: int = Field(ge=0, le=8, description="highest class a port feeds")
    budget: Power = Field(description="for all ports together")


class Recorder(Item):
    kind: Literal["recorder"]
    inputs: tuple[Inputs, ...] = Field(min_length=1)
    channels: int | None = Field(default=None, ge=1, description="cap over all inputs together")
    encode_rate: PictureRate | None = Field(default=None, description="for composite and hd_coax")
    ingest: BitRate | None = Field(default=None, description="for network streams together")
    codecs: tuple[Codec, ...] = Field(min_length=1)
    audio_inputs: int = Field(default=0, ge=0)
    bays: int = Field(ge=1, le=48)
    largest_drive: Storage
    arrays: tuple[Array, ...] = ()
    control: tuple[Literal["rs485", "coax"], ...] = ()
    unit_loads: int = Field(default=32, ge=0, le=256)
    displays: dict[Display, int] = Field(default_factory=dict)
    export: tuple[Literal["usb", "network"], ...] = ()
    optical: Literal["none", "built_in", "own_bay", "drive_bay"] = "none"
    poe: PoePorts | None = None
    watts: Power = Decimal(0)
    mains_lead: str | None = Field(default=None, description="type of mains lead it needs")

    @model_validator(mode="after")
    def _whole(self) -> Recorder:
        families = [f for group in self.inputs for f in group.families]
        if len(set(families)) != len(families):
            raise ValueError("each signal family may stand in one group of inputs only")
        if any("network" in g.families and len(g.families) > 1 for g in self.inputs):
            raise ValueError("network inputs form a group of their own")
        if {"composite", "hd_coax"} & set(families) and self.encode_rate is None:
            raise ValueError("a recorder with composite or hd_coax inputs needs its encode_rate")
        if "network" in families and self.ingest is None:
            raise ValueError("a recorder with network inputs needs its ingest limit")
        return self


class Drive(Item):
    kind: Literal["drive"]
    capacity: Storage
    watts: Power = Decimal(0)


class OpticalWriter(Item):
    kind: Literal["optical_writer"]


class Microphone(Item):
    kind: Literal["microphone"]
    watts: Power = Decimal(0)
    volts: Volts | None = None  # type: ignore[valid-type]
    plug_in: bool = Field(default=False, description="fed by a camera's microphone input")
    outdoors: bool = False

    @model_validator(mode="after")
    def _fed(self) -> Microphone:
        if self.volts is None and not self.plug_in:
            raise ValueError("a microphone needs its volts or must be plug_in")
        return self


class Laid(Item):
    """Anything that lies along a run."""

    fire: Fire = "CM"
    outdoor: bool = False
    burial: bool = False
    gauge: Gauge | None = Field(default=None, description="of power conductors or category pairs")
    fit: str | None = Field(default=None, description="rg59, rg6, rg11, cat5e, cat6 or audio")


class Lead(Laid):
    """A ready-made lead, connectors fitted at the factory; never cut."""

    kind: Literal["lead"]
    carries: tuple[Literal["video", "power", "audio", "data"], ...] = Field(min_length=1)
    length: Length
    series: Ident = Field(description="leads of one series differ in length only and join up")
    joinable: bool = False
    coupler: Ident | None = Field(default=None, description="type of coupler each joint needs")
    reach: dict[Family, Length] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _whole(self) -> Lead:
        carried = tuple(sorted(self.carries))
        if carried not in {
            ("power", "video"),
            ("audio", "power", "video"),
            ("audio", "power"),
            ("data",),
        }:
            raise ValueError(
                "a lead carries video+power, video+power+audio, power+audio, or data alone"
            )
        if "power" in carried and self.gauge is None:
            raise ValueError("a lead that carries power needs its gauge")
        if "video" in carried and self.fit not in ("rg59", "rg6", "rg11"):
            raise ValueError("a lead that carries video needs its fit: rg59, rg6 or rg11")
        return self


class Cable(Laid):
    """A box of cable, cut to length."""

    kind: Literal["cable"]
    medium: Medium
    construction: Ident = Field(description="boxes of one construction differ in length only")
    box: Length
    reach: dict[Family, Length] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _whole(self) -> Cable:
        if self.medium in ("coax_power", "power_pair", "category") and self.gauge is None:
            raise ValueError(f"a {self.medium} cable needs its gauge")
        fits = {
            "coax_power": ("rg59", "rg6", "rg11"),
            "coax": ("rg59", "rg6", "rg11"),
            "category": ("cat5e", "cat6"),
            "audio_pair": ("audio",),
        }.get(self.medium)
        if fits is not None and self.fit not in fits:
            raise ValueError(f"a {self.medium} cable needs its fit: one of {', '.join(fits)}")
        return self


class Packed(Item):
    """Small parts, sold in packs."""

    pack: int = Field(default=1, ge=1, description="pieces for one price")
    minutes: Minutes = Decimal(0)


class Connector(Packed):
    kind: Literal["connector"]
    type: ConnectorType
    fits: tuple[str, ...] = Field(min_length=1, description="rg59, rg6, rg11, cat5e, cat6, audio")
    method: Method
    tool: Ident | None = Field(default=None, description="type of tool that fits it")


class Pigtail(Packed):
    kind: Literal["pigtail"]
    gender: Literal["male", "female"]


class Coupler(Packed):
    kind: Literal["coupler"]
    type: Ident


class Splitter(Packed):
    """Feeds a camera and a microphone from one barrel plug."""

    kind: Literal["splitter"]


class Tool(Item):
    kind: Literal["tool"]
    types: tuple[Ident, ...] = Field(min_length=1)


class Balun(Item):
    """One end of a video run over category cable; a run takes two of the same item."""

    kind: Literal["balun"]
    families: tuple[Literal["composite", "hd_coax"], ...] = Field(min_length=1)
    reach: Length
    power_pairs: int = Field(default=0, ge=0, le=3, description="pairs that carry power")
    active: bool = False
    watts: Power = Field(default=Decimal(0), description="drawn at the camera end")

    @model_validator(mode="after")
    def _fed(self) -> Balun:
        if self.watts and not self.power_pairs:
            raise ValueError("a balun that draws power must carry it: give power_pairs")
        return self


class Supply(Item):
    """A low-voltage supply with outputs that each feed one load."""

    kind: Literal["supply"]
    form: Literal["distribution", "multiway", "adapter"]
    feed: Feed
    volts: Voltage
    outputs: int = Field(ge=1, le=64)
    output_amps: Current
    total_amps: Current
    ends: Literal["screw", "barrel"]
    class2: bool = False
    mains_lead: str | None = None

    @model_validator(mode="after")
    def _adapter(self) -> Supply:
        if self.form == "adapter" and (self.outputs != 1 or self.ends != "barrel"):
            raise ValueError("an adapter has one output with a barrel plug")
        if self.form == "multiway" and self.ends != "barrel":
            raise ValueError("a multiway supply has barrel plugs")
        if self.form == "distribution" and self.ends != "screw":
            raise ValueError("a distribution supply has screw terminals")
        return self


class Switch(Item):
    kind: Literal["switch"]
    ports: int = Field(ge=1, le=256, description="for cameras, uplinks not counted")
    poe: PoePorts | None = None
    watts: Power = Decimal(0)
    mains_lead: str | None = None

    @model_validator(mode="after")
    def _ports(self) -> Switch:
        if self.poe is not None and self.poe.ports > self.ports:
            raise ValueError("a switch cannot have more powered ports than ports")
        return self


class Injector(Item):
    """Feeds one camera; sits between a port of a switch and the camera."""

    kind: Literal["injector"]
    poe_class: int = Field(ge=0, le=8)
    mains_lead: str | None = None


class Bracket(Item):
    kind: Literal["bracket"]
    fits: tuple[Ident, ...] = Field(min_length=1, description="hole patterns")


class MainsLead(Item):
    kind: Literal["mains_lead"]
    type: str


class Extra(Item):
    """Anything else; bought only when a site requires it."""

    kind: Literal["extra"]


AnyItem = Annotated[
    Camera
    | Recorder
    | Drive
    | OpticalWriter
    | Microphone
    | Lead
    | Cable
    | Connector
    | Pigtail
    | Coupler
    | Splitter
    | Tool
    | Balun
    | Supply
    | Switch
    | Injector
    | Bracket
    | MainsLead
    | Extra,
    Field(discriminator="kind"),
]


class Condition(Base):
    """At least this many pieces bought, of these items together."""

    items: tuple[Ident, ...] = Field(min_length=1)
    at_least: int = Field(ge=1)


class Offer(Base):
    """A reduction that applies, once, exactly when all its conditions hold."""

    id: Ident
    name: str = Field(min_length=1)
    when: tuple[Condition, ...] = Field(min_length=1)
    off: Money | None = Field(default=None, description="a sum")
    percent: Share | None = Field(default=None, description="of the list price of each piece in on")
    on: tuple[Ident, ...] = ()
    most: int | None = Field(default=None, ge=1, description="most pieces of `on` reduced")

    @model_validator(mode="after")
    def _one_kind(self) -> Offer:
        if (self.off is None) == (self.percent is None):
            raise ValueError("an offer gives either off (a sum) or percent (with on)")
        if (self.percent is None) != (not self.on):
            raise ValueError("percent and on go together")
        if self.most is not None and self.percent is None:
            raise ValueError("most goes with percent")
        return self


class Book(Base):
    """A price book file."""

    leastkit: Literal["book/1"]
    name: str
    currency: str = Field(pattern=r"^[A-Z]{3}$")
    note: str = ""
    extends: Literal["builtin"] | None = None
    remove: tuple[Ident, ...] = ()
    items: tuple[AnyItem, ...] = ()
    offers: tuple[Offer, ...] = ()
