"""What a lens shows and in how much detail: view angle, scene width, pixel density, focal length.

Pinhole geometry of a distant subject, lens distortion left out. The detail levels and the
thin-lens functions have modules of their own and are offered here as well. A camera that looks
into homes or neighbouring ground, or at staff, needs a lawful basis: local law decides.
"""

from __future__ import annotations

import math
from fractions import Fraction

from optimizer.engineering._check import Exact, exact_positive, positive
from optimizer.engineering.detail import (
    DETAIL_LEVELS,
    density_from_height_percent,
    density_per_foot,
    detail_px_m,
)
from optimizer.engineering.focus import (
    SENSOR_FORMATS_MM,
    close_range_focal,
    depth_of_field,
    hyperfocal_m,
    optical_format_inch,
    sensor_side,
)

__all__ = [
    "DETAIL_LEVELS",
    "SENSOR_FORMATS_MM",
    "close_range_focal",
    "density_from_height_percent",
    "density_per_foot",
    "depth_of_field",
    "detail_px_m",
    "focal_for_width",
    "focal_to_set",
    "hyperfocal_m",
    "optical_format_inch",
    "pixel_density",
    "pixels_needed",
    "scene_width",
    "sensor_side",
    "view_angle",
]


def view_angle(sensor_mm: float, focal_mm: float) -> float:
    """Angle of view of a distortion-free lens, 2 atan(w / 2f).

    Parameters
    ----------
    sensor_mm : float
        Side or diagonal of the active area, > 0. [mm]
    focal_mm : float
        Focal length, > 0. [mm]

    Returns
    -------
    float
        Angle across that side. [deg]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Pinhole geometry, any optics text; equal to OpenCV's calibrationMatrixValues.
    """
    half = positive("sensor_mm", sensor_mm) / (2 * positive("focal_mm", focal_mm))
    return math.degrees(2 * math.atan(half))


def scene_width(sensor_width_mm: float, focal_mm: float, distance_m: float) -> float:
    """Width of the scene that fills the picture at a distance, w D / f.

    Parameters
    ----------
    sensor_width_mm : float
        Width of the active area, > 0. [mm]
    focal_mm : float
        Focal length, > 0. [mm]
    distance_m : float
        Distance from lens to subject, > 0 and many focal lengths. [m]

    Returns
    -------
    float
        Width of the scene. [m]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Similar triangles.
    """
    sensor = positive("sensor_width_mm", sensor_width_mm)
    return sensor * positive("distance_m", distance_m) / positive("focal_mm", focal_mm)


def pixel_density(
    pixels: float, sensor_width_mm: float, focal_mm: float, distance_m: float
) -> float:
    """Pixels on each metre of the scene, pixels f / (w D).

    Columns with the sensor's width give the horizontal density, rows with its height the
    vertical one; the two differ where pixels are not square.

    Parameters
    ----------
    pixels : float
        Pixels along the side, > 0. [px]
    sensor_width_mm : float
        The same side of the active area, > 0. [mm]
    focal_mm : float
        Focal length, > 0. [mm]
    distance_m : float
        Distance from lens to subject, > 0. [m]

    Returns
    -------
    float
        Pixel density. [px/m]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Similar triangles; equal to OpenCV's projectPoints.
    """
    return positive("pixels", pixels) / scene_width(sensor_width_mm, focal_mm, distance_m)


def focal_for_width(sensor_width_mm: float, distance_m: float, width_m: float) -> float:
    """Focal length that fills the picture with a width at a distance, w D / W.

    Parameters
    ----------
    sensor_width_mm : float
        Width of the active area, > 0. [mm]
    distance_m : float
        Distance from lens to subject, > 0. [m]
    width_m : float
        Width of the scene, > 0. [m]

    Returns
    -------
    float
        Focal length. [mm]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Similar triangles.
    """
    sensor = positive("sensor_width_mm", sensor_width_mm)
    return sensor * positive("distance_m", distance_m) / positive("width_m", width_m)


def focal_to_set(
    sensor_width_mm: Exact,
    focal_from_mm: Exact,
    focal_to_mm: Exact,
    distance_m: Exact,
    width_m: Exact,
) -> Fraction | None:
    """Longest focal length of a lens that still shows the whole width, exactly.

    min(focal_to, w D / W), or None where that is shorter than the lens goes. The longest one
    gives the most detail, so a zone that fails with it fails with every other setting too.

    Parameters
    ----------
    sensor_width_mm : Fraction, Decimal, int or float
        Width of the active area, > 0; a float is read as the decimal it prints as. [mm]
    focal_from_mm, focal_to_mm : Fraction, Decimal, int or float
        Shortest and longest focal length, 0 < from <= to; equal for a fixed lens. [mm]
    distance_m : Fraction, Decimal, int or float
        Distance from lens to subject, > 0. [m]
    width_m : Fraction, Decimal, int or float
        Width that must be seen, > 0. [m]

    Returns
    -------
    Fraction or None
        Focal length to set; None if even the shortest one is too narrow. [mm]

    Raises
    ------
    ValueError
        If an input is not above 0 or the range is reversed; names it and its value.

    References
    ----------
    .. [1] Similar triangles.
    """
    sensor = exact_positive("sensor_width_mm", sensor_width_mm)
    shortest = exact_positive("focal_from_mm", focal_from_mm)
    longest = exact_positive("focal_to_mm", focal_to_mm)
    if longest < shortest:
        raise ValueError(
            f"focal_to_mm must be at least focal_from_mm ({focal_from_mm!r}), got {focal_to_mm!r}"
        )
    limit = sensor * exact_positive("distance_m", distance_m) / exact_positive("width_m", width_m)
    focal = min(longest, limit)
    return None if focal < shortest else focal


def pixels_needed(
    detail_px_m: Exact, sensor_width_mm: Exact, focal_mm: Exact, distance_m: Exact
) -> int:
    """Fewest whole pixels across the picture that give a detail, ceil(detail w D / f).

    Computed with fractions, so a camera that meets the detail exactly is never refused for the
    noise of a binary float.

    Parameters
    ----------
    detail_px_m : Fraction, Decimal, int or float
        Pixel density asked for, > 0; a float is read as the decimal it prints as. [px/m]
    sensor_width_mm : Fraction, Decimal, int or float
        Width of the active area, > 0. [mm]
    focal_mm : Fraction, Decimal, int or float
        Focal length, > 0. [mm]
    distance_m : Fraction, Decimal, int or float
        Distance from lens to subject, > 0. [m]

    Returns
    -------
    int
        Pixels along the width of the picture. [px]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Similar triangles.
    """
    width = exact_positive("sensor_width_mm", sensor_width_mm) * exact_positive(
        "distance_m", distance_m
    )
    detail = exact_positive("detail_px_m", detail_px_m)
    return math.ceil(detail * width / exact_positive("focal_mm", focal_mm))
