"""The ground that cameras see anywhere on a plan, as polygons, by the detail they show it in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import shapely

from optimizer.plan.pinhole import footprint
from optimizer.plan.scene import Area, Scene
from optimizer.plan.shares import Aimed, seen_ground
from optimizer.plan.sight import farthest


def by_detail(scene: Scene, camera: Aimed, steps: Sequence[float]) -> list[Any]:
    """Ground on which a camera sees the targets of any of the zones that it serves.

    Parameters
    ----------
    scene : Scene
    camera : Aimed
    steps : sequence of float
        Details, from coarse to fine; 0 for any. [px/m]

    Returns
    -------
    list of shapely geometry
        For each step, within the plan's outline: where a target of one of its zones would be seen
        in at least that detail as that zone asks otherwise, were the zone everywhere. [m]
    """
    served = [area for area in scene.areas if area.id in camera.serves]
    alike = {(a.low_m, a.high_m, a.most_tilt_deg, _reach(camera, a)): a for a in served}
    found: list[Any] = [shapely.Polygon()] * len(steps)
    for area in alike.values():
        everywhere = replace(area, outline=scene.outline, px_m=0.0)
        ground = seen_ground(scene, camera, everywhere)
        for number, px_m in enumerate(steps):
            part = ground if px_m == 0 else _close(scene, camera, area, ground, px_m)
            found[number] = found[number].union(part)
    return found


def _reach(camera: Aimed, area: Area) -> float | None:
    return dict(camera.lens.reaches).get(area.id)


def _close(scene: Scene, camera: Aimed, area: Area, ground: Any, px_m: float) -> Any:
    """The part of some ground that is close enough for a detail, at all heights of a target."""
    mount = next(mount for mount in scene.mounts if mount.id == camera.mount_id)
    aim = (camera.focal_mm, camera.pan_deg, camera.tilt_deg)
    far = farthest(mount, scene.outline)
    for height in (area.low_m, area.high_m):
        corners = footprint(mount, camera.lens, aim, height, px_m, far)
        ground = ground.intersection(shapely.Polygon(corners))
    return ground


__all__ = ["by_detail"]
