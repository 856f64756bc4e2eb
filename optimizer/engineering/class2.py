"""Limits of a limited-power (Class 2) supply output.

The edition in force locally decides: the 2023 code moved its cable rules (from memory). Do not
parallel Class 2 outputs.
"""

from __future__ import annotations

from typing import Final

from optimizer.engineering._check import positive

CLASS2_HIGHEST_V: Final = 60.0


def class2_limits(volts_max: float) -> tuple[float, float]:
    """Most apparent power and current of one Class 2 DC output.

    Up to 20 V the limit is 5.0 A and 5.0 x Vmax VA, so a 12 V output gives 60 VA and not 100.
    Above, it is 100 VA and 100/Vmax A.

    Parameters
    ----------
    volts_max : float
        Highest voltage of the output, > 0 and at most 60; above 30 only where contact while
        wet is not likely. [V]

    Returns
    -------
    tuple of float
        Apparent power and current. [VA, A]

    Raises
    ------
    ValueError
        If the voltage is out of range; names it and its value.

    References
    ----------
    .. [1] NEC chapter 9, table 11(B): 100 VA and 100/Vmax through secondary pages; the limit up
       to 20 V and the end at 60 V from memory.
    """
    volts = positive("volts_max", volts_max)
    if volts > CLASS2_HIGHEST_V:
        raise ValueError(f"volts_max must be at most {CLASS2_HIGHEST_V:g}, got {volts_max!r}")
    if volts <= 20:
        return 5.0 * volts, 5.0
    return 100.0, 100.0 / volts
