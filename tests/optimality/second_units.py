"""Units that serve several places, each named after the first that it serves: RULES 3."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from optimizer.pricebook.schema import Cable, Lead, Recorder, Supply, Switch
from tests.optimality.linear import Terms, times
from tests.optimality.readings import class_watts, cut_cm, output_ma, total_ma

if TYPE_CHECKING:
    from tests.optimality.second import Kit


def supplies(kit: Kit) -> None:
    """Every load on one output of one unit; outputs and total current of each unit."""
    program = kit.program
    for item_id, places in kit.loads.items():
        supply = kit.items[item_id]
        assert isinstance(supply, Supply)
        units: list[Terms] = []
        if supply.outputs == 1:
            units = [terms for currents in places.values() for terms in currents.values()]
        else:
            order = list(places)
            where: dict[tuple[str, int], Terms] = {}
            for first, head in enumerate(order):
                opened: Terms = []
                members: Terms = []
                amps: Terms = []
                for index in range(first, len(order)):
                    here: Terms = []
                    for current in places[order[index]]:
                        assert current <= output_ma(kit.site, supply)
                        one = [(1, program.var())]
                        where.setdefault((order[index], current), []).extend(one)
                        here += one
                        amps += times(current, one)
                    members += here
                    if order[index] == head:
                        opened = here
                    else:
                        program.at_most(here, opened)
                program.at_most(members, times(supply.outputs, opened))
                program.at_most(amps, times(total_ma(kit.site, supply), opened))
                units.append(opened)
            for (place, current), terms in where.items():
                program.equal(places[place][current], terms)
        for opened in units:
            kit.uses(item_id, opened)
            if supply.mains_lead is not None:
                kit.plugs.setdefault(supply.mains_lead, []).extend(opened)


def switches(kit: Kit) -> None:
    """Every plain or powered network camera on one port of one switch."""
    program = kit.program
    powered = kit.powered.get("switch", {})
    places = [slot.place for slot in kit.slots if slot.place in kit.plain or slot.place in powered]
    plain_on: dict[str, Terms] = {place: [] for place in places}
    power_on: dict[tuple[str, int], Terms] = {(p, w): [] for p in powered for w in powered[p]}
    for item in kit.kind("switch"):
        assert isinstance(item, Switch)
        for first in range(len(places)):
            opened: Terms = []
            ports: Terms = []
            poe_ports: Terms = []
            watts: Terms = []
            for index in range(first, len(places)):
                place = places[index]
                here: Terms = [(1, program.var())]
                plain_on[place] += here
                for asked in powered.get(place, {}):
                    if item.poe is not None and class_watts(item.poe.poe_class) >= asked:
                        one = [(1, program.var())]
                        power_on[place, asked] += one
                        poe_ports += one
                        watts += times(asked, one)
                        here = [*here, *one]
                ports += here
                if index == first:
                    opened = here
                else:
                    program.at_most(here, opened)
            program.at_most(ports, times(item.ports, opened))
            if item.poe is not None:
                program.at_most(poe_ports, times(item.poe.ports, opened))
                program.at_most(watts, times(math.floor(Fraction(item.poe.budget) * 100), opened))
            kit.uses(item.id, opened)
            kit.note("switch", opened)
            kit.racks += opened
            if item.mains_lead is not None:
                kit.plugs.setdefault(item.mains_lead, []).extend(opened)
    for place in places:
        program.equal(kit.plain.get(place, []), plain_on[place])
        for asked, terms in powered.get(place, {}).items():
            program.equal(terms, power_on[place, asked])
    links: Terms = []
    for lead in kit.kind("lead"):
        if isinstance(lead, Lead) and lead.carries == ("data",) and lead.length >= 1:
            taken = [(1, program.var(len(kit.slots)))]
            kit.uses(lead.id, taken)
            links += taken
    program.equal(kit.racks, links)


def poe_recorders(kit: Kit) -> None:
    """Powered ports of recorder units, for the cameras recorded on them."""
    program = kit.program
    powered = kit.powered.get("recorder", {})
    on: dict[tuple[str, int], Terms] = {(p, w): [] for p in powered for w in powered[p]}
    units: dict[tuple[str, str], tuple[Terms, Terms]] = {}
    for slot in kit.slots:
        for unit, at in slot.at.items():
            item = kit.items[unit[0]]
            assert isinstance(item, Recorder)
            if item.poe is None:
                continue
            ports, watts = units.setdefault(unit, ([], []))
            here: Terms = []
            for asked in powered.get(slot.place, {}):
                if class_watts(item.poe.poe_class) >= asked:
                    one = [(1, program.var())]
                    on[slot.place, asked] += one
                    here += one
                    watts += times(asked, one)
            program.at_most(here, at)
            ports += here
    for unit, (ports, watts) in units.items():
        item = kit.items[unit[0]]
        assert isinstance(item, Recorder)
        assert item.poe is not None
        program.row(ports, high=item.poe.ports)
        program.row(watts, high=math.floor(Fraction(item.poe.budget) * 100))
    for (place, asked), terms in on.items():
        program.equal(powered[place][asked], terms)


def boxes(kit: Kit) -> None:
    """Every cut in one piece from one box; the pieces of a box are no longer than it."""
    program = kit.program
    lengths = {slot.place: cut_cm(kit.site, slot.zone) for slot in kit.slots}
    lengths |= {point.id: cut_cm(kit.site, point) for point in kit.site.audio.points}
    for item_id, places in kit.cuts.items():
        cable = kit.items[item_id]
        assert isinstance(cable, Cable)
        box = math.floor(Fraction(cable.box) * 100)
        order = list(places)
        where: dict[str, Terms] = {place: [] for place in order}
        for first, head in enumerate(order):
            opened = [(1, program.var())]
            where[head] += opened
            pieces: Terms = times(lengths[head], opened)
            for place in order[first + 1 :]:
                if lengths[head] + lengths[place] <= box:
                    one = [(1, program.var())]
                    where[place] += one
                    pieces += times(lengths[place], one)
                    program.at_most(one, opened)
            program.at_most(pieces, times(box, opened))
            kit.uses(item_id, opened)
            kit.note("box", opened)
        for place, terms in where.items():
            program.equal(places[place], terms)
