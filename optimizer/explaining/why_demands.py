"""Which requirements a bill line serves: the places its pieces stand at, and what decides there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from optimizer.design import Camera, PowerUnit, Recorder
from optimizer.explaining.why_kit import Kit
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem

_SEEN = (
    "",
    "detail",
    "width",
    "frame_rate",
    "place",
    "ingress",
    "impact",
    "temperature",
    "night",
    "night_colour",
    "steerable",
    "discreet",
)
_ON_PLAN = (*_SEEN, "share", "cameras", "apart", "most_tilt", "faces")


def demands(kit: Kit, item: AnyItem, known: Iterable[str]) -> tuple[str, ...]:
    """Ids of the requirements (and runs) that a line serves, in the order of the site file.

    Parameters
    ----------
    known : iterable of str
        The ids that the site has, in its order; whatever it does not ask is left out.
    """
    found = set(_OF_KIND.get(item.kind, _nothing)(kit, item))
    found.add(f"policy/require.{item.id}")
    found.add(f"owned.{item.id}/pinned")
    return tuple(one for one in known if one in found)


def _cameras(kit: Kit, item: Any) -> Iterator[str]:
    for camera in kit.design.cameras:
        if item.id in (camera.item, camera.bracket):
            yield from _named(camera, _SEEN if camera.aim is None else _ON_PLAN)


def _named(camera: Camera, quantities: Iterable[str]) -> Iterator[str]:
    """Ids of what the zones that a camera sees, and the mount that bears it, ask."""
    places = [f"zones.{zone}" for zone in _zones(camera)]
    if camera.aim is not None:
        places.append(f"mounts.{camera.zone}")
    for quantity in quantities:
        yield from (f"{place}/{quantity}" if quantity else place for place in places)


def _zones(camera: Camera) -> tuple[str, ...]:
    """The zone of a camera, or those that it serves from a mount."""
    if camera.aim is None:
        return (camera.zone,)
    return tuple(one.zone for one in camera.aim.serves)


def _recorders(kit: Kit, item: Any) -> Iterator[str]:
    for unit in kit.design.recorders:
        if unit.item == item.id:
            yield from _recorded(kit, unit)
            yield from ("spare/channels", "recording/drive_failures")
            for zone in {z for c in kit.design.cameras if c.recorder == unit.id for z in _zones(c)}:
                yield from (f"zones.{zone}/detail", f"zones.{zone}/frame_rate")
    for way in kit.site.recording.export:
        yield f"recording/export.{way}"
    for output in kit.site.recording.displays.model_dump():
        yield f"recording/displays.{output}"


def _recorded(kit: Kit, unit: Recorder) -> Iterator[str]:
    """What a recorder keeps, and for how long."""
    yield from ("recording/retention", "spare/storage")
    for camera in kit.design.cameras:
        if camera.recorder == unit.id:
            yield from _named(camera, ("", "recorded", "retention"))
    for sound in kit.design.audio:
        if sound.recorder == unit.id:
            yield f"audio.{sound.point}"


def _drives(kit: Kit, item: Any) -> Iterator[str]:
    for unit in kit.design.recorders:
        if any(d.item == item.id for d in unit.drives):
            yield from _recorded(kit, unit)
            yield "recording/drive_failures"


def _writers(_kit: Kit, _item: Any) -> Iterator[str]:
    yield "recording/export.optical"


def _microphones(kit: Kit, item: Any) -> Iterator[str]:
    for sound in kit.design.audio:
        if sound.microphone == item.id:
            yield from (f"audio.{sound.point}", f"audio.{sound.point}/place")
            yield f"audio.{sound.point}/power"


def _laid(kit: Kit, item: Any) -> Iterator[str]:
    for run in kit.design.runs:
        if item.id in run.items:
            yield from _served(kit, run.place)
    if any(p.item == item.id and p.role == "rack_link" for p in kit.design.parts):
        for switch in {unit.item for unit in kit.design.switches}:
            yield from _power(kit, kit.book.items[switch])


def _served(kit: Kit, place: str) -> Iterator[str]:
    """The zone or audio point of a run."""
    if any(point.id == place for point in kit.site.audio.points):
        yield from (f"audio.{place}", f"audio.{place}/run")
    for camera in kit.design.cameras:
        if place == f"{camera.zone}/{camera.number}":
            yield from _named(camera, ("", "run"))


def _balun(kit: Kit, item: Any) -> Iterator[str]:
    for camera in kit.design.cameras:
        if camera.balun == item.id:
            yield from _named(camera, ("", "run"))


def _power(kit: Kit, item: Any) -> Iterator[str]:
    units: list[PowerUnit] = [
        *kit.design.supplies,
        *kit.design.switches,
        *kit.design.injectors,
    ]
    if item.kind == "supply":
        yield "spare/supply"
    for unit in units:
        if unit.item == item.id:
            for camera in kit.design.cameras:
                if unit.id in (camera.power.unit, camera.data_port):
                    yield from _named(camera, ("",))
            for sound in kit.design.audio:
                if sound.power.unit == unit.id:
                    yield f"audio.{sound.point}"


def _connectors(kit: Kit, item: book.Connector) -> Iterator[str]:
    yield f"policy/connectors.{item.type}"
    media = {"bnc": ("coax", "coax_power"), "rj45": ("category",), "rca": ("audio_pair",)}
    for run in kit.design.runs:
        if run.medium in media[item.type]:
            yield from _served(kit, run.place)


def _pigtails(kit: Kit, _item: Any) -> Iterator[str]:
    for camera in kit.design.cameras:
        if camera.power.way in ("own_pair", "separate_pair", "local"):
            yield from _named(camera, ("",))
    for sound in kit.design.audio:
        if sound.power.way != "none":
            yield f"audio.{sound.point}"


def _joints(kit: Kit, _item: Any) -> Iterator[str]:
    for run in kit.design.runs:
        if len(run.items) > 1:
            yield from _served(kit, run.place)


def _splitters(kit: Kit, _item: Any) -> Iterator[str]:
    for sound in kit.design.audio:
        if sound.way in ("A5", "A6"):
            yield f"audio.{sound.point}"


def _tools(kit: Kit, item: book.Tool) -> Iterator[str]:
    for part in kit.design.parts:
        fitted = kit.book.items[part.item]
        if isinstance(fitted, book.Connector) and fitted.tool in item.types:
            yield from _connectors(kit, fitted)


def _mains(kit: Kit, item: book.MainsLead) -> Iterator[str]:
    for unit in kit.units.values():
        owner = kit.book.items[unit.item]
        if getattr(owner, "mains_lead", None) == item.type:
            yield from _recorders(kit, owner) if owner.kind == "recorder" else _power(kit, owner)


def _nothing(_kit: Kit, _item: Any) -> Iterator[str]:
    """Extras serve only the requirement that names them."""
    return iter(())


_OF_KIND: dict[str, Callable[[Kit, Any], Iterator[str]]] = {
    "camera": _cameras,
    "bracket": _cameras,
    "recorder": _recorders,
    "drive": _drives,
    "optical_writer": _writers,
    "microphone": _microphones,
    "lead": _laid,
    "cable": _laid,
    "balun": _balun,
    "supply": _power,
    "switch": _power,
    "injector": _power,
    "connector": _connectors,
    "pigtail": _pigtails,
    "coupler": _joints,
    "splitter": _splitters,
    "tool": _tools,
    "mains_lead": _mains,
    "extra": _nothing,
}
