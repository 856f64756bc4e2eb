"""Why a zone, or a part of it, is seen from no mount: the walls that hide it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import shapely

from optimizer.plan.cutting import LEAST_M2, ground
from optimizer.plan.scene import Area, Mount, Point, Scene
from optimizer.plan.sight import edges, farthest, free_ground, shadows, wedge


@dataclass(frozen=True)
class Hidden:
    """Ground of an area that no mount has in free sight, whatever the camera.

    Attributes
    ----------
    area_id : str
    spot : Point
        A spot of it. [m]
    share : float
        Of the area's ground that is hidden from every mount, above 0, at most 1.
    walls : tuple of (str, tuple of str)
        For each mount on the area's level, the walls and obstacles that together hide all of that
        ground from it that its open arc takes in, none of which could be left out. Empty where all
        of that ground is outside the arc.
    """

    area_id: str
    spot: Point
    share: float
    walls: tuple[tuple[str, tuple[str, ...]], ...]


def hidden_by(scene: Scene, area: Area) -> Hidden | None:
    """What hides an area, or a part of it, from every mount.

    Parameters
    ----------
    scene : Scene
    area : Area

    Returns
    -------
    Hidden or None
        None if every spot of it is in free sight of some mount.

    Raises
    ------
    ValueError
        If the outline is no simple polygon, or obstacles leave nothing of it; names the area.
    """
    whole = ground(scene, area)
    standing = edges(scene, area.level)
    mounts = [mount for mount in scene.mounts if mount.level == area.level]
    left = whole
    for mount in mounts:
        far = farthest(mount, area.outline)
        left = shapely.difference(left, free_ground(mount, standing, area.low_m, far))
        if left.area <= LEAST_M2:
            return None
    spot = max(shapely.get_parts(left), key=lambda part: part.area).representative_point()
    return Hidden(
        area.id,
        (spot.x, spot.y),
        min(1.0, left.area / whole.area),
        tuple((mount.id, _needed(scene, area, mount, left)) for mount in mounts),
    )


def _needed(scene: Scene, area: Area, mount: Mount, dark: Any) -> tuple[str, ...]:
    """Walls that hide some ground from a mount, less each that is not needed."""
    far = farthest(mount, area.outline)
    arc = wedge(mount, far)
    within = dark if arc is None else shapely.intersection(dark, arc)
    cast: dict[str, list[Any]] = {}
    hiding = edges(scene, area.level)
    for index, shape in zip(*shadows(mount, hiding, area.low_m, far), strict=True):
        if shapely.intersects(shape, within):
            cast.setdefault(hiding.ids[index], []).append(shape)
    kept = {name: shapely.union_all(shapes) for name, shapes in cast.items()}
    # Those that hide least are tried first, so that few that hide much remain.
    for name in sorted(kept, key=lambda n: (shapely.intersection(kept[n], within).area, n)):
        others = [shape for other, shape in kept.items() if other != name]
        rest = shapely.difference(within, shapely.union_all(others)) if others else within
        if rest.area <= LEAST_M2:
            del kept[name]
    return tuple(sorted(kept))
