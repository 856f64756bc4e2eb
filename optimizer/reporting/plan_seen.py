"""The ground that cameras see, as polygons, by the detail in which it is seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from optimizer.plan.pinhole import footprint
from optimizer.plan.scene import Area, Lens, Mount, Scene
from optimizer.plan.sight import edges, farthest, free_ground


@dataclass(frozen=True)
class Aimed:
    """A camera on a mount, as it is set.

    Attributes
    ----------
    mount : str
    item : str
        What it is, for lists.
    lens : Lens
    focal_mm, pan_deg, tilt_deg : float
        [mm, deg, deg]
    serves : tuple of str
        Zones; the heights of their targets are those at which it is drawn to see.
    """

    mount: str
    item: str
    lens: Lens
    focal_mm: float
    pan_deg: float
    tilt_deg: float
    serves: tuple[str, ...]


def seen_ground(scene: Scene, camera: Aimed, px_m: float) -> Any:
    """Ground on which targets are seen by a camera in at least some detail.

    Parameters
    ----------
    scene : Scene
    camera : Aimed
    px_m : float
        Detail; 0 for any. [px/m]

    Returns
    -------
    shapely geometry
        Spots, within the plan's outline, at which every height from the lowest to the highest that
        the zones it serves ask is in the picture, past walls and obstacles, in that detail. [m]
    """
    mount = _mount(scene, camera)
    low, high = heights(scene, camera)
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


def heights(scene: Scene, camera: Aimed) -> tuple[float, float]:
    """Lowest and highest spot of the targets of all zones that a camera serves. [m]"""
    served = [area for area in scene.areas if area.id in camera.serves]
    low = min((area.low_m for area in served), default=Area.low_m)
    return low, max((area.high_m for area in served), default=Area.high_m)


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
        ground = shapely.union_all([seen_ground(scene, camera, px_m) for camera in here])
        if not ground.is_empty:
            found.append((px_m, ground))
    return found


def unseen(scene: Scene, cameras: Sequence[Aimed], area: Area) -> Any:
    """Ground of a zone that fewer cameras than asked show in its detail.

    The directions that they must lie apart are not looked at.
    """
    ground = shapely.Polygon(area.outline).difference(_standing(scene, area.level, area.low_m))
    views = [
        seen_ground(scene, camera, area.px_m)
        for camera in cameras
        if area.id in camera.serves and _mount(scene, camera).level == area.level
    ]
    # Ground seen at least k times, for k = 1 to the number asked, one view after the other.
    often: list[Any] = [shapely.Polygon()] * area.cameras
    for view in views:
        for k in range(area.cameras - 1, -1, -1):
            before = ground if k == 0 else often[k - 1]
            often[k] = often[k].union(before.intersection(view))
    return ground.difference(often[-1])


def _mount(scene: Scene, camera: Aimed) -> Mount:
    return next(mount for mount in scene.mounts if mount.id == camera.mount)


def _standing(scene: Scene, level: str, low_m: float) -> Any:
    """Ground on which obstacles stand that are higher than a target's lowest spot."""
    return shapely.union_all(
        [
            shapely.Polygon(body.outline)
            for body in scene.obstacles
            if body.level == level and body.height_m > low_m
        ]
    )


__all__ = ["Aimed", "bands", "heights", "seen_ground", "unseen"]
