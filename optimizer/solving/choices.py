"""Which camera takes which of the options that a solution counts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from optimizer.errors import Defect
from optimizer.instance.options import Option, Path
from optimizer.instance.sound import SoundTable
from optimizer.instance.streams import Level, Stream
from optimizer.instance.tables import Aim, Candidate, Feeding, ZoneTable
from optimizer.model.draft import Draft
from optimizer.site.schema import Zone

T = TypeVar("T")


@dataclass
class CameraChoice:
    """One camera of the design."""

    zone: Zone
    number: int
    candidate: Candidate
    level: Level
    stream: Stream
    sound: str
    feeding: Feeding | None = None
    path: Path | None = None
    control: Option | None = None
    steered_by: str = "none"
    aim: Aim | None = None
    serves: tuple[str, ...] = ()

    @property
    def place(self) -> str:
        """Zone and number, such as gate/1."""
        return f"{self.zone.id}/{self.number}"


@dataclass
class SoundChoice:
    """One audio point of the design."""

    table: SoundTable
    way: str
    microphone: str | None
    option: Option | None
    signal: Option | None
    stream: Stream | None
    camera: CameraChoice | None = None


def choose(draft: Draft, values: Sequence[int]) -> tuple[list[CameraChoice], list[SoundChoice]]:
    """Spread the counts of a solution over cameras and audio points, in the site's order."""
    cameras: list[CameraChoice] = []
    by_table: dict[int, list[CameraChoice]] = {}
    for index, table in enumerate(draft.instance.zones):
        mine = _cameras(draft, values, index, table)
        by_table[index] = mine
        cameras += mine
    site = draft.instance.site
    order = {place.id: i for i, place in enumerate((*site.zones, *site.mounts))}
    cameras.sort(key=lambda c: (order[c.zone.id], c.number))
    sounds = [
        _sound(draft, values, index, table, by_table)
        for index, table in enumerate(draft.instance.sounds)
    ]
    return cameras, sounds


def _cameras(
    draft: Draft, values: Sequence[int], index: int, table: ZoneTable
) -> list[CameraChoice]:
    streams: dict[int, list[tuple[Level, Stream, str]]] = {}
    for choice in draft.stream_choices:
        if choice.table == index:
            one = (choice.level, choice.stream, choice.sound)
            streams.setdefault(id(choice.candidate), []).extend([one] * values[choice.var])
    zones = list(table.zones)
    cameras: list[CameraChoice] = []
    for number, candidate in enumerate(table.candidates):
        for _ in range(values[draft.cameras[index, number]]):
            zone = zones.pop(0)
            for slot in range(candidate.view.count):
                level, stream, sound = streams[id(candidate)].pop(0)
                cameras.append(CameraChoice(zone, slot + 1, candidate, level, stream, sound))
    if zones and not table.optional:
        raise Defect(f"no camera was chosen for zone {zones[0].id}")
    _feed(draft, values, index, table, cameras)
    _lay(draft, values, index, table, cameras)
    if table.zone.steerable:
        _steer(draft, values, index, cameras)
    if table.optional:
        for camera in cameras:
            camera.aim = aim = next(a for a, var in draft.aims if a.table == index and values[var])
            within = table.duties[aim.duty].zones
            camera.serves = tuple(z for z in aim.view.areas if z in within)
    return cameras


def _feed(
    draft: Draft,
    values: Sequence[int],
    index: int,
    table: ZoneTable,
    cameras: list[CameraChoice],
) -> None:
    lead_sound = _value_of(draft, values, table.sound, "A8 lead")
    for number in range(len(table.profiles)):
        feeds = [
            feeding
            for place, profile, feeding, var in draft.feedings
            if place == index and profile == number
            for _ in range(values[var])
        ]
        shared = any(f.microphone for f in feeds)
        mine = [c for c in cameras if c.candidate.profile == number]
        paths = table.paths.get(table.profiles[number].family, ())
        # Cameras that are tied to a kind of feed choose first.
        for camera in sorted(mine, key=lambda c: (c.stream.port == 0, c.sound == "none")):
            fitting = (f for f in feeds if _suits(f, camera, paths, lead_sound, shared))
            camera.feeding = _take(feeds, fitting)
            if camera.feeding.path is not None:
                camera.path = paths[camera.feeding.path]


def _suits(
    feeding: Feeding,
    camera: CameraChoice,
    paths: tuple[Path, ...],
    lead_sound: bool,
    shared: bool,
) -> bool:
    if (camera.stream.port > 0) != (feeding.option.kind == "F4 recorder"):
        return False
    if camera.sound == "none":
        return feeding.microphone is None
    if lead_sound:
        return feeding.path is not None and paths[feeding.path].audio
    return (feeding.microphone is not None) == shared


def _lay(
    draft: Draft,
    values: Sequence[int],
    index: int,
    table: ZoneTable,
    cameras: list[CameraChoice],
) -> None:
    for family in table.paths:
        laid = [
            table.paths[family][number]
            for place, one, number, var in draft.paths
            if place == index and one == family
            for _ in range(values[var])
        ]
        bare = [c for c in cameras if c.path is None and c.candidate.view.camera.family == family]
        for camera in sorted(bare, key=lambda c: c.candidate.view.camera.control != "coax"):
            up = table.zone.steerable and camera.candidate.view.camera.control == "coax"
            camera.path = _take(laid, (p for p in laid if p.up_the_coax or not up))


def _steer(draft: Draft, values: Sequence[int], index: int, cameras: list[CameraChoice]) -> None:
    pairs: dict[str, list[Option]] = {c.candidate.view.camera.family: [] for c in cameras}
    for place, family, option, var in draft.control:
        if place == index:
            pairs.setdefault(family, []).extend([option] * values[var])
    for camera in cameras:
        item = camera.candidate.view.camera
        if item.control != "rs485":
            camera.steered_by = item.control
        elif camera.path is not None and camera.path.steers:
            camera.steered_by = "category"
        else:
            camera.control = _take(pairs[item.family], iter(pairs[item.family]))
            camera.steered_by = "pair"


def _sound(
    draft: Draft,
    values: Sequence[int],
    index: int,
    table: SoundTable,
    by_table: dict[int, list[CameraChoice]],
) -> SoundChoice:
    signal = next((o for i, o, var in draft.signals if i == index and values[var]), None)
    stream = next((s for i, s, var in draft.sound_streams if i == index and values[var]), None)
    for i, way, microphone, option, var in draft.sounds:
        if i == index and values[var]:
            camera = None if option is not None else _with_sound(draft, table, by_table)
            return SoundChoice(table, way.split()[0], microphone, option, signal, stream, camera)
    camera = _with_sound(draft, table, by_table)
    if camera.feeding is None or camera.feeding.microphone is None or camera.path is None:
        raise Defect(f"no way was chosen for audio point {table.point.id}")
    way = "A5" if camera.path.audio else "A6"
    return SoundChoice(table, way, camera.feeding.microphone, None, signal, None, camera)


def _with_sound(
    draft: Draft, table: SoundTable, by_table: dict[int, list[CameraChoice]]
) -> CameraChoice:
    for index, zone_table in enumerate(draft.instance.zones):
        if zone_table.sound is table:
            for camera in by_table[index]:
                if camera.sound != "none":
                    return camera
    raise Defect(f"no camera carries audio point {table.point.id}")


def _value_of(draft: Draft, values: Sequence[int], sound: SoundTable | None, way: str) -> bool:
    return any(
        values[var]
        for i, one, _, _, var in draft.sounds
        if one == way and draft.instance.sounds[i] is sound
    )


def _take(pool: list[T], fitting: Iterator[T]) -> T:
    """Take the first fitting one out of a pool."""
    one = next(fitting, None)
    if one is None:
        raise Defect("a solution counts fewer options than it uses")
    pool.remove(one)
    return one
