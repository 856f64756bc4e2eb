"""Free sight: shadows by hand, and against following lines of sight edge by edge."""

import math

import numpy as np
import pytest
import shapely

from optimizer.plan.scene import Mount, Obstacle, Scene, Wall
from optimizer.plan.sight import Edges, edges, free_ground, shadows
from tests.optimality import spots
from tests.optimality.random_scenes import SIDE, drawn

LENS = Mount("m", (0.0, 0.0), 3.0)


def one_edge(ends, height_m=math.inf):
    return Edges(("w",), np.array([ends]), np.array([height_m]))


@pytest.mark.parametrize(
    ("lens_m", "edge_m", "low_m", "starts", "ends"),
    [
        # The wall is 4 m away, 2 m wide. By similar triangles the ray over its top comes down to
        # the target's level at 4 x (lens - low) / (lens - edge).
        (3.0, 1.0, 0.0, 4.0, 6.0),  # 4 x 3 / 2
        (3.0, 2.0, 1.0, 4.0, 8.0),  # 4 x 2 / 1
        (3.0, 3.0, 0.0, 4.0, math.inf),  # level with the top: never comes down
        (3.0, math.inf, 0.0, 4.0, math.inf),
        (3.0, 1.0, 1.0, None, None),  # the target's lowest point is level with the top
        (3.0, 1.0, 2.0, None, None),
        # Looking up: from 1 m over a top at 2 m the ray reaches 3 m at 4 x (3 - 1) / (2 - 1).
        (1.0, 2.0, 3.0, 8.0, math.inf),
        (1.0, 1.0, 3.0, None, None),
        (1.0, 2.0, 2.0, 4.0, math.inf),  # level with the top: touches it only at the wall
    ],
)
def test_how_far_a_shadow_reaches(lens_m, edge_m, low_m, starts, ends):
    mount = Mount("m", (0.0, 0.0), lens_m)
    _, cast = shadows(mount, one_edge(((4.0, -1.0), (4.0, 1.0)), edge_m), low_m, 50.0)
    if starts is None:
        assert len(cast) == 0
        return
    (dark,) = cast
    along = shapely.LineString([(0, 0), (49, 0)]).intersection(dark)
    assert along.bounds[0] == pytest.approx(starts)
    assert along.bounds[2] == pytest.approx(49 if math.isinf(ends) else ends)


def test_a_wall_through_the_mount_or_in_line_with_it_hides_nothing():
    for ends in (((-2.0, 0.0), (3.0, 0.0)), ((1.0, 1.0), (2.0, 2.0))):
        assert len(shadows(LENS, one_edge(ends), 0.0, 50.0)[1]) == 0


def test_a_wide_wall_close_by_hides_all_that_lies_behind_it():
    # From 0.1 m in front of a wall 20 m long: the outer corner runs far beyond 50 m everywhere.
    _, (dark,) = shadows(LENS, one_edge(((-10.0, 0.1), (10.0, 0.1))), 0.0, 50.0)
    for angle in np.linspace(1, 179, 90):
        x, y = (49.9 * f(math.radians(angle)) for f in (math.cos, math.sin))
        assert dark.contains(shapely.Point(x, y))


def test_open_arc():
    # 90 degrees about the x axis, 10 m: within the wedge |y| <= x.
    mount = Mount("m", (1.0, 1.0), 3.0, facing_deg=0.0, swing_deg=90.0)
    ground = free_ground(mount, edges(Scene(()), ""), 0.0, 10.0)
    assert ground.contains(shapely.Point(5, 4.9))
    assert not ground.intersects(shapely.Point(5, 5.1))
    assert not ground.intersects(shapely.Point(0.9, 1))


def test_a_body_hides_what_is_behind_it_and_where_it_stands():
    # A 1 m cube 4 m away, seen from 3 m: dark up to 5 m (its far side) x 3 / 2 = 7.5 m.
    body = Obstacle("o", ((4.0, -0.5), (5.0, -0.5), (5.0, 0.5), (4.0, 0.5)), 1.0)
    scene = Scene(((-9.0, -9.0), (9.0, -9.0), (9.0, 9.0), (-9.0, 9.0)), obstacles=(body,))
    ground = free_ground(LENS, edges(scene, ""), 0.0, 20.0)
    seen = shapely.LineString([(0, 0), (10, 0)]).intersection(ground)
    assert seen.length == pytest.approx(4 + (10 - 7.5))
    assert ground.intersects(shapely.Point(3.9, 0))


def test_levels_do_not_hide_each_other():
    scene = Scene((), walls=(Wall("w", ((1.0, -1.0), (1.0, 1.0)), level="upper"),))
    assert edges(scene, "").ids == ()
    assert edges(scene, "upper").ids == ("w",)
    assert free_ground(LENS, edges(scene, ""), 0.0, 5.0).area == 100


def test_free_ground_against_lines_of_sight_on_random_plans():
    counted = {True: 0, False: 0}
    for seed in range(60):
        scene = drawn(seed, walls=6, bodies=3)
        rng = np.random.default_rng(1000 + seed)
        for mount in scene.mounts:
            low = scene.areas[0].low_m
            ground = free_ground(mount, edges(scene, ""), low, 2 * SIDE)
            shapely.prepare(ground)
            places = rng.uniform(0, SIDE, (60, 2))
            # No target stands under an obstacle; what is said there is of no account.
            bodies = shapely.union_all([shapely.Polygon(b.outline) for b in scene.obstacles])
            places = places[~shapely.contains_xy(bodies, *places.T)]
            mine = shapely.contains_xy(ground, *places.T)
            for spot, told in zip(places.tolist(), mine.tolist(), strict=True):
                true = spots.in_arc(mount, spot) and spots.free(scene, mount, spot, low)
                if true != told:
                    # Only spots on a border may be judged either way, by rounding.
                    assert ground.boundary.distance(shapely.Point(spot)) < 1e-6
                counted[true] += 1
    assert min(counted.values()) > 2000


def test_what_is_free_at_the_lowest_point_is_free_above_it():
    # The claim on which `sight` rests, tried line by line.
    tried = 0
    for seed in range(40):
        scene = drawn(seed, walls=6, bodies=3)
        rng = np.random.default_rng(seed)
        for spot in rng.uniform(0, SIDE, (40, 2)).tolist():
            mount = scene.mounts[0]
            heights = np.sort(rng.uniform(0, 6, 4))
            free = [spots.free(scene, mount, spot, z) for z in heights]
            assert free == sorted(free)
            tried += free[-1] != free[0]
    assert tried > 50
