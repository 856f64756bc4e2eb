"""The instance: integer tables of everything the site could be built from.

Zones that ask for the same thing are one :class:`ZoneTable`, counted; cameras with the same
electrical needs share one :class:`Profile`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from optimizer.instance.cables import Construction, constructions
from optimizer.instance.dominance import CameraRank, Prices, best_constructions
from optimizer.instance.feeding import Load, SupplyFit, supply_fits
from optimizer.instance.memory import Memory, Shared
from optimizer.instance.optics import Refusal, View, suits, views
from optimizer.instance.options import Option, Path, PlainPort
from optimizer.instance.recorders import RecorderFit, recorder_fits
from optimizer.instance.sound import SoundTable, shared_loads, sharing, sound_table
from optimizer.instance.streams import (
    Level,
    camera_bytes,
    camera_rate,
    recorded_picture,
)
from optimizer.instance.wiring import camera_loads, place_of
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Camera, Microphone
from optimizer.reading.fields import PictureSize
from optimizer.site.schema import Site, Zone


class Feeding(NamedTuple):
    """A feed of one camera.

    Attributes
    ----------
    path : int or None
        Index of the path whose own conductors it uses; None for the other feeds.
    microphone : str or None
        The microphone that shares it.
    """

    option: Option
    path: int | None
    microphone: str | None = None


@dataclass(frozen=True)
class Profile:
    """Cameras that are alike to cable and supply."""

    family: str
    feedings: tuple[Feeding, ...]
    control: str = "none"


@dataclass(frozen=True)
class Candidate:
    """A camera item in a zone table, n side by side."""

    view: View
    levels: tuple[Level, ...]
    profile: int


@dataclass(frozen=True)
class ZoneTable:
    """Zones that ask for the same thing.

    Attributes
    ----------
    zones : tuple of Zone
        In the order of the site file.
    paths : dict
        Signal family to its paths.
    control : tuple of Option
        Pairs laid for steering.
    refusals : tuple of (camera id, Refusal)
        Why every other camera is out.
    """

    zones: tuple[Zone, ...]
    candidates: tuple[Candidate, ...]
    profiles: tuple[Profile, ...]
    paths: dict[str, tuple[Path, ...]]
    control: tuple[Option, ...]
    sound: SoundTable | None
    refusals: tuple[tuple[str, Refusal], ...]

    @property
    def zone(self) -> Zone:
        """Any of its zones."""
        return self.zones[0]

    @property
    def name(self) -> str:
        """Name for rows and messages."""
        return self.zones[0].id


@dataclass(frozen=True)
class Instance:
    """Everything the model reads."""

    site: Site
    book: LoadedBook
    zones: tuple[ZoneTable, ...]
    sounds: tuple[SoundTable, ...]
    recorders: tuple[RecorderFit, ...]
    supplies: tuple[SupplyFit, ...]
    cables: dict[str, Construction]
    recorder_refusals: dict[str, str] = field(default_factory=dict)


def build_instance(
    site: Site,
    book: LoadedBook,
    *,
    reduce: bool = True,
    group: bool = True,
    memory: Memory | None = None,
) -> Instance:
    """Compute all tables of a site and a price book.

    Parameters
    ----------
    reduce : bool
        Leave out what can never be part of a cheapest kit.
    group : bool
        Count zones that ask for the same thing, instead of naming each.
    memory : Memory, optional
        What was worked out for other sites with the same book.
    """
    fits, refused = recorder_fits(site, book)
    supplies = supply_fits(site, book)
    cables = constructions(site, book)
    prices = Prices(site, book)
    if reduce:
        cables = best_constructions(site, book, cables, prices)
    shared = (memory or Memory()).of(site, book, cables, supplies)
    wirer = shared.wirer
    by_zone = {z.id: z for z in site.views}
    sounds = [
        sound_table(site, book, wirer, p, by_zone[p.zone] if p.zone else None)
        for p in site.audio.points
    ]
    tied = {s.zone.id: s for s in sounds if s.zone is not None and s.tied}
    channels = min((f.channels for f in fits), default=0)
    rank = CameraRank(site, prices, channels) if reduce else None
    maker = _ZoneMaker(site, book, shared, fits, rank)
    groups = _alike(site, tied, group)
    tables = [maker.table(members, tied.get(members[0].id)) for members in groups]
    return Instance(
        site, book, tuple(tables), tuple(sounds), tuple(fits), tuple(supplies), cables, refused
    )


def _alike(site: Site, tied: dict[str, SoundTable], group: bool) -> list[list[Zone]]:
    """Zones grouped by what they ask, in the order of the site file."""
    groups: dict[object, list[Zone]] = {}
    for zone in site.views:
        asked = zone.model_copy(update={"id": "", "name": ""})
        key: object = repr(asked) if group and zone.id not in tied else zone.id
        groups.setdefault(key, []).append(zone)
    return list(groups.values())


class _ZoneMaker:
    """Builds zone tables; remembers what several zones share."""

    def __init__(
        self,
        site: Site,
        book: LoadedBook,
        shared: Shared,
        fits: Sequence[RecorderFit],
        rank: CameraRank | None,
    ) -> None:
        self.site, self.wirer, self.fits, self.rank = site, shared.wirer, fits, rank
        self.alone, self.by_itself = shared.alone, shared.by_itself
        self.fed, self.laid = shared.fed, shared.laid
        self.cameras = book.by_kind(Camera)
        self.wanted = {r.item for r in site.policy.require}
        self.wanted |= {o.item for o in site.owned if o.pinned}
        self.pictures = {c.id: self._pictures(c) for c in self.cameras}
        self.suiting: dict[object, list[tuple[Camera, Refusal | None]]] = {}
        self.kept: dict[object, tuple[Level, ...]] = {}

    def _pictures(self, camera: Camera) -> dict[PictureSize, tuple[str, ...]]:
        """Recorded pictures of a camera, each with the recorder items that keep it."""
        found: dict[PictureSize, list[str]] = {}
        for fit in self.fits:
            picture = recorded_picture(fit.recorder, camera)
            if picture is not None:
                found.setdefault(picture, []).append(fit.item)
        return {p: tuple(r) for p, r in found.items()}

    def table(self, zones: list[Zone], sound: SoundTable | None) -> ZoneTable:
        zone = zones[0]
        found: list[tuple[View, tuple[Level, ...]]] = []
        refusals: list[tuple[str, Refusal]] = []
        for camera, refusal in self._suiting(zone):
            if refusal is not None:
                refusals.append((camera.id, refusal))
                continue
            fitting = views(
                self.site,
                zone,
                camera,
                [p.width for p in self.pictures[camera.id]],
                every=camera.id in self.wanted,
            )
            if isinstance(fitting, list):
                found += [(v, self._levels(zone, v)) for v in fitting]
            else:
                refusals.append((camera.id, fitting))
        if self.rank is not None:
            wired = [f for f in found if self._wired(zone, f[0].camera)]
            if wired:
                found = self.rank.best(
                    zone, wired, sound is not None, lambda camera: self._alone(zone, camera)
                )
        paths, profiles, of_camera = self._wire(zone, [v for v, _ in found], sound)
        candidates = []
        for view, levels in found:
            number = of_camera[view.camera.id]
            if profiles[number].feedings:
                candidates.append(Candidate(view, levels, number))
            else:
                refusals.append((view.camera.id, self._unwired(zone, view, paths)))
        steered = zone.steerable and any(v.camera.control == "rs485" for v, _ in found)
        control = tuple(self.wirer.control_pairs(place_of(zone))) if steered else ()
        return ZoneTable(
            tuple(zones),
            tuple(candidates),
            tuple(profiles),
            paths,
            control,
            sound,
            tuple(refusals),
        )

    def _suiting(self, zone: Zone) -> list[tuple[Camera, Refusal | None]]:
        key = (
            zone.place,
            zone.ingress,
            zone.impact,
            zone.temperature,
            zone.night,
            zone.night_colour,
            zone.distance,
            zone.steerable,
            zone.discreet,
            zone.frame_rate,
        )
        if key not in self.suiting:
            self.suiting[key] = [(c, suits(self.site, zone, c)) for c in self.cameras]
        return self.suiting[key]

    def _wired(self, zone: Zone, camera: Camera) -> bool:
        """Whether a camera can be wired at all, so that it may stand in for another."""
        return bool(self._feedings(zone, camera, self._paths(zone, camera.family), None))

    def _alone(self, zone: Zone, camera: Camera) -> int:
        """Most that one camera costs to wire with pieces of its own, in hundredths."""
        key = (place_of(zone), _alike_electrically(camera, "none"))
        if key not in self.by_itself:
            paths = self._paths(zone, camera.family)
            feeds = self._feedings(zone, camera, paths, None)
            self.by_itself[key] = self.alone.cheapest(
                ((f.option, None if f.path is None else paths[f.path]) for f in feeds),
                [path for path in paths if path.own is None],
            )
        return self.by_itself[key]

    @staticmethod
    def _unwired(zone: Zone, view: View, paths: dict[str, tuple[Path, ...]]) -> Refusal:
        if not paths[view.camera.family]:
            return Refusal("run", f"no cable or lead carries its signal over {zone.run} m")
        return Refusal(
            "run", f"no supply and cable keep its voltage within limits over {zone.run} m"
        )

    def _levels(self, zone: Zone, view: View) -> tuple[Level, ...]:
        camera = view.camera
        good = tuple(p for p in self.pictures[camera.id] if p.width >= view.width_px)
        key = (
            good,
            camera.picture,
            tuple(self.pictures[camera.id][p] for p in good),
            zone.bit_rate,
            self.site.recording.measured.get(camera.id),
            zone.frame_rate,
            zone.recorded,
            zone.retention,
        )
        if key not in self.kept:
            levels = []
            for picture in good:
                rate = camera_rate(self.site, zone, camera, picture)
                stored = camera_bytes(self.site, zone, rate)
                levels.append(Level(picture, rate, stored, self.pictures[camera.id][picture]))
            self.kept[key] = tuple(levels)
        return self.kept[key]

    def _paths(self, zone: Zone, family: str) -> tuple[Path, ...]:
        place = place_of(zone)
        key = (place, family)
        if key not in self.laid:
            found = (
                self.wirer.data_paths(place)
                if family == "network"
                else self.wirer.coax_paths(place, family)
            )
            self.laid[key] = tuple(found)
        return self.laid[key]

    def _wire(
        self, zone: Zone, cameras: list[View], sound: SoundTable | None
    ) -> tuple[dict[str, tuple[Path, ...]], list[Profile], dict[str, int]]:
        paths: dict[str, tuple[Path, ...]] = {
            family: self._paths(zone, family)
            for family in dict.fromkeys(v.camera.family for v in cameras)
        }
        profiles: list[Profile] = []
        seen: dict[object, int] = {}
        of_camera: dict[str, int] = {}
        for camera in {v.camera.id: v.camera for v in cameras}.values():
            control = camera.control if zone.steerable else "none"
            key = _alike_electrically(camera, control)
            if key not in seen:
                seen[key] = len(profiles)
                feedings = self._feedings(zone, camera, paths[camera.family], sound)
                profiles.append(Profile(camera.family, feedings, control))
            of_camera[camera.id] = seen[key]
        return paths, profiles, of_camera

    def _feedings(
        self, zone: Zone, camera: Camera, paths: tuple[Path, ...], sound: SoundTable | None
    ) -> tuple[Feeding, ...]:
        control = camera.control if zone.steerable else "none"
        key = (
            place_of(zone),
            _alike_electrically(camera, control),
            (sound.point.id, *(m.id for m in sound.wired)) if sound else None,
        )
        if key not in self.fed:
            self.fed[key] = tuple(self._all_feedings(zone, camera, paths, sound))
        return self.fed[key]

    def _all_feedings(
        self, zone: Zone, camera: Camera, paths: tuple[Path, ...], sound: SoundTable | None
    ) -> list[Feeding]:
        loads = camera_loads(camera)
        out = self._fed(zone, camera, paths, loads, camera.power_plug, None)
        if any(path.own is None for path in paths):
            place = place_of(zone)
            out += [
                Feeding(o, None) for o in self.wirer.local_feeds(place, loads, camera.power_plug)
            ]
            out += [Feeding(o, None) for o in self.wirer.poe_feeds(camera)]
        if camera.family == "network":
            out = [f._replace(option=_with_port(f.option)) for f in out]
        if sound is not None and camera.family != "network":
            for microphone in sound.wired:
                out += self._fed(
                    zone, camera, paths, shared_loads(camera, microphone), "barrel", microphone
                )
        return out

    def _fed(
        self,
        zone: Zone,
        camera: Camera,
        paths: tuple[Path, ...],
        loads: list[Load],
        plug: str,
        microphone: Microphone | None,
    ) -> list[Feeding]:
        name = microphone.id if microphone else None

        def one(option: Option, index: int | None) -> Feeding:
            if name is not None:
                option = sharing(option, name, camera.power_plug)
            return Feeding(option, index, name)

        out = [
            one(option, index)
            for index, path in enumerate(paths)
            if path.up_the_coax or not (zone.steerable and camera.control == "coax")
            for option in self.wirer.own_feeds(path, loads, plug)
        ]
        if any(path.own is None for path in paths):
            out += [one(o, None) for o in self.wirer.pair_feeds(place_of(zone), loads, plug)]
        return out


def _alike_electrically(camera: Camera, control: str) -> tuple[object, ...]:
    return (camera.family, camera.feeds, camera.power_plug, camera.poe_class, control)


def _with_port(option: Option) -> Option:
    """The feed of a network camera, with the switch port it takes if power comes from elsewhere."""
    if option.kind in ("F2", "F3"):
        return replace(option, uses=(*option.uses, (PlainPort(), 1)))
    return option
