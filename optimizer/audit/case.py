"""The case before the audit: a design with every reference followed to what it names."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from optimizer import design as plain
from optimizer.engineering.light import night_ok
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.site.schema import AudioPoint, ExistingCable, Mount, PlanZone, Site, Zone
from optimizer.units import parse

ROOM = "room"
SIGNAL_MEDIA = ("coax_power", "coax", "category", "lead")


@dataclass(frozen=True)
class LaidRun:
    """A run and what it is made of: leads, one cable cut from a box, or an existing cable.

    Attributes
    ----------
    length_m : Fraction
        The length that reach and resistance go by: cut length (rounded up to 1 cm), sum of the
        leads, or stated length. [m]
    gauges : tuple
        Gauge and length of each stretch of its power conductors, one after the other. [AWG, m]
    """

    stated: plain.Run
    place: str
    owner: Zone | AudioPoint
    leads: tuple[book.Lead, ...]
    cable: book.Cable | None
    entry: ExistingCable | None
    length_m: Fraction

    @property
    def medium(self) -> str:
        return self.stated.medium

    @property
    def fit(self) -> str | None:
        """What its connectors must fit: rg59, rg6, rg11, cat5e, cat6 or audio."""
        one = self.cable or self.entry or self.leads[0]
        return one.fit

    @property
    def gauges(self) -> tuple[tuple[int, Fraction], ...]:
        if self.leads:
            return tuple((int(x.gauge or 0), Fraction(x.length)) for x in self.leads)
        one = self.cable or self.entry
        return () if one is None or one.gauge is None else ((int(one.gauge), self.length_m),)

    @property
    def unfinished(self) -> bool:
        """Whether connectors must be fitted: cut cable, or existing cable without them."""
        return self.cable is not None or (self.entry is not None and not self.entry.terminated)

    @property
    def new(self) -> bool:
        """Whether it must be laid."""
        return self.entry is None


@dataclass(frozen=True)
class Fitted:
    """A camera of the design, with everything it refers to.

    Attributes
    ----------
    zone : Zone
        Its zone; for a camera on a mount, the mount with what its plan zones ask.
    mount, served
        Where it stands on the plan, and the plan zones that it serves.
    """

    stated: plain.Camera
    zone: Zone
    abreast: int
    item: book.Camera
    recorder: plain.Recorder
    unit: book.Recorder
    path: LaidRun
    power_run: LaidRun | None
    control_run: LaidRun | None
    balun: book.Balun | None
    mount: Mount | None = None
    served: tuple[PlanZone, ...] = ()

    @property
    def place(self) -> str:
        return f"{self.zone.id}/{self.stated.number}"

    @property
    def group(self) -> book.Inputs | None:
        """The recorder's inputs that take its family."""
        return next((g for g in self.unit.inputs if self.item.family in g.families), None)


@dataclass(frozen=True)
class Heard:
    """An audio point of the design, with everything it refers to."""

    stated: plain.Sound
    point: AudioPoint
    zone: Zone | None
    microphone: book.Microphone | None
    camera: Fitted | None
    recorder: plain.Recorder
    unit: book.Recorder
    runs: tuple[LaidRun, ...]

    @property
    def place(self) -> str:
        return self.point.id

    def run(self, medium: str) -> LaidRun | None:
        """Its own run of a medium."""
        return next((r for r in self.runs if r.medium == medium), None)


@dataclass(frozen=True)
class Case:
    """Site, book and design, the design's references followed and found sound."""

    site: Site
    items: Mapping[str, AnyItem]
    offers: Sequence[Offer]
    design: plain.Design
    cameras: tuple[Fitted, ...]
    sounds: tuple[Heard, ...]
    recorders: tuple[tuple[plain.Recorder, book.Recorder], ...]
    runs: Mapping[str, LaidRun]
    supplies: Mapping[str, tuple[plain.PowerUnit, book.Supply]]
    switches: Mapping[str, tuple[plain.PowerUnit, book.Switch]]
    injectors: Mapping[str, tuple[plain.PowerUnit, book.Injector]]

    def of_zone(self, zone: Zone) -> list[Fitted]:
        """The cameras of a zone."""
        return self._by_zone[zone.id]

    def on(self, recorder: plain.Recorder) -> list[Fitted]:
        """The cameras recorded on a unit."""
        return self._by_recorder[recorder.id]

    def heard_on(self, recorder: plain.Recorder) -> list[Heard]:
        """The audio points recorded on a unit."""
        return [s for s in self.sounds if s.recorder.id == recorder.id]

    def sharer(self, camera: Fitted) -> book.Microphone | None:
        """The microphone that shares the feed of a camera (ways A5 and A6)."""
        return self._sharers.get(camera.place)

    @cached_property
    def _by_zone(self) -> defaultdict[str, list[Fitted]]:
        return _grouped((c.zone.id, c) for c in self.cameras)

    @cached_property
    def _by_recorder(self) -> defaultdict[str, list[Fitted]]:
        return _grouped((c.recorder.id, c) for c in self.cameras)

    @cached_property
    def _sharers(self) -> dict[str, book.Microphone | None]:
        return {
            s.stated.camera: s.microphone
            for s in self.sounds
            if s.stated.way in ("A5", "A6") and s.stated.camera is not None
        }


def _grouped(pairs: Iterable[tuple[str, Fitted]]) -> defaultdict[str, list[Fitted]]:
    groups: defaultdict[str, list[Fitted]] = defaultdict(list)
    for key, camera in pairs:
        groups[key].append(camera)
    return groups


def on_mounts(case: Case) -> list[Fitted]:
    """The cameras on mounts of the plan."""
    return [c for c in case.cameras if c.mount is not None and c.stated.aim is not None]


def own_reach(camera: book.Camera, zone: PlanZone) -> float:
    """How far a camera sees at night in a zone; endless where the zone's light does. [m]"""
    light = zone.night if zone.night in ("lit", "dark") else parse(zone.night, "light")
    lux = (camera.lux_colour, camera.lux_mono)
    if night_ok(light, zone.night_colour, None, *lux, 1)[0]:
        return math.inf
    own = camera.infrared
    if own and night_ok(light, zone.night_colour, own, *lux, own)[0]:
        return float(own)
    return 0.0
