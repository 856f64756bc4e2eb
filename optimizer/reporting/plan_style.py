"""Lines, hatches and shades of plan drawings: our own, and readable in grey."""

from __future__ import annotations

from typing import Any

INK = "#1c1c28"
QUIET = "#63636e"

SHADES = (
    "#f2eedb",
    "#cfdad1",
    "#aec5c7",
    "#92b0be",
    "#7b99b4",
    "#6982ab",
    "#5c6ba1",
    "#505397",
)
"""From coarse to fine detail, in steps of equal lightness (8 of L* in CIE 1976)."""

WALL: dict[str, Any] = {"color": INK, "lw": 1.6, "solid_capstyle": "round"}
LOW_CORE: dict[str, Any] = {"color": "white", "lw": 0.7, "solid_capstyle": "butt"}
"""Drawn inside a wall that can be seen over: it becomes a double line."""

OBSTACLE: dict[str, Any] = {"fc": "white", "ec": INK, "lw": 0.7, "hatch": "////"}
ZONE: dict[str, Any] = {"fc": "none", "ec": INK, "lw": 1.1, "ls": (0, (4, 2))}
KEEP_OUT: dict[str, Any] = {
    "fc": "none",
    "ec": "#7a3b16",
    "lw": 1.1,
    "ls": (0, (1, 1)),
    "hatch": "xx",
}
MISSING: dict[str, Any] = {"fc": "white", "ec": "#8e1f2b", "lw": 1.4, "hatch": "...."}
VIEW: dict[str, Any] = {"ec": INK, "lw": 0.45, "ls": (0, (1.5, 1.5))}
RUN: dict[str, Any] = {"color": "#2e6b4f", "lw": 0.9, "ls": (0, (7, 1.5, 1.5, 1.5))}
ROUTE: dict[str, Any] = {"color": "#2e6b4f", "lw": 0.7, "ls": (0, (2, 2))}
LEADER: dict[str, Any] = {"color": INK, "lw": 0.5, "marker": "o", "ms": 1.6}
"""From a name to what it names, with a dot there."""

FREE_MOUNT: dict[str, Any] = {"marker": "o", "ms": 3.2, "mfc": "white", "mec": QUIET, "mew": 0.8}


def shade(step: int, steps: int) -> str:
    """The shade of a step; the darkest stand for the finest, whatever their number.

    Raises
    ------
    ValueError
        If there are more steps than shades.
    """
    if steps > len(SHADES):
        raise ValueError(f"{steps} steps of detail have but {len(SHADES)} shades")
    return SHADES[step]


__all__ = [
    "FREE_MOUNT",
    "INK",
    "KEEP_OUT",
    "LEADER",
    "LOW_CORE",
    "MISSING",
    "OBSTACLE",
    "QUIET",
    "ROUTE",
    "RUN",
    "SHADES",
    "VIEW",
    "WALL",
    "ZONE",
    "shade",
]
