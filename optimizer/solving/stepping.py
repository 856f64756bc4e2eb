"""A kit with its views made cheaper in steps: a few mounts near each other are chosen anew.

What other places do stays as it is; what is bought may change a little, as in
:mod:`optimizer.solving.polishing`. Effort is counted in deterministic units, and what is set free
is drawn with a fixed seed.
"""

from __future__ import annotations

import math
import random
import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from optimizer.model.draft import Draft
from optimizer.solving.cpsat import CpSat
from optimizer.solving.layout import lay_out
from optimizer.solving.polishing import Polisher
from optimizer.solving.pursue import CHOICES
from optimizer.solving.shrinking import Grid, shrink

_FREE = (5, 8, 12)
"""How many mounts are set free at a time."""

_WORK = 0.4
_PATIENCE = 8
_MOST = 60
_CORES = 2
_POOL_SECONDS = 5.0
_POOL_WORK = 0.5

Values = tuple[int, ...]


def pooled(draft: Draft, grid: Grid, other: Draft, values: Values) -> Values | None:
    """A solution of the whole program with the choices of one of a program with packs spelt out.

    Parameters
    ----------
    other : Draft
        That the values belong to; the same instance.
    """
    if other.program.names == draft.program.names:
        return values
    made = dict(zip(other.program.names, values, strict=True))
    fixed = {
        var: (made[name], made[name])
        for var, name in enumerate(draft.program.names)
        if name.startswith(CHOICES) and name in made
    }
    left = shrink(grid, fixed)
    if left is None:
        return None
    found = CpSat(left.program).solve(_POOL_SECONDS, work=_POOL_WORK)
    return None if found.values is None else left.lifted(found.values)


def stepped(
    draft: Draft, grid: Grid, liked: NDArray[np.float64], values: Values, until: float
) -> list[Values]:
    """Solutions that cost less than the known one, the cheapest first; at most two.

    What is bought is pooled: only a layout tells whether boxes and units hold it. The second one,
    if any, is the cheapest of which that is known.

    Parameters
    ----------
    draft : Draft
        The whole program.
    grid : Grid
        Of the program; rows that were added since must hold for every solution.
    liked : ndarray, shape (n_variables,)
        The solution of the linear relaxation.
    values : tuple of int
        A solution; it need not be one that can be laid out.
    until : float
        On the clock of ``time.monotonic``. [s]
    """
    stepper = _Stepper(draft, grid, liked)
    if len(stepper.spots) <= max(_FREE):
        return []
    found: list[Values] = []
    best, cost, failed = values, float(draft.program.value(values)), 0
    with ThreadPoolExecutor(_CORES) as pool:
        for turn in range(_MOST):
            left = until - time.monotonic()
            if failed >= _PATIENCE or left <= 0:
                break
            seeds = range(turn * _CORES, (turn + 1) * _CORES)
            steps = [pool.submit(stepper.step, best, cost, seed, left) for seed in seeds]
            failed += 1
            for step in steps:
                got = step.result()
                if got is not None and got[1] < cost:
                    (best, cost), failed = got, 0
                    found.append(best)
    packed = next((one for one in found[::-1] if not lay_out(draft, one).failed), None)
    return list(dict.fromkeys(one for one in (*found[-1:], packed) if one is not None))


class _Stepper(Polisher):
    """Sets mounts free that are near each other."""

    work = _WORK

    def __init__(self, draft: Draft, grid: Grid, liked: NDArray[np.float64]) -> None:
        super().__init__(draft, grid, liked)
        viewing = draft.instance.viewing
        assert viewing is not None
        at = {m.id: m.at for m in viewing.prepared.scene.mounts}
        self.spots = {name: at[name] for name in sorted(self.of_place) if name in at}

    def kept(self, draw: random.Random) -> list[str]:
        """Places that a step leaves as they are."""
        names = list(self.spots)
        centre = self.spots[draw.choice(names)]
        near = sorted(names, key=lambda n: (math.dist(self.spots[n], centre), n))[
            : draw.choice(_FREE)
        ]
        free = set(near)
        return [place for place in sorted(self.of_place) if place not in free]


__all__ = ["pooled", "stepped"]
