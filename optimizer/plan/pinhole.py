"""A pinhole camera in three dimensions: picture, density, and the ground a picture covers.

Axes as in "Zones on a plan" of RULES.md: `a` along the optical axis, `r` right of it, `d = a x r`
down the picture. Lens distortion is left out. A camera that looks at homes, neighbouring ground
or staff needs a lawful basis: local law decides.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from optimizer.plan.scene import Lens, Mount

Floats: TypeAlias = NDArray[np.float64]

NEAR_M = 1e-7
"""Lengths that differ by less are taken as equal: what rounding in binary can move a point. [m]"""


def axes(pan_deg: ArrayLike, tilt_deg: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Unit vectors along the optical axis, to its right, and down the picture.

    Parameters
    ----------
    pan_deg, tilt_deg : float or array_like, shape (...)
        [deg]

    Returns
    -------
    tuple of three ndarray, shape (..., 3)
        Axis a, right r, down d = a x r.

    References
    ----------
    .. [1] Vector geometry; equal to OpenCV's camera frame (x right, y down, z ahead).
    """
    pan, tilt = np.broadcast_arrays(np.radians(pan_deg), np.radians(tilt_deg))
    cos_pan, sin_pan = np.cos(pan), np.sin(pan)
    cos_tilt, sin_tilt = np.cos(tilt), np.sin(tilt)
    axis = np.stack([cos_tilt * cos_pan, cos_tilt * sin_pan, -sin_tilt], axis=-1)
    right = np.stack([sin_pan, -cos_pan, np.zeros_like(pan)], axis=-1)
    down = np.stack([-sin_tilt * cos_pan, -sin_tilt * sin_pan, -cos_tilt], axis=-1)
    return axis, right, down


def project(
    lens: Lens, focal_mm: float, pan_deg: float, tilt_deg: float, offsets_m: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Where points appear in the picture.

    Parameters
    ----------
    lens : Lens
    focal_mm : float
        [mm]
    pan_deg, tilt_deg : float
        [deg]
    offsets_m : array_like, shape (n, 3)
        Points less the place of the lens. [m]

    Returns
    -------
    tuple of three ndarray, shape (n,)
        Right of and below the middle of the picture, as shares of its width and of its height
        (inside where both are within -0.5 to 0.5), and the distance along the optical axis [m].
        The shares are nan for a point that is not ahead of the lens.

    References
    ----------
    .. [1] Central projection; equal to OpenCV's projectPoints.
    """
    axis, right, down = axes(pan_deg, tilt_deg)
    offsets = np.asarray(offsets_m, dtype=float)
    depth = offsets @ axis
    ahead = np.where(depth > 0, depth, np.nan)
    across = offsets @ right / ahead * focal_mm / lens.sensor_width_mm
    below = offsets @ down / ahead * focal_mm / lens.sensor_height_mm
    return across, below, depth


def density(lens: Lens, focal_mm: float, depth_m: ArrayLike) -> Floats:
    """Pixel density of a target at a distance along the optical axis, W f / (w z).

    On the plane across the line of sight at a target that lies at an angle e off the axis, one
    metre shows as f / z across the direction away from the middle of the picture and as
    f / (z cos e) along it. The smaller of the two is taken, so it holds for every direction on
    that plane. It is also the density on the plane across the optical axis.

    Parameters
    ----------
    lens : Lens
    focal_mm : float
        [mm]
    depth_m : float or array_like
        Distance along the optical axis, > 0. [m]

    Returns
    -------
    ndarray
        [px/m]

    References
    ----------
    .. [1] Derivative of the central projection, by hand; tested against differences of OpenCV's
       projectPoints.
    """
    scale = lens.width_px * focal_mm / lens.sensor_width_mm
    return scale / np.asarray(depth_m, dtype=float)


def depth_limit(lens: Lens, focal_mm: float, px_m: float) -> float:
    """Farthest distance along the optical axis at which a density is reached, W f / (w D).

    Parameters
    ----------
    lens : Lens
    focal_mm : float
        [mm]
    px_m : float
        Density, >= 0; 0 gives infinity. [px/m]

    Returns
    -------
    float
        [m]
    """
    if px_m == 0:
        return float("inf")
    return lens.width_px * focal_mm / (lens.sensor_width_mm * px_m)


def planes(lens: Lens, focal_mm: ArrayLike, pan_deg: ArrayLike, tilt_deg: ArrayLike) -> Floats:
    """The four sides of the picture as planes through the lens.

    Parameters
    ----------
    lens : Lens
    focal_mm, pan_deg, tilt_deg : array_like, shape (n,)
        [mm, deg, deg]

    Returns
    -------
    ndarray, shape (n, 5, 3)
        Normals of the right, left, lower and upper side, pointing inwards, and the optical axis.
        An offset v from the lens is in the picture if its products with the first four are all
        >= 0 (and, but for v = 0, then v . axis > 0); v . axis is its distance along the axis.
    """
    axis, right, down = axes(pan_deg, tilt_deg)
    focal = np.asarray(focal_mm, dtype=float)[..., None]
    half_wide = lens.sensor_width_mm / (2 * focal)
    half_high = lens.sensor_height_mm / (2 * focal)
    sides = (
        half_wide * axis - right,
        half_wide * axis + right,
        half_high * axis - down,
        half_high * axis + down,
        axis,
    )
    return np.stack(sides, axis=-2)


def footprint(
    mount: Mount,
    lens: Lens,
    aim: tuple[float, float, float],
    height_m: float,
    px_m: float,
    within_m: float,
) -> list[tuple[float, float]]:
    """The convex polygon in which points at one height are in the picture in enough detail.

    Walls, obstacles and the open arc are left out.

    Parameters
    ----------
    mount : Mount
    lens : Lens
    aim : tuple of float
        Focal length, pan, tilt. [mm, deg, deg]
    height_m : float
        Height of the points. [m]
    px_m : float
        Density, >= 0. [px/m]
    within_m : float
        Half the side of the square about the mount beyond which nothing is looked at. [m]

    Returns
    -------
    list of (float, float)
        Corners in plan, empty if there is no such ground. [m]
    """
    sides = planes(lens, *(np.array([value]) for value in aim))[0]
    rise = height_m - mount.height_m
    # Each limit is p x + q y + c >= 0 in offsets from the mount.
    limits = [(side[0], side[1], side[2] * rise) for side in sides[:4]]
    axis, far = sides[4], depth_limit(lens, aim[0], px_m)
    limits.append((axis[0], axis[1], axis[2] * rise))
    if np.isfinite(far):
        limits.append((-axis[0], -axis[1], far - axis[2] * rise))
    size = within_m
    corners = [(-size, -size), (size, -size), (size, size), (-size, size)]
    for limit in limits:
        corners = _cut(corners, limit)
    x, y = mount.at
    return [(x + u, y + v) for u, v in corners]


def _cut(
    corners: list[tuple[float, float]], limit: tuple[float, float, float]
) -> list[tuple[float, float]]:
    """A convex polygon cut by a half plane (the method of Sutherland and Hodgman, 1974)."""
    p, q, c = limit
    kept: list[tuple[float, float]] = []
    for index, (u, v) in enumerate(corners):
        before_u, before_v = corners[index - 1]
        here, before = p * u + q * v + c, p * before_u + q * before_v + c
        if (here < 0) != (before < 0):
            share = before / (before - here)
            kept.append((before_u + share * (u - before_u), before_v + share * (v - before_v)))
        if here >= 0:
            kept.append((u, v))
    return kept if len(kept) > 2 else []
