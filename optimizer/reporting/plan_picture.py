"""What a plan drawing shows of a site: the words, the runs, the floors."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from optimizer.engineering.detail import DETAIL_LEVELS
from optimizer.plan.scene import Area, Scene
from optimizer.plan.shares import Aimed, Seen
from optimizer.reporting.plan_content import PlanPicture
from optimizer.site.runs import Way
from optimizer.site.schema import Plan, Site
from optimizer.units import shown_px_m


@dataclass(frozen=True)
class Placed:
    """A camera of a design, on its mount.

    Attributes
    ----------
    aimed : Aimed
    item : str
        Its name in the price book.
    """

    aimed: Aimed
    item: str


@dataclass(frozen=True)
class Missing:
    """Ground of a zone that is asked for and not seen.

    Attributes
    ----------
    zone, level : str
    ground : shapely geometry
        [m]
    """

    zone: str
    level: str
    ground: Any


def picture_of(
    site: Site,
    scene: Scene,
    note: str,
    *,
    cameras: Sequence[Placed] = (),
    seen: Sequence[Seen] = (),
    ways: Mapping[str, Way] | None = None,
    missing: Sequence[Missing] = (),
    hiding: frozenset[str] = frozenset(),
) -> PlanPicture:
    """The drawing of a site's plan.

    Parameters
    ----------
    site : Site
        With a plan.
    scene : Scene
        Its plan in metres.
    note : str
        What is said below the title.
    cameras : sequence of Placed
        In the order in which they are listed.
    seen : sequence of Seen
        How each zone is seen by them.
    ways : mapping of mount to Way, optional
        Cable runs, of which those of the cameras are drawn.
    missing : sequence of Missing
    hiding : frozenset of str
        Walls and obstacles that hide what is missing.
    """
    plan = site.plan
    assert plan is not None
    return PlanPicture(
        title=site.name,
        note=note,
        scene=scene,
        floors=_floors(plan),
        steps=_steps(site),
        cameras=tuple(one.aimed for one in cameras),
        lists=_lists(scene, cameras, seen),
        zones={one.area_id: f"{share_words(one.share)} seen" for one in seen},
        runs=_runs(cameras, ways or {}),
        routes=() if cameras else _routes(plan),
        risers=() if cameras else _risers(plan),
        room=_room(plan),
        missing=tuple((m.zone, m.level, m.ground) for m in missing),
        hiding=hiding,
        north_deg=None if plan.north is None else float(plan.north),
    )


def share_words(share: float) -> str:
    """A share rounded down to a tenth of a percent: what is almost all is not all.

    What is within the error of round edges (see `plan.shares`) of all is all.
    """
    if share >= 1 - 5e-5:
        return "100 %"
    return f"{math.floor(share * 1000) / 10:g} %"


def _floors(plan: Plan) -> tuple[tuple[str, str], ...]:
    if not plan.levels:
        return (("", ""),)
    return tuple((level, f"{level}, floor at {height:g} m") for level, height in _heights(plan))


def _heights(plan: Plan) -> list[tuple[str, float]]:
    return [(level, float(height)) for level, height in plan.levels.items()]


def _steps(site: Site) -> tuple[tuple[str, float], ...]:
    levels = DETAIL_LEVELS[site.edition]
    return tuple((name, float(levels[name])) for name in sorted(levels, key=lambda n: levels[n]))


def _lists(
    scene: Scene, cameras: Sequence[Placed], seen: Sequence[Seen]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    lists = []
    if cameras:
        lists.append(
            ("Cameras (pan from the right, turning left)", tuple(_camera(one) for one in cameras))
        )
    if seen:
        areas = {area.id: area for area in scene.areas}
        lists.append(("Zones", tuple(_zone(areas[one.area_id], one) for one in seen)))
    return tuple(lists)


def _camera(one: Placed) -> str:
    aimed = one.aimed
    tilt = f"{abs(aimed.tilt_deg):.0f} deg {'down' if aimed.tilt_deg >= 0 else 'up'}"
    pan = f"pan {round(aimed.pan_deg) % 360} deg"
    serves = ", ".join(aimed.serves)
    return f"{aimed.mount_id}: {one.item}, {aimed.focal_mm:.1f} mm, {pan}, {tilt}; for {serves}"


def _zone(area: Area, one: Seen) -> str:
    asked = f"asked {share_words(area.share)} at {area.px_m:g} px/m"
    if area.cameras > 1:
        asked += f" by {area.cameras} cameras"
    heights = f"{area.low_m:g} to {area.high_m:g} m up"
    if one.worst_px_m is None:
        return f"{area.id}: not seen; {asked}, {heights}"
    worst = f"at least {shown_px_m(one.worst_px_m, 1):g} px/m"
    return f"{area.id}: {share_words(one.share)} seen, {worst}; {asked}, {heights}"


def _runs(
    cameras: Sequence[Placed], ways: Mapping[str, Way]
) -> tuple[tuple[str, tuple[tuple[float, float], ...]], ...]:
    used = [ways[one.aimed.mount_id] for one in cameras if one.aimed.mount_id in ways]
    return tuple(leg for way in used for leg in way.legs)


def _routes(plan: Plan) -> tuple[tuple[str, tuple[tuple[float, float], ...]], ...]:
    """Where cable may be laid: shown as long as no runs are."""
    return tuple(
        (plan.level_of(route.level), tuple(plan.spot(point) for point in route.line))
        for route in plan.routes
    )


def _risers(plan: Plan) -> tuple[tuple[tuple[str, ...], tuple[float, float], str], ...]:
    every = tuple(plan.levels)
    return tuple((one.levels or every, plan.spot(one.at), one.id) for one in plan.risers)


def _room(plan: Plan) -> tuple[str, tuple[float, float], str] | None:
    room = plan.room
    if room is None:
        return None
    return plan.level_of(room.level), plan.spot(room.at), room.name or "equipment room"


__all__ = ["Missing", "Placed", "picture_of", "share_words"]
