"""A purchase in phases by the second formulation: a bound from below.

Every phase is a kit of its own in one program. Held together are the camera item of each place, the
cables cut for each place, and that pieces of an item in use never get fewer; what is bought in a
phase is there in the later ones. What else stays (feeds, units, boxes that a piece was cut from) is
left free, so the result is at most the cheapest purchase, and mostly equal to it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from optimizer.pricebook.schema import Book, Tool
from optimizer.site.schema import Site
from tests.optimality.linear import Program, Terms, less, times
from tests.optimality.second import Kit
from tests.optimality.second_money import connectors, parts_but_connectors, price_of, reduction_of
from tests.optimality.second_recording import record
from tests.optimality.second_sound import hear
from tests.optimality.second_views import see
from tests.optimality.second_wiring import wire


def second_phases(
    sites: Sequence[Site],
    book: Book,
    budgets: Sequence[int | None] = (),
    seconds: float = 120.0,
) -> int | None:
    """No purchase has a lower net over all phases; None where there is none. [hundredth]

    Parameters
    ----------
    budgets : sequence of int or None
        Largest net of each phase. [hundredth]
    """
    program = Program()
    kits = []
    for site in sites:
        forbidden = set(site.policy.forbid)
        kit = Kit(site, {i.id: i for i in book.items if i.id not in forbidden}, program)
        if not see(kit):
            return None
        record(kit)
        wire(kit)
        hear(kit)
        connectors(kit)
        parts_but_connectors(kit)
        kits.append(kit)
    for before, after in pairwise(kits):
        _stays(before, after)
    _order(program, kits, book, [*budgets, *(None for _ in kits)])
    values = program.solve(seconds)
    return None if values is None else program.value(values)


def _stays(before: Kit, after: Kit) -> None:
    program = after.program
    later = {slot.place: slot for slot in after.slots}
    for slot in before.slots:
        for camera in {*slot.on, *later[slot.place].on}:
            program.equal(slot.on.get(camera, []), later[slot.place].on.get(camera, []))
    for cable in {*before.cuts, *after.cuts}:
        new = after.cuts.get(cable, {})
        for place, terms in before.cuts.get(cable, {}).items():
            program.equal(terms, new.get(place, []))
    for item, used in before.use.items():
        if not isinstance(before.items[item], Tool):
            program.at_most(used, after.use.get(item, []))


def _order(
    program: Program, kits: Sequence[Kit], book: Book, budgets: Sequence[int | None]
) -> None:
    """Each phase is an order of its own."""
    offers = [o for o in book.offers if all(set(c.items) & set(kits[0].items) for c in o.when)]
    stock = {own.item: own.quantity for own in kits[0].site.owned}
    so_far: dict[str, Terms] = {}
    labour_before: Terms = []
    for kit, budget in zip(kits, budgets, strict=False):
        bought: dict[str, tuple[Terms, int]] = {}
        paid: Terms = []
        for item in kit.items.values():
            uses = [k.use.get(item.id, []) for k in kits]
            if not any(uses) and not any(item.id in c.items for o in offers for c in o.when):
                continue
            pack = getattr(item, "pack", 1)
            starts = [1, *(b.at_least for b in item.breaks)]
            starts += [c.at_least for o in offers for c in o.when if item.id in c.items]
            most = max(*(math.ceil(program.most(used) / pack) for used in uses), *starts)
            number: Terms = [(1, program.var(most))]
            bought[item.id] = (number, most)
            paid += price_of(kit, item, number, most)
            so_far[item.id] = [*so_far.get(item.id, []), *times(pack, number)]
            program.row([*so_far[item.id], *less(kit.use.get(item.id, []))], -stock.get(item.id, 0))
        goods = [(1, program.var(program.most(paid)))]
        taken_off: Terms = []
        for offer in offers:
            taken_off += reduction_of(kit, offer, bought)
        program.at_most(paid, [*goods, *taken_off])
        net = [(1, program.var(program.most([*goods, *kit.labour])))]
        program.equal(net, [*goods, *kit.labour, *less(labour_before)])
        labour_before = kit.labour
        if budget is not None:
            program.row(net, high=budget)
        program.charge(net)


__all__ = ["second_phases"]
