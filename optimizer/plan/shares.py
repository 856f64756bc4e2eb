"""What chosen cameras see: the share of each area by polygon geometry, its worst density and where.

No cells here. At one height the ground that a picture shows in enough detail is a convex polygon;
what is shown there at the lowest and at the highest height asked is shown at all heights between,
since a picture is convex. Shadows of walls at the lowest height are taken out (see `sight`). The
only round edges are the reach of lamps, the steepest sight and the angle between two cameras:
they are replaced by regular polygons of `rounds.SIDES` sides on the safe side, which understates a
share by less than 2e-5 of the disc.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import shapely

from optimizer.plan.cutting import ground
from optimizer.plan.keeping_out import Pieces, pieces, shown, veils
from optimizer.plan.pinhole import axes, footprint, planes
from optimizer.plan.rounds import SIDES, apart_ground, disc
from optimizer.plan.scene import Area, Lens, Mount, Point, Scene
from optimizer.plan.sight import edges, farthest, free_ground

_GRID_M = 1e-6
"""Corners are put on this grid where the worst spot is sought, so that slivers vanish. [m]"""


@dataclass(frozen=True)
class Aimed:
    """A camera on a mount, set and aimed.

    Attributes
    ----------
    mount_id : str
    lens : Lens
    focal_mm, pan_deg, tilt_deg : float
        As in "Zones on a plan", Camera, of RULES.md. [mm, deg, deg]
    serves : tuple of str
        The areas that it counts for.
    """

    mount_id: str
    lens: Lens
    focal_mm: float
    pan_deg: float
    tilt_deg: float
    serves: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Seen:
    """How an area is seen by all cameras together.

    Attributes
    ----------
    area_id : str
    share : float
        Of its ground that is seen by as many cameras as it asks for, 0 to 1.
    worst_px_m : float or None
        The least, over the spots seen, of the greatest density at which a camera shows the spot
        (where the area asks for several cameras: of the least density of any that sees it). None
        if nothing is seen. [px/m]
    worst_at : Point or None
        Where that is. [m]
    ground : shapely geometry
        What is seen. [m]
    unseen : shapely geometry
        The rest of the area. [m]
    """

    area_id: str
    share: float
    worst_px_m: float | None
    worst_at: Point | None
    ground: Any
    unseen: Any


def seen_ground(scene: Scene, aimed: Aimed, area: Area) -> Any:
    """The ground of an area that one camera sees as the area asks, whether it serves it or not.

    Parameters
    ----------
    scene : Scene
    aimed : Aimed
    area : Area

    Returns
    -------
    shapely geometry
        [m]

    Raises
    ------
    ValueError
        If the mount is not on the plan; names it.
    """
    return seen_within(scene, aimed, area, ground(scene, area))


@dataclass(frozen=True, eq=False)
class Sight:
    """What a mount has in free sight.

    Attributes
    ----------
    free : shapely geometry
        What of the plan, at an area's lowest height. [m]
    kept_out : Pieces or None
        What of the keep-out areas.
    """

    free: Any
    kept_out: Pieces | None


def seen_within(
    scene: Scene, aimed: Aimed, area: Area, whole: Any, known: Sight | None = None
) -> Any:
    """The part of some ground that one camera sees as an area asks.

    Parameters
    ----------
    scene : Scene
    aimed : Aimed
    area : Area
    whole : shapely geometry
        The ground of the area. [m]
    known : Sight, optional
        Of the mount and the area, where that is known already.
    """
    mount = _mount(scene, aimed.mount_id)
    reach = dict(aimed.lens.reaches).get(area.id, math.inf)
    if mount.level != area.level or reach <= 0:
        return shapely.Polygon()
    far = farthest(mount, area.outline)
    left = whole
    aim = (aimed.focal_mm, aimed.pan_deg, aimed.tilt_deg)
    for height in sorted({area.low_m, area.high_m}):
        corners = footprint(mount, aimed.lens, aim, height, area.px_m, far)
        left = shapely.intersection(left, shapely.Polygon(corners))
        if math.isfinite(reach):
            left = shapely.intersection(left, _ball(mount, reach, height))
    above = mount.height_m - area.high_m
    if area.most_tilt_deg is not None and above > 0:
        near = above / math.tan(math.radians(area.most_tilt_deg))
        left = shapely.difference(left, disc(mount.at, near / math.cos(math.pi / SIDES)))
    if left.is_empty:
        return left
    if known is None:
        hiding = edges(scene, mount.level)
        free = free_ground(mount, hiding, area.low_m, far)
        known = Sight(free, pieces(scene, mount, hiding))
    left = shapely.intersection(left, known.free)
    return flat(shapely.difference(left, _behind_masks(known.kept_out, mount, aimed, area, far)))


def _behind_masks(
    found: Pieces | None, mount: Mount, aimed: Aimed, area: Area, far_m: float
) -> Any:
    """Ground that privacy masks in a camera's picture may hide; see `keeping_out`."""
    if found is None or not found.mask.any():
        return shapely.Polygon()
    found = found.some(found.mask)
    aim = tuple(np.array([v]) for v in (aimed.focal_mm, aimed.pan_deg, aimed.tilt_deg))
    covered = shown(found, aimed.lens, aim[0], planes(aimed.lens, *aim))[0]
    if not covered.any():
        return shapely.Polygon()
    return shapely.union_all(veils(found.some(covered), mount, area.low_m, area.high_m, far_m))


def seen(scene: Scene, cameras: Sequence[Aimed]) -> tuple[Seen, ...]:
    """How each area is seen by all cameras together.

    Parameters
    ----------
    scene : Scene
    cameras : sequence of Aimed
        At most one for each mount.

    Returns
    -------
    tuple of Seen
        In the order of the areas.

    Raises
    ------
    ValueError
        If a mount is not on the plan or bears two cameras; names it.
    """
    names = [camera.mount_id for camera in cameras]
    for name in names:
        if names.count(name) > 1:
            raise ValueError(f"mount {name} bears two cameras")
    found = []
    for area in scene.areas:
        parts = [
            (camera, region)
            for camera in cameras
            if area.id in camera.serves
            and not (region := seen_ground(scene, camera, area)).is_empty
        ]
        whole = ground(scene, area)
        both = flat(shapely.intersection(together(scene, area, parts), whole))
        density, spot = _worst(scene, area, parts, both)
        share = min(1.0, both.area / whole.area)
        found.append(
            Seen(area.id, share, density, spot, both, flat(shapely.difference(whole, both)))
        )
    return tuple(found)


def together(scene: Scene, area: Area, parts: list[tuple[Aimed, Any]]) -> Any:
    """Ground seen by as many cameras as the area asks for, as far apart as it asks."""
    if area.cameras == 1:
        return shapely.union_all([region for _, region in parts])
    if area.apart_deg <= 0:
        levels = [shapely.Polygon()] * area.cameras
        for _, region in parts:
            for count in range(area.cameras - 1, 0, -1):
                common = shapely.intersection(levels[count - 1], region)
                levels[count] = shapely.union(levels[count], common)
            levels[0] = shapely.union(levels[0], region)
        return levels[-1]
    found = []
    for some in combinations(parts, area.cameras):
        common = shapely.intersection_all([region for _, region in some])
        for (one, _), (other, _) in combinations(some, 2):
            if common.is_empty:
                break
            places = _mount(scene, one.mount_id).at, _mount(scene, other.mount_id).at
            common = shapely.intersection(common, apart_ground(*places, area.apart_deg))
        found.append(common)
    return shapely.union_all(found) if found else shapely.Polygon()


def _worst(
    scene: Scene, area: Area, parts: list[tuple[Aimed, Any]], both: Any
) -> tuple[float | None, Point | None]:
    """The least density and its spot: distances along an axis are linear, so corners decide."""
    slopes = [_metres_per_px(scene, area, camera) for camera, _ in parts]
    worst: tuple[float, Point] | None = None
    for index, (_, region) in enumerate(parts):
        mine = flat(shapely.intersection(region, both, grid_size=_GRID_M))
        for other, (_, its) in enumerate(parts):
            if area.cameras > 1 or other == index or mine.is_empty:
                continue
            # Ground that the other shows in more detail is the other's.
            better = _where_less(slopes[other], slopes[index], mine)
            # Where shapes touch, a line may be left beside polygons, which cannot be taken away.
            common = flat(shapely.intersection(its, better))
            mine = flat(shapely.difference(mine, common, grid_size=_GRID_M))
        p, q, c = slopes[index]
        for x, y in shapely.get_coordinates(mine).tolist():
            coarse = p * x + q * y + c
            if worst is None or coarse > worst[0]:
                worst = coarse, (x, y)
    return (None, None) if worst is None else (1 / worst[0], worst[1])


def _metres_per_px(scene: Scene, area: Area, camera: Aimed) -> tuple[float, float, float]:
    """Coarsest width of a pixel over a spot's heights, as p x + q y + c. [m/px]"""
    mount, lens = _mount(scene, camera.mount_id), camera.lens
    axis, _, _ = axes(camera.pan_deg, camera.tilt_deg)
    p, q, r = (float(value) for value in axis)
    # Looking down, the lowest point is the farthest along the axis.
    height = area.low_m if r <= 0 else area.high_m
    constant = r * (height - mount.height_m) - p * mount.at[0] - q * mount.at[1]
    scale = lens.sensor_width_mm / (lens.width_px * camera.focal_mm)
    return scale * p, scale * q, scale * constant


def _where_less(
    one: tuple[float, float, float], other: tuple[float, float, float], around: Any
) -> Any:
    """The part of the box around a shape where one linear function is below another."""
    p, q, c = (a - b for a, b in zip(one, other, strict=True))
    left, low, right, high = around.bounds
    size = max(right - left, high - low) + 1
    x, y = (left + right) / 2, (low + high) / 2
    steep = math.hypot(p, q)
    here = p * x + q * y + c
    if steep * size * 2 <= abs(here) or steep == 0:
        return shapely.box(*around.bounds) if here < 0 else shapely.Polygon()
    u, v = p / steep, q / steep
    x, y = x - u * here / steep, y - v * here / steep
    size *= 4
    corners = [(-v, u), (v, -u), (v - u, -u - v), (-v - u, u - v)]
    return shapely.Polygon([(x + size * a, y + size * b) for a, b in corners])


def _ball(mount: Mount, reach_m: float, height_m: float) -> Any:
    """Ground within a distance of the lens at a height."""
    square = reach_m**2 - (mount.height_m - height_m) ** 2
    return disc(mount.at, math.sqrt(square)) if square > 0 else shapely.Polygon()


def flat(shape: Any) -> Any:
    """The polygons of a shape, without stray points and lines."""
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return shapely.union_all(parts) if parts else shapely.Polygon()


def _mount(scene: Scene, name: str) -> Mount:
    for mount in scene.mounts:
        if mount.id == name:
            return mount
    raise ValueError(f"mount {name} is not on the plan")
