"""Which of the ways to use the camera of a mount are of use at all.

Two kinds are not: a view that does a harder duty than the cells ask that it counts for, since the
same view under the lesser duty asks a recorder for no more; and a view of a camera that another one
beats, where that other one can be aimed to see as much. Either can be replaced in any kit, which
then costs no more.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from optimizer.instance.optics import View
from optimizer.instance.streams import Level
from optimizer.instance.tables import Aim
from optimizer.plan.dominating import Sets, listed, marked

Place = tuple[str, int]
"""Lens and duty, on one mount."""

Offered = tuple[View, tuple[Level, ...]]


def needed_duties(
    aims: Sequence[Aim],
    zone_of: Sequence[str],
    least: Callable[[frozenset[str]], int],
) -> list[Aim]:
    """The aims of one mount that do no harder duty than their cells ask.

    Parameters
    ----------
    zone_of : sequence of str
        Of each cell.
    least : callable
        Number of the least duty that some zones ask together.
    """
    names = list(dict.fromkeys(zone_of))
    number = {name: n for n, name in enumerate(names)}
    of_cell = np.array([number[zone] for zone in zone_of], dtype=np.int32)
    serves = np.zeros((len(aims), len(names)), dtype=bool)
    if len(aims):
        rows, cells = listed([aim.cells for aim in aims])
        serves[rows, of_cell[cells]] = True
    known: dict[bytes, int] = {}
    kept = []
    for aim, served in zip(aims, serves, strict=True):
        key = served.tobytes()
        if key not in known:
            known[key] = least(frozenset(names[n] for n in np.flatnonzero(served).tolist()))
        if known[key] == aim.duty:
            kept.append(aim)
    return kept


def unbeaten(
    aims: Sequence[Aim],
    offers: Mapping[Place, Sequence[Offered]],
    beats: Callable[[Offered, Offered], bool],
) -> list[Aim]:
    """The aims of one mount for which no cheaper camera can see as much.

    A place is beaten by another one if each of its cameras is beaten by one of the other's. What
    beats makes any kit cheaper, so that chains of aims that give way to each other end.

    Parameters
    ----------
    offers : mapping of (str, int) to sequence
        The cameras of each lens and duty.
    beats : callable
        Whether the first in the place of the second makes any kit cheaper.
    """
    places = sorted({(a.lens, a.duty) for a in aims})
    beaten_by = {
        one: {
            two
            for two in places
            if two != one
            and offers.get(one)
            and all(any(beats(b, a) for b in offers.get(two, ())) for a in offers[one])
        }
        for one in places
    }
    by_place: dict[Place, list[int]] = {}
    for number, aim in enumerate(aims):
        by_place.setdefault((aim.lens, aim.duty), []).append(number)
    size = 1 + max((int(aim.cells[-1]) for aim in aims), default=-1)
    flags, _ = marked([aim.cells for aim in aims], size)
    sets, gone = Sets(flags), np.zeros(len(aims), dtype=bool)
    for one, numbers in by_place.items():
        rivals = [other for two in beaten_by[one] for other in by_place[two]]
        gone[numbers] = sets.held(np.array(numbers), np.array(rivals, dtype=np.int32))
    return [aim for aim, out in zip(aims, gone.tolist(), strict=True) if not out]


__all__ = ["needed_duties", "unbeaten"]
