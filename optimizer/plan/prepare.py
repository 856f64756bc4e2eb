"""Preparing a plan: cells, the useful ways of aiming each lens on each mount, and what is possible.

**Seen for sure.** What a picture shows in enough detail is a convex body: four planes through the
lens and one across the axis. Free sight is decided at a target's lowest point (`sight`), the fall
of the line of sight at its highest, and the reach of lamps is a ball. So a whole cell, at all
heights asked, is seen if its corners are in the picture in enough detail at the lowest and the
highest height, the ground free of shadows covers it, and its nearest and farthest spots keep the
fall and the reach. Lengths that differ by less than `pinhole.NEAR_M` are taken as equal, and
shadows that reach less than `sighting.RIM_M` into a cell as none.

**Seen perhaps.** A cell is given up for a lens on a mount only if none of its ground is free of
shadows, or its nearest spot is beyond the farthest distance at which any setting and aim gives
the density (in a corner of the picture at the longest focal length), or beyond the lamps, or each
of its targets spans a larger angle than the diagonal of the picture at the shortest focal length,
or each line of sight falls too steeply. Whatever aim is chosen, no spot of such a cell is seen.

**Cheapest over what.** Cells; mounts and lenses as given; focal lengths and tilts as `aiming`
lists them; and with each of these, every pan: those are kept at which an edge of the picture, or
the distance at which its density ends, meets a cell, one from each stretch between two such pans
in which the most is seen. A view of which all cells are seen by another of the same lens on the
same mount is left out. So a choice among the views is cheapest over all pans without a step (but
for `turning`: pans within 90 degrees of a cell's direction), and over the listed focal lengths
and tilts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from optimizer.plan.bench import Bench
from optimizer.plan.cutting import cut
from optimizer.plan.prepared import Cell, Effort, Ints, Prepared, View
from optimizer.plan.refining import cut_finer, unsettled
from optimizer.plan.scene import Lens, Scene
from optimizer.plan.sight import edges
from optimizer.plan.sighting import grounded
from optimizer.plan.unseeable import cut_out


def prepare(
    scene: Scene,
    lenses: Mapping[str, Sequence[Lens]],
    cells: int | Sequence[Cell] = 400,
    effort: Effort | None = None,
) -> Prepared:
    """Cut a plan into cells and list the useful ways of aiming each lens on each mount.

    Parameters
    ----------
    scene : Scene
    lenses : mapping of str to sequence of Lens
        What may be fixed on each mount; a mount that is left out stays empty.
    cells : int or sequence of Cell
        About how many cells the areas are cut into, or the cells themselves.
    effort : Effort, optional
        How many focal lengths and tilts are tried.

    Returns
    -------
    Prepared
        The same for the same arguments, to the last bit.

    Raises
    ------
    ValueError
        If an area is no simple polygon or all covered by obstacles, a mount of `lenses` is
        unknown, or two lenses of a mount have one key; names it.

    References
    ----------
    .. [1] Hoerster, Lienhart, On the optimal placement of multiple visual sensors, 2006, for
       choosing from finitely many aims; the pans without a step and both-way certainty are our
       own.
    """
    effort = effort or Effort()
    mounts = {mount.id: mount for mount in scene.mounts}
    for name, some in lenses.items():
        if name not in mounts:
            raise ValueError(f"lenses are given for mount {name}, which is not on the plan")
        if len({lens.key for lens in some}) < len(some):
            raise ValueError(f"mount {name}: two lenses have the same key")
    pieces = cut(scene, cells) if isinstance(cells, int) else tuple(cells)
    ground = grounded(scene, pieces)
    hiding = {level: edges(scene, level) for level in {mount.level for mount in scene.mounts}}
    views: list[View] = []
    may: dict[tuple[str, str], Ints] = {}
    for mount in scene.mounts:
        some = tuple(lenses.get(mount.id, ()))
        if not some:
            continue
        bench = Bench(scene, ground, mount, some, hiding[mount.level], effort)
        for lens in some:
            may[mount.id, lens.key] = bench.possible(lens)
            views.extend(bench.views(lens))
    kept = {name: tuple(some) for name, some in lenses.items()}
    return Prepared(scene, kept, pieces, tuple(views), may, effort)


def at_best(
    scene: Scene, lenses: Mapping[str, Sequence[Lens]], cells: int | Sequence[Cell] = 400
) -> Prepared:
    """The same without views: only what might be seen, in a fraction of the time.

    Cells are cut along ground of which exact shapes show that nobody can show it as asked.

    Parameters
    ----------
    scene, lenses, cells
        As for :func:`prepare`.

    Raises
    ------
    ValueError
        As for :func:`prepare`.
    """
    pieces = cut(scene, cells) if isinstance(cells, int) else tuple(cells)
    pieces, lost = cut_out(scene, pieces)
    ground = grounded(scene, pieces)
    hiding = {level: edges(scene, level) for level in {mount.level for mount in scene.mounts}}
    may: dict[tuple[str, str], Ints] = {}
    gone = np.array(sorted(lost), dtype=np.int32)
    for mount in scene.mounts:
        some = tuple(lenses.get(mount.id, ()))
        if not some:
            continue
        bench = Bench(scene, ground, mount, some, hiding[mount.level], Effort())
        for lens in some:
            may[mount.id, lens.key] = np.setdiff1d(bench.possible(lens), gone)
    kept = {name: tuple(some) for name, some in lenses.items()}
    return Prepared(scene, kept, pieces, (), may, Effort())


def refine(prepared: Prepared, cells: Sequence[int] | None = None) -> Prepared:
    """The same plan with some cells cut, along the edges of shadows or in four.

    Parameters
    ----------
    prepared : Prepared
    cells : sequence of int, optional
        Numbers of the cells to cut; the `unsettled` ones if left out.

    Returns
    -------
    Prepared
        Prepared anew; its cells stand in the old order, pieces in place of the cell.
    """
    pieces = cut_finer(prepared, unsettled(prepared) if cells is None else cells)
    return prepare(prepared.scene, prepared.lenses, pieces, prepared.effort)
