"""Keep-out areas: no view that is kept shows them, and none is given up without need."""

import dataclasses
import math

import numpy as np
import pytest
import shapely

from optimizer.plan.keeping_out import pieces, veils
from optimizer.plan.prepare import prepare
from optimizer.plan.scene import Area, KeepOut, Lens, Mount, Scene, Wall
from optimizer.plan.shares import Aimed, seen
from optimizer.plan.sight import edges
from tests.optimality import spots
from tests.optimality.random_scenes import LENSES, drawn, spots_in

LENS = Lens("right", 1920, 4.8, 4.8, 2.4, 2.4)
SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
MOUNT = Mount("m", (5.0, 0.0), 2.0, 90.0, 180.0)


def window(px_m=0.0, **more):
    """A strip at the right side, from the mount at 0 to 45 degrees and beyond."""
    strip = ((9.0, 0.0), (10.0, 0.0), (10.0, 4.0), (9.0, 4.0))
    return KeepOut("window", strip, px_m, low_m=1.5, high_m=2.5, **more)


def scene(*keep_outs, walls=()):
    area = Area("a", SQUARE, 40.0, low_m=2.0, high_m=2.0)
    return Scene(SQUARE, walls, mounts=(MOUNT,), areas=(area,), keep_outs=keep_outs)


def test_views_turn_away_from_it():
    # Its left upper corner (9, 4) stands at atan2(4, 4) = 45 degrees. A picture of 90 degrees keeps
    # it out sideways from pan 90 on: then all left of 45 degrees is free to be seen.
    free, kept = (prepare(s, {"m": [LENS]}, 100) for s in (scene(), scene(window())))
    assert min(view.pan_deg for view in free.views) < 60
    assert min(view.pan_deg for view in kept.views) == pytest.approx(90, abs=1e-6)
    # At pan 90: between the diagonals, 25 m^2 + 2 x (5 x 5) = 75 m^2: the cells under the
    # diagonals are cut, 5 + 5 of them.
    straight = next(v for v in kept.views if v.pan_deg == pytest.approx(90, abs=1e-6))
    assert len(straight.cells) == 75 - 5


def test_far_enough_away_it_may_be_shown():
    # Its left lower corner is 4 m to the right; at the edge of a picture turned 45 degrees off
    # that is 2.83 m along the axis, and nothing of it is nearer; 480 px/m end at 960 / 480 = 2 m.
    allowed = prepare(scene(window(480.0)), {"m": [LENS]}, 100)
    free = prepare(scene(), {"m": [LENS]}, 100)
    assert {v.pan_deg for v in allowed.views} == {v.pan_deg for v in free.views}
    assert {v.sure for v in allowed.views} == {v.sure for v in free.views}


def test_a_wall_in_front_of_it_sets_the_views_free():
    wall = Wall("hedge", ((8.9, 0.0), (8.9, 4.5)))
    hidden = prepare(scene(window(), walls=(wall,)), {"m": [LENS]}, 100)
    free = prepare(scene(walls=(wall,)), {"m": [LENS]}, 100)
    assert [v.sure for v in hidden.views] == [v.sure for v in free.views]


def test_a_mask_lets_the_view_be_and_takes_what_lies_behind_it():
    masked = prepare(scene(window(mask=True)), {"m": [LENS]}, 100)
    free = prepare(scene(), {"m": [LENS]}, 100)
    # At one height all that lies in the window's directions, 0 to 45 degrees, is behind the mask.
    right = [
        i
        for i, cell in enumerate(masked.cells)
        if math.degrees(math.atan2(cell.polygon.bounds[1], cell.polygon.bounds[2] - 5)) < 44
        and cell.polygon.bounds[0] >= 5
    ]
    assert len(right) > 10
    everything = frozenset().union(*(view.sure for view in masked.views))
    assert not everything & set(right)
    assert everything
    assert frozenset().union(*(view.sure for view in free.views)) & set(right)


def test_a_mask_hides_ground_by_hand():
    # The lens 3 m up. The strip: 8 to 10 m away, from 1 m to 2 m high. Lines of sight to it fall
    # between atan(1 / 10) (top, far end) and atan(2 / 8) (foot, near end). A target of 0 to 1.5 m
    # meets them where 3 / p >= 1 / 10 and 1.5 / p <= 2 / 8: from 6 m to 30 m. (The boxes beside the
    # axis reach to 10.006 m, which makes it 30.02 m.)
    strip = ((8.0, -1.0), (10.0, -1.0), (10.0, 1.0), (8.0, 1.0))
    plan = Scene(strip, keep_outs=(KeepOut("k", strip, 0.0, True, 1.0, 2.0),))
    mount = Mount("m", (0.0, 0.0), 3.0)
    found = pieces(plan, mount, edges(plan, ""))
    ground = shapely.union_all(veils(found, mount, 0.0, 1.5, 100.0))
    middle = shapely.LineString([(0, 0.0), (99, 0.0)]).intersection(ground)
    assert middle.bounds[0] == pytest.approx(6, abs=0.01)
    assert middle.bounds[2] == pytest.approx(30, abs=0.02)
    # At 45 degrees nothing is hidden.
    assert not ground.intersects(shapely.LineString([(0, 0), (50, 50)]))


def test_what_a_mask_hides_is_not_counted_as_seen():
    # Turned to 45 degrees the picture holds bearings 0 to 90: the right half, 50 m^2. The window
    # stands between 0 and 45 degrees: its mask takes the triangle below the diagonal, 12.5 m^2.
    camera = Aimed("m", LENS, 2.4, 45.0, 0.0, ("a",))
    assert seen(scene(), [camera])[0].share == pytest.approx(0.5)
    assert seen(scene(window(mask=True)), [camera])[0].share == pytest.approx(0.375)
    assert seen(scene(window()), [camera])[0].share == pytest.approx(0.5)  # not masked


@pytest.mark.parametrize("seed", range(6))
def test_what_a_view_surely_sees_is_seen_past_masks(seed):
    plan = drawn(seed, keep_outs=3)
    masked = tuple(dataclasses.replace(kept, mask=True) for kept in plan.keep_outs)
    plan = dataclasses.replace(plan, keep_outs=masked)
    prepared = prepare(plan, {mount.id: LENSES for mount in plan.mounts}, 40)
    lenses = {lens.key: lens for lens in LENSES}
    for view in prepared.views[:: max(1, len(prepared.views) // 12)]:
        aim = (view.focal_mm, view.pan_deg, view.tilt_deg)
        camera = Aimed(view.mount_id, lenses[view.lens_key], *aim, ("hall",))
        cells = shapely.union_all([prepared.cells[i].polygon for i in view.cells])
        assert cells.difference(seen(plan, [camera])[0].ground).area < 1e-3


@pytest.mark.parametrize("seed", range(12))
def test_no_view_shows_a_keep_out_on_random_plans(seed):
    plan = drawn(seed, keep_outs=3)
    prepared = prepare(plan, {mount.id: LENSES for mount in plan.mounts}, 40)
    without = Scene(plan.outline, plan.walls, plan.obstacles, plan.mounts, plan.areas)
    rng = np.random.default_rng(seed)
    mounts = {mount.id: mount for mount in plan.mounts}
    lenses = {lens.key: lens for lens in LENSES}
    for index in rng.permutation(len(prepared.views))[:25].tolist():
        view = prepared.views[index]
        mount, lens = mounts[view.mount_id], lenses[view.lens_key]
        for keep_out in plan.keep_outs:
            for spot in spots_in(shapely.Polygon(keep_out.outline), 8, rng):
                height = float(rng.uniform(keep_out.low_m, keep_out.high_m))
                offset = (spot[0] - mount.at[0], spot[1] - mount.at[1], height - mount.height_m)
                aim = (view.focal_mm, view.pan_deg, view.tilt_deg)
                depth = spots.in_picture(lens, *aim, offset)
                shown = (
                    depth is not None
                    and spots.in_arc(mount, spot)
                    and spots.free(plan, mount, spot, height)
                )
                if shown:
                    density = lens.width_px * view.focal_mm / (lens.sensor_width_mm * depth)
                    assert density <= keep_out.px_m + 1e-6
    free = prepare(without, {mount.id: LENSES for mount in plan.mounts}, 40)
    assert sum(len(v.cells) for v in prepared.views) <= sum(len(v.cells) for v in free.views)
