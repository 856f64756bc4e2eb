"""What chosen cameras see: shares by hand, and against spots thrown at random."""

import math

import numpy as np
import pytest
import shapely

from optimizer.plan import shares
from optimizer.plan.rounds import apart_ground, disc
from optimizer.plan.scene import Area, Lens, Mount, Scene, Wall
from optimizer.plan.shares import Aimed, seen, seen_ground
from tests.optimality import spots
from tests.optimality.random_scenes import FIXED, ZOOM, drawn, spots_in

RIGHT_ANGLED = Lens("right", 1920, 4.8, 4.8, 2.4, 2.4)
SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def flat(px_m, **more):
    return Area("a", SQUARE, px_m, low_m=2.0, high_m=2.0, **more)


def aimed(name, pan, lens=RIGHT_ANGLED, tilt=0.0, focal=2.4):
    return Aimed(name, lens, focal, pan, tilt, ("a",))


def test_a_corner_that_is_too_far():
    # Corner camera along the diagonal, W f / w = 960: at 80 px/m it reaches 12 m down the
    # diagonal of 10 sqrt(2) m; what is missing is a right-angled corner of that depth:
    # (10 sqrt(2) - 12)^2 = 4.5887 m^2 of 100.
    scene = Scene(SQUARE, mounts=(Mount("m", (0.0, 0.0), 2.0),), areas=(flat(80.0),))
    (found,) = seen(scene, [aimed("m", 45.0)])
    assert found.share == pytest.approx(1 - (10 * math.sqrt(2) - 12) ** 2 / 100)
    assert found.unseen.area == pytest.approx(4.58874, abs=1e-5)
    assert found.worst_px_m == pytest.approx(80)
    # The whole edge of it is 12 m down the axis.
    assert sum(found.worst_at) == pytest.approx(12 * math.sqrt(2))


def test_a_wall_takes_its_shadow():
    # From the corner over the wall's end at (5, 4): dark is the trapezoid x from 5 to 10 below
    # y = 0.8 x: (4 + 8) / 2 x 5 = 30 m^2.
    wall = Wall("w", ((5.0, 0.0), (5.0, 4.0)))
    scene = Scene(SQUARE, (wall,), mounts=(Mount("m", (0.0, 0.0), 2.0),), areas=(flat(20.0),))
    (found,) = seen(scene, [aimed("m", 45.0)])
    assert found.share == pytest.approx(0.7)
    low = Scene(
        SQUARE,
        (Wall("w", ((5.0, 0.0), (5.0, 4.0)), 1.9),),
        mounts=scene.mounts,
        areas=scene.areas,
    )
    assert seen(low, [aimed("m", 45.0)])[0].share == pytest.approx(1)


def test_two_cameras_and_each_spot_at_its_better_one():
    # Corner to corner, both see all. The best camera at a spot is the nearer one along the
    # diagonal; the worst spots lie half-way, on the other diagonal: 5 sqrt(2) m, 960 / 7.071.
    mounts = (Mount("one", (0.0, 0.0), 2.0), Mount("two", (10.0, 10.0), 2.0))
    scene = Scene(SQUARE, mounts=mounts, areas=(flat(20.0),))
    (found,) = seen(scene, [aimed("one", 45.0), aimed("two", 225.0)])
    assert found.share == pytest.approx(1)
    assert found.worst_px_m == pytest.approx(960 / (5 * math.sqrt(2)))
    assert sum(found.worst_at) == pytest.approx(10)


def test_what_touches_along_a_line_is_looked_at(monkeypatch):
    # The other camera shows two squares in more detail up to x = 4, where one of them begins: a
    # square and a line are common. Left to the one: all but the square from 0 to 4, of which the
    # farthest corner is (10, 10), 10 sqrt 2 off the mount in the corner and straight ahead.
    mounts = (Mount("one", (0.0, 0.0), 2.0), Mount("two", (10.0, 10.0), 2.0))
    scene = Scene(SQUARE, mounts=mounts, areas=(flat(20.0),))
    better = iter([shapely.box(-5, -5, 4, 20), shapely.box(-5, -5, -4, -4)])
    monkeypatch.setattr(shares, "_where_less", lambda *_: next(better))
    two = shapely.union(shapely.box(0, 0, 4, 4), shapely.box(4, 6, 8, 8))
    parts = [(aimed("one", 45.0), shapely.box(0, 0, 10, 10)), (aimed("two", 225.0), two)]
    density, spot = shares._worst(scene, scene.areas[0], parts, shapely.box(0, 0, 10, 10))
    assert spot == pytest.approx((10, 10))
    assert density == pytest.approx(960 / (10 * math.sqrt(2)))


def test_spots_that_need_two_cameras():
    # West and east at mid height of the sides, each with 90 degrees: each sees the triangle-cut
    # square |y - 5| <= x (or 10 - x): 75 m^2 of 100, both together 2 x 25 = 50 m^2 by symmetry.
    mounts = (Mount("west", (0.0, 5.0), 2.0), Mount("east", (10.0, 5.0), 2.0))
    cameras = [aimed("west", 0.0), aimed("east", 180.0)]
    for asked, share in ((1, 1.0), (2, 0.5)):
        scene = Scene(SQUARE, mounts=mounts, areas=(flat(20.0, cameras=asked),))
        assert seen(scene, cameras)[0].share == pytest.approx(share)
    # At least 90 degrees apart as well: within the circle over the line between the mounts,
    # and in both triangles: of the square with corners at its four quarter points, all inside.
    scene = Scene(SQUARE, mounts=mounts, areas=(flat(20.0, cameras=2, apart_deg=90.0),))
    assert seen(scene, cameras)[0].share == pytest.approx(0.5, abs=1e-5)
    # 135 degrees: two arcs over a chord of 10 m that leave the mounts at 180 - 135 = 45 degrees,
    # as the pictures' sides do. Each is a segment of a circle of radius 10 / (2 sin 135) = sqrt 50
    # with a central angle of 360 - 270 = 90 degrees: 2 x 50 / 2 x (pi / 2 - 1) = 28.540 m^2.
    scene = Scene(SQUARE, mounts=mounts, areas=(flat(20.0, cameras=2, apart_deg=135.0),))
    assert seen(scene, cameras)[0].share == pytest.approx(0.25 * math.pi - 0.5, abs=2e-5)


@pytest.mark.parametrize("angle", [20.0, 60.0, 90.0, 135.0])
def test_ground_apart_against_angles_at_random_spots(angle):
    one, other = (2.0, 3.0), (6.0, 1.0)
    ground = apart_ground(one, other, angle)
    rng = np.random.default_rng(3)
    reach = 4.5 / math.sin(math.radians(angle)) + 3
    both = set()
    for spot in rng.uniform(-reach, reach, (1500, 2)).tolist():
        u, v = np.subtract(one, spot), np.subtract(other, spot)
        between = math.degrees(math.acos(u @ v / np.linalg.norm(u) / np.linalg.norm(v)))
        if abs(between - angle) > 0.05:
            assert ground.contains(shapely.Point(spot)) == (between > angle)
            both.add(between > angle)
    assert both == {True, False}


def test_a_camera_counts_only_for_the_areas_it_serves():
    scene = Scene(SQUARE, mounts=(Mount("m", (0.0, 0.0), 2.0),), areas=(flat(20.0),))
    idle = Aimed("m", RIGHT_ANGLED, 2.4, 45.0, 0.0, ())
    (found,) = seen(scene, [idle])
    assert (found.share, found.worst_px_m, found.worst_at) == (0, None, None)
    assert found.unseen.area == pytest.approx(100)


def test_errors():
    scene = Scene(SQUARE, mounts=(Mount("m", (0.0, 0.0), 2.0),), areas=(flat(20.0),))
    with pytest.raises(ValueError, match="mount m bears two cameras"):
        seen(scene, [aimed("m", 0.0), aimed("m", 90.0)])
    with pytest.raises(ValueError, match="mount x is not on the plan"):
        seen(scene, [aimed("x", 0.0)])


def test_round_edges_are_understated_and_hardly():
    assert 0 < math.pi - disc((0, 0), 1).area < 2e-5 * math.pi


@pytest.mark.parametrize("seed", range(30))
def test_seen_ground_against_random_spots(seed):
    scene = drawn(seed, walls=6, bodies=3)
    area = scene.areas[0]
    rng = np.random.default_rng(seed)
    whole = shapely.Polygon(area.outline)
    for mount in scene.mounts:
        lens = (FIXED, ZOOM, Lens("ir", 1920, 5.4, 3.0, 2.8, 2.8, reaches=(("hall", 8.0),)))[
            seed % 3
        ]
        middle = np.mean(area.outline, axis=0) - mount.at
        pan = math.degrees(math.atan2(middle[1], middle[0])) + float(rng.uniform(-20, 20))
        aim = (lens.focal_min_mm, pan, float(rng.uniform(10, 45)))
        ground = seen_ground(scene, Aimed(mount.id, lens, *aim, ("hall",)), area)
        for spot in spots_in(whole, 60, rng):
            told = ground.contains(shapely.Point(spot))
            if told != spots.seen(scene, mount, lens, aim, area, spot):
                assert ground.boundary.distance(shapely.Point(spot)) < 2e-3  # on a border


def test_the_random_spots_were_worth_it():
    total = 0.0
    for seed in range(30):
        scene = drawn(seed, walls=6, bodies=3)
        area, mount = scene.areas[0], scene.mounts[0]
        middle = np.mean(area.outline, axis=0) - mount.at
        pan = math.degrees(math.atan2(middle[1], middle[0]))
        total += seen_ground(scene, Aimed(mount.id, FIXED, 2.8, pan, 25.0, ("hall",)), area).area
    assert total > 30 * 5


def test_worst_density_against_random_spots():
    rng = np.random.default_rng(9)
    mounts = tuple(
        Mount(name, at, 3.0)
        for name, at in (("a", (0.0, 1.0)), ("b", (9.0, 0.0)), ("c", (4.0, 10.0)))
    )
    scene = Scene(SQUARE, mounts=mounts, areas=(Area("a", SQUARE, 60.0),))
    cameras = [
        aimed("a", 30.0, tilt=30.0),
        aimed("b", 130.0, tilt=25.0),
        aimed("c", 260.0, tilt=20.0),
    ]
    (found,) = seen(scene, cameras)
    least = math.inf
    for spot in spots_in(found.ground, 700, rng):
        best = 0.0
        for camera, mount in zip(cameras, mounts, strict=True):
            aim = (2.4, camera.pan_deg, camera.tilt_deg)
            if spots.seen(scene, mount, RIGHT_ANGLED, aim, scene.areas[0], spot):
                offset = (spot[0] - mount.at[0], spot[1] - mount.at[1], -mount.height_m)
                best = max(best, 960 / spots.in_picture(RIGHT_ANGLED, *aim, offset))
        least = min(least, best)
    assert found.worst_px_m <= least <= found.worst_px_m * 1.1
