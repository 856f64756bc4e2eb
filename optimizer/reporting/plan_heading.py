"""The head of a plan drawing: title, scale bar and north."""

from __future__ import annotations

import math
import textwrap
from typing import Any

from optimizer.reporting.plan_sheet import HEAD_MM, MARGIN_MM, Box, Sheet, bar_length
from optimizer.reporting.plan_style import INK, QUIET

_BAR_MM = 120
"""Width of scale bar and north. [mm]"""

_LETTER_MM = 1.5
"""Mean width of a letter of the note, rather too wide. [mm]"""


def draw_heading(figure: Any, sheet: Sheet, title: str, note: str, north_deg: float | None) -> None:
    """Draw the head of a sheet.

    Parameters
    ----------
    figure : matplotlib figure
    sheet : Sheet
    title, note : str
    north_deg : float or None
        Direction of north on the sheet; None says that nobody stated it. [degree]
    """
    wide, high = sheet.size_mm
    top = high - MARGIN_MM
    figure.text(MARGIN_MM / wide, top / high, title, fontsize=13, weight="bold", va="top")
    # Beside the scale bar, in as many lines as that takes.
    said = textwrap.fill(note, int((wide - 2 * MARGIN_MM - _BAR_MM) / _LETTER_MM))
    figure.text(MARGIN_MM / wide, (top - 7) / high, said, fontsize=7.5, va="top", color=QUIET)
    axes = figure.add_axes(
        sheet.share(Box(wide - MARGIN_MM - _BAR_MM, top - HEAD_MM, _BAR_MM, HEAD_MM)), frameon=False
    )
    axes.set(xlim=(0, _BAR_MM), ylim=(0, HEAD_MM), xticks=[], yticks=[])
    length = bar_length(sheet)
    _scale_bar(axes, sheet, length)
    if north_deg is not None:
        _north(axes, north_deg)
    else:
        axes.text(112, 8, "north\nnot stated", fontsize=6, ha="center", va="center", color=QUIET)


CAUTION = (
    "Cameras that show homes, neighbours, visitors or staff need a lawful basis and notice; work "
    "at height, on mains and on outdoor copper is for those licensed for it. Local codes decide."
)
"""Stands at the foot of every drawing with cameras."""


def draw_foot(figure: Any, sheet: Sheet) -> None:
    """Write the caution at the foot of a sheet."""
    wide, high = sheet.size_mm
    where = MARGIN_MM / wide, (MARGIN_MM - 4.5) / high
    figure.text(*where, CAUTION, fontsize=5.5, va="bottom", color=QUIET)


def _scale_bar(axes: Any, sheet: Sheet, length: int) -> None:
    from matplotlib.patches import Rectangle

    part, left = sheet.mm(length) / 4, 98 - sheet.mm(length)
    for index in range(4):
        fill = INK if index % 2 == 0 else "white"
        axes.add_patch(Rectangle((left + index * part, 6), part, 1.6, fc=fill, ec=INK, lw=0.6))
    for index in (0, 2, 4):
        text = f"{length * index / 4:g}" + (" m" if index == 4 else "")
        axes.text(left + index * part, 4.8, text, fontsize=6.5, ha="center", va="top")
    words = f"1 : {sheet.scale} on {sheet.paper}"
    axes.text(left + 2 * part, 9.2, words, fontsize=7.5, ha="center", va="bottom")


def _north(axes: Any, degrees: float) -> None:
    angle = math.radians(degrees)
    u, v = math.cos(angle), math.sin(angle)
    x, y = 112.0, 8.0
    tip, tail = (x + 5 * u, y + 5 * v), (x - 5 * u, y - 5 * v)
    left = (x - 5 * u - 1.8 * v, y - 5 * v + 1.8 * u)
    axes.fill(*zip(tip, tail, left, strict=True), fc=INK, ec=INK, lw=0.6)
    axes.plot(*zip(tail, tip, strict=True), color=INK, lw=0.8)
    axes.text(x + 7 * u, y + 7 * v, "N", fontsize=7, ha="center", va="center", weight="bold")


__all__ = ["CAUTION", "draw_foot", "draw_heading"]
