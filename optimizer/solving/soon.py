"""A kit soon: for views that are settled, one set of signal families at a time.

With its views settled and its families too, a program is small, and CP-SAT has a kit near the
cheapest one in about a second; with families open it takes many times as long. Nothing is proven
here. Effort is counted in deterministic units: a busy machine takes longer, and finds the same.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from itertools import combinations

from optimizer.model.draft import Draft
from optimizer.solving.cpsat import CpSat
from optimizer.solving.layout import lay_out
from optimizer.solving.pursue import Pursuit, repaired
from optimizer.solving.search import Found
from optimizer.solving.shrinking import Grid, shrink
from optimizer.solving.working import SEARCH

_WORK = 0.6
_ANY_WORK = 5.0
"""For the first of all kits, where the usual effort leads to none."""

_SECONDS = 10.0
"""Beyond the time given, for a kit at all: without one there is nothing to show."""

_LEAST_SECONDS = 0.2


def soon(
    draft: Draft, until: float, below: int | None = None, needed: bool = True
) -> Pursuit | None:
    """A cheap kit of a program whose views are settled; None where none was found.

    Parameters
    ----------
    draft : Draft
        With the ways to aim of one choice of views only.
    until : float
        On the clock of ``time.monotonic``. [s]
    below : int, optional
        Only a lower net price is of interest. [hundredth]
    needed : bool
        Whether no other kit is known: then more time may be taken, where no price is to be beaten.
    """
    best = _tried(draft, until, below, _WORK)
    if best is None and below is None and needed:
        best = _tried(draft, max(until, time.monotonic() + _SECONDS), below, _ANY_WORK)
    return best


def _tried(draft: Draft, until: float, below: int | None, work: float) -> Pursuit | None:
    grid, best = Grid(draft.program), None
    for used in _sets([i for i, n in enumerate(draft.program.names) if n.startswith("family/")]):
        left = until - time.monotonic()
        if left < _LEAST_SECONDS:
            break
        small = shrink(grid, used)
        if small is None:
            continue
        model = CpSat(small.program)
        if below is not None:
            model.add_row(model.cost, hi=below - 1 - small.offset)
        found = model.solve(left, work=work, search=SEARCH)
        kit = None if found.values is None else _laid(draft, small.lifted(found.values), until)
        if kit is not None and (below is None or (kit.found.objective or 0) < below):
            best, below = kit, kit.found.objective
    return best


def _sets(families: list[int]) -> Iterator[dict[int, tuple[int, int]]]:
    """Each set of signal families, the smallest first; one without a choice if there are none."""
    chosen: Iterable[tuple[int, ...]] = (
        [()]
        if not families
        else (some for size in range(1, len(families) + 1) for some in combinations(families, size))
    )
    for some in chosen:
        yield {f: (int(f in some), int(f in some)) for f in families}


def _laid(draft: Draft, values: tuple[int, ...], until: float) -> Pursuit | None:
    """A solution laid out, its units chosen anew where that fails."""
    found = Found("feasible", values, draft.program.value(values), 0)
    layout = lay_out(draft, values)
    if not layout.failed:
        return Pursuit(draft, found, layout)
    failed = frozenset(layout.failed)
    return repaired(draft.instance, draft, found, failed, failed, until)


__all__ = ["soon"]
