"""What walls and obstacles hide: shadows on the plane of a target's lowest point.

The line of sight falls (or rises) evenly, so it meets a wall lower the lower the target is: a spot
of which the lowest point is seen is seen at all greater heights too. Hence one plane decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from optimizer.plan.scene import Mount, Point, Scene

_OWN_M = 1e-6
_STEP = math.radians(45)


@dataclass(frozen=True)
class Edge:
    """A straight edge that hides: a wall, or one side of an obstacle."""

    id: str
    ends: tuple[Point, Point]
    height_m: float


def edges(scene: Scene, level: str) -> tuple[Edge, ...]:
    """Everything on a level that hides, wall by wall and side by side."""
    found = [Edge(w.id, w.ends, w.height_m) for w in scene.walls if w.level == level]
    for body in scene.obstacles:
        if body.level == level:
            round_it = zip(body.outline, (*body.outline[1:], body.outline[0]), strict=True)
            found.extend(Edge(body.id, ends, body.height_m) for ends in round_it)
    return tuple(found)


def shadow(mount: Mount, edge: Edge, low_m: float, far_m: float) -> list[Point]:
    """Ground on which a target's lowest point is hidden by one edge.

    With the lens at height h, the edge at height e and a target at s times the distance of the
    edge (s >= 1), the line of sight passes the edge at h + (low - h) / s. It is hidden where that
    is below e. If e is above both h and low, or e = h > low: everywhere behind the edge. If
    low < e < h: up to s = (h - low) / (h - e). If h < e <= low: from s = (low - h) / (e - h) on.
    Else nowhere: touching the top hides nothing.

    Parameters
    ----------
    mount : Mount
    edge : Edge
        An edge in line with the mount, or through it, hides nothing.
    low_m : float
        Height of the target's lowest point. [m]
    far_m : float
        Distance from the mount beyond which nothing is asked. [m]

    Returns
    -------
    list of Point
        Corners of a polygon, empty if nothing is hidden. It holds the whole shadow within `far_m`
        of the mount. [m]

    References
    ----------
    .. [1] Similar triangles.
    """
    x, y = mount.at
    (ax, ay), (bx, by) = ((p[0] - x, p[1] - y) for p in edge.ends)
    cross = ax * by - ay * bx
    if abs(cross) <= _OWN_M * math.hypot(bx - ax, by - ay):
        return []
    if cross < 0:
        ax, ay, bx, by = bx, by, ax, ay
    start, end = _reach(mount.height_m, edge.height_m, low_m)
    if end <= start:
        return []
    nearest = _nearest((ax, ay), (bx, by))
    if start * nearest >= far_m:
        return []
    near = [(x + start * ax, y + start * ay), (x + start * bx, y + start * by)]
    if end * nearest < far_m:
        return [*near, (x + end * bx, y + end * by), (x + end * ax, y + end * ay)]
    first, last = math.atan2(ay, ax), math.atan2(by, bx)
    turn = (last - first) % math.tau
    pieces = max(1, math.ceil(turn / _STEP))
    # Chords of the outer arc stay beyond far_m; so does the near side, or it is the nearer one.
    radius = max(far_m, start * math.hypot(ax, ay), start * math.hypot(bx, by)) * 1.1
    outer = [
        (x + radius * math.cos(angle), y + radius * math.sin(angle))
        for angle in (last - turn * k / pieces for k in range(pieces + 1))
    ]
    return [*near, *outer]


def _reach(lens_m: float, edge_m: float, low_m: float) -> tuple[float, float]:
    """From and up to how many times the edge's distance it hides; (1, 1) for nothing."""
    if edge_m > max(lens_m, low_m):
        return 1.0, math.inf
    if low_m < edge_m < lens_m:
        return 1.0, (lens_m - low_m) / (lens_m - edge_m)
    if edge_m == lens_m and low_m < edge_m:
        return 1.0, math.inf
    if lens_m < edge_m <= low_m:
        return (low_m - lens_m) / (edge_m - lens_m), math.inf
    return 1.0, 1.0


def _nearest(a: Point, b: Point) -> float:
    """Distance from the origin to a segment."""
    along = (b[0] - a[0], b[1] - a[1])
    length = along[0] ** 2 + along[1] ** 2
    share = min(1.0, max(0.0, -(a[0] * along[0] + a[1] * along[1]) / length))
    return math.hypot(a[0] + share * along[0], a[1] + share * along[1])


def wedge(mount: Mount, far_m: float) -> Any:
    """The open arc of a mount as a polygon up to a distance; None where it is open all round."""
    if mount.swing_deg >= 360:
        return None
    swing = math.radians(mount.swing_deg)
    first = math.radians(mount.facing_deg) - swing / 2
    pieces = max(1, math.ceil(swing / _STEP))
    x, y = mount.at
    ring = [
        (x + 1.1 * far_m * math.cos(angle), y + 1.1 * far_m * math.sin(angle))
        for angle in (first + swing * k / pieces for k in range(pieces + 1))
    ]
    return shapely.Polygon([(x, y), *ring])


def shadows(
    mount: Mount, hiding: Iterable[Edge], low_m: float, far_m: float
) -> list[tuple[str, Any]]:
    """The shadow of each edge that casts one within a distance, with the edge's id."""
    found = []
    for edge in hiding:
        corners = shadow(mount, edge, low_m, far_m)
        if corners:
            found.append((edge.id, shapely.Polygon(corners)))
    return found


def farthest(mount: Mount, points: Sequence[Point]) -> float:
    """Greatest distance in plan from a mount to any of some points, and a little more. [m]"""
    where = np.asarray(points, dtype=float)
    return float(np.hypot(where[:, 0] - mount.at[0], where[:, 1] - mount.at[1]).max()) + 1.0


def free_ground(mount: Mount, hiding: Iterable[Edge], low_m: float, far_m: float) -> Any:
    """Ground of which a target's lowest point can be seen from a mount, aim and detail apart.

    Parameters
    ----------
    mount : Mount
    hiding : iterable of Edge
        What stands on the mount's level.
    low_m : float
        Height of the target's lowest point. [m]
    far_m : float
        Distance beyond which nothing is asked. [m]

    Returns
    -------
    shapely geometry
        Within the open arc, not in a shadow; exact within `far_m` of the mount, but for ground
        under obstacles, on which no target stands. [m]
    """
    x, y = mount.at
    ground = wedge(mount, far_m)
    if ground is None:
        ground = shapely.box(x - far_m, y - far_m, x + far_m, y + far_m)
    dark = [polygon for _, polygon in shadows(mount, hiding, low_m, far_m)]
    return shapely.difference(ground, shapely.union_all(dark)) if dark else ground
