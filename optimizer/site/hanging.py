"""Mounts that hang on a wall: what of their open directions the wall leaves."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal
from itertools import pairwise

from optimizer.site import plan as asked

NEAR_M = 0.001
"""A mount this near a wall or the face of an obstacle hangs on it: drawings are believed to a
millimetre. [m]"""

_SAME = 1e-6

Point = tuple[float, float]


def rays(at: Point, pieces: Iterable[tuple[Point, Point]]) -> list[float]:
    """Directions in which straight pieces lead away from a spot on them, rising.

    Parameters
    ----------
    at : tuple of float
        Where the mount is. [m]
    pieces : iterable of two points
        Those that are farther than `NEAR_M` from the spot are left aside. [m]

    Returns
    -------
    list of float
        From 0 up to 360; those of one direction once. [deg]
    """
    found: set[float] = set()
    for one, two in pieces:
        if _away(at, one, two) > NEAR_M:
            continue
        for x, y in (one, two):
            if math.dist(at, (x, y)) > NEAR_M:
                found.add(round(math.degrees(math.atan2(y - at[1], x - at[0])) % 360.0, 9) % 360.0)
    kept: list[float] = []
    for ray in sorted(found):
        if not kept or ray - kept[-1] > _SAME:
            kept.append(ray)
    return kept[1:] if len(kept) > 1 and kept[0] + 360.0 - kept[-1] <= _SAME else kept


def open_arc(plan: asked.Plan, mount: asked.Mount) -> tuple[float, float]:
    """The middle and the width of the directions that are open. [deg]

    A wall or an obstacle at least as high as the lens takes what lies behind it from a mount that
    hangs on it: of what it leaves, the part in which `facing` points is open. A mount at the end of
    a single wall looks round it.
    """
    if mount.facing is None:
        return 0.0, 360.0
    facing, half = float(mount.facing), mount.swing_deg / 2
    found = rays(plan.spot(mount.at), faces(plan, mount))
    if len(found) < 2:
        return facing, mount.swing_deg
    left = min(half, *((ray - facing) % 360.0 for ray in found))
    right = min(half, *((facing - ray) % 360.0 for ray in found))
    return facing + (left - right) / 2, left + right


def faces(plan: asked.Plan, mount: asked.Mount) -> list[tuple[Point, Point]]:
    """Pieces of walls and sides of obstacles on its level that are as high as the lens. [m]"""
    level = plan.level_of(mount.level)
    found: list[tuple[Point, Point]] = []
    for wall in plan.walls:
        if plan.level_of(wall.level) == level and reaches(wall.height, mount):
            found += pairwise(plan.spot(point) for point in wall.line)
    for body in plan.obstacles:
        if plan.level_of(body.level) == level and reaches(body.height, mount):
            ring = [plan.spot(point) for point in body.area]
            found += pairwise([*ring, ring[0]])
    return found


def reaches(height: Decimal | None, mount: asked.Mount) -> bool:
    """Whether something so high is as high as the lens; None: it reaches the ceiling. [m]"""
    return height is None or Decimal(height) >= Decimal(mount.height)


def _away(at: Point, one: Point, two: Point) -> float:
    """Distance of a spot from a straight piece. [m]"""
    dx, dy = two[0] - one[0], two[1] - one[1]
    square = dx * dx + dy * dy
    if square == 0:
        return math.dist(at, one)
    share = ((at[0] - one[0]) * dx + (at[1] - one[1]) * dy) / square
    share = min(1.0, max(0.0, share))
    return math.dist(at, (one[0] + share * dx, one[1] + share * dy))


__all__ = ["NEAR_M", "faces", "open_arc", "rays", "reaches"]
