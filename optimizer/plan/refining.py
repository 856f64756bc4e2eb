"""Cells on which what is sure and what is possible disagree, and how they are cut."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from typing import Any

import numpy as np
import shapely

from optimizer.plan.apart import apart
from optimizer.plan.cutting import LEAST_M2, divided, split
from optimizer.plan.prepared import Cell, Flags, Ints, Prepared
from optimizer.plan.sight import edges, farthest, free_ground


def unsettled(prepared: Prepared) -> tuple[int, ...]:
    """Cells on which the two sides disagree: enough mounts might see them, too few surely do.

    Where an area asks for cameras an angle apart, two of the mounts must see the cell so.
    """
    size = len(prepared.cells)
    sure = _surely(prepared)
    may = _by_mount(size, ((mount, cells) for (mount, _), cells in prepared.may.items()))
    areas = {area.id: area for area in prepared.scene.areas}
    asked = [areas[cell.area_id] for cell in prepared.cells]
    needed = np.array([area.cameras for area in asked])
    surely, perhaps = _count(size, sure) >= needed, _count(size, may) >= needed
    angled = np.array([area.cameras > 1 and area.apart_deg > 0 for area in asked])
    if angled.any():
        both = {True: np.zeros(size, dtype=bool), False: np.zeros(size, dtype=bool)}
        for one, other in combinations(may, 2):
            together = may[one] & may[other] & angled
            if together.any():
                wide, might = apart(prepared, one, other)
                both[False][might] |= together[might]
                if one in sure and other in sure:
                    both[True][wide] |= (sure[one] & sure[other])[wide]
        surely &= ~angled | both[True]
        perhaps &= ~angled | both[False]
    return tuple(np.flatnonzero(perhaps & ~surely).tolist())


def seen_often(prepared: Prepared) -> Ints:
    """How many mounts surely see each cell, with one lens or another."""
    return _count(len(prepared.cells), _surely(prepared))


def _surely(prepared: Prepared) -> dict[str, Flags]:
    views = ((view.mount_id, view.cells) for view in prepared.views)
    return _by_mount(len(prepared.cells), views)


def _by_mount(size: int, seen: Iterable[tuple[str, Ints]]) -> dict[str, Flags]:
    """Which cells each mount sees with some lens."""
    of_mount: dict[str, list[Ints]] = {}
    for mount, cells in seen:
        of_mount.setdefault(mount, []).append(cells)
    found = {mount: np.zeros(size, dtype=bool) for mount in of_mount}
    for mount, some in of_mount.items():
        found[mount][np.concatenate(some)] = True
    return found


def _count(size: int, by_mount: dict[str, Flags]) -> Ints:
    total = np.zeros(size, dtype=np.int32)
    for flags in by_mount.values():
        total += flags
    return total


def cut_finer(prepared: Prepared, cells: Sequence[int]) -> tuple[Cell, ...]:
    """All cells of a plan, some of them cut.

    A cell into which the edge of a shadow runs, as seen from a mount that might see it, is cut
    along that edge; each piece is then all in free sight of that mount or not at all. Any other
    cell is cut in four.

    Parameters
    ----------
    prepared : Prepared
    cells : sequence of int
        Numbers of the cells to cut.

    Returns
    -------
    tuple of Cell
        In the old order, pieces in place of the cell.
    """
    chosen = np.zeros(len(prepared.cells), dtype=bool)
    chosen[list(cells)] = True
    borders = _borders(prepared, chosen)
    found: list[Cell] = []
    for index, cell in enumerate(prepared.cells):
        if not chosen[index]:
            found.append(cell)
            continue
        pieces = divided(cell.polygon, borders.get(index, []))
        parts = tuple(Cell(cell.area_id, piece, piece.area) for piece in pieces)
        found.extend(parts if len(parts) > 1 else split(cell))
    return tuple(found)


def cut_along(
    cells: Sequence[Cell],
    counted: Sequence[int],
    sees: Mapping[str, tuple[Any, Sequence[Any]]],
    most: int,
) -> tuple[Cell, ...]:
    """Cells with those cut that count as seen though some of them is not.

    They are cut along the edges of what cameras see, or in four where none runs through them.

    Parameters
    ----------
    cells : sequence of Cell
    counted : sequence of int
        Numbers of those that count as seen.
    sees : mapping of str to tuple
        For each area the ground that is seen as it asks, and that which each camera sees. [m]
    most : int
        How many are cut, those first of which most is not seen.

    Returns
    -------
    tuple of Cell
        In the old order, pieces in place of the cell.
    """
    short: list[tuple[float, int]] = []
    for index in counted:
        cell = cells[index]
        lack = cell.area_m2 - shapely.intersection(cell.polygon, sees[cell.area_id][0]).area
        if lack > LEAST_M2:
            short.append((-lack, index))
    chosen = {index for _, index in sorted(short)[:most]}
    found: list[Cell] = []
    for index, cell in enumerate(cells):
        if index not in chosen:
            found.append(cell)
            continue
        borders = [
            shapely.intersection(shapely.boundary(one), cell.polygon)
            for one in sees[cell.area_id][1]
        ]
        lines = [line for line in borders if shapely.length(line) > 0]
        pieces = divided(cell.polygon, lines) if lines else []
        parts = tuple(Cell(cell.area_id, piece, piece.area) for piece in pieces)
        found.extend(parts if len(parts) > 1 else split(cell))
    return tuple(found)


def _borders(prepared: Prepared, chosen: Flags) -> dict[int, list[Any]]:
    """For each chosen cell the edges of free ground that run through it."""
    scene = prepared.scene
    areas = {area.id: area for area in scene.areas}
    may = _by_mount(len(chosen), ((name, some) for (name, _), some in prepared.may.items()))
    found: dict[int, list[Any]] = {}
    for mount in scene.mounts:
        if mount.id not in may:
            continue
        hiding = edges(scene, mount.level)
        cells = np.flatnonzero(may[mount.id] & chosen).tolist()
        lows = {areas[prepared.cells[index].area_id].low_m for index in cells}
        for low in sorted(lows):
            these = [i for i in cells if areas[prepared.cells[i].area_id].low_m == low]
            corners = shapely.get_coordinates([prepared.cells[i].polygon for i in these])
            far = farthest(mount, [(float(x), float(y)) for x, y in corners])
            border = shapely.boundary(free_ground(mount, hiding, low, far))
            for index in these:
                part = shapely.intersection(border, prepared.cells[index].polygon)
                if shapely.length(part) > 0:
                    found.setdefault(index, []).append(part)
    return found
