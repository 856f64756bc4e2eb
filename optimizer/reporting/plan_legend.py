"""Legend and lists beside a plan drawing."""

from __future__ import annotations

import math
import textwrap
from typing import Any

from optimizer.reporting.plan_content import PlanPicture
from optimizer.reporting.plan_sheet import Sheet
from optimizer.reporting.plan_style import (
    FREE_MOUNT,
    INK,
    KEEP_OUT,
    LOW_CORE,
    MISSING,
    OBSTACLE,
    QUIET,
    ROUTE,
    RUN,
    VIEW,
    WALL,
    ZONE,
    shade,
)

_ROW_MM = 4.6
_LINE_MM = 2.75
_HEADING_MM = 7.0
_SMALL = 5.8
_CHARACTERS = 62


def draw_side(figure: Any, sheet: Sheet, picture: PlanPicture) -> None:
    """Draw the legend of what the drawing holds, and the lists, as far as they fit."""
    side = _Side(figure, sheet)
    side.heading("Key")
    scene = picture.scene
    if scene.walls:
        side.line(WALL, "wall")
        if any(not math.isinf(wall.height_m) for wall in scene.walls):
            side.line(WALL, "wall that can be seen over", core=LOW_CORE)
    if scene.obstacles:
        side.patch(OBSTACLE, "obstacle, with its height if it can be seen over")
    side.patch(ZONE, "zone that must be seen")
    if scene.keep_outs:
        side.patch(KEEP_OUT, "keep-out area")
    if picture.cameras:
        side.camera("camera, nose where it looks")
    empty = "mount left empty" if picture.cameras else "mount"
    side.dot(FREE_MOUNT, f"{empty}, with its open side")
    if picture.room is not None:
        side.room("equipment room")
    if picture.routes:
        side.line(ROUTE, "cable route")
    if picture.risers:
        side.riser("riser between levels")
    if picture.runs:
        side.line(RUN, "cable run")
    if picture.missing:
        side.patch(MISSING, "asked for and not seen")
    if picture.hiding:
        side.line({"color": INK, "lw": 3.6}, "wall or obstacle that hides it")
    if picture.cameras:
        side.line(VIEW | {"color": INK}, "edge of what a camera sees")
        side.heading("Detail in which ground is seen")
        steps = [("", 0.0), *picture.steps]
        for index, (name, px_m) in enumerate(steps):
            words = f"{name}, from {px_m:g} px/m" if name else f"below {steps[1][1]:g} px/m"
            side.patch({"fc": shade(index, len(steps)), "ec": QUIET, "lw": 0.3}, words)
    for number, (heading, lines) in enumerate(picture.lists):
        # A long list leaves room for what follows, up to half of what there is.
        after = sum(_HEADING_MM + side.high(more) for _, more in picture.lists[number + 1 :])
        side.listed(heading, lines, min(after, side.y / 2))


class _Side:
    """Writes down the side of a sheet, row by row."""

    def __init__(self, figure: Any, sheet: Sheet) -> None:
        self.axes = figure.add_axes(sheet.share(sheet.side), frameon=False)
        self.wide, self.y = sheet.side.width, sheet.side.height
        self.axes.set(xlim=(0, self.wide), ylim=(0, self.y), xticks=[], yticks=[])

    def heading(self, text: str) -> None:
        self.y -= 2.5
        self.axes.text(0, self.y, text, fontsize=8, weight="bold", va="top", color=INK)
        self.y -= 4.5

    def _words(self, text: str) -> float:
        middle = self.y - _ROW_MM / 2
        self.axes.text(13, middle, text, fontsize=6.5, va="center", color=INK)
        self.y -= _ROW_MM
        return middle

    def patch(self, style: dict[str, Any], text: str) -> None:
        from matplotlib.patches import Rectangle

        middle = self._words(text)
        self.axes.add_patch(Rectangle((0.5, middle - 1.6), 10, 3.2, **style))

    def line(self, style: dict[str, Any], text: str, core: dict[str, Any] | None = None) -> None:
        middle = self._words(text)
        plain = {k: v for k, v in style.items() if k != "ec"}
        self.axes.plot([0.5, 10.5], [middle, middle], **plain)
        if core:
            self.axes.plot([0.5, 10.5], [middle, middle], **core)

    def dot(self, style: dict[str, Any], text: str) -> None:
        middle = self._words(text)
        self.axes.plot(5.5, middle, **style)

    def camera(self, text: str) -> None:
        middle = self._words(text)
        nose = [(5.5, middle - 1.1), (8.1, middle - 0.6), (8.1, middle + 0.6), (5.5, middle + 1.1)]
        self.axes.fill(*zip(*nose, strict=True), fc=INK, ec="white", lw=0.4)
        self.axes.plot(5.5, middle, marker="o", ms=6, mfc=INK, mec="white", mew=0.6)

    def riser(self, text: str) -> None:
        middle = self._words(text)
        self.axes.plot(5.5, middle, marker="D", ms=3.6, mfc="white", mec=ROUTE["color"])

    def room(self, text: str) -> None:
        middle = self._words(text)
        self.axes.plot(5.5, middle, marker="s", ms=7, mfc="white", mec=INK, mew=1.2)
        self.axes.plot(5.5, middle, marker="+", ms=6, mec=INK, mew=1.0)

    @staticmethod
    def _rows(lines: tuple[str, ...]) -> list[tuple[int, str]]:
        return [
            (index, part)
            for index, line in enumerate(lines)
            for part in textwrap.wrap(line, _CHARACTERS, subsequent_indent="    ") or [""]
        ]

    def high(self, lines: tuple[str, ...]) -> float:
        """How much room a list takes without its heading. [mm]"""
        return (len(self._rows(lines)) + 1) * _LINE_MM

    def listed(self, heading: str, lines: tuple[str, ...], left: float) -> None:
        """A list in small letters; what does not fit is counted, not squeezed.

        Parameters
        ----------
        left : float
            Room that is left below it. [mm]
        """
        self.heading(heading)
        rows = self._rows(lines)
        room = max(int((self.y - left) / _LINE_MM) - 1, 0)
        if len(rows) > room:
            cut = rows[room][0] if room < len(rows) else len(lines)
            rows = [row for row in rows[:room] if row[0] < cut]
            rows.append((-1, f"and {len(lines) - cut} more, as the answer lists them"))
        for _, text in rows:
            self.axes.text(0, self.y, text, fontsize=_SMALL, va="top", color=INK)
            self.y -= _LINE_MM


__all__ = ["draw_side"]
