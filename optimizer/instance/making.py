"""Zone tables: the cameras, paths and feeds of zones, with the reason why others are out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from optimizer.instance.dominance import CameraRank
from optimizer.instance.feeding import Load
from optimizer.instance.memory import Shared
from optimizer.instance.optics import Refusal, View, suits, views
from optimizer.instance.options import Option, Path, PlainPort
from optimizer.instance.recorders import RecorderFit
from optimizer.instance.sound import SoundTable, shared_loads, sharing
from optimizer.instance.streams import Level, camera_bytes, camera_rate, recorded_picture
from optimizer.instance.tables import UNFED, Candidate, Feeding, Profile, ZoneTable
from optimizer.instance.wiring import camera_loads, place_of
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Camera, Microphone
from optimizer.reading.fields import PictureSize
from optimizer.site.schema import Site, Zone


class ZoneMaker:
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
        self.single, self.by_itself = shared.alone, shared.by_itself
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
        """The table of zones that are alike."""
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
            wired = [f for f in found if self.wired(zone, f[0].camera)]
            if wired:
                found = self.rank.best(
                    zone, wired, sound is not None, lambda camera: self.alone(zone, camera)
                )
        paths, profiles, of_camera = self.wire(zone, [v for v, _ in found], sound)
        candidates = []
        for view, levels in found:
            number = of_camera[view.camera.id]
            if profiles[number].feedings:
                candidates.append(Candidate(view, levels, number))
            else:
                refusals.append((view.camera.id, self.unwired(zone, view.camera)))
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

    def wired(self, zone: Zone, camera: Camera) -> bool:
        """Whether a camera can be wired at all, so that it may stand in for another."""
        return bool(self._feedings(zone, camera, self._paths(zone, camera.family), None))

    def alone(self, zone: Zone, camera: Camera) -> int:
        """Most that one camera costs to wire with pieces of its own, in hundredths."""
        key = (place_of(zone), _alike_electrically(camera, "none"))
        if key not in self.by_itself:
            paths = self._paths(zone, camera.family)
            feeds = self._feedings(zone, camera, paths, None)
            self.by_itself[key] = self.single.cheapest(
                ((f.option, None if f.path is None else paths[f.path]) for f in feeds),
                [path for path in paths if path.own is None],
            )
        return self.by_itself[key]

    def unwired(self, zone: Zone, camera: Camera) -> Refusal:
        """Why a camera cannot be wired."""
        if not self._paths(zone, camera.family):
            return Refusal("run", f"no cable or lead carries its signal over {zone.run} m")
        return Refusal("run", f"{UNFED} over {zone.run} m")

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

    def wire(
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
