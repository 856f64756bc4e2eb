"""How much a recording needs, what a drive holds, and what an array of drives gives and stands.

An array is not a backup. How long recordings may be kept is for local law to say: police advice
of 31 days and data-protection guidance of about 72 hours differ widely.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from optimizer.engineering._check import Exact, exact_not_negative, not_negative, whole
from optimizer.engineering.arrays import (
    array_min_drives,
    array_survives,
    array_usable,
    read_error_risk,
    rebuild_hours,
)

__all__ = [
    "DAY_S",
    "OVERHEAD_SHARE",
    "WORKLOAD_TB_PER_YEAR",
    "YEAR_S",
    "array_min_drives",
    "array_survives",
    "array_usable",
    "bytes_for",
    "gb_to_gib",
    "idema_sectors",
    "read_error_risk",
    "rebuild_hours",
    "tb_to_tib",
    "yearly_load_tb",
]

DAY_S: Final = 86_400
YEAR_S: Final = 31_557_600
TIB_BYTES: Final = 2**40
GIB_BYTES: Final = 2**30

IDEMA_LEAST_GB: Final = 50
_IDEMA: Final[dict[int, tuple[int, int]]] = {
    512: (97_696_368, 1_953_504),
    4096: (12_212_046, 244_188),
}

WORKLOAD_TB_PER_YEAR: Final[dict[str, float]] = {
    "desktop": 55.0,
    "surveillance": 180.0,
    "enterprise": 550.0,
}
"""Usual yearly workload rating of a drive: from memory, the idea more than the figures. [TB]"""

OVERHEAD_SHARE: Final = (0.03, 0.10)
"""Usual share lost to file system and reserve (from, to): from memory."""


def bytes_for(bit_rate_bit_s: Exact, seconds_per_day: Exact, days: Exact) -> Fraction:
    """Bytes that a recording fills, rate / 8 x seconds a day x days.

    Parameters
    ----------
    bit_rate_bit_s : Fraction, Decimal, int or float
        Rate of the stream, >= 0; a float is read as the decimal it prints as. [bit/s]
    seconds_per_day : Fraction, Decimal, int or float
        Recorded time each day, 0 to 86400. [s]
    days : Fraction, Decimal, int or float
        Days kept, >= 0. [d]

    Returns
    -------
    Fraction
        Recording, without file-system overhead. [byte]

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Arithmetic: 1 Mbit/s fills 10.8 GB a day.
    """
    rate = exact_not_negative("bit_rate_bit_s", bit_rate_bit_s)
    seconds = exact_not_negative("seconds_per_day", seconds_per_day)
    if seconds > DAY_S:
        raise ValueError(f"seconds_per_day must be at most {DAY_S}, got {seconds_per_day!r}")
    return rate * seconds * exact_not_negative("days", days) / 8


def tb_to_tib(tb: float) -> float:
    """Decimal terabytes in binary ones: 1 TB is 0.909 TiB.

    Parameters
    ----------
    tb : float
        Capacity, >= 0. [TB]

    Returns
    -------
    float
        Capacity. [TiB]

    Raises
    ------
    ValueError
        If the capacity is negative; names it and its value.

    References
    ----------
    .. [1] IEC 80000-13 prefixes: 1e12 against 2^40.
    """
    return not_negative("tb", tb) * 1e12 / TIB_BYTES


def gb_to_gib(gb: float) -> float:
    """Decimal gigabytes in binary ones: 1 GB is 0.931 GiB.

    Parameters
    ----------
    gb : float
        Capacity, >= 0. [GB]

    Returns
    -------
    float
        Capacity. [GiB]

    Raises
    ------
    ValueError
        If the capacity is negative; names it and its value.

    References
    ----------
    .. [1] IEC 80000-13 prefixes: 1e9 against 2^30.
    """
    return not_negative("gb", gb) * 1e9 / GIB_BYTES


def idema_sectors(gb: int, sector_bytes: int = 512) -> int:
    """Sectors of a drive sold with a nominal capacity.

    Parameters
    ----------
    gb : int
        Nominal capacity, >= 50; some very large drives deviate (from memory). [GB]
    sector_bytes : int
        512 or 4096. [byte]

    Returns
    -------
    int
        Sectors.

    Raises
    ------
    ValueError
        If the capacity is below 50 or the sector is another size; names it.

    References
    ----------
    .. [1] IDEMA LBA1-03, constants seen in open-source storage utilities.
    """
    if sector_bytes not in _IDEMA:
        raise ValueError(f"sector_bytes must be 512 or 4096, got {sector_bytes!r}")
    base, step = _IDEMA[sector_bytes]
    return base + step * (whole("gb", gb, IDEMA_LEAST_GB) - IDEMA_LEAST_GB)


def yearly_load_tb(bit_s: float) -> float:
    """Amount a recorder writes in a year, to be spread over its data drives.

    Parameters
    ----------
    bit_s : float
        Mean rate of all streams together, >= 0. [bit/s]

    Returns
    -------
    float
        Load; compare each drive's share with its workload rating. [TB/year]

    Raises
    ------
    ValueError
        If the rate is negative; names it and its value.

    References
    ----------
    .. [1] Arithmetic with a year of 365.25 days.
    """
    return not_negative("bit_s", bit_s) / 8 * YEAR_S / 1e12
