"""What zones on a plan, mounts and keep-out areas ask."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.reading.source import FieldPath
from optimizer.site import ladders
from optimizer.site.listing import Reader, Requirement
from optimizer.site.listing_zones import (
    detail_of,
    frames_of,
    kept_of,
    night_of,
    seen_of,
    surroundings_of,
)
from optimizer.site.schema import KeepOut, Mount, PlanZone


def of_area(reader: Reader, index: int, zone: PlanZone) -> Iterator[Requirement]:
    """Requirements of a zone on the plan."""
    at: FieldPath = ("zones", index)
    name = f"zones.{zone.id}"
    yield seen_of(reader, at, zone)
    yield detail_of(reader, at, zone)
    yield reader.one(
        f"{name}/share",
        (*at, "share"),
        ladders.Amount("share", {"%": "5"}, "1 %", "100 %", to_end=True),
        f"{zone.id}: {{}} of its area are seen",
        unit="%",
        loosest="1 %",
        dropping="a spot of it will do (1 %)",
        counted=True,
    )
    yield reader.one(
        f"{name}/cameras",
        (*at, "cameras"),
        ladders.Whole(1, 4),
        f"{zone.id}: each spot is seen by {{}}",
        loosest="1",
        dropping="one camera for each spot will do",
        counted=True,
        asked=zone.cameras > 1,
    )
    if zone.apart:
        yield reader.one(
            f"{name}/apart",
            (*at, "apart"),
            ladders.Amount("angle", {"deg": "10"}, "0 deg", "180 deg"),
            f"{zone.id}: seen from directions {{}} apart",
            unit="deg",
            loosest="0 deg",
            dropping="from any directions",
            counted=True,
        )
    if zone.most_tilt is not None:
        yield reader.one(
            f"{name}/most_tilt",
            (*at, "most_tilt"),
            ladders.Amount("angle", {"deg": "5"}, "5 deg", "90 deg", more_is_easier=True),
            f"{zone.id}: lines of sight fall by at most {{}}",
            unit="deg",
            dropping="seen from however high",
            counted=True,
        )
    if zone.faces:
        tilt = f"{float(reader.site.assumptions.face_tilt):g} deg"
        yield reader.yes(
            f"{name}/faces",
            (*at, "faces"),
            f"{zone.id}: faces are seen from at most {tilt} above",
            "faces need not be seen",
        )
    yield frames_of(reader, at, zone)
    yield from night_of(reader, name, at, zone)
    if zone.discreet:
        yield reader.yes(
            f"{name}/discreet",
            (*at, "discreet"),
            f"{zone.id}: its cameras do not look like cameras",
            "they may look like cameras",
        )
    yield from kept_of(reader, at, zone)


def of_mount(reader: Reader, index: int, mount: Mount) -> Iterator[Requirement]:
    """What a mount asks of the camera that is fixed there, and its run where it is stated."""
    at: FieldPath = ("mounts", index)
    name = f"mounts.{mount.id}"
    yield from surroundings_of(reader, name, at, mount)
    if mount.run is not None:
        yield reader.run(f"{name}/run", (*at, "run"), mount.id)


def of_keep_out(reader: Reader, index: int, area: KeepOut) -> Iterator[Requirement]:
    """What a keep-out area asks; nothing where a privacy mask is allowed."""
    if not area.mask:
        yield reader.one(
            f"keep_outs.{area.id}/detail",
            ("plan", "keep_outs", index, "detail"),
            ladders.Reversed(ladders.Density(reader.site.edition)),
            f"{area.id} is shown in at most {{}}",
            unit="px/m",
            loosest="20000 px/m",
            dropping="cameras may look there",
            counted=True,
        )


__all__ = ["of_area", "of_keep_out", "of_mount"]
