"""What cameras of a price book see on a site's plan: those of a design, and any at all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import shapely

from optimizer.design import Design
from optimizer.engineering.light import night_ok
from optimizer.errors import InputError, Trouble, quoted
from optimizer.plan.cutting import ground
from optimizer.plan.hiding import hidden_by
from optimizer.plan.scene import Area, Lens, Scene
from optimizer.plan.shares import Aimed
from optimizer.plan.sight import edges, farthest, free_ground
from optimizer.plan.sighting import best_slant
from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Camera
from optimizer.reporting.plan_picture import Missing, Placed
from optimizer.site.schema import PlanZone, Site
from optimizer.units import exact

_QUARTER = 90
"""Chords that stand for a quarter of a circle."""


def lens_of(site: Site, camera: Camera, width_px: int) -> Lens:
    """The optics of a camera item, with how far it serves each zone on the plan.

    A zone that the item cannot serve at all (frame rate, night) has a reach of 0; one that it sees
    at night by its own lamps only, their reach (RULES.md 7.5).
    """
    reaches = [(zone.id, _reach(zone, camera)) for zone in site.areas]
    return Lens(
        camera.id,
        width_px,
        float(camera.sensor_width),
        float(camera.sensor_height),
        float(camera.focal.low),
        float(camera.focal.high),
        reaches=tuple((name, reach) for name, reach in reaches if reach is not None),
    )


def _reach(zone: PlanZone, camera: Camera) -> float | None:
    """How far a camera serves a zone; None without end. [m]"""
    if camera.frame_rate < zone.frame_rate or (zone.discreet and not camera.discreet):
        return 0.0
    night: str | Fraction = zone.night
    if night not in ("lit", "dark"):
        night = exact(zone.night, "light")

    def good(lamps: Any) -> bool:
        colour, mono = camera.lux_colour, camera.lux_mono
        return night_ok(night, zone.night_colour, lamps, colour, mono, Fraction(1, 1000))[0]

    if good(None):
        return None
    return float(camera.infrared or 0) if good(camera.infrared) else 0.0


def placed(site: Site, book: LoadedBook, design: Design, source: str = "") -> list[Placed]:
    """The cameras of a design that stand on mounts.

    Raises
    ------
    InputError
        If one stands on a mount that the site has not, or is an item that the book has not.
    """
    mounts = {mount.id for mount in site.mounts}
    items = {camera.id: camera for camera in book.by_kind(Camera)}
    found = []
    for camera in design.cameras:
        if camera.aim is None:
            continue
        for known, name, what in (
            (camera.zone in mounts, camera.zone, "the site has no mount"),
            (camera.item in items, camera.item, "the price book has no camera"),
        ):
            if not known:
                raise InputError(
                    Trouble(
                        f"{what} {quoted(name)}, which the design names",
                        source,
                        field=f"cameras.{camera.zone}",
                        accepted="a design for this site and this price book",
                        hint="solve the site again, or name the book it was solved with (--book)",
                    )
                )
        item = items[camera.item]
        lens = lens_of(site, item, int(camera.picture.partition("x")[0]))
        aim = (camera.focal_mm, camera.aim.pan_deg, camera.aim.tilt_deg)
        serves = tuple(served.zone for served in camera.aim.serves)
        found.append(Placed(Aimed(camera.zone, lens, *aim, serves), item.name))
    return found


def never_seen(site: Site, book: LoadedBook, scene: Scene) -> tuple[list[Missing], frozenset[str]]:
    """Ground that is asked for and that no camera of the book could see from the mounts.

    Returns
    -------
    list of Missing
        Ground that fewer mounts than asked have in free sight, not too steeply below them, and
        near enough for the detail and the light asked with whatever camera and aim.
    frozenset of str
        Walls and obstacles that hide ground from every mount.
    """
    lenses = [
        lens_of(site, camera, camera.picture.width)
        for camera in book.by_kind(Camera)
        if camera.family in site.policy.families and camera.id not in site.policy.forbid
    ]
    missing: list[Missing] = []
    hiding: set[str] = set()
    for area in scene.areas:
        reach = max((best_slant(area, lens) for lens in lenses), default=0.0)
        lost = _out_of_reach(scene, area, reach)
        if not lost.is_empty:
            missing.append(Missing(area.id, area.level, lost))
        hidden = hidden_by(scene, area)
        if hidden is not None:
            hiding.update(name for _, names in hidden.walls for name in names)
    return missing, frozenset(hiding)


def _out_of_reach(scene: Scene, area: Area, reach: float) -> Any:
    """Ground of an area that fewer mounts than asked have in sight within a distance."""
    whole = ground(scene, area)
    standing = edges(scene, area.level)
    often: list[Any] = [whole, *([shapely.Polygon()] * area.cameras)]
    for mount in (mount for mount in scene.mounts if mount.level == area.level):
        rise = max(abs(mount.height_m - height) for height in (area.low_m, area.high_m))
        if rise >= reach:
            continue
        far = farthest(mount, area.outline)
        free = free_ground(mount, standing, area.low_m, far)
        level = math.sqrt(reach**2 - rise**2)
        if level < far:
            # Chords of a circle that is a little wider stay outside the circle.
            wider = level / math.cos(math.pi / (4 * _QUARTER))
            free = free.intersection(shapely.Point(mount.at).buffer(wider, quad_segs=_QUARTER))
        above = mount.height_m - area.high_m
        if area.most_tilt_deg is not None and above > 0:
            steep = above / math.tan(math.radians(area.most_tilt_deg))
            free = free.difference(shapely.Point(mount.at).buffer(steep, quad_segs=_QUARTER))
        for times in range(area.cameras, 0, -1):
            often[times] = often[times].union(often[times - 1].intersection(free))
    return _broad(whole.difference(often[-1]))


def _broad(shape: Any) -> Any:
    """Without slivers that only rounding makes."""
    parts: Sequence[Any] = [p for p in shapely.get_parts(shape) if p.buffer(-1e-4).area > 0]
    return shapely.union_all(parts)


__all__ = ["lens_of", "never_seen", "placed"]
