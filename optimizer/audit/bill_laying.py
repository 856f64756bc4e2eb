"""A bill alone: cable, leads and what is fitted to them (section 3 of the rules).

Every "missing" and "limit" here is a necessary condition; see :mod:`optimizer.audit.kit`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimizer.audit.figures import down
from optimizer.audit.finding import Fault, counted, figure
from optimizer.audit.kit import BillRule, Choice, Kit, compare
from optimizer.audit.structure import cut_length_cm
from optimizer.audit.wiring import coax_reach_m
from optimizer.engineering.poe import CHANNEL_M
from optimizer.engineering.protection import route_ok
from optimizer.pricebook import schema as book
from optimizer.reading.terms import Family
from optimizer.site.schema import Zone


@dataclass(frozen=True)
class Reach:
    """What can carry the picture of a zone's cameras, every doubt in favour of the kit.

    Attributes
    ----------
    existing : int
        Existing cables that can.
    leads : bool
        Whether leads of the kit can.
    cut : frozenset of str
        Which connectors a cut cable may take: bnc, rj45, or none (over baluns).
    cut_cm : int
        Cut length. [cm]
    """

    existing: int
    leads: bool
    cut: frozenset[str]
    cut_cm: int


def reach_of(kit: Kit, zone: Zone) -> Reach:
    """What the kit and the existing cable of a zone can do there."""
    families = {c.camera.family for c in kit.choices[zone.id]}
    cut_cm = cut_length_cm(Fraction(zone.run), Fraction(kit.site.assumptions.end_allowance))
    existing = sum(
        e.count
        for e in zone.existing
        if any(_carries(kit, f, e.medium, e.fit, {}, Fraction(e.length)) for f in families)
    )
    cut: set[str] = set()
    for cable, _ in kit.of(book.Cable):
        fits = down(Fraction(cable.box) * 100) >= cut_cm
        if not fits or not route_ok(zone.route, cable.fire, cable.outdoor, cable.burial):
            continue
        for family in families:
            way = _carries(kit, family, cable.medium, cable.fit, cable.reach, Fraction(cut_cm, 100))
            cut |= way
    leads = any(_lead_covers(kit, zone, family) for family in families)
    return Reach(existing, leads, frozenset(cut), cut_cm)


def _carries(
    kit: Kit,
    family: Family,
    medium: str,
    fit: str | None,
    reach: Mapping[Family, Decimal],
    length: Fraction,
) -> set[str]:
    """Connectors with which a cable may carry a family so far; empty if it cannot."""
    if medium in ("coax_power", "coax") and family != "network":
        most = coax_reach_m(reach, family, fit)
        return {"bnc"} if most is not None and length <= most else set()
    if medium == "category" and family == "network":
        return {"rj45"} if length <= CHANNEL_M else set()
    if medium == "category" and any(
        family in b.families and n >= 2 and length <= Fraction(b.reach)
        for b, n in kit.of(book.Balun)
    ):
        return {"none"}
    return set()


def _lead_covers(kit: Kit, zone: Zone, family: Family) -> bool:
    wanted = "data" if family == "network" else "video"
    joints = kit.site.policy.most_joints
    run = Fraction(zone.run)
    able = [
        (lead, n)
        for lead, n in kit.of(book.Lead)
        if wanted in lead.carries
        and route_ok(zone.route, lead.fire, lead.outdoor, lead.burial)
        and Fraction(lead.length) <= (_lead_reach(lead, family) or 0)
    ]
    if any(run <= Fraction(lead.length) for lead, _ in able):
        return True
    for series in {lead.series for lead, _ in able}:
        mine = [(lead, n) for lead, n in able if lead.series == series and lead.joinable]
        lengths = sorted((Fraction(x.length) for x, n in mine for _ in range(n)), reverse=True)
        reach = max((_lead_reach(x, family) or Fraction(0) for x, _ in mine), default=Fraction(0))
        if run <= min(sum(lengths[: joints + 1], Fraction(0)), reach):
            return True
    return False


def _lead_reach(lead: book.Lead, family: Family) -> Fraction | None:
    if family == "network":
        return Fraction(CHANNEL_M)
    return coax_reach_m(lead.reach, family, lead.fit)


@dataclass(frozen=True)
class Laying:
    """How many cameras must be wired which way, summed over zones."""

    reach: dict[str, Reach]
    lead_pieces: int
    new: list[tuple[Zone, int]]

    def cut_only(self) -> list[tuple[Zone, int]]:
        return [(z, n) for z, n in self.new if not self.reach[z.id].leads]

    def least_cuts(self) -> list[int]:
        """Cut lengths that some cut cable must at least cover, shortest first. [cm]"""
        must = [self.reach[z.id].cut_cm for z, n in self.cut_only() for _ in range(n)]
        free = sorted(
            self.reach[z.id].cut_cm for z, n in self.new if self.reach[z.id].leads for _ in range(n)
        )
        return must + free[: max(0, len(free) - self.lead_pieces)]


def laying(kit: Kit) -> Laying:
    """Cameras that existing cable cannot serve, at the fewest."""
    reach = {z.id: reach_of(kit, z) for z in kit.site.views if kit.choices[z.id]}
    new = [
        (z, max(0, kit.fewest(z) - reach[z.id].existing))
        for z in kit.site.views
        if kit.choices[z.id]
    ]
    pieces = sum(n for x, n in kit.of(book.Lead) if {"video", "data"} & set(x.carries))
    return Laying(reach, pieces, new)


def paths(kit: Kit) -> Iterator[Fault]:
    """Each zone's picture can reach the room over something (necessary)."""
    lay = laying(kit)
    for zone, n in lay.new:
        reach = lay.reach[zone.id]
        if n and not reach.leads and not reach.cut:
            text = (
                f"nothing in the kit carries the picture of {counted(n, 'camera')} over the run of "
                f"{figure(Fraction(zone.run))} m ({zone.route})"
            )
            yield Fault(zone.id, "missing", text, 0, n)
    leads_only = sum(n for z, n in lay.new if lay.reach[z.id].leads and not lay.reach[z.id].cut)
    yield from compare("leads", "leads that carry pictures", lay.lead_pieces, leads_only)


def cable_length(kit: Kit) -> Iterator[Fault]:
    """The boxes are long enough for the shortest set of cuts (necessary)."""
    needed = sum(laying(kit).least_cuts())
    boxes = [
        n * down(Fraction(c.box) * 100)
        for c, n in kit.of(book.Cable)
        if c.medium in ("coax_power", "coax", "category")
    ]
    there = sum(boxes)
    if boxes and there < needed:
        text = (
            f"at least {figure(Fraction(needed, 100))} m of cable are cut, the boxes hold "
            f"{figure(Fraction(there, 100))} m"
        )
        yield Fault("cable", "missing", text, Fraction(there, 100), Fraction(needed, 100))


def _fits(kit: Kit) -> set[str | None]:
    """What connectors may fit here: cable of the kit, existing cable of the site."""
    zones, points = kit.site.views, kit.site.audio.points
    existing = [e.fit for z in zones for e in z.existing]
    existing += [e.fit for p in points for e in p.existing]
    return {*existing, *(c.fit for c, _ in kit.of(book.Cable))}


def _usable_connectors(kit: Kit, kind: str) -> tuple[int, int]:
    """Connectors of a type that may be fitted: with and without regard to tools."""
    tools = {t for tool, _ in kit.of(book.Tool) for t in tool.types}
    allowed = kit.site.policy.connectors
    fits = _fits(kit)
    able = [
        (c, n)
        for c, n in kit.of(book.Connector)
        if c.type == kind and set(c.fits) & fits and c.method in allowed.get(c.type, (c.method,))
    ]
    return sum(n for c, n in able if c.tool is None or c.tool in tools), sum(n for _, n in able)


def connectors(kit: Kit) -> Iterator[Fault]:
    """Two connectors for each cut run that baluns cannot serve, with their tools (necessary)."""
    lay = laying(kit)
    pairs = sum(n // 2 for _, n in kit.of(book.Balun))
    cut = lay.cut_only()
    bnc = sum(n for z, n in cut if lay.reach[z.id].cut == {"bnc"})
    rj45 = sum(n for z, n in cut if lay.reach[z.id].cut == {"rj45"})
    for kind, runs in (("bnc", bnc), ("rj45", rj45)):
        there, whatever_tool = _usable_connectors(kit, kind)
        if there < 2 * runs <= whatever_tool:
            text = f"{whatever_tool - there} {kind} connectors cannot be fitted: no tool for them"
            yield Fault("tools", "missing", text, there, 2 * runs)
        else:
            what = f"{kind} connectors for {counted(runs, 'run')} that must be cut"
            yield from compare(kind, what, there, 2 * runs)
    runs = max(0, len(lay.least_cuts()) - pairs)
    there = _usable_connectors(kit, "bnc")[1] + _usable_connectors(kit, "rj45")[1]
    if bnc + rj45 < runs:
        yield from compare(
            "connectors", f"connectors for {counted(runs, 'cut run')}", there, 2 * runs
        )


def idle_connectors(kit: Kit) -> Iterator[Fault]:
    """Bought connectors that fit no cable of the kit or site, or that no tool here can fit."""
    fits = _fits(kit)
    tools = {t for tool, _ in kit.of(book.Tool) for t in tool.types}
    for item, n in kit.of(book.Connector):
        if kit.bought.get(item.id, 0) == 0:
            continue
        allowed = kit.site.policy.connectors.get(item.type)
        if not set(item.fits) & fits:
            text = f"fits {', '.join(item.fits)}, of which there is none here"
            yield Fault(item.id, "surplus", text, n, 0)
        elif allowed is not None and item.method not in allowed:
            text = f"is {item.method}, the policy allows {', '.join(allowed) or 'none'}"
            yield Fault(item.id, "surplus", text, n, 0)
        elif item.tool is not None and item.tool not in tools:
            text = f'cannot be fitted: the kit has no tool of type "{item.tool}"'
            yield Fault(item.id, "surplus", text, n, 0)
    needed = {c.tool for c, _ in kit.of(book.Connector)}
    for tool, n in kit.of(book.Tool):
        if kit.bought.get(tool.id, 0) and not set(tool.types) & needed:
            yield Fault(tool.id, "surplus", "no connector of the kit needs it", n, 0)


def baluns(kit: Kit) -> Iterator[Fault]:
    """A run takes two baluns of one item: an odd one has no job."""
    for balun, n in kit.of(book.Balun):
        if n % 2 and kit.bought.get(balun.id, 0):
            text = f"a run takes two, the kit holds {n}: one is left over"
            yield Fault(balun.id, "surplus", text, n, n - 1)


def _barrel_without_poe(choice: Choice) -> bool:
    return choice.camera.power_plug == "barrel" and choice.camera.poe_class is None


def pigtails(kit: Kit) -> Iterator[Fault]:
    """A male one for each barrel camera that can only be fed over a pair from the room."""
    lay = laying(kit)
    adapters = any(s.form == "adapter" for s, _ in kit.of(book.Supply))
    needed = 0
    for zone, n in kit.surely(_barrel_without_poe):
        reach = lay.reach[zone.id]
        if not reach.leads and not (zone.mains and adapters):
            needed += n
    there = sum(n for p, n in kit.of(book.Pigtail) if p.gender == "male")
    yield from compare("pigtails", "male pigtails at barrel cameras", there, needed)


RULES = (
    BillRule("3 paths", paths),
    BillRule("3 cable length", cable_length),
    BillRule("3 connectors", connectors),
    BillRule("3 idle connectors", idle_connectors),
    BillRule("3 baluns", baluns),
    BillRule("3 pigtails", pigtails),
)
