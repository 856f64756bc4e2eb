"""Items that see, hear, keep, feed and switch."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, model_validator

from optimizer import units
from optimizer.pricebook.item import (
    Array,
    Feed,
    Item,
    SomeLight,
    SomeVolts,
)
from optimizer.reading.fields import (
    Base,
    BitRate,
    CelsiusRange,
    Current,
    FrameRate,
    Ident,
    IkCode,
    IpCode,
    Length,
    Lens,
    LensRange,
    Picture,
    PictureRate,
    Power,
    Storage,
    Title,
    VoltRange,
)
from optimizer.reading.readers import refuse
from optimizer.reading.terms import Codec, Display, Family


class CameraFeed(Base):
    """One way to feed a camera with low voltage."""

    feed: Feed
    watts: Power
    volts: VoltRange = Field(description="at the camera, lowest to highest")


class Camera(Item):
    kind: Literal["camera"]
    family: Family
    picture: Picture
    frame_rate: FrameRate = Field(description="highest")
    sensor_width: Lens
    sensor_height: Lens
    focal: LensRange
    steerable: bool = False
    discreet: bool = False
    outdoors: bool = False
    ingress: IpCode | None = None
    impact: IkCode | None = None
    temperature: CelsiusRange
    infrared: Length | None = Field(default=None, description="reach of its own lamps")
    lux_colour: SomeLight
    lux_mono: SomeLight | None = None
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
            raise refuse(
                "nothing can feed this camera",
                "feeds, or a poe_class, or both",
                "add feeds, such as '- {feed: 12 V DC, watts: 5 W, volts: 10.8 to 13.2 V}'",
                field="feeds",
            )
        if self.family == "network" and not self.codecs:
            raise refuse(
                "a network camera needs its codecs",
                "a list of H.264, H.265, MJPEG",
                "add a line 'codecs: [H.264]'",
                field="codecs",
            )
        if self.family != "network" and self.poe_class is not None:
            raise refuse(
                f"a {self.family} camera has no PoE class",
                "a class for network cameras only",
                "remove poe_class, or put family right",
                field="poe_class",
            )
        if len({f.feed for f in self.feeds}) != len(self.feeds):
            raise refuse(
                "the same feed stands twice",
                "each of 12 V DC and 24 V AC at most once",
                "keep one of the two",
                field="feeds",
            )
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
    displays: dict[Display, Annotated[int, Field(ge=0)]] = Field(default_factory=dict)
    export: tuple[Literal["usb", "network"], ...] = ()
    optical: Literal["none", "built_in", "own_bay", "drive_bay"] = "none"
    poe: PoePorts | None = None
    watts: Power = Decimal(0)
    mains_lead: Title | None = Field(default=None, description="type of mains lead it needs")

    @model_validator(mode="after")
    def _whole(self) -> Recorder:
        families = [f for group in self.inputs for f in group.families]
        if len(set(families)) != len(families):
            raise refuse(
                "a signal family stands in two groups of inputs",
                "each family in one group",
                "make one group of them, with the sum of the counts",
                field="inputs",
            )
        if any("network" in g.families and len(g.families) > 1 for g in self.inputs):
            raise refuse(
                "network inputs share a group with others",
                "a group of their own for network inputs",
                "write two groups, and the cap over both as channels",
                field="inputs",
            )
        if {"composite", "hd_coax"} & set(families) and self.encode_rate is None:
            raise refuse(
                "a recorder with composite or hd_coax inputs needs its encode_rate",
                units.accepts("picture rate"),
                "width x height x pictures a second, over all inputs: 8 inputs of 1920x1080 at "
                "15 fps are 249 Mpx/s",
                field="encode_rate",
            )
        if "network" in families and self.ingest is None:
            raise refuse(
                "a recorder with network inputs needs its ingest",
                units.accepts("bit rate"),
                "it is the bit rate that all network streams together may have",
                field="ingest",
            )
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
    volts: VoltRange | None = None
    plug_in: bool = Field(default=False, description="fed by a camera's microphone input")
    outdoors: bool = False

    @model_validator(mode="after")
    def _fed(self) -> Microphone:
        if self.volts is None and not self.plug_in:
            raise refuse(
                "nothing can feed this microphone",
                "volts, or plug_in: true, or both",
                "add a line 'volts: 10.8 to 13.2 V' or 'plug_in: true'",
                field="volts",
            )
        return self


class Supply(Item):
    """A low-voltage supply with outputs that each feed one load."""

    kind: Literal["supply"]
    form: Literal["distribution", "multiway", "adapter"]
    feed: Feed
    volts: SomeVolts
    outputs: int = Field(ge=1, le=64)
    output_amps: Current
    total_amps: Current
    ends: Literal["screw", "barrel"]
    class2: bool = False
    mains_lead: Title | None = None

    @model_validator(mode="after")
    def _adapter(self) -> Supply:
        if self.form == "adapter" and self.outputs != 1:
            raise refuse(
                "an adapter has one output",
                "1",
                "call it multiway if it has several barrel plugs",
                field="outputs",
            )
        ends = "screw" if self.form == "distribution" else "barrel"
        if self.ends != ends:
            raise refuse(
                f"the outputs of a supply of form {self.form} are not of this kind",
                ends,
                "put form or ends right",
                field="ends",
            )
        return self


class Switch(Item):
    kind: Literal["switch"]
    ports: int = Field(ge=1, le=256, description="for cameras, uplinks not counted")
    poe: PoePorts | None = None
    watts: Power = Decimal(0)
    mains_lead: Title | None = None

    @model_validator(mode="after")
    def _ports(self) -> Switch:
        if self.poe is not None and self.poe.ports > self.ports:
            raise refuse(
                "a switch cannot have more powered ports than ports",
                f"at least {self.poe.ports}",
                "count the powered ports in ports too",
                field="ports",
            )
        return self


class Injector(Item):
    """Feeds one camera; sits between a port of a switch and the camera."""

    kind: Literal["injector"]
    poe_class: int = Field(ge=0, le=8)
    mains_lead: Title | None = None


class Extra(Item):
    """Anything else; bought only when a site requires it."""

    kind: Literal["extra"]
