"""Why a camera on a mount: what it serves, and what speaks against each cheaper one there.

A cheaper camera is called out only where no way to aim it, of those that were looked at, shows
enough of every zone beside the other cameras of the kit, all of them as they are.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

import shapely

from optimizer.audit.structure import mount_as_zone
from optimizer.design import Camera
from optimizer.explaining.carrying_plan import lens_of
from optimizer.instance.optics import View
from optimizer.instance.streams import Level, camera_bytes, camera_rate, recorded_picture
from optimizer.plan import shares
from optimizer.plan.prepared import Cell
from optimizer.pricebook import schema as book
from optimizer.site.runs import ways
from optimizer.site.schema import PlanZone, Site, Zone

if TYPE_CHECKING:
    from optimizer.explaining.why_kit import Kit

_RIM_M = 1e-6
"""By how much ground is widened before cells are sought in it. [m]"""


def served(site: Site, camera: Camera) -> tuple[PlanZone, ...]:
    """The plan zones that a camera on a mount serves."""
    names = set() if camera.aim is None else {one.zone for one in camera.aim.serves}
    return tuple(zone for zone in site.areas if zone.id in names)


def mount_zones(site: Site, cameras: tuple[Camera, ...]) -> dict[str, Zone]:
    """Mounts that bear a camera, each in the form of a zone that asks what the camera serves."""
    if not site.areas:
        return {}
    laid, mounts = ways(site), {mount.id: mount for mount in site.mounts}
    return {
        c.zone: mount_as_zone(site, mounts[c.zone], laid[c.zone], served(site, c))
        for c in cameras
        if c.aim is not None
    }


def mount_view(kit: Kit, camera: Camera) -> tuple[View, tuple[Level, ...]]:
    """The view of a camera on a mount, and what recorders keep of it that show it as sharply."""
    item, zone = kit.camera_item(camera), kit.zones[camera.zone]
    width = int(camera.picture.partition("x")[0])
    stated = [z.bit_rate for z in served(kit.site, camera)]
    levels = []
    for fit in kit.instance.recorders:
        picture = recorded_picture(fit.recorder, item)
        if picture is None or picture.width < width:
            continue
        rates = [Fraction(rate) for rate in stated if rate is not None]
        if len(rates) < len(stated):
            rates.append(camera_rate(kit.site, zone, item, picture))
        stored = camera_bytes(kit.site, zone, max(rates))
        levels.append(Level(picture, max(rates), stored, (fit.item,)))
    return View(item, 1, Fraction(item.focal.low), width), tuple(levels)


def short_of(kit: Kit, camera: Camera, other: book.Camera) -> tuple[str, str] | None:
    """What is lacking with another camera on a mount, and the requirement behind it.

    Returns
    -------
    tuple of str and str, or None
        The limit in words and a requirement id; empty words if nothing is lacking; None if the
        other camera was not looked at on this mount.
    """
    viewing = kit.instance.viewing
    assert viewing is not None
    table, prepared = kit.tables[camera.zone], viewing.prepared
    lenses = {c.lens for c in table.candidates if c.view.camera.id == other.id}
    views = [v for v in prepared.views if v.mount_id == camera.zone and v.lens_key in lenses]
    if not views:
        return None
    if any(zone.apart for zone in kit.site.areas):
        return "", ""  # directions between cameras are no matter of one of them
    beside = _beside(kit, camera)
    best: tuple[float, PlanZone, float] | None = None
    for view in views:
        lack = _lack(kit.site, beside, view.sure, prepared.cells)
        if lack is None:
            return "", ""
        if best is None or lack[0] < best[0]:
            best = lack
    assert best is not None
    _, zone, share = best
    percent = math.ceil(share * 1000 - 1e-9) / 10
    by = "" if zone.cameras == 1 else f" by {zone.cameras} cameras"
    words = (
        f"beside the other cameras, {zone.id} is surely seen{by} to {percent:g} % in the best of "
        f"the ways to aim it that were looked at, {100 * float(zone.share):g} % is asked"
    )
    return words, f"zones.{zone.id}/detail"


def _beside(kit: Kit, camera: Camera) -> Counter[int]:
    """How many of the other cameras surely see each cell, by the exact shapes."""
    viewing = kit.instance.viewing
    assert viewing is not None
    scene, cells = viewing.prepared.scene, viewing.prepared.cells
    areas = {area.id: area for area in scene.areas}
    counts: Counter[int] = Counter()
    for other in kit.design.cameras:
        if other.aim is None or other.zone == camera.zone:
            continue
        serves = tuple(zone.id for zone in served(kit.site, other))
        width = int(other.picture.partition("x")[0])
        aimed = shares.Aimed(
            other.zone,
            lens_of(kit.site, kit.camera_item(other), width),
            other.focal_mm,
            other.aim.pan_deg,
            other.aim.tilt_deg,
            serves,
        )
        for name in serves:
            ground = shares.seen_ground(scene, aimed, areas[name]).buffer(_RIM_M)
            shapely.prepare(ground)
            for number, cell in enumerate(cells):
                if cell.area_id == name and ground.covers(cell.polygon):
                    counts[number] += 1
    return counts


def _lack(
    site: Site, beside: Counter[int], sure: frozenset[int], cells: tuple[Cell, ...]
) -> tuple[float, PlanZone, float] | None:
    """Ground that lacks, the zone that lacks most of it, and its share; None if none lacks."""
    short: list[tuple[float, PlanZone, float]] = []
    for zone in site.areas:
        whole = seen = 0.0
        for number, cell in enumerate(cells):
            if cell.area_id == zone.id:
                whole += cell.area_m2
                if beside[number] + (number in sure) >= zone.cameras:
                    seen += cell.area_m2
        lacks = whole * float(zone.share) - seen
        if lacks > whole * 1e-7:
            short.append((lacks, zone, seen / whole))
    if not short:
        return None
    return sum(one[0] for one in short), *max(short, key=lambda one: one[0])[1:]


def camera_ids(site: Site, camera: Camera, quantities: tuple[str, ...]) -> Iterator[str]:
    """Ids of what the zones of a camera on a mount, and the mount, ask of it."""
    for zone in served(site, camera):
        for quantity in quantities:
            yield f"zones.{zone.id}/{quantity}" if quantity else f"zones.{zone.id}"
    for quantity in quantities:
        yield f"mounts.{camera.zone}/{quantity}"


__all__ = ["camera_ids", "mount_view", "mount_zones", "served", "short_of"]
