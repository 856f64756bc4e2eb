"""Whether two mounts see a cell from directions far enough apart."""

from __future__ import annotations

import numpy as np
import shapely

from optimizer.plan.pinhole import NEAR_M, Floats
from optimizer.plan.prepared import Ints, Prepared, Shapes
from optimizer.plan.rounds import circles
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
    asked = {area.id: area.apart_deg for area in prepared.scene.areas}
    wanted = np.array([asked[cell.area_id] for cell in prepared.cells])
    polygons = np.array([cell.polygon for cell in prepared.cells], dtype=object)
    sure, may = wanted > 0, np.zeros(len(wanted), dtype=bool)
    judged = np.zeros(len(wanted))
    for angle in np.unique(wanted[wanted > 0]).tolist():
        these = np.flatnonzero(wanted == angle)
        for centre, radius, side in circles(places[one], places[other], angle):
            part = shapely.intersection(polygons[these], side)
            there = shapely.area(part) > 0
            judged[these] += shapely.area(part)
            middle = shapely.Point(centre)
            near, far = shapely.distance(part, middle), _farthest(part, centre)
            may[these] |= there & (near <= radius + NEAR_M)
            sure[these] &= ~there | (far <= radius)
    # What sticks out of both rectangles is far from both discs.
    sure &= judged >= shapely.area(polygons) * (1 - 1e-9)
    return np.flatnonzero(sure).astype(np.int32), np.flatnonzero(may).astype(np.int32)


def _farthest(shapes: Shapes, centre: Point) -> Floats:
    """Distance from a point to the farthest corner of each shape. [m]"""
    corners, owner = shapely.get_coordinates(shapes, return_index=True)
    far = np.zeros(len(shapes))
    np.maximum.at(far, owner, np.hypot(corners[:, 0] - centre[0], corners[:, 1] - centre[1]))
    return far
