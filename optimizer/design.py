"""A design as plain data: the bill, and how each piece is used.

This is what the solver produces, what the audit judges, what reports show, and what an answer
holds as JSON. It holds no reference to the model.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimizer.reading.fields import Base

Wired = Literal[
    "coax_power", "coax", "power_pair", "category", "audio_pair", "control_pair", "lead"
]


class Run(Base):
    """One cable path from a camera or audio point to the equipment room."""

    id: str
    place: str = Field(description="zone id with camera number (gate/1) or audio point id")
    medium: Wired
    items: tuple[str, ...] = Field(
        default=(), description="lead items joined, or the one cable item it is cut from"
    )
    existing: int | None = Field(
        default=None, description="index of the entry in the place's existing list"
    )
    length_cm: int = Field(description="cut length, sum of leads, or stated length")
    box: str | None = Field(default=None, description="id of the box it is cut from")


class Box(Base):
    """A box of cable and what is cut from it."""

    id: str
    item: str
    length_cm: int
    cuts: tuple[str, ...] = Field(description="run ids")
    left_cm: int


class FedFrom(Base):
    """Where a load gets its power."""

    way: Literal["own_pair", "separate_pair", "local", "poe", "camera", "none"]
    unit: str | None = Field(default=None, description="supply, switch, recorder or injector id")
    output: int | None = Field(default=None, description="output or powered port, from 1")
    volts_at_load: float | None = None
    milliamps: int | None = None
    watts: float | None = Field(default=None, description="of the load; class power for PoE")


class Served(Base):
    """A plan zone that the camera of a mount serves."""

    zone: str
    px_per_m: float = Field(description="least density at a spot that it surely sees")


class Aimed(Base):
    """How the camera of a mount is set, and what for.

    Where a figure is followed to the millionth, an edge of the picture just meets what must be
    seen: at commissioning the picture itself decides.
    """

    pan_deg: float = Field(description="of the optical axis, from the x axis of the plan to its y")
    tilt_deg: float = Field(description="of the optical axis, below the horizontal")
    serves: tuple[Served, ...]


class Seen(Base):
    """What is seen of a plan zone, worked out with its exact shapes."""

    zone: str
    share: float = Field(description="of its area, seen by as many cameras as asked")
    asked: float
    px_per_m: float = Field(description="at the spot seen worst, by the camera that sees it best")
    at: tuple[float, float] = Field(description="that spot, plan coordinates in metres")


class Camera(Base):
    """One camera and all that belongs to it.

    A camera on a mount has the mount's id in the place of its zone's, number 1, and an aim.
    """

    zone: str
    number: int
    item: str
    focal_mm: float
    view_angle_deg: float
    px_per_m: float
    picture: str = Field(description="as recorded, such as 1920x1080")
    recorder: str
    channel: int
    bit_rate: int = Field(description="bit/s")
    storage_bytes: int
    path: Literal["V1", "V2", "V3", "V4", "V5", "D1", "D2", "D3"]
    runs: tuple[str, ...] = Field(description="ids of all its runs: path, power, control")
    balun: str | None = None
    power: FedFrom
    data_port: str | None = Field(default=None, description="switch id with a plain port in use")
    control: Literal["none", "pair", "category", "coax", "network"] = "none"
    bracket: str | None = None
    aim: Aimed | None = Field(default=None, exclude_if=lambda aim: aim is None)


class Sound(Base):
    """One audio point and how it is met."""

    point: str
    way: Literal["A1", "A3", "A4", "A5", "A6", "A7", "A8"]
    microphone: str | None
    camera: str | None = Field(default=None, description="zone/number it is tied to")
    runs: tuple[str, ...] = ()
    recorder: str
    input: int | None = Field(default=None, description="audio input, from 1; none in a stream")
    power: FedFrom
    storage_bytes: int


class DriveSet(Base):
    item: str
    count: int


class Recorder(Base):
    """One recorder unit with its drives."""

    id: str
    item: str
    array: Literal["single", "mirror", "5", "6", "10"]
    drives: tuple[DriveSet, ...]
    optical_writer: str | None = None
    usable_gb: int
    stored_gb: int
    kbit_s: int = Field(description="network streams together")
    encode_kpx_s: int = Field(description="composite and hd_coax pictures together")
    channels_used: int
    channels: int
    audio_inputs_used: int = 0


class PowerUnit(Base):
    """A supply, switch or injector in use."""

    id: str
    item: str
    place: str = Field(default="room", description="room, zone/number, or audio point id")
    outputs_used: int
    outputs: int
    load: int = Field(description="mA for supplies, 10 mW for PoE")
    limit: int = Field(description="what the load may be at most, in the same unit")


class PartUse(Base):
    """Small parts in use: item, what for, how many pieces."""

    item: str
    role: str = Field(description="such as bnc/rg59, pigtail/male, coupler/bnc, rack_link")
    pieces: int


class BillLine(Base):
    """One line of the bill."""

    item: str
    kind: str
    quantity: int = Field(description="bought (packs where sold in packs)")
    unit_price: str
    line_total: str
    used: int = Field(description="pieces doing a job")
    from_stock: int = Field(default=0, description="pieces taken from what is owned")
    because: str


class Reduction(Base):
    offer: str
    amount: str
    because: str


class Design(Base):
    """A complete kit."""

    bill: tuple[BillLine, ...]
    reductions: tuple[Reduction, ...] = ()
    labour: str = "0.00"
    net: str
    tax: str
    total: str
    currency: str
    cameras: tuple[Camera, ...]
    audio: tuple[Sound, ...] = ()
    recorders: tuple[Recorder, ...]
    runs: tuple[Run, ...] = ()
    boxes: tuple[Box, ...] = ()
    supplies: tuple[PowerUnit, ...] = ()
    switches: tuple[PowerUnit, ...] = ()
    injectors: tuple[PowerUnit, ...] = ()
    parts: tuple[PartUse, ...] = ()
    seen: tuple[Seen, ...] = Field(default=(), exclude_if=lambda seen: not seen)


__all__ = [
    "Aimed",
    "BillLine",
    "Box",
    "Camera",
    "Design",
    "DriveSet",
    "FedFrom",
    "PartUse",
    "PowerUnit",
    "Recorder",
    "Reduction",
    "Run",
    "Seen",
    "Served",
    "Sound",
]
