"""The audit of a purchase in phases: section 8 of RULES.md.

The kit of each phase is audited by itself, with what was bought before it as stock
(:func:`optimizer.audit.audit_design`); here, what holds between the phases.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from optimizer.audit.finding import Fault, Finding, figure
from optimizer.audit.money import amount, goods_less_offers, pack_of, tax_on
from optimizer.design import Box, Design
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.site.schema import Site
from optimizer.units import money_text


class Stated(NamedTuple):
    """A phase as it is told.

    Attributes
    ----------
    site : Site
        What is asked at its end; owned: what the buyer had before the first phase.
    labour, net, tax, total : str
        Of its order.
    budget : int or None
        Of its order, in hundredths.
    """

    site: Site
    design: Design
    stock: Mapping[str, int]
    labour: str
    net: str
    tax: str
    total: str
    budget: int | None


def audit_phases(
    phases: Sequence[Stated], items: Mapping[str, AnyItem], offers: Sequence[Offer]
) -> list[Finding]:
    """What is wrong between the phases of a purchase.

    Returns
    -------
    list of Finding
        Empty if the purchase keeps section 8.
    """
    found = [fault.under("8.2 stock of a phase") for fault in _stock(phases, items)]
    for before, after in pairwise(phases):
        found += [fault.under("8.3 what is installed stays") for fault in _moved(before, after)]
        found += [fault.under("8.3 cable is cut once") for fault in _cut_again(before, after)]
    found += [fault.under("8.4 money of a phase") for fault in _money(phases, items, offers)]
    return found


def _stock(phases: Sequence[Stated], items: Mapping[str, AnyItem]) -> Iterator[Fault]:
    have = Counter({one.item: one.quantity for one in phases[0].site.owned})
    for number, phase in enumerate(phases, 1):
        for item in {*have, *phase.stock}:
            stated = phase.stock.get(item, 0)
            if stated != have[item]:
                text = f"stock {figure(stated)}, bought before and owned: {figure(have[item])}"
                yield Fault(f"phase {number}, {item}", "mismatch", text, stated, have[item])
        for line in phase.design.bill:
            have[line.item] += line.quantity * pack_of(items[line.item])


def _moved(before: Stated, after: Stated) -> Iterator[Fault]:
    for kind, there, then in (
        ("camera", _cameras(before.design), _cameras(after.design)),
        ("sound", _sounds(before.design), _sounds(after.design)),
        ("cable", _runs(before.design), _runs(after.design)),
    ):
        places = {how[0] for how in there}
        for place in sorted(places):
            mine = Counter({how: n for how, n in there.items() if how[0] == place})
            if mine != Counter({how: n for how, n in then.items() if how[0] == place}):
                text = f"the {kind} there is not as it was in the phase before"
                yield Fault(place, "mismatch", text)
    units, later_units = _in_use(before.design), _in_use(after.design)
    for (what, item), count in units.items():
        now = later_units[what, item]
        if now < count:
            text = f"{what}: {figure(count)} in use, {figure(now)} in the phase after"
            yield Fault(item, "missing", text, now, count)


How = tuple[str, *tuple[object, ...]]
"""A place, and how it is met there; cameras of a zone may change their numbers."""


def _cameras(design: Design) -> Counter[How]:
    return Counter(
        (c.zone, c.item, c.path, c.balun, c.power.way, c.control, c.focal_mm)
        for c in design.cameras
    )


def _sounds(design: Design) -> Counter[How]:
    return Counter((s.point, s.way, s.microphone, s.power.way) for s in design.audio)


def _runs(design: Design) -> Counter[How]:
    """Cables by place; from which box one is cut is looked at by itself."""
    return Counter(
        (
            r.place.partition("/")[0],
            r.medium,
            r.items if r.box is None else (),
            r.existing,
            r.length_cm,
        )
        for r in design.runs
    )


def _in_use(design: Design) -> Counter[tuple[str, str]]:
    """Units and parts in use, by what for and item."""
    count: Counter[tuple[str, str]] = Counter()
    for recorder in design.recorders:
        count["recorder", recorder.item] += 1
        for drives in recorder.drives:
            count["drive", drives.item] += drives.count
    for word, units in (
        ("supply", design.supplies),
        ("switch", design.switches),
        ("injector", design.injectors),
    ):
        for unit in units:
            count[f"{word} at {unit.place}", unit.item] += 1
    for box in design.boxes:
        count["box", box.item] += 1
    for part in design.parts:
        if part.role != "tool":
            count[part.role, part.item] += part.pieces
    return count


def _cut_again(before: Stated, after: Stated) -> Iterator[Fault]:
    """Each box of the phase before is one of the phase after, with all that was cut from it."""
    for item in {box.item for box in before.design.boxes}:
        old = [_pieces(before.design, box) for box in before.design.boxes if box.item == item]
        new = [_pieces(after.design, box) for box in after.design.boxes if box.item == item]
        if not _matched(old, new):
            yield Fault(item, "mismatch", "pieces that were cut are cut from other boxes")


def _pieces(design: Design, box: Box) -> Counter[int]:
    lengths = {run.id: run.length_cm for run in design.runs}
    return Counter(lengths[name] for name in box.cuts)


def _matched(old: Sequence[Counter[int]], new: Sequence[Counter[int]]) -> bool:
    """Whether each old box finds a new one of its own that holds its pieces: augmenting paths."""
    taken: dict[int, int] = {}

    def find(one: int, seen: set[int]) -> bool:
        for other, pieces in enumerate(new):
            if other in seen or not old[one] <= pieces:
                continue
            seen.add(other)
            if other not in taken or find(taken[other], seen):
                taken[other] = one
                return True
        return False

    return all(find(one, set()) for one in range(len(old)))


def _money(
    phases: Sequence[Stated], items: Mapping[str, AnyItem], offers: Sequence[Offer]
) -> Iterator[Fault]:
    before = 0
    for number, phase in enumerate(phases, 1):
        labour = amount(phase.design.labour) or 0
        basket = {line.item: line.quantity for line in phase.design.bill if line.quantity}
        net = goods_less_offers(items, tuple(offers), basket) + labour - before
        tax = tax_on(net, Fraction(phase.site.money.tax))
        due = {"labour": labour - before, "net": net, "tax": tax, "total": net + tax}
        for what, exact in due.items():
            stated = getattr(phase, what)
            if amount(stated) != exact:
                text = f"{what} comes to {money_text(exact)}, stated {stated}"
                yield Fault(f"phase {number}", "mismatch", text)
        if labour < before:
            yield Fault(f"phase {number}", "mismatch", "work that was done is taken back")
        cost = net + tax if phase.site.money.budget_includes_tax else net
        if phase.budget is not None and cost > phase.budget:
            text = f"costs {money_text(cost)}, its budget is {money_text(phase.budget)}"
            yield Fault(f"phase {number}", "limit", text, cost, phase.budget)
        before = labour


__all__ = ["Stated", "audit_phases"]
