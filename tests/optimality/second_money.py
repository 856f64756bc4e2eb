"""Small parts, what is bought and what it costs: RULES 3 (parts), 5."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from optimizer.pricebook.schema import AnyItem, Book, Connector, Offer
from tests.optimality.linear import Terms, times
from tests.optimality.readings import fitting

if TYPE_CHECKING:
    from tests.optimality.second import Kit


def settle(kit: Kit, book: Book) -> None:
    """Choose parts for all demands, then buy what is used; the cost is the net."""
    connectors(kit)
    parts_but_connectors(kit)
    kit.program.charge(kit.labour)
    _buy(kit, book)


def parts_but_connectors(kit: Kit) -> None:
    """Pigtails, couplers, mains leads, splitters, and what the site wants used."""
    for gender, demand in kit.tails.items():
        _choose(kit, demand, [i for i in kit.kind("pigtail") if i.gender == gender], fitted=True)
    for kind, demand in kit.joints.items():
        _choose(kit, demand, [i for i in kit.kind("coupler") if i.type == kind])
    for kind, demand in kit.plugs.items():
        _choose(kit, demand, [i for i in kit.kind("mains_lead") if i.type == kind])
    _choose(kit, kit.splits, kit.kind("splitter"))
    demanded = _demanded(kit)
    for item in kit.kind("extra"):
        if item.id in demanded:
            kit.uses(item.id, [(1, kit.program.var(demanded[item.id]))])
    for item_id, quantity in demanded.items():
        kit.program.row(kit.use.get(item_id, []), low=quantity)


def _choose(kit: Kit, demand: Terms, items: list[AnyItem], fitted: bool = False) -> list[Terms]:
    """Meet a demand from several items in any mix; returns the pieces of each."""
    chosen: list[Terms] = []
    most = kit.program.most(demand)
    for item in items:
        taken = [(1, kit.program.var(most))]
        kit.uses(item.id, taken)
        if fitted:
            kit.labour += times(fitting(kit.site, item.minutes), taken)
        chosen.append(taken)
    kit.program.equal(demand, [t for terms in chosen for t in terms])
    return chosen


def connectors(kit: Kit) -> None:
    """Connectors by type and fit, and the tools that those in use need."""
    program = kit.program
    allowed = kit.site.policy.connectors
    pieces: dict[str, Terms] = {}
    for (kind, fit), demand in kit.ends.items():
        items = [
            item
            for item in kit.kind("connector")
            if isinstance(item, Connector)
            and item.type == kind
            and fit in item.fits
            and item.method in allowed.get(item.type, (item.method,))
        ]
        for item, taken in zip(items, _choose(kit, demand, list(items), fitted=True), strict=True):
            pieces.setdefault(item.id, []).extend(taken)
    asked: dict[str, Terms] = {}
    for item_id, taken in pieces.items():
        tool = kit.items[item_id].tool
        if tool is not None:
            in_use = [(1, program.var())]
            program.at_most(taken, times(program.most(taken), in_use))
            program.at_most(in_use, taken)
            asked.setdefault(tool, []).extend(in_use)
    demanded = _demanded(kit)
    tools: dict[str, Terms] = {}
    for tool in kit.kind("tool"):
        owned = max(1, demanded.get(tool.id, 0))
        taken = [(1, program.var(owned))]
        kit.uses(tool.id, taken)
        program.at_most(
            taken, times(owned, [t for kind in tool.types for t in asked.get(kind, [])])
        )
        for kind in tool.types:
            tools.setdefault(kind, []).extend(taken)
    for kind, uses in asked.items():
        for term in uses:
            program.at_most([term], tools.get(kind, []))
        kit.note("tool", uses)


def _demanded(kit: Kit) -> dict[str, int]:
    """Pieces that must be used: required, or owned and pinned."""
    demanded: dict[str, int] = {}
    for need in kit.site.policy.require:
        demanded[need.item] = max(demanded.get(need.item, 0), need.quantity)
    for own in kit.site.owned:
        if own.pinned:
            demanded[own.item] = max(demanded.get(own.item, 0), own.quantity)
    return demanded


def _buy(kit: Kit, book: Book) -> None:
    """Pieces from stock and bought, at the price of their number, less what offers take off."""
    program = kit.program
    offers = [o for o in book.offers if all(set(c.items) & set(kit.items) for c in o.when)]
    _refuse_gifts(kit, offers)
    stock: dict[str, int] = {}
    for own in kit.site.owned:
        stock[own.item] = stock.get(own.item, 0) + own.quantity
    bought: dict[str, tuple[Terms, int]] = {}
    paid: Terms = []
    for item in kit.items.values():
        used = kit.use.get(item.id, [])
        pack = getattr(item, "pack", 1)
        starts = [1, *(b.at_least for b in item.breaks)]
        starts += [c.at_least for o in offers for c in o.when if item.id in c.items]
        most = max(math.ceil(program.most(used) / pack), *starts)
        if not used and not any(item.id in c.items for o in offers for c in o.when):
            continue
        number: Terms = [(1, program.var(most))]
        bought[item.id] = (number, most)
        from_stock: Terms = [(1, program.var(stock.get(item.id, 0)))]
        program.at_most(used, [*from_stock, *times(pack, number)])
        paid += price_of(kit, item, number, most)
    goods = program.var(program.most(paid))
    taken_off: Terms = []
    for offer in offers:
        taken_off += reduction_of(kit, offer, bought)
    program.at_most(paid, [(1, goods), *taken_off])
    program.charge([(1, goods)])


def price_of(kit: Kit, item: AnyItem, number: Terms, most: int) -> Terms:
    """What this number costs, every piece at the price of the highest break reached."""
    if not item.breaks:
        return times(item.price, number)
    program = kit.program
    steps = [(0, item.price), *((b.at_least, b.price) for b in item.breaks)]
    ends = [start - 1 for start, _ in steps[1:]] + [most]
    cost: Terms = []
    parts: Terms = []
    chosen: Terms = []
    for (start, price), end in zip(steps, ends, strict=True):
        here = [(1, program.var())]
        part = [(1, program.var(end))]
        program.at_most(part, times(end, here))
        program.at_most(times(start, here), part)
        cost += times(price, part)
        parts += part
        chosen += here
        if start:
            kit.note("price break", here)
    program.equal(number, parts)
    program.row(chosen, 1, 1)
    return cost


def reduction_of(kit: Kit, offer: Offer, bought: dict[str, tuple[Terms, int]]) -> Terms:
    program = kit.program
    applies = [(1, program.var())]
    kit.note("offer", applies)
    for condition in offer.when:
        together = [t for i in condition.items if i in bought for t in bought[i][0]]
        program.at_most(times(condition.at_least, applies), together)
    if offer.off is not None:
        return times(offer.off, applies)
    amounts: Terms = []
    reduced: Terms = []
    for item_id in offer.on:
        if item_id in bought:
            number, most = bought[item_id]
            one = [(1, program.var(most))]
            program.at_most(one, number)
            program.at_most(one, times(most, applies))
            amounts += times(_cut_price(kit, offer, item_id), one)
            reduced += one
    if offer.most is not None:
        # Free to choose which pieces, the program takes the dearest, as the rule does.
        program.row(reduced, high=offer.most)
    return amounts


def _cut_price(kit: Kit, offer: Offer, item_id: str) -> int:
    return math.floor(kit.items[item_id].price * Fraction(offer.percent or 0))


def _refuse_gifts(kit: Kit, offers: list[Offer]) -> None:
    """Offers that give more for a piece than it costs leave no best number to buy."""
    for item in kit.items.values():
        least = min([item.price, *(b.price for b in item.breaks)])
        given = sum(_cut_price(kit, o, item.id) for o in offers if item.id in o.on)
        if given > least:
            raise ValueError(f"offers give {given} for each {item.id} that may cost {least}")
