"""Focal lengths and tilts worth setting, by hand."""

import math

import numpy as np
import pytest

from optimizer.plan.aiming import focal_lengths, sharper_tilts, tilts
from optimizer.plan.scene import Lens

FIXED = Lens("fixed", 1920, 4.8, 4.8, 2.4, 2.4)
ZOOM = Lens("zoom", 1920, 4.8, 3.6, 2.4, 12.0)


def test_a_fixed_lens_has_one():
    assert focal_lengths(FIXED, np.array([1.0, 5.0]), [1.0], 4) == [2.4]


@pytest.mark.parametrize(
    ("needed", "spans", "most", "expected"),
    [
        # The shortest always; each that some cell needs; none longer than any cell needs.
        ([3.0, 5.0], [], 9, [5.0, 3.0, 2.4]),
        # Where a cell needs more than the lens has, its longest: a corner of the picture may do.
        ([3.0, 20.0], [], 9, [12.0, 3.0, 2.4]),
        ([1.0], [], 9, [2.4]),
        # Rounded up to a hundredth of a millimetre.
        ([3.1234], [], 9, [3.13, 2.4]),
        # As wide as an area that takes up 2 atan(0.5): 4.8 / (2 x 0.5) = 4.8 mm.
        ([3.0], [2 * math.atan(0.5)], 9, [4.8, 3.0, 2.4]),
        # All round: no focal length is as wide as that.
        ([3.0], [math.tau], 9, [3.0, 2.4]),
        # Of many, evenly so many with the shortest: first, last and the middle.
        ([3.0, 4.0, 5.0, 6.0, 7.0], [], 4, [7.0, 5.0, 3.0, 2.4]),
    ],
)
def test_focal_lengths(needed, spans, most, expected):
    assert focal_lengths(ZOOM, np.array(needed), spans, most) == pytest.approx(expected)


def places(*cells):
    """Cells as (near, far), with feet 3 m and heads 1.2 m below the lens."""
    near, far = (np.array(values, dtype=float) for values in zip(*cells, strict=True))
    return (near, far), (np.full(len(near), 1.2), np.full(len(near), 3.0))


def test_tilts_of_one_cell():
    # Half the vertical angle is 45 degrees. In the middle column the cell fits from the tilt that
    # has the near foot, atan(3 / 9), on the lower edge to the one with the far head,
    # atan(1.2 / 10), on the upper edge. In the outer column (45 degrees to the side, distances
    # times cos 45) the foot stands steeper: atan(3 / (9 cos 45)); the head too, so that the middle
    # column decides there.
    low = math.degrees(math.atan(3 / (9 * math.sqrt(0.5)))) - 45
    high = math.degrees(math.atan(0.12)) + 45
    flat, middle, steep = tilts(FIXED, 2.4, *places((9, 10)), 3)
    assert flat == pytest.approx(math.ceil(low * 10) / 10)
    assert middle == pytest.approx(round((low + high) / 2, 1))
    assert steep == pytest.approx(math.floor(high * 10) / 10)
    assert tilts(FIXED, 2.4, *places((9, 10)), 1) == [pytest.approx(middle)]


def test_two_cells_that_no_tilt_holds_both_get_one_each():
    # f 24 mm: half the angle is 5.7 degrees. The near foot falls 56 degrees, the far head 3.4.
    narrow = Lens("narrow", 1920, 4.8, 4.8, 24.0, 24.0)
    feet = (np.array([3.0, 3.0]), np.array([3.0, 3.0]))
    away = (np.array([2.0, 20.0]), np.array([2.01, 20.1]))
    found = tilts(narrow, 24.0, away, feet, 2)
    assert found == pytest.approx([math.degrees(math.atan(3 / 20)), 56.2], abs=0.3)


def test_of_many_the_fullest_is_kept():
    # Three cells far away fit one tilt, six near ones a tilt each: with one tilt, the first.
    narrow = Lens("narrow", 1920, 4.8, 4.8, 48.0, 48.0)
    near = np.array([20.0, 20.1, 20.2, 2.0, 2.5, 3.0, 4.0, 5.0, 7.0])
    feet = (np.full(9, 3.0), np.full(9, 3.0))
    (found,) = tilts(narrow, 48.0, (near, near + 0.01), feet, 1)
    assert found == pytest.approx(math.degrees(math.atan(3 / 20)), abs=0.3)
    found = tilts(narrow, 48.0, (near, near + 0.01), feet, 4)
    assert len(found) == 4
    assert found[0] == pytest.approx(math.degrees(math.atan(3 / 20)), abs=0.3)
    assert found[-1] == pytest.approx(math.degrees(math.atan(3 / 2)), abs=0.3)


def test_a_lens_that_cannot_be_tilted_so_far():
    level = Lens("level", 1920, 4.8, 4.8, 24.0, 24.0, tilt_min_deg=0.0, tilt_max_deg=10.0)
    near = np.array([2.0])
    assert tilts(level, 24.0, (near, near + 0.1), (np.array([3.0]), np.array([3.0])), 3) == []


def test_a_far_cell_is_sharper_off_the_axis():
    # 3 m below the lens, 10 m away: 16.7 degrees down, sqrt(109) = 10.44 m from it. Its detail is
    # met up to 10 m along the axis, so that the axis has to be acos(10 / 10.44) = 16.7 degrees off
    # it: tilted by 33.4 degrees or more. Its upper edge, 45 degrees above the axis, allows 61.7.
    # Tilted by 0 or less its detail is met too, but then the cell at 2 m, 56.3 down, is lost.
    away, below = np.array([2.0, 10.0]), np.array([3.0, 3.0])
    limits = np.array([10.0, 10.0])
    far, twice = math.degrees(math.atan(0.3)), 2 * math.degrees(math.acos(10 / math.sqrt(109)))
    assert twice / 2 == pytest.approx(far)

    def sharper(known, most):
        return sharper_tilts(FIXED, 2.4, (away, away), (below, below), limits, known, most)

    (found,) = sharper([20.0], 1)
    assert found == pytest.approx(math.ceil(10 * twice) / 10)
    # One that is listed already brings nothing more in.
    assert sharper([20.0, 40.0], 3) == []


def test_where_detail_is_met_at_any_aim_no_tilt_is_sharper():
    away, below = np.array([9.0]), np.array([3.0])
    near = sharper_tilts(FIXED, 2.4, (away, away), (below, below), np.array([10.0]), [20.0], 3)
    assert near == []
