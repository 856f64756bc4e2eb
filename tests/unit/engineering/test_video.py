"""Bit rates and codec levels: exactness, edges, errors and laws."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engineering import video

sides = st.integers(1, 4000)
speeds = st.fractions(Fraction(1, 2), 60, max_denominator=100)


def test_rate_is_exact():
    # 1920 x 1080 x 12.5 x 0.036 = 933,120
    assert video.bit_rate(1920, 1080, 12.5, "H.265", "medium") == 933_120
    # 352 x 288 x 29.97 x 0.03 = 101,376 x 0.8991 = 91,147.1616, no binary noise
    assert video.bit_rate(352, 288, 29.97, "H.264", "low") == Fraction(911471616, 10_000)


def test_every_codec_has_every_activity():
    for table in video.BITS_PER_PIXEL.values():
        assert list(table) == ["low", "medium", "high"]
        assert list(table.values()) == sorted(table.values())


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: video.bit_rate(0, 1080, 15, "H.264", "low"), "width_px"),
        (lambda: video.bit_rate(1920, 1080.0, 15, "H.264", "low"), "height_px"),
        (lambda: video.bit_rate(1920, 1080, 0, "H.264", "low"), "fps"),
        (lambda: video.bit_rate(1920, 1080, 15, "H.262", "low"), "codec"),
        (lambda: video.bit_rate(1920, 1080, 15, "H.264", "wild"), "activity"),
        (lambda: video.general_bit_rate(1920, 1080, 15, 3), "motion"),
        (lambda: video.bits_from_bytes(-1), "byte_rate"),
        (lambda: video.bits_from_bytes(1, 7), "bits_per_byte"),
        (lambda: video.pixel_aspect(352, 0), "height_px"),
        (lambda: video.h264_level_for(0, 1, 1), "width_px"),
        (lambda: video.h265_level_for(1, 1, -1), "fps"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ValueError, match=f"^{name} must be .*, got "):
        call()


@pytest.mark.parametrize(("motion", "rate"), [(1, 7), (2, 14), (4, 28)])
def test_motion_steps_of_the_rule_of_thumb(motion, rate):
    # 10 x 10 px at 1 fps: 100 x 0.07 x motion
    assert video.general_bit_rate(10, 10, 1, motion) == rate


@pytest.mark.parametrize("motion", [0, 3, 5])
def test_no_other_motion_step(motion):
    with pytest.raises(ValueError, match=f"^motion must be 1, 2 or 4, got {motion}$"):
        video.general_bit_rate(10, 10, 1, motion)


def test_a_large_slow_picture_still_needs_its_level():
    # 3840 x 2160 = 8,294,400 samples, past the 2,228,224 of 4.1, however slow (from memory).
    assert video.h265_level_for(3840, 2160, 1) == "5"
    assert video.h265_level_for(3840, 2160, 1, by_rate_only=True) == "3.1"
    # One more than the largest picture: 3,600 macroblocks at 3.1.
    assert video.h264_level_for(16, 16 * 3600, 1) == "3.1"
    assert video.h264_level_for(16, 16 * 3601, 1) == "3.2"


def test_macroblocks_round_up():
    assert video.macroblocks_per_second(16, 16, 1) == 1
    assert video.macroblocks_per_second(17, 16, 1) == 2
    assert video.macroblocks_per_second(17, 17, 1) == 4
    # 1080 / 16 = 67.5
    assert video.macroblocks_per_second(1920, 1080, 1) == 120 * 68


def test_levels_at_their_very_ceiling():
    # 1280 x 720 has 3,600 macroblocks: 30 fps is exactly 108,000 of level 3.1.
    assert video.h264_level_for(1280, 720, 30) == "3.1"
    assert video.h264_level_for(1280, 720, 30.01) == "3.2"
    # Beyond every level: 32,400 x 60 = 1,944,000.
    assert video.h264_level_for(3840, 2160, 60) is None
    assert video.h265_level_for(3840, 2160, 120) is None


def test_square_pixels():
    assert video.pixel_aspect(640, 480) == 1
    assert video.pixel_aspect(1920, 1080, Fraction(16, 9)) == 1


@given(sides, sides, speeds, st.sampled_from(["H.264", "H.265"]), st.fractions(1, 10))
def test_rate_grows_with_speed_and_activity(width, height, fps, codec, factor):
    low, medium, high = (
        video.bit_rate(width, height, fps, codec, activity)
        for activity in ("low", "medium", "high")
    )
    assert low < medium < high
    assert video.bit_rate(width, height, fps * factor, codec, "low") == low * factor


@given(sides, sides, speeds)
def test_codecs_keep_their_order(width, height, fps):
    rates = [video.bit_rate(width, height, fps, codec, "high") for codec in video.BITS_PER_PIXEL]
    h264, h265, mjpeg = rates
    assert h265 < h264 < mjpeg


@given(sides, sides, speeds)
def test_a_level_carries_what_it_is_named_for(width, height, fps):
    rate = video.macroblocks_per_second(width, height, fps)
    names = list(video.H264_LEVELS)
    name = video.h264_level_for(width, height, fps, by_rate_only=True)
    below = names if name is None else names[: names.index(name)]
    assert all(video.H264_LEVELS[lower].rate < rate for lower in below)
    if name is not None:
        assert rate <= video.H264_LEVELS[name].rate
        strict = video.h264_level_for(width, height, fps)
        assert strict is None or names.index(strict) >= names.index(name)
