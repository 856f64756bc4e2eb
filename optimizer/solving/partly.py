"""The choice of views of least weight where a share of a zone or directions are asked.

A first choice is made aim by aim, made lighter in steps, then bounded: by the linear relaxation, by
CP-SAT, and, where the program is not too large for it, by HiGHS.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Iterable, Sequence

from optimizer.instance import Instance
from optimizer.instance.tables import Aim, Viewing
from optimizer.model.families.viewing import write_zones
from optimizer.model.program import Program
from optimizer.solving import highs
from optimizer.solving.cpsat import CpSat
from optimizer.solving.greedy import Greedy
from optimizer.solving.outcome import Outcome
from optimizer.solving.shrinking import Grid, shrink

Values = tuple[int, ...]

_GREEDY_SHARE = 0.3
_NEAR_SHARE = 0.5
_RELAXING_SHARE = 0.5
_CPSAT_SHARE = 0.5
_COMPLETE_SECONDS = 20.0
_ANY_SECONDS = 15.0
"""For a choice at all, where none is known: nothing can be shown without one."""

_PATIENCE = 20
_FREE = (3, 5, 8)
_STEP_WORK = 0.5
_MOST_TERMS = 250_000
"""Terms up to which HiGHS is asked: it prepares larger programs for longer than it is given."""


def least_choice(
    instance: Instance,
    viewing: Viewing,
    costs: Sequence[int],
    seconds: float,
    start: Iterable[int] = (),
) -> Outcome:
    """Choose among the aims of a viewing; the first variables of the outcome are the aims.

    Parameters
    ----------
    costs : sequence of int
        Weight of each aim.
    seconds : float
        Time limit.
    start : iterable of int
        A choice that is known to do; empty where none is.
    """
    end = time.monotonic() + seconds
    aims = list(viewing.aims)
    program = _program(instance, viewing, costs)
    grid = Grid(program)
    known = _first(program, grid, viewing, costs, start, time.monotonic() + _GREEDY_SHARE * seconds)
    if known is not None:
        known = _nearer(
            instance, program, grid, aims, known, _NEAR_SHARE * (end - time.monotonic())
        )
    relaxed = highs.relax(program, _RELAXING_SHARE * (end - time.monotonic()))
    bound = None if relaxed is None else max(0, highs.whole_bound(relaxed))
    if known is not None and bound is not None and bound >= program.value(known):
        return Outcome("optimal", known, program.value(known), program.value(known))
    solver = CpSat(program)
    solver.hint(known)
    small = program.terms <= _MOST_TERMS
    left = (_CPSAT_SHARE if small else 1.0) * (end - time.monotonic())
    outcome = solver.solve(left)
    if known is None and outcome.status == "unknown":
        outcome = solver.solve(_ANY_SECONDS, first=True)
    found = [Outcome("unknown", None, None, bound), outcome]
    if known is not None:
        found.append(Outcome("feasible", known, program.value(known), None))
    if outcome.status not in ("optimal", "infeasible") and small:
        best = _best(found)
        found.append(highs.solve(program, end - time.monotonic(), start=best.values))
    return _best(found)


def _program(instance: Instance, viewing: Viewing, costs: Sequence[int]) -> Program:
    program = Program()
    by_mount: dict[int, list[tuple[int, int]]] = {}
    for number, (aim, cost) in enumerate(zip(viewing.aims, costs, strict=True)):
        var = program.var(f"aim/{number}", 1, cost=cost)
        by_mount.setdefault(aim.table, []).append((var, 1))
    for mount, terms in by_mount.items():
        program.row(f"mount/{mount}", [], terms, hi=1)
    names = {i: table.name for i, table in enumerate(instance.zones) if table.optional}
    write_zones(program, viewing, range(len(viewing.aims)), names)
    return program


def _best(found: Sequence[Outcome]) -> Outcome:
    """What several looks at one program say together."""
    for one in found:
        if one.status in ("optimal", "infeasible"):
            return one
    bound = max((o.bound for o in found if o.bound is not None), default=None)
    solved = [o for o in found if o.values is not None]
    if not solved:
        return Outcome("unknown", None, None, bound)
    best = min(solved, key=lambda o: o.objective or 0)
    return Outcome("feasible", best.values, best.objective, bound)


def _first(
    program: Program,
    grid: Grid,
    viewing: Viewing,
    costs: Sequence[int],
    start: Iterable[int],
    end: float,
) -> Values | None:
    """The lighter one of what is known and what is chosen aim by aim."""
    found = []
    given = set(start)
    if given:
        found.append(_completed(grid, viewing, given))
    chosen = Greedy(viewing, viewing.aims, costs).choose(end)
    if chosen is not None:
        found.append(_completed(grid, viewing, chosen))
    return min((f for f in found if f is not None), key=program.value, default=None)


def _nearer(
    instance: Instance,
    program: Program,
    grid: Grid,
    aims: list[Aim],
    known: Values,
    seconds: float,
) -> Values:
    """A choice made cheaper in steps: a few mounts near each other are chosen anew at a time."""
    end = time.monotonic() + seconds
    assert instance.viewing is not None
    at = {m.id: m.at for m in instance.viewing.prepared.scene.mounts}
    mount = [aim.table for aim in aims]
    tables = sorted(set(mount))
    spots = {t: at[instance.zones[t].name] for t in tables}
    rng = random.Random(1)
    failed = 0
    while failed < _PATIENCE and time.monotonic() < end:
        centre = spots[rng.choice(tables)]
        near = sorted(tables, key=lambda t: (math.dist(spots[t], centre), t))
        free = set(near[: rng.choice(_FREE)])
        fixed = {
            number: (known[number], known[number])
            for number, table in enumerate(mount)
            if table not in free
        }
        cost = program.value(known)
        left = shrink(grid, fixed)
        failed += 1
        if left is None:
            continue
        solver = CpSat(left.program)
        solver.add_row(solver.cost, hi=cost - 1 - left.offset)
        found = solver.solve(max(end - time.monotonic(), 0.1), work=_STEP_WORK)
        if found.values is not None:
            known, failed = left.lifted(found.values), 0
    return known


def _completed(grid: Grid, viewing: Viewing, chosen: set[int]) -> Values | None:
    """All variables of the choice of some aims; None if it breaks a row."""
    size = len(viewing.aims)
    left = shrink(grid, {n: (int(n in chosen), int(n in chosen)) for n in range(size)})
    if left is None:
        return None
    found = CpSat(left.program).solve(_COMPLETE_SECONDS, first=True)
    return None if found.values is None else left.lifted(found.values)
