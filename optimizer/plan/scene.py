"""What geometry needs to know of a plan: walls, obstacles, mounts, zones, keep-outs, lenses.

Plan coordinates are in metres, x to the right and y up; heights are above the floor of the level.
Directions in plan are degrees from the x axis towards the y axis; tilt is degrees below the
horizontal. What is on one `level` neither sees nor hides what is on another. The meaning of every
word is that of "Zones on a plan" in RULES.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

Point: TypeAlias = tuple[float, float]
"""Plan coordinates. [m]"""


@dataclass(frozen=True)
class Wall:
    """A straight piece of wall, without thickness, standing on the floor.

    Attributes
    ----------
    id : str
        Several pieces may share one id: a bent wall.
    ends : tuple of two Point
        They differ. [m]
    height_m : float
        `math.inf` where nothing looks over it. [m]
    level : str
    """

    id: str
    ends: tuple[Point, Point]
    height_m: float = math.inf
    level: str = ""


@dataclass(frozen=True)
class Obstacle:
    """A solid body on the floor: a column, a rack, a building.

    Nobody can stand where it stands: the ground under an obstacle that is higher than a zone's
    `low_m` is no part of that zone.

    Attributes
    ----------
    id : str
    outline : tuple of Point
        Corners of a simple polygon, the first not repeated. [m]
    height_m : float
        `math.inf` where nothing looks over it. [m]
    level : str
    """

    id: str
    outline: tuple[Point, ...]
    height_m: float = math.inf
    level: str = ""


@dataclass(frozen=True)
class Mount:
    """A place where one camera can be fixed.

    Attributes
    ----------
    id : str
    at : Point
        May lie on a wall or on the edge of an obstacle, which then hides nothing by itself: say
        with `facing_deg` and `swing_deg` which side is open. [m]
    height_m : float
        Of the lens, > 0. [m]
    facing_deg, swing_deg : float
        The open arc: `swing_deg` (0 to 360) centred on `facing_deg`. Lines of sight and the optical
        axis keep within it. [deg]
    level : str
    """

    id: str
    at: Point
    height_m: float
    facing_deg: float = 0.0
    swing_deg: float = 360.0
    level: str = ""


@dataclass(frozen=True)
class Area:
    """A zone on the plan: ground on which a target must be seen.

    Attributes
    ----------
    id : str
    outline : tuple of Point
        Corners of a simple polygon, the first not repeated. [m]
    px_m : float
        Least pixel density, > 0. [px/m]
    share : float
        Of its ground that must be seen, 0 < share <= 1.
    cameras : int
        Different cameras that must see a spot, >= 1.
    apart_deg : float
        Least angle in plan, at the spot, between any two of these cameras; 0 for none. [deg]
    low_m, high_m : float
        A target is seen at all heights from low to high. [m]
    most_tilt_deg : float or None
        Steepest fall of the line of sight to the point at `high_m` (a face). [deg]
    level : str
    """

    id: str
    outline: tuple[Point, ...]
    px_m: float
    share: float = 1.0
    cameras: int = 1
    apart_deg: float = 0.0
    low_m: float = 0.0
    high_m: float = 1.8
    most_tilt_deg: float | None = None
    level: str = ""


@dataclass(frozen=True)
class KeepOut:
    """Ground that no camera may show in more than a stated detail.

    Only ground with an extent counts: a window in the wall of a building is given as a strip of
    ground in front of it, at the window's heights, not as the footprint of the building.

    Attributes
    ----------
    id : str
    outline : tuple of Point
        Corners of a simple polygon, the first not repeated. [m]
    px_m : float
        Highest density allowed, >= 0; 0: it must not be seen at all. [px/m]
    mask : bool
        A privacy mask is allowed: a view may show it, and loses what lies behind the mask.
    low_m, high_m : float
        Heights between which nothing may be seen. [m]
    level : str
    """

    id: str
    outline: tuple[Point, ...]
    px_m: float
    mask: bool = False
    low_m: float = 0.0
    high_m: float = 3.0
    level: str = ""


@dataclass(frozen=True)
class Lens:
    """The optics of a camera with one size of recorded picture: a distortion-free pinhole.

    Attributes
    ----------
    key : str
        Different recorded widths of one camera are different lenses.
    width_px : int
        Columns of the recorded picture. [px]
    sensor_width_mm, sensor_height_mm : float
        Active area. [mm]
    focal_min_mm, focal_max_mm : float
        Equal for a fixed lens. [mm]
    tilt_min_deg, tilt_max_deg : float
        How far the axis can point below the horizontal, within -90 to 90. [deg]
    reaches : tuple of (str, float)
        For areas where it is not endless: how far from the lens, along the line of sight, a
        target may be, such as the reach of its own lamps; 0 where the camera cannot serve the
        area at all (light, place, frame rate). [m]
    """

    key: str
    width_px: int
    sensor_width_mm: float
    sensor_height_mm: float
    focal_min_mm: float
    focal_max_mm: float
    tilt_min_deg: float = -90.0
    tilt_max_deg: float = 90.0
    reaches: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Scene:
    """A plan.

    Attributes
    ----------
    outline : tuple of Point
        Edge of the plan. It hides nothing: walls along it are given as walls.
    walls, obstacles, mounts, areas, keep_outs : tuple
        Ids differ within each kind, but for pieces of one wall.
    """

    outline: tuple[Point, ...]
    walls: tuple[Wall, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    mounts: tuple[Mount, ...] = ()
    areas: tuple[Area, ...] = ()
    keep_outs: tuple[KeepOut, ...] = ()
