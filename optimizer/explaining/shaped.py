"""Questions about a site on a plan of which whole cells do not show the cheapest kit known.

That no kit by whole cells costs less than one that only exact shapes show to do proves nothing of
the site: kits like it are not looked at there. Such questions are settled by exact shapes, on both
sides (:mod:`optimizer.solving.closing`), or they stay open.
"""

from __future__ import annotations

from collections.abc import Collection
from itertools import combinations
from typing import TYPE_CHECKING

from optimizer.design import Design
from optimizer.instance import Instance, Memory
from optimizer.instance.tables import Aim, Group, Seen, Viewing
from optimizer.solving.closing import close, joined
from optimizer.solving.pursue import Pursuit
from optimizer.solving.search import Found
from optimizer.solving.shapes import Shapes

if TYPE_CHECKING:
    from optimizer.model.draft import Draft

_SAME = 5e-3
"""Within which a focal length or a direction is the same as it is told. [mm, deg]"""


def shown_by_cells(instance: Instance, design: Design) -> bool:
    """Whether listed ways to aim are those of a design, and whole cells show that they do.

    Parameters
    ----------
    instance : Instance
        Of the site of the design, in which only surely seen cells count.
    """
    viewing = instance.viewing
    assert viewing is not None
    used: set[int] = set()
    for camera in design.cameras:
        if camera.aim is not None:
            wanted = (float(camera.focal_mm), camera.aim.pan_deg, camera.aim.tilt_deg)
            same = {
                number
                for number, aim in enumerate(viewing.aims)
                if aim.view.mount_id == camera.zone
                and aim.view.lens_key.startswith(f"{camera.item}@")
                and _alike(aim, *wanted)
            }
            if not same:
                return False
            used |= same
    return all(_shows(viewing, seen, used) for seen in viewing.zones)


def _alike(aim: Aim, focal_mm: float, pan_deg: float, tilt_deg: float) -> bool:
    view = aim.view
    turned = abs((view.pan_deg - pan_deg + 180) % 360 - 180)
    return max(abs(view.focal_mm - focal_mm), turned, abs(view.tilt_deg - tilt_deg)) < _SAME


def _shows(viewing: Viewing, seen: Seen, used: Collection[int]) -> bool:
    """Whether enough of the cells of a zone count with some ways to aim."""
    whole = [
        group.units for group in seen.groups if _cameras(viewing, group, used) >= seen.zone.cameras
    ]
    return len(whole) == len(seen.groups) if seen.units is None else sum(whole) >= seen.units


def _cameras(viewing: Viewing, group: Group, used: Collection[int]) -> int:
    """How many mounts count for some cells, no two of them too close in direction."""
    mounts = sorted({viewing.aims[a].table for a in group.aims.tolist() if a in used})
    for size in range(len(mounts), 0, -1):
        for some in combinations(mounts, size):
            if not any(pair in group.close for pair in combinations(some, 2)):
                return size
    return 0


def sought_by_shapes(draft: Draft, memory: Memory, until: float) -> tuple[Pursuit, int | None]:
    """The cheapest kit by exact shapes, and the price that none at the listed settings is below.

    Parameters
    ----------
    draft : Draft
        Of an instance in which only surely seen cells count.
    until : float
        On the clock of ``time.monotonic``. [s]

    Returns
    -------
    Pursuit
        Without values where no kit was found.
    int or None
        As :class:`~optimizer.solving.closing.Closed` has it. [hundredth, net]
    """
    nothing = Pursuit(draft, Found("unknown", None, None, None), None)
    closed = close(Shapes(draft.instance, _quiet), None, memory, until)
    return joined(nothing, closed), closed.bound


def _quiet(_: str) -> None:
    """Progress of a single question is not told."""


__all__ = ["shown_by_cells", "sought_by_shapes"]
