"""Ground that nobody can show as asked, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from optimizer.errors import Defect
from optimizer.explaining.confirming import confirm
from optimizer.plan.cutting import cut
from optimizer.plan.scene import Area, KeepOut, Mount, Scene, Wall
from optimizer.plan.unseeable import covered, cut_out, lost
from optimizer.solving import unseeable
from tests.optimality.rooms import book, box, mount, site, square, zone

ROOM = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
# A wall from (5, 0) to (5, 5) hides all behind it from a mount at (0, 0): above y = x the ground
# beyond x = 5 is seen, below it is not. That is a triangle less none: (5, 0), (10, 0), (10, 10),
# (5, 5), of 25 + 12.5 = 37.5 m2. From (10, 10) the wall hides a triangle on the other side only.
WALL = Wall("w", ((5.0, 0.0), (5.0, 5.0)))
NEAR, FAR = Mount("near", (0.0, 0.0), 3.0), Mount("far", (10.0, 10.0), 3.0)
AREA = Area("a", ROOM, 50.0)
DOUBT = 2e-4 * 100


def test_what_a_wall_hides_from_the_only_mount() -> None:
    hidden = lost(Scene(ROOM, (WALL,), (), (NEAR,), (AREA,)), AREA).hidden
    assert 37.5 - 3 * DOUBT < hidden.area <= 37.5 - DOUBT
    assert hidden.contains(shapely.Point(7, 3))
    assert not hidden.intersects(shapely.Point(7, 8))


@pytest.mark.parametrize(("cameras", "area"), [(1, 0.0), (2, 37.5 + 12.5)])
def test_what_too_few_mounts_have_in_sight(cameras: int, area: float) -> None:
    """From (10, 10) the wall hides what is left of it below y = x: (0, 0), (5, 0), (5, 5)."""
    asked = replace(AREA, cameras=cameras)
    hidden = lost(Scene(ROOM, (WALL,), (), (NEAR, FAR), (asked,)), asked).hidden
    assert hidden.area == pytest.approx(area, abs=3 * DOUBT)


@pytest.mark.parametrize(
    ("px_m", "low", "share"),
    [(10.0, 0.0, 0.04), (50.0, 0.0, 0.0), (10.0, 2.5, 0.0)],
    ids=["allowed less than asked", "as much", "above all targets"],
)
def test_keep_out_areas_in_an_area(px_m: float, low: float, share: float) -> None:
    square_ = ((4.0, 7.0), (6.0, 7.0), (6.0, 9.0), (4.0, 9.0))
    kept = KeepOut("k", square_, px_m, low_m=low)
    scene = Scene(ROOM, (), (), (NEAR,), (AREA,), (kept,))
    assert lost(scene, AREA).whole.area == pytest.approx(100 * share, abs=3 * DOUBT)
    assert [(one.id, part) for one, part in covered(scene, AREA)] == (
        [("k", pytest.approx(share))] if share else []
    )


def test_cells_are_cut_along_it_and_none_of_their_ground_is_lost() -> None:
    scene = Scene(ROOM, (WALL,), (), (NEAR,), (AREA,))
    cells, within = cut_out(scene, cut(scene, 30))
    assert sum(cell.area_m2 for cell in cells) == pytest.approx(100)
    gone = sum(cells[n].area_m2 for n in within)
    assert gone == pytest.approx(lost(scene, AREA).whole.area, abs=1e-4)


def test_shadows_on_which_the_audit_does_not_agree_are_a_defect(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    column = [{"id": "column", "area": box(2.5, 2.5, 3.5, 3.5)}]
    asked = site(
        square(6), [zone(box(1, 1, 5, 5), "50 px/m")], [mount("m", 0, 0)], obstacles=column
    )
    assert confirm(asked, book(), 0.0).enough
    monkeypatch.setattr(unseeable, "in_sight", lambda *_: shapely.box(1, 1, 5, 5))
    with pytest.raises(Defect, match="disagree"):
        confirm(asked, book(), 0.0)
