"""The optimum of the tiniest cases by trying everything, in plain recursion.

Every choice is tried in turn: camera and number for each zone, recorder unit for each camera, a
way to wire each camera, a way to hear each point, drives, boxes, supplies, switches, parts, and
last what to buy. A branch is left only where what its pieces cost at least is no less than the
best kit found, counting every offer as if it held for every piece.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from functools import cache
from itertools import combinations_with_replacement, product
from math import ceil, floor
from typing import Any

from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from tests.optimality.brute_limits import (
    Pieces,
    Unit,
    bears,
    by_item,
    channels,
    groupings,
    plus,
    switched,
)
from tests.optimality.brute_options import Options
from tests.optimality.brute_parts import Part
from tests.optimality.brute_prices import Prices


class TooManyWaysError(Exception):
    """The case is not one for trying everything."""


def brute_force(site: Site, book: Book, most_steps: int = 400_000) -> int | None:
    """Cheapest net in hundredths by enumeration, None where no kit meets the site and budget."""
    search = Search(site, book, most_steps)
    if all(item in search.items for item in search.demanded):
        search.zones(0, [])
    if search.best is None:
        return None
    net, terms = search.best, site.money
    paid = net
    if terms.budget_includes_tax:
        paid += floor(Fraction(terms.tax) * net + Fraction(1, 2))
    return net if terms.budget is None or paid <= terms.budget else None


class Search:
    """The recursion; `best` is the cheapest net so far."""

    def __init__(self, site: Site, book: Book, most_steps: int) -> None:
        self.site = site
        self.items: dict[str, Any] = {i.id: i for i in book.items if i.id not in site.policy.forbid}
        self.options = Options(site, self.items)
        self.demanded: dict[str, int] = {}
        for item, number in [(r.item, r.quantity) for r in site.policy.require] + [
            (o.item, o.quantity) for o in site.owned if o.pinned
        ]:
            self.demanded[item] = max(number, self.demanded.get(item, 0))
        self.prices = Prices(site, book, self.items)
        self.best: int | None = None
        self.steps = most_steps
        self.camera_parts = cache(lambda z, c: self.options.camera(site.zones[z], self.items[c]))

    def kind(self, kind: str) -> list[Any]:
        return [i for i in self.items.values() if i.kind == kind]

    def hopeless(self, pieces: Pieces, labour: int) -> bool:
        self.steps -= 1
        if self.steps < 0:
            raise TooManyWaysError
        return self.best is not None and self.prices.least(pieces) + labour >= self.best

    def zones(self, index: int, cameras: list[tuple[int, Any, int]]) -> None:
        """Camera item and number for each zone."""
        if index == len(self.site.zones):
            most = self.site.policy.most_camera_models
            if most is None or len({c.id for _, c, _ in cameras}) <= most:
                self.recorders(0, cameras, [], [])
            return
        zone = self.site.zones[index]
        for camera in self.kind("camera"):
            if self.options.fits(zone, camera):
                for count in self.options.counts(zone, camera, camera.id in self.demanded):
                    self.zones(index + 1, [*cameras, *[(index, camera, count)] * count])

    def recorders(self, index: int, cameras: list[Any], units: list[Any], where: list[int]) -> None:
        """Each camera on a unit that is there or on a new one."""
        if index == len(cameras):
            pieces = Counter(c.id for _, c, _ in cameras) + Counter(u.id for u in units)
            spare = sum(channels(u) for u in units) - len(cameras)
            if spare >= self.site.spare.channels and not self.hopeless(pieces, 0):
                self.wires(0, cameras, units, where, Counter(pieces), [])
            return
        for number in range(len(units)):
            self.recorders(index + 1, cameras, units, [*where, number])
        for item in self.kind("recorder"):
            if self.options.recorder_fits(item):
                self.recorders(index + 1, cameras, [*units, item], [*where, len(units)])

    def loaded(self, cameras: list[Any], units: list[Any], where: list[int]) -> list[Unit] | None:
        """The units with their cameras; None where a limit is broken."""
        filled = [Unit(item) for item in units]
        for (z, camera, count), number in zip(cameras, where, strict=True):
            zone, unit = self.site.zones[z], filled[number]
            group = next((g for g in unit.item.inputs if camera.family in g.families), None)
            if group is None or not self.options.shows(zone, camera, count, group):
                return None
            unit.groups[unit.item.inputs.index(group)] += 1
            kpx, kbit, gb = self.options.demand(zone, camera, group)
            unit.gb += gb
            if camera.family == "network":
                unit.kbit += kbit
            else:
                unit.kpx += kpx
            if zone.steerable and camera.control in ("rs485", "coax"):
                if camera.control not in unit.item.control:
                    return None
                if camera.control == "rs485":
                    unit.loads += ceil(Fraction(camera.unit_load) * 8)
        return filled if all(map(bears, filled)) else None

    def wires(
        self,
        index: int,
        cameras: list[Any],
        units: list[Any],
        where: list[int],
        pieces: Pieces,
        parts: list[Part],
    ) -> None:
        """A way for each camera."""
        if index == 0 and self.loaded(cameras, units, where) is None:
            return
        if index == len(cameras):
            self.points(0, cameras, units, where, pieces, parts, {})
            return
        z, camera, _ = cameras[index]
        for part in self.camera_parts(z, camera.id):
            if part.point and any(p.point and cameras[i][0] == z for i, p in enumerate(parts)):
                continue
            more = plus(pieces, part.pieces)
            if not self.hopeless(more, sum(p.labour for p in parts) + part.labour):
                self.wires(index + 1, cameras, units, where, more, [*parts, part])

    def points(
        self,
        index: int,
        cameras: list[Any],
        units: list[Any],
        where: list[int],
        pieces: Pieces,
        parts: list[Part],
        kept: dict[str, tuple[int, bool]],
    ) -> None:
        """A way for each audio point, and the unit that keeps it."""
        points = self.site.audio.points
        if index == len(points):
            self.check(cameras, units, where, pieces, parts, kept)
            return
        point = points[index]
        carriers = [i for i, p in enumerate(parts[: len(cameras)]) if p.point == point.id]
        if len(carriers) > 1:
            return
        if carriers:
            carrier = parts[carriers[0]]
            stream = "A7" in carrier.name
            keep = {**kept, point.id: (where[carriers[0]], stream)}
            for part in self.options.sound_pairs(point) if carrier.wants_pair else [Part()]:
                self.points(index + 1, cameras, units, where, pieces, [*parts, part], keep)
            return
        for part in self.options.point(point):
            more = plus(pieces, part.pieces)
            if not self.hopeless(more, sum(p.labour for p in parts) + part.labour):
                for number in range(len(units)):
                    keep = {**kept, point.id: (number, False)}
                    self.points(index + 1, cameras, units, where, more, [*parts, part], keep)

    def check(
        self,
        cameras: list[Any],
        units: list[Any],
        where: list[int],
        pieces: Pieces,
        parts: list[Part],
        kept: dict[str, tuple[int, bool]],
    ) -> None:
        """Limits that need all ways: existing cable, PoE, sound and storage; then the rest."""
        old = Counter(o for p in parts for o in p.old)
        places = {p.id: p for p in (*self.site.zones, *self.site.audio.points)}
        if any(number > places[place].existing[i].count for (place, i), number in old.items()):
            return
        filled = self.loaded(cameras, units, where)
        assert filled is not None
        for number, part in zip(where, parts, strict=False):
            if part.powered and part.powered[0] == "recorder":
                filled[number].powered.append(part.powered[1])
        for point in self.site.audio.points:
            number, stream = kept[point.id]
            days = self.site.recording.retention
            for zone in self.site.zones:
                if zone.id == point.zone and zone.retention is not None:
                    days = zone.retention
            filled[number].gb += self.options.stored(
                Fraction(self.site.audio.bit_rate), Fraction(days)
            )
            if stream:
                filled[number].kbit += ceil(Fraction(self.site.audio.bit_rate) / 1000)
            else:
                filled[number].inputs += 1
        if all(bears(unit) for unit in filled):
            self.rest(filled, pieces, parts)

    def rest(self, filled: list[Unit], pieces: Pieces, parts: list[Part]) -> None:
        """Drives, boxes, supplies and switches; the mains leads depend on these."""
        labour = sum(p.labour for p in parts)
        lists = [self.drives(unit) for unit in filled]
        lists += [
            self.boxes(cable, lengths)
            for cable, lengths in by_item(c for p in parts for c in p.cuts)
        ]
        lists += [
            self.supplies(s, loads) for s, loads in by_item(c for p in parts for c in p.loads)
        ]
        lists.append(self.switches(parts))
        plugs = Counter(p for part in parts for p in part.plugs)
        plugs += Counter(u.item.mains_lead for u in filled if u.item.mains_lead)
        self.combine(
            lists,
            0,
            pieces,
            labour,
            lambda more, cost: self.small(filled, more, cost, plugs, parts),
        )

    def combine(self, lists: list[Any], index: int, pieces: Pieces, labour: int, then: Any) -> None:
        """Every pick of one entry from each list."""
        if index == len(lists):
            then(pieces, labour)
            return
        for taken, cost in lists[index]:
            more = plus(pieces, taken.items())
            if not self.hopeless(more, labour + cost):
                self.combine(lists, index + 1, more, labour + cost, then)

    def small(
        self, filled: list[Unit], pieces: Pieces, labour: int, plugs: Any, parts: list[Part]
    ) -> None:
        """All small parts: each is a list of ways to take a number of pieces."""
        plugs = Counter(plugs)
        for item_id, number in pieces.items():
            item = self.items[item_id]
            if item.kind == "switch" or (
                item.kind == "supply" and item_id in {s for p in parts for s, _ in p.loads}
            ):
                in_room = number - sum(n for p in parts for i, n in p.pieces if i == item_id)
                if item.mains_lead:
                    plugs[item.mains_lead] += in_room
        links = sum(n for i, n in pieces.items() if self.items[i].kind == "switch")
        lists = [
            *(
                self.shares(n, [i for i in self.kind("mains_lead") if i.type == t])
                for t, n in plugs.items()
            ),
            self.shares(
                links, [i for i in self.kind("lead") if i.carries == ("data",) and i.length >= 1]
            ),
            self.shares(sum(p.splitters for p in parts), self.kind("splitter")),
        ]
        for gender in ("male", "female"):
            number = sum(getattr(p, gender) for p in parts)
            lists.append(
                self.shares(number, [i for i in self.kind("pigtail") if i.gender == gender])
            )
        for kind, number in Counter(j for p in parts for j in p.joints).items():
            lists.append(self.shares(number, [i for i in self.kind("coupler") if i.type == kind]))
        for pattern, number in Counter(
            b for i, n in pieces.items() for b in [getattr(self.items[i], "bracket", None)] * n if b
        ).items():
            lists.append(
                self.shares(number, [i for i in self.kind("bracket") if pattern in i.fits])
            )
        if "optical" in self.site.recording.export:
            writers = sum(u.item.optical in ("own_bay", "drive_bay") for u in filled)
            lists.append(self.shares(writers, self.kind("optical_writer")))
        ends = Counter(e for p in parts for e in p.ends)
        methods = self.site.policy.connectors
        for (kind, fit), number in ends.items():
            usable = [
                c
                for c in self.kind("connector")
                if c.type == kind
                and fit in c.fits
                and (kind not in methods or c.method in methods[kind])
            ]
            lists.append(self.shares(number, usable))
        self.combine(lists, 0, pieces, labour, self.tools)

    def tools(self, pieces: Pieces, labour: int) -> None:
        """Every set of tools that serves the connectors in use; then extras, and the till."""
        asked = {self.items[i].tool for i in pieces if self.items[i].kind == "connector"} - {None}
        useful = [t for t in self.kind("tool") if asked & set(t.types)]
        numbers = [sorted({0, 1, max(1, self.demanded.get(t.id, 1))}) for t in useful]
        extras = {i: n for i, n in self.demanded.items() if self.items[i].kind == "extra"}
        for chosen in product(*numbers):
            served = {kind for t, n in zip(useful, chosen, strict=True) if n for kind in t.types}
            if asked <= served:
                more = plus(pieces, [(t.id, n) for t, n in zip(useful, chosen, strict=True) if n])
                more = plus(more, extras.items())
                if all(more.get(i, 0) >= n for i, n in self.demanded.items()) and not self.hopeless(
                    more, labour
                ):
                    net = self.prices.net(more) + labour
                    if self.best is None or net < self.best:
                        self.best = net

    def shares(self, number: int, items: list[Any]) -> list[tuple[Pieces, int]]:
        """Every way to take so many pieces from these items, with the labour to fit them."""
        rate = self.site.policy.labour.rate
        found = []
        for picked in combinations_with_replacement(items, number):
            fitted = [i for i in picked if i.kind in ("connector", "pigtail")]
            found.append(
                (
                    dict(Counter(i.id for i in picked)),
                    sum(ceil(rate * Fraction(i.minutes) / 60) for i in fitted),
                )
            )
        return found

    def drives(self, unit: Unit) -> list[tuple[Pieces, int]]:
        """Every set of drives that fits the bays, forms an allowed array and is big enough."""
        bays = unit.item.bays
        if "optical" in self.site.recording.export and unit.item.optical == "drive_bay":
            bays -= 1
        usable = [d for d in self.kind("drive") if d.capacity <= unit.item.largest_drive]
        failures = self.site.recording.drive_failures
        found = []
        for number in range(1, bays + 1):
            for drives in combinations_with_replacement(usable, number):
                sizes = [floor(Fraction(d.capacity) / 10**9) for d in drives]
                count = Counter(d.id for d in drives)
                same = len(count) == 1
                holds = []
                if failures == 0:
                    holds.append(sum(sizes))
                if (
                    failures == 1
                    and "mirror" in unit.item.arrays
                    and all(n % 2 == 0 for n in count.values())
                ):
                    holds.append(sum(sizes) // 2)
                if failures == 1 and "5" in unit.item.arrays and same and number >= 3:
                    holds.append(sizes[0] * (number - 1))
                if (
                    failures == 1
                    and "10" in unit.item.arrays
                    and same
                    and number >= 4
                    and number % 2 == 0
                ):
                    holds.append(sizes[0] * number // 2)
                if failures >= 1 and "6" in unit.item.arrays and same and number >= 4:
                    holds.append(sizes[0] * (number - 2))
                if holds and max(holds) >= unit.gb:
                    found.append((dict(count), 0))
        return found

    def boxes(self, cable: str, lengths: tuple[int, ...]) -> list[tuple[Pieces, int]]:
        """Every number of boxes that the cuts can be spread over."""
        size = floor(Fraction(self.items[cable].box) * 100)
        numbers = {len(bins) for bins in groupings(lengths) if all(sum(b) <= size for b in bins)}
        return [({cable: n}, 0) for n in sorted(numbers)]

    def supplies(self, supply: str, loads: tuple[int, ...]) -> list[tuple[Pieces, int]]:
        """Every number of units that the loads can be spread over."""
        item = self.items[supply]
        most = floor((1 - Fraction(self.site.spare.supply)) * Fraction(item.total_amps) * 1000)
        numbers = {
            len(units)
            for units in groupings(loads)
            if all(len(u) <= item.outputs and sum(u) <= most for u in units)
        }
        return [({supply: n}, 0) for n in sorted(numbers)]

    def switches(self, parts: list[Part]) -> list[tuple[Pieces, int]]:
        """Every set of switches that gives each camera its port."""
        ports = [
            0 if p.plain else p.powered[1]
            for p in parts
            if p.plain or (p.powered and p.powered[0] == "switch")
        ]
        if not ports:
            return [({}, 0)]
        found = set()
        for groups in groupings(tuple(ports)):
            for chosen in product(self.kind("switch"), repeat=len(groups)):
                if all(switched(s, group) for s, group in zip(chosen, groups, strict=True)):
                    found.add(tuple(sorted(Counter(s.id for s in chosen).items())))
        return [(dict(f), 0) for f in sorted(found)]
