"""Mounts on walls: the side to which they face is open, what lies behind the wall is not."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from optimizer.audit import sight as audit_sight
from optimizer.audit.ground import _screens
from optimizer.plan.sight import edges, free_ground
from optimizer.site.hanging import open_arc
from optimizer.site.scenes import scene_of
from optimizer.site.schema import Site
from tests.optimality.rooms import box, mount, site, square, zone

ROOM = square(10)
INNER = zone(box(1, 1, 9, 9), "30 px/m", share="10 %")
ACROSS = [{"id": "across", "line": [["5", "0"], ["5", "10"]]}]
SHELL = [{"id": "shell", "line": [*ROOM, ROOM[0]]}]


def asked(walls: list[dict[str, Any]], at: tuple[float, float], **fields: Any) -> Site:
    one = mount("m", *at, **fields)
    one["at"] = [repr(float(v)) for v in at]
    return site(ROOM, [INNER], [one], walls=walls)


def free(one: Site) -> Any:
    """Ground in free sight of targets 1 m high, in the room."""
    scene = scene_of(one)
    ground = free_ground(scene.mounts[0], edges(scene, scene.mounts[0].level), 1.0, 20.0)
    return shapely.intersection(ground, shapely.box(0, 0, 10, 10))


def audited(one: Site) -> Any:
    """The same by the eyes of the audit."""
    assert one.plan is not None
    [place] = one.mounts
    screens = _screens(one.plan, one.plan.level_of(place.level))
    at = (*one.plan.spot(place.at), float(place.height))
    assert place.facing is not None
    stated = math.radians(float(place.facing)), math.radians(place.swing_deg) / 2
    eye = audit_sight.Eye(at, 0, 0, 1, 1, 1, audit_sight.opened(at, stated, screens))
    whole = shapely.box(0, 0, 10, 10)
    dark = audit_sight.hidden(eye, screens, whole, 1.0)
    return whole.intersection(audit_sight.sector(eye, whole)).difference(dark)


@pytest.mark.parametrize(
    ("walls", "at", "fields", "area", "spot"),
    [
        # Straight off the wall, half a turn: the half of the room on that side.
        (ACROSS, (5, 5), {"facing": "0 deg"}, 50.0, (9, 1)),
        (ACROSS, (5, 5), {"facing": "180 deg"}, 50.0, (1, 1)),
        # 300 deg would reach behind the wall: cut on both hands, the same half.
        (ACROSS, (5, 5), {"facing": "0 deg", "swing": "300 deg"}, 50.0, (9, 1)),
        # From -30 to 150 deg, cut at 90: of the half to the right the triangle below -30 deg is
        # missing, 5 m wide along the wall's foot: the line to (10, 5 - 5 tan 30) leaves 50 less the
        # trapezium under it, (5 + 2.113) / 2 x 5 = 17.78.
        (ACROSS, (5, 5), {"facing": "60 deg"}, 50 - 17.783, (9, 9)),
        # In a corner, half a turn about the diagonal: the quarter turn that the walls leave.
        (SHELL, (0, 0), {"facing": "45 deg"}, 100.0, (9, 9)),
        # Drawn half a millimetre behind the wall, as coordinates to a millimetre may lie.
        (ACROSS, (4.9995, 5), {"facing": "0 deg"}, 50.0, (9, 1)),
        # At the end of a wall that stops here it looks round the end: 180 deg about the wall's own
        # direction, all above the middle.
        (
            [{"id": "stub", "line": [["5", "0"], ["5", "5"]]}],
            (5, 5),
            {"facing": "90 deg"},
            50.0,
            (1, 9),
        ),
        # A wall as high as the lens (2 m) is a wall up to it; over a lower one it looks both ways,
        # but for the strip behind it, 0 m deep, since it hangs on it.
        ([{**ACROSS[0], "height": "2 m"}], (5, 5), {"facing": "0 deg", "swing": "360 deg"}, 50.0,
         (9, 1)),
        ([{**ACROSS[0], "height": "1.9 m"}], (5, 5), {"facing": "0 deg", "swing": "360 deg"}, 100.0,
         (1, 1)),
    ],
)  # fmt: skip
def test_what_a_mount_on_a_wall_has_in_sight(
    walls: list[dict[str, Any]],
    at: tuple[float, float],
    fields: dict[str, str],
    area: float,
    spot: tuple[float, float],
) -> None:
    one = asked(walls, at, **fields)
    for ground in (free(one), audited(one)):
        # Half a millimetre beside the wall is 0.005 m2 over its length.
        assert ground.area == pytest.approx(area, abs=0.01)
        assert ground.contains(shapely.Point(spot))


def test_the_arc_is_cut_on_each_hand_by_itself() -> None:
    """60 deg, 180 wide: from -30 to 150, cut at 90; 30 deg in the middle of what is left, 120."""
    one = asked(ACROSS, (5, 5), facing="60 deg")
    assert one.plan is not None
    assert open_arc(one.plan, one.mounts[0]) == pytest.approx((30.0, 120.0))
    wide = asked(ACROSS, (7, 5), facing="60 deg")
    assert wide.plan is not None
    assert open_arc(wide.plan, wide.mounts[0]) == (60.0, 180.0)


def test_a_zone_behind_the_wall_is_no_zone_of_its_mount() -> None:
    """Everything asked lies on the other side: nothing of it is ever seen from here."""
    from optimizer.solving import solve_site
    from tests.optimality.rooms import book

    behind = zone(box(1, 4, 3, 6), "30 px/m", share="10 %")
    there = site(ROOM, [behind], [mount("m", 5, 5, facing="60 deg", swing="300 deg")], walls=ACROSS)
    assert solve_site(there, book(), seconds=20).status == "unmeetable"
    here = site(ROOM, [behind], [mount("m", 5, 5, facing="170 deg")], walls=ACROSS)
    assert solve_site(here, book(), seconds=20).total == "210.00"
