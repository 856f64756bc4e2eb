"""Leaving out what can never be part of a cheapest kit.

A thing is left out only if replacing it, wherever it stands, by another one keeps every rule and
makes the kit strictly cheaper. Equal cost is no reason: the order of ties decides there. With and
without these reductions the optimum is the same, and a test says so.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence

from optimizer.engineering.poe import source_watts
from optimizer.instance.amounts import labour_price
from optimizer.instance.cables import Construction, coax_reach, may_lie
from optimizer.instance.optics import View
from optimizer.instance.streams import Level
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import AnyItem, Bracket, Camera, Connector, Packed, Pigtail
from optimizer.site.runs import ways
from optimizer.site.schema import Site, Zone

_NEVER = 10**12


class Prices:
    """What a piece costs at most when one more is bought, and what is saved when one goes."""

    def __init__(self, site: Site, book: LoadedBook) -> None:
        self.site, self.book = site, book
        special = {o.item for o in site.owned} | {r.item for r in site.policy.require}
        for offer in book.book.offers:
            special |= {i for c in offer.when for i in c.items} | set(offer.on)
        self.special = special

    def plain(self, item: AnyItem) -> bool:
        """Whether a piece less saves exactly its price: no breaks, offers, stock or demands."""
        packed = isinstance(item, Packed) and item.pack > 1
        return not item.breaks and item.id not in self.special and not packed

    def part(self, items: Iterable[AnyItem]) -> int:
        """Most that one more small part can cost, bought by itself."""
        costs = [
            i.price
            + labour_price(
                self.site.policy.labour.rate, i.minutes if isinstance(i, Connector | Pigtail) else 0
            )
            for i in items
            if i.id not in self.site.policy.forbid
        ]
        return min(costs, default=_NEVER)

    def pigtail(self, gender: str) -> int:
        """Most that one pigtail can cost."""
        return self.part(p for p in self.book.by_kind(Pigtail) if p.gender == gender)

    def bracket(self, pattern: str | None) -> int:
        """Most that a bracket of a pattern can cost; nothing where none is needed."""
        if pattern is None:
            return 0
        return self.part(b for b in self.book.by_kind(Bracket) if pattern in b.fits)


class CameraRank:
    """Compares cameras of one zone.

    Parameters
    ----------
    channels : int
        Fewest channels of any recorder that may be used.
    """

    def __init__(self, site: Site, prices: Prices, channels: int) -> None:
        self.site, self.prices = site, prices
        self.free = site.policy.most_camera_models is None
        # Where an item must be used, taking a camera off it could leave it with nothing to do.
        self.asked = bool(site.policy.require) or any(o.pinned for o in site.owned)
        # One camera less may leave a recorder empty, and its free channels and audio inputs no
        # longer count. Then a recorder that held nothing but the camera's fellows is left with one
        # camera alone, and its other channels are spare: that must do.
        self.fewer = not self.asked and not site.audio.points and site.spare.channels < channels
        self.known: dict[tuple[str, str, bool, bool], int | None] = {}
        self.brackets: dict[str | None, int] = {}
        self.pigtails = {g: prices.pigtail(g) for g in ("male", "female")}

    def best(
        self,
        zone: Zone,
        found: Sequence[tuple[View, tuple[Level, ...]]],
        tied: bool,
        alone: Callable[[Camera], int],
    ) -> list[tuple[View, tuple[Level, ...]]]:
        """The views that no other view of the zone beats.

        Parameters
        ----------
        tied : bool
            Whether sound may be tied to a camera of the zone.
        alone : callable
            Most that one camera costs to wire with pieces of its own, in hundredths.
        """
        if not self.free:
            return list(found)
        ranked = sorted(found, key=lambda f: f[0].camera.price * f[0].count)
        kept: list[tuple[View, tuple[Level, ...]]] = []
        for place, one in enumerate(ranked):
            # Whatever beats is cheaper, so that what is beaten may still beat: chains end.
            if not any(self._beats(zone, other, one, tied, alone) for other in ranked[:place]):
                kept.append(one)
        order = {id(f[0]): i for i, f in enumerate(found)}
        return sorted(kept, key=lambda f: order[id(f[0])])

    def beats(
        self,
        zone: Zone,
        one: tuple[View, tuple[Level, ...]],
        two: tuple[View, tuple[Level, ...]],
        alone: Callable[[Camera], int],
    ) -> bool:
        """Whether, with no sound tied, one in the place of two makes any kit cheaper."""
        return self.free and self._beats(zone, one, two, False, alone)

    def _beats(
        self,
        zone: Zone,
        a: tuple[View, tuple[Level, ...]],
        b: tuple[View, tuple[Level, ...]],
        tied: bool,
        alone: Callable[[Camera], int],
    ) -> bool:
        one, two = a[0], b[0]
        if one.camera is two.camera or one.count > two.count:
            return False
        if one.count < two.count and not self.fewer:
            return False
        spare = two.count * two.camera.price - one.count * one.camera.price
        if spare <= 0:
            return False
        key = (one.camera.id, two.camera.id, zone.steerable, tied)
        if key not in self.known:
            self.known[key] = self._extra(one.camera, two.camera, zone.steerable, tied)
        extra = self.known[key]
        if extra is None or one.count * extra >= spare:
            if not self._rewirable(zone, one.camera, two.camera, tied):
                return False
            extra = alone(one.camera) + self._bracket(one.camera)
        return one.count * extra < spare and _records_no_more(a[1], b[1])

    def _rewirable(self, zone: Zone, one: Camera, two: Camera, tied: bool) -> bool:
        """Whether one may stand in for two with wiring of its own."""
        if tied or zone.steerable or self.asked or one.family != two.family:
            return False
        prices = [one.price, *(b.price for b in one.breaks)]
        measured = self.site.recording.measured
        return (
            self.prices.plain(two)
            and prices == sorted(prices, reverse=True)
            and one.id not in measured
            and two.id not in measured
        )

    def _bracket(self, camera: Camera) -> int:
        if camera.bracket not in self.brackets:
            self.brackets[camera.bracket] = self.prices.bracket(camera.bracket)
        return self.brackets[camera.bracket]

    def _extra(self, one: Camera, two: Camera, steered: bool, tied: bool) -> int | None:
        """Most that one needs beyond what two needs, camera price apart; None if incomparable."""
        if one.family != two.family or not self.prices.plain(two):
            return None
        if one.id in self.site.recording.measured or two.id in self.site.recording.measured:
            return None
        if steered and (one.control != two.control or one.unit_load > two.unit_load):
            return None
        if tied and two.audio not in ("none", one.audio):
            return None
        if two.poe_class is not None and (
            one.poe_class is None or source_watts(one.poe_class) > source_watts(two.poe_class)
        ):
            return None
        mine = {f.feed: f for f in one.feeds}
        for feed in two.feeds:
            own = mine.get(feed.feed)
            if (
                own is None
                or own.watts > feed.watts
                or own.volts.low > feed.volts.low
                or own.volts.high < feed.volts.high
            ):
                return None
        extra = 0
        if one.power_plug != two.power_plug:
            extra += self.pigtails["male" if one.power_plug == "barrel" else "female"]
        if one.bracket != two.bracket:
            extra += self._bracket(one)
        return extra


def _records_no_more(a: Collection[Level], b: Collection[Level]) -> bool:
    """Whether on every recorder of b, a asks no more."""
    by_recorder = {r: level for level in a for r in level.recorders}
    for level in b:
        for recorder in level.recorders:
            other = by_recorder.get(recorder)
            if (
                other is None
                or other.rate > level.rate
                or other.stored > level.stored
                or other.picture.width * other.picture.height
                > level.picture.width * level.picture.height
            ):
                return False
    return True


def best_constructions(
    site: Site, book: LoadedBook, cables: dict[str, Construction], prices: Prices
) -> dict[str, Construction]:
    """Constructions that no other one can stand in for, box by box, at less cost."""
    routes = {z.route for z in site.views} | {p.route for p in site.audio.points}
    routes |= {way.route for way in ways(site).values()}
    connectors = [c for c in book.by_kind(Connector) if c.id not in site.policy.forbid]
    families = site.policy.families

    def fitting(one: Construction) -> set[str]:
        return {c.id for c in connectors if one.cable.fit in c.fits}

    def beats(x: Construction, y: Construction) -> bool:
        a, b = x.cable, y.cable
        if a.medium != b.medium or not fitting(y) <= fitting(x):
            return False
        if b.gauge is not None and (a.gauge is None or a.gauge > b.gauge):
            return False
        if any(may_lie(r, b) and not may_lie(r, a) for r in routes):
            return False
        if a.medium in ("coax", "coax_power") and any(
            coax_reach(a, f) < coax_reach(b, f) for f in families if f != "network"
        ):
            return False
        return all(
            prices.plain(book.items[item])
            and any(
                length >= needed and book.items[other].price < book.items[item].price
                for other, length in x.boxes
            )
            for item, needed in y.boxes
        )

    usable = {
        name: one for name, one in cables.items() if any(may_lie(r, one.cable) for r in routes)
    }
    return {
        name: one
        for name, one in usable.items()
        if not any(other is not one and beats(other, one) for other in usable.values())
    }
