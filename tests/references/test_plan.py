"""The pinhole camera of a plan against OpenCV's projectPoints."""

import math

import cv2
import numpy as np
import pytest

from optimizer.plan import pinhole
from optimizer.plan.scene import Lens, Mount

WIDE = Lens("wide", 1920, 5.568, 3.132, 2.8, 2.8)
LONG = Lens("long", 2560, 5.12, 2.88, 4.0, 40.0)
# Pixels that are not square: 720 columns on 4.8 mm, 576 rows on 3.6 mm.
OLD = Lens("old", 720, 4.8, 3.6, 3.6, 3.6)
ROWS = {"wide": 1080, "long": 1440, "old": 576}


def opencv(lens, focal, pan, tilt, points):
    """Columns and rows from the middle of the picture, by OpenCV. [px]

    OpenCV's camera looks along z, with x to the right and y down. The rotation is built here by
    turning the plan's axes step by step, not from the formulas under test.
    """
    turn, fall = math.radians(pan), math.radians(tilt)
    about_up = cv2.Rodrigues(np.array([0.0, 0.0, -turn]))[0]  # brings the pan direction to x
    about_y = cv2.Rodrigues(np.array([0.0, -fall, 0.0]))[0]  # lifts the fallen axis to x
    swap = np.array([[0.0, -1.0, 0.0], [0.0, 0.0, -1.0], [1.0, 0.0, 0.0]])
    rotation = cv2.Rodrigues(swap @ about_y @ about_up)[0]
    scale_x = lens.width_px * focal / lens.sensor_width_mm
    scale_y = ROWS[lens.key] * focal / lens.sensor_height_mm
    matrix = np.array([[scale_x, 0, 0], [0, scale_y, 0], [0, 0, 1.0]])
    pixels, _ = cv2.projectPoints(
        np.asarray(points, dtype=float), rotation, np.zeros(3), matrix, None
    )
    return pixels[:, 0, :]


def draws(seed, count):
    rng = np.random.default_rng(seed)
    for _ in range(count):
        lens = (WIDE, LONG, OLD)[rng.integers(3)]
        focal = float(rng.uniform(lens.focal_min_mm, lens.focal_max_mm))
        pan, tilt = float(rng.uniform(0, 360)), float(rng.uniform(-30, 89))
        axis = np.array(
            [
                math.cos(math.radians(tilt)) * math.cos(math.radians(pan)),
                math.cos(math.radians(tilt)) * math.sin(math.radians(pan)),
                -math.sin(math.radians(tilt)),
            ]
        )
        points = axis * rng.uniform(2, 40, (8, 1)) + rng.uniform(-1.5, 1.5, (8, 3))
        yield lens, focal, pan, tilt, points[points @ axis > 0.2]


def test_points_appear_where_opencv_puts_them():
    for lens, focal, pan, tilt, points in draws(1, 60):
        across, below, _ = pinhole.project(lens, focal, pan, tilt, points)
        pixels = opencv(lens, focal, pan, tilt, points)
        assert np.allclose(across * lens.width_px, pixels[:, 0], atol=1e-5)
        assert np.allclose(below * ROWS[lens.key], pixels[:, 1], atol=1e-5)


def test_planes_agree_with_opencvs_picture():
    both = [0, 0]
    for lens, focal, pan, tilt, points in draws(2, 60):
        spread = points + np.random.default_rng(3).uniform(-6, 6, points.shape)
        sides = pinhole.planes(lens, *(np.array([v]) for v in (focal, pan, tilt)))[0]
        spread = spread[spread @ sides[4] > 0.05]
        if not len(spread):
            continue
        pixels = opencv(lens, focal, pan, tilt, spread)
        wide, high = lens.width_px / 2, ROWS[lens.key] / 2
        inside = (np.abs(pixels[:, 0]) <= wide) & (np.abs(pixels[:, 1]) <= high)
        assert ((spread @ sides[:4].T >= 0).all(axis=1) == inside).all()
        both[0] += int(inside.sum())
        both[1] += int((~inside).sum())
    assert min(both) > 50  # both verdicts were put to the test


@pytest.mark.parametrize("lens", [WIDE, LONG])
def test_density_is_the_least_over_directions_across_the_line_of_sight(lens):
    # With square pixels: the smallest number of pixels by which a small step across the line of
    # sight moves the picture of a point, over 360 directions, each step projected by OpenCV.
    rng = np.random.default_rng(4)
    for _ in range(20):
        focal = float(rng.uniform(lens.focal_min_mm, lens.focal_max_mm))
        pan, tilt = float(rng.uniform(0, 360)), float(rng.uniform(0, 60))
        axis, right, down = pinhole.axes(pan, tilt)
        half = lens.sensor_width_mm / (2 * focal)
        depth = float(rng.uniform(3, 30))
        point = depth * (
            axis + rng.uniform(-half, half) * right + 0.5 * half * rng.uniform() * down
        )
        sight = point / np.linalg.norm(point)
        first = np.cross(sight, [0.3, -0.8, 0.5])
        first /= np.linalg.norm(first)
        second = np.cross(sight, first)
        angle = np.linspace(0, math.tau, 360, endpoint=False)[:, None]
        step = 1e-3
        moved = point + step * (np.cos(angle) * first + np.sin(angle) * second)
        pixels = opencv(lens, focal, pan, tilt, np.vstack([point, moved]))
        least = float(np.hypot(*(pixels[1:] - pixels[0]).T).min()) / step
        told = float(pinhole.density(lens, focal, depth))
        assert told == pytest.approx(least, rel=2e-3)


def test_density_of_the_worked_example():
    # basis.md 2 (computed, confirmed with OpenCV): 4.8 mm wide, f 4 mm: 12.0 m wide at 10 m, so
    # 1920 px give 160 px/m, and 250 px/m are reached at 6.4 m.
    lens = Lens("example", 1920, 4.8, 3.6, 4, 4)
    assert float(pinhole.density(lens, 4, 10)) == pytest.approx(160)
    assert pinhole.depth_limit(lens, 4, 250) == pytest.approx(6.4)


def test_footprint_against_opencv_point_by_point():
    mount = Mount("m", (3.0, -2.0), 4.0)
    rng = np.random.default_rng(6)
    hits = 0
    for _ in range(25):
        focal, pan, tilt = 2.8, float(rng.uniform(0, 360)), float(rng.uniform(5, 80))
        corners = pinhole.footprint(mount, WIDE, (focal, pan, tilt), 1.0, 40.0, 60.0)
        limit = pinhole.depth_limit(WIDE, focal, 40.0)
        spots = rng.uniform(-25, 25, (200, 2)) + mount.at
        offsets = np.column_stack([spots - mount.at, np.full(200, 1.0 - 4.0)])
        depth = offsets @ pinhole.axes(pan, tilt)[0]
        ahead = depth > 1e-3
        pixels = np.full((200, 2), np.inf)
        pixels[ahead] = opencv(WIDE, focal, pan, tilt, offsets[ahead])
        inside = (np.abs(pixels[:, 0]) <= 960) & (np.abs(pixels[:, 1]) <= 540) & (depth <= limit)
        assert [in_convex(corners, spot) for spot in spots] == inside.tolist()
        hits += int(inside.sum())
    assert hits > 100


def in_convex(corners, spot):
    """Whether a spot is left of every side, for corners that run anticlockwise."""
    if not corners:
        return False
    sides = zip(corners, [*corners[1:], corners[0]], strict=True)
    x, y = spot
    return all((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) >= 0 for a, b in sides)
