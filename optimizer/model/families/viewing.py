"""Views: the cameras of mounts see the plan zones.

With y_mc the camera c on mount m (see :mod:`optimizer.model.families.coverage`), and w_a the aims
of a mount's lens l doing duty d:

    sum over aims a of (m, l, d) of w_a = sum over candidates c of (m, l, d) of y_mc
    each group g of cells, all asked:     sum over aims a that count for g of w_a >= cameras
    a share of the area asked:            cameras x s_g <= sum over aims a of w_a, s_g 0 or 1;
                                          sum of units_g s_g >= share of the units
    directions apart:                     p_gm <= sum over aims a of m that count for g of w_a;
                                          p_gm + p_gn <= 1 for mounts m, n too close in direction;
                                          in place of w_a the p_gm count
Where the views are fixed, as what they see was judged by exact shapes: w_a = 1 for each, no more.
Areas are rounded as in the instance: seen ones down, those asked up. Registers zones.<id>/seen,
/share, /cameras, /apart.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from optimizer.instance.tables import Group, Seen, Viewing
from optimizer.model.draft import Draft, Terms
from optimizer.model.program import Program


def write(draft: Draft) -> None:
    """Add the aims and what plan zones ask of them."""
    viewing = draft.instance.viewing
    if viewing is None:
        return
    _aims(draft, viewing)
    names = {i: table.name for i, table in enumerate(draft.instance.zones) if table.optional}
    write_zones(draft.program, viewing, [var for _, var in draft.aims], names)


def write_zones(
    program: Program, viewing: Viewing, aims: Sequence[int], names: Mapping[int, str]
) -> None:
    """Add the rows of what plan zones ask.

    Parameters
    ----------
    aims : sequence of int
        Variable of each aim of the viewing.
    names : mapping
        Of the mounts, by number of their table.
    """
    for seen in viewing.zones:
        _zone(program, viewing, seen, aims, names)


def _aims(draft: Draft, viewing: Viewing) -> None:
    program = draft.program
    ends: dict[tuple[int, str, int], Terms] = {}
    for aim in viewing.aims:
        name = draft.instance.zones[aim.table].name
        mine = ends.setdefault((aim.table, aim.lens, aim.duty), [])
        var = program.var(f"aim/{name}/{aim.lens}.{aim.duty}.{len(mine)}", 1)
        if viewing.fixed:
            program.lower[var] = 1
        draft.own(var, ("aim", aim.table), 1)
        draft.aims.append((aim, var))
        mine.append((var, 1))
    for index, table in enumerate(draft.instance.zones):
        for number, candidate in enumerate(table.candidates):
            if candidate.duty is not None:
                key = (index, candidate.lens, candidate.duty)
                ends.setdefault(key, []).append((draft.cameras[index, number], -1))
    for (index, lens, duty), terms in ends.items():
        name = draft.instance.zones[index].name
        program.equal(f"aim/{name}/{lens}.{duty}", [f"fact/{name}"], terms)


def _zone(
    program: Program,
    viewing: Viewing,
    seen: Seen,
    aims: Sequence[int],
    names: Mapping[int, str],
) -> None:
    zone = seen.zone
    tags = [f"zones.{zone.id}/seen", f"zones.{zone.id}/share"]
    if zone.cameras > 1:
        tags.append(f"zones.{zone.id}/cameras")
    whole: Terms = []
    for number, group in enumerate(seen.groups):
        if zone.apart:
            by_mount: dict[int, Terms] = {}
            for a in group.aims.tolist():
                by_mount.setdefault(viewing.aims[a].table, []).append((aims[a], 1))
            looking = _apart(program, zone.id, number, group, by_mount, names)
        else:
            looking = [aims[a] for a in group.aims.tolist()]
        if seen.units is None:
            program.row(f"view/{zone.id}/{number}", tags, (), lo=zone.cameras, ones=looking)
        elif looking and group.units:
            counts = program.var(f"view/{zone.id}/{number}", 1)
            short = [(counts, -zone.cameras)]
            program.row(f"view/{zone.id}/{number}.counts", tags, short, lo=0, ones=looking)
            whole.append((counts, group.units))
    if seen.units is not None:
        program.row(f"view/{zone.id}/share", tags, whole, lo=seen.units)


def _apart(
    program: Program,
    zone: str,
    number: int,
    group: Group,
    by_mount: Mapping[int, Terms],
    names: Mapping[int, str],
) -> list[int]:
    """The mounts that count for a group: each sees it, and no two are close in direction."""
    tags = [f"zones.{zone}/apart"]
    counts: dict[int, int] = {}
    for mount, terms in by_mount.items():
        var = counts[mount] = program.var(f"view/{zone}/{number}.{names[mount]}", 1)
        program.row(f"view/{zone}/{number}.{names[mount]}", tags, [*terms, (var, -1)], lo=0)
    for one, two in group.close:
        pair = [(counts[one], 1), (counts[two], 1)]
        program.row(f"view/{zone}/{number}.{names[one]}.{names[two]}", tags, pair, hi=1)
    return list(counts.values())
