"""What can be seen from one mount before a lens is chosen: free lines of sight and distances."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from optimizer.plan.pinhole import NEAR_M, Floats
from optimizer.plan.prepared import Cell, Flags, Ints, Shapes
from optimizer.plan.scene import Area, Lens, Mount, Scene
from optimizer.plan.sight import Edges, free_ground
from optimizer.plan.turning import Corners

RIM_M = 1e-6
"""So far from a cell's edge it is not asked whether a shadow begins. [m]"""


@dataclass(frozen=True, eq=False)
class Ground:
    """The cells of a plan as arrays; n cells with k corners in all.

    Attributes
    ----------
    polygons : ndarray of shapely.Polygon, shape (n,)
    inner : ndarray of shapely.Polygon, shape (n,)
        The cells less a rim of `RIM_M`, whole where nothing would be left.
    area : ndarray of int, shape (n,)
        Number of each cell's area.
    centre : ndarray, shape (n, 2)
        Middle of the box around each cell. [m]
    radius : ndarray, shape (n,)
        Of a circle about it that holds the cell. [m]
    corners : ndarray, shape (k, 2)
        [m]
    spot : ndarray of int, shape (k,)
        The same number for corners of one area at one place.
    first, count : ndarray of int, shape (n,)
        Index of each cell's first corner, and how many it has.
    """

    polygons: Shapes
    inner: Shapes
    area: Ints
    centre: Floats
    radius: Floats
    corners: Floats
    spot: Ints
    first: Ints
    count: Ints


def grounded(scene: Scene, cells: Sequence[Cell]) -> Ground:
    """Cells as arrays."""
    number = {area.id: index for index, area in enumerate(scene.areas)}
    polygons = np.array([cell.polygon for cell in cells], dtype=object)
    rings = shapely.get_exterior_ring(polygons)
    coordinates, ring = shapely.get_coordinates(rings, return_index=True)
    last = np.append(ring[1:] != ring[:-1], True)
    # The last point of a ring is its first again.
    corners, ring = coordinates[~last], ring[~last]
    count = np.bincount(ring, minlength=len(cells)).astype(np.int32)
    area = np.array([number[cell.area_id] for cell in cells], dtype=np.int32)
    places = np.column_stack([corners, area[ring]])
    _, spot = np.unique(places, axis=0, return_inverse=True)
    bounds = shapely.bounds(polygons)
    inner = shapely.buffer(polygons, -RIM_M, join_style="mitre")
    return Ground(
        polygons,
        np.where(shapely.is_empty(inner), polygons, inner),
        area,
        (bounds[:, :2] + bounds[:, 2:]) / 2,
        np.hypot(bounds[:, 2] - bounds[:, 0], bounds[:, 3] - bounds[:, 1]) / 2,
        corners,
        spot.ravel().astype(np.int32),
        np.cumsum(count, dtype=np.int32) - count,
        count,
    )


@dataclass(frozen=True, eq=False)
class Sighting:
    """Cells of which some spot is in free sight of a mount, m of them.

    Attributes
    ----------
    cells : ndarray of int, shape (m,)
        Sorted.
    sure : ndarray of bool, shape (m,)
        Every spot of it is in free sight, and no line of sight falls too steeply for its area.
    near, far : ndarray, shape (m,)
        Distance in plan to the nearest and the farthest spot. [m]
    top, foot : ndarray, shape (m,)
        How far the highest and the lowest point of a target are below the lens. [m]
    """

    cells: Ints
    sure: Flags
    near: Floats
    far: Floats
    top: Floats
    foot: Floats

    def slant(self) -> Floats:
        """Distance from the lens to the farthest point of each cell's targets. [m]"""
        deepest: Floats = np.maximum(np.abs(self.top), np.abs(self.foot))
        return np.hypot(self.far, deepest)

    def least_slant(self) -> Floats:
        """No spot of the cell has its targets' farther end nearer than this. [m]"""
        deepest: Floats = np.maximum(np.abs(self.top), np.abs(self.foot))
        return np.hypot(self.near, deepest)


def sighted(
    scene: Scene, ground: Ground, mount: Mount, lenses: Sequence[Lens], hiding: Edges
) -> Sighting:
    """Which cells a mount has in free sight, of those that any of its lenses could show.

    Shadows that reach less than `RIM_M` into a cell are not told from its edge.
    """
    areas = scene.areas
    best = np.array([_best_distance(area, mount, lenses) for area in areas])
    away = np.hypot(*(ground.centre - np.array(mount.at)).T)
    close = np.nonzero(away - ground.radius <= best[ground.area])[0]
    near = shapely.distance(ground.polygons[close], shapely.Point(mount.at))
    close, near = close[near <= best[ground.area[close]]], near[near <= best[ground.area[close]]]
    some, whole = np.zeros(len(close), dtype=bool), np.zeros(len(close), dtype=bool)
    far = _farthest_corner(ground, close, mount)
    lows = np.array([area.low_m for area in areas])[ground.area[close]]
    for low in np.unique(lows):
        these = np.nonzero(lows == low)[0]
        free = free_ground(mount, hiding, float(low), float(far[these].max()) + 1.0)
        shapely.prepare(free)
        inner = ground.inner[close[these]]
        some[these], whole[these] = shapely.intersects(free, inner), shapely.covers(free, inner)
    top = np.array([mount.height_m - area.high_m for area in areas])[ground.area[close]]
    foot = np.array([mount.height_m - area.low_m for area in areas])[ground.area[close]]
    steepest = np.array(
        [math.inf if a.most_tilt_deg is None else math.radians(a.most_tilt_deg) for a in areas]
    )[ground.area[close]]
    # The fall to a point below the lens is steepest at the nearest spot; else it rises.
    fall_near, fall_far = np.arctan2(top, near), np.arctan2(top, far)
    whole &= np.maximum(fall_near, fall_far) <= steepest + 1e-9
    some &= np.minimum(fall_near, fall_far) <= steepest + 1e-9
    cells = close.astype(np.int32)
    return Sighting(cells[some], whole[some], near[some], far[some], top[some], foot[some])


def _best_distance(area: Area, mount: Mount, lenses: Sequence[Lens]) -> float:
    """Distance beyond which no lens shows the area in its detail; -1 if none ever does. [m]"""
    if area.level != mount.level:
        return -1.0
    return max((best_slant(area, lens) for lens in lenses), default=-1.0)


def best_slant(area: Area, lens: Lens) -> float:
    """Distance along the line of sight beyond which a lens never shows a target as asked.

    At an angle e off the axis the density at a distance s is W f / (w s cos e). In a corner of
    the picture cos e = f / sqrt(f^2 + (w^2 + h^2) / 4), so that nothing farther than
    W sqrt(f^2 + (w^2 + h^2) / 4) / (w D) is shown at D, and the longest f gives most.

    Returns
    -------
    float
        -1 if the lens cannot serve the area at all. [m]
    """
    reach = dict(lens.reaches).get(area.id, math.inf)
    if reach <= 0:
        return -1.0
    corner = (lens.sensor_width_mm**2 + lens.sensor_height_mm**2) / 4
    farthest = math.sqrt(lens.focal_max_mm**2 + corner)
    return min(reach, lens.width_px * farthest / (lens.sensor_width_mm * area.px_m)) + NEAR_M


def _farthest_corner(ground: Ground, cells: Ints, mount: Mount) -> Floats:
    if not len(cells):
        return np.zeros(0)
    points, first = gathered(ground, cells)
    away = np.hypot(points[:, 0] - mount.at[0], points[:, 1] - mount.at[1])
    return np.asarray(np.maximum.reduceat(away, first), dtype=float)


def gathered(ground: Ground, cells: Ints) -> tuple[Floats, Ints]:
    """Corners of some cells, one after the other, and where those of each begin."""
    index, first = _indices(ground, cells)
    return ground.corners[index], first


def _indices(ground: Ground, cells: Ints) -> tuple[Ints, Ints]:
    count = ground.count[cells]
    first = np.cumsum(count, dtype=np.int32) - count
    index = np.arange(count.sum(), dtype=np.int32)
    return index + np.repeat(ground.first[cells] - first, count), first


def spots_of(ground: Ground, cells: Ints) -> tuple[Ints, Ints]:
    """Which of the corners that `corners_of` tells are the same but for their cell.

    Cells of a grid share most of their corners, and what a lens shows of one needs to be worked out
    once.

    Returns
    -------
    tuple of two ndarray of int
        The number of one corner of each kind, and for each corner the number of its kind.
    """
    index, _ = _indices(ground, cells)
    kind = np.repeat(2 * ground.spot[index], 2)
    kind[1::2] += 1
    _, one, which = np.unique(kind, return_index=True, return_inverse=True)
    return one.astype(np.int32), which.astype(np.int32)


def corners_of(ground: Ground, cells: Ints, mount: Mount, low: Floats, high: Floats) -> Corners:
    """Corners of cells as a mount sees them, each at its cell's lowest and highest height.

    Parameters
    ----------
    low, high : ndarray, shape (m,)
        How far each cell's lowest and highest height are below the lens. [m]
    """
    points, first = gathered(ground, cells)
    count = ground.count[cells]
    x, y = points[:, 0] - mount.at[0], points[:, 1] - mount.at[1]
    bearing = np.arctan2(y, x)
    centre = ground.centre[cells] - np.array(mount.at)
    ahead = np.repeat(np.arctan2(centre[:, 1], centre[:, 0]), count)
    bearing = ahead + (bearing - ahead + math.pi) % math.tau - math.pi
    # Each corner twice, one after the other: first at the lowest height, then at the highest.
    below = np.stack([np.repeat(low, count), np.repeat(high, count)], axis=1).ravel()
    return Corners(np.repeat(np.hypot(x, y), 2), np.repeat(bearing, 2), below, 2 * first)
