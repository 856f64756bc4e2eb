"""Paper, scale and layout of a plan drawing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

PAPERS: dict[str, tuple[float, float]] = {
    "A4": (297.0, 210.0),
    "A3": (420.0, 297.0),
    "A2": (594.0, 420.0),
    "A1": (841.0, 594.0),
    "A0": (1189.0, 841.0),
}
"""Trimmed sheets of ISO 216, lying. [mm]"""

SCALES = tuple(
    round(step * 10**power) for power in range(5) for step in (20, 25, 30, 40, 50, 75, 100, 125)
)
"""Reductions that are engraved on scale rules. Common practice; 20, 50, 100 also by ISO 5455."""

MARGIN_MM = 10.0
HEAD_MM = 16.0
SIDE_MM = 74.0
GAP_MM = 9.0
"""Above each floor, for its name. [mm]"""

_RIM_MM, _FOOT_MM = 3.0, 8.0
"""Left free of labels: beside the sheet's edges and the key, and for the caution at the foot."""

APART_MM = 18.0
"""Between two floors side by side, for what is written about either. [mm]"""

MM_PER_INCH = 25.4


class Box(NamedTuple):
    """A rectangle on the paper, from the lower left corner. [mm]"""

    x: float
    y: float
    width: float
    height: float


class Ground(NamedTuple):
    """What of the plan is shown. [m]"""

    west: float
    south: float
    east: float
    north: float

    @property
    def width(self) -> float:
        """[m]"""
        return self.east - self.west

    @property
    def height(self) -> float:
        """[m]"""
        return self.north - self.south


@dataclass(frozen=True)
class Sheet:
    """A sheet with a place for each floor.

    Attributes
    ----------
    paper : str
        A key of `PAPERS`.
    scale : int
        A metre of the plan is 1000 / scale mm on paper.
    ground : Ground
    floors : tuple of Box
        Where each floor is drawn; each is `ground` at the scale. [mm]
    side : Box
        Where legend and lists stand. [mm]
    """

    paper: str
    scale: int
    ground: Ground
    floors: tuple[Box, ...]
    side: Box

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the paper. [mm]"""
        return PAPERS[self.paper]

    @property
    def room(self) -> Box:
        """Where the plan and its labels may stand: left of the key, below the head. [mm]"""
        top = self.size_mm[1] - MARGIN_MM - HEAD_MM
        return Box(_RIM_MM, _FOOT_MM, self.side.x - 2 * _RIM_MM, top - _FOOT_MM)

    def share(self, box: Box) -> tuple[float, float, float, float]:
        """A box in shares of the paper, as plotting libraries take it."""
        wide, high = self.size_mm
        return box.x / wide, box.y / high, box.width / wide, box.height / high

    def mm(self, metres: float) -> float:
        """Metres of the plan on the paper. [mm]"""
        return metres * 1000.0 / self.scale


def laid_out(outline: Sequence[tuple[float, float]], floors: int, paper: str) -> Sheet:
    """Place the floors of a plan on a sheet at the largest scale of `SCALES` that fits.

    Parameters
    ----------
    outline : sequence of points
        Edge of the plan. [m]
    floors : int
        How many times it is drawn, side by side or one above the other, whichever is larger.
    paper : str
        A key of `PAPERS`.

    Raises
    ------
    ValueError
        If no scale makes it small enough.
    """
    xs, ys = zip(*outline, strict=True)
    room = 0.02 * max(max(xs) - min(xs), max(ys) - min(ys))
    ground = Ground(min(xs) - room, min(ys) - room, max(xs) + room, max(ys) + room)
    wide, high = PAPERS[paper]
    open_wide = wide - 2 * MARGIN_MM - SIDE_MM
    open_high = high - 2 * MARGIN_MM - HEAD_MM
    for scale in SCALES:
        width, height = ground.width * 1000 / scale, ground.height * 1000 / scale
        for columns in _columns(floors):
            rows = math.ceil(floors / columns)
            across = columns * width + (columns - 1) * APART_MM
            down = rows * (height + GAP_MM)
            if across <= open_wide and down <= open_high:
                boxes = []
                left = MARGIN_MM + (open_wide - across) / 2
                top = high - MARGIN_MM - HEAD_MM - (open_high - down) / 2
                for index in range(floors):
                    row, column = divmod(index, columns)
                    x = left + column * (width + APART_MM)
                    y = top - (row + 1) * (height + GAP_MM)
                    boxes.append(Box(x, y, width, height))
                side = Box(wide - MARGIN_MM - SIDE_MM + 5, MARGIN_MM, SIDE_MM - 5, open_high)
                return Sheet(paper, scale, ground, tuple(boxes), side)
    raise ValueError(f"a plan {ground.width:g} m wide fits on no sheet")


def _columns(floors: int) -> list[int]:
    return sorted({floors, 1, math.ceil(math.sqrt(floors))}, reverse=True)


def bar_length(sheet: Sheet, most_mm: float = 60.0) -> int:
    """Length of the scale bar: 1, 2 or 5 times a power of ten, at most so long on paper. [m]"""
    steps = [step * 10**power for power in range(5) for step in (1, 2, 5)]
    return max((step for step in steps if sheet.mm(step) <= most_mm), default=1)


__all__ = ["PAPERS", "SCALES", "Box", "Ground", "Sheet", "bar_length", "laid_out"]
