"""What a camera still sees at night, by ambient light or by its own infra-red lamp.

Infra-red lamps can harm the eye at close range (IEC 62471, from memory): keep to the maker's
distance and fit them out of reach. Local codes and licensed practice decide.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from optimizer.engineering._check import (
    Exact,
    exact_not_negative,
    exact_positive,
    not_negative,
    positive,
)

LIT_LUX: Final = Fraction(50)
"""Assumed light where a site says only that it is lit: common practice, no source. [lx]"""

NATURAL_LIGHT_LUX: Final[dict[str, tuple[float, float]]] = {
    "full sun": (1e5, 1e5),
    "overcast": (1e3, 1e3),
    "twilight": (10.0, 10.0),
    "full moon": (0.1, 0.3),
    "starlight": (1e-3, 1e-3),
}
"""Usual illuminance of natural light (from, to): textbook ranges, from memory. [lx]"""


def ambient_lux(night: str | Exact) -> Fraction:
    """Illuminance meant by a site's word for its night.

    Parameters
    ----------
    night : str, Fraction, Decimal, int or float
        "lit" (taken as `LIT_LUX`), "dark" (0 lx), or a figure, >= 0. [lx]

    Returns
    -------
    Fraction
        Illuminance. [lx]

    Raises
    ------
    ValueError
        If the word is another one or the figure is negative; names it.

    References
    ----------
    .. [1] 50 lx for "lit": common practice, no source.
    """
    if isinstance(night, str):
        if night == "lit":
            return LIT_LUX
        if night == "dark":
            return Fraction(0)
        raise ValueError(f"night must be lit, dark or a figure in lux, got {night!r}")
    return exact_not_negative("night", night)


def night_ok(
    night: str | Exact,
    colour_needed: bool,
    infrared_reach_m: Exact | None,
    lux_colour: Exact | None,
    lux_mono: Exact | None,
    distance_m: Exact,
) -> tuple[bool, str]:
    """Whether a camera gives the night picture that is asked, and why.

    Colour needs enough ambient light for the colour mode, since infra-red pictures are
    monochrome. Otherwise any one of colour mode, monochrome mode or infra-red lamp is enough.

    Parameters
    ----------
    night : str, Fraction, Decimal, int or float
        "lit" (taken as `LIT_LUX`), "dark" (0 lx), or a figure, >= 0. [lx]
    colour_needed : bool
        True if the night picture must be in colour.
    infrared_reach_m : Fraction, Decimal, int, float or None
        Reach of the infra-red lamp, >= 0; None or 0 without one. [m]
    lux_colour, lux_mono : Fraction, Decimal, int, float or None
        Least light for each mode, > 0; None where the mode is absent or not stated. A data
        sheet's "0 lx" means the infra-red lamp: give that as its reach. [lx]
    distance_m : Fraction, Decimal, int or float
        Distance from camera to view, > 0. [m]

    Returns
    -------
    tuple of bool and str
        The verdict, and the limit that passed or failed in words of the trade.

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Common practice, no source: IEC 62676-4 gives no figure that could be found, and
       IEC 62676-5 only says how a camera's least illumination is stated.
    """
    light = ambient_lux(night)
    distance = exact_positive("distance_m", distance_m)
    reach = Fraction(0)
    if infrared_reach_m is not None:
        reach = exact_not_negative("infrared_reach_m", infrared_reach_m)
    colour = None if lux_colour is None else exact_positive("lux_colour", lux_colour)
    mono = None if lux_mono is None else exact_positive("lux_mono", lux_mono)

    if colour is not None and light >= colour:
        return True, f"colour needs {_text(colour)} lx, the view has {_text(light)} lx"
    if colour_needed:
        return False, _no_colour(light, colour)
    if mono is not None and light >= mono:
        return True, f"monochrome needs {_text(mono)} lx, the view has {_text(light)} lx"
    if reach >= distance:
        return True, f"infra-red reaches {_text(reach)} m, the view is at {_text(distance)} m"
    return False, _too_dark(light, colour, mono, reach, distance)


def _no_colour(light: Fraction, colour: Fraction | None) -> str:
    if light == 0:
        return "colour needs light, the view is dark and infra-red pictures are monochrome"
    if colour is None:
        return "no least light for colour is stated and infra-red pictures are monochrome"
    return f"colour needs {_text(colour)} lx, the view has {_text(light)} lx"


def _too_dark(
    light: Fraction,
    colour: Fraction | None,
    mono: Fraction | None,
    reach: Fraction,
    distance: Fraction,
) -> str:
    limits = []
    if light > 0:
        stated = [(lux, word) for lux, word in ((mono, "monochrome"), (colour, "colour")) if lux]
        if stated:
            least, word = min(stated)
            limits.append(f"{word} needs {_text(least)} lx, the view has {_text(light)} lx")
        else:
            limits.append("no least light is stated")
    if reach > 0:
        limits.append(f"infra-red reaches {_text(reach)} m, the view is at {_text(distance)} m")
    elif light > 0:
        limits.append("there is no infra-red lamp")
    else:
        limits.append("the view is dark and there is no infra-red lamp")
    return "; ".join(limits)


def _text(number: Fraction) -> str:
    return f"{float(number):.10g}"


def irradiance(intensity: float, distance: float) -> float:
    """Irradiance from a small lamp on a facing surface, I / d^2.

    Twice the reach needs four times the intensity.

    Parameters
    ----------
    intensity : float
        Radiant intensity, >= 0. [W/sr]
    distance : float
        Distance from the lamp, > 0. [m]

    Returns
    -------
    float
        Irradiance; with cd in place of W/sr it is illuminance in lx. [W/m^2]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Inverse-square law of a point source, physics, from memory.
    """
    return not_negative("intensity", intensity) / positive("distance", distance) ** 2
