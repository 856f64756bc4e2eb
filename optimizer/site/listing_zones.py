"""What a zone asks."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer import units
from optimizer.engineering.optics import DETAIL_LEVELS
from optimizer.reading.source import FieldPath
from optimizer.site import ladders
from optimizer.site.ladders import Ladder
from optimizer.site.listing import Reader, Requirement
from optimizer.site.schema import Mount, PlanZone, Zone


def of_zone(reader: Reader, index: int, zone: Zone) -> Iterator[Requirement]:
    """Requirements of a surveyed view."""
    at: FieldPath = ("zones", index)
    name = f"zones.{zone.id}"
    yield seen_of(reader, at, zone)
    yield detail_of(reader, at, zone)
    yield reader.one(
        f"{name}/width",
        (*at, "width"),
        ladders.Amount("length", {"m": "0.5", "ft": "2"}, "0.5 m", "500 m"),
        f"{zone.id}: {{}} of scene are seen",
        unit="m",
        loosest="1 cm",
        dropping="the camera looks at one spot (1 cm)",
        counted=True,
    )
    yield frames_of(reader, at, zone)
    yield from surroundings_of(reader, name, at, zone)
    yield from night_of(reader, name, at, zone)
    for field, words, gone in (
        ("steerable", "can be steered", "it need not be steered"),
        ("discreet", "does not look like a camera", "it may look like a camera"),
    ):
        if getattr(zone, field):
            text = f"{zone.id}: the camera {words}"
            yield reader.yes(f"{name}/{field}", (*at, field), text, gone)
    yield from kept_of(reader, at, zone)
    if zone.most_cameras < 8:
        yield reader.one(
            f"{name}/most_cameras",
            (*at, "most_cameras"),
            ladders.Whole(1, 8, more_is_easier=True),
            f"{zone.id}: at most {{}} side by side",
            loosest="8",
            dropping="up to 8 side by side",
        )
    yield reader.run(f"{name}/run", (*at, "run"), zone.id)


def seen_of(reader: Reader, at: FieldPath, zone: Zone | PlanZone) -> Requirement:
    """That a zone is seen at all."""
    lone = len(reader.site.zones) == 1
    sound = any(p.zone == zone.id for p in reader.site.audio.points)
    also = " nor its sound recorded" if sound else ""
    return reader.one(
        f"zones.{zone.id}",
        at,
        ladders.Fixed(),
        f"{zone.id} is seen",
        value=zone.id,
        dropping="" if lone else f"the zone is not seen{also}",
        kept="a site has at least one zone" if lone else "",
    )


def detail_of(reader: Reader, at: FieldPath, zone: Zone | PlanZone) -> Requirement:
    """The pixel density of a zone."""
    return reader.one(
        f"zones.{zone.id}/detail",
        (*at, "detail"),
        ladders.Density(reader.site.edition),
        f"{zone.id}: detail {{}}{_density(reader, zone)}",
        unit="px/m",
        loosest="1 px/m",
        dropping="shown in no stated detail (1 px/m)",
        counted=True,
    )


def frames_of(reader: Reader, at: FieldPath, zone: Zone | PlanZone) -> Requirement:
    """The frame rate of a zone."""
    return reader.one(
        f"zones.{zone.id}/frame_rate",
        (*at, "frame_rate"),
        ladders.Amount("frame rate", {"fps": "1"}, "1 fps", "240 fps"),
        f"{zone.id}: {{}} are recorded",
        unit="fps",
        loosest="0.01 fps",
        dropping="a picture now and then (0.01 fps)",
        counted=True,
    )


def kept_of(reader: Reader, at: FieldPath, zone: Zone | PlanZone) -> Iterator[Requirement]:
    """How much of a day is recorded of a zone, and how long it is kept."""
    name = f"zones.{zone.id}"
    yield reader.one(
        f"{name}/recorded",
        (*at, "recorded"),
        ladders.DayShare(),
        f"{zone.id}: {{}} of the day are recorded",
        unit="h",
        loosest="1 h",
        dropping="one hour a day",
        counted=zone.recorded < 1,
        value=_recorded(reader, (*at, "recorded")),
    )
    if zone.retention is not None:
        yield reader.retention(f"{name}/retention", (*at, "retention"), f"{zone.id}: pictures")


def _density(reader: Reader, zone: Zone | PlanZone) -> str:
    level = DETAIL_LEVELS[reader.site.edition].get(zone.detail)
    return "" if level is None else f" ({float(level):g} px/m)"


def _recorded(reader: Reader, path: FieldPath) -> str:
    """A dumped share in whole hours where it is that."""
    text = reader.written(path)
    if "%" not in text:
        return text
    hours = units.exact(text, "share") * 24
    return f"{hours} h" if hours.denominator == 1 else text


def surroundings_of(
    reader: Reader, name: str, at: FieldPath, zone: Zone | Mount
) -> Iterator[Requirement]:
    """What a camera point asks of the housing."""
    if zone.place == "outdoors":
        yield reader.one(
            f"{name}/place",
            (*at, "place"),
            ladders.Fixed(),
            f"{zone.id}: the camera is made for outdoors",
            loosest="indoors",
            dropping="any camera will do",
        )
    rows: tuple[tuple[str, Ladder, str], ...] = (
        ("ingress", ladders.Ingress(), "the camera has {} or better"),
        ("impact", ladders.Impact(), "the camera has {} or better"),
        ("temperature", ladders.Weather(), "the camera stands {}"),
    )
    for field, ladder, words in rows:
        if getattr(zone, field) is not None:
            yield reader.one(
                f"{name}/{field}",
                (*at, field),
                ladder,
                f"{zone.id}: {words}",
                dropping="no such code is asked" if field != "temperature" else "no range is asked",
            )


def night_of(
    reader: Reader, name: str, at: FieldPath, zone: Zone | PlanZone
) -> Iterator[Requirement]:
    """What a zone asks of pictures at night."""
    if zone.night != "lit":
        yield reader.one(
            f"{name}/night",
            (*at, "night"),
            ladders.Light(),
            f"{zone.id}: it sees at night, {{}}",
            loosest="lit",
            dropping="lamps burn all night",
            unit="lx",
        )
    if zone.night_colour:
        yield reader.yes(
            f"{name}/night_colour",
            (*at, "night_colour"),
            f"{zone.id}: colour at night",
            "grey pictures at night will do",
        )


__all__ = [
    "detail_of",
    "frames_of",
    "kept_of",
    "night_of",
    "of_zone",
    "seen_of",
    "surroundings_of",
]
