"""Cameras that see a cell from directions far enough apart."""

import math

import numpy as np
import pytest
import shapely

from optimizer.plan.apart import apart
from optimizer.plan.prepared import Cell, Effort, Prepared
from optimizer.plan.scene import Area, Mount, Scene
from tests.optimality.random_scenes import spots_in

PLAN = ((-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0))


def prepared(polygons, apart_deg, mounts=((-5.0, 0.0), (5.0, 0.0))):
    places = tuple(Mount(f"m{i}", at, 3.0) for i, at in enumerate(mounts))
    scene = Scene(
        PLAN, mounts=places, areas=(Area("a", PLAN, 50.0, cameras=2, apart_deg=apart_deg),)
    )
    cells = tuple(Cell("a", polygon, polygon.area) for polygon in polygons)
    return Prepared(scene, {}, cells, (), {}, Effort())


def test_by_hand():
    # Mounts 10 m apart. On the circle over them the angle is 90 degrees (Thales): (0, 5) is on it.
    cells = [
        shapely.box(-1, 3, 1, 4),  # inside
        shapely.box(-1, 4.5, 1, 5.5),  # across it
        shapely.box(-1, 6, 1, 7),  # outside
        shapely.box(-1, -1, 1, 1),  # across the line between the mounts: up to 180 degrees
        shapely.box(8, -1, 9, 1),  # beyond one of them: 0 degrees in the middle
    ]
    sure, may = apart(prepared(cells, 90.0), "m0", "m1")
    assert sure.tolist() == [0, 3]
    assert may.tolist() == [0, 1, 3]


def test_areas_that_do_not_ask_are_left_out():
    sure, may = apart(prepared([shapely.box(-1, 1, 1, 2)], 0.0), "m0", "m1")
    assert (len(sure), len(may)) == (0, 0)


def test_unknown_mount():
    with pytest.raises(ValueError, match="mount x is not on the plan"):
        apart(prepared([], 90.0), "m0", "x")


@pytest.mark.parametrize("angle", [15.0, 60.0, 100.0])
def test_against_random_spots(angle):
    rng = np.random.default_rng(int(angle))
    polygons, wide = [], 25 if angle < 30 else 12
    for _ in range(240):
        points = rng.uniform(-wide, wide, 2) + rng.uniform(-2, 2, (5, 2))
        polygons.append(shapely.convex_hull(shapely.MultiPoint(points)))
    sure, may = apart(prepared(polygons, angle), "m0", "m1")
    sure, may = set(sure.tolist()), set(may.tolist())
    assert sure <= may
    assert 1 < len(sure) < len(may) < 239
    for index, polygon in enumerate(polygons):
        corners = [tuple(c) for c in polygon.exterior.coords]
        angles = [between(spot) for spot in (*spots_in(polygon, 40, rng), *corners)]
        if index in sure:
            assert min(angles) >= angle - 1e-9
        if index not in may:
            assert max(angles) < angle


def between(spot):
    u, v = np.subtract((-5.0, 0.0), spot), np.subtract((5.0, 0.0), spot)
    return math.degrees(math.acos(np.clip(u @ v / np.linalg.norm(u) / np.linalg.norm(v), -1, 1)))
