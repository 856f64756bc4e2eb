"""Finding the optimum of a program, and proving it.

The site is split into cases by which signal families are used at all: with that settled the linear
bound is far better, since a kit of one family shares no recorder, supply or cable with another.
Cases are taken in the order of their bounds, two at a time on two cores; every case is asked only
for something cheaper than what is known when its round starts, so the result does not depend on
which thread is faster.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import product

from optimizer.model.draft import Draft
from optimizer.model.program import Program
from optimizer.solving import highs
from optimizer.solving.cpsat import CpSat
from optimizer.solving.narrowing import first_design, narrowed
from optimizer.solving.outcome import Outcome

Progress = Callable[[str], None]
CORES = 2


@dataclass(frozen=True)
class Found:
    """What is known after the search.

    Attributes
    ----------
    status : str
        As in :class:`~optimizer.solving.outcome.Outcome`.
    bound : int or None
        Proven: no solution costs less.
    """

    status: str
    values: tuple[int, ...] | None
    objective: int | None
    bound: int | None


@dataclass(frozen=True)
class Case:
    """Some variables fixed, and the linear bound under that."""

    fixed: tuple[tuple[int, int], ...]
    bound: int


def minimise(draft: Draft, seconds: float, progress: Progress) -> Found:
    """Find the cheapest solution of a program.

    Parameters
    ----------
    seconds : float
        Time limit.
    """
    start = time.monotonic()
    program = draft.program
    relaxed = highs.relax(program, seconds)
    best: Outcome | None = None
    if relaxed is not None:
        first = first_design(program, relaxed, seconds)
        best = first if first.values is not None else None
        if best is not None and best.objective is not None:
            program = narrowed(program, relaxed, best.objective)
            progress(f"a first design costs {best.objective / 100:.2f}")
    cases = _cases(program, seconds)
    open_: list[int] = []
    done = 0
    with ThreadPoolExecutor(CORES) as pool:
        while cases:
            cases = [c for c in cases if best is None or c.bound < (best.objective or 0)]
            batch, cases = cases[:CORES], cases[CORES:]
            left = seconds - (time.monotonic() - start)
            if not batch:
                break
            if left <= 0:
                open_ += [c.bound for c in (*batch, *cases)]
                break
            cutoff = None if best is None else best.objective
            futures = [pool.submit(_solve, program, case, cutoff, left) for case in batch]
            for case, future in zip(batch, futures, strict=True):
                outcome = future.result()
                done += 1
                if outcome.objective is not None and (
                    best is None or outcome.objective < (best.objective or 0)
                ):
                    best = outcome
                if outcome.status in ("feasible", "unknown"):
                    open_.append(max(case.bound, outcome.bound or case.bound))
            price = "none yet" if best is None else f"{(best.objective or 0) / 100:.2f}"
            progress(f"cheapest so far {price}; {len(cases)} cases left")
    if best is None:
        return Found("unknown" if open_ else "infeasible", None, None, min(open_, default=None))
    objective = best.objective or 0
    bound = min([objective, *open_])
    return Found("optimal" if bound >= objective else "feasible", best.values, objective, bound)


def _cases(program: Program, seconds: float) -> list[Case]:
    """Cases that the linear relaxation leaves open, cheapest bound first."""
    families = [i for i, n in enumerate(program.names) if n.startswith("family/")]
    found = []
    for choice in product((1, 0), repeat=len(families)):
        fixed = tuple(zip(families, choice, strict=True))
        if families and not any(choice):
            continue
        relaxed = highs.relax(_restricted(program, fixed), seconds)
        if relaxed is not None:
            found.append(Case(fixed, highs.whole_bound(relaxed)))
    return sorted(found, key=lambda c: c.bound)


def _restricted(program: Program, fixed: tuple[tuple[int, int], ...]) -> Program:
    lower, upper = list(program.lower), list(program.upper)
    for var, value in fixed:
        lower[var] = upper[var] = value
    return replace(program, lower=lower, upper=upper)


def _solve(program: Program, case: Case, cutoff: int | None, seconds: float) -> Outcome:
    small = _restricted(program, case.fixed)
    if cutoff is not None:
        relaxed = highs.relax(small, seconds)
        if relaxed is not None:
            small = narrowed(small, relaxed, cutoff)
    model = CpSat(small)
    if cutoff is not None:
        model.add_row(model.cost, hi=cutoff - 1)
    return model.solve(seconds)
