"""Shapes of a drawing file: read from GeoJSON or DXF, each checked by the schema of what it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import Field

from optimizer.errors import InputError, Trouble
from optimizer.reading import Source, validate
from optimizer.reading.fields import Base, Ident
from optimizer.reading.source import FieldPath
from optimizer.site.plan import (
    ON_LEVEL,
    CableRoute,
    KeepOut,
    Mount,
    Obstacle,
    Outline,
    Riser,
    Room,
    Wall,
)

Pair = list[str]


class Edge(Base):
    """The edge of the plan."""

    area: Outline


class NamedArea(Base):
    """An area that a zone of the site file names."""

    id: Ident
    area: Outline
    level: Ident | None = Field(default=None, description=ON_LEVEL)


MODELS: dict[str, type[Base]] = {
    "outline": Edge,
    "wall": Wall,
    "obstacle": Obstacle,
    "route": CableRoute,
    "riser": Riser,
    "room": Room,
    "mount": Mount,
    "area": NamedArea,
    "keep_out": KeepOut,
}
"""What a shape may be, and the schema of its fields."""

SPOTS = ("riser", "room", "mount")
LINES = ("wall", "route")
NAMELESS = ("outline", "room")


@dataclass(frozen=True)
class Shape:
    """A shape of a drawing.

    Attributes
    ----------
    role : str
        A key of `MODELS`.
    id : str
        Empty where the file gives none.
    points : list of coordinate pairs
        One for a spot; a ring without its last point where it repeats the first.
    fields : dict
        Its other fields, plain data as a site file has them.
    line : int or None
        Of the file.
    where : str
        How to find it where lines do not tell, such as "handle 2F, layer RACKS".
    """

    role: str
    id: str
    points: list[Pair]
    fields: dict[str, Any] = field(default_factory=dict)
    line: int | None = None
    where: str = ""

    @property
    def name(self) -> str:
        """What it is called in messages."""
        said = f'{self.role} "{self.id}"' if self.id else self.role
        return f"{said} ({self.where})" if self.where else said

    @property
    def entry(self) -> dict[str, Any]:
        """It, as an entry of a site file."""
        geometry: dict[str, Any] = {"area": self.points}
        if self.role in SPOTS:
            geometry = {"at": self.points[0]}
        elif self.role in LINES:
            geometry = {"line": self.points}
        named = {} if self.role in NAMELESS or not self.id else {"id": self.id}
        return {**named, **geometry, **self.fields}


def checked(shapes: Sequence[Shape], file: str) -> None:
    """Check each shape by the schema of what it is.

    Raises
    ------
    InputError
        With one trouble for each thing wrong; each names its shape.
    """
    troubles = [trouble for shape in shapes for trouble in _wrong(shape, file)]
    if troubles:
        raise InputError(*troubles)


def _wrong(shape: Shape, file: str) -> Iterator[Trouble]:
    lines: dict[FieldPath, int] = {} if shape.line is None else {(): shape.line}
    try:
        validate(MODELS[shape.role], Source(file, shape.entry, lines, ""))
    except InputError as error:
        for trouble in error.troubles:
            yield Trouble(
                trouble.what,
                file,
                shape.line,
                f"{shape.name}: {trouble.field}" if trouble.field else shape.name,
                trouble.value,
                trouble.accepted,
                trouble.hint,
            )


def bare_ring(points: list[Pair]) -> list[Pair]:
    """A ring without the last point where it repeats the first."""
    return points[:-1] if len(points) > 1 and points[0] == points[-1] else points


__all__ = [
    "LINES",
    "MODELS",
    "NAMELESS",
    "SPOTS",
    "Pair",
    "Shape",
    "bare_ring",
    "checked",
]
