"""The ground that cameras see, as polygons, by the detail in which it is seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import shapely

from optimizer.plan.pinhole import footprint
from optimizer.plan.scene import Mount, Scene
from optimizer.plan.shares import Aimed
from optimizer.plan.sight import edges, farthest, free_ground

Heights = tuple[float, float]


def seen_ground(scene: Scene, camera: Aimed, px_m: float, heights: Heights) -> Any:
    """Ground on which targets are seen by a camera in at least some detail.

    Parameters
    ----------
    scene : Scene
    camera : Aimed
    px_m : float
        Detail; 0 for any. [px/m]
    heights : tuple of float
        Lowest and highest spot of a target. [m]

    Returns
    -------
    shapely geometry
        Spots, within the plan's outline, at which every height of a target is in the picture, past
        walls and obstacles, in that detail. [m]
    """
    mount = _mount(scene, camera)
    low, high = heights
    far = farthest(mount, scene.outline)
    aim = (camera.focal_mm, camera.pan_deg, camera.tilt_deg)
    shown = shapely.Polygon(scene.outline)
    for height in dict.fromkeys((low, high)):
        corners = footprint(mount, camera.lens, aim, height, px_m, far)
        shown = shown.intersection(shapely.Polygon(corners))
    if shown.is_empty:
        return shown
    hiding = edges(scene, mount.level)
    return shown.intersection(free_ground(mount, hiding, low, far)).difference(
        _standing(scene, mount.level, low)
    )


def served_ground(scene: Scene, camera: Aimed, px_m: float) -> Any:
    """Ground on which a camera sees the targets of any of the zones that it serves."""
    kinds = {(a.low_m, a.high_m): None for a in scene.areas if a.id in camera.serves}
    return shapely.union_all([seen_ground(scene, camera, px_m, kind) for kind in kinds])


def bands(
    scene: Scene, cameras: Sequence[Aimed], level: str, steps: Iterable[float]
) -> list[tuple[float, Any]]:
    """Ground on one level by the best detail in which some camera shows it.

    Parameters
    ----------
    steps : iterable of float
        Details, from coarse to fine. [px/m]

    Returns
    -------
    list of (float, shapely geometry)
        For each step at which any ground is seen, the ground seen in at least that detail; each
        lies within the one before.
    """
    here = [camera for camera in cameras if _mount(scene, camera).level == level]
    found = []
    for px_m in steps:
        ground = shapely.union_all([served_ground(scene, camera, px_m) for camera in here])
        if not ground.is_empty:
            found.append((px_m, ground))
    return found


def _mount(scene: Scene, camera: Aimed) -> Mount:
    return next(mount for mount in scene.mounts if mount.id == camera.mount_id)


def _standing(scene: Scene, level: str, low_m: float) -> Any:
    """Ground on which obstacles stand that are higher than a target's lowest spot."""
    return shapely.union_all(
        [
            shapely.Polygon(body.outline)
            for body in scene.obstacles
            if body.level == level and body.height_m > low_m
        ]
    )


__all__ = ["bands", "seen_ground", "served_ground"]
