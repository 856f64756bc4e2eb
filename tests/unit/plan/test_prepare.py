"""Preparing a plan: rooms worked out by hand, and soundness both ways spot by spot."""

import itertools
import math

import numpy as np
import pytest
import shapely

from optimizer.plan.prepare import prepare, refine, unsettled
from optimizer.plan.prepared import Cell, Effort
from optimizer.plan.rounds import apart_ground
from optimizer.plan.scene import Area, Lens, Mount, Obstacle, Scene, Wall
from tests.optimality import plan_views
from tests.optimality.random_scenes import LENSES, drawn

# A sensor twice as wide as the focal length: 90 degrees. W f / w = 960 px/m at 1 m.
RIGHT_ANGLED = Lens("right", 1920, 4.8, 4.8, 2.4, 2.4)
SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def flat(px_m, **more):
    """An area judged at the height of the lenses, so that everything is plane geometry."""
    return Area("a", SQUARE, px_m, low_m=2.0, high_m=2.0, **more)


def test_square_room_with_one_mount_in_a_corner():
    # Looking along the diagonal with 90 degrees the picture holds the whole room and no more. The
    # far corner is 10 sqrt(2) m down the axis: 960 / 14.142 = 67.88 px/m.
    corner = Mount("m", (0.0, 0.0), 2.0, facing_deg=45.0, swing_deg=90.0)
    for px_m, whole in ((67.8, True), (67.9, False)):
        scene = Scene(SQUARE, mounts=(corner,), areas=(flat(px_m),))
        prepared = prepare(scene, {"m": [RIGHT_ANGLED]}, 100)
        most = max(prepared.views, key=lambda view: len(view.cells))
        assert len(prepared.cells) == 100
        assert (len(most.cells) == 100) is whole
        if whole:
            assert len(prepared.views) == 1
            assert (most.pan_deg, most.tilt_deg, most.areas) == (45.0, 0.0, ("a",))
        else:
            # Only the cell in the far corner, wherever it lies in the picture? Panned away from the
            # diagonal it is nearer along the axis, but then other cells leave the picture.
            assert len(most.cells) == 99


def test_corridor_that_one_camera_cannot_hold():
    # 20 m long, 0.2 m wide, a camera 1 m beyond each end, at the height of the target. 4.8 mm wide
    # at f 24 mm, the picture is 0.2 m wide 1 m ahead and holds the corridor from there. W f / w =
    # 9,600 px/m at 1 m: 600 px/m up to 16 m (15 cells of 1 m), 1,000 px/m up to 9.6 m (8 cells).
    # Turned as far as it can be, the corner of the picture reaches 0.5 % farther, which adds none.
    tele = Lens("tele", 1920, 4.8, 4.8, 24.0, 24.0)
    hall = ((0.0, -0.1), (20.0, -0.1), (20.0, 0.1), (0.0, 0.1))
    ends = (Mount("west", (-1.0, 0.0), 2.0), Mount("east", (21.0, 0.0), 2.0))
    for px_m, reach in ((600.0, 15), (1000.0, 8)):
        area = Area("a", hall, px_m, low_m=2.0, high_m=2.0)
        scene = Scene(hall, mounts=ends, areas=(area,))
        strips = cut_across(hall, 20)
        prepared = prepare(scene, {m.id: [tele] for m in ends}, strips)
        best = {
            name: max((v.sure for v in prepared.views if v.mount_id == name), key=len)
            for name in ("west", "east")
        }
        assert best == {"west": set(range(reach)), "east": set(range(20 - reach, 20))}
        unseen = set(range(20)) - best["west"] - best["east"]
        assert unseen == (set() if px_m == 600.0 else {8, 9, 10, 11})
        # Those in the middle are surely out of reach; 8.6 m to 8.7 m might be shown in a corner.
        possible = set(prepared.may["west", "tele"].tolist())
        assert possible == set(range(16 if px_m == 600.0 else 9))


def cut_across(hall, count):
    """A lane cut in cells of equal length."""
    (left, low), (right, _), (_, high), _ = hall
    edges = np.linspace(left, right, count + 1)
    boxes = [shapely.box(a, low, b, high) for a, b in itertools.pairwise(edges.tolist())]
    return [Cell("a", box, box.area) for box in boxes]


def test_corridor_whose_middle_is_out_of_reach_for_any_aim():
    # In a corner of the picture a 90 degree square picture reaches sqrt(1 + 1 + 1) times as far:
    # at 170 px/m 5.65 m on the axis and 9.78 m at most, so 0.4 m in the middle is surely unseen.
    hall = ((0.0, 0.0), (20.0, 0.0), (20.0, 1.0), (0.0, 1.0))
    ends = (Mount("west", (0.0, 0.5), 2.0), Mount("east", (20.0, 0.5), 2.0))
    area = Area("a", hall, 170.0, low_m=2.0, high_m=2.0)
    prepared = prepare(
        Scene(hall, mounts=ends, areas=(area,)), {m.id: [RIGHT_ANGLED] for m in ends}, 20
    )
    for _ in range(4):
        prepared = refine(prepared, [9, 10] if len(prepared.cells) == 20 else None)
    reachable = set(np.concatenate(list(prepared.may.values())).tolist())
    dark = [c.polygon for i, c in enumerate(prepared.cells) if i not in reachable]
    across = shapely.union_all(dark).intersection(shapely.LineString([(0, 0.5), (20, 0.5)]))
    assert 9.78 <= across.bounds[0] < across.bounds[2] <= 10.22


def test_column_that_splits_a_room():
    # A column 2 m wide 4 m from the mount: at the far wall, 10 m away, its shadow is 5 m wide
    # (y from 2.5 to 7.5), at its back, 5 m away, 2.5 m (3.75 to 6.25). A second mount opposite
    # sees that ground; one in the middle of the same side does not.
    column = Obstacle("c", ((4.0, 4.0), (5.0, 4.0), (5.0, 6.0), (4.0, 6.0)))
    west, east = (
        Mount("west", (0.0, 5.0), 2.0, 0.0, 180.0),
        Mount("east", (10.0, 5.0), 2.0, 180, 180),
    )
    scene = Scene(SQUARE, obstacles=(column,), mounts=(west, east), areas=(flat(50.0),))
    prepared = prepare(scene, {m.id: [RIGHT_ANGLED] for m in (west, east)}, 400)
    dark = shapely.Polygon([(4, 4), (10, 2.5), (10, 7.5), (4, 6)]).difference(
        shapely.Polygon(column.outline)
    )
    lit = {"west": set(), "east": set()}
    for view in prepared.views:
        lit[view.mount_id] |= view.sure
    for index, cell in enumerate(prepared.cells):
        if cell.polygon.intersection(dark).area > 1e-6:
            assert index not in lit["west"]
    behind = [i for i, c in enumerate(prepared.cells) if dark.contains(c.polygon.buffer(-1e-9))]
    assert len(behind) > 20
    assert all(i not in prepared.may["west", "right"] for i in behind)
    front = [i for i in behind if prepared.cells[i].polygon.bounds[2] < 8]
    assert set(front) <= lit["east"]


def test_blind_spot_under_the_camera():
    # 3 m up, tilted as far as the head of a person (1.8 m) at the far end allows. Half the
    # vertical angle is 45 degrees: tilted by t, the lower edge meets the floor at 3 / tan(t + 45).
    mount = Mount("m", (0.0, 5.0), 3.0, 0.0, 180.0)
    lane = ((0.0, 4.9), (10.0, 4.9), (10.0, 5.1), (0.0, 5.1))
    scene = Scene(SQUARE, mounts=(mount,), areas=(Area("a", lane, 50.0),))
    prepared = prepare(scene, {"m": [RIGHT_ANGLED]}, 100, Effort(2, 9))
    for view in prepared.views:
        nearest = min(prepared.cells[i].polygon.bounds[0] for i in view.cells)
        down = view.tilt_deg + 45
        edge = 3 / math.tan(math.radians(down)) if down < 90 else 0.0
        assert nearest >= edge - 1e-6
    # Some tilt shows the far end: the head there is 1.2 m below at 10 m, 6.84 degrees down.
    far = [v for v in prepared.views if prepared.cells[int(v.cells[-1])].polygon.bounds[2] > 9.99]
    assert far
    assert max(view.tilt_deg for view in far) <= 45 + math.degrees(math.atan2(1.2, 10)) + 1e-9


def test_steepest_sight_to_a_face():
    # From 3.8 m up to a face at 1.8 m: 2 m. At most 30 degrees: from 2 / tan 30 = 3.46 m on.
    mount = Mount("m", (0.0, 5.0), 3.8)
    scene = Scene(SQUARE, mounts=(mount,), areas=(Area("a", SQUARE, 20.0, most_tilt_deg=30.0),))
    prepared = prepare(scene, {"m": [RIGHT_ANGLED]}, 400)
    sure = frozenset().union(*(view.sure for view in prepared.views))
    edge = 2 / math.tan(math.radians(30))
    for index, cell in enumerate(prepared.cells):
        away = cell.polygon.distance(shapely.Point(mount.at))
        assert away >= edge - 1e-9 or index not in sure
        farthest = cell.polygon.hausdorff_distance(shapely.Point(mount.at))
        assert farthest >= edge - 1e-9 or index not in prepared.may["m", "right"]
    assert len(sure) > 250


def test_infra_red_reach_is_measured_along_the_line_of_sight():
    # 3 m above the floor a lamp of 5 m lights the floor up to 4 m away.
    lamp = Lens("lamp", 1920, 4.8, 4.8, 2.4, 2.4, reaches=(("a", 5.0),))
    mount = Mount("m", (0.0, 0.5), 3.0)
    lane = ((0.0, 0.0), (10.0, 0.0), (10.0, 1.0), (0.0, 1.0))
    scene = Scene(SQUARE, mounts=(mount,), areas=(Area("a", lane, 20.0),))
    prepared = prepare(scene, {"m": [lamp]}, 1000)
    sure = frozenset().union(*(view.sure for view in prepared.views))
    for index in sure:
        assert prepared.cells[index].polygon.hausdorff_distance(shapely.Point(mount.at)) <= 4 + 1e-6
    assert max(prepared.cells[i].polygon.bounds[2] for i in sure) > 3.7
    none = Lens("none", 1920, 4.8, 4.8, 2.4, 2.4, reaches=(("a", 0.0),))
    dark = prepare(scene, {"m": [none]}, 50)
    assert dark.views == ()
    assert not len(dark.may["m", "none"])


def test_varifocal_lens_gets_the_focal_lengths_that_just_meet_the_detail():
    # A lane from 8 m to 9 m away, at the height of the lens, 0.2 m wide: its farthest corner is
    # sqrt(81 + 0.01) m away and asks at 200 px/m for 200 x 4.8 x 9.00056 / 1920 = 4.5003 mm.
    zoom = Lens("zoom", 1920, 4.8, 3.6, 2.4, 12.0)
    lane = ((8.0, -0.1), (9.0, -0.1), (9.0, 0.1), (8.0, 0.1))
    area = Area("a", lane, 200.0, low_m=2.0, high_m=2.0)
    scene = Scene(SQUARE, mounts=(Mount("m", (0.0, 0.0), 2.0),), areas=(area,))
    prepared = prepare(scene, {"m": [zoom]}, 1, Effort(100, 3))
    best = max(prepared.views, key=lambda view: len(view.cells))
    assert len(best.cells) == len(prepared.cells)
    # Set to hundredths, and long enough; longer ones are of no use but for the width of the zone.
    assert best.focal_mm in (4.51, 12.0)
    assert any(view.focal_mm == 4.51 for view in prepared.views) or best.focal_mm == 12.0


def test_errors_name_what_is_wrong():
    scene = Scene(SQUARE, mounts=(Mount("m", (0.0, 0.0), 2.0),), areas=(flat(50.0),))
    with pytest.raises(ValueError, match="mount x, which is not on the plan"):
        prepare(scene, {"x": [RIGHT_ANGLED]})
    with pytest.raises(ValueError, match="mount m: two lenses have the same key"):
        prepare(scene, {"m": [RIGHT_ANGLED, RIGHT_ANGLED]})


def test_same_plan_twice_gives_the_same():
    scene = drawn(5)
    lenses = {mount.id: LENSES for mount in scene.mounts}
    one, two = prepare(scene, lenses, 80), prepare(scene, lenses, 80)

    def told(prepared):
        return [
            (v.mount_id, v.lens_key, v.focal_mm, v.pan_deg, v.tilt_deg, v.cells.tolist())
            for v in prepared.views
        ]

    assert told(one) == told(two)
    assert one.views


@pytest.mark.parametrize("seed", range(14))
def test_sound_both_ways(seed):
    plan_views.sound(seed)


@pytest.mark.parametrize("seed", range(20, 29))
def test_no_pan_between_shows_more(seed):
    plan_views.complete(seed)


def test_refining_settles_the_edge_of_a_shadow():
    # A wall across half the room. Dark for any aim: right of x = 5, below the ray from the corner
    # over (5, 5.3), which leaves the room at the top at x = 10 / 1.06 = 9.434. Lit is the left half
    # and, right of the wall, the triangle (5, 5.3), (5, 10), (9.434, 10).
    wall = Wall("w", ((5.0, 0.0), (5.0, 5.3)))
    mount = Mount("m", (0.0, 0.0), 2.0, 45.0, 90.0)
    scene = Scene(SQUARE, walls=(wall,), mounts=(mount,), areas=(flat(60.0),))
    lit = 50 + (10 - 5.3) * (10 / 1.06 - 5) / 2
    prepared = prepare(scene, {"m": [RIGHT_ANGLED]}, 100)
    strip = sum(prepared.cells[i].area_m2 for i in unsettled(prepared))
    assert strip > 3
    # Cut along the shadow's edge, every cell is lit or dark: nothing is left open.
    finer = refine(prepared)
    assert unsettled(finer) == ()
    assert sum(cell.area_m2 for cell in finer.cells) == pytest.approx(100)
    sure = frozenset().union(*(view.sure for view in finer.views))
    assert sum(finer.cells[i].area_m2 for i in sure) == pytest.approx(lit, abs=1e-5)
    possible = finer.may["m", "right"].tolist()
    assert sum(finer.cells[i].area_m2 for i in possible) == pytest.approx(lit, abs=1e-5)


def test_cells_seen_from_too_small_an_angle_are_unsettled_until_cut():
    # Two mounts side by side: they appear 60 degrees apart inside two arcs (see `rounds`). A cell
    # across an arc is open, however well each mount sees it; cut in four, less of it is.
    mounts = (Mount("one", (3.0, 0.0), 2.0), Mount("two", (7.0, 0.0), 2.0))
    area = flat(40.0, cameras=2, apart_deg=60.0)
    scene = Scene(SQUARE, mounts=mounts, areas=(area,))
    prepared = prepare(scene, {m.id: [RIGHT_ANGLED] for m in mounts}, 100)
    ground = apart_ground(mounts[0].at, mounts[1].at, 60.0)
    rim = shapely.boundary(ground)
    first = unsettled(prepared)
    for index in first:
        assert prepared.cells[index].polygon.distance(rim) < 0.3
    finer = refine(prepared)
    left = sum(finer.cells[i].area_m2 for i in unsettled(finer))
    assert 0 < left < 0.7 * sum(prepared.cells[i].area_m2 for i in first)
