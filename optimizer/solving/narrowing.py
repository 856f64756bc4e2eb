"""Working with few columns: a good first design, and leaving out what cannot be in a better one.

The linear relaxation gives every column a reduced cost: what the bound rises by if the column is
used. Columns at zero make a small program in which a good design is found quickly; columns whose
reduced cost lifts the bound to the best known price cannot be part of a cheaper design.
"""

from __future__ import annotations

from dataclasses import replace

from optimizer.model.program import Program
from optimizer.solving.cpsat import CpSat
from optimizer.solving.highs import Relaxation
from optimizer.solving.outcome import Outcome

_CHOICES = ("seen/", "feed/", "path/", "stream/", "on/", "steer/", "sound/")
_ZERO = 0.5
_WORK = 1.5


def first_design(program: Program, relaxed: Relaxation, seconds: float) -> Outcome:
    """A good design among the columns that the relaxation is indifferent to.

    Stops after a fixed effort, not a time, so that it is the same on every machine.
    """
    upper = list(program.upper)
    for i, name in enumerate(program.names):
        if (
            name.startswith(_CHOICES)
            and relaxed.reduced[i] > _ZERO
            and relaxed.primal[i] < _ZERO * 1e-6
        ):
            upper[i] = program.lower[i]
    return CpSat(replace(program, upper=upper)).solve(seconds, work=_WORK)


def narrowed(program: Program, relaxed: Relaxation, cutoff: int) -> Program:
    """The program without the columns that no design cheaper than the cutoff can use."""
    room = cutoff - relaxed.value
    margin = max(1.0, 1e-6 * abs(relaxed.value))
    upper = list(program.upper)
    for i, low in enumerate(program.lower):
        if relaxed.primal[i] < low + 1e-6 and relaxed.reduced[i] > 0:
            steps = (room + margin) / relaxed.reduced[i]
            if steps < upper[i] - low:
                upper[i] = low + int(steps)
    return replace(program, upper=upper)
