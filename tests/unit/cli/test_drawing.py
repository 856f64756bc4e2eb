"""The command that draws: what it writes, what it says, and its exit statuses."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import shapely

from optimizer.design import Camera, Design
from optimizer.pricebook import load_book
from optimizer.questions.seeing import lens_of, never_seen
from optimizer.site.scenes import scene_of
from tests.unit.cli.running import here, real, stand_in
from tests.unit.reporting import handmade
from tests.unit.site.plans import PLAN, edited, loaded

BOOK = load_book(None)
FULL_HD = "hc-1080-28"


def written(folder: Path, text: str = PLAN) -> str:
    path = folder / "site.yaml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def words(path: Path) -> list[str]:
    return re.findall(r"<!-- (.*?) -->", path.read_text(encoding="utf-8"))


def design(**more: Any) -> Design:
    """The hand-made kit with one camera, on the plan's corner."""
    camera = handmade.CAMERAS[0].model_dump()
    aim: dict[str, Any] = {
        "zone": "corner",
        "item": FULL_HD,
        "focal_mm": 2.8,
        "aim": {
            "pan_deg": 45.0,
            "tilt_deg": 30.0,
            "serves": [{"zone": "floor", "px_per_m": 100.0}],
        },
    }
    mounted = Camera.model_validate({**camera, **aim, **more})
    return handmade.DESIGN.model_copy(update={"cameras": (mounted,)})


def test_the_bare_plan(tmp_path: Path) -> None:
    out = tmp_path / "plan.svg"
    done = here("draw", written(tmp_path), "--bare", "--out", str(out), "--quiet")
    assert (done.exit_code, done.output) == (0, "")
    said = words(out)
    assert "Trial hall" in said
    assert "The plan as it was read: 2 mounts, 1 zones to be seen, no camera chosen." in said
    assert {"corner", "middle", "floor", "cable route"} <= set(said)
    assert "camera, nose where it looks" not in said


@pytest.mark.parametrize("paper", ["A4", "A2"])
def test_the_paper(tmp_path: Path, paper: str) -> None:
    out = tmp_path / "plan.svg"
    assert here("draw", written(tmp_path), "--bare", "--out", str(out), "--paper", paper,
                "--quiet").exit_code == 0  # fmt: skip
    assert any(text.endswith(f" on {paper}") for text in words(out))


def test_the_same_question_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    site, bytes_of = written(tmp_path), []
    for name in ("one.png", "two.png"):
        done = real("draw", site, "--bare", "--out", str(tmp_path / name), "--quiet")
        assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
        bytes_of.append((tmp_path / name).read_bytes())
    assert bytes_of[0] == bytes_of[1]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--out", "plan.pdf", "--bare"], "a drawing of this ending cannot be made"),
        (["--bare"], "Missing option '--out'"),
        (["design.json", "--out", "plan.svg", "--bare"], "--bare draws no design"),
        (["--out", "plan.svg", "--bare", "--paper", "A5"], "'A5' is not one of"),
        (["nowhere.json", "--out", "plan.svg"], "the design cannot be read"),
    ],
)
def test_what_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], message: str
) -> None:
    monkeypatch.chdir(tmp_path)
    done = here("draw", written(tmp_path), *arguments)
    assert done.exit_code == 2
    assert message in done.output
    assert not list(tmp_path.glob("plan.*"))


def test_a_site_without_a_plan(tmp_path: Path) -> None:
    done = here("draw", str(handmade.SITE_FILE), "--bare", "--out", str(tmp_path / "plan.svg"))
    assert done.exit_code == 2
    assert "the site has no plan to draw" in done.output
    assert "leastkit start --plan" in done.output


def test_a_bill_is_no_design(tmp_path: Path) -> None:
    bill = tmp_path / "bill.yaml"
    bill.write_text("bill:\n- {item: drive-4tb, quantity: 1}\n", encoding="utf-8")
    done = here("draw", written(tmp_path), str(bill), "--out", str(tmp_path / "plan.svg"))
    assert done.exit_code == 2
    assert "a bill alone does not say where its cameras are" in done.output


def test_a_design_that_does_not_meet_the_site(tmp_path: Path) -> None:
    """Status 3, and what one camera does not see of a zone that two must see is drawn."""
    file, out = tmp_path / "design.json", tmp_path / "plan.svg"
    file.write_text(design().model_dump_json(), encoding="utf-8")
    done = here("draw", written(tmp_path), str(file), "--out", str(out), "--quiet")
    assert (done.exit_code, done.output) == (3, "")
    said = words(out)
    assert "This kit of 829.58 EUR does not meet the site: see leastkit audit." in said
    assert "asked for and not seen" in said
    assert "0 % seen" in said
    assert "camera, nose where it looks" in said
    assert any("local codes decide" in text.lower() for text in said)
    listed = " ".join(" ".join(said).split())
    assert "corner: HD-coax dome 1080p, 2.8 mm, indoors, 2.8 mm, pan 45 deg, 30 deg down" in listed


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"zone": "mast"}, 'the site has no mount "mast"'),
        ({"item": "cam-none"}, 'the price book has no camera "cam-none"'),
    ],
)
def test_a_design_of_another_site(tmp_path: Path, changed: dict[str, str], message: str) -> None:
    file = tmp_path / "design.json"
    file.write_text(design(**changed).model_dump_json(), encoding="utf-8")
    done = here("draw", written(tmp_path), str(file), "--out", str(tmp_path / "plan.svg"))
    assert done.exit_code == 2
    assert message in done.output


def test_the_cheapest_kit_is_drawn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kit = design()
    answer = handmade.answer().model_copy(update={"cameras": kit.cameras, "status": "optimal"})
    asked = stand_in(monkeypatch, answer)
    out = tmp_path / "plan.svg"
    done = here("draw", written(tmp_path), "--out", str(out), "--time", "7", "--quiet")
    assert (done.exit_code, done.output) == (0, "")
    assert [one["seconds"] for one in asked] == [7]
    assert f"The cheapest kit: {answer.total} EUR with tax." in words(out)


HIDDEN = edited(
    # A booth round the far corner, and a zone in it.
    (
        "  - {id: south, line: [[0, 0], [12, 0]]}\n",
        "  - {id: south, line: [[0, 0], [12, 0]]}\n"
        "  - {id: booth, line: [[10, 8], [10, 5], [12, 5]]}\n",
    ),
    ("[[1, 1], [8, 1], [8, 6], [1, 6]]", "[[10.5, 5.5], [11.5, 5.5], [11.5, 7.5], [10.5, 7.5]]"),
    (", cameras: 2, apart: 30 deg", ""),
)


def test_what_nobody_can_see_is_drawn_with_what_hides_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in(monkeypatch, handmade.without_kit("unmeetable"))
    out = tmp_path / "plan.svg"
    done = here("draw", written(tmp_path, HIDDEN), "--out", str(out), "--quiet")
    assert (done.exit_code, done.output) == (3, "")
    said = words(out)
    assert "asked for and not seen" in said
    assert "wall or obstacle that hides it" in said
    assert any("in sight and reach of too few mounts" in text for text in said)


def test_an_answer_that_there_is_no_kit_is_looked_into_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in(monkeypatch, handmade.without_kit("unmeetable"))
    file = tmp_path / "answer.json"
    file.write_text(handmade.without_kit("unmeetable").as_json(), encoding="utf-8")
    out = tmp_path / "plan.svg"
    done = here("draw", written(tmp_path, HIDDEN), str(file), "--out", str(out), "--quiet")
    assert (done.exit_code, done.output) == (3, "")
    assert "asked for and not seen" in words(out)


def test_a_conflict_that_is_not_one_of_sight(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in(monkeypatch, handmade.without_kit("unmeetable"))
    out = tmp_path / "plan.svg"
    # Nothing in between, one camera, the least detail of the edition, any fall.
    text = edited(
        (", cameras: 2, apart: 30 deg, faces: true", ""),
        ("detail: observe, frame_rate: 6 fps,\n", "detail: monitor, frame_rate: 6 fps,\n"),
        ("  - {id: rack, area: [[3, 4], [6, 4], [6, 5], [3, 5]], height: 2 m}\n", ""),
        ("  obstacles:\n", ""),
        ("  - {id: low, line: [[2, 2], [4, 2], [4, 3]], height: 1.2 m}\n", ""),
    )
    assert here("draw", written(tmp_path, text), "--out", str(out), "--quiet").exit_code == 3
    said = words(out)
    assert "asked for and not seen" not in said
    assert any("leastkit prove" in text for text in said)


def test_undecided(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, handmade.without_kit("undecided"))
    out = tmp_path / "plan.svg"
    assert here("draw", written(tmp_path), "--out", str(out), "--quiet").exit_code == 4
    assert any("in the time given" in text for text in words(out))


def test_ground_that_no_mount_sees_by_hand(tmp_path: Path) -> None:
    """The whole booth is dark: 1 x 2 m of it are asked for, and the booth's wall hides it."""
    site = loaded(tmp_path, HIDDEN).site
    (missing,), hiding = never_seen(site, BOOK, scene_of(site))
    assert (missing.zone, missing.level) == ("floor", "")
    assert missing.ground.area == pytest.approx(2.0, abs=1e-6)
    assert hiding == {"booth"}


def test_a_column_hides_a_strip_from_the_only_mount(tmp_path: Path) -> None:
    """From (2, 4) a column from x = 6 to 6.5, 0.5 m wide about y = 4, hides what lies behind it.

    Its near side is 4 m away and 0.25 m to each side wide: half the shadow at x is (x - 2) / 16. Of
    a zone from x = 8 to 10 and wider than the shadow that is, on average, 2 x (7 / 16) m wide:
    7/8 m x 2 m = 1.75 m2. Nothing of it is free below the far side, which is nearer the axis.
    """
    text = edited(
        ("{id: rack, area: [[3, 4], [6, 4], [6, 5], [3, 5]], height: 2 m}",
         "{id: column, area: [[6, 3.75], [6.5, 3.75], [6.5, 4.25], [6, 4.25]]}"),
        ("- {id: corner, at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg}",
         "- {id: corner, at: [2, 4], height: 3 m}"),
        ("- {id: middle, at: [6, 5.5], height: 3 m, run: 20 m, place: outdoors, ingress: IP65}\n",
         ""),
        ("  - {id: low, line: [[2, 2], [4, 2], [4, 3]], height: 1.2 m}\n", ""),
        ("[[1, 1], [8, 1], [8, 6], [1, 6]]", "[[8, 3], [10, 3], [10, 5], [8, 5]]"),
        (", cameras: 2, apart: 30 deg, faces: true", ""),
    )  # fmt: skip
    site = loaded(tmp_path, text).site
    (missing,), hiding = never_seen(site, BOOK, scene_of(site))
    assert missing.ground.area == pytest.approx(1.75, abs=0.001)
    assert missing.ground.contains(shapely.Point(9, 4.4))
    assert not missing.ground.contains(shapely.Point(9, 4.5))
    assert hiding == {"column"}


def test_ground_that_is_seen_too_steeply(tmp_path: Path) -> None:
    """Two mounts 3 m up; faces 1.8 m up, at most 30 degrees: within 1.2 / tan 30 = 2.078 m no.

    Two cameras are asked, so that ground too near either mount is missing: the discs about (6, 5.5)
    and (0, 0), as far as the zone goes. At 1.5 m all sight is over the rack's 1 m.
    """
    text = edited(
        ("[6, 5], [3, 5]], height: 2 m}", "[6, 5], [3, 5]], height: 1 m}"),
        ("faces: true", "faces: true, heights: 1.5 to 1.8 m"),
        (", apart: 30 deg", ""),
    )
    site = loaded(tmp_path, text).site
    (missing,), hiding = never_seen(site, BOOK, scene_of(site))
    discs = [shapely.Point(at).buffer(1.2 * 3**0.5, quad_segs=500) for at in ((0, 0), (6, 5.5))]
    expected = sum(disc.intersection(shapely.box(1, 1, 8, 6)).area for disc in discs)
    assert missing.ground.area == pytest.approx(expected, rel=1e-3)
    assert hiding == frozenset()


def test_ground_that_two_cameras_must_see_and_one_mount_can(tmp_path: Path) -> None:
    text = edited(
        ("- {id: middle, at: [6, 5.5], height: 3 m, run: 20 m, place: outdoors, ingress: IP65}\n",
         ""),
    )  # fmt: skip
    site = loaded(tmp_path, text).site
    (missing,), _ = never_seen(site, BOOK, scene_of(site))
    # All of the zone but the rack's ground: 35 - 3 m2.
    assert missing.ground.area == pytest.approx(32.0, abs=0.01)


def test_how_far_an_item_serves_a_zone(tmp_path: Path) -> None:
    items = {camera.id: camera for camera in BOOK.by_kind(type(BOOK.items[FULL_HD]))}
    site = loaded(tmp_path, edited(("faces: true", "faces: true, night: dark"))).site
    # Without lamps nothing is seen in the dark; with lamps, as far as they reach.
    asked = {name: dict(lens_of(site, items[name], 1920).reaches) for name in
             (FULL_HD, "hc-1080-28-ir20")}  # fmt: skip
    assert asked == {FULL_HD: {"floor": 0.0}, "hc-1080-28-ir20": {"floor": 20.0}}
    lit = loaded(tmp_path, PLAN).site
    assert lens_of(lit, items[FULL_HD], 1920).reaches == ()
    fast = loaded(tmp_path, edited(("frame_rate: 6 fps,\n", "frame_rate: 120 fps,\n"))).site
    assert dict(lens_of(fast, items[FULL_HD], 1920).reaches) == {"floor": 0.0}
