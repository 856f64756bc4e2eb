"""Power over Ethernet: what a class feeds in and what is left at the device.

A class is a ceiling. A budget may count class power, negotiated power or measured power: say
which. Cable between buildings is better fibre; outdoor copper needs surge protection.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from optimizer.engineering._check import not_negative, positive
from optimizer.engineering.feeds import voltage_at_load

CHANNEL_M: Final = 100
"""Longest copper channel, 90 m fixed and 10 m of cords: published. [m]"""


@dataclass(frozen=True)
class PoeClass:
    """One class: powers [W], least source and device voltage [V], worst loop [ohm], type."""

    source_w: float
    device_w: float
    source_v_min: float
    loop_ohm: float
    device_v_min: float
    type: int


CLASSES: Final[dict[int, PoeClass]] = {
    0: PoeClass(15.4, 12.95, 44.0, 20.0, 37.0, 1),
    1: PoeClass(4.0, 3.84, 44.0, 20.0, 42.2, 1),
    2: PoeClass(7.0, 6.49, 44.0, 20.0, 40.8, 1),
    3: PoeClass(15.4, 12.95, 44.0, 20.0, 37.0, 1),
    4: PoeClass(30.0, 25.5, 50.0, 12.5, 42.5, 2),
    5: PoeClass(45.0, 40.0, 50.0, 6.25, 44.4, 3),
    6: PoeClass(60.0, 51.0, 50.0, 6.25, 42.5, 3),
    7: PoeClass(75.0, 62.0, 52.0, 6.25, 43.0, 4),
    8: PoeClass(90.0, 71.3, 52.0, 6.25, 41.2, 4),
}
"""Classes of IEEE 802.3 clauses 33 and 145.

Powers through a secondary page. Source voltages and loops from memory, the loops confirmed by
reproducing every device power; device voltages computed from them.
"""


def source_watts(cls: int) -> float:
    """Power that the source must be ready to give to a class.

    Parameters
    ----------
    cls : int
        Class, 0 to 8.

    Returns
    -------
    float
        Power at the source. [W]

    Raises
    ------
    ValueError
        If there is no such class; names it.

    References
    ----------
    .. [1] IEEE 802.3, clauses 33 and 145, through a secondary page.
    """
    return _class(cls).source_w


def device_watts(cls: int) -> float:
    """Power that a class promises at the device at the end of the worst cable.

    Parameters
    ----------
    cls : int
        Class, 0 to 8.

    Returns
    -------
    float
        Power at the device. [W]

    Raises
    ------
    ValueError
        If there is no such class; names it.

    References
    ----------
    .. [1] IEEE 802.3, clauses 33 and 145, through a secondary page.
    """
    return _class(cls).device_w


def class_for(watts: float) -> int | None:
    """Class with the least source power that promises enough at the device.

    Parameters
    ----------
    watts : float
        Most power that the device draws, > 0. [W]

    Returns
    -------
    int or None
        Class 1 to 8 (0 promises what 3 does); None above the highest.

    Raises
    ------
    ValueError
        If the power is not above 0; names it and its value.

    References
    ----------
    .. [1] See `CLASSES`.
    """
    need = positive("watts", watts)
    for cls in range(1, 9):
        if CLASSES[cls].device_w >= need:
            return cls
    return None


def delivered_watts(source_w: float, source_v: float, loop_ohm: float) -> float:
    """Power left at the device when the source gives a power, P - (P/V)^2 R.

    Parameters
    ----------
    source_w : float
        Power given by the source, >= 0. [W]
    source_v : float
        Voltage at the source, > 0. [V]
    loop_ohm : float
        Resistance there and back of all pairs used together, >= 0. [ohm]

    Returns
    -------
    float
        Power at the device; negative where the source cannot push that current. [W]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Ohm's law; reproduces the device power of every class.
    """
    power = not_negative("source_w", source_w)
    amps = power / positive("source_v", source_v)
    return power - amps**2 * not_negative("loop_ohm", loop_ohm)


def device_voltage(source_v: float, watts: float, loop: float) -> float | None:
    """Voltage at a device that draws a constant power.

    Parameters
    ----------
    source_v : float
        Voltage at the source, > 0. [V]
    watts : float
        Power at the device, >= 0. [W]
    loop : float
        Resistance there and back of all pairs used together, >= 0. [ohm]

    Returns
    -------
    float or None
        Voltage at the device; None where no steady solution exists. [V]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] See `optimizer.engineering.feeds.voltage_at_load`.
    """
    positive("source_v", source_v)
    not_negative("loop", loop)
    return voltage_at_load(source_v, watts, loop)


def _class(cls: int) -> PoeClass:
    if isinstance(cls, bool) or cls not in CLASSES:
        raise ValueError(f"cls must be a class from 0 to 8, got {cls!r}")
    return CLASSES[cls]
