"""Plan drawings: to scale, readable in grey, and showing the ground that is really seen."""

from __future__ import annotations

import io
import math
import random
import re
from dataclasses import replace
from xml.etree import ElementTree

import cv2
import matplotlib.image
import numpy as np
import pytest
import shapely

from optimizer.plan.scene import Area, KeepOut, Lens, Mount, Obstacle, Scene, Wall
from optimizer.plan.shares import Aimed
from optimizer.reporting.plan_content import PlanPicture
from optimizer.reporting.plan_drawing import plan_drawn
from optimizer.reporting.plan_labels import Places, extent
from optimizer.reporting.plan_seen import by_detail
from optimizer.reporting.plan_sheet import (
    PAPERS,
    SCALES,
    Box,
    bar_length,
    laid_out,
)
from optimizer.reporting.plan_style import SHADES, shade

ANYWHERE = Box(-1e6, -1e6, 2e6, 2e6)
LENS = Lens("full-hd", 1920, 5.76, 3.24, 4.0, 4.0)
STEPS = (("detect", 25.0), ("observe", 62.5), ("recognise", 125.0), ("identify", 250.0))
SCENE = Scene(
    outline=((0, 0), (12, 0), (12, 8), (0, 8)),
    walls=(
        Wall("south", ((0, 0), (12, 0))),
        Wall("west", ((0, 0), (0, 8))),
        Wall("screen", ((6, 3), (6, 5)), 1.5),
        Wall("pier", ((8, 0), (8, 3))),
    ),
    obstacles=(Obstacle("rack", ((3, 5), (5, 5), (5, 6), (3, 6)), 2.0),),
    mounts=(Mount("corner", (0, 0), 3.0, 45, 90), Mount("spare", (11, 7), 3.0)),
    areas=(Area("floor", ((1, 1), (10, 1), (10, 7), (1, 7)), 62.5),),
    keep_outs=(KeepOut("desk", ((10, 1), (11, 1), (11, 2), (10, 2)), 25.0),),
)
CAMERA = Aimed("corner", LENS, 4.0, 40.0, 22.0, ("floor",))
PICTURE = PlanPicture(
    title="Trial hall",
    note="For a test.",
    scene=SCENE,
    floors=(("", ""),),
    steps=STEPS,
    cameras=(CAMERA,),
    lists=(("Cameras", ("corner: full-hd",)),),
    zones={"floor": "some of it is seen"},
    runs=(("", ((0.0, 0.0), (1.0, 7.0))),),
    room=("", (1.0, 7.0), "cellar"),
    north_deg=90.0,
)


def pixels(picture: PlanPicture, paper: str = "A4") -> np.ndarray:
    """A drawing as red, green and blue, 0 to 255, rows from above."""
    image = matplotlib.image.imread(io.BytesIO(plan_drawn(picture, ".png", paper)))
    return np.round(image[..., :3] * 255).astype(np.uint8)


def words(picture: PlanPicture) -> list[str]:
    """Every text of a drawing: matplotlib notes it beside the letters' outlines."""
    return re.findall(r"<!-- (.*?) -->", plan_drawn(picture, ".svg", "A4").decode())


def test_shades_fall_in_equal_steps_of_lightness() -> None:
    """L* of CIE 1976 as OpenCV reckons it from sRGB."""
    rgb = np.array([[[int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in SHADES]], np.float32)
    light = cv2.cvtColor(rgb / 255, cv2.COLOR_RGB2Lab)[0, :, 0]
    steps = -np.diff(light)
    assert steps.min() > 7.5
    assert steps.max() < 8.5
    with pytest.raises(ValueError, match="9 steps"):
        shade(0, 9)


def test_the_largest_scale_that_fits() -> None:
    # 12 m with 2 % of it round about: 12.48 x 8.48 m. At 1:75 that is 166.4 x 113.1 mm, and A4
    # leaves 297 - 20 - 74 = 203 mm by 210 - 20 - 16 - 9 = 165 mm; at 1:50, 249.6 mm do not fit.
    sheet = laid_out(SCENE.outline, 1, "A4")
    assert sheet.scale == 75
    assert sheet.floors[0].width == pytest.approx(12480 / 75)
    assert sheet.floors[0].height == pytest.approx(8480 / 75)
    # Two floors one above the other need 2 x (8480 / s + 9) <= 174 mm: 1:125.
    assert laid_out(SCENE.outline, 2, "A4").scale == 125
    # A bar of at most 60 mm: 2 m are 27 mm, 5 m 67 mm.
    assert bar_length(sheet) == 2


@pytest.mark.parametrize("floors", [1, 2, 3, 5])
@pytest.mark.parametrize("paper", PAPERS)
def test_floors_lie_apart_on_the_paper(floors: int, paper: str) -> None:
    chance = random.Random(f"{floors} {paper}")
    for _ in range(20):
        wide, high = chance.uniform(3, 900), chance.uniform(3, 900)
        sheet = laid_out([(0, 0), (wide, 0), (wide, high)], floors, paper)
        assert sheet.scale in SCALES
        page = shapely.box(0, 0, *PAPERS[paper])
        boxes = [shapely.box(b.x, b.y, b.x + b.width, b.y + b.height) for b in sheet.floors]
        side = sheet.side
        boxes.append(shapely.box(side.x, side.y, side.x + side.width, side.y + side.height))
        assert all(page.covers(box) for box in boxes)
        assert not any(a.overlaps(b) for a in boxes for b in boxes if a is not b)


def test_a_plan_too_large_for_any_scale() -> None:
    with pytest.raises(ValueError, match="fits on no sheet"):
        laid_out([(0, 0), (10**9, 0), (0, 10**9)], 1, "A4")


def test_labels_give_way() -> None:
    places = Places(ANYWHERE)
    places.take(100, 100, 1.5)
    first = places.near(100, 100, "first", 7, 0, 2)
    assert first[0] > 100
    assert first[1] == pytest.approx(100)
    second = places.near(100, 100, "second", 7, 0, 2)
    assert all(
        shapely.box(a.x, a.y, a.x + a.width, a.y + a.height).intersection(
            shapely.box(b.x, b.y, b.x + b.width, b.y + b.height)
        ).area == pytest.approx(0)
        for a in places.taken
        for b in places.taken
        if a is not b
    )  # fmt: skip
    assert second != first
    wide, high = extent("first", 7)
    assert not places.try_at(first[0] + wide / 3, first[1] + high / 3, "x", 5)
    assert places.try_at(20, 20, "x", 5)


def test_no_label_goes_under_the_key() -> None:
    """A mount 1 mm left of where labels may stand looks away from the key: its name turns round.

    A name of 12 letters of 7 pt is 12 x 7 x 0.21 + 1 = 18.64 mm wide.
    """
    places = Places(Box(0, 0, 200, 100))
    places.take(199, 50, 1.4)
    x, y = places.near(199, 50, "north-eleven", 7, 0, 2)
    assert x + 18.64 / 2 <= 200 + 1e-9
    own = places.taken[-1]
    assert _box(own).intersection(_box(places.taken[0])).area == 0
    # In the last corner a name is moved, not cut off, be it that it covers something.
    corner = places.near(199.5, 0.5, "north-eleven", 7, -45, 2)
    assert _box(Box(0, 0, 200, 100)).covers(_box(places.taken[-1]))
    assert corner != (x, y)


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("floors", [1, 2, 3])
def test_labels_may_stand_beside_the_plan_but_not_in_key_or_head(paper: str, floors: int) -> None:
    sheet = laid_out(SCENE.outline, floors, paper)
    room = _box(sheet.room)
    assert all(room.covers(_box(floor)) for floor in sheet.floors)
    assert not room.intersects(_box(sheet.side))
    high = sheet.size_mm[1]
    assert room.bounds[3] <= high - 10 - 16 + 1e-9


def _box(one: Box) -> shapely.Polygon:
    return shapely.box(one.x, one.y, one.x + one.width, one.y + one.height)


def test_a_crowded_label_finds_a_place_between_the_first_ones() -> None:
    """All eight places about a symbol are taken at all three reaches, one between them is not."""
    places = Places(ANYWHERE)
    for reach in (2.0, 3.6, 5.6):
        for turn in range(0, 360, 45):
            angle = math.radians(turn)
            places.take(100 + math.cos(angle) * (reach + 2), 100 + math.sin(angle) * (reach + 2), 1)
    before = list(places.taken)
    places.near(100, 100, "ab", 5, 0, 2)
    covered = sum(_box(places.taken[-1]).intersection(_box(one)).area for one in before)
    first = Places(ANYWHERE)
    first.taken = list(before)
    wide, high = extent("ab", 5)
    least = min(
        sum(
            _box(Box(100 + math.cos(a) * (2 * r + wide / 2) - wide / 2,
                     100 + math.sin(a) * (2 * r + high / 2) - high / 2, wide, high))
            .intersection(_box(one)).area
            for one in before
        )
        for r in (1.0, 1.8, 2.8)
        for a in (math.radians(t) for t in range(0, 360, 45))
    )  # fmt: skip
    assert covered < least


def test_a_name_within_an_area_keeps_off_what_stands_there() -> None:
    places = Places(ANYWHERE)
    places.take(50, 50, 6)
    hall = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    shelf = Box(0, 56, 100, 44)
    x, y = places.inside(hall, (50, 50), "hall\n90 % seen", 6.5, [shelf])
    own = _box(places.taken[-1])
    assert own.centroid.distance(shapely.Point(x, y)) < 1e-9
    assert shapely.Polygon(hall).covers(own)
    assert own.intersection(_box(places.taken[0])).area == pytest.approx(0)
    assert own.intersection(_box(shelf)).area == pytest.approx(0)
    assert shapely.Point(x, y).distance(shapely.Point(50, 50)) < 30
    # Where it fits nowhere in the area it stays where it was asked for.
    closet = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]
    assert places.inside(closet, (1, 1), "closet", 6.5) == (1, 1)


def _free(scene: Scene, mount: Mount, spot: tuple[float, float], height: float) -> bool:
    """Whether a straight line meets no wall and no rack, piece by piece along it."""
    share = np.linspace(0.01, 0.998, 4000)
    x = mount.at[0] + share * (spot[0] - mount.at[0])
    y = mount.at[1] + share * (spot[1] - mount.at[1])
    level = mount.height_m + share * (height - mount.height_m)
    for body in scene.obstacles:
        inside = shapely.contains_xy(shapely.Polygon(body.outline), x, y)
        if (inside & (level < body.height_m)).any():
            return False
    for wall in scene.walls:
        near = shapely.distance(shapely.LineString(wall.ends), shapely.points(x, y)) < 0.003
        if (near & (level < wall.height_m)).any():
            return False
    return True


def test_shaded_ground_is_what_opencv_projects_into_the_picture() -> None:
    """Random spots against cv2.projectPoints and sight lines walked step by step."""
    chance = random.Random(7)
    mount = SCENE.mounts[0]
    steps = [0.0, *(px_m for _, px_m in STEPS)]
    grounds = by_detail(SCENE, CAMERA, steps)
    pan, tilt = math.radians(CAMERA.pan_deg), math.radians(CAMERA.tilt_deg)
    axis = [math.cos(tilt) * math.cos(pan), math.cos(tilt) * math.sin(pan), -math.sin(tilt)]
    right = [math.sin(pan), -math.cos(pan), 0.0]
    turn = np.array([right, np.cross(axis, right), axis])
    place = np.array([*mount.at, mount.height_m])
    pixel = LENS.width_px / LENS.sensor_width_mm
    inner = np.array([[4 * pixel, 0, 960], [0, 4 * pixel, 540], [0, 0, 1]])
    seen = 0
    for _ in range(60):
        spot = (chance.uniform(0.2, 11.8), chance.uniform(0.2, 7.8))
        point = shapely.Point(spot)
        if min(g.boundary.distance(point) for g in grounds) < 0.05:
            continue
        best = math.inf
        for height in (0.0, 0.9, 1.8):
            where = np.array([[*spot, height]])
            vector = -(turn @ place)
            picture, _ = cv2.projectPoints(where, cv2.Rodrigues(turn)[0], vector, inner, None)
            (u, v), depth = picture[0, 0], (turn @ (where[0] - place))[2]
            shown = depth > 0 and 0 <= u <= 1920 and 0 <= v <= 1080
            if not (shown and _free(SCENE, mount, spot, height)):
                best = -1.0
                break
            best = min(best, 4 * pixel / depth)
        if shapely.Polygon(SCENE.obstacles[0].outline).contains(point):
            best = -1.0
        assert [ground.contains(point) for ground in grounds] == [best >= px for px in steps]
        seen += best > 0
    assert 10 < seen < 50


@pytest.mark.parametrize("ending", [".svg", ".png"])
def test_the_same_picture_gives_the_same_bytes(ending: str) -> None:
    assert plan_drawn(PICTURE, ending, "A4") == plan_drawn(PICTURE, ending, "A4")


def test_a_metre_of_the_plan_on_paper() -> None:
    """A wall of 10 m at 1:75 is 133.3 mm, which is 787.4 dots of 150 to the inch."""
    wall = Wall("only", ((1, 4), (11, 4)))
    bare = replace(SCENE, walls=(wall,), obstacles=(), mounts=(), areas=(), keep_outs=())
    image = pixels(PlanPicture("", "", bare, (("", ""),), STEPS))
    assert image.shape[:2] == (int(210 / 25.4 * 150), int(297 / 25.4 * 150))
    dark = (image < 90).all(axis=2)
    dark[:, : int(dark.shape[1] * 0.02)] = False
    row = dark[200:, :1150].sum(axis=1)
    assert row.max() == pytest.approx(10 / 75 * 1000 / 25.4 * 150, abs=6)


def test_paper_size_of_the_svg() -> None:
    root = ElementTree.fromstring(plan_drawn(PICTURE, ".svg", "A3"))
    points = [float(root.attrib[name].removesuffix("pt")) for name in ("width", "height")]
    # 72 points to the inch (SVG 1.1 through CSS).
    assert points == pytest.approx([420 / 25.4 * 72, 297 / 25.4 * 72], abs=0.01)


def test_nearer_ground_is_darker_in_grey() -> None:
    """Along the optical axis detail falls with distance, and so does the ink."""
    bare = replace(SCENE, walls=(), obstacles=(), keep_outs=(), mounts=SCENE.mounts[:1])
    picture = replace(PICTURE, scene=bare, runs=(), room=None, zones={})
    sheet = laid_out(bare.outline, 1, "A4")
    image = pixels(picture).astype(float) @ [0.2126, 0.7152, 0.0722]
    box, tones = sheet.floors[0], []
    for away in np.arange(2.0, 11.0, 0.05):
        x, y = (away * f(math.radians(44)) for f in (math.cos, math.sin))
        if y > 7.9 or x > 11.9:
            break
        column = (box.x + sheet.mm(x - sheet.ground.west)) / 25.4 * 150
        line = (210 - box.y - sheet.mm(y - sheet.ground.south)) / 25.4 * 150
        tones.append(image[round(line), round(column)])
    known = [np.dot([int(c[i : i + 2], 16) for i in (1, 3, 5)], [0.2126, 0.7152, 0.0722])
             for c in SHADES[:5]]  # fmt: skip
    # Lines and letters between the shades are blurred: a shade counts where it stands for 15 cm.
    steady = [b for a, b, c in zip(tones, tones[1:], tones[2:], strict=False) if a == b == c]
    bands = [i for t in steady for i, tone in enumerate(known) if abs(t - tone) < 1.0]
    assert len(set(bands)) >= 3
    assert bands == sorted(bands, reverse=True)


def test_the_key_names_what_is_drawn_and_nothing_else() -> None:
    said = words(PICTURE)
    for text in (
        "wall",
        "wall that can be seen over",
        "keep-out area",
        "equipment room",
        "cable run",
        "camera, nose where it looks",
        "mount left empty, with its open side",
        "identify, from 250 px/m",
        "1 : 75 on A4",
        "N",
    ):
        assert text in said, text
    assert "asked for and not seen" not in said
    bare = replace(SCENE, walls=(), obstacles=(), keep_outs=())
    said = words(PlanPicture("", "", bare, (("", ""),), STEPS))
    for text in (
        "wall",
        "keep-out area",
        "equipment room",
        "cable run",
        "mount left empty, with its open side",
        "N",
    ):
        assert text not in said, text
    assert "north" in said


def test_names_stand_at_what_they_name() -> None:
    said = words(PICTURE)
    for text in (
        "corner",
        "spare",
        "floor",
        "some of it is seen",
        "keep-out desk",
        "cellar",
        "at most 25 px/m",
        "corner: full-hd",
        "2 m",
    ):
        assert text in said, text


def test_what_is_missing_is_drawn() -> None:
    ground = shapely.box(8.5, 4, 10, 6)
    picture = replace(PICTURE, missing=(("floor", "", ground),), hiding=frozenset({"pier"}))
    said = words(picture)
    assert "asked for and not seen" in said
    assert "wall or obstacle that hides it" in said
    reds = [
        (image[..., 0] > image[..., 1] + 60).sum() for image in (pixels(PICTURE), pixels(picture))
    ]
    assert reds[1] > reds[0] + 1000


def test_a_list_that_is_too_long_is_counted() -> None:
    rows = tuple(f"row {number}" for number in range(200))
    said = words(replace(PICTURE, lists=(("Cameras", rows),)))
    shown = [text for text in said if text.startswith("row ")]
    assert 5 < len(shown) < 100
    assert f"and {200 - len(shown)} more, as the answer lists them" in said


def test_a_long_list_leaves_room_for_the_next() -> None:
    cameras = tuple(f"camera {number}" for number in range(200))
    zones = tuple(f"zone {number}" for number in range(6))
    said = words(replace(PICTURE, lists=(("Cameras", cameras), ("Zones", zones))))
    assert set(zones) <= set(said)
    shown = [text for text in said if text.startswith("camera ") and text[7:].isdigit()]
    assert len(shown) > 10
    assert f"and {200 - len(shown)} more, as the answer lists them" in said


def test_floors_beside_each_other() -> None:
    upper = replace(SCENE.walls[0], id="upper", level="upper")
    scene = replace(SCENE, walls=(*SCENE.walls, upper))
    picture = replace(PICTURE, scene=scene, floors=(("", "ground"), ("upper", "upper storey")))
    said = words(picture)
    assert {"ground", "upper storey"} <= set(said)
    # The mounts, on the ground, are named once.
    assert said.count("spare") == 1


def test_the_bare_plan_shows_routes_and_open_directions() -> None:
    route = (("", ((1.0, 7.0), (11.0, 7.0))),)
    shaft = ((("",), (11.0, 7.0), "shaft"), (("upper",), (2.0, 2.0), "elsewhere"))
    bare = PlanPicture("", "", SCENE, (("", ""),), STEPS, routes=route, risers=shaft)
    said = words(bare)
    assert {"cable route", "riser between levels", "shaft"} <= set(said)
    assert "elsewhere" not in said
    assert "mount, with its open side" in said
    # The corner's quarter of a circle is drawn; a mount that is open all round has none.
    round_about = replace(SCENE, mounts=(replace(SCENE.mounts[0], swing_deg=360.0),))
    ink = [
        (pixels(replace(PICTURE, scene=replace(SCENE, mounts=some), cameras=())) < 200).sum()
        for some in (SCENE.mounts[:1], round_about.mounts)
    ]
    assert ink[0] > ink[1]
