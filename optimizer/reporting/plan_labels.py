"""Where labels of a drawing stand, so that they do not lie on each other."""

from __future__ import annotations

import math

from optimizer.reporting.plan_sheet import Box

_LINE_MM = 0.42
"""Height of a line of text of 1 pt, with its leading. [mm]"""

_WIDE_MM = 0.21
"""Mean width of a character of 1 pt, rather too wide. [mm]"""

_TURNS = (0.0, 45.0, -45.0, 90.0, -90.0, 135.0, -135.0, 180.0)


class Places:
    """Rectangles that are taken on the paper. [mm]"""

    def __init__(self) -> None:
        self.taken: list[Box] = []

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
        best: tuple[float, Box] | None = None
        for reach in (1.0, 1.8, 2.8):
            for turn in _TURNS:
                angle = math.radians(towards + turn)
                u = x + math.cos(angle) * (away * reach + wide / 2)
                v = y + math.sin(angle) * (away * reach + high / 2)
                box = Box(u - wide / 2, v - high / 2, wide, high)
                over = sum(_shared(box, other) for other in self.taken)
                if best is None or over < best[0]:
                    best = (over, box)
            assert best is not None
            if best[0] == 0.0:
                break
        assert best is not None
        self.taken.append(best[1])
        return best[1].x + wide / 2, best[1].y + high / 2

    def try_at(self, x: float, y: float, text: str, points: float) -> bool:
        """Take the place about a spot if it is free; False if it is not."""
        wide, high = extent(text, points)
        box = Box(x - wide / 2, y - high / 2, wide, high)
        if any(_shared(box, other) for other in self.taken):
            return False
        self.taken.append(box)
        return True


def extent(text: str, points: float) -> tuple[float, float]:
    """About the width and height of a text on paper. [mm]"""
    lines = text.split("\n")
    return max(map(len, lines)) * points * _WIDE_MM + 1.0, len(lines) * points * _LINE_MM + 0.6


def _shared(one: Box, other: Box) -> float:
    """Area that two rectangles share. [mm^2]"""
    wide = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
    high = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
    return max(wide, 0.0) * max(high, 0.0)


__all__ = ["Places", "extent"]
