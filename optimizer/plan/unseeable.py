"""Ground that is shown as it is asked by no camera, however it is aimed: cut out of the cells.

Either too few mounts have it in free sight, or it lies in a keep-out area: whoever shows a spot of
both in the detail that the zone asks shows more of the keep-out area than is allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from optimizer.plan.cutting import LEAST_M2, divided, ground
from optimizer.plan.prepared import Cell
from optimizer.plan.scene import Area, KeepOut, Scene
from optimizer.plan.sight import edges, farthest, free_ground

_LEFT = 2e-4
"""Share of a zone that is left in doubt along the edges of such ground: kits may fall short by a
ten-thousandth (RULES.md 7.6), and no verdict may hang on that."""


@dataclass(frozen=True)
class Lost:
    """Ground of an area that nobody can show as asked. [m]"""

    hidden: Any
    kept_out: Any

    @property
    def whole(self) -> Any:
        """All of it."""
        return shapely.union(self.hidden, self.kept_out)


def lost(scene: Scene, area: Area) -> Lost:
    """The ground of an area that nobody can show as asked, less a rim for doubt."""
    whole = ground(scene, area)
    standing = edges(scene, area.level)
    # What so many mounts at least have in free sight.
    seen = [whole, *(shapely.Polygon() for _ in range(area.cameras))]
    for mount in scene.mounts:
        if mount.level != area.level:
            continue
        free = free_ground(mount, standing, area.low_m, farthest(mount, area.outline))
        for times in range(area.cameras, 0, -1):
            also = shapely.intersection(seen[times - 1], free)
            seen[times] = shapely.union(seen[times], also)
        if shapely.difference(whole, seen[-1]).area <= LEAST_M2:
            break
    kept = [shapely.Polygon(one.outline) for one in against(scene, area)]
    hidden = shapely.difference(whole, seen[-1])
    kept_out = shapely.intersection(whole, shapely.union_all(kept))
    doubt = _LEFT * whole.area
    return Lost(_less(hidden, doubt), _less(kept_out, doubt))


def against(scene: Scene, area: Area) -> list[KeepOut]:
    """Keep-out areas of which no spot can be shown as an area asks."""
    return [
        one
        for one in scene.keep_outs
        if one.level == area.level
        and one.px_m < area.px_m
        and max(one.low_m, area.low_m) <= min(one.high_m, area.high_m)
    ]


def covered(scene: Scene, area: Area) -> list[tuple[KeepOut, float]]:
    """Keep-out areas of which some spot lies in an area that asks for more, and how much of it."""
    whole = ground(scene, area)
    found = []
    for one in against(scene, area):
        both = shapely.intersection(whole, shapely.Polygon(one.outline))
        if both.area > LEAST_M2:
            found.append((one, both.area / whole.area))
    return found


def _less(shape: Any, doubt: float) -> Any:
    """A shape without a rim of at least so much ground, or nothing. [m^2]"""
    if shape.area <= doubt:
        return shapely.Polygon()
    rim = doubt / shape.length
    for _ in range(8):
        less = shapely.buffer(shape, -rim, join_style="mitre")
        if shape.area - less.area >= doubt:
            return less
        rim *= 1.5
    return shapely.Polygon()


def cut_out(scene: Scene, cells: Sequence[Cell]) -> tuple[tuple[Cell, ...], frozenset[int]]:
    """Cells cut along ground that nobody can show as asked, and the numbers of those within it."""
    gone = {area.id: lost(scene, area).whole for area in scene.areas}
    found: list[Cell] = []
    within: set[int] = set()
    for cell in cells:
        shape = gone[cell.area_id]
        border = shapely.intersection(shapely.boundary(shape), cell.polygon)
        pieces = [cell]
        if shapely.length(border) > 0:
            parts = divided(cell.polygon, [border])
            pieces = [Cell(cell.area_id, part, part.area) for part in parts] or pieces
        for piece in pieces:
            # A piece too small to be told from the rest is not counted as lost.
            if shapely.difference(piece.polygon, shape).area <= LEAST_M2 < piece.area_m2:
                within.add(len(found))
            found.append(piece)
    return tuple(found), frozenset(within)


__all__ = ["Lost", "against", "covered", "cut_out", "lost"]
