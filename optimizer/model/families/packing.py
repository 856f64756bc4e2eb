"""Boxes of cable, supplies in the room, and switches: everything that is packed.

Each is a :class:`~optimizer.model.packs.Pack`, written pooled or spelt out.
"""

from __future__ import annotations

from optimizer.instance.amounts import down
from optimizer.instance.options import Cut, Output, PlainPort, PoweredPort
from optimizer.instance.recorders import port_power
from optimizer.model.draft import Draft
from optimizer.model.packs import Bin, Demand, Pack, write_pooled, write_spelt
from optimizer.pricebook.schema import Switch


def write(draft: Draft) -> None:
    """Add the bins of every pack, then its rows."""
    site = draft.instance.site
    asked = {r.item for r in site.policy.require} | {o.item for o in site.owned if o.pinned}
    for pack in (*_boxes(draft), *_supplies(draft), *_switches(draft)):
        draft.packs[pack.name] = pack
        if pack.name in draft.spelt:
            most = draft.largest([t for d in pack.demands for t in d.terms])
            write_spelt(draft.program, pack, most)
        else:
            write_pooled(draft.program, pack, asked)


def _bin(
    draft: Draft,
    pack: str,
    item: str,
    holds: tuple[int, ...],
    demands: list[Demand],
    limits: tuple[int, ...] | None = None,
) -> Bin | None:
    """A bin that some demand can use; None if there is none."""
    trial = Bin(item, holds, limits or holds, -1)
    most = draft.largest([t for d in demands if trial.takes(d) for t in d.terms])
    if not most:
        return None
    var = draft.program.var(f"{pack}/{item}", most)
    draft.used[item].append((var, 1))
    return Bin(item, holds, trial.limits, var)


def _boxes(draft: Draft) -> list[Pack]:
    """Boxes of each construction: one dimension, cm."""
    cuts: dict[str, list[Demand]] = {}
    for use, terms in draft.tally.items():
        if isinstance(use, Cut):
            cuts.setdefault(use.construction, []).append(Demand(use, (use.length_cm,), terms))
    packs = []
    for name, demands in cuts.items():
        boxes = draft.instance.cables[name].boxes
        bins = [_bin(draft, f"box/{name}", item, (length,), demands) for item, length in boxes]
        packs.append(
            Pack(
                f"box/{name}",
                (f"fact/{name}",),
                tuple(sorted(demands, key=lambda d: d.amounts)),
                tuple(b for b in bins if b is not None),
            )
        )
    return packs


def _supplies(draft: Draft) -> list[Pack]:
    """Supplies of each group: outputs and mA; an output limits a single load."""
    groups: dict[object, list[Demand]] = {}
    for use, terms in draft.tally.items():
        if isinstance(use, Output):
            groups.setdefault(use.group, []).append(Demand(use, (1, use.milliamps), terms))
    packs = []
    for group, demands in groups.items():
        fits = [f for f in draft.instance.supplies if f.group == group]
        name = f"supply/{fits[0].group.feed}.{fits[0].group.millivolts}.{fits[0].group.ends}"
        bins = []
        for fit in fits:
            holds, limits = (fit.outputs, fit.total_limit), (1, fit.output_limit)
            bin_ = _bin(draft, name, fit.item, holds, demands, limits)
            if bin_ is None:
                continue
            bins.append(bin_)
            if fit.mains_lead:
                draft.need(f"mains_lead/{fit.mains_lead}", [(bin_.var, 1)])
        packs.append(
            Pack(
                name,
                ("spare/supply",),
                tuple(sorted(demands, key=lambda d: d.amounts)),
                tuple(bins),
            )
        )
    return packs


def _switches(draft: Draft) -> list[Pack]:
    """Switches: ports, powered ports and 10 mW."""
    demands = [
        Demand(use, (1, 1, use.load) if isinstance(use, PoweredPort) else (1, 0, 0), terms)
        for use, terms in draft.tally.items()
        if isinstance(use, PoweredPort | PlainPort)
    ]
    if not demands:
        return []
    bins = []
    for switch in draft.instance.book.by_kind(Switch):
        if switch.id in draft.instance.site.policy.forbid:
            continue
        poe = switch.poe
        holds = (switch.ports, poe.ports if poe else 0, down(poe.budget * 100) if poe else 0)
        limits = (1, 1 if poe else 0, min(port_power(poe.poe_class), holds[2]) if poe else 0)
        bin_ = _bin(draft, "switch", switch.id, holds, demands, limits)
        if bin_ is None:
            continue
        bins.append(bin_)
        draft.need("rack_link", [(bin_.var, 1)])
        if switch.mains_lead:
            draft.need(f"mains_lead/{switch.mains_lead}", [(bin_.var, 1)])
    return [Pack("switch", ("fact/switch",), tuple(demands), tuple(bins))]
