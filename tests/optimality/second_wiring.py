"""Paths, feeds, steering and the units that feed: RULES 3."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from optimizer.engineering.reach import signal_reach_m
from optimizer.pricebook.schema import Balun, Cable, Camera, Lead, Supply
from optimizer.site.schema import AudioPoint, Zone
from tests.optimality import readings
from tests.optimality.linear import Terms, times
from tests.optimality.readings import Line
from tests.optimality.second_units import boxes, poe_recorders, supplies, switches

if TYPE_CHECKING:
    from tests.optimality.second import Kit
    from tests.optimality.second_views import Slot


@dataclass
class Path:
    """A way for the signal of one slot; `taken` sums to 1 where it is used.

    `line` are its own power conductors, None without; `forced` where it must be fed through them.
    """

    name: str
    family: str
    taken: Terms
    line: Line | None = None
    forced: bool = False
    lead: bool = False
    sound: bool = False
    balun: Balun | None = None


@dataclass(frozen=True)
class Shared:
    """A microphone that shares the feed of a camera."""

    point: AudioPoint
    microphone: Any
    way: str


def wire(kit: Kit) -> None:
    """Wire and feed every slot, then open the units that are needed."""
    for slot in kit.slots:
        paths = list(_paths(kit, slot))
        _feeds(kit, slot, paths)
        _steering(kit, slot, paths)


def close(kit: Kit) -> None:
    """The units that all loads and cuts together need; after sound is wired."""
    supplies(kit)
    switches(kit)
    poe_recorders(kit)
    boxes(kit)
    for (place_id, index), terms in kit.old.items():
        place = next(p for p in (*kit.site.zones, *kit.site.audio.points) if p.id == place_id)
        kit.program.row(terms, high=place.existing[index].count)


def cut(kit: Kit, place: Zone | AudioPoint, name: str, cable: Cable, terms: Terms) -> None:
    """These terms sum to 1 where a piece of this cable is cut for the place."""
    kit.cuts.setdefault(cable.id, {}).setdefault(name, []).extend(terms)
    kit.labour += times(readings.pulling(kit.site, place), terms)


def lay_leads(kit: Kit, place: Zone | AudioPoint, leads: tuple[Lead, ...], terms: Terms) -> None:
    for lead in leads:
        kit.uses(lead.id, terms)
    coupler = leads[0].coupler
    if len(leads) > 1:
        kit.note("joined leads", terms)
        if coupler is not None:
            kit.joints.setdefault(coupler, []).extend(times(len(leads) - 1, terms))
    kit.labour += times(readings.pulling(kit.site, place), terms)


def new_cables(kit: Kit, place: Zone | AudioPoint, medium: str) -> Iterator[Cable]:
    """Cables of a medium that may lie on the route and whose box is long enough for the cut."""
    for item in kit.kind("cable"):
        if not isinstance(item, Cable) or item.medium != medium:
            continue
        fits = readings.cut_cm(kit.site, place) <= int(Fraction(item.box) * 100)
        if fits and readings.may_lie(place, item):
            yield item


def pair_sources(
    kit: Kit, place: Zone | AudioPoint, name: str, medium: str, terms_of: Any
) -> Iterator[tuple[Terms, Line | None, str]]:
    """Cut or existing pairs of a medium, each with new terms, its line and the fit to terminate.

    The fit is "" where no connectors are needed.
    """
    for cable in new_cables(kit, place, medium):
        terms = terms_of()
        cut(kit, place, name, cable, terms)
        line = readings.cut_line(kit.site, place, cable) if medium == "power_pair" else None
        yield terms, line, cable.fit or ""
    for index, old in enumerate(place.existing):
        if old.medium == medium:
            terms = terms_of()
            kit.old.setdefault((place.id, index), []).extend(terms)
            kit.note(f"existing {medium}", terms)
            line = readings.old_line(old) if medium == "power_pair" else None
            yield terms, line, "" if old.terminated else old.fit or ""


def _paths(kit: Kit, slot: Slot) -> Iterator[Path]:
    zone, site = slot.zone, kit.site
    run = Fraction(readings.cut_cm(site, zone), 100)
    for family in ("composite", "hd_coax", "network"):
        mine = [t for c, ts in slot.on.items() if kit.items[c].family == family for t in ts]
        if not mine:
            continue
        found = list(
            _data_paths(kit, slot, run)
            if family == "network"
            else _video_paths(kit, slot, family, run)
        )
        for path in found:
            kit.note(path.name, path.taken)
            if path.sound:
                kit.sounding.setdefault(slot.place, []).extend(path.taken)
        kit.program.equal(mine, [t for path in found for t in path.taken])
        yield from found


def _new(kit: Kit) -> Terms:
    return [(1, kit.program.var())]


def _video_paths(kit: Kit, slot: Slot, family: str, run: Fraction) -> Iterator[Path]:
    zone, site = slot.zone, kit.site
    for medium, name in (("coax_power", "V1"), ("coax", "V2")):
        for cable in new_cables(kit, zone, medium):
            if run <= Fraction(cable.reach.get(family, signal_reach_m(family, cable.fit))):
                taken = _new(kit)
                cut(kit, zone, slot.place, cable, taken)
                kit.ends.setdefault(("bnc", str(cable.fit)), []).extend(times(2, taken))
                own = readings.cut_line(site, zone, cable) if name == "V1" else None
                yield Path(name, family, taken, own, forced=name == "V1")
    for index, old in enumerate(zone.existing):
        if old.medium in ("coax_power", "coax") and Fraction(old.length) <= signal_reach_m(
            family, str(old.fit)
        ):
            taken = _new(kit)
            kit.old.setdefault((zone.id, index), []).extend(taken)
            if not old.terminated:
                kit.ends.setdefault(("bnc", str(old.fit)), []).extend(times(2, taken))
            own = readings.old_line(old) if old.medium == "coax_power" else None
            yield Path("V3", family, taken, own)
    for balun in kit.kind("balun"):
        if isinstance(balun, Balun) and family in balun.families:
            yield from _balun_paths(kit, slot, family, run, balun)
    leads = [
        i for i in kit.kind("lead") if isinstance(i, Lead) and {"video", "power"} <= set(i.carries)
    ]
    for chosen in readings.lead_sets(site, zone, leads):
        line = readings.lead_line(chosen)
        if line.metres <= Fraction(
            chosen[0].reach.get(family, signal_reach_m(family, str(chosen[0].fit)))
        ):
            taken = _new(kit)
            lay_leads(kit, zone, chosen, taken)
            yield Path("V5", family, taken, line, True, True, "audio" in chosen[0].carries)


def _balun_paths(kit: Kit, slot: Slot, family: str, run: Fraction, balun: Balun) -> Iterator[Path]:
    zone, pairs = slot.zone, balun.power_pairs
    for cable in new_cables(kit, zone, "category"):
        if run <= Fraction(balun.reach):
            taken = _new(kit)
            cut(kit, zone, slot.place, cable, taken)
            kit.uses(balun.id, times(2, taken))
            line = readings.cut_line(kit.site, zone, cable, pairs) if pairs else None
            yield Path("V4", family, taken, line, forced=balun.watts > 0, balun=balun)
    for index, old in enumerate(zone.existing):
        if old.medium == "category" and Fraction(old.length) <= Fraction(balun.reach):
            taken = _new(kit)
            kit.old.setdefault((zone.id, index), []).extend(taken)
            kit.uses(balun.id, times(2, taken))
            line = readings.old_line(old, pairs) if pairs else None
            yield Path("V4", family, taken, line, forced=balun.watts > 0, balun=balun)


def _data_paths(kit: Kit, slot: Slot, run: Fraction) -> Iterator[Path]:
    zone = slot.zone
    if run <= readings.NETWORK_M:
        for cable in new_cables(kit, zone, "category"):
            taken = _new(kit)
            cut(kit, zone, slot.place, cable, taken)
            kit.ends.setdefault(("rj45", str(cable.fit)), []).extend(times(2, taken))
            yield Path("D1", "network", taken)
    for index, old in enumerate(zone.existing):
        if old.medium == "category" and Fraction(old.length) <= readings.NETWORK_M:
            taken = _new(kit)
            kit.old.setdefault((zone.id, index), []).extend(taken)
            if not old.terminated:
                kit.ends.setdefault(("rj45", str(old.fit)), []).extend(times(2, taken))
            yield Path("D2", "network", taken)
    leads = [i for i in kit.kind("lead") if isinstance(i, Lead) and i.carries == ("data",)]
    for chosen in readings.lead_sets(kit.site, zone, leads):
        if readings.lead_line(chosen).metres <= readings.NETWORK_M:
            taken = _new(kit)
            lay_leads(kit, zone, chosen, taken)
            yield Path("D3", "network", taken)


def _feeds(kit: Kit, slot: Slot, paths: list[Path]) -> None:
    """One feed for the slot; F1 only through the path that it belongs to."""
    zone, program = slot.zone, kit.program
    fed: dict[str, Terms] = {camera_id: [] for camera_id in slot.on}
    own: list[Terms] = [[] for _ in paths]
    pairs = list(pair_sources(kit, zone, slot.place, "power_pair", lambda: _new(kit)))
    through: list[Terms] = [[] for _ in pairs]
    for camera_id in slot.on:
        camera = kit.items[camera_id]
        for number, path in enumerate(paths):
            if path.line is not None and path.family == camera.family:
                made = _from_room(kit, slot, camera, path.line, path)
                own[number] += made
                fed[camera_id] += made
        for number, (_, line, _) in enumerate(pairs):
            made = _from_room(kit, slot, camera, line, None)
            through[number] += made
            fed[camera_id] += made
        fed[camera_id] += _local(kit, slot, camera)
        if camera.family == "network":
            fed[camera_id] += _plain_or_poe(kit, slot, camera, fed[camera_id])
    for camera_id, terms in slot.on.items():
        program.equal(terms, fed[camera_id])
    for path, terms in zip(paths, own, strict=True):
        if path.forced:
            program.equal(path.taken, terms)
        else:
            program.at_most(terms, path.taken)
        if path.balun is not None and path.balun.power_pairs > 2:
            kit.full.setdefault(slot.place, []).extend(terms)
    for (terms, _, _), fed_through in zip(pairs, through, strict=True):
        program.equal(terms, fed_through)


def _from_room(kit: Kit, slot: Slot, camera: Camera, line: Line | None, path: Path | None) -> Terms:
    """F1 over a path, or F2 where there is none, from every supply, alone or with a microphone."""
    made: Terms = []
    for feed in camera.feeds:
        sharers = (
            _sharers(kit, slot, camera, path) if feed.feed == readings.AUDIO_FEED else iter(())
        )
        for share in (None, *sharers):
            watts = Fraction(feed.watts)
            spans = [feed.volts]
            if share is not None:
                watts += Fraction(share.microphone.watts)
                spans.append(share.microphone.volts)
            if path is not None and path.balun is not None:
                watts += Fraction(path.balun.watts)
            for supply in kit.kind("supply"):
                if not isinstance(supply, Supply) or supply.feed != feed.feed:
                    continue
                current = readings.load_ma(kit.site, supply, line, watts, spans)
                if current is None:
                    continue
                one = _new(kit)
                load(kit, supply, slot.place, current, one)
                lead = path is not None and path.lead
                supply_end(kit, supply, lead, one)
                barrel = camera.power_plug == "barrel"
                if not lead and (barrel or share is not None):
                    kit.tails.setdefault("male", []).extend(one)
                if not barrel and (lead or share is not None):
                    kit.tails.setdefault("female", []).extend(one)
                kit.note("F2" if path is None else f"F1/{path.name}", one)
                kit.note(f"{supply.form} in the room", one)
                if share is not None:
                    kit.splits += one
                    kit.shared.setdefault(share.point.id, []).append((slot.place, share, one))
                made += one
    return made


def _sharers(kit: Kit, slot: Slot, camera: Camera, path: Path | None) -> Iterator[Shared]:
    """Microphones that could share this feed: ways A5 and A6."""
    if camera.family == "network":
        return
    for point in kit.site.audio.points:
        if point.zone == slot.zone.id and point.power in ("any", "camera"):
            for microphone in kit.kind("microphone"):
                if microphone.volts is not None and (
                    microphone.outdoors or not outside(kit, point)
                ):
                    yield Shared(point, microphone, "A6")
                    if path is not None and path.name == "V5" and path.sound:
                        yield Shared(point, microphone, "A5")


def outside(kit: Kit, point: AudioPoint) -> bool:
    zone = next((z for z in kit.site.zones if z.id == point.zone), None)
    return "outdoors" in (point.place, None if zone is None else zone.place)


def load(kit: Kit, supply: Supply, place: str, current: int, terms: Terms) -> None:
    """These terms sum to 1 where this place loads an output of this supply item so much."""
    kit.loads.setdefault(supply.id, {}).setdefault(place, {}).setdefault(current, []).extend(terms)


def supply_end(kit: Kit, supply: Supply, lead: bool, terms: Terms) -> None:
    if supply.ends == "barrel" and not lead:
        kit.tails.setdefault("female", []).extend(terms)
    if supply.ends == "screw" and lead:
        kit.tails.setdefault("male", []).extend(terms)


def local_supplies(
    kit: Kit, feed: str, watts: Fraction, spans: list[Any]
) -> Iterator[tuple[Supply, Terms]]:
    """An adapter at the load itself, for F3 and A4."""
    for supply in kit.kind("supply"):
        if not isinstance(supply, Supply) or (supply.form, supply.feed) != ("adapter", feed):
            continue
        if readings.load_ma(kit.site, supply, None, watts, spans) is not None:
            one = _new(kit)
            kit.uses(supply.id, one)
            if supply.mains_lead is not None:
                kit.plugs.setdefault(supply.mains_lead, []).extend(one)
            yield supply, one


def _local(kit: Kit, slot: Slot, camera: Camera) -> Terms:
    made: Terms = []
    if not slot.zone.mains:
        return made
    for feed in camera.feeds:
        for _, one in local_supplies(kit, feed.feed, Fraction(feed.watts), [feed.volts]):
            if camera.power_plug == "terminals":
                kit.tails.setdefault("female", []).extend(one)
            kit.note("F3", one)
            made += one
    return made


def _plain_or_poe(kit: Kit, slot: Slot, camera: Camera, otherwise: Terms) -> Terms:
    """F4, and the port that a network camera needs where it is fed in another way."""
    made: Terms = []
    plain = list(otherwise)
    if camera.poe_class is not None:
        asked = readings.class_watts(camera.poe_class)
        for injector in kit.kind("injector"):
            if readings.class_watts(injector.poe_class) >= asked:
                one = _new(kit)
                kit.uses(injector.id, one)
                if injector.mains_lead is not None:
                    kit.plugs.setdefault(injector.mains_lead, []).extend(one)
                kit.note("F4/injector", one)
                plain += one
                made += one
        for source in ("switch", "recorder"):
            if any(
                i.poe and readings.class_watts(i.poe.poe_class) >= asked for i in kit.kind(source)
            ):
                one = _new(kit)
                kit.powered.setdefault(source, {}).setdefault(slot.place, {}).setdefault(
                    asked, []
                ).extend(one)
                kit.note(f"F4/{source}", one)
                made += one
    kit.plain.setdefault(slot.place, []).extend(plain)
    return made


def _steering(kit: Kit, slot: Slot, paths: list[Path]) -> None:
    if not slot.zone.steerable:
        return
    program = kit.program
    by: dict[str, Terms] = {}
    for camera_id, terms in slot.on.items():
        by.setdefault(kit.items[camera_id].control, []).extend(terms)
    for control, terms in by.items():
        kit.note(f"control/{control}", terms)
    over_baluns = [t for path in paths if path.name == "V4" for t in path.taken]
    if "coax" in by:
        program.row([*by["coax"], *over_baluns], high=1)
    if "rs485" in by:
        pairs = [
            t
            for ts, _, _ in pair_sources(
                kit, slot.zone, slot.place, "control_pair", lambda: _new(kit)
            )
            for t in ts
        ]
        in_cable = _new(kit)
        program.at_most(in_cable, over_baluns)
        program.row([*in_cable, *kit.full.get(slot.place, [])], high=1)
        kit.note("control in category", in_cable)
        program.equal(by["rs485"], [*pairs, *in_cable])
