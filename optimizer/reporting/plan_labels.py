"""Where labels of a drawing stand, so that they do not lie on each other."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely

from optimizer.reporting.plan_sheet import Box

_LINE_MM = 0.42
"""Height of a line of text of 1 pt, with its leading. [mm]"""

_WIDE_MM = 0.21
"""Mean width of a character of 1 pt, rather too wide. [mm]"""

_TURNS = (0.0, 45.0, -45.0, 90.0, -90.0, 135.0, -135.0, 180.0)
_REACHES = (1.0, 1.8, 2.8)
_FINER_TURNS = tuple(sign * 22.5 * k for k in range(9) for sign in (1, -1) if k or sign > 0)
_FINER_REACHES = (1.0, 1.4, 1.8, 2.3, 2.8, 3.4, 4.0)
"""Where a place is sought if none of the first is free."""

_FAR = 0.15
"""How much ground under a label a unit of reach is worth, where none is free. [mm^2]"""

_GRID = 11
"""Spots tried along each side of the box around an area."""


class Places:
    """Rectangles that are taken on the paper. [mm]

    Parameters
    ----------
    room : Box
        Where labels may stand: none goes beyond it, under the key or off the sheet. [mm]
    """

    def __init__(self, room: Box) -> None:
        self.room = room
        self.taken: list[Box] = []

    def _kept(self, box: Box) -> Box:
        """A rectangle moved into the room, by as little as that takes."""
        west, south, wide, high = self.room
        x = max(west, min(box.x, west + wide - box.width))
        y = max(south, min(box.y, south + high - box.height))
        return Box(x, y, box.width, box.height)

    def take(self, x: float, y: float, half: float) -> None:
        """Keep a square about a symbol free."""
        self.taken.append(Box(x - half, y - half, 2 * half, 2 * half))

    def along(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Keep a line free, as far as there is room elsewhere: two squares to the centimetre."""
        steps = max(1, math.ceil(math.dist(start, end) / 5.0))
        for step in range(steps + 1):
            share = step / steps
            x = start[0] + share * (end[0] - start[0])
            y = start[1] + share * (end[1] - start[1])
            self.take(x, y, 0.4)

    def near(
        self, x: float, y: float, text: str, points: float, towards: float, away: float
    ) -> tuple[float, float]:
        """The middle of a label beside a symbol.

        Parameters
        ----------
        x, y : float
            Of the symbol. [mm]
        text : str
            May have several lines.
        points : float
            Size of the letters. [pt]
        towards : float
            Direction in which the label should lie, if there is room. [degree]
        away : float
            Distance of the label's edge from the symbol. [mm]

        Returns
        -------
        tuple of float
            The first place free of others; the one with least of others under it if none is. [mm]
        """
        wide, high = extent(text, points)

        def at(reach: float, turn: float) -> Box:
            angle = math.radians(towards + turn)
            u = x + math.cos(angle) * (away * reach + wide / 2)
            v = y + math.sin(angle) * (away * reach + high / 2)
            return self._kept(Box(u - wide / 2, v - high / 2, wide, high))

        first = (at(reach, turn) for reach in _REACHES for turn in _TURNS)
        box = next((b for b in first if not self._over(b)), None)
        if box is None:
            box = min(
                ((reach, at(reach, turn)) for reach in _FINER_REACHES for turn in _FINER_TURNS),
                key=lambda one: self._over(one[1]) + _FAR * one[0],
            )[1]
        self.taken.append(box)
        return box.x + wide / 2, box.y + high / 2

    def inside(
        self,
        outline: Sequence[tuple[float, float]],
        spot: tuple[float, float],
        text: str,
        points: float,
        shy: Sequence[Box] = (),
    ) -> tuple[float, float]:
        """The middle of a label within an area, where least lies under it, near a spot.

        Parameters
        ----------
        outline : sequence of tuple of float
            Corners of the area. [mm]
        spot : tuple of float
            Where it would stand best; it stays there if it fits nowhere else in the area. [mm]
        shy : sequence of Box
            What had rather not be covered. [mm]
        """
        wide, high = extent(text, points)
        area = shapely.Polygon(outline)
        west, south, east, north = area.bounds
        spots = [
            spot,
            *(
                (west + (east - west) * i / _GRID, south + (north - south) * j / _GRID)
                for i in range(1, _GRID)
                for j in range(1, _GRID)
            ),
        ]

        def cost(place: tuple[float, float]) -> float:
            box = about(place, wide, high)
            under = self._over(box) + sum(shared(box, other) for other in shy) / 4
            return under + _FAR * math.dist(place, spot) / high

        whole = [
            p
            for p in spots
            if area.covers(shapely.box(p[0] - wide / 2, p[1] - high / 2, p[0] + wide / 2,
                                       p[1] + high / 2))
        ]  # fmt: skip
        box = self._kept(about(min(whole or [spot], key=cost), wide, high))
        self.taken.append(box)
        return box.x + wide / 2, box.y + high / 2

    def _over(self, box: Box) -> float:
        """How much of what is taken a rectangle would cover. [mm^2]"""
        return sum(shared(box, other) for other in self.taken)

    def try_at(self, x: float, y: float, text: str, points: float) -> bool:
        """Take the place about a spot if it is free; False if it is not."""
        wide, high = extent(text, points)
        box = about((x, y), wide, high)
        if self._kept(box) != box or any(shared(box, other) for other in self.taken):
            return False
        self.taken.append(box)
        return True


def about(spot: tuple[float, float], wide: float, high: float) -> Box:
    """A rectangle with its middle at a spot."""
    return Box(spot[0] - wide / 2, spot[1] - high / 2, wide, high)


def extent(text: str, points: float) -> tuple[float, float]:
    """About the width and height of a text on paper. [mm]"""
    lines = text.split("\n")
    return max(map(len, lines)) * points * _WIDE_MM + 1.0, len(lines) * points * _LINE_MM + 0.6


def shared(one: Box, other: Box) -> float:
    """Area that two rectangles share. [mm^2]"""
    wide = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
    high = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
    return max(wide, 0.0) * max(high, 0.0)


__all__ = ["Places", "about", "extent", "shared"]
