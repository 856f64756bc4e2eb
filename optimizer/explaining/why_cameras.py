"""Why a camera: what speaks against each cheaper one, zone by zone."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.explaining.why_kit import Kit, Verdict
from optimizer.instance.optics import Refusal
from optimizer.pricebook import schema as book
from optimizer.site.schema import Zone

_OF_SITE = {"family": "policy/families", "codec": "recording/codec"}


def camera_verdicts(kit: Kit, item: book.Camera) -> Iterator[Verdict]:
    """Cheaper cameras in each zone that the item serves, dearest first.

    A camera is cheaper where the pieces of it that the zone would need have a lower list price
    together; of one that is out, a single piece.
    """
    zones = dict.fromkeys(c.zone for c in kit.design.cameras if c.item == item.id)
    for name in zones:
        table, zone = kit.tables[name], kit.zones[name]
        if table.optional:
            yield from _on_mount(kit, item, name)
            continue
        spent = kit.in_zone[name] * item.price
        refused = dict(table.refusals)
        fewest: dict[str, int] = {}
        for candidate in table.candidates:
            camera = candidate.view.camera.id
            fewest[camera] = min(fewest.get(camera, zone.most_cameras), candidate.view.count)
        for other in kit.book.by_kind(book.Camera):
            price = fewest.get(other.id, 1) * other.price
            if price >= spent or other.id == item.id:
                continue
            if other.id in fewest:
                yield Verdict(other.id, price, name, "")
            elif other.id in refused:
                limit, demand = _words(zone, other, refused[other.id], kit)
                remote = demand == "policy/families"
                yield Verdict(other.id, price, name, limit, demand, remote)


def _on_mount(kit: Kit, item: book.Camera, name: str) -> Iterator[Verdict]:
    """The same on a mount of the plan."""
    # Geometry is loaded for sites with a plan only.
    from optimizer.explaining.why_plan import short_of

    camera = next(c for c in kit.design.cameras if c.zone == name)
    refused = dict(kit.tables[name].refusals)
    for other in kit.book.by_kind(book.Camera):
        if other.price >= item.price or other.id == item.id:
            continue
        if other.id in refused:
            refusal = refused[other.id]
            if refusal.quantity == "detail":
                yield Verdict(other.id, other.price, name, refusal.limit)
                continue
            limit, demand = _words(kit.zones[name], other, refusal, kit)
            demand = demand.replace(f"zones.{name}/", f"mounts.{name}/")
            yield Verdict(other.id, other.price, name, limit, demand, demand == "policy/families")
            continue
        found = short_of(kit, camera, other)
        if found is not None:
            yield Verdict(other.id, other.price, name, *found)


def _words(zone: Zone, other: book.Camera, refusal: Refusal, kit: Kit) -> tuple[str, str]:
    """The limit in a sentence that says what is asked, and the requirement behind it."""
    quantity = refusal.quantity
    asked = {
        "detail": f", {float(kit.site.detail_px_m(zone)):g} are asked",
        "frame_rate": f", {zone.frame_rate:g} are asked",
        "ingress": f", {zone.ingress} is asked",
        "impact": f", {zone.impact} is asked",
        "width": _widest(zone, other),
    }.get(quantity, "")
    if quantity == "forbid":
        return "the site forbids it", f"policy/forbid.{other.id}"
    if quantity == "recorder":
        return refusal.limit, ""
    return refusal.limit + asked, _OF_SITE.get(quantity, f"zones.{zone.id}/{quantity}")


def _widest(zone: Zone, camera: book.Camera) -> str:
    """What a lens shows at most: sensor width x distance / shortest focal, for each camera."""
    shown = float(camera.sensor_width * zone.distance / camera.focal.low) * zone.most_cameras
    side = "" if zone.most_cameras == 1 else f" with {zone.most_cameras} side by side"
    return f": at most {shown:.2f} of {zone.width:g} m{side}"
