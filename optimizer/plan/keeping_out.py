"""Keep-out areas: which ways of aiming show them, and what a privacy mask takes away.

A view is taken to show a piece of a keep-out area unless all of it lies beyond one side of the
picture, or too far away for the density that is allowed. That never passes a view that shows it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from optimizer.plan.cutting import LEAST_M2, boxed
from optimizer.plan.pinhole import NEAR_M, Floats, depth_limit
from optimizer.plan.prepared import Flags
from optimizer.plan.scene import KeepOut, Lens, Mount, Scene
from optimizer.plan.sight import Edges, farthest, free_ground
from optimizer.plan.turning import Corners, between_sides

_BLOCK = 256
_CHORD = math.radians(0.5)
_PIECES = 6
"""A keep-out area is looked at in boxes, this many along each side."""


@dataclass(frozen=True, eq=False)
class Pieces:
    """Pieces of keep-out areas in free sight of a mount; m of them with k corners in all.

    Attributes
    ----------
    corners : Corners
        Of each piece, at its lowest and its highest height.
    offsets : ndarray, shape (k, 3)
        The same corners, from the lens. [m]
    px_m : ndarray, shape (m,)
        Highest density allowed. [px/m]
    mask : ndarray of bool, shape (m,)
        A privacy mask is allowed.
    near_m : ndarray, shape (m,)
        Distance in plan to the nearest spot. [m]
    """

    corners: Corners
    offsets: Floats
    px_m: Floats
    mask: Flags
    near_m: Floats

    def some(self, chosen: Flags) -> Pieces:
        """Only the pieces of which the flag is set."""
        count = np.diff(np.append(self.corners.first, len(self.offsets)))
        rows = np.repeat(chosen, count)
        first = np.cumsum(count[chosen]) - count[chosen]
        whole = self.corners
        parts = (whole.away[rows], whole.bearing[rows], whole.below[rows])
        return Pieces(
            Corners(*parts, first.astype(np.int32)),
            self.offsets[rows],
            self.px_m[chosen],
            self.mask[chosen],
            self.near_m[chosen],
        )


def pieces(scene: Scene, mount: Mount, hiding: Edges) -> Pieces | None:
    """What a mount has in free sight of the keep-out areas on its level; None if nothing."""
    found: list[tuple[KeepOut, Any]] = []
    for keep_out in scene.keep_outs:
        if keep_out.level != mount.level:
            continue
        shape = shapely.Polygon(keep_out.outline)
        # What is seen of the ground at the highest height holds what is seen at lower ones.
        free = free_ground(mount, hiding, keep_out.high_m, farthest(mount, keep_out.outline))
        left, low, right, high = shape.bounds
        columns, rows = (np.linspace(*ends, _PIECES + 1) for ends in ((left, right), (low, high)))
        parts = boxed(shapely.intersection(shape, free), columns, rows)
        found.extend((keep_out, part) for part in parts if part.area >= LEAST_M2)
    if not found:
        return None
    offsets = [_offsets(part, keep_out, mount) for keep_out, part in found]
    count = np.array([len(one) for one in offsets])
    first = np.cumsum(count) - count
    x, y, z = np.concatenate(offsets).T
    bearing = np.arctan2(y, x)
    ahead = np.repeat(bearing[first], count)
    bearing = ahead + (bearing - ahead + math.pi) % math.tau - math.pi
    return Pieces(
        Corners(np.hypot(x, y), bearing, -z, first.astype(np.int32)),
        np.concatenate(offsets),
        np.array([keep_out.px_m for keep_out, _ in found]),
        np.array([keep_out.mask for keep_out, _ in found]),
        shapely.distance([part for _, part in found], shapely.Point(mount.at)),
    )


def _offsets(part: Any, keep_out: KeepOut, mount: Mount) -> Floats:
    flat = shapely.get_coordinates(part.exterior)[:-1] - np.array(mount.at)
    levels = [height - mount.height_m for height in (keep_out.low_m, keep_out.high_m)]
    return np.concatenate([np.column_stack([flat, np.full(len(flat), z)]) for z in levels])


def in_reach(found: Pieces, lens: Lens, focal_mm: float) -> Flags:
    """Which pieces a lens could show in more detail than is allowed, were it aimed at them.

    In the picture, a spot at a distance s lies at least s cos e along the axis, where e is the
    angle off the axis of a corner of the picture.
    """
    diagonal = math.hypot(lens.sensor_width_mm, lens.sensor_height_mm)
    flattest = focal_mm / math.hypot(focal_mm, diagonal / 2)
    limit = np.array([depth_limit(lens, focal_mm, px_m) for px_m in found.px_m.tolist()])
    return np.asarray(found.near_m * flattest < limit)


def shown(found: Pieces, lens: Lens, focal_mm: Floats, sides: Floats) -> Flags:
    """Which pieces are, or may be, shown in more detail than is allowed.

    Parameters
    ----------
    found : Pieces
    lens : Lens
    focal_mm : ndarray, shape (n,)
        Of each view. [mm]
    sides : ndarray, shape (n, 5, 3)
        `pinhole.planes` of the views.

    Returns
    -------
    ndarray of bool, shape (n, pieces)
    """
    result = np.zeros((len(sides), len(found.px_m)), dtype=bool)
    first = found.corners.first
    for start in range(0, len(sides), _BLOCK):
        part = slice(start, start + _BLOCK)
        inwards = sides[part] @ found.offsets.T
        inmost = np.maximum.reduceat(inwards[:, :4], first, axis=2)
        nearest = np.minimum.reduceat(inwards[:, 4], first, axis=1)
        scale = lens.width_px / lens.sensor_width_mm * focal_mm[part, None]
        # Seen faintly enough if depth x density >= scale; a density of 0 never is.
        faint = (nearest + NEAR_M) * found.px_m >= scale
        result[part] = (inmost.min(axis=1) > NEAR_M) & ~faint
    return result


def sideways(found: Pieces, tilt: float, half_wide: float) -> list[tuple[float, float]]:
    """Arcs of pans that surely have no piece between the two sides of the picture.

    Pieces right below the mount are left to `shown`.

    Parameters
    ----------
    found : Pieces
    tilt : float
        [rad]
    half_wide : float
        Half the sensor's width over the focal length.

    Returns
    -------
    list of (float, float)
        From and to; the whole circle if there are no pieces. [rad]
    """
    corners = found.corners
    reach = np.maximum(between_sides(corners, np.array(tilt), np.array(half_wide)), 0)
    lows = np.minimum.reduceat(corners.bearing - reach, corners.first)
    highs = np.maximum.reduceat(corners.bearing + reach, corners.first)
    good = highs - lows < math.pi
    taken = sorted(
        (low % math.tau, low % math.tau + high - low)
        for low, high in zip(lows[good].tolist(), highs[good].tolist(), strict=True)
    )
    if not taken:
        return [(0.0, math.tau)]
    free: list[tuple[float, float]] = []
    # What runs on beyond the full turn takes up the start of the circle as well.
    end = max(taken[0][0], max(high for _, high in taken) - math.tau)
    for low, high in taken:
        if low > end:
            free.append((end, low))
        end = max(end, high)
    if end < taken[0][0] + math.tau:
        free.append((end, taken[0][0] + math.tau))
    return free


def veiled(found: Pieces, corners: Corners, near: Floats, far: Floats) -> Flags:
    """Which cells a mask over each piece may hide: those that share a direction with it.

    Parameters
    ----------
    found : Pieces
    corners : Corners
        Of m cells.
    near, far : ndarray, shape (m,)
        Distance in plan to each cell's nearest and farthest spot. [m]

    Returns
    -------
    ndarray of bool, shape (pieces, m)
        Judged by the ranges of bearing and of fall: never too few.
    """
    middle, half = _turn(found.corners)
    centre, width = _turn(corners)
    apart = np.abs((centre[None, :] - middle[:, None] + math.pi) % math.tau - math.pi)
    aside = apart > half[:, None] + width[None, :] + NEAR_M
    its_far = np.maximum.reduceat(found.corners.away, found.corners.first)
    low, high = _falls(found.corners, found.near_m, its_far)
    flat, steep = _falls(corners, near, far)
    return np.asarray(~aside & (flat <= high[:, None]) & (steep >= low[:, None]))


def _turn(corners: Corners) -> tuple[Floats, Floats]:
    """The middle and half the width of the bearings of each body. [rad]"""
    low = np.minimum.reduceat(corners.bearing, corners.first)
    high = np.maximum.reduceat(corners.bearing, corners.first)
    return (low + high) / 2, (high - low) / 2


def _falls(corners: Corners, near: Floats, far: Floats) -> tuple[Floats, Floats]:
    """The flattest and the steepest fall of a line of sight to each body. [rad]"""
    top = np.minimum.reduceat(corners.below, corners.first)
    foot = np.maximum.reduceat(corners.below, corners.first)
    flat = np.minimum(np.arctan2(top, near), np.arctan2(top, far))
    return flat, np.maximum(np.arctan2(foot, near), np.arctan2(foot, far))


def veils(found: Pieces, mount: Mount, low_m: float, high_m: float, far_m: float) -> list[Any]:
    """Ground that a mask over each piece may hide, for targets from one height to another.

    At a distance p lines of sight to a target fall from atan(top / p) to atan(foot / p), those to
    the piece from `flat` to `steep`: they share one where foot >= p tan(flat) and
    top <= p tan(steep).

    Parameters
    ----------
    found : Pieces
    mount : Mount
    low_m, high_m : float
        [m]
    far_m : float
        Distance from the mount beyond which nothing is asked. [m]

    Returns
    -------
    list of shapely geometry
        For each piece the part of a ring about the mount in its bearings, never too small. [m]
    """
    middle, half = _turn(found.corners)
    its_far = np.maximum.reduceat(found.corners.away, found.corners.first)
    flat, steep = (np.tan(fall) for fall in _falls(found.corners, found.near_m, its_far))
    top, foot = mount.height_m - high_m, mount.height_m - low_m
    shapes = []
    for index in range(len(middle)):
        inner, outer = 0.0, far_m
        for constant, factor in ((foot, -float(flat[index])), (-top, float(steep[index]))):
            if factor > 0:
                inner = max(inner, -constant / factor)
            elif factor < 0:
                outer = min(outer, -constant / factor)
            elif constant < 0:
                outer = 0.0
        shapes.append(_sector(mount, float(middle[index]), float(half[index]), inner, outer))
    return shapes


def _sector(mount: Mount, middle: float, half: float, inner: float, outer: float) -> Any:
    """The part of a ring within an angle of a bearing; chords keep outside it."""
    if outer <= inner:
        return shapely.Polygon()
    half = min(half, math.pi)
    steps = max(1, math.ceil(2 * half / _CHORD))
    turns = [middle - half + 2 * half * k / steps for k in range(steps + 1)]
    wide = outer / math.cos(half / steps)
    x, y = mount.at
    ring = [(x + wide * math.cos(t), y + wide * math.sin(t)) for t in turns]
    ring += [(x + inner * math.cos(t), y + inner * math.sin(t)) for t in reversed(turns)]
    return shapely.make_valid(shapely.Polygon(ring))
