"""Zones on a plan beside surveyed views: what is read, told apart, listed and changed."""

from __future__ import annotations

import math
from decimal import Decimal
from pathlib import Path

import pytest

from optimizer.errors import InputError
from optimizer.reading import Source, validate
from optimizer.site import Site
from optimizer.site.changes import changed, dropped, eased, tightened
from optimizer.site.requirements import reaches, requirements
from optimizer.site.scenes import scene_of
from tests.unit.site.plans import PLAN, edited, loaded


def test_views_and_areas_stand_in_one_list(tmp_path: Path) -> None:
    site = loaded(tmp_path).site
    assert [zone.id for zone in site.zones] == ["floor", "gate"]
    assert [zone.id for zone in site.views] == ["gate"]
    assert [zone.id for zone in site.areas] == ["floor"]


def test_a_dump_is_read_back_unchanged(tmp_path: Path) -> None:
    site = loaded(tmp_path).site
    data = site.model_dump(mode="json")
    assert validate(Site, Source("", data, {}, "")) == site


def test_the_scene_in_metres(tmp_path: Path) -> None:
    scene = scene_of(loaded(tmp_path).site)
    assert scene.outline == ((0, 0), (12, 0), (12, 8), (0, 8))
    # A bent wall is two pieces of one id.
    assert [(w.id, w.ends, w.height_m) for w in scene.walls] == [
        ("south", ((0, 0), (12, 0)), math.inf),
        ("low", ((2, 2), (4, 2)), 1.2),
        ("low", ((4, 2), (4, 3)), 1.2),
    ]
    corner, middle = scene.mounts
    assert (corner.facing_deg, corner.swing_deg) == (45.0, 90.0)
    assert middle.swing_deg == 360.0
    (area,) = scene.areas
    # observe is 62.5 px/m in IEC 62676-4:2014; faces: assumptions.face_tilt, 30 deg.
    assert (area.px_m, area.share, area.cameras, area.apart_deg) == (62.5, 0.9, 2, 30.0)
    assert (area.low_m, area.high_m, area.most_tilt_deg) == (0.0, 1.8, 30.0)
    (kept,) = scene.keep_outs
    assert (kept.px_m, kept.mask, kept.low_m, kept.high_m) == (25.0, False, 0.0, 3.0)


def test_the_stricter_of_two_limits_of_tilt_holds(tmp_path: Path) -> None:
    site = loaded(tmp_path, edited(("faces: true", "faces: true, most_tilt: 20 deg"))).site
    assert site.most_tilt_deg(site.areas[0]) == 20
    site = loaded(tmp_path, edited(("faces: true", "most_tilt: 50 deg"))).site
    assert site.most_tilt_deg(site.areas[0]) == 50
    site = loaded(tmp_path, edited((", faces: true", ""))).site
    assert site.most_tilt_deg(site.areas[0]) is None


def test_units_of_the_plan_and_of_single_coordinates(tmp_path: Path) -> None:
    # 1 ft = 0.3048 m exactly (NIST SP 811, appendix B).
    text = edited(
        ("plan:\n", "plan:\n  unit: ft\n"),
        (
            "outline: [[0, 0], [12, 0], [12, 8], [0, 8]]",
            "outline: [[0, 0], [40, 0], [40, 30], [0, 30]]",
        ),
        ("at: [6, 5.5]", "at: [6000 mm, 5.5]"),
    )
    scene = scene_of(loaded(tmp_path, text).site)
    assert scene.outline == ((0, 0), (12.192, 0), (12.192, 9.144), (0, 9.144))
    assert scene.mounts[1].at == (6.0, 1.6764)
    # Heights carry their own unit.
    assert scene.mounts[1].height_m == 3.0


def test_a_ring_may_repeat_its_first_point(tmp_path: Path) -> None:
    text = edited(("[6, 5], [3, 5]]", "[6, 5], [3, 5], [3, 4]]"))
    assert scene_of(loaded(tmp_path, text).site) == scene_of(loaded(tmp_path, PLAN).site)


def test_levels(tmp_path: Path) -> None:
    text = edited(
        ("plan:\n", "plan:\n  levels: {ground: 0 m, loft: 4 m}\n"),
        ("{id: middle,", "{id: middle, level: loft,"),
    )
    scene = scene_of(loaded(tmp_path, text).site)
    # What names no level is on the first.
    assert [mount.level for mount in scene.mounts] == ["ground", "loft"]
    assert {wall.level for wall in scene.walls} == {"ground"}


def test_a_site_without_a_plan_has_no_scene(tmp_path: Path) -> None:
    text = PLAN[: PLAN.index("plan:")] + PLAN[PLAN.index("zones:") :]
    rows = [row for row in text.splitlines() if "floor" not in row and "share" not in row]
    with pytest.raises(ValueError, match="no plan"):
        scene_of(loaded(tmp_path, "\n".join(rows)).site)


def test_what_areas_mounts_and_keep_outs_ask(tmp_path: Path) -> None:
    site = loaded(tmp_path)
    asked = {r.id: r for r in requirements(site)}
    assert [i for i in asked if i.startswith(("zones.floor", "mounts", "keep_outs"))] == [
        "zones.floor",
        "zones.floor/detail",
        "zones.floor/share",
        "zones.floor/cameras",
        "zones.floor/apart",
        "zones.floor/faces",
        "zones.floor/frame_rate",
        "zones.floor/recorded",
        "mounts.middle/place",
        "mounts.middle/ingress",
        "keep_outs.desk/detail",
    ]
    assert asked["zones.floor/share"].line == 21
    # A stated run is a fact with a headroom, a run from the plan follows from the plan.
    assert [r.id for r in reaches(site) if r.fact] == ["zones.gate/run", "mounts.middle/run"]


@pytest.mark.parametrize(
    ("name", "value", "easier", "harder"),
    [
        ("zones.floor/share", "90 %", "85 %", "95 %"),
        ("zones.floor/cameras", "2", "1", "3"),
        ("zones.floor/apart", "30 deg", "20 deg", "40 deg"),
        # Of what a camera may show, more is easier: the next level of the edition.
        ("keep_outs.desk/detail", "detect", "observe", "monitor"),
        ("mounts.middle/ingress", "IP65", "IP54", "IP66"),
    ],
)
def test_natural_steps(tmp_path: Path, name: str, value: str, easier: str, harder: str) -> None:
    one = {r.id: r for r in requirements(loaded(tmp_path))}[name]
    assert (one.value, one.easier(), one.harder()) == (value, easier, harder)
    ladder = one.ladder
    assert ladder.hardness(easier) < ladder.hardness(value) < ladder.hardness(harder)


def test_of_the_down_tilt_more_is_easier(tmp_path: Path) -> None:
    site = loaded(tmp_path, edited(("faces: true", "most_tilt: 20 deg")))
    name = "zones.floor/most_tilt"
    assert eased(site, name).areas[0].most_tilt == 25
    assert tightened(site, name).areas[0].most_tilt == 15
    assert dropped(site, name).areas[0].most_tilt is None


def test_changes(tmp_path: Path) -> None:
    site = loaded(tmp_path)
    assert changed(site, {"zones.floor/share": "75"}).areas[0].share == Decimal("0.75")
    assert changed(site, {"zones.floor/apart": "60"}).areas[0].apart == 60
    assert changed(site, {"mounts.middle/run": "33"}).mounts[1].run == 33
    assert changed(site, {"assumptions/face_tilt": "15"}).assumptions.face_tilt == 15
    plan = changed(site, {"keep_outs.desk/mask": "true"}).plan
    assert plan is not None
    assert plan.keep_outs[0].mask
    assert [z.id for z in dropped(site, "zones.floor").zones] == ["gate"]
    assert dropped(site, "mounts.middle/place").mounts[1].place == "indoors"


@pytest.mark.parametrize(
    ("name", "value", "what"),
    [
        ("zones.floor/width", "3 m", 'the site asks for nothing called "zones.floor/width"'),
        ("zones.gate/share", "80 %", 'the site asks for nothing called "zones.gate/share"'),
        ("mounts.middle/at", "1", 'the site asks for nothing called "mounts.middle/at"'),
        ("mounts.mast/run", "3 m", 'the site asks for nothing called "mounts.mast/run"'),
        ("keep_outs.desk/area", "1", 'the site asks for nothing called "keep_outs.desk/area"'),
        ("zones.floor/share", "0 %", "this share is outside the range that is believable here"),
        (
            "mounts.corner/facing",
            "0 deg",
            'mount "corner" stands on wall "south" and faces along it',
        ),
    ],
)
def test_changes_that_are_refused(tmp_path: Path, name: str, value: str, what: str) -> None:
    text = edited(
        ("{id: south, line: [[0, 0], [12, 0]]}", "{id: south, line: [[-0, 8], [0, 0], [12, 0]]}")
    )
    site = loaded(tmp_path, text)
    with pytest.raises(InputError) as refused:
        changed(site, {name: value})
    (trouble,) = refused.value.troubles
    assert trouble.what == what
    assert trouble.field == name


def test_sites_without_a_plan_load_neither_shapely_nor_networkx() -> None:
    import subprocess
    import sys

    script = (
        "import sys\n"
        "from optimizer.site import load_site\n"
        "load_site(sys.argv[1])\n"
        "print([m for m in ('shapely', 'networkx', 'ezdxf') if m in sys.modules])"
    )
    site = Path(__file__).parents[3] / "problems" / "corner-shop-coax" / "site.yaml"
    done = subprocess.run(
        [sys.executable, "-c", script, str(site)], capture_output=True, text=True, check=True
    )
    assert done.stdout == "[]\n"
