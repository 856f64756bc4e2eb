"""Resistance of copper pairs and the voltage left at a load.

Keep limited-power circuits apart from power wiring, do not parallel their outputs, and leave
mains work to qualified persons; outdoor copper needs surge protection and bonding where it
enters a building. Local codes and licensed practice decide.
"""

from __future__ import annotations

import math
from typing import Final

from optimizer.engineering._check import not_negative, positive, whole, within
from optimizer.engineering.class2 import class2_limits
from optimizer.engineering.feeds import (
    DROP_LIMIT_PERCENT,
    collapse_power,
    current_at_load,
    drop_percent,
    voltage_at_current,
    voltage_at_load,
)

__all__ = [
    "AWG_LARGEST",
    "AWG_SMALLEST",
    "CATEGORY_OHM_PER_M",
    "COPPER_OHM_M",
    "COPPER_PER_K",
    "DROP_LIMIT_PERCENT",
    "awg_diameter_mm",
    "class2_limits",
    "collapse_power",
    "current_at_load",
    "drop_percent",
    "loop_of",
    "loop_resistance",
    "resistance_per_m",
    "temperature_factor",
    "voltage_at_current",
    "voltage_at_load",
]

COPPER_OHM_M: Final = 1.7241e-8
"""Resistivity of annealed copper at 20 C (IACS, IEC 60028:1925). [ohm m]"""

COPPER_PER_K: Final = 0.00393
"""Rise of copper's resistance from its value at 20 C. [1/K]"""

CATEGORY_OHM_PER_M: Final = 0.0938
"""Most a category 5e or 6 conductor may have at 20 C: TIA-568.2-D, secondary. [ohm/m]"""

AWG_SMALLEST: Final = 40
AWG_LARGEST: Final = -3


def awg_diameter_mm(awg: int) -> float:
    """Diameter of a solid conductor, 0.127 mm x 92^((36 - n) / 39).

    Parameters
    ----------
    awg : int
        Gauge, -3 (also written 4/0) to 40.

    Returns
    -------
    float
        Diameter. [mm]

    Raises
    ------
    ValueError
        If the gauge is out of range; names it and its value.

    References
    ----------
    .. [1] ASTM B258-02, formula through a secondary page.
    """
    gauge = whole("awg", awg, AWG_LARGEST)
    if gauge > AWG_SMALLEST:
        raise ValueError(f"awg must be {AWG_SMALLEST} or less, got {awg!r}")
    return float(0.127 * 92 ** ((36 - gauge) / 39))


def resistance_per_m(awg: int, celsius: float = 20) -> float:
    """Resistance of one metre of a solid annealed copper conductor.

    Stranded conductors of the same gauge have about 2 % more; copper-clad steel or aluminium
    far more.

    Parameters
    ----------
    awg : int
        Gauge, -3 to 40.
    celsius : float
        Temperature of the conductor, -60 to 200; 75 has 21.6 % more than 20. [C]

    Returns
    -------
    float
        Resistance one way. [ohm/m]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] IEC 60028:1925 and NBS Handbook 100, 1966, through secondary pages.
    """
    area_m2 = math.pi / 4 * (awg_diameter_mm(awg) / 1000) ** 2
    return COPPER_OHM_M / area_m2 * temperature_factor(celsius)


def temperature_factor(celsius: float) -> float:
    """Resistance of copper at a temperature over its resistance at 20 C.

    Parameters
    ----------
    celsius : float
        Temperature of the conductor, -60 to 200. [C]

    Returns
    -------
    float
        1 + 0.00393 (t - 20).

    Raises
    ------
    ValueError
        If the temperature is out of range; names it and its value.

    References
    ----------
    .. [1] IEC 60028:1925, through a secondary page.
    """
    return 1 + COPPER_PER_K * (within("celsius", celsius, -60, 200) - 20)


def loop_of(ohm_per_m: float, length_m: float, conductors_per_leg: int = 1) -> float:
    """Resistance there and back of a run whose conductor resistance is known.

    Parameters
    ----------
    ohm_per_m : float
        Resistance of one conductor, one way, at its temperature, > 0. [ohm/m]
    length_m : float
        Length of the run one way, >= 0. [m]
    conductors_per_leg : int
        Equal conductors in parallel on each of the two legs, >= 1.

    Returns
    -------
    float
        Resistance of the loop, twice the run. [ohm]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Ohm's law.
    """
    legs = 2 * positive("ohm_per_m", ohm_per_m) * not_negative("length_m", length_m)
    return legs / whole("conductors_per_leg", conductors_per_leg, 1)


def loop_resistance(
    awg: int, length_m: float, celsius: float, conductors_per_leg: int = 1
) -> float:
    """Resistance there and back of a run of solid copper, twice the run.

    Parameters
    ----------
    awg : int
        Gauge, -3 to 40.
    length_m : float
        Length of the run one way, >= 0. [m]
    celsius : float
        Temperature of the conductor, -60 to 200. [C]
    conductors_per_leg : int
        Equal conductors in parallel on each of the two legs, >= 1.

    Returns
    -------
    float
        Resistance of the loop. [ohm]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] See `resistance_per_m`.
    """
    return loop_of(resistance_per_m(awg, celsius), length_m, conductors_per_leg)
