"""Which of the ways to use the camera of a mount are of use at all.

Two kinds are not: a view that does a harder duty than the cells ask that it counts for, since the
same view under the lesser duty asks a recorder for no more; and a view of a camera that another one
beats, where that other one can be aimed to see as much. Either can be replaced in any kit, which
then costs no more.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from optimizer.instance.covering import bits, mask
from optimizer.instance.optics import View
from optimizer.instance.streams import Level
from optimizer.instance.tables import Aim

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
    known: dict[frozenset[str], int] = {}
    kept = []
    for aim in aims:
        zones = frozenset(zone_of[c] for c in aim.cells)
        if zones not in known:
            known[zones] = least(zones)
        if known[zones] == aim.duty:
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
    sets = [mask(aim.cells) for aim in aims]
    by_cell: dict[int, list[int]] = {}
    for number, cells in enumerate(sets):
        for cell in bits(cells):
            by_cell.setdefault(cell, []).append(number)
    kept = []
    for number, aim in enumerate(aims):
        rivals = beaten_by[aim.lens, aim.duty]
        if rivals:
            own = sets[number]
            near = min((by_cell[c] for c in aim.cells), key=len)
            if any(
                not own & ~sets[other] and (aims[other].lens, aims[other].duty) in rivals
                for other in near
            ):
                continue
        kept.append(aim)
    return kept


__all__ = ["needed_duties", "unbeaten"]
