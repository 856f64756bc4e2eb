"""Stand-by time, apparent power and heat.

Batteries can give huge short-circuit currents and gas while charging: fuse near the battery,
ventilate, and leave mains work to qualified persons. Local codes decide.
"""

from __future__ import annotations

from typing import Final

from optimizer.engineering._check import not_negative, positive, share, within

BTU_J: Final = 1055.05585262
END_OF_LIFE: Final = 0.8
COLD_PER_K: Final = 0.01
RATED_CELSIUS: Final = 25.0

PEUKERT_EXPONENTS: Final[dict[str, tuple[float, float]]] = {
    "agm": (1.05, 1.15),
    "gel": (1.1, 1.25),
    "flooded": (1.2, 1.6),
}
"""Usual exponents (from, to) by kind of lead-acid battery: published sources disagree."""


def ups_runtime_h(
    volts: float, amp_hours: float, watts: float, depth: float = 1.0, efficiency: float = 1.0
) -> float:
    """Stand-by time without the effect of the discharge rate, V Ah depth efficiency / W.

    Parameters
    ----------
    volts : float
        Nominal voltage of the battery, > 0. [V]
    amp_hours : float
        Rated capacity, > 0. [Ah]
    watts : float
        Load, > 0. [W]
    depth : float
        Share of the capacity that may be used, 0 to 1.
    efficiency : float
        Of the inverter, 0 to 1.

    Returns
    -------
    float
        Time, optimistic for short discharges: see `peukert_h`. [h]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Energy balance, from memory; a worked case in a hobby page agrees.
    """
    energy_wh = positive("volts", volts) * positive("amp_hours", amp_hours)
    usable_wh = energy_wh * share("depth", depth) * share("efficiency", efficiency)
    return usable_wh / positive("watts", watts)


def capacity_needed_ah(
    volts: float,
    watts: float,
    hours: float,
    celsius: float = RATED_CELSIUS,
    end_of_life: float = END_OF_LIFE,
) -> float:
    """Rated capacity for a stand-by time at the end of the battery's life and in the cold.

    W h / (V x end of life x (1 - 1 % per K below 25 C)).

    Parameters
    ----------
    volts : float
        Nominal voltage of the battery, > 0. [V]
    watts : float
        Load on the battery, > 0. [W]
    hours : float
        Stand-by time, > 0. [h]
    celsius : float
        Lowest temperature of the battery, -40 to 60; above 25 nothing is gained. [C]
    end_of_life : float
        Share of the capacity left when the battery is replaced, 0 to 1.

    Returns
    -------
    float
        Capacity to buy. [Ah]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Margins after the practice of IEEE 485, from memory.
    """
    energy_wh = positive("watts", watts) * positive("hours", hours)
    cold_k = max(0.0, RATED_CELSIUS - within("celsius", celsius, -40, 60))
    left = share("end_of_life", end_of_life) * (1 - COLD_PER_K * cold_k)
    return energy_wh / positive("volts", volts) / left


def apparent_power(watts: float, power_factor: float) -> float:
    """Apparent power of a load, W / power factor; size a UPS on both.

    Parameters
    ----------
    watts : float
        Real power, >= 0. [W]
    power_factor : float
        0 to 1.

    Returns
    -------
    float
        Apparent power. [VA]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Definition of the power factor, from memory.
    """
    return not_negative("watts", watts) / share("power_factor", power_factor)


def peukert_h(amp_hours: float, amps: float, exponent: float, rated_hour: float) -> float:
    """Discharge time of a lead-acid battery, H (C / (I H))^k.

    The short form C / I^k leaves out the hour that the capacity is rated at, and agrees only
    where C / H is 1 A.

    Parameters
    ----------
    amp_hours : float
        Capacity at the rated hour, > 0. [Ah]
    amps : float
        Steady current, > 0. [A]
    exponent : float
        Peukert's exponent, 1 to 2; see `PEUKERT_EXPONENTS`.
    rated_hour : float
        Discharge time that the capacity is rated at, often 20, > 0. [h]

    Returns
    -------
    float
        Time. [h]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Peukert's law with the rated hour, from memory.
    """
    hour = positive("rated_hour", rated_hour)
    rated_amps = positive("amp_hours", amp_hours) / hour
    ratio = rated_amps / positive("amps", amps)
    return float(hour * ratio ** within("exponent", exponent, 1, 2))


def heat_btu_h(watts: float) -> float:
    """Heat that equipment gives off, 1 W = 3.412 BTU/h.

    Parameters
    ----------
    watts : float
        Power drawn, >= 0; nearly all of it becomes heat in the room. [W]

    Returns
    -------
    float
        Heat. [BTU/h]

    Raises
    ------
    ValueError
        If the power is negative; names it and its value.

    References
    ----------
    .. [1] International-table BTU, 1055.05585262 J.
    """
    return not_negative("watts", watts) * 3600 / BTU_J
