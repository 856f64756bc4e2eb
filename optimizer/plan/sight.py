"""What walls and obstacles hide: shadows on the plane of a target's lowest point.

The line of sight falls (or rises) evenly, so it meets a wall lower the lower the target is: a spot
of which the lowest point is seen is seen at all greater heights too. Hence one plane decides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from optimizer.plan.pinhole import Floats
from optimizer.plan.prepared import Ints, Shapes
from optimizer.plan.scene import Mount, Point, Scene

_OWN_M = 1e-6
_HANGS_M = 1e-3
"""A mount this near an edge hangs on it, be it drawn a hair behind it. [m]"""

_STEP = math.radians(45)
_STEPS = 4


@dataclass(frozen=True, eq=False)
class Edges:
    """Straight edges that hide: walls, and the sides of obstacles; n of them.

    Attributes
    ----------
    ids : tuple of str
        Of the wall or obstacle.
    ends : ndarray, shape (n, 2, 2)
        [m]
    height_m : ndarray, shape (n,)
        [m]
    """

    ids: tuple[str, ...]
    ends: Floats
    height_m: Floats


def edges(scene: Scene, level: str) -> Edges:
    """Everything on a level that hides, wall by wall and side by side."""
    found = [(w.id, w.ends, w.height_m) for w in scene.walls if w.level == level]
    for body in scene.obstacles:
        if body.level == level:
            round_it = zip(body.outline, (*body.outline[1:], body.outline[0]), strict=True)
            found.extend((body.id, ends, body.height_m) for ends in round_it)
    return Edges(
        tuple(name for name, _, _ in found),
        np.array([ends for _, ends, _ in found], dtype=float).reshape(-1, 2, 2),
        np.array([height for _, _, height in found], dtype=float),
    )


def shadows(mount: Mount, hiding: Edges, low_m: float, far_m: float) -> tuple[Ints, Shapes]:
    """Ground on which a target's lowest point is hidden by each edge.

    With the lens at height h, the edge at height e and a target at s times the distance of the
    edge (s >= 1), the line of sight passes the edge at h + (low - h) / s. It is hidden where that
    is below e. If e is above both h and low, or e = h > low: everywhere behind the edge. If
    low < e < h: up to s = (h - low) / (h - e). If h < e <= low: from s = (low - h) / (e - h) on.
    Else nowhere: touching the top hides nothing.

    Parameters
    ----------
    mount : Mount
    hiding : Edges
        An edge in line with the mount, or on which it hangs, hides nothing: what is behind it is
        no part of the open arc.
    low_m : float
        Height of the target's lowest point. [m]
    far_m : float
        Distance from the mount beyond which nothing is asked. [m]

    Returns
    -------
    tuple of ndarray of int and ndarray of shapely.Polygon, shape (k,)
        The numbers of the edges that hide something within `far_m`, and their shadows, each whole
        within `far_m` of the mount. [m]

    References
    ----------
    .. [1] Similar triangles.
    """
    start, end = _reach(mount.height_m, hiding.height_m, low_m)
    place = np.array(mount.at)
    a, b = hiding.ends[:, 0] - place, hiding.ends[:, 1] - place
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    swap = (cross < 0)[:, None]
    a, b = np.where(swap, b, a), np.where(swap, a, b)
    along = b - a
    # A repeated corner makes an edge without length, which hides nothing.
    length = np.maximum(np.hypot(*along.T), _OWN_M)
    share = np.clip(-(a * along).sum(axis=1) / length**2, 0, 1)
    nearest = np.hypot(*(a + share[:, None] * along).T)
    casts = (np.abs(cross) > _OWN_M * length) & (nearest > _HANGS_M)
    casts &= (end > start) & (start * nearest < far_m)
    endless = np.isinf(end)
    bounded = ~endless & (np.where(endless, 1.0, end) * nearest < far_m)
    which = [np.flatnonzero(casts & bounded), np.flatnonzero(casts & ~bounded)]
    shapes = []
    for index, ends in zip(which, (True, False), strict=True):
        one, other = a[index] * start[index, None], b[index] * start[index, None]
        near = [one, other]
        if ends:
            outer = [b[index] * end[index, None], a[index] * end[index, None]]
        else:
            outer = _outer(one, other, far_m)
        shapes.append(shapely.polygons(np.stack([*near, *outer], axis=1) + place))
    return np.concatenate(which), np.concatenate(shapes)


def _outer(one: Floats, other: Floats, far_m: float) -> list[Floats]:
    """Corners of an arc from `other` back to `one`, less than half a turn, beyond a distance."""
    first, last = np.arctan2(one[:, 1], one[:, 0]), np.arctan2(other[:, 1], other[:, 0])
    turn = (last - first) % math.tau
    # Chords of an eighth of a turn at most stay beyond far_m, as does the near side.
    radius = 1.1 * np.maximum(far_m, np.maximum(np.hypot(*one.T), np.hypot(*other.T)))
    angles = [last - turn * k / _STEPS for k in range(_STEPS + 1)]
    return [np.column_stack([radius * np.cos(t), radius * np.sin(t)]) for t in angles]


def _reach(lens_m: float, edge_m: Floats, low_m: float) -> tuple[Floats, Floats]:
    """From and up to how many times the edge's distance each hides; 1 and 1 for nothing."""
    start, end = np.ones_like(edge_m), np.ones_like(edge_m)
    end[(edge_m > low_m) & (edge_m >= lens_m)] = np.inf
    over = (low_m < edge_m) & (edge_m < lens_m)
    end[over] = (lens_m - low_m) / (lens_m - edge_m[over])
    under = (lens_m < edge_m) & (edge_m <= low_m)
    start[under], end[under] = (low_m - lens_m) / (edge_m[under] - lens_m), np.inf
    return start, end


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


def farthest(mount: Mount, points: Sequence[Point]) -> float:
    """Greatest distance in plan from a mount to any of some points, and a little more. [m]"""
    where = np.asarray(points, dtype=float)
    return float(np.hypot(where[:, 0] - mount.at[0], where[:, 1] - mount.at[1]).max()) + 1.0


def free_ground(mount: Mount, hiding: Edges, low_m: float, far_m: float) -> Any:
    """Ground of which a target's lowest point can be seen from a mount, aim and detail apart.

    Parameters
    ----------
    mount : Mount
    hiding : Edges
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
    _, dark = shadows(mount, hiding, low_m, far_m)
    return shapely.difference(ground, shapely.union_all(dark)) if len(dark) else ground
