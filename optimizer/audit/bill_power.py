"""A bill alone: supplies, PoE, switches, mains leads (section 3 of the rules).

Every "missing" and "limit" here is a necessary condition; see :mod:`optimizer.audit.kit`.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from optimizer.audit.figures import down, up
from optimizer.audit.finding import Fault, figure
from optimizer.audit.kit import BillRule, Choice, Kit, compare, least_units
from optimizer.audit.parts import RACK_LINK_M
from optimizer.audit.ports import budget_ten_mw, ten_mw
from optimizer.audit.recorders import channel_count
from optimizer.pricebook import schema as book


def _poe(choice: Choice) -> bool:
    return choice.camera.poe_class is not None


def _supplies(kit: Kit) -> list[tuple[book.Supply, int]]:
    """Supplies that some camera that suits a zone can be fed from."""
    feeds = [f for cs in kit.choices.values() for c in cs for f in c.camera.feeds]
    return [
        (s, n)
        for s, n in kit.of(book.Supply)
        if any(f.feed == s.feed and s.volts <= f.volts.high for f in feeds)
    ]


def _powered(kit: Kit) -> list[tuple[book.PoePorts, int]]:
    sources: list[tuple[book.PoePorts | None, int]] = [(r.poe, n) for r, n in kit.recorders]
    sources += [(s.poe, n) for s, n in kit.of(book.Switch)]
    return [(p, n) for p, n in sources if p is not None]


def outputs(kit: Kit) -> Iterator[Fault]:
    """An output for each camera without PoE, a port or output for every camera (necessary)."""
    there = sum(n * s.outputs for s, n in _supplies(kit))
    wired = sum(n for _, n in kit.surely(lambda c: not _poe(c)))
    yield from compare("supplies", "supply outputs for cameras without PoE", there, wired)
    injectors = sum(n for _, n in kit.of(book.Injector))
    ports = sum(n * p.ports for p, n in _powered(kit)) + injectors
    only = sum(n for _, n in kit.surely(lambda c: not c.camera.feeds))
    yield from compare("PoE", "powered ports for cameras with PoE alone", ports, only)
    every = sum(kit.fewest(z) for z in kit.site.views if kit.choices[z.id])
    what = "supply outputs or powered ports for all cameras"
    yield from compare("power", what, there + ports, every)


def currents(kit: Kit) -> Iterator[Fault]:
    """Nominal currents of cameras without PoE fit the supplies, spare left free (necessary).

    Nominal: watts over the supply's own volts, the least current there can be.
    """
    loaded = 1 - Fraction(kit.site.spare.supply)
    supplies = _supplies(kit)
    needed = 0
    for zone, n in kit.surely(lambda c: not _poe(c)):
        draws = [
            up(Fraction(f.watts) / Fraction(s.volts) * 1000)
            for c in kit.choices[zone.id]
            for f in c.camera.feeds
            for s, _ in supplies
            if f.feed == s.feed and s.volts <= f.volts.high
        ]
        needed += n * min(draws, default=0)
    there = 0
    for supply, n in supplies:
        total = down(loaded * Fraction(supply.total_amps) * 1000)
        each = down(loaded * Fraction(supply.output_amps) * 1000)
        there += n * min(total, supply.outputs * each)
    yield from compare("supplies", "current from the supplies", there, needed, " mA")


def poe_budget(kit: Kit) -> Iterator[Fault]:
    """Class power of cameras with PoE alone fits all budgets together (necessary)."""
    needed = 0
    for zone, n in kit.surely(lambda c: _poe(c) and not c.camera.feeds):
        needed += n * min(ten_mw(c.camera.poe_class or 0) for c in kit.choices[zone.id])
    there = sum(n * budget_ten_mw(p) for p, n in _powered(kit))
    there += sum(n * ten_mw(i.poe_class) for i, n in kit.of(book.Injector))
    if there < needed:
        text = (
            f"classes add up to at least {figure(Fraction(needed, 100))} W, the sources give "
            f"{figure(Fraction(there, 100))} W"
        )
        yield Fault("PoE", "missing", text, Fraction(there, 100), Fraction(needed, 100))


def ports(kit: Kit) -> Iterator[Fault]:
    """A port for each network camera, and a link for each switch in use (necessary)."""
    cameras = sum(n for _, n in kit.surely(lambda c: c.camera.family == "network"))
    own = sum(n * r.poe.ports for r, n in kit.recorders if r.poe is not None)
    switches = [(s.ports, n) for s, n in kit.of(book.Switch)]
    there = own + sum(p * n for p, n in switches)
    yield from compare("switches", "ports for network cameras", there, cameras)
    links = sum(n for x, n in kit.of(book.Lead) if "data" in x.carries and x.length >= RACK_LINK_M)
    needed = least_units(cameras - own, switches)
    yield from compare("rack links", "data leads as rack links", links, needed)


def mains_leads(kit: Kit) -> Iterator[Fault]:
    """Mains leads of the units that must be in use (necessary).

    Recorders by the channels needed; supplies by the outputs and switches by the ports that no
    other unit can give.
    """
    wired = sum(n for _, n in kit.surely(lambda c: not _poe(c)))
    network = sum(n for _, n in kit.surely(lambda c: c.camera.family == "network"))
    own = sum(n * r.poe.ports for r, n in kit.recorders if r.poe is not None)
    groups: list[tuple[int, list[tuple[str | None, int, int]]]] = [
        (kit.all_cameras, [(r.mains_lead, channel_count(r), n) for r, n in kit.recorders]),
        (wired, [(s.mains_lead, s.outputs, n) for s, n in _supplies(kit)]),
        (network - own, [(s.mains_lead, s.ports, n) for s, n in kit.of(book.Switch)]),
    ]
    types = {t for _, units in groups for t, _, _ in units if t is not None}
    for kind in sorted(types):
        needed = 0
        for demand, units in groups:
            rest = demand - sum(capacity * n for t, capacity, n in units if t != kind)
            needed += least_units(rest, [(c, n) for t, c, n in units if t == kind])
        there = sum(n for m, n in kit.of(book.MainsLead) if m.type == kind)
        yield from compare(kind, f"mains leads of type {kind}", there, needed)
    known = types | {i.mains_lead for i, _ in kit.of(book.Injector)}
    for lead, n in kit.of(book.MainsLead):
        if kit.bought.get(lead.id, 0) and lead.type not in known:
            yield Fault(lead.id, "surplus", "no unit of the kit takes it", n, 0)


def idle_supplies(kit: Kit) -> Iterator[Fault]:
    """Bought supplies that can feed nothing on this site."""
    able = {s.id for s, _ in _supplies(kit)}
    sound = any(m.volts is not None for m, _ in kit.of(book.Microphone))
    for supply, n in kit.of(book.Supply):
        for_sound = sound and supply.feed == "12 V DC"
        if kit.bought.get(supply.id, 0) and supply.id not in able and not for_sound:
            given = f"{supply.feed} at {figure(Fraction(supply.volts))} V"
            text = f"gives {given}, which no camera that suits takes"
            yield Fault(supply.id, "surplus", text, n, 0)


RULES = (
    BillRule("3 outputs", outputs),
    BillRule("3 supply current", currents),
    BillRule("3 powered ports", poe_budget),
    BillRule("3 switches", ports),
    BillRule("2.7 mains leads", mains_leads),
    BillRule("3 idle supplies", idle_supplies),
)
