"""Keep-out areas: which ways of aiming show them, and what a privacy mask takes away.

A view is taken to show a piece of a keep-out area unless all of it lies beyond one side of the
picture, or too far away for the density that is allowed. That never passes a view that shows it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from optimizer.plan.cutting import LEAST_M2, boxed
from optimizer.plan.pinhole import NEAR_M, Floats, depth_limit
from optimizer.plan.prepared import Flags
from optimizer.plan.scene import KeepOut, Lens, Mount, Scene
from optimizer.plan.sight import edges, farthest, free_ground
from optimizer.plan.turning import Arcs, Corners, between_sides, kept_within

_PIECES = 6
"""A keep-out area is looked at in boxes, this many along each side."""


@dataclass(frozen=True, eq=False)
class Piece:
    """A piece of a keep-out area that is in free sight of a mount.

    Attributes
    ----------
    keep_out : KeepOut
    offsets : ndarray, shape (n, 3)
        Its corners at its lowest and its highest height, from the lens. [m]
    near_m : float
        Distance in plan to its nearest spot. [m]
    """

    keep_out: KeepOut
    offsets: Floats
    near_m: float


def pieces(scene: Scene, mount: Mount) -> tuple[Piece, ...]:
    """What a mount has in free sight of the keep-out areas on its level."""
    found: list[Piece] = []
    hiding = edges(scene, mount.level)
    for keep_out in scene.keep_outs:
        if keep_out.level != mount.level:
            continue
        shape = shapely.Polygon(keep_out.outline)
        # What is seen of the ground at the highest height holds what is seen at lower ones.
        free = free_ground(mount, hiding, keep_out.high_m, farthest(mount, keep_out.outline))
        left, low, right, high = shape.bounds
        columns, rows = (np.linspace(*ends, _PIECES + 1) for ends in ((left, right), (low, high)))
        for part in boxed(shapely.intersection(shape, free), columns, rows):
            if part.area >= LEAST_M2:
                near = float(shapely.distance(part, shapely.Point(mount.at)))
                found.append(Piece(keep_out, _offsets(part, keep_out, mount), near))
    return tuple(found)


def _offsets(part: shapely.Polygon, keep_out: KeepOut, mount: Mount) -> Floats:
    flat = shapely.get_coordinates(part.exterior)[:-1] - np.array(mount.at)
    levels = [height - mount.height_m for height in (keep_out.low_m, keep_out.high_m)]
    return np.concatenate([np.column_stack([flat, np.full(len(flat), z)]) for z in levels])


def shown(found: Sequence[Piece], lens: Lens, focal_mm: Floats, sides: Floats) -> Flags:
    """Which pieces are, or may be, shown in more detail than is allowed.

    Parameters
    ----------
    found : sequence of Piece
    lens : Lens
    focal_mm : ndarray, shape (n,)
        Of each view. [mm]
    sides : ndarray, shape (n, 5, 3)
        `pinhole.planes` of the views.

    Returns
    -------
    ndarray of bool, shape (n, pieces)
    """
    result = np.zeros((len(sides), len(found)), dtype=bool)
    for index, piece in enumerate(found):
        inwards = sides @ piece.offsets.T
        beyond = (inwards[:, :4].max(axis=2) <= NEAR_M).any(axis=1)
        limit = np.array([depth_limit(lens, f, piece.keep_out.px_m) for f in focal_mm])
        faint = inwards[:, 4].min(axis=1) >= limit - NEAR_M
        result[:, index] = ~(beyond | faint)
    return result


def sideways(found: Sequence[Piece], tilt: float, half_wide: float) -> list[tuple[float, float]]:
    """Arcs of pans that surely have no piece between the two sides of the picture.

    Pieces right below the mount are left to `shown`.

    Parameters
    ----------
    tilt : float
        [rad]
    half_wide : float
        Half the sensor's width over the focal length.

    Returns
    -------
    list of (float, float)
        From and to; the whole circle if there are no pieces. [rad]
    """
    taken: list[tuple[float, float]] = []
    for piece in found:
        x, y, z = piece.offsets.T
        bearing = np.arctan2(y, x)
        bearing = bearing[0] + (bearing - bearing[0] + math.pi) % math.tau - math.pi
        corners = Corners(np.hypot(x, y), bearing, -z, np.zeros(1, dtype=np.int32))
        reach = np.maximum(between_sides(corners, tilt, half_wide), 0)
        low, high = float((bearing - reach).min()), float((bearing + reach).max())
        if high - low < math.pi:
            taken.append((low % math.tau, low % math.tau + high - low))
    if not taken:
        return [(0.0, math.tau)]
    taken.sort()
    free: list[tuple[float, float]] = []
    end = taken[0][0]
    for low, high in taken:
        if low > end:
            free.append((end, low))
        end = max(end, high)
    if end < taken[0][0] + math.tau:
        free.append((end, taken[0][0] + math.tau))
    return free


def clear_of(arcs: Arcs, found: Sequence[Piece], tilt: float, half_wide: float) -> list[Arcs]:
    """Arcs of pans cut down to those that keep all pieces out sideways, one set a stretch."""
    return [kept_within(arcs, *stretch) for stretch in sideways(found, tilt, half_wide)]


def veiled(piece: Piece, corners: Corners, near: Floats, far: Floats) -> Flags:
    """Which cells a mask over a piece may hide: those that share a direction with it.

    Parameters
    ----------
    piece : Piece
    corners : Corners
        Of m cells.
    near, far : ndarray, shape (m,)
        Distance in plan to each cell's nearest and farthest spot. [m]

    Returns
    -------
    ndarray of bool, shape (m,)
        Judged by the ranges of bearing and of fall: never too few.
    """
    x, y, z = piece.offsets.T
    bearing = np.arctan2(y, x)
    bearing = bearing[0] + (bearing - bearing[0] + math.pi) % math.tau - math.pi
    middle, half = (bearing.min() + bearing.max()) / 2, (bearing.max() - bearing.min()) / 2
    first = corners.first
    low, high = (f.reduceat(corners.bearing, first) for f in (np.minimum, np.maximum))
    apart = np.abs(((low + high) / 2 - middle + math.pi) % math.tau - math.pi)
    aside = apart > (high - low) / 2 + half + NEAR_M
    flat, steep = _falls(corners, near, far)
    ends = np.array([piece.near_m, float(np.hypot(x, y).max())])
    falls = np.arctan2(-z[:, None], ends[None, :])
    return np.asarray(~aside & (flat <= falls.max()) & (steep >= falls.min()))


def _falls(corners: Corners, near: Floats, far: Floats) -> tuple[Floats, Floats]:
    """The flattest and the steepest fall of a line of sight to each cell. [rad]"""
    top = np.minimum.reduceat(corners.below, corners.first)
    foot = np.maximum.reduceat(corners.below, corners.first)
    flat = np.minimum(np.arctan2(top, near), np.arctan2(top, far))
    return flat, np.maximum(np.arctan2(foot, near), np.arctan2(foot, far))
