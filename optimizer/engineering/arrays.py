"""What an array of equal drives gives and stands. An array is not a backup."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final, TypeVar

from optimizer.engineering._check import not_negative, one_of, positive, whole

_SURVIVES: Final = {"none": 0, "0": 0, "mirror": 1, "1": 1, "5": 1, "6": 2, "10": 1}
_LEAST: Final = {"none": 1, "0": 2, "mirror": 2, "1": 2, "5": 3, "6": 4, "10": 4}

Capacity = TypeVar("Capacity", int, float, Fraction)


def array_min_drives(level: str) -> int:
    """Fewest drives an array level takes.

    Parameters
    ----------
    level : str
        "none", "mirror" (pairs), "0", "1", "5", "6" or "10".

    Returns
    -------
    int
        Drives.

    Raises
    ------
    ValueError
        If the level is unknown; names it and what is accepted.

    References
    ----------
    .. [1] Level 5 and 6 as published; 0, 1, mirror and 10 from memory.
    """
    return _LEAST[one_of("level", level, _LEAST)]


def array_survives(level: str, n: int | None = None) -> int:
    """Drive failures that an array stands for certain, whichever drives they are.

    Parameters
    ----------
    level : str
        "none", "mirror" (pairs), "0", "1", "5", "6" or "10".
    n : int, optional
        Drives; matters only for level "1", where all hold the same and n - 1 may fail.

    Returns
    -------
    int
        Failures survived.

    Raises
    ------
    ValueError
        If the level is unknown or the count does not suit it; names it.

    References
    ----------
    .. [1] Common tables of array levels; 10 from memory.
    """
    survived = _SURVIVES[one_of("level", level, _SURVIVES)]
    if n is not None:
        _suits(level, n)
        if level == "1":
            return n - 1
    return survived


def array_usable(level: str, n: int, capacity: Capacity) -> Capacity:
    """Usable capacity of n equal drives.

    Parameters
    ----------
    level : str
        "none" and "0": n C. "mirror" and "10": n C / 2. "1": C. "5": (n-1) C. "6": (n-2) C.
    n : int
        Drives; even for "mirror" and "10", and at least `array_min_drives`.
    capacity : int, float or Fraction
        Capacity of one drive, >= 0. [byte, or any other unit]

    Returns
    -------
    int, float or Fraction
        Capacity, of the same type and unit.

    Raises
    ------
    ValueError
        If the level is unknown, the count does not suit it or the capacity is negative.

    References
    ----------
    .. [1] Common tables of array levels; 10 from memory.
    """
    one_of("level", level, _LEAST)
    _suits(level, n)
    not_negative("capacity", float(capacity))
    full = {"none": n, "0": n, "mirror": n // 2, "1": 1, "5": n - 1, "6": n - 2, "10": n // 2}
    return capacity * full[level]


def rebuild_hours(capacity_bytes: float, write_bytes_s: float) -> float:
    """Shortest time to rebuild a drive, capacity over sustained write rate.

    Parameters
    ----------
    capacity_bytes : float
        Capacity of the drive, >= 0. [byte]
    write_bytes_s : float
        Sustained write rate, > 0; recording meanwhile lowers it. [byte/s]

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
    .. [1] Arithmetic; a floor, not an estimate.
    """
    capacity = not_negative("capacity_bytes", capacity_bytes)
    return capacity / positive("write_bytes_s", write_bytes_s) / 3600


def read_error_risk(read_bytes: float, error_per_bit: float = 1e-15) -> float:
    """Chance of at least one unreadable bit, 1 - (1 - p)^bits.

    Parameters
    ----------
    read_bytes : float
        Amount read, as in the rebuild of an array, >= 0. [byte]
    error_per_bit : float
        Rated chance of an unreadable bit, 0 <= p < 1; 1e-14 to 1e-15 (from memory).

    Returns
    -------
    float
        Probability, 0 to 1.

    Raises
    ------
    ValueError
        If an input is out of range; names it and its value.

    References
    ----------
    .. [1] Independent errors, arithmetic; drive ratings from memory.
    """
    bits = 8 * not_negative("read_bytes", read_bytes)
    chance = not_negative("error_per_bit", error_per_bit)
    if chance >= 1:
        raise ValueError(f"error_per_bit must be below 1, got {error_per_bit!r}")
    return -math.expm1(bits * math.log1p(-chance))


def _suits(level: str, n: int) -> None:
    whole("n", n, 1)
    least = _LEAST[level]
    if n < least:
        raise ValueError(f"n must be {least} or more for level {level!r}, got {n!r}")
    if level in ("mirror", "10") and n % 2:
        raise ValueError(f"n must be even for level {level!r}, got {n!r}")
