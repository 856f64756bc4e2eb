"""Ways to hear each audio point: RULES 4."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from optimizer.pricebook.schema import Lead, Supply
from optimizer.site.schema import AudioPoint
from tests.optimality import readings
from tests.optimality.linear import Terms, less, times
from tests.optimality.second_wiring import (
    close,
    lay_leads,
    load,
    local_supplies,
    outside,
    pair_sources,
    supply_end,
)

if TYPE_CHECKING:
    from tests.optimality.second import Kit
    from tests.optimality.second_views import Slot


def hear(kit: Kit) -> None:
    """One way for each point, and the recorder unit that keeps it; then all units are opened."""
    carried: dict[str, Terms] = {}
    for point in kit.site.audio.points:
        _point(kit, point, carried)
    for terms in carried.values():
        kit.program.row(terms, high=1)
    close(kit)


def _new(kit: Kit) -> Terms:
    return [(1, kit.program.var())]


def _point(kit: Kit, point: AudioPoint, carried: dict[str, Terms]) -> None:
    program = kit.program
    ways: Terms = []
    wired: Terms = []
    tied: dict[str, Terms] = {}
    streamed: dict[str, Terms] = {}
    outdoors = outside(kit, point)
    powered = [
        m for m in kit.kind("microphone") if m.volts is not None and (m.outdoors or not outdoors)
    ]

    if point.power in ("any", "room"):
        room = _from_room(kit, point, powered)
        wired += room
        ways += [*room, *_by_leads(kit, point, powered)]
    if point.power in ("any", "local") and point.mains:
        for microphone in powered:
            for _, one in local_supplies(
                kit, readings.AUDIO_FEED, Fraction(microphone.watts), [microphone.volts]
            ):
                kit.uses(microphone.id, one)
                kit.note("A4", one)
                ways += one
                wired += one
    for place, share, one in kit.shared.get(point.id, []):
        kit.uses(share.microphone.id, one)
        kit.note(share.way, one)
        tied.setdefault(place, []).extend(one)
        if share.way == "A6":
            wired += one
    if point.power in ("any", "camera"):
        for slot in kit.slots:
            if slot.zone.id == point.zone:
                _by_camera(kit, slot, outdoors, tied, streamed, wired)
    by_camera = [t for terms in (*tied.values(), *streamed.values()) for t in terms]
    if point.zone is not None:
        carried.setdefault(point.zone, []).extend(by_camera)
    program.row([*ways, *by_camera], 1, 1)
    pairs: Terms = []
    for terms, _, fit in pair_sources(kit, point, point.id, "audio_pair", lambda: _new(kit)):
        pairs += terms
        if fit:
            kit.ends.setdefault(("rca", fit), []).extend(times(2, terms))
    program.equal(wired, pairs)
    _keep(kit, point, tied, streamed)


def _from_room(kit: Kit, point: AudioPoint, microphones: list[Any]) -> Terms:
    """A1: power over a pair of its own from a supply in the room."""
    made: Terms = []
    for terms, line, _ in pair_sources(kit, point, point.id, "power_pair", lambda: _new(kit)):
        through: Terms = []
        for microphone in microphones:
            for supply in _twelve_volts(kit):
                current = readings.load_ma(
                    kit.site, supply, line, Fraction(microphone.watts), [microphone.volts]
                )
                if current is not None:
                    one = _new(kit)
                    load(kit, supply, point.id, current, one)
                    supply_end(kit, supply, False, one)
                    kit.tails.setdefault("male", []).extend(one)
                    kit.uses(microphone.id, one)
                    kit.note("A1", one)
                    through += one
        kit.program.equal(terms, through)
        made += through
    return made


def _by_leads(kit: Kit, point: AudioPoint, microphones: list[Any]) -> Terms:
    """A3: leads that carry power and audio."""
    made: Terms = []
    leads = [
        i for i in kit.kind("lead") if isinstance(i, Lead) and set(i.carries) == {"power", "audio"}
    ]
    for chosen in readings.lead_sets(kit.site, point, leads):
        line = readings.lead_line(chosen)
        for microphone in microphones:
            for supply in _twelve_volts(kit):
                current = readings.load_ma(
                    kit.site, supply, line, Fraction(microphone.watts), [microphone.volts]
                )
                if current is not None:
                    one = _new(kit)
                    load(kit, supply, point.id, current, one)
                    supply_end(kit, supply, True, one)
                    lay_leads(kit, point, chosen, one)
                    kit.uses(microphone.id, one)
                    kit.note("A3", one)
                    made += one
    return made


def _twelve_volts(kit: Kit) -> list[Supply]:
    return [
        s for s in kit.kind("supply") if isinstance(s, Supply) and s.feed == readings.AUDIO_FEED
    ]


def _by_camera(
    kit: Kit,
    slot: Slot,
    outdoors: bool,
    tied: dict[str, Terms],
    streamed: dict[str, Terms],
    wired: Terms,
) -> None:
    """A7 and A8: sound from the camera itself."""
    program = kit.program
    for camera_id, on in slot.on.items():
        camera = kit.items[camera_id]
        here: Terms = []
        if camera.family == "network":
            if camera.audio == "built_in":
                here += _new(kit)
            if camera.audio == "input":
                for microphone in kit.kind("microphone"):
                    if microphone.plug_in and (microphone.outdoors or not outdoors):
                        one = _new(kit)
                        kit.uses(microphone.id, one)
                        here += one
            kit.note("A7", here)
            streamed.setdefault(slot.place, []).extend(here)
        elif camera.audio == "built_in":
            by_lead, by_pair = _new(kit), _new(kit)
            program.at_most(by_lead, kit.sounding.get(slot.place, []))
            here = [*by_lead, *by_pair]
            wired += by_pair
            kit.note("A8/lead", by_lead)
            kit.note("A8/pair", by_pair)
            tied.setdefault(slot.place, []).extend(here)
        if here:
            program.at_most(here, on)


def _keep(kit: Kit, point: AudioPoint, tied: dict[str, Terms], streamed: dict[str, Terms]) -> None:
    """The unit that records the point: any with an input free, or that of the tied camera."""
    program = kit.program
    units = kit.heard.get(point.id, {})
    in_stream = [t for terms in streamed.values() for t in terms]
    program.row([t for by, _ in units.values() for t in by] + in_stream, 1, 1)
    program.equal([t for _, st in units.values() for t in st], in_stream)
    at = {slot.place: slot.at for slot in kit.slots}
    for unit, (by_input, by_stream) in units.items():
        for place, terms in tied.items():
            program.row([*by_input, *terms, *less(at[place].get(unit, []))], high=1)
        for place, terms in streamed.items():
            program.row([*by_stream, *terms, *less(at[place].get(unit, []))], high=1)
