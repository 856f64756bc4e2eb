"""Voltage left at a load at the end of a two-wire run.

Cameras with a switching converter draw constant power: they take more current as their voltage
falls, and past a point no voltage is stable. Mains work is for qualified persons.
"""

from __future__ import annotations

import math
from typing import Final

from optimizer.engineering._check import not_negative, positive, within

DROP_LIMIT_PERCENT: Final = 10.0
"""Most a 12 V feed may drop on its way to a camera: common practice, no source. [%]"""


def voltage_at_load(supply_v: float, watts: float, loop_ohm: float) -> float | None:
    """Voltage at a constant-power load at the end of a two-wire run.

    The larger root of V^2 - Vs V + P R = 0. Such a load draws more as its voltage falls, so it
    drops more than a constant current would, and past `collapse_power` nothing holds.

    Parameters
    ----------
    supply_v : float
        Voltage at the supply, > 0; the least it may give. [V]
    watts : float
        Power the load draws, >= 0. [W]
    loop_ohm : float
        Resistance there and back, >= 0. [ohm]

    Returns
    -------
    float or None
        Voltage at the load; None where no steady solution exists. [V]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Closed form of the constant-power load flow; equal to an AC load-flow program.
    """
    supply = positive("supply_v", supply_v)
    under_root = supply**2 - 4 * not_negative("watts", watts) * not_negative("loop_ohm", loop_ohm)
    if under_root < 0:
        return None
    return (supply + math.sqrt(under_root)) / 2


def voltage_at_current(supply_v: float, amps: float, loop_ohm: float) -> float:
    """Voltage at a constant-current load at the end of a two-wire run, Vs - I R.

    Parameters
    ----------
    supply_v : float
        Voltage at the supply, > 0. [V]
    amps : float
        Current the load draws, >= 0. [A]
    loop_ohm : float
        Resistance there and back, >= 0. [ohm]

    Returns
    -------
    float
        Voltage at the load, not below 0. [V]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Ohm's law.
    """
    drop = not_negative("amps", amps) * not_negative("loop_ohm", loop_ohm)
    return max(0.0, positive("supply_v", supply_v) - drop)


def current_at_load(supply_v: float, watts: float, loop_ohm: float) -> float | None:
    """Current of a constant-power load at the end of a two-wire run.

    Parameters
    ----------
    supply_v : float
        Voltage at the supply, > 0. [V]
    watts : float
        Power the load draws, >= 0. [W]
    loop_ohm : float
        Resistance there and back, >= 0. [ohm]

    Returns
    -------
    float or None
        Current, the figure for supply and fuse; None where no steady solution exists. [A]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] See `voltage_at_load`.
    """
    volts = voltage_at_load(supply_v, watts, loop_ohm)
    return None if volts is None else watts / volts


def collapse_power(supply_v: float, loop_ohm: float) -> float:
    """Most power that a run can deliver at all, V^2 / 4R.

    Parameters
    ----------
    supply_v : float
        Voltage at the supply, > 0. [V]
    loop_ohm : float
        Resistance there and back, >= 0. [ohm]

    Returns
    -------
    float
        Power, reached at half the supply's voltage; inf without resistance. [W]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Maximum power transfer, any circuits text.
    """
    square = positive("supply_v", supply_v) ** 2
    loop = not_negative("loop_ohm", loop_ohm)
    return math.inf if loop == 0 else square / (4 * loop)


def drop_percent(supply_v: float, load_v: float) -> float:
    """Voltage lost on the way as a percentage of the supply's.

    Parameters
    ----------
    supply_v : float
        Voltage at the supply, > 0. [V]
    load_v : float
        Voltage at the load, 0 to supply_v. [V]

    Returns
    -------
    float
        Drop. [%]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Arithmetic.
    """
    supply = positive("supply_v", supply_v)
    return (supply - within("load_v", load_v, 0, supply)) / supply * 100
