"""Making a design cheaper: most of it stays, a little is set free, and CP-SAT looks again.

A step allows what the design buys, some of what the linear relaxation would like to buy and a few
other things, and sets some places free; everything else stays as it is. Such a step takes a tenth
of a second, where the whole site takes minutes. What is allowed and free is drawn with a fixed
seed.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from optimizer.model.draft import Draft
from optimizer.solving.cpsat import CpSat
from optimizer.solving.shrinking import Grid, shrink

_FREE_PLACES = 8
_FEW_PLACES = 24
_LIKED = 0.3
_OTHERS = 5
_WORK = 0.2
_USED = 1e-6
_OF_PLACE = ("feed", "path", "seen", "stream", "steer", "sound", "aim")
_SEARCH = {"add_zero_half_cuts": False, "add_cg_cuts": False}


class Polisher:
    """Steps from one design to a cheaper one near by.

    Parameters
    ----------
    relaxed : array, shape (n_variables,)
        The solution of the linear relaxation.

    Attributes
    ----------
    work : float
        Effort of a step, in deterministic units.
    """

    work = _WORK

    def __init__(self, draft: Draft, grid: Grid, relaxed: NDArray[np.float64]) -> None:
        self.grid = grid
        self.lower = draft.program.lower
        self.of_place: dict[str, list[int]] = {}
        for var, name in enumerate(draft.program.names):
            kind, _, rest = name.partition("/")
            if kind in _OF_PLACE:
                self.of_place.setdefault(rest.partition("/")[0], []).append(var)
        self.bought = {item: [c for c, _ in terms] for item, terms in draft.bought.items()}
        self.liked = {i for i, cols in self.bought.items() if np.any(relaxed[cols] > _USED)}

    def step(
        self, values: Sequence[int], cutoff: float, seed: int, seconds: float
    ) -> tuple[tuple[int, ...], float] | None:
        """A cheaper design near by; None if none was found.

        Parameters
        ----------
        values : sequence of int
            The design to start from.
        cutoff : float
            The new one must cost less. [hundredth]
        """
        draw = random.Random(seed)
        fixed = {c: (0, 0) for item in self._ruled_out(values, draw) for c in self.bought[item]}
        for place in self.kept(draw):
            for var in self.of_place[place]:
                if values[var] == self.lower[var]:
                    fixed[var] = (self.lower[var], self.lower[var])
        shrunk = shrink(self.grid, fixed)
        if shrunk is None:
            return None
        model = CpSat(shrunk.program)
        model.add_row(model.cost, hi=int(cutoff) - 1 - shrunk.offset)
        outcome = model.solve(max(seconds, 0.1), work=self.work, search=_SEARCH)
        if outcome.values is None or outcome.objective is None:
            return None
        return shrunk.lifted(outcome.values), outcome.objective + shrunk.offset

    def _ruled_out(self, values: Sequence[int], draw: random.Random) -> list[str]:
        mine = {i for i, cols in self.bought.items() if any(values[c] for c in cols)}
        liked = sorted(self.liked - mine)
        others = sorted(set(self.bought) - self.liked - mine)
        allowed = mine | set(draw.sample(liked, int(_LIKED * len(liked))))
        allowed |= set(draw.sample(others, min(_OTHERS, len(others))))
        return [item for item in self.bought if item not in allowed]

    def kept(self, draw: random.Random) -> list[str]:
        """Places that a step leaves as they are."""
        places = sorted(self.of_place)
        if len(places) <= _FEW_PLACES:
            return []
        free = set(draw.sample(places, _FREE_PLACES))
        return [place for place in places if place not in free]
