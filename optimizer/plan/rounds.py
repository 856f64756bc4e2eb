"""Round shapes on a plan: discs, and ground from which two places appear an angle apart."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
import shapely

from optimizer.plan.scene import Point

SIDES = 720
"""Sides of the regular polygon that stands for a circle: it takes up all but 2e-5 of it."""


_TURN = math.tau / SIDES
_CORNERS = np.array([(math.cos(k * _TURN), math.sin(k * _TURN)) for k in range(SIDES)])


def disc(centre: Point, radius_m: float) -> Any:
    """A regular polygon in a circle. [m]"""
    return shapely.polygons(np.array(centre) + radius_m * _CORNERS)


def circles(one: Point, other: Point, apart_deg: float) -> tuple[tuple[Point, float, Any], ...]:
    """Where two places appear at least an angle apart: a part of a disc on either side of them.

    By the theorem of the inscribed angle its circle passes through both places and has the radius
    distance / (2 sin angle).

    Parameters
    ----------
    one, other : Point
        They differ. [m]
    apart_deg : float
        Above 0, below 180. [deg]

    Returns
    -------
    tuple of (Point, float, shapely.Polygon)
        For either side the centre and the radius of the circle, and a rectangle on that side of
        the line that holds the disc's part there. [m]

    References
    ----------
    .. [1] Euclid, Elements, book III, propositions 20 and 21.
    """
    angle = math.radians(apart_deg)
    dx, dy = other[0] - one[0], other[1] - one[1]
    distance = math.hypot(dx, dy)
    radius, lift = distance / (2 * math.sin(angle)), 1 / (2 * math.tan(angle))
    far = 4 * radius / distance
    found = []
    for side in (1.0, -1.0):
        across = (-dy * side, dx * side)
        centre = (
            (one[0] + other[0]) / 2 + across[0] * lift,
            (one[1] + other[1]) / 2 + across[1] * lift,
        )
        strip = [
            (one[0] - far * dx, one[1] - far * dy),
            (other[0] + far * dx, other[1] + far * dy),
        ]
        strip += [(x + far * across[0], y + far * across[1]) for x, y in reversed(strip)]
        found.append((centre, radius, shapely.Polygon(strip)))
    return tuple(found)


@lru_cache(maxsize=2048)
def apart_ground(one: Point, other: Point, apart_deg: float) -> Any:
    """Ground from which two places appear at least an angle apart, as polygons in it.

    Parameters
    ----------
    one, other : Point
        They differ. [m]
    apart_deg : float
        Above 0, below 180. [deg]

    Returns
    -------
    shapely geometry
        [m]
    """
    parts = [
        shapely.intersection(disc(centre, radius), strip)
        for centre, radius, strip in circles(one, other, apart_deg)
    ]
    return shapely.union_all(parts)
