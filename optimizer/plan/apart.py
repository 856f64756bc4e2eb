"""Whether two mounts see a cell from directions far enough apart."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely

from optimizer.plan.pinhole import NEAR_M, Floats
from optimizer.plan.prepared import Ints, Prepared
from optimizer.plan.scene import Point


def apart(prepared: Prepared, one: str, other: str) -> tuple[Ints, Ints]:
    """Cells of areas that ask for an angle between cameras, as two mounts see them.

    On one side of the line through the mounts, the spots that see them at least an angle apart
    are a part of a disc, hence convex: it is enough to look at the corners of a cell, cut by that
    line.

    Parameters
    ----------
    prepared : Prepared
    one, other : str
        Ids of two mounts.

    Returns
    -------
    tuple of two ndarray of int32, sorted
        Cells of which every spot sees the two at least `apart_deg` apart; cells of which some spot
        might. Cells of areas that do not ask for it are in neither.

    Raises
    ------
    ValueError
        If a mount is not on the plan; names it.
    """
    places = {mount.id: mount.at for mount in prepared.scene.mounts}
    for name in (one, other):
        if name not in places:
            raise ValueError(f"mount {name} is not on the plan")
    asked = {area.id: math.radians(area.apart_deg) for area in prepared.scene.areas}
    sure, may = [], []
    for index, cell in enumerate(prepared.cells):
        least = asked[cell.area_id]
        if least <= 0:
            continue
        if _greatest(cell.polygon, places[one], places[other]) >= least:
            may.append(index)
            if _least(cell.polygon, places[one], places[other]) >= least:
                sure.append(index)
    return np.array(sure, dtype=np.int32), np.array(may, dtype=np.int32)


def _least(polygon: Any, a: Point, b: Point) -> float:
    """The least angle between two places over the spots of a polygon. [rad]"""
    corners = shapely.get_coordinates(polygon)
    (ax, ay), (bx, by) = a, b
    side = (bx - ax) * (corners[:, 1] - ay) - (by - ay) * (corners[:, 0] - ax)
    change = np.flatnonzero(side[:-1] * side[1:] < 0)
    share = (side[change] / (side[change] - side[change + 1]))[:, None]
    crossings = corners[change] + share * (corners[change + 1] - corners[change])
    points = np.concatenate([corners, crossings])
    to_a, to_b = np.array(a) - points, np.array(b) - points
    if min(np.hypot(*to_a.T).min(), np.hypot(*to_b.T).min()) <= NEAR_M:
        return 0.0
    if shapely.contains_xy(polygon, *a) or shapely.contains_xy(polygon, *b):
        return 0.0
    return float(np.abs(_turn(to_a, to_b)).min())


def _greatest(polygon: Any, a: Point, b: Point) -> float:
    """No spot of a polygon sees two places farther apart than this. [rad]"""
    corners = shapely.get_coordinates(polygon)
    hull = shapely.convex_hull(polygon)
    if shapely.intersects_xy(hull, *a) or shapely.intersects_xy(hull, *b):
        return math.pi
    middle = corners.mean(axis=0)
    wide = 0.0
    for place in (a, b):
        towards = np.array(place) - corners
        off = _turn(np.broadcast_to(np.array(place) - middle, towards.shape), towards)
        wide += float(np.abs(off).max())
    between = _turn((np.array(a) - middle)[None, :], (np.array(b) - middle)[None, :])
    return float(np.abs(between)[0]) + wide


def _turn(u: Floats, v: Floats) -> Floats:
    """The angle from one vector to another, -pi to pi. [rad]"""
    cross = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    return np.asarray(np.arctan2(cross, (u * v).sum(axis=1)), dtype=float)
