"""Which camera can look at a zone, how many of it, and what it asks of a recorder.

For the brute force, read from ``optimizer/RULES.md`` without the second opinion's readings.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import Any

from optimizer.engineering import light, protection, video
from optimizer.site.schema import Site


class Views:
    """Reads one site with one book."""

    def __init__(self, site: Site, items: dict[str, Any]) -> None:
        self.site = site
        self.items = list(items.values())

    def all(self, kind: str) -> list[Any]:
        return [item for item in self.items if item.kind == kind]

    def fits(self, zone: Any, camera: Any) -> bool:
        site = self.site
        if camera.family not in site.policy.families or camera.frame_rate < zone.frame_rate:
            return False
        if zone.place == "outdoors" and not camera.outdoors:
            return False
        if zone.ingress and not (
            camera.ingress and protection.ip_at_least(camera.ingress, zone.ingress)
        ):
            return False
        if zone.impact and not (
            camera.impact and protection.ik_at_least(camera.impact, zone.impact)
        ):
            return False
        if zone.temperature:
            cold, hot = zone.temperature
            if cold < camera.temperature[0] or hot > camera.temperature[1]:
                return False
        night = (
            zone.night
            if zone.night in ("lit", "dark")
            else Fraction(zone.night.replace("lux", "").replace("lx", "").strip())
        )
        seen, _ = light.night_ok(
            night,
            zone.night_colour,
            camera.infrared,
            camera.lux_colour,
            camera.lux_mono,
            zone.distance,
        )
        if not seen or (zone.discreet and not camera.discreet):
            return False
        if zone.steerable and (not camera.steerable or camera.control == "none"):
            return False
        return camera.family != "network" or site.recording.codec in camera.codecs

    def recorder_fits(self, recorder: Any) -> bool:
        ask = self.site.recording
        for kind in ("hdmi", "vga", "composite"):
            if getattr(ask.displays, kind) > recorder.displays.get(kind, 0):
                return False
        for way in ask.export:
            if way == "optical":
                if recorder.optical == "none":
                    return False
            elif way not in recorder.export:
                return False
        return ask.codec in recorder.codecs

    def kept(self, family: str) -> Iterator[Any]:
        """Inputs for a family of every recorder that the site can use at all."""
        for recorder in self.all("recorder"):
            places = recorder.bays
            if "optical" in self.site.recording.export and recorder.optical != "built_in":
                if not self.all("optical_writer"):
                    continue
                places -= recorder.optical == "drive_bay"
            stands = {
                0: {"": 1},
                1: {"mirror": 2, "5": 3, "6": 4, "10": 4},
                2: {"6": 4},
            }[self.site.recording.drive_failures]
            formed = any(
                places >= fewest and (not array or array in recorder.arrays)
                for array, fewest in stands.items()
            )
            driven = any(drive.capacity <= recorder.largest_drive for drive in self.all("drive"))
            if formed and driven and self.recorder_fits(recorder):
                yield from (group for group in recorder.inputs if family in group.families)

    def counts(self, zone: Any, camera: Any, wanted: bool) -> list[int]:
        """How many cameras may stand: no more than some recorded picture needs, unless wanted."""
        able = range(1, zone.most_cameras + 1)
        enough = [
            [count for count in able if self.shows(zone, camera, count, group)]
            for group in self.kept(camera.family)
        ]
        return sorted({n for counts in enough for n in (counts if wanted else counts[:1])})

    def shows(self, zone: Any, camera: Any, count: int, group: Any) -> bool:
        wide = Fraction(zone.width) / count
        sensor, distance = Fraction(camera.sensor_width), Fraction(zone.distance)
        focal = min(Fraction(camera.focal[1]), sensor * distance / wide)
        if focal < Fraction(camera.focal[0]):
            return False
        return (
            min(camera.picture[0], group.picture[0]) * focal
            >= self.site.detail_px_m(zone) * sensor * distance
        )

    def demand(self, zone: Any, camera: Any, group: Any) -> tuple[int, int, int]:
        """kpx/s, kbit/s and GB of one camera on inputs of this group."""
        ask = self.site.recording
        rate = (
            min(camera.picture[0], group.picture[0])
            * min(camera.picture[1], group.picture[1])
            * Fraction(zone.frame_rate)
        )
        bits = rate * video.BITS_PER_PIXEL[ask.codec][ask.activity]
        if camera.id in ask.measured:
            bits = Fraction(ask.measured[camera.id])
        if zone.bit_rate is not None:
            bits = Fraction(zone.bit_rate)
        days = ask.retention if zone.retention is None else zone.retention
        return (
            ceil(rate / 1000),
            ceil(bits / 1000),
            self.stored(bits, Fraction(zone.recorded) * Fraction(days)),
        )

    def stored(self, bits: Fraction, days: Fraction) -> int:
        share = (1 + Fraction(self.site.spare.storage)) / (
            1 - Fraction(self.site.recording.reserve)
        )
        return ceil(bits * 86400 * days * share / (8 * 10**9))
