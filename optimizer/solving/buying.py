"""The same design, bought as cheaply as it can be.

A design that is not proven cheapest may pass an offer or a price break over. Its bill is added up
as the rules say, so what is bought is settled anew before it is shown.
"""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.errors import Defect
from optimizer.model.program import Program
from optimizer.solving.cpsat import CpSat
from optimizer.solving.shrinking import Grid, shrink

_PURCHASES = ("buy/", "offer/", "offers")
_SECONDS = 10.0


def bought_well(program: Program, values: Sequence[int]) -> tuple[int, ...]:
    """A solution with the same choices and the cheapest purchases.

    Raises
    ------
    Defect
        If the purchases cannot be proven cheapest: they are few, and nothing else is open.
    """
    fixed = {
        i: (value, value)
        for i, value in enumerate(values)
        if not program.names[i].startswith(_PURCHASES)
    }
    shrunk = shrink(Grid(program), fixed)
    if shrunk is None:
        raise Defect("a design cannot be bought again")
    outcome = CpSat(shrunk.program).solve(_SECONDS)
    if outcome.status != "optimal" or outcome.values is None:
        raise Defect("the purchases of a design cannot be settled")
    return shrunk.lifted(outcome.values)
