"""The numbers of ``optimizer/RULES.md``, read for the second opinion: what fits, loads and costs.

Exact fractions throughout; the page's roundings are done here and nowhere else. Only voltages
over a resistance are binary floats, as in ``optimizer.engineering``.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from optimizer.engineering.copper import loop_resistance, voltage_at_load
from optimizer.engineering.light import night_ok
from optimizer.engineering.optics import focal_to_set
from optimizer.engineering.poe import source_watts
from optimizer.engineering.protection import ik_at_least, ip_at_least, route_ok
from optimizer.engineering.video import BITS_PER_PIXEL
from optimizer.pricebook.schema import Balun, Cable, Camera, Inputs, Lead, Recorder, Supply
from optimizer.site.schema import AudioPoint, ExistingCable, Site, Zone

AUDIO_FEED = "12 V DC"
NETWORK_M = 100


def up(number: Fraction) -> int:
    return math.ceil(number)


def cm_up(metres: Any) -> int:
    return math.ceil(Fraction(metres) * 100)


def class_watts(poe_class: int) -> int:
    """Source power of a PoE class. [10 mW]"""
    return up(Fraction(str(source_watts(poe_class))) * 100)


def night_light(zone: Zone) -> str | Fraction:
    return (
        zone.night
        if zone.night in ("lit", "dark")
        else Fraction(zone.night.split()[0].removesuffix("lx").removesuffix("lux"))
    )


def camera_suits(site: Site, zone: Zone, camera: Camera) -> bool:
    """RULES 1.3 to 1.8, without optics."""
    outside = zone.place != "outdoors" or camera.outdoors
    ingress = zone.ingress is None or (
        camera.ingress is not None and ip_at_least(camera.ingress, zone.ingress)
    )
    impact = zone.impact is None or (
        camera.impact is not None and ik_at_least(camera.impact, zone.impact)
    )
    warm = zone.temperature is None or (
        camera.temperature.low <= zone.temperature.low
        and zone.temperature.high <= camera.temperature.high
    )
    night, _ = night_ok(
        night_light(zone),
        zone.night_colour,
        camera.infrared,
        camera.lux_colour,
        camera.lux_mono,
        zone.distance,
    )
    steers = not zone.steerable or (camera.steerable and control_possible(zone, camera))
    return (
        camera.family in site.policy.families
        and camera.frame_rate >= zone.frame_rate
        and outside
        and ingress
        and impact
        and warm
        and night
        and steers
        and (not zone.discreet or camera.discreet)
        and (camera.family != "network" or site.recording.codec in camera.codecs)
    )


def control_possible(zone: Zone, camera: Camera) -> bool:
    """Whether any way of steering is left, before the recorder is known."""
    if camera.control == "rs485":
        return Fraction(zone.run) <= 1200
    if camera.control == "coax":
        return camera.family != "network"
    return camera.control == "network" and camera.family == "network"


def group_of(recorder: Recorder, family: str) -> Inputs | None:
    return next((g for g in recorder.inputs if family in g.families), None)


def recorder_suits(site: Site, recorder: Recorder) -> bool:
    """Codec, export, displays and at least one bay for a drive: RULES 2.3 to 2.5."""
    asked = site.recording
    displays = {k: v for k, v in asked.displays.model_dump().items() if v}
    ways = {w for w in asked.export if w != "optical"}
    optical = "optical" not in asked.export or recorder.optical != "none"
    return (
        asked.codec in recorder.codecs
        and ways <= set(recorder.export)
        and optical
        and all(recorder.displays.get(kind, 0) >= count for kind, count in displays.items())
        and bays(site, recorder) >= 1
    )


def takes_writer(site: Site, recorder: Recorder) -> bool:
    return "optical" in site.recording.export and recorder.optical in ("own_bay", "drive_bay")


def bays(site: Site, recorder: Recorder) -> int:
    return recorder.bays - (takes_writer(site, recorder) and recorder.optical == "drive_bay")


def recorded_picture(camera: Camera, group: Inputs) -> tuple[int, int]:
    return min(camera.picture.width, group.picture.width), min(
        camera.picture.height, group.picture.height
    )


def detail_met(site: Site, zone: Zone, camera: Camera, count: int, group: Inputs) -> bool:
    """RULES 1.2."""
    focal = focal_to_set(
        camera.sensor_width,
        camera.focal.low,
        camera.focal.high,
        zone.distance,
        Fraction(zone.width) / count,
    )
    if focal is None:
        return False
    wide, _ = recorded_picture(camera, group)
    return wide * focal / (
        Fraction(camera.sensor_width) * Fraction(zone.distance)
    ) >= site.detail_px_m(zone)


@dataclass(frozen=True)
class Stream:
    """What a camera asks of a recorder."""

    kpx: int
    kbit: int
    gb: int


def stream(site: Site, zone: Zone, camera: Camera, group: Inputs) -> Stream:
    """RULES 2.1 to 2.3."""
    wide, high = recorded_picture(camera, group)
    pixels = wide * high * Fraction(zone.frame_rate)
    asked = site.recording
    if zone.bit_rate is not None:
        rate = Fraction(zone.bit_rate)
    elif camera.id in asked.measured:
        rate = Fraction(asked.measured[camera.id])
    else:
        rate = pixels * BITS_PER_PIXEL[asked.codec][asked.activity]
    gb = _gigabytes(site, rate * Fraction(zone.recorded), Fraction(site.retention_days(zone)))
    return Stream(up(pixels / 1000), up(rate / 1000), gb)


def sound_gb(site: Site, point: AudioPoint) -> int:
    zone = next((z for z in site.zones if z.id == point.zone), None)
    days = site.recording.retention if zone is None else site.retention_days(zone)
    return _gigabytes(site, Fraction(site.audio.bit_rate), Fraction(days))


def _gigabytes(site: Site, rate: Fraction, days: Fraction) -> int:
    stored = rate / 8 * 86_400 * days
    return up(
        stored * (1 + Fraction(site.spare.storage)) / (1 - Fraction(site.recording.reserve)) / 10**9
    )


def cut_cm(site: Site, place: Zone | AudioPoint) -> int:
    return cm_up(place.run + 2 * site.assumptions.end_allowance)


def may_lie(place: Zone | AudioPoint, item: Cable | Lead) -> bool:
    return route_ok(place.route, item.fire, item.outdoor, item.burial)


def lead_sets(
    site: Site, place: Zone | AudioPoint, leads: Iterable[Lead]
) -> Iterator[tuple[Lead, ...]]:
    """Every run of leads that covers the place's run: one, or joined ones of one series."""
    usable = [lead for lead in leads if may_lie(place, lead)]
    for size in range(1, site.policy.most_joints + 2):
        for chosen in itertools.combinations_with_replacement(usable, size):
            joined = size == 1 or (
                all(c.joinable for c in chosen) and len({c.series for c in chosen}) == 1
            )
            if joined and sum(Fraction(c.length) for c in chosen) >= Fraction(place.run):
                yield chosen


@dataclass(frozen=True)
class Line:
    """Power conductors from the room to a load."""

    gauge: int
    metres: Fraction
    pairs: int = 1

    def ohms(self, site: Site) -> float:
        celsius = float(site.assumptions.conductor_temperature)
        return loop_resistance(self.gauge, float(self.metres), celsius, self.pairs)


def cut_line(site: Site, place: Zone | AudioPoint, cable: Cable, pairs: int = 1) -> Line:
    return Line(int(cable.gauge or 0), Fraction(cut_cm(site, place), 100), pairs)


def old_line(cable: ExistingCable, pairs: int = 1) -> Line:
    return Line(int(cable.gauge or 0), Fraction(cable.length), pairs)


def lead_line(leads: tuple[Lead, ...]) -> Line:
    return Line(int(leads[0].gauge or 0), sum((Fraction(c.length) for c in leads), Fraction(0)))


def load_ma(
    site: Site, supply: Supply, line: Line | None, watts: Fraction, spans: list[Any]
) -> int | None:
    """Current of a load in mA rounded up, None where a limit of RULES 3 is broken.

    `line` is None for an adapter at the load. `spans` are the voltage ranges of everything on
    the feed.
    """
    volts = Fraction(supply.volts)
    if any(volts > Fraction(span.high) for span in spans):
        return None
    if line is None:
        if any(volts < Fraction(span.low) for span in spans):
            return None
        amps = watts / volts
    else:
        left = voltage_at_load(float(volts), float(watts), line.ohms(site))
        if left is None or any(left < float(span.low) for span in spans):
            return None
        amps = Fraction(float(watts) / left)
    current = up(amps * 1000)
    return current if current <= min(output_ma(site, supply), total_ma(site, supply)) else None


def output_ma(site: Site, supply: Supply) -> int:
    return math.floor((1 - Fraction(site.spare.supply)) * Fraction(supply.output_amps) * 1000)


def total_ma(site: Site, supply: Supply) -> int:
    return math.floor((1 - Fraction(site.spare.supply)) * Fraction(supply.total_amps) * 1000)


def free_pair(balun: Balun, powered: bool) -> bool:
    """Whether a category cable with these baluns has a pair left for control."""
    return 1 + (balun.power_pairs if powered else 0) + 1 <= 4


def eighths(camera: Camera) -> int:
    return up(Fraction(camera.unit_load) * 8)


def total_of(site: Site, net: int) -> int:
    """Net and tax, the tax rounded half up. [hundredth]"""
    return net + math.floor(net * Fraction(site.money.tax) + Fraction(1, 2))


def within_budget(site: Site, net: int) -> bool:
    terms = site.money
    if terms.budget is None:
        return True
    return (total_of(site, net) if terms.budget_includes_tax else net) <= terms.budget


def pulling(site: Site, place: Zone | AudioPoint) -> int:
    """Labour to lay one cable or run of leads. [hundredth]"""
    labour = site.policy.labour
    return up(labour.rate * Fraction(labour.pulling) * Fraction(place.run) / 60)


def fitting(site: Site, minutes: Any) -> int:
    """Labour to fit one connector or pigtail. [hundredth]"""
    return up(site.policy.labour.rate * Fraction(minutes) / 60)
