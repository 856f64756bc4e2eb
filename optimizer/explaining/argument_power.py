"""Why no camera gets enough volts: the nearest of all feeds, as a sum that can be done by hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from optimizer.engineering.copper import awg_diameter_mm, resistance_per_m, voltage_at_load
from optimizer.instance import Instance, Memory, ZoneTable
from optimizer.instance.amounts import CM_PER_M, up_float
from optimizer.instance.feeding import Load
from optimizer.instance.options import Conductor, Option, SupplyGroup
from optimizer.instance.wiring import Place, Wirer, camera_loads, place_of
from optimizer.pricebook.schema import Camera
from optimizer.solving.proof import ArgumentStep
from optimizer.solving.wording import count

_PI_QUARTER = 0.7853981633974483
LOAD = "a load of constant power: U x U - V x U + P x R = 0"
COPPER = "solid copper by gauge: ASTM B258, IEC 60028"


@dataclass(frozen=True)
class Feed:
    """A camera at the end of a feed that is not enough.

    Attributes
    ----------
    over : str
        The conductors, in words.
    origin : str
        Where they are from.
    volts : float or None
        At the camera; None where no steady current flows. [V]
    milliamps : int
        What it then draws; 0 where none flows.
    most : int
        Most that an output may give. [mA]
    """

    camera: str
    load: Load
    conductor: Conductor
    over: str
    origin: str
    group: SupplyGroup
    ohm: float
    volts: float | None
    milliamps: int
    most: int

    @property
    def nearness(self) -> tuple[int, float]:
        """How near it comes to being enough; larger is nearer."""
        supply = self.group.millivolts / 1000
        if self.volts is None:
            return 0, supply**2 / (4 * self.load.watts * self.ohm)
        if self.volts < float(self.load.low):
            return 1, self.volts / float(self.load.low)
        return 2, self.most / self.milliamps


def nearest(instance: Instance, table: ZoneTable, items: Sequence[str]) -> Feed | None:
    """Of all feeds of some cameras that one which is nearest to enough; None if there is none.

    Parameters
    ----------
    items : sequence of str
        Cameras that can be seen with and not be fed.
    """
    site, book = instance.site, instance.book
    wirer = Memory().of(site, book, instance.cables, instance.supplies).wirer
    place = place_of(table.zone)
    best: Feed | None = None
    for item in items:
        camera = book.items[item]
        assert isinstance(camera, Camera)
        for load, conductor, over, origin in _ways(wirer, place, camera):
            for group, most in wirer.feeder.room.items():
                tried = _tried(wirer, item, load, conductor, over, origin, group, most)
                if tried is not None and (best is None or tried.nearness > best.nearness):
                    best = tried
    return best


def _ways(wirer: Wirer, place: Place, camera: Camera) -> Iterator[tuple[Load, Conductor, str, str]]:
    """Loads and the conductors that could feed them."""
    loads = camera_loads(camera)
    if camera.family == "network":
        paths = list(wirer.data_paths(place))
    else:
        paths = list(wirer.coax_paths(place, camera.family))
    for path in paths:
        if path.own is not None:
            words, origin = _named(place, path.option, path.own)
            for load in loads:
                yield replace(load, watts=load.watts + path.extra_watts), path.own, words, origin
    if any(path.own is None for path in paths):
        for pair in wirer.laid("power_pair", place):
            if pair.existing is not None:
                gauge = int(place.existing[pair.existing].gauge or 0)
            else:
                gauge = int(wirer.cables[pair.pieces[0]].cable.gauge or 0)
            conductor = Conductor(gauge, pair.length_cm)
            words, origin = _named(place, pair, conductor)
            for load in loads:
                yield load, conductor, words, origin


def _named(place: Place, option: Option, conductor: Conductor) -> tuple[str, str]:
    """Conductors in words, and where they are from."""
    length = f"{conductor.length_cm / CM_PER_M:g} m"
    if option.existing is not None:
        medium = place.existing[option.existing].medium.replace("_", " ")
        words, origin = f"the existing {medium}, {length}", "site file"
    else:
        words, origin = f"{option.pieces[0]}, {length}", f"book: {option.pieces[0]}"
    if conductor.pairs > 1:
        words += f", {conductor.pairs} pairs side by side"
    return words, origin


def _tried(
    wirer: Wirer,
    item: str,
    load: Load,
    conductor: Conductor,
    over: str,
    origin: str,
    group: SupplyGroup,
    most: int,
) -> Feed | None:
    supply = group.millivolts / 1000
    if group.feed != load.feed or supply > load.high:
        return None
    metres = conductor.length_cm / CM_PER_M
    ohm = 2 * metres * resistance_per_m(conductor.gauge, wirer.feeder.celsius) / conductor.pairs
    volts = voltage_at_load(supply, load.watts, ohm)
    drawn = 0 if volts is None else up_float(load.watts / volts * 1000)
    return Feed(item, load, conductor, over, origin, group, ohm, volts, drawn, most)


def power_steps(
    instance: Instance, table: ZoneTable, items: Sequence[str]
) -> Iterator[ArgumentStep]:
    """The steps by which cameras are out for want of volts."""
    zone = table.zone
    run = f"zones.{table.name}/run"
    mains = "there is mains" if zone.mains else "there is no mains"
    feed = nearest(instance, table, items)
    if feed is None:
        yield ArgumentStep(
            text=f"{count(len(items), 'camera item')} out: {mains} at {table.name}, and no "
            f"conductor that brings power can lie along its {zone.run} m.",
            requirements=(run,),
            origin="site file; book: cables, leads",
        )
        return
    load, group = feed.load, feed.group
    yield ArgumentStep(
        text=f"{count(len(items), 'camera item')} out for want of volts; the one that comes "
        f"nearest is {feed.camera}. It takes {load.watts:g} W of {load.feed} and works from "
        f"{load.low:f} to {load.high:f} V.",
        origin=f"book: {feed.camera}",
    )
    yield ArgumentStep(
        text=f"At {table.name} {mains}, so its power comes from the equipment room, best over "
        f"{feed.over}.",
        requirements=(run,),
        origin=feed.origin if feed.origin == "site file" else f"site file; {feed.origin}",
    )
    celsius = float(instance.site.assumptions.conductor_temperature)
    gauge, metres = feed.conductor.gauge, feed.conductor.length_cm / CM_PER_M
    each = resistance_per_m(gauge, celsius)
    area = _PI_QUARTER * awg_diameter_mm(gauge) ** 2
    shared = f" / {feed.conductor.pairs}" if feed.conductor.pairs > 1 else ""
    yield ArgumentStep(
        text=f"{gauge} AWG is {area:.3g} mm2, {1000 * each:.4g} ohm a kilometre at {celsius:g} C: "
        f"there and back 2 x {metres:g} m x {each:.4g} ohm/m{shared} = {feed.ohm:.4g} ohm.",
        origin=COPPER,
    )
    yield _outcome(feed, group.millivolts / 1000)


def _outcome(feed: Feed, supply: float) -> ArgumentStep:
    """What is left at the camera, with the resistance as it was told, so that the sum closes."""
    load, ohm = feed.load, float(f"{feed.ohm:.4g}")
    under = supply**2 - 4 * load.watts * ohm
    start = f"The best supply that it may have gives {supply:g} V."
    below = f"{supply:g} x {supply:g} - 4 x {load.watts:g} W x {ohm:g} ohm"
    if feed.volts is None:
        text = (
            f"{start} {below} = {under:.4g} is less than nothing, so no steady current flows: at "
            f"most {supply:g} x {supply:g} / (4 x {ohm:g}) = {supply**2 / (4 * ohm):.3g} W get "
            "through at all."
        )
    else:
        text = (
            f"{start} At the camera ({supply:g} + root of ({below})) / 2 = ({supply:g} + root of "
            f"{under:.4g}) / 2 = {feed.volts:.4g} V are left"
        )
        if feed.volts < float(load.low):
            text += f", less than {load.low:f} V."
        else:
            text += (
                f", where it draws {feed.milliamps:,} mA: more than the {feed.most:,} mA that an "
                "output may give."
            )
    return ArgumentStep(text=text, origin=f"book: supplies; {LOAD}")


__all__ = ["Feed", "nearest", "power_steps"]
