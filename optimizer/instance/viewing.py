"""What plan zones ask of the views of cameras on mounts, put together from cells and aims."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations, groupby

import numpy as np

from optimizer.instance.covering import implied
from optimizer.instance.tables import UNITS, Aim, Group, Seen, Viewing, ZoneTable
from optimizer.plan.apart import apart
from optimizer.plan.dominating import marked
from optimizer.plan.prepared import Ints, Prepared
from optimizer.site.schema import PlanZone, Site


def viewing(
    site: Site,
    tables: Sequence[ZoneTable],
    aims: Sequence[Aim],
    prepared: Prepared,
    *,
    sure: bool,
    reduce: bool,
) -> Viewing:
    """Cells of all plan zones, those together that the same aims count for.

    Parameters
    ----------
    sure : bool
        Whether aims count for what they surely see whole, or for what they might see any of.
        Directions and areas are then judged in the same sense.
    reduce : bool
        Leave out cells that are seen wherever another one is.
    """
    sees = _sees(len(prepared.cells), aims)
    by_zone: dict[str, list[int]] = {}
    for cell, one in enumerate(prepared.cells):
        by_zone.setdefault(one.area_id, []).append(cell)
    found = [
        _zone(zone, by_zone.get(zone.id, []), sees, aims, tables, prepared, sure)
        for zone in site.areas
    ]
    return Viewing(prepared, tuple(aims), tuple(_left(found) if reduce else found), sure)


def _sees(size: int, aims: Sequence[Aim]) -> list[list[Ints]]:
    """For each cell the numbers of the aims that count for it, mount by mount, rising."""
    sees: list[list[Ints]] = [[] for _ in range(size)]
    start = 0
    for _, some in groupby(aims, key=lambda aim: aim.table):
        mine = list(some)
        flags, cells = marked([aim.cells for aim in mine], size)
        at, which = np.nonzero(np.ascontiguousarray(flags.T))
        which = which.astype(np.int32) + np.int32(start)
        ends = np.searchsorted(at, np.arange(1, len(cells)))
        for cell, part in zip(cells.tolist(), np.split(which, ends), strict=True):
            sees[cell].append(part)
        start += len(mine)
    return sees


def _zone(
    zone: PlanZone,
    cells: Sequence[int],
    sees: Sequence[list[Ints]],
    aims: Sequence[Aim],
    tables: Sequence[ZoneTable],
    prepared: Prepared,
    sure: bool,
) -> Seen:
    together: dict[tuple[bytes, tuple[tuple[int, int], ...]], list[int]] = {}
    whole = sum(prepared.cells[c].area_m2 for c in cells)
    looking = {c: sorted({aims[int(part[0])].table for part in sees[c]}) for c in cells}
    near = _near(looking, tables, prepared, sure) if zone.apart else {}
    for cell in cells:
        close = tuple(pair for pair in combinations(looking[cell], 2) if cell in near.get(pair, ()))
        together.setdefault((_joined(sees[cell]).tobytes(), close), []).append(cell)
    groups = []
    for (_, close), members in together.items():
        area = sum(prepared.cells[c].area_m2 for c in members)
        units = UNITS * area / whole
        size = math.floor(units * (1 - _NOISE)) if sure else math.ceil(units * (1 + _NOISE))
        groups.append(Group(tuple(members), size, _joined(sees[members[0]]), close))
    asked = None
    if zone.share < 1:
        asked = math.ceil(UNITS * Fraction(zone.share))
    return Seen(zone, tuple(groups), asked)


def _joined(parts: Sequence[Ints]) -> Ints:
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.int32)


_NOISE = 1e-12
"""Areas of cells are sums of floating-point products."""


def _near(
    looking: dict[int, list[int]], tables: Sequence[ZoneTable], prepared: Prepared, sure: bool
) -> dict[tuple[int, int], set[int]]:
    """For each two mounts, the cells for which they are too close in direction to count both."""
    everyone = sorted({t for mounts in looking.values() for t in mounts})
    found = {}
    for one, two in combinations(everyone, 2):
        surely, perhaps = apart(prepared, _mount(tables[one]), _mount(tables[two]))
        far = set((surely if sure else perhaps).tolist())
        found[one, two] = {c for c in looking if c not in far}
    return found


def _mount(table: ZoneTable) -> str:
    assert table.mount is not None
    return table.mount.id


def _plain(seen: Seen) -> bool:
    """Whether each of its cells must be seen, from anywhere."""
    return seen.units is None and not seen.zone.apart


def _left(found: Sequence[Seen]) -> list[Seen]:
    """Zones without the cells that are seen wherever another cell is."""
    rows = [(s, g) for s in found if _plain(s) for g in s.groups]
    gone = implied([g.aims.tolist() for _, g in rows], [s.zone.cameras for s, _ in rows])
    dropped = {id(g) for (_, g), out in zip(rows, gone, strict=True) if out}
    return [
        Seen(s.zone, tuple(g for g in s.groups if id(g) not in dropped), s.units) for s in found
    ]
