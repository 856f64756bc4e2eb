"""Ceilings of the levels of H.264 and H.265: how fast and how large a stream may be."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from optimizer.engineering._check import Exact, exact_positive, whole

MACROBLOCK_PX: Final = 16


@dataclass(frozen=True)
class Level:
    """Ceilings of one codec level.

    `rate` and `picture` count macroblocks (H.264) or luma samples (H.265), a second and in one
    picture. `main_kbit_s` and `high_kbit_s` are the bit-rate ceilings of the Main and High
    profile (H.264) or tier (H.265); None where there is none. The picture ceilings are from
    memory, the others published.
    """

    rate: int
    picture: int
    main_kbit_s: int
    high_kbit_s: int | None


def _h264(rate: int, picture: int, main_kbit_s: int) -> Level:
    return Level(rate, picture, main_kbit_s, main_kbit_s * 5 // 4)


H264_LEVELS: Final[dict[str, Level]] = {
    "3": _h264(40_500, 1_620, 10_000),
    "3.1": _h264(108_000, 3_600, 14_000),
    "3.2": _h264(216_000, 5_120, 20_000),
    "4": _h264(245_760, 8_192, 20_000),
    "4.1": _h264(245_760, 8_192, 50_000),
    "4.2": _h264(522_240, 8_704, 50_000),
    "5": _h264(589_824, 22_080, 135_000),
    "5.1": _h264(983_040, 36_864, 240_000),
}
"""H.264 levels from the lowest up; macroblock and Main rates published, High = 1.25 x Main."""

H265_LEVELS: Final[dict[str, Level]] = {
    "3.1": Level(33_177_600, 983_040, 10_000, None),
    "4": Level(66_846_720, 2_228_224, 12_000, 30_000),
    "4.1": Level(133_693_440, 2_228_224, 20_000, 50_000),
    "5": Level(267_386_880, 8_912_896, 25_000, 100_000),
    "5.1": Level(534_773_760, 8_912_896, 40_000, 160_000),
}
"""H.265 levels from the lowest up; sample and bit rates published."""


def macroblocks_per_second(width_px: int, height_px: int, fps: Exact) -> Fraction:
    """Macroblocks of 16 x 16 px a second, ceil(w/16) ceil(h/16) fps.

    Parameters
    ----------
    width_px, height_px : int
        Size of the picture, >= 1. [px]
    fps : Fraction, Decimal, int or float
        Pictures a second, > 0. [1/s]

    Returns
    -------
    Fraction
        Macroblock rate. [1/s]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] ITU-T H.264, annex A, through a secondary page.
    """
    return _macroblocks(width_px, height_px) * exact_positive("fps", fps)


def luma_samples_per_second(width_px: int, height_px: int, fps: Exact) -> Fraction:
    """Luma samples a second, width x height x fps.

    Parameters
    ----------
    width_px, height_px : int
        Size of the picture, >= 1; a coded picture is a multiple of 8. [px]
    fps : Fraction, Decimal, int or float
        Pictures a second, > 0. [1/s]

    Returns
    -------
    Fraction
        Sample rate. [1/s]

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] ITU-T H.265, annex A, through a secondary page.
    """
    samples = whole("width_px", width_px, 1) * whole("height_px", height_px, 1)
    return samples * exact_positive("fps", fps)


def h264_level_for(
    width_px: int, height_px: int, fps: Exact, *, by_rate_only: bool = False
) -> str | None:
    """Lowest tabled H.264 level that carries a stream.

    Parameters
    ----------
    width_px, height_px : int
        Size of the picture, >= 1. [px]
    fps : Fraction, Decimal, int or float
        Pictures a second, > 0. [1/s]
    by_rate_only : bool
        Leave out the ceiling on the size of one picture, which is from memory.

    Returns
    -------
    str or None
        Name of the level; None above the highest in the table.

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] ITU-T H.264, table A-1: rates through secondary pages, picture sizes from memory.
    """
    picture = _macroblocks(width_px, height_px)
    rate = macroblocks_per_second(width_px, height_px, fps)
    return _lowest(H264_LEVELS, rate, 0 if by_rate_only else picture)


def h265_level_for(
    width_px: int, height_px: int, fps: Exact, *, by_rate_only: bool = False
) -> str | None:
    """Lowest tabled H.265 level that carries a stream.

    Parameters
    ----------
    width_px, height_px : int
        Size of the picture, >= 1. [px]
    fps : Fraction, Decimal, int or float
        Pictures a second, > 0. [1/s]
    by_rate_only : bool
        Leave out the ceiling on the size of one picture, which is from memory.

    Returns
    -------
    str or None
        Name of the level; None above the highest in the table.

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] ITU-T H.265, tables A.8 and A.9: rates through a secondary page, picture sizes and
       table numbers from memory.
    """
    rate = luma_samples_per_second(width_px, height_px, fps)
    return _lowest(H265_LEVELS, rate, 0 if by_rate_only else width_px * height_px)


def _macroblocks(width_px: int, height_px: int) -> int:
    across = -(-whole("width_px", width_px, 1) // MACROBLOCK_PX)
    down = -(-whole("height_px", height_px, 1) // MACROBLOCK_PX)
    return across * down


def _lowest(table: dict[str, Level], rate: Fraction, picture: int) -> str | None:
    for name, level in table.items():
        if rate <= level.rate and picture <= level.picture:
            return name
    return None
