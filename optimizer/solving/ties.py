"""Settling ties: among equal totals, the kit that the stated order prefers.

Fewer pieces bought, then fewer different items, then the lowest sum of catalogue positions.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from optimizer.errors import Defect
from optimizer.model.draft import Draft
from optimizer.model.program import Program
from optimizer.solving.case import lifted, narrowed, opened
from optimizer.solving.cpsat import CpSat
from optimizer.solving.openings import Openings
from optimizer.solving.rounding import CUT
from optimizer.solving.shrinking import Grid, Shrunk, shrink

WORK = 0.5
"""Deterministic effort for each of the two stages; a limit in seconds would make the answer
depend on how busy the machine is."""


@dataclass(frozen=True)
class Settled:
    """The preferred solution, and whether it is proven to be the preferred one."""

    values: tuple[int, ...]
    proven: bool


def settle(draft: Draft, values: tuple[int, ...], seconds: float) -> Settled:
    """Choose among the solutions that cost no more than a known one."""
    cost = draft.program.value(values)
    shrunk = _no_dearer(draft, cost)
    if shrunk is None or shrunk.lifted(tuple(values[c] for c in shrunk.columns)) != values:
        raise Defect("making the program smaller took out a solution that it must keep")
    start = [values[c] for c in shrunk.columns]
    bought = {item: _left(shrunk, terms) for item, terms in draft.bought.items()}
    extended, pieces, kinds = _with_kinds(shrunk, bought)
    weight = len(kinds) + 1
    first = {c: weight * k for c, k in pieces.items()} | dict.fromkeys(kinds, 1)
    model = CpSat(extended)
    model.add_row({i: k for i, k in enumerate(shrunk.program.cost) if k}, hi=cost - shrunk.offset)
    model.minimise(first)
    model.hint([*start, *(int(any(start[c] for c in cols)) for cols in kinds.values())])
    fewest = model.solve(seconds, work=WORK)
    if fewest.values is None or fewest.objective is None:
        return Settled(values, False)
    position = {item: i for i, item in enumerate(draft.instance.book.items)}
    order = {c: position[item] * k for item, terms in bought.items() for c, k in terms}
    model.add_row(first, hi=fewest.objective)
    model.minimise(order)
    model.hint(fewest.values)
    last = model.solve(seconds, work=WORK)
    final = last.values or fewest.values
    proven = fewest.status == "optimal" and last.status == "optimal"
    return Settled(shrunk.lifted(final[: len(start)]), proven)


def _no_dearer(draft: Draft, cost: int) -> Shrunk | None:
    """The program without what would cost more than a known solution; None if nothing is left."""
    whole = shrink(Grid(draft.program), {})
    openings = Openings(draft)
    case = None if whole is None else opened(whole)
    higher = None if case is None else lifted(case, openings, cost + 1)
    small = None if higher is None else narrowed(higher, openings, cost + 1)
    if small is None:
        return None
    rows = [row for row in small.shrunk.program.rows if row.name != CUT]
    return replace(small.shrunk, program=replace(small.shrunk.program, rows=rows))


def _left(shrunk: Shrunk, terms: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Terms over what is left of a program."""
    place = {int(c): i for i, c in enumerate(shrunk.columns)}
    return [(place[c], k) for c, k in terms if c in place]


def _with_kinds(
    shrunk: Shrunk, bought: Mapping[str, Sequence[tuple[int, int]]]
) -> tuple[Program, dict[int, int], dict[int, list[int]]]:
    """The program with a flag for each item that may be bought; pieces; flag to its purchases."""
    program = shrunk.program
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
    for item, terms in bought.items():
        if not terms:
            continue
        flag = extended.var(f"kind/{item}", 1)
        kinds[flag] = [c for c, _ in terms]
        for col, coef in terms:
            pieces[col] = coef
            extended.row(
                f"kind/{item}/{col}", ["ties"], [(col, 1), (flag, -program.upper[col])], hi=0
            )
    return extended, pieces, kinds
