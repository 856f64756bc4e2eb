"""One program for a site that is bought in phases.

Each phase p has a site, and a program written by the families as for any other. They are put
together: what is chosen for a zone or an audio point (cameras, paths, feeds, steering, sound) is
one variable in all phases, since what is installed stays; everything else is a variable of each
phase, marked @p. Between them stand

    pieces used in phase p - stock <= pieces bought in phases 1 to p          (owned/...)
    units and parts in use in phase p <= in use in phase p + 1                 (stays/...)
    net_p = goods of p - offers of p + labour of p - labour of p - 1           (net/...)
    net_p <= the largest net within the budget of p                            (budget/...)

and the sum of net_p is least: tax is the same share of all orders, and its rounding in each of them
is no reason to buy something earlier.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from optimizer.errors import Defect
from optimizer.instance import Instance
from optimizer.instance.options import Cut
from optimizer.model.build import build_phase
from optimizer.model.draft import Draft, Terms
from optimizer.model.families import money
from optimizer.model.program import Program
from optimizer.pricebook.schema import Extra, Packed, Tool

_CHOSEN = ("seen/", "feed/", "path/", "steer/", "sound/", "models/")
_PURCHASES = ("buy/", "offer/", "offers")
BOXES = "box/"
_FLAG = ".tier"


@dataclass
class Phased:
    """The program of all phases.

    Attributes
    ----------
    drafts : list of Draft
        One for each phase, with variables of its own numbering.
    needed : dict
        Most pieces of each item that any phase uses, less stock: as many may be ordered at once.
    columns : list of list of int
        For each phase, its variables as variables of the whole.
    nets : list of dict
        For each phase, variable to coefficient of its net. [hundredth]
    """

    program: Program
    drafts: list[Draft]
    needed: dict[str, int]
    columns: list[list[int]] = field(default_factory=list)
    nets: list[dict[int, int]] = field(default_factory=list)

    def of_phase(self, phase: int, values: Sequence[int]) -> tuple[int, ...]:
        """A solution of the whole as one of a phase's program."""
        return tuple(values[c] for c in self.columns[phase])

    def terms(self, phase: int, terms: Iterable[tuple[int, int]]) -> Terms:
        """Terms of a phase as terms of the whole."""
        return [(self.columns[phase][c], k) for c, k in terms]

    def whole(self) -> Draft:
        """The program as a draft of the last phase, with the orders of all of them.

        What is used in the last phase was bought in some order, so whatever opens a price of one
        opens it for that use (:mod:`optimizer.solving.openings`).
        """
        last = len(self.drafts) - 1
        draft = Draft(self.drafts[-1].instance, program=self.program)
        for phase, one in enumerate(self.drafts):
            for item, terms in one.bought.items():
                draft.bought[item] += self.terms(phase, terms)
        for item, terms in self.drafts[-1].used.items():
            draft.used[item] = self.terms(last, terms)
        draft.owners = {self.columns[last][c]: o for c, o in self.drafts[-1].owners.items()}
        return draft


def name_in(name: str, phase: int) -> str:
    """What a phase's variable is called in the whole."""
    if name.startswith(_CHOSEN):
        return name
    if name.endswith(_FLAG):
        return f"{name.removesuffix(_FLAG)}@{phase}{_FLAG}"
    return f"{name}@{phase}"


def build_phases(
    instances: Sequence[Instance], budgets: Sequence[int | None], spelt: Collection[str] = ()
) -> Phased:
    """Write the program of all phases.

    Parameters
    ----------
    instances : sequence of Instance
        One for each phase; a zone has the same table in all of them, but for how it is recorded.
    budgets : sequence of int or None
        Largest net of each phase. [hundredth]
    spelt : collection of str
        Packs, and "recorders", to be spelt out unit by unit.
    """
    others = [name for name in spelt if not name.startswith(BOXES)]
    last = len(instances) - 1
    drafts = [build_phase(i, others, last=p == last) for p, i in enumerate(instances)]
    needed = _needed(drafts)
    for draft in drafts:
        money.write_order(draft, needed)
    phased = Phased(Program(), drafts, needed)
    for phase, draft in enumerate(drafts):
        _add(phased, phase, draft)
    for phase in range(len(drafts)):
        _owned(phased, phase)
        if phase:
            _stays(phased, phase)
        _paid(phased, phase, budgets[phase])
    for name in spelt:
        if name.startswith(BOXES):
            write_cutting(phased.program, name, *_cuts(phased, name))
    phased.program.check()
    return phased


def _needed(drafts: Sequence[Draft]) -> dict[str, int]:
    """Most pieces of each item that are in use in any phase, or asked for, less stock."""
    stock = {o.item: o.quantity for o in drafts[0].instance.site.owned}
    most: dict[str, int] = {}
    for draft in drafts:
        for item, terms in draft.used.items():
            most[item] = max(most.get(item, 0), draft.largest(terms))
        for item, count in draft.asked.items():
            if isinstance(draft.instance.book.items[item], Extra | Tool):
                most[item] = max(most.get(item, 0), count)
    return {item: max(0, n - stock.get(item, 0)) for item, n in most.items()}


def _add(phased: Phased, phase: int, draft: Draft) -> None:
    """Add the variables and rows of a phase; what is chosen once is there already."""
    whole, part = phased.program, draft.program
    known = {name: i for i, name in enumerate(whole.names) if name.startswith(_CHOSEN)}
    columns = []
    for name, low, high in zip(part.names, part.lower, part.upper, strict=True):
        if name in known:
            col = known[name]
            if (whole.lower[col], whole.upper[col]) != (low, high):
                raise Defect(f"{name} is not the same in all phases")
        else:
            col = whole.var(name_in(name, phase), high, low)
        columns.append(col)
    phased.columns.append(columns)
    there = {(row.cols, row.coefs, row.lo, row.hi) for row in whole.rows}
    for row in part.rows:
        terms = phased.terms(phase, zip(row.cols, row.coefs, strict=True))
        cols, coefs = tuple(c for c, _ in terms), tuple(k for _, k in terms)
        if (cols, coefs, row.lo, row.hi) not in there:
            whole.row(f"{row.name}@{phase}", row.tags, terms, row.lo, row.hi)


def _owned(phased: Phased, phase: int) -> None:
    """What is used, and what must be in the kit, is bought by then or was there."""
    draft = phased.drafts[phase]
    stock = {o.item: o.quantity for o in draft.instance.site.owned}
    items = draft.instance.book.items
    for item_id in dict.fromkeys((*draft.used, *draft.asked)):
        item = items[item_id]
        pack = item.pack if isinstance(item, Packed) else 1
        bought = [
            (c, pack * k)
            for p in range(phase + 1)
            for c, k in phased.terms(p, phased.drafts[p].bought.get(item_id, []))
        ]
        used = phased.terms(phase, draft.used.get(item_id, []))
        have = stock.get(item_id, 0)
        tags = [f"item/{item_id}"]
        terms = [*bought, *((c, -k) for c, k in used)]
        if terms:
            phased.program.row(f"owned/{item_id}@{phase}", tags, terms, lo=-have)
        asked = draft.asked.get(item_id, 0)
        if asked and isinstance(item, Extra | Tool):
            name = f"owned/{item_id}.kit@{phase}"
            phased.program.row(name, ["policy/require"], bought, lo=asked - have)


def _stays(phased: Phased, phase: int) -> None:
    """Units and parts in use are so in the next phase too."""
    before, after = phased.drafts[phase - 1], phased.drafts[phase]
    names = {name: i for i, name in enumerate(after.program.names)}
    single = [
        *before.recorders.values(),
        *(b.var for pack in before.packs.values() for b in pack.bins),
        *(var for _, _, var in before.parts),
    ]
    for var in single:
        name = before.program.names[var]
        terms = phased.terms(phase - 1, [(var, -1)])
        if name in names:
            terms += phased.terms(phase, [(names[name], 1)])
        phased.program.row(f"stays/{name}@{phase}", [f"fact/{name}"], terms, lo=0)
    for item in dict.fromkeys(item for _, _, item, _ in before.drives):
        terms = phased.terms(phase, after.used.get(item, []))
        terms += [(c, -k) for c, k in phased.terms(phase - 1, before.used[item])]
        phased.program.row(f"stays/{item}@{phase}", [f"fact/{item}"], terms, lo=0)


def _paid(phased: Phased, phase: int, budget: int | None) -> None:
    """The net of a phase, and its budget."""
    program = phased.program
    terms = phased.terms(phase, _priced(phased.drafts[phase], labour=False))
    terms += phased.terms(phase, _priced(phased.drafts[phase], labour=True))
    if phase:
        earlier = phased.terms(phase - 1, _priced(phased.drafts[phase - 1], labour=True))
        terms += [(c, -k) for c, k in earlier]
    sums: dict[int, int] = {}
    for col, cost in terms:
        program.cost[col] += cost
        sums[col] = sums.get(col, 0) + cost
    phased.nets.append({col: cost for col, cost in sums.items() if cost})
    if budget is not None:
        program.row(f"budget/{phase}", ["budget"], terms, hi=budget)


def _priced(draft: Draft, *, labour: bool) -> Terms:
    """Variables of a phase that cost something: labour, or purchases and offers."""
    return [
        (i, cost)
        for i, (name, cost) in enumerate(zip(draft.program.names, draft.program.cost, strict=True))
        if cost and name.startswith(_PURCHASES) != labour
    ]


# Cable is cut once

Boxes = list[tuple[str, int, list[Terms]]]
"""Boxes of cable: item, length in cm, and the terms that count those in use in each phase."""

Cuts = list[tuple[Cut, list[Terms]]]
"""Pieces to be cut: what, and the terms that count those in place in each phase."""


def _cuts(phased: Phased, name: str) -> tuple[Boxes, Cuts]:
    packs = [draft.packs.get(name) for draft in phased.drafts]
    boxes: dict[str, tuple[int, list[Terms]]] = {}
    cuts: dict[Cut, list[Terms]] = {}
    for phase, pack in enumerate(packs):
        for one in pack.bins if pack is not None else ():
            _, counts = boxes.setdefault(one.item, (one.holds[0], [[] for _ in packs]))
            counts[phase] = phased.terms(phase, [(one.var, 1)])
        for demand in pack.demands if pack is not None else ():
            assert isinstance(demand.key, Cut)
            counts = cuts.setdefault(demand.key, [[] for _ in packs])
            counts[phase] = phased.terms(phase, demand.terms)
    return [(i, n, c) for i, (n, c) in boxes.items()], list(cuts.items())


def write_cutting(
    program: Program, name: str, boxes: Boxes, cuts: Cuts
) -> dict[tuple[str, int, Cut, int], int]:
    """Every box by itself: a piece is cut in one phase, from a box in use by then.

    Returns
    -------
    dict
        (box item, number, cut, phase) to the variable that counts such pieces.
    """
    placed: dict[tuple[str, int, Cut, int], int] = {}
    phases = range(len(cuts[0][1])) if cuts else range(0)

    def most(terms: Terms) -> int:
        return sum(k * program.upper[c] for c, k in terms)

    for item, length, counts in boxes:
        opened: list[list[int]] = []
        for unit in range(max(most(terms) for terms in counts)):
            at = f"cutting/{name}/{item}.{unit}"
            flags = [program.var(f"{at}.open{p}", 1) for p in phases]
            for p in phases:
                if p:
                    program.row(f"{at}.kept{p}", [], [(flags[p], 1), (flags[p - 1], -1)], lo=0)
                if unit:
                    program.row(f"{at}.order{p}", [], [(opened[-1][p], 1), (flags[p], -1)], lo=0)
            opened.append(flags)
            inside: list[Terms] = [[] for _ in phases]
            for number, (cut, wanted) in enumerate(cuts):
                for p in phases:
                    room = min(length // cut.length_cm, most(wanted[p]))
                    if room > 0:
                        var = program.var(f"{at}.{number}.{p}", room)
                        placed[item, unit, cut, p] = var
                        inside[p].append((var, cut.length_cm))
                        program.row(
                            f"{at}.{number}.{p}.open", [], [(var, 1), (flags[p], -room)], hi=0
                        )
            load = [t for terms in inside for t in terms]
            program.row(f"{at}.load", [], load, hi=length)
            for p in phases:
                there = [(c, 1) for terms in inside[: p + 1] for c, _ in terms]
                program.row(f"{at}.busy{p}", [], [*there, (flags[p], -1)], lo=0)
        for p in phases:
            program.equal(
                f"cutting/{name}/{item}.units{p}",
                [],
                [*((flags[p], 1) for flags in opened), *((c, -k) for c, k in counts[p])],
            )
    for number, (cut, wanted) in enumerate(cuts):
        for p in phases:
            made = [(v, 1) for (_, _, c, q), v in placed.items() if c == cut and q == p]
            new = [(c, -k) for c, k in wanted[p]]
            before = wanted[p - 1] if p else []
            program.equal(f"cutting/{name}/all{number}.{p}", [], [*made, *new, *before])
    return placed


def cutting(
    phased: Phased, name: str, values: Sequence[int]
) -> tuple[Program, dict[tuple[str, int, Cut, int], int]]:
    """The question how a solution's pieces are cut from its boxes, as a program of its own."""
    program = Program()

    def counted(terms: Terms) -> Terms:
        count = sum(k * values[c] for c, k in terms)
        return [(program.var(f"count/{len(program.names)}", count, count), 1)]

    boxes, cuts = _cuts(phased, name)
    fixed_boxes = [(item, length, [counted(t) for t in counts]) for item, length, counts in boxes]
    fixed_cuts = [(cut, [counted(t) for t in wanted]) for cut, wanted in cuts]
    return program, write_cutting(program, name, fixed_boxes, fixed_cuts)


def ordered(phased: Phased, phase: int, order: Mapping[str, int]) -> None:
    """Hold the order of a phase at what it is known to be."""
    bought = phased.drafts[phase].bought
    missing = [item for item, count in order.items() if count and item not in bought]
    if missing:
        raise Defect(f"{missing[0]} was ordered and cannot be")
    for item, terms in bought.items():
        tags = [f"item/{item}"]
        there = phased.terms(phase, terms)
        phased.program.equal(f"ordered/{item}@{phase}", tags, there, order.get(item, 0))


def fix(program: Program, known: Mapping[str, int]) -> None:
    """Hold variables at the values that they have in a solution known before."""
    for i, name in enumerate(program.names):
        if name in known:
            if not program.lower[i] <= known[name] <= program.upper[i]:
                raise Defect(f"{name} cannot stay at {known[name]}")
            program.lower[i] = program.upper[i] = known[name]


__all__ = [
    "BOXES",
    "Phased",
    "build_phases",
    "cutting",
    "fix",
    "name_in",
    "ordered",
    "write_cutting",
]
