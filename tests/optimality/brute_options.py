"""What one camera or one audio point could be, listed out for the brute force.

Read from ``optimizer/RULES.md`` a second time, without the second opinion's readings: only the
schemas and ``optimizer.engineering`` are shared with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations_with_replacement
from math import ceil, floor
from typing import Any

from optimizer.engineering import copper, poe, protection, reach
from optimizer.site.schema import Site
from tests.optimality.brute_parts import Line, Part, Way
from tests.optimality.brute_views import Views


class Options(Views):
    """Lists the ways of one site with one book."""

    def __init__(self, site: Site, items: dict[str, Any]) -> None:
        super().__init__(site, items)
        self.allowance = Fraction(site.assumptions.end_allowance)

    def laid(self, place: Any, item: Any) -> bool:
        return protection.route_ok(place.route, item.fire, item.outdoor, item.burial)

    def cut(self, place: Any) -> int:
        return ceil((Fraction(place.run) + 2 * self.allowance) * 100)

    def pull(self, place: Any) -> int:
        labour = self.site.policy.labour
        return ceil(Fraction(labour.rate) * Fraction(labour.pulling) * Fraction(place.run) / 60)

    def cables(self, place: Any, medium: str) -> Iterator[tuple[Any, Part, Fraction]]:
        """Each new cable of a medium that can lie and be cut there, with its length."""
        need = self.cut(place)
        for item in self.all("cable"):
            if (
                item.medium == medium
                and self.laid(place, item)
                and need <= floor(Fraction(item.box) * 100)
            ):
                yield (
                    item,
                    Part(cuts=((item.id, need),), labour=self.pull(place)),
                    Fraction(need, 100),
                )

    def existing(self, place: Any, *media: str) -> Iterator[tuple[Any, Part]]:
        for index, old in enumerate(place.existing):
            if old.medium in media:
                yield old, Part(old=((place.id, index),))

    def leads(self, place: Any, wanted: list[set[str]]) -> Iterator[tuple[Any, Part, Fraction]]:
        usable = [i for i in self.all("lead") if set(i.carries) in wanted and self.laid(place, i)]
        for joints in range(self.site.policy.most_joints + 1):
            for group in combinations_with_replacement(usable, joints + 1):
                length = sum((Fraction(i.length) for i in group), Fraction(0))
                if length < Fraction(place.run):
                    continue
                if joints and (
                    len({i.series for i in group}) > 1 or not all(i.joinable for i in group)
                ):
                    continue
                coupler = (group[0].coupler,) * joints if group[0].coupler else ()
                pieces = tuple((i.id, 1) for i in group)
                yield group[0], Part(pieces=pieces, joints=coupler, labour=self.pull(place)), length

    def paths(self, zone: Any, family: str) -> Iterator[Way]:
        if family == "network":
            yield from self.data_paths(zone)
            return
        for medium, kind in (("coax_power", "V1"), ("coax", "V2")):
            for item, part, length in self.cables(zone, medium):
                if length <= Fraction(
                    item.reach.get(family) or reach.signal_reach_m(family, item.fit)
                ):
                    ends = replace(part, name=kind, ends=(("bnc", item.fit),) * 2)
                    yield Way(kind, ends, (int(item.gauge), length, 1) if kind == "V1" else None)
        for old, part in self.existing(zone, "coax_power", "coax"):
            if Fraction(old.length) <= reach.signal_reach_m(family, old.fit):
                ends = replace(
                    part, name="V3", ends=() if old.terminated else (("bnc", old.fit),) * 2
                )
                yield Way(
                    "V3",
                    ends,
                    (int(old.gauge), Fraction(old.length), 1)
                    if old.medium == "coax_power"
                    else None,
                )
        for balun in self.all("balun"):
            if family not in balun.families:
                continue
            pairs = balun.power_pairs
            both = Part("V4", pieces=((balun.id, 2),))
            for item, part, length in self.cables(zone, "category"):
                if length <= Fraction(balun.reach):
                    yield Way(
                        "V4",
                        both + part,
                        (int(item.gauge), length, pairs) if pairs else None,
                        balun=balun,
                    )
            for old, part in self.existing(zone, "category"):
                if Fraction(old.length) <= Fraction(balun.reach):
                    line = (int(old.gauge), Fraction(old.length), pairs) if pairs else None
                    yield Way("V4", both + part, line, balun=balun)
        for lead, part, length in self.leads(
            zone, [{"video", "power"}, {"video", "power", "audio"}]
        ):
            if length <= Fraction(lead.reach.get(family) or reach.signal_reach_m(family, lead.fit)):
                yield Way(
                    "V5",
                    replace(part, name="V5"),
                    (int(lead.gauge), length, 1),
                    True,
                    "audio" in lead.carries,
                )

    def data_paths(self, zone: Any) -> Iterator[Way]:
        for item, part, length in self.cables(zone, "category"):
            if length <= 100:
                yield Way("D1", replace(part, name="D1", ends=(("rj45", item.fit),) * 2))
        for old, part in self.existing(zone, "category"):
            if old.length <= 100:
                yield Way(
                    "D2",
                    replace(
                        part, name="D2", ends=() if old.terminated else (("rj45", old.fit),) * 2
                    ),
                )
        for _, part, length in self.leads(zone, [{"data"}]):
            if length <= 100:
                yield Way("D3", replace(part, name="D3"))

    def milliamps(
        self, supply: Any, line: Line | None, watts: Fraction, spans: list[Any]
    ) -> int | None:
        volts = Fraction(supply.volts)
        if line is None:
            at_load: Any = volts
        else:
            gauge, length, pairs = line
            ohms = copper.loop_resistance(
                gauge, float(length), float(self.site.assumptions.conductor_temperature)
            )
            at_load = copper.voltage_at_load(float(volts), float(watts), ohms / pairs)
        if at_load is None:
            return None
        for low, high in spans:
            if volts > Fraction(high) or at_load < low:
                return None
        amount = watts / volts * 1000 if line is None else Fraction(float(watts) / at_load) * 1000
        left = 1 - Fraction(self.site.spare.supply)
        most = min(
            floor(left * Fraction(supply.output_amps) * 1000),
            floor(left * Fraction(supply.total_amps) * 1000),
        )
        return ceil(amount) if ceil(amount) <= most else None

    def adapters(self, feed: str, watts: Fraction, spans: list[Any]) -> Iterator[Part]:
        for supply in self.all("supply"):
            if supply.form != "adapter" or supply.feed != feed:
                continue
            if self.milliamps(supply, None, watts, spans) is not None:
                plugs = (supply.mains_lead,) if supply.mains_lead else ()
                yield Part("F3", pieces=((supply.id, 1),), plugs=plugs)

    def room(
        self, feed: str, line: Line, lead: bool, watts: Fraction, spans: list[Any]
    ) -> Iterator[Part]:
        """One output of each supply that can do it, with the pigtail at the supply."""
        for supply in self.all("supply"):
            if supply.feed == feed:
                current = self.milliamps(supply, line, watts, spans)
                if current is not None:
                    yield Part(
                        loads=((supply.id, current),),
                        female=int(supply.ends == "barrel" and not lead),
                        male=int(supply.ends == "screw" and lead),
                    )

    def pairs(self, place: Any, medium: str = "power_pair") -> Iterator[tuple[Part, Line]]:
        for item, part, length in self.cables(place, medium):
            yield part, (int(item.gauge or 0), length, 1)
        for old, part in self.existing(place, medium):
            yield part, (int(old.gauge or 0), Fraction(old.length), 1)

    def outside(self, point: Any) -> bool:
        return point.place == "outdoors" or any(
            z.place == "outdoors" for z in self.site.zones if z.id == point.zone
        )

    def microphones(self, point: Any, plug_in: bool = False) -> list[Any]:
        return [
            m
            for m in self.all("microphone")
            if (m.outdoors or not self.outside(point))
            and (m.plug_in if plug_in else m.volts is not None)
        ]

    def camera(self, zone: Any, camera: Any) -> list[Part]:
        """Every way to wire, feed and steer one camera; `point` names a point that it carries."""
        found = []
        points = [
            p for p in self.site.audio.points if p.zone == zone.id and p.power in ("any", "camera")
        ]
        for way in self.paths(zone, camera.family):
            for feed, own in self.feeds(zone, camera, way, points):
                for steer in self.steering(zone, camera, way, own):
                    part = way.part + feed + steer
                    found.append(part)
                    if not part.point:
                        found += [
                            part + ear for point in points for ear in self.ears(camera, way, point)
                        ]
        return found

    def feeds(
        self, zone: Any, camera: Any, way: Way, points: list[Any]
    ) -> Iterator[tuple[Part, bool]]:
        """Each feed, and whether it is the path's own pair."""
        network = camera.family == "network"
        terminals = camera.power_plug == "terminals"
        lines: list[tuple[Part, Line, bool, bool]] = []
        # What draws power at the far end of the path has it through the path.
        bound = way.kind in ("V1", "V5") or (way.balun is not None and way.balun.watts > 0)
        if way.line is not None:
            lines.append((Part("F1"), way.line, way.lead, True))
        if not bound:
            lines += [(replace(p, name="F2"), line, False, False) for p, line in self.pairs(zone)]
        for start, line, lead, own in lines:
            balun = Fraction(way.balun.watts) if own and way.balun else Fraction(0)
            for feed in camera.feeds:
                for end in self.room(
                    feed.feed, line, lead, Fraction(feed.watts) + balun, [feed.volts]
                ):
                    tail = Part(
                        male=int(not terminals and not lead),
                        female=int(terminals and lead),
                        plain=network,
                    )
                    yield start + end + tail, own
                if network or feed.feed != "12 V DC":
                    continue
                for point in points:
                    for microphone in self.microphones(point):
                        watts = Fraction(feed.watts) + balun + Fraction(microphone.watts)
                        for end in self.room(
                            feed.feed, line, lead, watts, [feed.volts, microphone.volts]
                        ):
                            tail = Part(
                                pieces=((microphone.id, 1),),
                                male=int(not lead),
                                female=int(terminals),
                                splitters=1,
                                point=point.id,
                            )
                            if way.audio:
                                yield start + end + replace(tail, name="A5"), own
                            yield start + end + replace(tail, name="A6", wants_pair=True), own
        if zone.mains and not bound:
            for feed in camera.feeds:
                for part in self.adapters(feed.feed, Fraction(feed.watts), [feed.volts]):
                    yield part + Part(female=int(terminals), plain=network), False
        if network and camera.poe_class is not None:
            need = round(poe.source_watts(camera.poe_class) * 100)
            yield Part("F4", powered=("switch", need)), False
            yield Part("F4", powered=("recorder", need)), False
            for injector in self.all("injector"):
                if round(poe.source_watts(injector.poe_class) * 100) >= need:
                    plugs = (injector.mains_lead,) if injector.mains_lead else ()
                    yield Part("F4", pieces=((injector.id, 1),), plugs=plugs, plain=True), False

    def steering(self, zone: Any, camera: Any, way: Way, own: bool) -> Iterator[Part]:
        if not zone.steerable:
            yield Part()
        elif camera.control == "network":
            if camera.family == "network":
                yield Part("steer")
        elif camera.control == "coax":
            if way.kind in ("V1", "V2", "V3", "V5"):
                yield Part("steer")
        elif camera.control == "rs485" and zone.run <= reach.RS485_REACH_M:
            for part, _ in self.pairs(zone, "control_pair"):
                yield part
            if way.kind == "V4" and 2 + (way.balun.power_pairs if own else 0) <= 4:
                yield Part("free pair")

    def ears(self, camera: Any, way: Way, point: Any) -> Iterator[Part]:
        """A7 and A8."""
        if camera.family == "network":
            if camera.audio == "built_in":
                yield Part("A7", point=point.id)
            elif camera.audio == "input":
                for microphone in self.microphones(point, plug_in=True):
                    yield Part("A7", pieces=((microphone.id, 1),), point=point.id)
        elif camera.audio == "built_in":
            if way.audio:
                yield Part("A8", point=point.id)
            yield Part("A8", point=point.id, wants_pair=True)

    def sound_pairs(self, point: Any) -> list[Part]:
        found = []
        for item, part, _ in self.cables(point, "audio_pair"):
            found.append(replace(part, ends=(("rca", item.fit),) * 2))
        for old, part in self.existing(point, "audio_pair"):
            found.append(replace(part, ends=() if old.terminated else (("rca", old.fit),) * 2))
        return found

    def point(self, point: Any) -> list[Part]:
        """A1, A3 and A4, with their audio pair."""
        found: list[Part] = []
        for microphone in self.microphones(point):
            take = Part(pieces=((microphone.id, 1),))
            watts, spans = Fraction(microphone.watts), [microphone.volts]
            if point.power in ("any", "room"):
                for signal in self.sound_pairs(point):
                    for power, line in self.pairs(point):
                        for end in self.room("12 V DC", line, False, watts, spans):
                            found.append(Part("A1", male=1) + take + signal + power + end)
                for _, part, length in self.leads(point, [{"power", "audio"}]):
                    gauge = int(next(i for i in self.items if i.id == part.pieces[0][0]).gauge)
                    for end in self.room("12 V DC", (gauge, length, 1), True, watts, spans):
                        found.append(Part("A3") + take + part + end)
            if point.power in ("any", "local") and point.mains:
                for signal in self.sound_pairs(point):
                    found += [
                        Part("A4") + take + signal + a
                        for a in self.adapters("12 V DC", watts, spans)
                    ]
        return found
