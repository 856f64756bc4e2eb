"""Making a design of a large site cheaper: a few places are set free, all others stay.

What is bought is free everywhere, so that each small step also repacks boxes and recorders. Which
places are free is drawn with a fixed seed.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from optimizer.model.program import Program
from optimizer.solving.cpsat import CpSat
from optimizer.solving.shrinking import Grid, shrink

FREE_PLACES = 10
_WORK = 0.3
_OF_PLACE = ("feed", "path", "seen", "stream", "steer", "sound")
_SEARCH = {"add_zero_half_cuts": False, "add_cg_cuts": False}


class Polisher:
    """Steps from one design to a cheaper one near by."""

    def __init__(self, program: Program, grid: Grid) -> None:
        self.grid = grid
        self.of_place: dict[str, list[int]] = {}
        for var, name in enumerate(program.names):
            kind, _, rest = name.partition("/")
            if kind in _OF_PLACE:
                self.of_place.setdefault(rest.partition("/")[0], []).append(var)

    def step(
        self, values: Sequence[int], cutoff: float, seed: int, seconds: float
    ) -> tuple[tuple[int, ...], float] | None:
        """A cheaper design with other choices at a few places; None if none was found.

        Parameters
        ----------
        values : sequence of int
            The design to start from.
        cutoff : float
            The new one must cost less. [hundredth]
        """
        places = sorted(self.of_place)
        free = set(random.Random(seed).sample(places, min(FREE_PLACES, len(places))))
        fixed = {
            var: (self.grid.program.lower[var], self.grid.program.lower[var])
            for place, columns in self.of_place.items()
            if place not in free
            for var in columns
            if values[var] == self.grid.program.lower[var]
        }
        shrunk = shrink(self.grid, fixed)
        if shrunk is None:
            return None
        model = CpSat(shrunk.program)
        if not math.isinf(cutoff):
            model.add_row(model.cost, hi=int(cutoff) - 1 - shrunk.offset)
        model.hint([values[c] for c in shrunk.columns])
        outcome = model.solve(max(seconds, 0.1), work=_WORK, search=_SEARCH)
        if outcome.values is None or outcome.objective is None:
            return None
        return shrunk.lifted(outcome.values), outcome.objective + shrunk.offset
