"""Writing one changed value into a site's plain data, by its id."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from optimizer.errors import InputError, Trouble, listed, quoted
from optimizer.reading import Source, validate
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath
from optimizer.site.requirements import ALL_FAMILIES, reaches, requirements
from optimizer.site.schema import AudioPoint, Mount, PlanZone, Recording, Site, Zone

Data = dict[str, Any]

_ZONE_FIELDS = tuple(
    f for f in Zone.model_fields if f not in ("id", "name", "existing")
)  # cable that is there is a list of mappings: for the file
_AREA_FIELDS = tuple(f for f in PlanZone.model_fields if f not in ("id", "name", "area"))
_MOUNT_FIELDS = tuple(f for f in Mount.model_fields if f not in ("id", "name", "at", "existing"))
_KEEP_OUT_FIELDS = ("detail", "mask", "heights")
_POINT_FIELDS = tuple(f for f in AudioPoint.model_fields if f not in ("id", "existing"))
_RECORDING_FIELDS = tuple(f for f in Recording.model_fields if f not in ("measured", "displays"))
_PLAIN: dict[str, tuple[str, ...]] = {
    "recording": _RECORDING_FIELDS,
    "spare": ("channels", "storage", "supply"),
    "audio": ("bit_rate",),
    "policy": ("families", "most_camera_models", "most_joints"),
    "assumptions": ("conductor_temperature", "end_allowance", "face_tilt"),
    "money": ("tax",),
}
_LISTS = ("recording/export", "policy/families")


def unknown(name: str, known: Mapping[str, object]) -> InputError:
    """The refusal of an id, with a suggestion."""
    same = [k for k in known if k.partition("/")[0] == name.partition("/")[0]]
    return InputError(
        Trouble(
            f"the site asks for nothing called {quoted(name)}",
            field=name,
            accepted=listed(same or known),
            hint=suggest(name, known, "an id is made of place/quantity, as the answer shows them"),
        )
    )


def put(data: Data, site: Site, name: str, value: str | None) -> FieldPath:
    """Write a value; returns where it stands, for messages."""
    place, _, quantity = name.partition("/")
    group, _, one = place.partition(".")
    if name == "budget":
        data["money"]["budget"] = value
        return ("money", "budget")
    if group == "zones" and one:
        return _put_zone(data, name, one, quantity, value)
    if group == "mounts" and one:
        return _put_field(data, name, ("mounts",), one, quantity, _MOUNT_FIELDS, value)
    if group == "keep_outs" and one:
        if site.plan is None:
            raise unknown(name, _settable(site))
        return _put_field(data, name, ("plan", "keep_outs"), one, quantity, _KEEP_OUT_FIELDS, value)
    if group == "owned" and one:
        return _put_owned(data, name, one, quantity, value)
    if name == "audio/points":
        return _put_points(data, value or "")
    if group == "audio" and one:
        return _put_point(data, name, one, quantity, value)
    if name == "policy/families":
        data["policy"]["families"] = _entries(value or "") or list(ALL_FAMILIES)
        return ("policy", "families")
    head, _, tail = quantity.partition(".")
    if place == "policy" and tail:
        return _put_policy(data, name, head, tail, value)
    if place == "recording" and tail:
        return _put_recording(data, name, head, tail, value)
    if quantity not in _PLAIN.get(place, ()):
        raise unknown(name, _settable(site))
    data[place][quantity] = _entries(value or "") if name in _LISTS else value
    return (place, quantity)


def _settable(site: Site) -> dict[str, None]:
    """Every id that may stand in a change."""
    return dict.fromkeys(_ids(site))


def _ids(site: Site) -> Iterator[str]:
    for requirement in (*requirements(site), *reaches(site)):
        yield requirement.id
    for zone in site.zones:
        fields = _AREA_FIELDS if isinstance(zone, PlanZone) else _ZONE_FIELDS
        yield from (f"zones.{zone.id}/{field}" for field in fields)
    for mount in site.mounts:
        yield from (f"mounts.{mount.id}/{field}" for field in _MOUNT_FIELDS)
    for kept in site.plan.keep_outs if site.plan else ():
        yield from (f"keep_outs.{kept.id}/{field}" for field in _KEEP_OUT_FIELDS)
    for point in site.audio.points:
        yield from (f"audio.{point.id}/{field}" for field in _POINT_FIELDS)
    for owned in site.owned:
        yield from (f"owned.{owned.item}/{field}" for field in ("quantity", "pinned"))
    for place, fields in _PLAIN.items():
        yield from (f"{place}/{field}" for field in fields)
    yield from (f"recording/displays.{kind}" for kind in ("hdmi", "vga", "composite"))
    yield from ("budget", "audio/points")


def _entries(value: str) -> list[str]:
    return [word.strip() for word in value.strip("[]").split(",") if word.strip()]


def _index(rows: Sequence[Data], key: str, one: str) -> int | None:
    return next((i for i, row in enumerate(rows) if row[key] == one), None)


def _put_zone(data: Data, name: str, one: str, field: str, value: str | None) -> FieldPath:
    at = _index(data["zones"], "id", one)
    if at is None:
        raise _unknown_in(data, name)
    fields = _AREA_FIELDS if "area" in data["zones"][at] else _ZONE_FIELDS
    if field and field not in fields:
        raise _unknown_in(data, name)
    if field:
        data["zones"][at][field] = value
        return ("zones", at, field)
    _must_be_dropped(name, value)
    del data["zones"][at]
    points = data["audio"]["points"]
    data["audio"]["points"] = [p for p in points if p["zone"] != one]
    return ("zones",)


def _put_field(
    data: Data,
    name: str,
    path: tuple[str, ...],
    one: str,
    field: str,
    fields: Sequence[str],
    value: str | None,
) -> FieldPath:
    """Write a field of the entry with an id in a list of entries."""
    rows: Any = data
    for step in path:
        rows = rows[step]
    at = _index(rows, "id", one)
    if at is None or field not in fields:
        raise _unknown_in(data, name)
    rows[at][field] = value
    return (*path, at, field)


def _put_owned(data: Data, name: str, one: str, field: str, value: str | None) -> FieldPath:
    at = _index(data["owned"], "item", one)
    if at is None or field not in ("quantity", "pinned"):
        raise _unknown_in(data, name)
    data["owned"][at][field] = value
    return ("owned", at, field)


def _put_point(data: Data, name: str, one: str, field: str, value: str | None) -> FieldPath:
    points = data["audio"]["points"]
    at = _index(points, "id", one)
    if at is None or (field and field not in _POINT_FIELDS):
        raise _unknown_in(data, name)
    if field:
        points[at][field] = value
        return ("audio", "points", at, field)
    named = _entries(value or "")
    if not named:
        del points[at]
        return ("audio", "points")
    return _put_points(data, ", ".join(named))


def _put_points(data: Data, value: str) -> FieldPath:
    """Keep the points named; the name of a zone without one asks for a new point at its camera."""
    points = {p["id"]: p for p in data["audio"]["points"]}
    zones = {z["id"]: z for z in data["zones"] if "area" not in z}
    kept = []
    for word in _entries(value):
        if word in points:
            kept.append(points[word])
        elif word in zones:
            kept.append({"id": word, "zone": word, **_run_of(zones[word])})
        else:
            raise InputError(
                Trouble(
                    f"there is neither an audio point nor a zone {quoted(word)}",
                    field="audio/points",
                    value=value,
                    accepted=listed([*points, *(z for z in zones if z not in points)]),
                    hint=suggest(word, [*points, *zones], "name audio points or zones"),
                )
            )
    data["audio"]["points"] = kept
    return ("audio", "points")


def _run_of(zone: Data) -> Data:
    return {k: zone[k] for k in ("run", "route", "place", "mains")}


def _put_policy(data: Data, name: str, head: str, tail: str, value: str | None) -> FieldPath:
    policy = data["policy"]
    if head == "require":
        at = _index(policy["require"], "item", tail)
        if value in (None, "0"):
            policy["require"] = [r for r in policy["require"] if r["item"] != tail]
            return ("policy", "require")
        if at is None:
            policy["require"].append({"item": tail})
            at = len(policy["require"]) - 1
        policy["require"][at]["quantity"] = value
        return ("policy", "require", at, "quantity")
    if head == "forbid":
        rest = [item for item in policy["forbid"] if item != tail]
        policy["forbid"] = [*rest, tail] if _true(name, value) else rest
        return ("policy", "forbid")
    if head == "connectors":
        policy["connectors"].pop(tail, None)
        if value is not None:
            policy["connectors"][tail] = _entries(value)
        return ("policy", "connectors", tail)
    raise _unknown_in(data, name)


def _put_recording(data: Data, name: str, head: str, tail: str, value: str | None) -> FieldPath:
    recording = data["recording"]
    if head == "displays":
        recording["displays"][tail] = value
        return ("recording", "displays", tail)
    if head == "export":
        rest = [way for way in recording["export"] if way != tail]
        recording["export"] = [*rest, tail] if _true(name, value) else rest
        return ("recording", "export")
    raise _unknown_in(data, name)


def _true(name: str, value: str | None) -> bool:
    if value in ("true", "false", None):
        return value == "true"
    raise InputError(
        Trouble(
            "this is neither true nor false",
            field=name,
            value=value,
            accepted="true or false",
            hint="write true or false",
        )
    )


def _must_be_dropped(name: str, value: str | None) -> None:
    if value is not None:
        raise InputError(
            Trouble(
                "a zone has no value of its own",
                field=name,
                value=value,
                accepted="none, which takes the zone out, or one of its fields",
                hint=f"write {name}=none, or {name}/detail=...",
            )
        )


def _unknown_in(data: Data, name: str) -> InputError:
    return unknown(name, _settable(validate(Site, Source("", data, {}, ""))))


__all__ = ["Data", "put", "unknown"]
