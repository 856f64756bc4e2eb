"""Near focus, depth of field and the size of a sensor."""

from __future__ import annotations

import math
from typing import Final

from optimizer.engineering._check import positive

SENSOR_FORMATS_MM: Final[dict[str, tuple[tuple[float, float], ...]]] = {
    "1/4": ((3.2, 2.4), (3.6, 2.7)),
    "1/3.2": ((4.536, 3.416),),
    "1/3": ((4.8, 3.6),),
    "1/2.8": ((5.57, 3.13),),
    "1/2.7": ((5.270, 3.960), (5.371, 4.035)),
    "1/2.5": ((5.760, 4.290),),
    "1/2": ((6.4, 4.8), (5.632, 4.224)),
    "1/1.8": ((7.176, 5.319), (7.040, 5.280)),
    "2/3": ((8.8, 6.6),),
}
"""Active areas (width, height) met under each "inch" name. [mm]

The name is not a size: where two areas are published both stand here. Published tables, except
1/4, the label 1/2.8 and the first 1/1.8 area, which are from memory. Prefer `sensor_side`.
"""


def sensor_side(pixels: float, pitch_um: float) -> float:
    """Side of the active area from pixel count and pitch, the dependable way to size a sensor.

    Parameters
    ----------
    pixels : float
        Pixels along the side, > 0. [px]
    pitch_um : float
        Distance between pixel centres, > 0. [um]

    Returns
    -------
    float
        Length of the side. [mm]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Arithmetic.
    """
    return positive("pixels", pixels) * positive("pitch_um", pitch_um) / 1000


def optical_format_inch(pixels_wide: float, pixels_high: float, pitch_um: float) -> float:
    """Nominal "inch" type of a sensor, pitch x diagonal pixels / 16000: a label, not a size.

    Parameters
    ----------
    pixels_wide, pixels_high : float
        Pixels along each side, > 0. [px]
    pitch_um : float
        Distance between pixel centres, > 0. [um]

    Returns
    -------
    float
        Type; 0.5 is called 1/2. [nominal inch]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Rule of thumb, 16 mm of diagonal to the inch; seen in a hobby page.
    """
    wide = positive("pixels_wide", pixels_wide)
    high = positive("pixels_high", pixels_high)
    return positive("pitch_um", pitch_um) * math.hypot(wide, high) / 16000


def close_range_focal(sensor_mm: float, object_mm: float, distance_mm: float) -> float:
    """Focal length for a near subject by the thin lens, D / (1 + object / sensor).

    Parameters
    ----------
    sensor_mm : float
        Side of the active area that the object must fill, > 0. [mm]
    object_mm : float
        The same side of the object, > 0. [mm]
    distance_mm : float
        Distance from lens to object, > 0. [mm]

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
    .. [1] Thin-lens equation, any optics text.
    """
    ratio = positive("object_mm", object_mm) / positive("sensor_mm", sensor_mm)
    return positive("distance_mm", distance_mm) / (1 + ratio)


def hyperfocal_m(focal_mm: float, f_number: float, coc_mm: float) -> float:
    """Nearest focus setting that keeps infinity sharp, f^2 / (N c) + f.

    Parameters
    ----------
    focal_mm : float
        Focal length, > 0. [mm]
    f_number : float
        Relative aperture, > 0. [1]
    coc_mm : float
        Circle of confusion, > 0; one pixel pitch is usual (from memory). [mm]

    Returns
    -------
    float
        Hyperfocal distance. [m]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Photography texts, from memory.
    """
    focal = positive("focal_mm", focal_mm)
    blur = positive("f_number", f_number) * positive("coc_mm", coc_mm)
    return (focal**2 / blur + focal) / 1000


def depth_of_field(
    focal_mm: float, f_number: float, coc_mm: float, distance_m: float
) -> tuple[float, float]:
    """Nearest and farthest sharp distance around a focus setting (thin lens).

    near = H s / (H + s - f), far = H s / (H - s + f), infinite from s - f = H outward.

    Parameters
    ----------
    focal_mm : float
        Focal length, > 0. [mm]
    f_number : float
        Relative aperture, > 0; the open aperture at night is the strict case. [1]
    coc_mm : float
        Circle of confusion, > 0. [mm]
    distance_m : float
        Distance focused at, more than one focal length. [m]

    Returns
    -------
    tuple of float
        Near and far limit; the far one may be inf. [m]

    Raises
    ------
    ValueError
        If an input is not above 0 or the distance is within the focal length; names it.

    References
    ----------
    .. [1] Photography texts, from memory.
    """
    hyperfocal = hyperfocal_m(focal_mm, f_number, coc_mm)
    distance = positive("distance_m", distance_m)
    beyond = distance - focal_mm / 1000
    if beyond <= 0:
        raise ValueError(
            f"distance_m must be more than the focal length ({focal_mm!r} mm), got {distance_m!r}"
        )
    near = hyperfocal * distance / (hyperfocal + beyond)
    far = math.inf if beyond >= hyperfocal else hyperfocal * distance / (hyperfocal - beyond)
    return near, far
