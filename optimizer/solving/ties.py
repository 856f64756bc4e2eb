"""Settling ties: among equal totals, the kit that the stated order prefers.

Fewer pieces bought, then fewer different items, then the lowest sum of catalogue positions.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from optimizer.model.draft import Draft
from optimizer.model.program import Program
from optimizer.solving.cpsat import CpSat

WORK = 0.25
"""Deterministic effort for each of the two stages; a limit in seconds would make the answer
depend on how busy the machine is."""


@dataclass(frozen=True)
class Settled:
    """The preferred solution, and whether it is proven to be the preferred one."""

    values: tuple[int, ...]
    proven: bool


def settle(draft: Draft, values: tuple[int, ...], seconds: float) -> Settled:
    """Choose among the solutions that cost no more than a known one."""
    program = draft.program
    extended, pieces, kinds = _with_kinds(draft)
    cost = program.value(values)
    bought = {c: k for terms in draft.bought.values() for c, k in terms}
    start = (*values, *(int(any(values[c] for c in cols)) for cols in kinds.values()))
    weight = len(kinds) + 1
    first = {c: weight * k for c, k in pieces.items()} | dict.fromkeys(kinds, 1)
    model = CpSat(extended)
    model.add_row({i: k for i, k in enumerate(program.cost) if k}, hi=cost)
    model.minimise(first)
    model.hint(start)
    fewest = model.solve(seconds, work=WORK)
    if fewest.values is None or fewest.objective is None:
        return Settled(values, False)
    position = {item: i for i, item in enumerate(draft.instance.book.items)}
    order = {
        c: position[item] * bought[c] for item, terms in draft.bought.items() for c, _ in terms
    }
    model.add_row(first, hi=fewest.objective)
    model.minimise(order)
    model.hint(fewest.values)
    last = model.solve(seconds, work=WORK)
    final = last.values or fewest.values
    proven = fewest.status == "optimal" and last.status == "optimal"
    return Settled(final[: len(values)], proven)


def _with_kinds(draft: Draft) -> tuple[Program, dict[int, int], dict[int, list[int]]]:
    """The program with a flag for each item that is bought; pieces; flag to its purchases."""
    program = draft.program
    extended = replace(
        program,
        names=list(program.names),
        lower=list(program.lower),
        upper=list(program.upper),
        cost=list(program.cost),
        rows=list(program.rows),
    )
    pieces: dict[int, int] = {}
    kinds: dict[int, list[int]] = {}
    for item, terms in draft.bought.items():
        flag = extended.var(f"kind/{item}", 1)
        kinds[flag] = [c for c, _ in terms]
        for col, coef in terms:
            pieces[col] = coef
            extended.row(
                f"kind/{item}/{col}", ["ties"], [(col, 1), (flag, -program.upper[col])], hi=0
            )
    return extended, pieces, kinds
