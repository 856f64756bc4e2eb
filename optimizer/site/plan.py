"""What a site says of its plan: shapes, mounts, and zones that are areas on it.

Coordinates are bare numbers in the plan's `unit` (or lengths with a unit of their own), x to the
right and y up on the sheet, exact decimals as written. Directions are in degrees from the x axis
towards the y axis: 0 deg points right, 90 deg up. Heights are above the floor or ground of the
level. What is on one level neither sees nor hides what is on another.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field, WithJsonSchema, model_validator

from optimizer import units
from optimizer.reading.fields import (
    Base,
    BitRate,
    CelsiusRange,
    Duration,
    FrameRate,
    Ident,
    IkCode,
    IpCode,
    Length,
    Share,
    SpanOf,
    Title,
)
from optimizer.reading.readers import FieldReader, quantity, refuse, span
from optimizer.reading.terms import Place, Route
from optimizer.site.terms import Detail, ExistingCable, Night, Recorded

PlanUnit = Literal["m", "cm", "mm", "ft", "in"]
_COORDINATE_ACCEPTED = "a number in the unit of the plan, such as 12.5, or a length such as 41 ft"
_MOST_COORDINATE = Decimal(10) ** 9
_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]{1,2})?")


def _coordinate(text: str) -> str:
    word = text.strip()
    if _NUMBER.fullmatch(word) and len(word) <= 40:
        if abs(Decimal(word)) <= _MOST_COORDINATE:
            return word
        hint = "check the number; plans in coordinates of the earth must be shifted to the site"
        raise refuse("this coordinate is outside what is believable", _COORDINATE_ACCEPTED, hint)
    try:
        units.parse(word, "length")
    except units.UnitError as error:
        raise refuse("this is not a coordinate", _COORDINATE_ACCEPTED, error.hint) from None
    return word


Coordinate = Annotated[
    str,
    FieldReader(
        str,
        _coordinate,
        _COORDINATE_ACCEPTED,
        "12.5",
        {"type": ["number", "string"], "description": _COORDINATE_ACCEPTED},
    ),
]


def _pair(value: Any) -> Any:
    if isinstance(value, list | tuple) and len(value) == 2:
        return value
    raise refuse(
        "this is not a point of the plan",
        "[x, y] in the unit of the plan, such as [2.5, 3]",
        "write two coordinates in brackets",
    )


Point = Annotated[tuple[Coordinate, Coordinate], BeforeValidator(_pair)]
Angle = Annotated[Decimal, quantity("angle", "-360 deg", "360 deg")]
Arc = Annotated[Decimal, quantity("angle", "1 deg", "360 deg")]
Apart = Annotated[Decimal, quantity("angle", "0 deg", "180 deg")]
Tilt = Annotated[Decimal, quantity("angle", "1 deg", "90 deg")]
FloorHeight = Annotated[Decimal, quantity("length", "-200 m", "1000 m")]
Heights = Annotated[SpanOf, span("length", "0 m", "200 m", "0 to 1.8 m")]
MountHeight = Annotated[Decimal, quantity("length", "10 cm", "200 m")]
WholeShare = Annotated[Decimal, quantity("share", "1 %", "100 %")]

_POINT = {"type": "array", "minItems": 2, "maxItems": 2, "items": {"type": ["number", "string"]}}
_NAMED = {"type": "string", "description": "id of a shape in plan.file"}


def _or_named(schema: dict[str, Any]) -> WithJsonSchema:
    """A shape may be named where a drawing holds it; it is put in place before validation."""
    return WithJsonSchema({"anyOf": [schema, _NAMED]})


def _no_name(value: Any) -> Any:
    if isinstance(value, str):
        raise refuse(
            "this names a shape, and there is no drawing that could hold it",
            "coordinates, such as [[0, 0], [4, 0], [4, 3]] or [2.5, 3]",
            "write coordinates, or name the drawing in plan.file",
        )
    return value


Line = Annotated[tuple[Point, ...], Field(min_length=2, max_length=10_000)]
Outline = Annotated[
    tuple[Point, ...],
    Field(min_length=3, max_length=10_000),
    BeforeValidator(_no_name),
    _or_named({"type": "array", "minItems": 3, "items": _POINT}),
]
Spot = Annotated[Point, BeforeValidator(_no_name), _or_named(_POINT)]


ON_LEVEL = "left out: the first of plan.levels"


class Wall(Base):
    """A wall: a line that nothing is seen through."""

    id: Ident
    line: Line
    level: Ident | None = Field(default=None, description=ON_LEVEL)
    height: Length | None = Field(
        default=None, description="what is higher is seen over it; left out: nothing is"
    )


class Obstacle(Base):
    """Something that stands in the way: a rack, a column, a building."""

    id: Ident
    area: Outline
    level: Ident | None = Field(default=None, description=ON_LEVEL)
    height: Length | None = Field(
        default=None, description="what is higher is seen over it; left out: nothing is"
    )


class CableRoute(Base):
    """Where cable may be laid; routes of a level that meet or cross are joined there."""

    id: Ident
    line: Line
    level: Ident | None = Field(default=None, description=ON_LEVEL)
    length: Length | None = Field(
        default=None, description="its real length, where the drawing does not show it"
    )
    route: Route = Field(default="indoor", description="what the cable must be made for on it")


class Riser(Base):
    """Where cable may change levels; it meets a cable route on each."""

    id: Ident
    at: Spot
    levels: tuple[Ident, ...] = Field(default=(), description="left out: all of plan.levels")
    route: Route = Field(default="riser", description="what the cable must be made for in it")


class Room(Base):
    """The equipment room, where all runs end."""

    at: Point
    name: Title = ""
    level: Ident | None = Field(default=None, description=ON_LEVEL)
    height: Length = Field(
        default=Decimal("1.5"), description="where cable ends, above the floor; common practice"
    )


class KeepOut(Base):
    """A place that no camera may show in more than little detail."""

    id: Ident
    name: Title = ""
    area: Outline
    level: Ident | None = Field(default=None, description=ON_LEVEL)
    detail: Detail = Field(description="most that may be shown of it")
    mask: bool = Field(default=False, description="a privacy mask is allowed there instead")
    heights: Heights = SpanOf(Decimal(0), Decimal(3))


class Layer(Base):
    """What the shapes on a layer of a drawing are; other fields go to each of them."""

    shape: Literal[
        "outline", "wall", "obstacle", "route", "riser", "room", "mount", "area", "keep_out"
    ]
    set: dict[Ident, str] = Field(
        default_factory=dict, description="fields for each shape, such as height: 3 m"
    )


def _from_file(schema: dict[str, Any]) -> None:
    """In a site file the drawing may give the outline."""
    schema["required"].remove("outline")
    schema["anyOf"] = [{"required": ["outline"]}, {"required": ["file"]}]


class Plan(Base):
    """A floor or site plan."""

    model_config = ConfigDict(json_schema_extra=_from_file)

    unit: PlanUnit = Field(default="m", description="of coordinates that carry none")
    file: Title | None = Field(
        default=None, description="GeoJSON (.geojson, .json) or DXF (.dxf) with shapes"
    )
    layers: dict[Title, Layer] = Field(
        default_factory=dict, description="of a DXF file: what is drawn on each"
    )
    north: Angle | None = Field(default=None, description="direction of north on the sheet")
    levels: dict[Ident, FloorHeight] = Field(
        default_factory=dict, description="storeys, with the height of each floor"
    )
    outline: Outline = Field(description="edge of the plan: everything lies within")
    walls: tuple[Wall, ...] = Field(default=(), max_length=20_000)
    obstacles: tuple[Obstacle, ...] = Field(default=(), max_length=20_000)
    room: Room | None = None
    routes: tuple[CableRoute, ...] = Field(default=(), max_length=5_000)
    risers: tuple[Riser, ...] = Field(default=(), max_length=1_000)
    route_height: Length = Field(
        default=Decimal(3), description="of cable routes above the floor; common practice"
    )
    allowance: Share = Field(
        default=Decimal("0.05"),
        description="added to lengths taken from the plan, for bends; common practice",
    )
    keep_outs: tuple[KeepOut, ...] = Field(default=(), max_length=1_000)

    def level_of(self, named: str | None) -> str:
        """The level of what names one, or none; "" on a plan without levels."""
        return named if named is not None else next(iter(self.levels), "")

    def metres(self, coordinate: str) -> Fraction:
        """A coordinate in metres, exact."""
        if _NUMBER.fullmatch(coordinate):
            return Fraction(coordinate) * units.DIMENSIONS["length"].factors[self.unit]
        return units.exact(coordinate, "length")

    def spot(self, point: Point) -> tuple[float, float]:
        """A point in metres, each coordinate the nearest float."""
        return float(self.metres(point[0])), float(self.metres(point[1]))


def _from_shape(schema: dict[str, Any]) -> None:
    """In a site file the shape that a mount names may give its height."""
    schema["required"].remove("height")
    schema["if"] = {"properties": {"at": {"type": "array"}}}
    schema["then"] = {"required": ["height"]}


class Mount(Base):
    """A place where one camera can be fixed."""

    model_config = ConfigDict(json_schema_extra=_from_shape)

    id: Ident
    name: Title = ""
    at: Spot
    level: Ident | None = Field(default=None, description=ON_LEVEL)
    height: MountHeight = Field(description="of the camera above the floor or ground")
    facing: Angle | None = Field(
        default=None, description="middle of the directions that are open; none: all are"
    )
    swing: Arc | None = Field(
        default=None, description="how wide the open directions are; 180 deg where left out"
    )
    place: Place = "indoors"
    ingress: IpCode | None = None
    impact: IkCode | None = None
    temperature: CelsiusRange | None = None
    run: Length | None = Field(
        default=None,
        description="cable path to the equipment room; left out: the shortest along plan.routes",
    )
    route: Route | None = Field(
        default=None, description="left out: what the cable routes on its way ask, else indoor"
    )
    mains: bool = Field(default=False, description="mains is at hand at the camera point")
    existing: tuple[ExistingCable, ...] = ()

    @model_validator(mode="after")
    def _open(self) -> Mount:
        if self.facing is None and self.swing is not None and self.swing < 360:
            raise refuse(
                "the open directions need their middle",
                units.accepts("angle"),
                "add a line 'facing: ...': 0 deg is to the right on the plan, 90 deg up",
                field="facing",
            )
        return self

    @property
    def swing_deg(self) -> float:
        """How wide the open directions are. [degree]"""
        if self.facing is None:
            return 360.0
        return 180.0 if self.swing is None else float(self.swing)


class PlanZone(Base):
    """A place that must be seen, as an area on the plan."""

    id: Ident
    name: Title = ""
    area: Outline
    level: Ident | None = Field(default=None, description=ON_LEVEL)
    detail: Detail
    share: WholeShare = Field(default=Decimal(1), description="of the area that must be seen")
    cameras: int = Field(
        default=1, ge=1, le=4, description="different cameras that must see each spot"
    )
    apart: Apart = Field(
        default=Decimal(0), description="least angle between the directions they see it from"
    )
    heights: Heights = Field(
        default=SpanOf(Decimal(0), Decimal("1.8")),
        description="above the floor, at which a target must be seen: a person, feet to head",
    )
    faces: bool = Field(
        default=False, description="faces are to be known: assumptions.face_tilt holds"
    )
    most_tilt: Tilt | None = Field(
        default=None, description="most that the line of sight may fall towards it"
    )
    frame_rate: FrameRate
    night: Night = "lit"
    night_colour: bool = False
    discreet: bool = False
    recorded: Recorded = Field(default=Decimal(1))
    retention: Duration | None = None
    bit_rate: BitRate | None = Field(default=None, description="measured, for each camera here")

    @model_validator(mode="after")
    def _sensible(self) -> PlanZone:
        if self.apart > 0 and self.cameras == 1:
            raise refuse(
                "directions can lie apart only where several cameras see each spot",
                "cameras of at least 2 beside apart",
                "add a line 'cameras: 2', or leave apart out",
                field="apart",
            )
        return self


__all__ = [
    "CableRoute",
    "KeepOut",
    "Layer",
    "Mount",
    "Obstacle",
    "Plan",
    "PlanUnit",
    "PlanZone",
    "Point",
    "Riser",
    "Room",
    "Wall",
]
