"""Recorders and their drives: RULES 2. A recorder unit is named after its first slot."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from optimizer.pricebook.schema import Drive, Recorder
from tests.optimality.linear import Terms, less, times
from tests.optimality.readings import (
    bays,
    eighths,
    group_of,
    recorder_suits,
    sound_gb,
    stream,
    takes_writer,
    up,
)

if TYPE_CHECKING:
    from tests.optimality.second import Kit
    from tests.optimality.second_views import Slot

_LEAST = {"5": 3, "6": 4}
_LOST = {"5": 1, "6": 2}


def record(kit: Kit) -> None:
    """Put every camera on one unit, and give every unit its limits, except sound and PoE."""
    spare: Terms = []
    for item in kit.kind("recorder"):
        if isinstance(item, Recorder) and recorder_suits(kit.site, item):
            for first in range(len(kit.slots)):
                spare += _unit(kit, item, first)
    for slot in kit.slots:
        for camera_id, terms in slot.on.items():
            kit.program.equal(
                terms,
                [t for (c, _), ts in slot_choice(kit, slot).items() if c == camera_id for t in ts],
            )
        for (camera_id, recorder_id), chosen in slot_choice(kit, slot).items():
            kit.program.at_most(chosen, slot.good[camera_id, recorder_id])
    if kit.site.spare.channels:
        kit.program.row(spare, low=kit.site.spare.channels)


def slot_choice(kit: Kit, slot: Slot) -> dict[tuple[str, str], Terms]:
    """By camera and recorder item: terms that sum to 1 where the slot holds and uses them."""
    return kit.choice.setdefault(slot.place, {})


def _unit(kit: Kit, item: Recorder, first: int) -> Terms:
    """One recorder unit; returns its free channels as terms."""
    program, site = kit.program, kit.site
    opened: Terms = []
    members: Terms = []
    groups: dict[int, Terms] = {}
    kpx: Terms = []
    kbit: Terms = []
    stored: Terms = []
    steered: Terms = []
    name = (item.id, kit.slots[first].place)
    for index in range(first, len(kit.slots)):
        slot = kit.slots[index]
        here: Terms = []
        for camera_id in slot.on:
            camera = kit.items[camera_id]
            group = group_of(item, camera.family)
            if (
                group is None
                or (camera_id, item.id) not in slot.good
                or not _steerable_here(slot, camera, item)
            ):
                continue
            one = [(1, program.var())]
            here += one
            kit.choice.setdefault(slot.place, {}).setdefault((camera_id, item.id), []).extend(one)
            asked = stream(site, slot.zone, camera, group)
            groups.setdefault(item.inputs.index(group), []).extend(one)
            if camera.family == "network":
                kbit += times(asked.kbit, one)
            else:
                kpx += times(asked.kpx, one)
            stored += times(asked.gb, one)
            if slot.zone.steerable and camera.control == "rs485":
                steered += times(eighths(camera), one)
            if (
                camera.picture.width > group.picture.width
                or camera.picture.height > group.picture.height
            ):
                kit.note("smaller picture", one)
        if index == first:
            opened = here
            if not opened:
                return []
        elif here:
            program.at_most(here, opened)
        slot.at[name] = here
        members += here
    kit.uses(item.id, opened)
    for number, terms in groups.items():
        program.at_most(terms, times(item.inputs[number].count, opened))
    cap = item.channels if item.channels is not None else sum(g.count for g in item.inputs)
    program.at_most(members, times(cap, opened))
    if item.encode_rate is not None:
        program.at_most(kpx, times(math.floor(Fraction(item.encode_rate) / 1000), opened))
    if steered:
        program.at_most(steered, times(8 * item.unit_loads, opened))
    if item.mains_lead is not None:
        kit.plugs.setdefault(item.mains_lead, []).extend(opened)
    if takes_writer(site, item):
        _writer(kit, opened)
    heard: Terms = []
    for point in site.audio.points:
        by_input, in_stream = program.var(), program.var()
        kit.heard.setdefault(point.id, {})[name] = ([(1, by_input)], [(1, in_stream)])
        heard.append((1, by_input))
        stored += [(sound_gb(site, point), by_input), (sound_gb(site, point), in_stream)]
        kbit.append((up(Fraction(site.audio.bit_rate) / 1000), in_stream))
        program.at_most([(1, by_input), (1, in_stream)], opened)
    program.at_most(heard, times(item.audio_inputs, opened))
    if item.ingest is not None:
        program.at_most(kbit, times(math.floor(Fraction(item.ingest) / 1000), opened))
    program.at_most(stored, _drives(kit, item, opened))
    return [*times(cap, opened), *less(members)]


def _steerable_here(slot: Slot, camera: object, item: Recorder) -> bool:
    control = getattr(camera, "control", "none")
    return not slot.zone.steerable or control == "network" or control in item.control


def _writer(kit: Kit, opened: Terms) -> None:
    choice: Terms = []
    for writer in kit.kind("optical_writer"):
        one = [(1, kit.program.var())]
        kit.uses(writer.id, one)
        choice += one
    kit.program.equal(opened, choice)
    kit.note("optical writer", opened)


def _drives(kit: Kit, item: Recorder, opened: Terms) -> Terms:
    """Drives of one unit in one array; returns what they hold, in GB, as terms."""
    program = kit.program
    room = bays(kit.site, item)
    drives = [
        d for d in kit.kind("drive") if isinstance(d, Drive) and d.capacity <= item.largest_drive
    ]
    arrays = {0: ("single",), 1: ("mirror", "5", "10", "6"), 2: ("6",)}[
        kit.site.recording.drive_failures
    ]
    holds: Terms = []
    taken: Terms = []
    kinds: Terms = []
    for array in arrays:
        if array != "single" and array not in item.arrays:
            continue
        chosen = [(1, program.var())]
        kinds += chosen
        kit.note(f"array/{array}", chosen)
        sets: Terms = []
        for drive in drives:
            gb = math.floor(Fraction(drive.capacity) / 10**9)
            if array in ("single", "mirror"):
                step = 1 if array == "single" else 2
                number = [(1, program.var(room // step))]
                program.at_most(number, times(room // step, chosen))
                sets += number
                pieces = times(step, number)
                holds += times(gb, number)
            else:
                step, least = (2, 2) if array == "10" else (1, _LEAST[array])
                equal = [(1, program.var())]
                number = [(1, program.var(room // step))]
                program.at_most(number, times(room // step, equal))
                program.at_most(times(least, equal), number)
                sets += equal
                pieces = times(step, number)
                holds += times(gb, number)
                if array != "10":
                    holds += times(-gb * _LOST[array], equal)
            kit.uses(drive.id, pieces)
            taken += pieces
        program.at_most(chosen, sets)
        if array not in ("single", "mirror"):
            program.at_most(sets, chosen)
    program.equal(kinds, opened)
    program.at_most(taken, times(room, opened))
    return holds
