"""Packing: many small demands into bins that are bought whole.

Boxes of cable, supplies and switches are all packs. A pack is written in one of two forms.
*Pooled*: only sums over all bins, plus rounded rows; a relaxation with no symmetry, that is
nearly always enough. *Spelt out*: every unit by itself, exact. A pooled solution whose layout
works is a solution of the spelt form at the same cost, so an optimum found pooled and laid out is
the optimum; where the layout fails, that pack is spelt out and the program solved again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from optimizer.model.program import Program

Terms = list[tuple[int, int]]


@dataclass(frozen=True)
class Demand:
    """Equal things to be packed.

    Attributes
    ----------
    key : object
        What it is, for the layout.
    amounts : tuple of int
        What one takes in each dimension.
    terms : list
        Count of them, in variables.
    """

    key: object
    amounts: tuple[int, ...]
    terms: Terms


@dataclass(frozen=True)
class Bin:
    """A kind of bin: what one holds in each dimension, and the variable that counts them."""

    item: str
    holds: tuple[int, ...]
    limits: tuple[int, ...]
    var: int

    def takes(self, demand: Demand) -> bool:
        """Whether a single demand may go into it."""
        return all(a <= m for a, m in zip(demand.amounts, self.limits, strict=True))


@dataclass(frozen=True)
class Pack:
    """Demands and bins, with the tags of the rows."""

    name: str
    tags: tuple[str, ...]
    demands: tuple[Demand, ...]
    bins: tuple[Bin, ...]


def write_pooled(program: Program, pack: Pack, asked: Collection[str]) -> None:
    """Sums over all bins: for every set of bins that some demand is bound to, in every dimension.

    For bins E and dimension d: sum of amounts of the demands that fit only into E <= sum over E
    of what the bins hold. Also with amounts and holds replaced by floor(amount / step): a
    nondecreasing superadditive function, so that no packing is lost (Chvatal-Gomory rounding).

    Parameters
    ----------
    asked : collection of str
        Items that the site asks to be in use: each unit of theirs must have something to do.
    """
    # Nobody gains from an idle unit but whoever is asked to have the item in use.
    wanted = [b for b in pack.bins if b.item in asked]
    for one in wanted:
        inside = [t for d in pack.demands if one.takes(d) for t in d.terms]
        program.row(f"{pack.name}/{one.item}.busy", pack.tags, [*inside, (one.var, -1)], lo=0)
    if wanted:
        everything = [t for d in pack.demands for t in d.terms]
        program.row(
            f"{pack.name}/busy", pack.tags, [*everything, *((b.var, -1) for b in pack.bins)], lo=0
        )
    for number, (bins, demands) in enumerate(_bound(pack)):
        for dim in range(len(bins[0].holds)):
            steps = [1, *_steps(bins, demands, dim)]
            for step in steps:
                terms = [(b.var, b.holds[dim] // step) for b in bins]
                for demand in demands:
                    weight = demand.amounts[dim] // step
                    terms += [(c, -weight * k) for c, k in demand.terms if weight]
                if len(terms) > len(bins):
                    program.row(f"{pack.name}/pool{number}.{dim}.{step}", pack.tags, terms, lo=0)


def _bound(pack: Pack) -> Iterator[tuple[list[Bin], list[Demand]]]:
    """Sets of bins, each with the demands that fit nowhere else."""
    sets: dict[frozenset[str], list[Bin]] = {}
    fits: list[tuple[Demand, frozenset[str]]] = []
    for demand in pack.demands:
        bins = [b for b in pack.bins if b.takes(demand)]
        names = frozenset(b.item for b in bins)
        fits.append((demand, names))
        sets.setdefault(names, bins)
    sets.setdefault(frozenset(b.item for b in pack.bins), list(pack.bins))
    for names, bins in sets.items():
        if bins:
            yield bins, [d for d, own in fits if own <= names]


def _steps(bins: Sequence[Bin], demands: Sequence[Demand], dim: int) -> list[int]:
    """Steps at which rounding bites: the shortest demand of which only j fit into a bin."""
    amounts = sorted({d.amounts[dim] for d in demands if d.amounts[dim] > 1})
    steps = set()
    for one in {b.holds[dim] for b in bins}:
        for fit in range(1, 7):
            above = [a for a in amounts if a > one // (fit + 1) and a * (fit + 1) > one]
            if above and above[0] <= one:
                steps.add(above[0])
    return sorted(steps)


def write_spelt(program: Program, pack: Pack, most: int) -> dict[tuple[str, int, int], int]:
    """Every unit by itself.

    Parameters
    ----------
    most : int
        No optimum needs more units of one bin than this.

    Returns
    -------
    dict
        (item, unit, index of demand) to the variable that counts the demands in that unit.
    """
    placed: dict[tuple[str, int, int], int] = {}
    for one in pack.bins:
        units = min(most, program.upper[one.var])
        opened = [program.var(f"{pack.name}/{one.item}.{u}", 1) for u in range(units)]
        program.equal(
            f"{pack.name}/{one.item}.units",
            pack.tags,
            [(one.var, -1), *((o, 1) for o in opened)],
        )
        for unit, open_ in enumerate(opened):
            if unit:
                program.row(
                    f"{pack.name}/{one.item}.{unit}.order",
                    pack.tags,
                    [(opened[unit - 1], 1), (open_, -1)],
                    lo=0,
                )
            loads: list[Terms] = [[] for _ in one.holds]
            inside: Terms = []
            for index, demand in enumerate(pack.demands):
                if not one.takes(demand):
                    continue
                room = min(
                    (h // a for h, a in zip(one.holds, demand.amounts, strict=True) if a),
                    default=0,
                )
                count = min(room, sum(k * program.upper[c] for c, k in demand.terms))
                if count <= 0:
                    continue
                var = program.var(f"{pack.name}/{one.item}.{unit}.{index}", count)
                placed[one.item, unit, index] = var
                inside.append((var, 1))
                program.row(
                    f"{pack.name}/{one.item}.{unit}.{index}.open",
                    pack.tags,
                    [(var, 1), (open_, -count)],
                    hi=0,
                )
                for dim, amount in enumerate(demand.amounts):
                    loads[dim].append((var, amount))
            program.row(
                f"{pack.name}/{one.item}.{unit}.busy", pack.tags, [*inside, (open_, -1)], lo=0
            )
            for dim, load in enumerate(loads):
                program.row(
                    f"{pack.name}/{one.item}.{unit}.load{dim}",
                    pack.tags,
                    [(open_, one.holds[dim]), *((c, -k) for c, k in load)],
                    lo=0,
                )
    for index, demand in enumerate(pack.demands):
        spread = [(v, 1) for (_, _, i), v in placed.items() if i == index]
        program.equal(
            f"{pack.name}/all{index}",
            pack.tags,
            [*spread, *((c, -k) for c, k in demand.terms)],
        )
    return placed
