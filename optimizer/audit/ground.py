"""Zones and keep-out areas against the ground that cameras on mounts see: rules 7.3 to 7.7."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations, pairwise
from typing import Any

import shapely
from shapely.geometry import Point, Polygon

from optimizer.audit import sight
from optimizer.audit.case import Case, Fitted, on_mounts, own_reach
from optimizer.audit.figures import recorded_picture
from optimizer.audit.finding import Fault
from optimizer.audit.sight import XYZ, Eye, Screen
from optimizer.site.schema import KeepOut, Mount, Plan, PlanZone, Site

_SHORT = 1e-4
"""Share of a zone that may be missing: lenses are set to decimals, discs are drawn with corners."""

_PATCH_M2 = 1e-4
"""Ground below this is no ground."""

_DENSITY_SHARE = 1e-3


@dataclass(frozen=True)
class _Looks:
    """A camera on a mount and the ground it sees of a zone that it serves."""

    camera: Fitted
    eye: Eye
    ground: Any


def keep_outs(case: Case) -> Iterator[Fault]:
    """7.7: no camera shows a keep-out area at more than its density, unless a mask is allowed."""
    plan = case.site.plan
    if plan is None:
        return
    for camera in on_mounts(case):
        eye = _eye(plan, camera)
        if eye is None:
            continue
        for area in plan.keep_outs:
            shown = _shown(case, plan, camera, eye, area)
            if not area.mask and shown.area > _PATCH_M2:
                text = f"shows {shown.area:.2f} m2 of {area.id} at more than {area.detail}"
                yield Fault(camera.place, "limit", text, shown.area, 0)


def zones_seen(case: Case) -> Iterator[Fault]:
    """7.3 to 7.6: enough of each plan zone is seen, by enough cameras, from apart."""
    plan = case.site.plan
    if plan is None:
        return
    stated = {one.zone: one for one in case.design.seen}
    for name in stated.keys() - {z.id for z in case.site.areas}:
        yield Fault(name, "mismatch", "the design says what is seen of a zone that is not there")
    for zone in case.site.areas:
        whole = _ground(plan, zone)
        looks = [look for camera in case.cameras if (look := _looks(case, plan, camera, zone))]
        seen = _together(zone, looks)
        share = seen.area / whole.area
        if share < float(zone.share) - _SHORT:
            text = f"{100 * share:.2f} % of it is seen, {100 * float(zone.share):g} % is asked"
            yield Fault(zone.id, "limit", text, share, float(zone.share))
        if zone.id not in stated:
            yield Fault(zone.id, "missing", "the design does not say what is seen of it")
            continue
        level = plan.level_of(zone.level)
        masks = any(area.mask and plan.level_of(area.level) == level for area in plan.keep_outs)
        yield from _told(zone, stated[zone.id].share, share, masks)
        yield from _worst(case, zone, looks, stated[zone.id].px_per_m, stated[zone.id].at)
        for look in looks:
            yield from _at_worst(case, zone, look)


def _told(zone: PlanZone, told: float, share: float, masks: bool) -> Iterator[Fault]:
    # What masks hide may be taken too large, never too small: with them a design may say less.
    if told - share > 2 * _SHORT or (not masks and share - told > 2 * _SHORT):
        text = f"{100 * share:.2f} % of it is seen, the design says {100 * told:.2f} %"
        yield Fault(zone.id, "mismatch", text, told, share)


def _worst(
    case: Case, zone: PlanZone, looks: Sequence[_Looks], told: float, at: tuple[float, float]
) -> Iterator[Fault]:
    """The stated spot is seen at the stated density, and that is not below what is asked."""
    asked = float(case.site.detail_px_m(zone))
    if told < asked * (1 - _DENSITY_SHARE):
        text = f"is seen at {told:g} px/m where it is seen worst, {asked:g} px/m are asked"
        yield Fault(zone.id, "limit", text, told, asked)
    near = [look for look in looks if look.ground.distance(Point(at)) < 0.02]
    densities = [_least(look.eye, at, zone) for look in near]
    if not densities or not min(densities) * 0.99 <= told <= max(densities) * 1.01:
        text = f"is not seen at {told:g} px/m at ({at[0]:g}, {at[1]:g}), as the design says"
        yield Fault(zone.id, "mismatch", text)


def _at_worst(case: Case, zone: PlanZone, look: _Looks) -> Iterator[Fault]:
    """What the camera says of its worst spot in a zone lies between what is asked and its best."""
    aim = look.camera.stated.aim
    assert aim is not None
    told = next(s.px_per_m for s in aim.serves if s.zone == zone.id)
    asked = float(case.site.detail_px_m(zone))
    corners = shapely.get_coordinates(look.ground).tolist()
    spots = [_least(look.eye, (x, y), zone) for x, y in corners]
    if spots and not asked * (1 - _DENSITY_SHARE) <= told <= max(spots) * (1 + _DENSITY_SHARE):
        text = (
            f"says {told:g} px/m for {zone.id}; asked are {asked:g} px/m, and it gives "
            f"{min(spots):.1f} to {max(spots):.1f} px/m there"
        )
        yield Fault(look.camera.place, "mismatch", text)


def _least(eye: Eye, at: tuple[float, float], zone: PlanZone) -> float:
    return min(
        eye.density((at[0], at[1], float(height)))
        for height in (zone.heights.low, zone.heights.high)
    )


def _eye(plan: Plan, camera: Fitted) -> Eye | None:
    """Where the camera stands and how it is set; None where no input takes it."""
    mount, aim = camera.mount, camera.stated.aim
    if mount is None or aim is None or camera.group is None or camera.stated.focal_mm <= 0:
        return None
    focal, item = camera.stated.focal_mm, camera.item
    picture = recorded_picture(item, camera.group)
    at = _at(plan, mount)
    return Eye(
        at,
        math.radians(aim.pan_deg),
        math.radians(aim.tilt_deg),
        float(item.sensor_width) / (2 * focal),
        float(item.sensor_height) / (2 * focal),
        picture.width * focal / float(item.sensor_width),
        _arc(plan, mount, at),
    )


def _at(plan: Plan, mount: Mount) -> XYZ:
    return (*plan.spot(mount.at), float(mount.height))


def _arc(plan: Plan, mount: Mount, at: XYZ) -> tuple[float, float] | None:
    """The open directions of a mount; None where it is open all round."""
    if mount.facing is None:
        return None
    arc = (math.radians(float(mount.facing)), math.radians(mount.swing_deg) / 2)
    return sight.opened(at, arc, _screens(plan, plan.level_of(mount.level)))


def in_sight(site: Site, zone: PlanZone) -> Any:
    """Ground of a zone that as many mounts as it asks for have in free sight, keep-outs left out.

    However cameras are set and aimed: a spot elsewhere is seen by no kit as it is asked.
    """
    plan = site.plan
    if plan is None:
        raise ValueError("a zone on a plan needs the plan")
    level, low = plan.level_of(zone.level), float(zone.heights.low)
    ground, screens = _ground(plan, zone), _screens(plan, level)
    looks = []
    for mount in site.mounts:
        if plan.level_of(mount.level) == level:
            at = _at(plan, mount)
            eye = Eye(at, 0.0, 0.0, 1.0, 1.0, 1.0, _arc(plan, mount, at))
            free = ground.intersection(sight.sector(eye, ground))
            looks.append(free.difference(sight.hidden(eye, screens, ground, low)))
    some = [ground, *(Polygon() for _ in range(zone.cameras))]
    for look in looks:
        for times in range(zone.cameras, 0, -1):
            some[times] = some[times].union(some[times - 1].intersection(look))
    seen = some[-1]
    for area in plan.keep_outs:
        meets = max(area.heights.low, zone.heights.low) <= min(area.heights.high, zone.heights.high)
        sharper = site.detail_px_m(area) < site.detail_px_m(zone)
        if plan.level_of(area.level) == level and meets and sharper:
            seen = seen.difference(Polygon([plan.spot(p) for p in area.area]))
    return seen


def _height(height: Decimal | None) -> float:
    return math.inf if height is None else float(height)


def _screens(plan: Plan, level: str) -> list[Screen]:
    found = []
    for wall in plan.walls:
        if plan.level_of(wall.level) == level:
            spots = [plan.spot(p) for p in wall.line]
            found += [Screen(a, b, _height(wall.height)) for a, b in pairwise(spots)]
    for body in plan.obstacles:
        if plan.level_of(body.level) == level:
            spots = [plan.spot(p) for p in body.area]
            ring = [*spots, spots[0]]
            found += [Screen(a, b, _height(body.height)) for a, b in pairwise(ring) if a != b]
    return found


def _ground(plan: Plan, zone: PlanZone) -> Any:
    """The zone's ground: what stands on it and is higher than its lowest height is no part."""
    level = plan.level_of(zone.level)
    whole: Any = Polygon([plan.spot(p) for p in zone.area])
    for body in plan.obstacles:
        if plan.level_of(body.level) == level and _height(body.height) > float(zone.heights.low):
            whole = whole.difference(Polygon([plan.spot(p) for p in body.area]))
    return whole


def _looks(case: Case, plan: Plan, camera: Fitted, zone: PlanZone) -> _Looks | None:
    """The ground of a zone that a camera sees, if it serves it."""
    mount, eye = camera.mount, _eye(plan, camera)
    if mount is None or eye is None or zone.id not in {z.id for z in camera.served}:
        return None
    level = plan.level_of(zone.level)
    if plan.level_of(mount.level) != level:
        return _Looks(camera, eye, Polygon())
    low, high = float(zone.heights.low), float(zone.heights.high)
    ground = _ground(plan, zone)
    asked = float(case.site.detail_px_m(zone))
    seen = ground.intersection(sight.picture(eye, ground, low, high, asked))
    seen = seen.intersection(sight.sector(eye, ground))
    reach = own_reach(camera.item, zone)
    if math.isfinite(reach):
        seen = seen.intersection(sight.within_reach(eye, reach, low, high))
    tilt = case.site.most_tilt_deg(zone)
    if tilt is not None:
        seen = seen.difference(sight.too_steep(eye, high, math.radians(float(tilt))))
    if not seen.is_empty:
        seen = seen.difference(sight.hidden(eye, _screens(plan, level), seen, low))
    for area in plan.keep_outs:
        if area.mask and not seen.is_empty:
            shown = _shown(case, plan, camera, eye, area)
            if shown.area > _PATCH_M2:
                span = (float(area.heights.low), float(area.heights.high))
                seen = seen.difference(sight.masked(eye, shown, span, low, high))
    return _Looks(camera, eye, seen)


def _shown(case: Case, plan: Plan, camera: Fitted, eye: Eye, area: KeepOut) -> Any:
    """What a camera shows of a keep-out area in more detail than is allowed."""
    assert camera.mount is not None
    level = plan.level_of(area.level)
    if plan.level_of(camera.mount.level) != level:
        return Polygon()
    whole = Polygon([plan.spot(p) for p in area.area])
    low, high = float(area.heights.low), float(area.heights.high)
    limit = float(case.site.detail_px_m(area))
    seen = whole.intersection(sight.shown(eye, whole, low, high, limit))
    if seen.area <= _PATCH_M2:
        return Polygon()
    seen = seen.intersection(sight.sector(eye, whole))
    # At its greatest height the least of it is hidden.
    return seen.difference(sight.hidden(eye, _screens(plan, level), seen, high))


def _together(zone: PlanZone, looks: Sequence[_Looks]) -> Any:
    """The ground that as many cameras see as are asked, from directions as far apart."""
    if zone.cameras == 1:
        return shapely.union_all([look.ground for look in looks])
    found = []
    for some in combinations(looks, zone.cameras):
        common = some[0].ground
        for look in some[1:]:
            common = common.intersection(look.ground)
        if zone.apart > 0:
            for one, two in combinations(some, 2):
                common = common.intersection(
                    sight.lens_of_angle(one.eye.spot, two.eye.spot, math.radians(float(zone.apart)))
                )
        found.append(common)
    return shapely.union_all(found)
