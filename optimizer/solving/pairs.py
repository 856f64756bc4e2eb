"""Two cameras in place of two: which ways to aim them promise most, by the cells they surely see.

One camera at a time, a choice is not left where one that sees less needs the other to see more:
in a corridor, a short lens that is tilted steeply, and a longer one opposite.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from optimizer.instance.tables import Aim
from optimizer.plan.pinhole import Floats
from optimizer.plan.prepared import Cell
from optimizer.solving.placing import place_of

_EACH = 3
"""Pairs of aims that are tried for each pair of cameras."""

_MOST = 4_000_000
"""Pairs of aims beyond which two mounts are not looked at together."""


def pairs(
    ones: Sequence[Aim],
    others: Sequence[Aim],
    cells: Sequence[Cell],
    counted: set[int],
    weight: Callable[[Sequence[Aim]], int],
    below: int,
) -> Iterator[tuple[Aim, Aim]]:
    """Pairs of aims, one of each kind, that weigh less than a limit; the lightest cameras first.

    Parameters
    ----------
    ones, others : sequence of Aim
        Of one mount each.
    cells : sequence of Cell
    counted : set of int
        Cells that are seen anyhow.
    weight : callable
        What some cameras cost. [hundredth]
    below : int
        [hundredth]
    """
    if len(ones) * len(others) > _MOST:
        return
    area = np.array([0.0 if n in counted else c.area_m2 for n, c in enumerate(cells)])
    kinds = [_by_place(some, area) for some in (ones, others)]
    light = [
        (cost, a, b)
        for a in kinds[0]
        for b in kinds[1]
        if (cost := weight((kinds[0][a][0][0], kinds[1][b][0][0]))) < below
    ]
    for _, a, b in sorted(light):
        (first, sees), (second, also) = kinds[0][a], kinds[1][b]
        whole = (sees @ area)[:, None] + (also @ area)[None, :] - (sees * area) @ also.T
        # Aims beside the best differ from it by a little: of each, one partner is enough.
        partner = whole.argmax(axis=1)
        best = np.argsort(-whole.max(axis=1), kind="stable")[:_EACH]
        yield from ((first[row], second[partner[row]]) for row in best.tolist())


def _by_place(
    aims: Sequence[Aim], area: Floats
) -> dict[tuple[int, str, int], tuple[list[Aim], Floats]]:
    """Aims by camera, with the cells that each sees."""
    found: dict[tuple[int, str, int], list[Aim]] = {}
    for aim in aims:
        found.setdefault(place_of(aim), []).append(aim)
    seen = {}
    for place, some in found.items():
        sees = np.zeros((len(some), len(area)))
        for row, aim in enumerate(some):
            sees[row, aim.cells] = 1.0
        seen[place] = (some, sees)
    return seen


__all__ = ["pairs"]
