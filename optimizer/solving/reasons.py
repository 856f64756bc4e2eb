"""Plain reasons, found while the tables were built, why something cannot be had."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from optimizer.errors import listed
from optimizer.instance import Instance, ZoneTable
from optimizer.instance.optics import Refusal, own_light
from optimizer.instance.sound import SoundTable
from optimizer.pricebook.schema import Camera
from optimizer.site.schema import PlanZone
from optimizer.solving.answer import Reason

if TYPE_CHECKING:
    from optimizer.plan.hiding import Hidden
    from optimizer.plan.scene import Area, Scene


def reasons(instance: Instance) -> tuple[Reason, ...]:
    """What has no candidate left, and which limits took the last ones out."""
    found: list[Reason] = []
    for table in instance.zones:
        if not table.candidates and not table.optional:
            found += _zone(table)
    for sound in instance.sounds:
        if _silent(instance, sound):
            found.append(
                Reason(
                    place=f"audio.{sound.point.id}/recorded",
                    limit="no microphone, audio cable and feed in the price book reach this point",
                )
            )
    if not instance.recorders:
        limits = Counter(instance.recorder_refusals.values())
        found += [
            Reason(place="recording/recorder", limit=f"no recorder is left: {words}", taken_out=n)
            for words, n in limits.most_common()
        ]
    return tuple(found)


def unseen(instance: Instance) -> tuple[Reason, ...]:
    """Plan zones of which too little can be seen, and what stands in the way.

    Parameters
    ----------
    instance : Instance
        In which a cell counts as seen if any spot of it might be.
    """
    from optimizer.plan.hiding import hidden_by

    viewing = instance.viewing
    assert viewing is not None
    scene = viewing.prepared.scene
    areas = {area.id: area for area in scene.areas}
    seen: list[set[str]] = [set() for _ in viewing.prepared.cells]
    for (mount, _), cells in viewing.prepared.may.items():
        for cell in cells.tolist():
            seen[cell].add(mount)
    found: list[Reason] = []
    for zone in instance.site.areas:
        area = areas[zone.id]
        mine = [
            (cell.area_m2, len(mounts))
            for cell, mounts in zip(viewing.prepared.cells, seen, strict=True)
            if cell.area_id == zone.id
        ]
        whole = sum(size for size, _ in mine)
        share = sum(size for size, count in mine if count >= zone.cameras) / whole
        if share >= area.share:
            continue
        unfit = _unfit(instance, zone)
        if unfit is not None:
            found.append(unfit)
            continue
        hidden = hidden_by(scene, area)
        if hidden is not None:
            found.append(Reason(place=f"zones.{zone.id}/seen", limit=_hiding(hidden)))
        found += _kept_out(scene, area)
        if share < 1:
            by = "by any camera" if zone.cameras == 1 else f"by {zone.cameras} cameras"
            text = (
                f"at most {math.ceil(1000 * share) / 10:g} % of it can be seen {by} at its detail, "
                f"whatever the camera and its aim; {100 * area.share:g} % is asked"
            )
            found.append(Reason(place=f"zones.{zone.id}/detail", limit=text))
    return (*found, *_bare(instance)) if found else ()


def _kept_out(scene: Scene, area: Area) -> Iterator[Reason]:
    """Keep-out areas that lie in a zone, which may not be shown as the zone asks."""
    from optimizer.plan.unseeable import covered

    for one, share in covered(scene, area):
        text = (
            f"covers {round(1000 * share) / 10:g} % of {area.id}, where it may be shown at no "
            f"more than {one.px_m:g} px/m and {area.px_m:g} are asked"
        )
        yield Reason(place=f"keep_outs.{one.id}/detail", limit=text)


UNFIT = ("frame_rate", "discreet", "night")
"""What can take every camera out of a zone, wherever it may stand."""


def _unfit(instance: Instance, zone: PlanZone) -> Reason | None:
    """What takes every camera of the price book out of a zone, wherever it may stand."""
    forbidden = instance.site.policy.forbid
    cameras = [c for c in instance.book.by_kind(Camera) if c.id not in forbidden]
    place = f"zones.{zone.id}"
    fastest = max((c.frame_rate for c in cameras), default=None)
    if fastest is not None and fastest < zone.frame_rate:
        text = f"no camera gives more than {fastest:g} fps, {zone.frame_rate:g} are asked"
        return Reason(place=f"{place}/frame_rate", limit=text, taken_out=len(cameras))
    if zone.discreet and not any(c.discreet for c in cameras):
        text = "no camera looks like anything but a camera"
        return Reason(place=f"{place}/discreet", limit=text, taken_out=len(cameras))
    if not any(own_light(zone, c) > 0 for c in cameras):
        text = "no camera sees at night in the light that there is, nor by lamps of its own"
        return Reason(place=f"{place}/night", limit=text, taken_out=len(cameras))
    return None


def _bare(instance: Instance) -> list[Reason]:
    """Mounts on which no camera can be fixed, and what took the last ones out."""
    return [
        Reason(
            place=f"mounts.{table.name}/{table.refusals[-1][1].quantity}",
            limit=_limit(
                [r for r in table.refusals if r[1].quantity == table.refusals[-1][1].quantity]
            ),
        )
        for table in instance.zones
        if table.optional and not table.candidates and table.refusals
    ]


def _hiding(hidden: Hidden) -> str:
    """Which walls hide a part of a zone from every mount."""
    ways = [
        f"from {mount} by {listed(walls, 6)}" if walls else f"to {mount}, which looks elsewhere"
        for mount, walls in hidden.walls
    ]
    spot = f"({hidden.spot[0]:.1f}, {hidden.spot[1]:.1f})"
    share = f"{math.floor(1000 * hidden.share) / 10:g} %"
    return (
        f"{share} of it is in sight of no mount, as around {spot}: hidden {'; '.join(ways)}"
        if ways
        else f"there is no mount on its level, as for {spot}"
    )


def _zone(table: ZoneTable) -> list[Reason]:
    """The limits that took cameras out, by how many each took, last limits first."""
    by_quantity: dict[str, list[tuple[str, Refusal]]] = {}
    for item, refusal in table.refusals:
        by_quantity.setdefault(refusal.quantity, []).append((item, refusal))
    ranked = sorted(
        by_quantity.items(), key=lambda kv: _LAST.index(kv[0]) if kv[0] in _LAST else 99
    )
    out = []
    for zone in table.zones:
        for quantity, out_of_it in ranked:
            out.append(
                Reason(
                    place=f"zones.{zone.id}/{quantity}",
                    limit=_limit(out_of_it),
                    taken_out=len(out_of_it),
                )
            )
    return out


def _limit(out_of_it: list[tuple[str, Refusal]]) -> str:
    """What the cameras fall to: the one that comes nearest, or what most of them lack."""
    count = len(out_of_it)
    cameras = "1 camera item is" if count == 1 else f"{count} camera items are"
    measured = [(r.figure, item, r.limit) for item, r in out_of_it if r.figure is not None]
    if measured:
        _, item, words = max(measured, key=lambda m: m[0])
        return f"{cameras} out; the one that comes nearest is {item}: {words}"
    words, times = Counter(r.limit for _, r in out_of_it).most_common(1)[0]
    share = "all" if times == count else f"{times} of them"
    return f"{cameras} out; {share}: {words}"


_LAST = ("run", "detail", "width", "recorder", "night", "frame_rate")
"""Limits in the reverse of the order in which they are looked at: the first that is named took
out cameras that had passed everything else."""


def _silent(instance: Instance, sound: SoundTable) -> bool:
    """Whether no way at all is left for an audio point."""
    if sound.alone and any(o for *_, o in sound.alone):
        return False
    table = next((t for t in instance.zones if t.sound is sound), None)
    if table is None:
        return True
    return not any(f.microphone for p in table.profiles for f in p.feedings) and not any(
        c.view.camera.audio != "none" for c in table.candidates
    )
