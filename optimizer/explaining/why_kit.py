"""What the reasons of all lines look at: a design beside the tables it was chosen from."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from optimizer.design import Camera, Design, PowerUnit, Recorder, Run
from optimizer.engineering.copper import loop_resistance, voltage_at_load
from optimizer.errors import listed
from optimizer.instance import Instance, Memory, ZoneTable, build_instance
from optimizer.instance.amounts import CM_PER_M
from optimizer.instance.optics import View
from optimizer.instance.streams import Level
from optimizer.pricebook import schema as items
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import AnyItem
from optimizer.site.schema import Site, Zone
from optimizer.solving.variants import OtherItem
from optimizer.units import money_text

MOST_PLACES = 4
"""Places named in one finding; the rest are counted."""


@dataclass(frozen=True)
class Verdict:
    """What the comparison with one cheaper item gave.

    Attributes
    ----------
    limit : str
        The limit that takes it out by itself; empty if there is none.
    demand : str
        Requirement id behind the limit; empty for a fact.
    remote : bool
        It is of another signal family: nobody would have expected it here.
    """

    item: str
    price: int
    place: str
    limit: str
    demand: str = ""
    remote: bool = False


@dataclass(frozen=True)
class Load:
    """What hangs on an output in the design.

    Attributes
    ----------
    ohm : float
        Loop resistance of the copper in between.
    extra : float
        Drawn beside the camera, by a microphone or baluns. [W]
    """

    place: str
    camera: items.Camera | None
    microphone: items.Microphone | None
    ohm: float
    extra: float
    words: str

    def watts(self, feed: str) -> float | None:
        """Draw on a feed; None where the load cannot be fed so. [W]"""
        if self.camera is None:
            return self.extra if feed == "12 V DC" else None
        own = next((float(f.watts) for f in self.camera.feeds if f.feed == feed), None)
        shared = self.microphone is not None and feed != "12 V DC"
        return None if own is None or shared else own + self.extra

    def range(self, feed: str) -> tuple[float, float]:
        """Lowest and highest voltage that every part of it accepts. [V]"""
        spans = [f.volts for f in self.camera.feeds if f.feed == feed] if self.camera else []
        if self.microphone is not None and self.microphone.volts is not None:
            spans.append(self.microphone.volts)
        return float(max(s.low for s in spans)), float(min(s.high for s in spans))

    def refused(self, feed: str, volts: float, ohm: float | None = None) -> str:
        """Why a supply of some voltage cannot feed it; empty if it can."""
        watts = self.watts(feed)
        if watts is None:
            return f"{feed} does not feed what is at {self.place}"
        low, high = self.range(feed)
        if volts > high:
            return f"{volts:g} V is more than the {high:g} V that {self.place} takes"
        left = voltage_at_load(volts, watts, self.ohm if ohm is None else ohm)
        if left is None:
            return f"no steady voltage is left at {self.place}"
        if left < low * (1 - 1e-12):
            # Rounded down, so that what is too little never reads as enough.
            kept = math.floor(left * 100) / 100
            return f"{kept:.2f} V of {volts:g} V are left at {self.place}, it needs {low:g} V"
        return ""

    def amps(self, feed: str, volts: float) -> float:
        """Current drawn, where it can be fed. [A]"""
        watts = self.watts(feed) or 0.0
        left = voltage_at_load(volts, watts, self.ohm)
        assert left is not None
        return watts / left


@dataclass(frozen=True)
class Kit:
    """A design with the site and the book that it is for."""

    site: Site
    book: LoadedBook
    design: Design
    memory: Memory | None = None

    @cached_property
    def instance(self) -> Instance:
        """Tables with everything that fits, also what other things are better than.

        On a plan only what the answer was chosen from: no more ways to aim were looked at.
        """
        reduce = bool(self.site.areas)
        return build_instance(self.site, self.book, reduce=reduce, memory=self.memory)

    @cached_property
    def tables(self) -> dict[str, ZoneTable]:
        """Zone id to its table."""
        return {zone.id: table for table in self.instance.zones for zone in table.zones}

    @cached_property
    def zones(self) -> dict[str, Zone]:
        """Zone id to zone; a mount that bears a camera stands in the form of a zone."""
        zones = {zone.id: zone for zone in self.site.views}
        if not self.site.areas:
            return zones
        # Geometry is loaded for sites with a plan only.
        from optimizer.explaining.why_plan import mount_zones

        return zones | mount_zones(self.site, self.design.cameras)

    @cached_property
    def runs(self) -> dict[str, Run]:
        """Run id to run."""
        return {run.id: run for run in self.design.runs}

    @cached_property
    def in_zone(self) -> dict[str, int]:
        """Zone id to the number of its cameras."""
        counts: dict[str, int] = {}
        for camera in self.design.cameras:
            counts[camera.zone] = counts.get(camera.zone, 0) + 1
        return counts

    @cached_property
    def units(self) -> dict[str, PowerUnit | Recorder]:
        """Unit id to everything that may feed."""
        design = self.design
        every: list[PowerUnit | Recorder] = [
            *design.supplies,
            *design.switches,
            *design.injectors,
            *design.recorders,
        ]
        return {unit.id: unit for unit in every}

    def camera_item(self, camera: Camera) -> items.Camera:
        """The item of a camera of the design."""
        item = self.book.items[camera.item]
        assert isinstance(item, items.Camera)
        return item

    def view(self, camera: Camera) -> tuple[View, tuple[Level, ...]]:
        """The view of a camera of the design and the pictures recorders keep of it."""
        if camera.aim is not None:
            from optimizer.explaining.why_plan import mount_view

            return mount_view(self, camera)
        count = self.in_zone[camera.zone]
        return next(
            (candidate.view, candidate.levels)
            for candidate in self.tables[camera.zone].candidates
            if candidate.view.camera.id == camera.item and candidate.view.count == count
        )

    def cheaper(self, item: AnyItem) -> Iterator[AnyItem]:
        """Items of the same kind with a lower list price, dearest first."""
        others = [
            one
            for one in self.book.items.values()
            if one.kind == item.kind and one.price < item.price
        ]
        yield from sorted(others, key=lambda one: -one.price)

    def forbidden(self, item: AnyItem, place: str = "") -> Verdict | None:
        """The verdict on an item that the site forbids."""
        if item.id not in self.site.policy.forbid:
            return None
        return Verdict(
            item.id, item.price, place, "the site forbids it", f"policy/forbid.{item.id}"
        )

    def conductor(self, run: Run) -> int:
        """Gauge of a run's power conductors. [AWG]"""
        if run.existing is not None:
            zone = self.zones[run.place.partition("/")[0]]
            return int(zone.existing[run.existing].gauge or 0)
        laid = self.book.items[run.items[0]]
        assert isinstance(laid, items.Laid)
        return int(laid.gauge or 0)

    def loads(self, unit: str) -> list[Load]:
        """Cameras and microphones that a supply of the design feeds."""
        found = [self._camera_load(c) for c in self.design.cameras if c.power.unit == unit]
        return found + [
            self._microphone_load(sound.point, sound.microphone, sound.runs, sound.power.way)
            for sound in self.design.audio
            if sound.power.unit == unit
        ]

    def _camera_load(self, camera: Camera) -> Load:
        shared = next(
            (
                s.microphone
                for s in self.design.audio
                if s.camera == f"{camera.zone}/{camera.number}" and s.power.way == "camera"
            ),
            None,
        )
        microphone = None if shared is None else self.book.items[shared]
        assert microphone is None or isinstance(microphone, items.Microphone)
        extra = 0.0 if microphone is None else float(microphone.watts)
        pairs, run = 1, self.power_run(camera)
        if camera.balun is not None and camera.power.way == "own_pair":
            balun = self.book.items[camera.balun]
            assert isinstance(balun, items.Balun)
            pairs, extra = balun.power_pairs, extra + float(balun.watts)
        place = f"{camera.zone}/{camera.number}"
        return self._load(place, self.camera_item(camera), microphone, run, pairs, extra)

    def power_run(self, camera: Camera) -> Run | None:
        """The run whose conductors feed a camera; None where it is fed at the spot."""
        runs = [self.runs[name] for name in camera.runs]
        if camera.power.way == "own_pair":
            return runs[0]
        if camera.power.way == "separate_pair":
            return next(run for run in runs if run.medium == "power_pair")
        return None

    def _microphone_load(
        self, point: str, item: str | None, names: tuple[str, ...], way: str
    ) -> Load:
        microphone = self.book.items[str(item)]
        assert isinstance(microphone, items.Microphone)
        runs = [self.runs[name] for name in names]
        run = None
        if way != "local":
            run = next(r for r in runs if r.medium in ("power_pair", "lead"))
        return self._load(point, None, microphone, run, 1, float(microphone.watts))

    def _load(
        self,
        place: str,
        camera: items.Camera | None,
        microphone: items.Microphone | None,
        run: Run | None,
        pairs: int,
        extra: float,
    ) -> Load:
        ohm, words = 0.0, "at the spot"
        if run is not None:
            gauge, length = self._gauge(run), run.length_cm / CM_PER_M
            ohm = self.ohm(gauge, length) / pairs
            words = f"{length:.1f} m of {gauge} AWG"
        return Load(place, camera, microphone, ohm, extra, words)

    def _gauge(self, run: Run) -> int:
        point = next((p for p in self.site.audio.points if p.id == run.place), None)
        if point is not None and run.existing is not None:
            return int(point.existing[run.existing].gauge or 0)
        return self.conductor(run)

    def ohm(self, gauge: int, metres: float) -> float:
        """Loop resistance at the temperature that the site takes for granted. [ohm]"""
        return loop_resistance(gauge, metres, float(self.site.assumptions.conductor_temperature))


def gathered(verdicts: list[Verdict], most: int) -> tuple[tuple[OtherItem, ...], tuple[str, ...]]:
    """Verdicts as findings: the same limit at several places once, the dearest items first, those
    of other signal families last and once.

    An item that would do at any of its places is no finding of the other places' limits alone: it
    is listed with them and among those that would do.
    """
    would_do = tuple(dict.fromkeys(v.item for v in verdicts if not v.limit))
    places: dict[tuple[str, int, str, str, bool], list[str]] = {}
    for v in verdicts:
        if v.limit:
            places.setdefault((v.item, v.price, v.limit, v.demand, v.remote), []).append(v.place)
    ranked = sorted(places.items(), key=lambda kv: (kv[0][4], -kv[0][1]))
    # Each place is told its nearest cheaper items, so that none is crowded out by another.
    told: dict[str, int] = {}
    far: set[str] = set()
    others = []
    for (item, price, limit, demand, remote), where in ranked:
        if all(told.get(place, 0) >= most or (remote and place in far) for place in where):
            continue
        for place in where:
            told[place] = told.get(place, 0) + 1
        if remote:
            far.update(where)
        others.append(
            OtherItem(
                item=item,
                price=money_text(price),
                place=listed(dict.fromkeys(p for p in where if p), MOST_PLACES),
                limit=limit,
                demand=demand,
            )
        )
    return tuple(others), would_do
