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

Values = tuple[int, ...]

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
    grid = Grid(draft.program)
    best: Pursuit | None = None
    unpacked: list[Values] = []
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
        if found.values is None:
            continue
        values = small.lifted(found.values)
        layout = lay_out(draft, values)
        if layout.failed:
            unpacked.append(values)
            continue
        cost = draft.program.value(values)
        best, below = Pursuit(draft, Found("feasible", values, cost, 0), layout), cost
    # To choose units anew takes longer than all of this: once, and where there is nothing else.
    if best is None and unpacked:
        return _mended(draft, min(unpacked, key=draft.program.value), until, below)
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


def _mended(draft: Draft, values: Values, until: float, below: int | None) -> Pursuit | None:
    """A solution that could not be laid out, with its units chosen anew."""
    found = Found("feasible", values, draft.program.value(values), 0)
    failed = frozenset(lay_out(draft, values).failed)
    kit = repaired(draft.instance, draft, found, failed, failed, until)
    if kit is None or (below is not None and (kit.found.objective or 0) >= below):
        return None
    return kit


__all__ = ["soon"]
