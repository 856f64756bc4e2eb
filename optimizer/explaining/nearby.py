"""A first kit of a changed site: zones that ask for what they asked before keep their cameras.

How cameras are wired, fed and recorded is chosen anew. The cheapest kit of a site that asks for a
little more is often among these, and its price is one to beat for the search of the whole.
"""

from __future__ import annotations

from collections import Counter

from optimizer.design import Design
from optimizer.model.draft import Draft
from optimizer.site.schema import Site
from optimizer.solving.buying import bought_well
from optimizer.solving.cpsat import CpSat
from optimizer.solving.layout import Layout, lay_out
from optimizer.solving.shrinking import Grid, shrink
from optimizer.solving.tree import Fixed

_WORK = 0.15
"""Effort in deterministic units, so that answers do not hang on the machine."""


def nearby(
    draft: Draft, first: Site, design: Design, limit: int | None, seconds: float
) -> tuple[tuple[int, ...], Layout] | None:
    """A solution near a design of another site, laid out; None if none is found.

    Parameters
    ----------
    draft : Draft
        The pooled program of the changed site.
    first : Site
        What the design was made for.
    limit : int or None
        Only what costs less is of interest. [hundredth]
    seconds : float
        Time limit. [s]
    """
    shrunk = shrink(Grid(draft.program), _kept(draft, first, design))
    if shrunk is None:
        return None
    model = CpSat(shrunk.program)
    if limit is not None:
        model.add_row(model.cost, hi=limit - 1 - shrunk.offset)
    outcome = model.solve(seconds, work=_WORK)
    if outcome.values is None:
        return None
    values = shrunk.lifted(outcome.values)
    if outcome.status != "optimal":
        values = bought_well(draft.program, values)
    layout = lay_out(draft, values)
    return None if layout.failed else (values, layout)


def _kept(draft: Draft, first: Site, design: Design) -> Fixed:
    """How often each camera is used in each table at least and at most."""
    was = {zone.id: zone for zone in first.zones}
    used = Counter((camera.zone, camera.item) for camera in design.cameras)
    in_zone = {zone: (item, count) for (zone, item), count in used.items()}
    fixed: Fixed = {}
    for index, table in enumerate(draft.instance.zones):
        if table.optional:
            continue
        views = [(c.view.camera.id, c.view.count) for c in table.candidates]
        same = [z.id for z in table.zones if z == was.get(z.id)]
        kept = Counter(in_zone[z] for z in same if in_zone.get(z) in views)
        free = len(table.zones) - kept.total()
        for number, view in enumerate(views):
            fixed[draft.cameras[index, number]] = (kept[view], kept[view] + free)
    return fixed


__all__ = ["nearby"]
