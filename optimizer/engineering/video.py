"""Picture formats, expected bit rates, and the ceilings that codec levels set.

A codec level's bit rate is a ceiling that a decoder must stand, never an expected rate: size
storage from `bit_rate`.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from optimizer.engineering._check import Exact, exact_not_negative, exact_positive, one_of, whole
from optimizer.engineering.levels import (
    H264_LEVELS,
    H265_LEVELS,
    Level,
    h264_level_for,
    h265_level_for,
    luma_samples_per_second,
    macroblocks_per_second,
)

__all__ = [
    "BITS_PER_PIXEL",
    "GENERAL_BITS_PER_PIXEL",
    "H264_LEVELS",
    "H265_LEVELS",
    "PICTURES",
    "Level",
    "bit_rate",
    "bits_from_bytes",
    "general_bit_rate",
    "h264_level_for",
    "h265_level_for",
    "luma_samples_per_second",
    "macroblocks_per_second",
    "pixel_aspect",
]

PICTURES: Final[dict[str, tuple[int, int]]] = {
    "CIF": (352, 288),
    "CIF 525": (352, 240),
    "4CIF": (704, 576),
    "4CIF 525": (704, 480),
    "D1": (720, 576),
    "D1 525": (720, 480),
    "960-wide": (960, 576),
    "960-wide 525": (960, 480),
    "720p": (1280, 720),
    "1080p": (1920, 1080),
    "4 MP": (2560, 1440),
    "4 MP wide": (2688, 1520),
    "5 MP": (2592, 1944),
    "8 MP": (3840, 2160),
}
"""Width and height of named pictures; 625-line systems unless 525 is said. [px]

Published down to 1080p; the megapixel formats are from memory.
"""

BITS_PER_PIXEL: Final[dict[str, dict[str, Fraction]]] = {
    "H.264": {
        "low": Fraction(3, 100),
        "medium": Fraction(6, 100),
        "high": Fraction(10, 100),
    },
    "H.265": {
        "low": Fraction(18, 1000),
        "medium": Fraction(36, 1000),
        "high": Fraction(60, 1000),
    },
    "MJPEG": {
        "low": Fraction(16, 20),
        "medium": Fraction(16, 20),
        "high": Fraction(16, 20),
    },
}
"""Coded bits on each pixel of each picture, by codec and activity of the scene. [bit/px]

H.264: surveillance range 0.03 to 0.10, from memory. H.265: 0.6 of it, the middle of "30 to 50 %
less", from memory. MJPEG: 16 bit compressed 20 times, the example of UFC 4-021-02NF (2006),
figure 4-13; each picture is coded alone, so activity hardly matters. No neutral public table of
surveillance rates was found: these are defaults to be shown and overridden.
"""

GENERAL_BITS_PER_PIXEL: Final = Fraction(7, 100)


def bit_rate(width_px: int, height_px: int, fps: Exact, codec: str, activity: str) -> Fraction:
    """Expected rate of a stream, width x height x fps x bits per pixel.

    Parameters
    ----------
    width_px, height_px : int
        Size of the picture, >= 1. [px]
    fps : Fraction, Decimal, int or float
        Pictures a second, > 0; a float is read as the decimal it prints as. [1/s]
    codec : str
        "H.264", "H.265" or "MJPEG".
    activity : str
        Movement in the scene: "low", "medium" or "high".

    Returns
    -------
    Fraction
        Rate. [bit/s]

    Raises
    ------
    ValueError
        If a size or rate is not above 0 or a word is unknown; names it and its value.

    References
    ----------
    .. [1] See `BITS_PER_PIXEL`; mostly from memory.
    """
    table = BITS_PER_PIXEL[one_of("codec", codec, BITS_PER_PIXEL)]
    per_pixel = table[one_of("activity", activity, table)]
    pixels = whole("width_px", width_px, 1) * whole("height_px", height_px, 1)
    return pixels * exact_positive("fps", fps) * per_pixel


def general_bit_rate(width_px: int, height_px: int, fps: Exact, motion: int) -> Fraction:
    """Rate by a rule of thumb for general video, width x height x fps x motion x 0.07.

    For comparison only: it is not a surveillance measurement.

    Parameters
    ----------
    width_px, height_px : int
        Size of the picture, >= 1. [px]
    fps : Fraction, Decimal, int or float
        Pictures a second, > 0. [1/s]
    motion : int
        1 little, 2 some, 4 much.

    Returns
    -------
    Fraction
        Rate. [bit/s]

    Raises
    ------
    ValueError
        If a size or rate is not above 0 or motion is not 1, 2 or 4; names it.

    References
    ----------
    .. [1] Rule of thumb for H.264 seen in a web page on video editing.
    """
    if motion not in (1, 2, 4):
        raise ValueError(f"motion must be 1, 2 or 4, got {motion!r}")
    pixels = whole("width_px", width_px, 1) * whole("height_px", height_px, 1)
    return pixels * exact_positive("fps", fps) * motion * GENERAL_BITS_PER_PIXEL


def bits_from_bytes(byte_rate: Exact, bits_per_byte: int = 8) -> Fraction:
    """Line rate of a byte rate.

    Parameters
    ----------
    byte_rate : Fraction, Decimal, int or float
        Rate in bytes, >= 0. [byte/s]
    bits_per_byte : int
        8; an older government example counts 10 for transport overhead. [bit]

    Returns
    -------
    Fraction
        Rate. [bit/s]

    Raises
    ------
    ValueError
        If the rate is negative or a byte has fewer than 8 bits; names it.

    References
    ----------
    .. [1] UFC 4-021-02NF, 2006, figure 4-13, for the 10-bit convention.
    """
    return exact_not_negative("byte_rate", byte_rate) * whole("bits_per_byte", bits_per_byte, 8)


def pixel_aspect(width_px: int, height_px: int, shown_as: Exact = Fraction(4, 3)) -> Fraction:
    """Width of one pixel over its height when the picture fills a screen shape.

    Horizontal density is vertical density divided by this: not 1 for the CIF family.

    Parameters
    ----------
    width_px, height_px : int
        Size of the picture, >= 1. [px]
    shown_as : Fraction, Decimal, int or float
        Width over height of the scene shown, > 0.

    Returns
    -------
    Fraction
        Pixel width over pixel height.

    Raises
    ------
    ValueError
        If an input is not above 0; names it and its value.

    References
    ----------
    .. [1] Arithmetic on the 352 x 288 picture of a 4:3 scene.
    """
    wide = whole("width_px", width_px, 1)
    high = whole("height_px", height_px, 1)
    return exact_positive("shown_as", shown_as) * high / wide
