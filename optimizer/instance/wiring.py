"""Ways to wire one camera: paths for the picture, feeds for the power, pairs for steering."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from optimizer.engineering.poe import CHANNEL_M
from optimizer.engineering.reach import RS485_REACH_M, signal_reach_m
from optimizer.instance.amounts import CM_PER_M, labour_price, up
from optimizer.instance.cables import (
    Construction,
    LeadRun,
    LeadShelf,
    coax_reach,
    cut_length,
    may_lie,
)
from optimizer.instance.feeding import Fed, Feeder, Load
from optimizer.instance.options import (
    Conductor,
    Cut,
    Injected,
    Kept,
    LocalAdapter,
    Option,
    Output,
    Part,
    Path,
    Piece,
    PlainPort,
    PoweredPort,
    RecorderPort,
    Use,
)
from optimizer.instance.recorders import port_power
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Balun, Camera
from optimizer.reading.terms import Route
from optimizer.site.schema import ExistingCable, Site, Zone

_CATEGORY_PAIRS = 4


@dataclass(frozen=True)
class Place:
    """Where a run starts: what zones and audio points have in common."""

    run: Decimal
    route: Route
    mains: bool
    existing: tuple[ExistingCable, ...]


class Wirer:
    """All ways to wire at this site, from this book."""

    def __init__(
        self,
        site: Site,
        book: LoadedBook,
        cables: dict[str, Construction],
        feeder: Feeder,
    ) -> None:
        self.site, self.cables, self.feeder = site, cables, feeder
        self.shelf = LeadShelf(site, book)
        self.baluns = [b for b in book.by_kind(Balun) if b.id not in site.policy.forbid]
        self.by_medium: dict[str, list[Construction]] = {}
        for one in cables.values():
            self.by_medium.setdefault(one.cable.medium, []).append(one)

    def laying(self, run: Decimal) -> int:
        """Price of laying one new cable along a run, in hundredths."""
        labour = self.site.policy.labour
        return labour_price(labour.rate, Fraction(labour.pulling) * Fraction(run))

    def cuts(self, medium: str, place: Place) -> Iterator[tuple[Construction, int]]:
        """Constructions that can give a piece for the place, with its length. [cm]"""
        length = cut_length(self.site, place.run)
        for one in self.by_medium.get(medium, []):
            if length <= one.longest and may_lie(place.route, one.cable):
                yield one, length

    @staticmethod
    def kept(medium: str, place: Place) -> Iterator[tuple[int, ExistingCable, int]]:
        """Existing cables of a medium, with index and length. [cm]"""
        for index, entry in enumerate(place.existing):
            if entry.medium == medium:
                yield index, entry, up(entry.length * CM_PER_M)

    def laid(self, medium: str, place: Place, *uses: tuple[Use, int]) -> Iterator[Option]:
        """New or existing cable of a medium, signal connectors apart."""
        for one, length in self.cuts(medium, place):
            yield Option(
                medium,
                ((Cut(one.name, length), 1), *uses),
                labour=self.laying(place.run),
                pieces=(one.name,),
                length_cm=length,
            )
        for index, _, length in self.kept(medium, place):
            yield Option(medium, ((Kept(index), 1), *uses), existing=index, length_cm=length)

    def lead_option(self, kind: str, found: LeadRun, place: Place) -> Option:
        """A run of leads with its couplers."""
        uses: list[tuple[Use, int]] = [
            (Piece(item), found.items.count(item)) for item in dict.fromkeys(found.items)
        ]
        if found.joints and found.lead.coupler:
            uses.append((Part(f"coupler/{found.lead.coupler}"), found.joints))
        return Option(
            kind,
            tuple(uses),
            labour=self.laying(place.run),
            pieces=found.items,
            length_cm=up(found.length * CM_PER_M),
        )

    # Paths of composite and hd_coax cameras

    def coax_paths(self, place: Place, family: str) -> Iterator[Path]:
        """V1 to V5 for a signal family."""
        yield from self._new_coax(place, family)
        yield from self._old_coax(place, family)
        yield from self._category_video(place, family)
        for carries in (("video", "power"), ("video", "power", "audio")):
            for found in self.shelf.runs(frozenset(carries), place.run, place.route):
                if Fraction(found.length) <= coax_reach(found.lead, family):
                    option = self.lead_option("V5", found, place)
                    gauge = int(found.lead.gauge or 0)
                    own = Conductor(gauge, option.length_cm, fitted=True)
                    yield Path(option, own, audio="audio" in carries, up_the_coax=True)

    def _new_coax(self, place: Place, family: str) -> Iterator[Path]:
        for kind, medium in (("V1", "coax_power"), ("V2", "coax")):
            for one, length in self.cuts(medium, place):
                if length > coax_reach(one.cable, family) * CM_PER_M:
                    continue
                option = Option(
                    kind,
                    ((Cut(one.name, length), 1), (Part(f"bnc/{one.cable.fit}"), 2)),
                    labour=self.laying(place.run),
                    pieces=(one.name,),
                    length_cm=length,
                )
                own = Conductor(int(one.cable.gauge or 0), length) if kind == "V1" else None
                yield Path(option, own, up_the_coax=True)

    def _old_coax(self, place: Place, family: str) -> Iterator[Path]:
        for medium in ("coax_power", "coax"):
            for index, entry, length in self.kept(medium, place):
                if entry.length > signal_reach_m(family, str(entry.fit)):
                    continue
                uses: tuple[tuple[Use, int], ...] = ((Kept(index), 1),)
                if not entry.terminated:
                    uses += ((Part(f"bnc/{entry.fit}"), 2),)
                option = Option("V3", uses, existing=index, length_cm=length)
                yield Path(option, up_the_coax=True)
                if medium == "coax_power":
                    yield Path(option, Conductor(int(entry.gauge or 0), length), up_the_coax=True)

    def _category_video(self, place: Place, family: str) -> Iterator[Path]:
        for base in self.laid("category", place):
            gauge = self._category_gauge(base, place)
            for balun in self.baluns:
                if family not in balun.families or base.length_cm > balun.reach * CM_PER_M:
                    continue
                option = replace(
                    base,
                    kind="V4",
                    uses=(*base.uses, (Piece(balun.id), 2)),
                    pieces=(*base.pieces, balun.id),
                    balun=balun.id,
                )
                if not balun.watts:
                    yield Path(option, steers=True)
                if balun.power_pairs:
                    yield Path(
                        option,
                        Conductor(gauge, base.length_cm, balun.power_pairs),
                        extra_watts=float(balun.watts),
                        steers=1 + balun.power_pairs + 1 <= _CATEGORY_PAIRS,
                    )

    def _category_gauge(self, option: Option, place: Place) -> int:
        if option.existing is not None:
            return int(place.existing[option.existing].gauge or 0)
        return int(self.cables[option.pieces[0]].cable.gauge or 0)

    # Paths of network cameras

    def data_paths(self, place: Place) -> Iterator[Path]:
        """D1 to D3."""
        limit = CHANNEL_M * CM_PER_M
        for one, length in self.cuts("category", place):
            if length <= limit:
                yield Path(
                    Option(
                        "D1",
                        ((Cut(one.name, length), 1), (Part(f"rj45/{one.cable.fit}"), 2)),
                        labour=self.laying(place.run),
                        pieces=(one.name,),
                        length_cm=length,
                    )
                )
        for index, entry, length in self.kept("category", place):
            if entry.length <= CHANNEL_M:
                ends: tuple[tuple[Use, int], ...] = (
                    () if entry.terminated else ((Part(f"rj45/{entry.fit}"), 2),)
                )
                uses = ((Kept(index), 1), *ends)
                yield Path(Option("D2", uses, existing=index, length_cm=length))
        for found in self.shelf.runs(frozenset({"data"}), place.run, place.route):
            if found.length <= CHANNEL_M:
                yield Path(self.lead_option("D3", found, place))

    # Feeds

    def own_feeds(self, path: Path, loads: Sequence[Load], plug: str) -> Iterator[Option]:
        """F1: over the path's own power conductors."""
        if path.own is None:
            return
        for load in loads:
            whole = replace(load, watts=load.watts + path.extra_watts)
            for fed in self.feeder.over(whole, path.own):
                yield self._fed("F1", fed, whole, path.own, plug)

    def pair_feeds(self, place: Place, loads: Sequence[Load], plug: str) -> Iterator[Option]:
        """F2: over a pair of its own, new or existing."""
        for pair in self.laid("power_pair", place):
            if pair.existing is not None:
                gauge = int(place.existing[pair.existing].gauge or 0)
            else:
                gauge = int(self.cables[pair.pieces[0]].cable.gauge or 0)
            conductor = Conductor(gauge, pair.length_cm)
            for load in loads:
                for fed in self.feeder.over(load, conductor):
                    feed = self._fed("F2", fed, load, conductor, plug)
                    yield replace(
                        feed,
                        uses=(*pair.uses, *feed.uses),
                        labour=pair.labour,
                        pieces=pair.pieces,
                        length_cm=pair.length_cm,
                        existing=pair.existing,
                    )

    def local_feeds(self, place: Place, loads: Sequence[Load], plug: str) -> Iterator[Option]:
        """F3: an adapter at the spot."""
        if not place.mains:
            return
        for load in loads:
            for fed in self.feeder.at_the_spot(load):
                adapter = LocalAdapter(load.feed, fed.group.millivolts, fed.milliamps)
                uses: tuple[tuple[Use, int], ...] = ((adapter, 1),)
                if plug == "terminals":
                    uses += ((Part("pigtail/female"), 1),)
                yield Option(
                    "F3",
                    uses,
                    volts=fed.volts,
                    milliamps=fed.milliamps,
                    watts=load.watts,
                    group=fed.group,
                )

    @staticmethod
    def poe_feeds(camera: Camera) -> Iterator[Option]:
        """F4: from a switch, the recorder or an injector."""
        if camera.poe_class is None:
            return
        load = port_power(camera.poe_class)
        ways: tuple[tuple[str, tuple[tuple[Use, int], ...]], ...] = (
            ("F4 switch", ((PoweredPort(load), 1),)),
            ("F4 recorder", ((RecorderPort(load), 1),)),
            ("F4 injector", ((Injected(load), 1), (PlainPort(), 1))),
        )
        for kind, uses in ways:
            yield Option(kind, uses, watts=load / 100)

    @staticmethod
    def _fed(kind: str, fed: Fed, load: Load, conductor: Conductor, plug: str) -> Option:
        uses: dict[Use, int] = {Output(fed.group, fed.milliamps): 1}
        ends = []
        if conductor.fitted:
            if plug == "terminals":
                ends.append("pigtail/female")
            if fed.group.ends == "screw":
                ends.append("pigtail/male")
        else:
            if plug == "barrel":
                ends.append("pigtail/male")
            if fed.group.ends == "barrel":
                ends.append("pigtail/female")
        for role in ends:
            uses[Part(role)] = uses.get(Part(role), 0) + 1
        return Option(
            kind,
            tuple(uses.items()),
            volts=fed.volts,
            milliamps=fed.milliamps,
            watts=load.watts,
            group=fed.group,
            conductor=conductor,
        )

    # Steering

    def control_pairs(self, place: Place) -> Iterator[Option]:
        """A pair of its own for RS-485, new or existing."""
        if place.run <= RS485_REACH_M:
            yield from self.laid("control_pair", place)


def place_of(zone: Zone) -> Place:
    """The place of a zone's cameras."""
    return Place(zone.run, zone.route, zone.mains, zone.existing)


def camera_loads(camera: Camera) -> list[Load]:
    """The loads a camera can be, one for each of its feeds."""
    return [Load(f.feed, float(f.watts), f.volts.low, f.volts.high) for f in camera.feeds]
