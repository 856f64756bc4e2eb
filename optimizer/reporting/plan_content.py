"""What a drawing of a plan shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from optimizer.plan.scene import Scene
from optimizer.plan.shares import Aimed

Line = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class PlanPicture:
    """What a drawing of a plan shows.

    Attributes
    ----------
    title, note : str
        The heading, and what is said below it.
    scene : Scene
    floors : tuple of (level, name)
        In the order in which they are drawn.
    steps : tuple of (name, px/m)
        Levels of detail, from coarse to fine.
    cameras : tuple of Aimed
    lists : tuple of (heading, lines)
        What stands beside the plan: which camera is where, how much of each zone is seen.
    zones : mapping of zone id to words
        Said at each zone.
    runs : tuple of (level, line)
        Cable ways that are shown. [m]
    routes : tuple of (level, line)
        Where cable may be laid, if that is shown. [m]
    risers : tuple of (levels, point, name)
        Where it changes levels, likewise. [m]
    room : (level, point, words) or None
    missing : tuple of (zone id, level, geometry)
        Ground that is asked for and not seen.
    hiding : frozenset of str
        Walls and obstacles that stand in the way of it.
    north_deg : float or None
        Direction of north on the sheet.
    """

    title: str
    note: str
    scene: Scene
    floors: tuple[tuple[str, str], ...]
    steps: tuple[tuple[str, float], ...]
    cameras: tuple[Aimed, ...] = ()
    lists: tuple[tuple[str, tuple[str, ...]], ...] = ()
    zones: Mapping[str, str] = field(default_factory=dict)
    runs: tuple[tuple[str, Line], ...] = ()
    routes: tuple[tuple[str, Line], ...] = ()
    risers: tuple[tuple[tuple[str, ...], tuple[float, float], str], ...] = ()
    room: tuple[str, tuple[float, float], str] | None = None
    missing: tuple[tuple[str, str, Any], ...] = ()
    hiding: frozenset[str] = frozenset()
    north_deg: float | None = None


__all__ = ["Line", "PlanPicture"]
