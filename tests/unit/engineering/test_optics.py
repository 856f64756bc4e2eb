"""Optics: exactness, limits, errors and laws."""

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engineering import optics

lengths = st.floats(0.1, 1000)
exacts = st.fractions(Fraction(1, 10), 1000, max_denominator=1000)


@pytest.mark.parametrize(
    ("sensor", "focal", "distance", "pixels"),
    # Each product detail x w x D / f is a whole number by hand (62.5 x 4.8 x 2.1 / 2.8 = 62.5 x
    # 3.6 = 225; 62.5 x 3.6 x 17.6 / 8 = 62.5 x 7.92 = 495; 62.5 x 6.4 x 1.1 / 4 = 62.5 x 1.76 =
    # 110), but comes out a hair above it in binary floats.
    [(4.8, 2.8, 2.1, 225), (3.6, 8, 17.6, 495), (6.4, 4, 1.1, 110)],
)
def test_pixels_needed_does_not_jump_by_float_noise(sensor, focal, distance, pixels):
    assert math.ceil(62.5 * sensor * distance / focal) == pixels + 1  # what floats would say
    assert optics.pixels_needed(62.5, sensor, focal, distance) == pixels


def test_number_types_agree():
    as_float = optics.focal_to_set(4.8, 2.8, 12.0, 10.0, 8.4)
    as_decimal = optics.focal_to_set(
        Decimal("4.8"), Decimal("2.8"), Decimal(12), Decimal(10), Decimal("8.4")
    )
    as_fraction = optics.focal_to_set(
        Fraction(24, 5), Fraction(14, 5), Fraction(12), Fraction(10), Fraction(42, 5)
    )
    # 4.8 x 10 / 8.4 = 48 / 8.4 = 40/7
    assert as_float == as_decimal == as_fraction == Fraction(40, 7)
    assert optics.pixels_needed(250, as_float, Decimal("4"), 1) == 358  # 250 x 40/7 / 4 = 357.1


@pytest.mark.parametrize(
    ("focal_from", "focal_to", "width", "focal"),
    [
        # At 10 m a 4.8 mm sensor shows 12 m at f 4 (48 / width is the longest focal).
        (2.8, 12, 12, 4),  # inside the range
        (4, 4, 12, 4),  # a fixed lens that just shows it
        (4, 12, 12, 4),  # shortest end just shows it
        (2.8, 4, 6, 4),  # could go to 8, the lens ends at 4
        (4.1, 12, 12, None),  # even the shortest end is too narrow
        (2.8, 2.8, 17.143, None),  # 48 / 2.8 = 17.1428..., a hair too narrow
        (2.8, 2.8, 17.142, Fraction(14, 5)),
    ],
)
def test_focal_to_set(focal_from, focal_to, width, focal):
    assert optics.focal_to_set(4.8, focal_from, focal_to, 10, width) == focal


def test_reversed_range_is_refused():
    with pytest.raises(ValueError, match=r"^focal_to_mm must be at least focal_from_mm \(12\)"):
        optics.focal_to_set(4.8, 12, 4, 10, 12)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: optics.view_angle(0, 4), "sensor_mm"),
        (lambda: optics.view_angle(4.8, -4), "focal_mm"),
        (lambda: optics.scene_width(4.8, 4, 0), "distance_m"),
        (lambda: optics.pixel_density(0, 4.8, 4, 10), "pixels"),
        (lambda: optics.focal_for_width(4.8, 10, 0), "width_m"),
        (lambda: optics.focal_to_set(0, 4, 4, 10, 12), "sensor_width_mm"),
        (lambda: optics.focal_to_set(4.8, 0, 4, 10, 12), "focal_from_mm"),
        (lambda: optics.focal_to_set(4.8, 4, 4, 10, 0), "width_m"),
        (lambda: optics.pixels_needed(0, 4.8, 4, 10), "detail_px_m"),
        (lambda: optics.pixels_needed(250, 4.8, 0, 10), "focal_mm"),
        (lambda: optics.close_range_focal(5.6, 0, 300), "object_mm"),
        (lambda: optics.hyperfocal_m(4, 0, 0.005), "f_number"),
        (lambda: optics.sensor_side(1920, 0), "pitch_um"),
        (lambda: optics.optical_format_inch(0, 1, 1), "pixels_wide"),
        (lambda: optics.density_per_foot(0), "px_m"),
        (lambda: optics.density_from_height_percent(0), "percent"),
        (lambda: optics.density_from_height_percent(5, lines=0), "lines"),
        (lambda: optics.density_from_height_percent(5, target_m=0), "target_m"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ValueError, match=f"^{name} must be .*, got -?[0-9]"):
        call()


def test_unknown_level_names_the_choices():
    with pytest.raises(ValueError, match=r"edition must be one of 2014, 2025, got '2009'"):
        optics.detail_px_m("2009", "detect")
    with pytest.raises(ValueError, match=r"level must be one of overview, .*, got 'detect'"):
        optics.detail_px_m("2025", "detect")


@pytest.mark.parametrize("edition", ["2014", "2025"])
def test_levels_rise_in_their_order(edition):
    densities = list(optics.DETAIL_LEVELS[edition].values())
    assert densities == sorted(set(densities))


@given(lengths, lengths, lengths, st.floats(1, 10_000))
def test_density_times_width_is_the_picture(sensor, focal, distance, pixels):
    across = optics.scene_width(sensor, focal, distance)
    assert optics.pixel_density(pixels, sensor, focal, distance) * across == pytest.approx(pixels)


@given(lengths, lengths, lengths)
def test_focal_for_width_undoes_scene_width(sensor, focal, distance):
    across = optics.scene_width(sensor, focal, distance)
    assert optics.focal_for_width(sensor, distance, across) == pytest.approx(focal)


@given(lengths, lengths, st.floats(1.01, 100))
def test_a_longer_lens_sees_less(sensor, focal, factor):
    assert optics.view_angle(sensor, focal * factor) < optics.view_angle(sensor, focal) < 180


@given(lengths, lengths, lengths)
def test_view_angle_spans_the_scene_width(sensor, focal, distance):
    half = math.radians(optics.view_angle(sensor, focal) / 2)
    across = optics.scene_width(sensor, focal, distance)
    assert 2 * distance * math.tan(half) == pytest.approx(across)


@given(exacts, exacts, exacts, exacts, exacts)
def test_focal_to_set_is_the_longest_that_shows_the_width(sensor, one, other, distance, width):
    shortest, longest = sorted((one, other))
    focal = optics.focal_to_set(sensor, shortest, longest, distance, width)
    if focal is None:
        assert sensor * distance / shortest < width
    else:
        assert shortest <= focal <= longest
        assert sensor * distance / focal >= width
        # Any longer is either beyond the lens or too narrow.
        assert focal == longest or sensor * distance / (focal + Fraction(1, 10**9)) < width


@given(exacts, exacts, exacts, exacts)
def test_pixels_needed_is_the_least(detail, sensor, focal, distance):
    pixels = optics.pixels_needed(detail, sensor, focal, distance)
    across = sensor * distance / focal
    assert pixels / across >= detail
    assert (pixels - 1) / across < detail


@given(exacts, exacts, exacts, exacts, st.fractions(1, 10))
def test_more_detail_or_distance_never_needs_fewer_pixels(detail, sensor, focal, distance, more):
    pixels = optics.pixels_needed(detail, sensor, focal, distance)
    assert optics.pixels_needed(detail * more, sensor, focal, distance) >= pixels
    assert optics.pixels_needed(detail, sensor, focal, distance * more) >= pixels
    assert optics.pixels_needed(detail, sensor, focal * more, distance) <= pixels


@given(st.floats(1, 50), st.floats(1, 16), st.floats(0.001, 0.01), st.floats(0.1, 500))
def test_focus_lies_between_its_limits(focal, f_number, blur, distance):
    near, far = optics.depth_of_field(focal, f_number, blur, distance)
    assert 0 < near < distance < far


def test_far_limit_is_infinite_from_the_hyperfocal_distance():
    hyperfocal = optics.hyperfocal_m(4, 1.6, 0.005)
    assert optics.depth_of_field(4, 1.6, 0.005, hyperfocal + 0.004)[1] == math.inf
    assert optics.depth_of_field(4, 1.6, 0.005, 100)[1] == math.inf
    assert optics.depth_of_field(4, 1.6, 0.005, 1)[1] < math.inf


def test_focus_inside_the_lens_is_refused():
    with pytest.raises(ValueError, match=r"^distance_m must be more than the focal length"):
        optics.depth_of_field(50, 2, 0.005, 0.05)


@given(st.floats(1, 20), st.floats(1, 1000))
def test_close_range_tends_to_the_distant_formula(sensor, width):
    # For an object many times the sensor D / (1 + o/s) approaches s D / o, always from below.
    near = optics.close_range_focal(sensor, width, 1000)
    distant = optics.focal_for_width(sensor, 1.0, width / 1000)
    assert near < distant
    assert near == pytest.approx(distant / (1 + sensor / width))
