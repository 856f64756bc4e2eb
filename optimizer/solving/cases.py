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
from threading import Event

from optimizer.errors import Defect
from optimizer.model.draft import Draft
from optimizer.model.program import Program
from optimizer.solving import highs
from optimizer.solving.cpsat import CpSat
from optimizer.solving.narrowing import first_design, narrowed
from optimizer.solving.outcome import Outcome

Progress = Callable[[str], None]
CORES = 2
_LARGE = 9000
"""Columns above which the program is solved whole: the linear bound is tight by then, and HiGHS
closes what is left better than a split does."""


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
    if len(program.names) > _LARGE:
        return _race(program, best, relaxed, seconds - (time.monotonic() - start), progress)
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


def _race(
    program: Program,
    best: Outcome | None,
    relaxed: highs.Relaxation | None,
    seconds: float,
    progress: Progress,
) -> Found:
    """Both solvers on the whole program, one core each; the better design and bound count."""
    start = None if best is None else best.values
    done = Event()

    def by_cpsat() -> Outcome:
        model = CpSat(program)
        model.hint(start)
        outcome = model.solve(seconds)
        if outcome.status in ("optimal", "infeasible"):
            done.set()
        return outcome

    def by_highs() -> Outcome:
        return highs.solve(program, seconds, start=start, stop=done.is_set)

    with ThreadPoolExecutor(CORES) as pool:
        one, two = pool.submit(by_cpsat), pool.submit(by_highs)
        outcomes = [one.result(), two.result()]
    progress("both solvers have stopped")
    proofs = [o for o in outcomes if o.status == "infeasible"]
    known = [o for o in (*outcomes, best) if o is not None and o.objective is not None]
    if proofs and known:
        raise Defect("one solver proves that there is no design, another has one")
    if proofs:
        return Found("infeasible", None, None, None)
    bounds = [o.bound for o in outcomes if o.bound is not None]
    if relaxed is not None:
        bounds.append(highs.whole_bound(relaxed))
    bound = max(bounds, default=None)
    if not known:
        return Found("unknown", None, None, bound)
    found = min(known, key=lambda o: o.objective or 0)
    objective = found.objective or 0
    if bound is not None and bound > objective:
        raise Defect(f"a proven bound of {bound} lies above a design that costs {objective}")
    status = "optimal" if bound is not None and bound >= objective else "feasible"
    return Found(status, found.values, objective, bound)
