"""Solving a site that is bought in phases, and laying out the kit of each phase.

The program of all phases (:mod:`optimizer.model.phasing`) is solved pooled, as that of a single
site is; what cannot be laid out is spelt out and the program solved again.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.instance import Instance
from optimizer.instance.options import Cut
from optimizer.model.build import build_phase
from optimizer.model.families.money import write_order
from optimizer.model.phasing import BOXES, Phased, build_phases, cutting, fix, name_in, ordered
from optimizer.pricebook.schema import Packed
from optimizer.site.schema import Needed, Owned, Site
from optimizer.solving.assemble import assemble
from optimizer.solving.cpsat import CpSat
from optimizer.solving.layout import Layout, Unit, lay_out
from optimizer.solving.search import Found, minimise

Progress = Callable[[str], None]

_SECONDS = 10.0
_WORK = 2.0
"""Effort for putting orders off, in deterministic units."""

_PURCHASES = ("buy/", "offer/", "offers")
_BOUGHT_ANEW = ("buy/", "offer/", "offers", "family/")
"""Variables of a phase's own program that have no counterpart of the same sense in the whole."""

_SETTLED_BY_ORDERS = ("buy/", "offer/", "offers", "cutting/", "on/")
"""Variables that follow from what is chosen and ordered, and may be written in another form."""


@dataclass(frozen=True)
class Stage:
    """The kit of a phase.

    Attributes
    ----------
    site : Site
        Of the phase, with what was bought before it as owned.
    design : Design
        The kit as it stands at the end of the phase, audited; its bill is the order of the phase,
        its labour all that was done up to then.
    """

    site: Site
    design: Design


@dataclass(frozen=True)
class Outcome:
    """What is known of a purchase in phases.

    Attributes
    ----------
    status : str
        As in :class:`~optimizer.solving.outcome.Outcome`.
    net : int or None
        Over all phases. [hundredth]
    bound : int or None
        No purchase has a lower net, proven.
    values : dict
        The solution by the names of its variables.
    """

    status: str
    net: int | None
    bound: int | None
    stages: tuple[Stage, ...] = ()
    values: Mapping[str, int] | None = None


def solve_phases(
    instances: Sequence[Instance],
    budgets: Sequence[int | None],
    deadline: float,
    say: Progress,
    *,
    before: Outcome | None = None,
    below: int | None = None,
) -> Outcome:
    """The cheapest purchase over all phases.

    Parameters
    ----------
    instances : sequence of Instance
        As :func:`optimizer.instance.phases.phase_instances` makes them.
    budgets : sequence of int or None
        Largest net of each phase. [hundredth]
    deadline : float
        On the clock of ``time.monotonic``. [s]
    before : Outcome, optional
        Of all phases but the last, which is kept as it is.
    below : int, optional
        Only purchases of a lower net are of interest: "infeasible" then says that there is none.
        [hundredth]

    Raises
    ------
    Defect
        If the program contradicts itself.
    """
    if any(not i.recorders or any(not z.candidates for z in i.zones) for i in instances):
        return Outcome("infeasible", None, None)
    spelt: frozenset[str] = frozenset()
    while True:
        phased = build_phases(instances, budgets, spelt)
        if before is not None:
            _kept(phased, before)
        found = minimise(phased.whole(), max(deadline - time.monotonic(), 0.1), say, below)
        if found.values is None:
            return Outcome(found.status, None, found.bound)
        layouts, failed = _laid_out(phased, found.values)
        if not failed:
            return _reached(phased, found, _late(phased, found.values), layouts)
        if failed <= spelt:
            raise Defect(f"{min(failed)} is spelt out and still cannot be laid out")
        if time.monotonic() > deadline or found.status != "optimal":
            return Outcome("unknown", None, found.bound)
        say(f"spelling out {', '.join(sorted(failed))}")
        spelt |= failed


def _kept(phased: Phased, before: Outcome) -> None:
    """Hold what was chosen and bought in the phases before."""
    assert before.values is not None
    named = {n: v for n, v in before.values.items() if not n.startswith(_SETTLED_BY_ORDERS)}
    fix(phased.program, named)
    for phase, stage in enumerate(before.stages):
        ordered(phased, phase, {line.item: line.quantity for line in stage.design.bill})


def has_none(instances: Sequence[Instance], budgets: Sequence[int | None], seconds: float) -> bool:
    """Whether CP-SAT alone proves, on the whole program, that there is no purchase.

    Raises
    ------
    Defect
        If it finds one.
    """
    if any(not i.recorders or any(not z.candidates for z in i.zones) for i in instances):
        return True
    outcome = CpSat(build_phases(instances, budgets).program).solve(seconds, first=True)
    if outcome.values is not None:
        raise Defect("the search proves that there is no purchase, CP-SAT finds one")
    return outcome.status == "infeasible"


def _laid_out(phased: Phased, values: Sequence[int]) -> tuple[list[Layout], frozenset[str]]:
    """The layout of each phase, and what could not be laid out."""
    mine = [phased.of_phase(phase, values) for phase in range(len(phased.drafts))]
    layouts = [lay_out(draft, own) for draft, own in zip(phased.drafts, mine, strict=True)]
    failed = {name for layout in layouts for name in layout.failed}
    for name in dict.fromkeys(n for d in phased.drafts for n in d.packs if n.startswith(BOXES)):
        units = _cut(phased, name, values)
        if units is None:
            failed.add(name)
            continue
        for layout, there in zip(layouts, units, strict=True):
            layout.packs.pop(name, None)
            if there:
                layout.packs[name] = there
    return layouts, frozenset(failed)


def _cut(phased: Phased, name: str, values: Sequence[int]) -> list[list[Unit]] | None:
    """Boxes of a construction in each phase, and what is cut from each by then."""
    program, placed = cutting(phased, name, values)
    outcome = CpSat(program).solve(_SECONDS, first=True)
    if outcome.values is None:
        return None
    phases = range(len(phased.drafts))
    inside: dict[tuple[str, int], list[list[Cut]]] = {}
    for (item, unit, cut, phase), var in placed.items():
        cuts = inside.setdefault((item, unit), [[] for _ in phases])
        cuts[phase] += [cut] * outcome.values[var]
    # A box that is opened earlier stands first, so that it keeps its number.
    order = sorted(
        (key for key, cuts in inside.items() if any(cuts)),
        key=lambda key: next(p for p, cuts in enumerate(inside[key]) if cuts),
    )
    return [
        [Unit(key[0], there) for key in order if (there := _by(inside[key], p))] for p in phases
    ]


def _by(cuts: Sequence[Sequence[Cut]], phase: int) -> list[object]:
    return [cut for one in cuts[: phase + 1] for cut in one]


def _late(phased: Phased, values: Sequence[int]) -> tuple[int, ...]:
    """The same kits at no higher cost, each piece ordered no sooner than that allows."""
    program = phased.program
    kept = list(program.lower), list(program.upper)
    cost = program.value(values)
    fix(program, {n: v for n, v in zip(program.names, values, strict=True)
                  if not n.startswith(_PURCHASES)})  # fmt: skip
    model = CpSat(program)
    model.add_row(dict(enumerate(program.cost)), hi=cost)
    late = tuple(values)
    for net in phased.nets[:-1]:
        model.minimise(net)
        model.hint(late)
        outcome = model.solve(_SECONDS, work=_WORK)
        if outcome.values is None:
            raise Defect("the orders of a purchase cannot be put off")
        late = outcome.values
        model.add_row(net, hi=sum(k * late[c] for c, k in net.items()))
    program.lower, program.upper = kept
    return late


def _reached(
    phased: Phased, found: Found, values: Sequence[int], layouts: Sequence[Layout]
) -> Outcome:
    named = dict(zip(phased.program.names, values, strict=True))
    stages: list[Stage] = []
    owned: dict[str, int] = {}
    for phase, layout in enumerate(layouts):
        order = _order(phased, phase, values)
        stages.append(_stage(phased, phase, named, order, owned, layout))
        items = phased.drafts[phase].instance.book.items
        for item_id, count in order.items():
            item = items[item_id]
            pieces = count * (item.pack if isinstance(item, Packed) else 1)
            owned[item_id] = owned.get(item_id, 0) + pieces
    return Outcome(found.status, phased.program.value(values), found.bound, tuple(stages), named)


def _order(phased: Phased, phase: int, values: Sequence[int]) -> dict[str, int]:
    """Packs bought in a phase."""
    return {
        item: count
        for item, terms in phased.drafts[phase].bought.items()
        if (count := sum(k * values[c] for c, k in phased.terms(phase, terms)))
    }


def _stage(
    phased: Phased,
    phase: int,
    named: Mapping[str, int],
    order: Mapping[str, int],
    owned: Mapping[str, int],
    layout: Layout,
) -> Stage:
    """The kit of a phase as a design of its own, with what is there as stock."""
    part = phased.drafts[phase]
    site = with_stock(part.instance.site, owned)
    draft = build_phase(replace(part.instance, site=site), part.spelt, last=False)
    write_order(draft, phased.needed)
    program = draft.program
    fix(
        program,
        {
            name: named[name_in(name, phase)]
            for name in program.names
            if not name.startswith(_BOUGHT_ANEW) and name_in(name, phase) in named
        },
    )
    for item, terms in draft.bought.items():
        program.equal(f"ordered/{item}", [], terms, order.get(item, 0))
    outcome = CpSat(program).solve(_SECONDS)
    if outcome.status != "optimal" or outcome.values is None:
        raise Defect(f"the kit of phase {phase + 1} cannot be put together")
    design = assemble(draft, outcome.values, layout)
    book = part.instance.book
    faults = audit_design(site, book.items, book.book.offers, design)
    if faults:
        first = faults[0]
        raise Defect(
            f"the audit refuses the kit of phase {phase + 1}: "
            f"{first.rule}, {first.place}: {first.text}"
        )
    return Stage(site, design)


def with_stock(site: Site, more: Mapping[str, int]) -> Site:
    """The site with more pieces that are owned; how many must be used stays as it is."""
    known = {one.item for one in site.owned}
    rows = [Owned(item=i, quantity=n) for i, n in more.items() if n and i not in known]
    needed = {one.item: one for one in site.policy.require}
    for one in site.owned:
        extra = more.get(one.item, 0)
        if one.pinned and extra:
            # Pinned stands for all that is owned; here it is only what was there at first.
            asked = max(one.quantity, needed[one.item].quantity if one.item in needed else 0)
            needed[one.item] = Needed(item=one.item, quantity=asked)
        pinned = one.pinned and not extra
        rows.append(Owned(item=one.item, quantity=one.quantity + extra, pinned=pinned))
    policy = site.policy.model_copy(update={"require": tuple(needed.values())})
    return site.model_copy(update={"owned": tuple(rows), "policy": policy})


__all__ = ["Outcome", "Stage", "has_none", "solve_phases", "with_stock"]
