"""Cameras on mounts carried over to a changed site: set and aimed as they were, figures anew.

What they see of each zone is worked out with its exact shapes. A zone that the changed site has
not, or of which a camera sees nothing any more, is no longer served by it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely

from optimizer.audit.case import Fitted, own_reach
from optimizer.audit.figures import picture_bytes, rate_of, recorded_picture
from optimizer.design import Aimed, Camera, Design, Seen, Served
from optimizer.plan import shares
from optimizer.plan.pinhole import axes, density
from optimizer.plan.scene import Area, Lens, Scene
from optimizer.pricebook.schema import Camera as CameraItem
from optimizer.site.scenes import scene_of
from optimizer.site.schema import Site
from optimizer.units import shown_px_m


def trimmed(site: Site, design: Design) -> Design | None:
    """The design without zones on the plan that a site has not; None if a camera has none left."""
    there = {zone.id for zone in site.areas}
    cameras = []
    for camera in design.cameras:
        if camera.aim is not None:
            serves = tuple(one for one in camera.aim.serves if one.zone in there)
            if not serves:
                return None
            aim = camera.aim.model_copy(update={"serves": serves})
            camera = camera.model_copy(update={"aim": aim})
        cameras.append(camera)
    return design.model_copy(update={"cameras": tuple(cameras)})


class Carrier:
    """The plan of a site to which cameras are carried over."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self.scene = scene_of(site)
        self.areas = {area.id: area for area in self.scene.areas}
        self.aimed: list[shares.Aimed] = []

    def camera(self, camera: Fitted) -> Camera | None:
        """A camera on a mount with its figures anew; None where it has nothing to do any more."""
        stated = camera.stated
        if camera.group is None or stated.aim is None:
            return None
        picture = recorded_picture(camera.item, camera.group)
        aimed = shares.Aimed(
            stated.zone,
            lens_of(self.site, camera.item, picture.width),
            stated.focal_mm,
            stated.aim.pan_deg,
            stated.aim.tilt_deg,
            tuple(one.zone for one in stated.aim.serves),
        )
        serves = tuple(self._served(aimed))
        if not serves:
            return None
        self.aimed.append(aimed)
        rate = rate_of(self.site, camera)
        assert rate is not None
        return stated.model_copy(
            update={
                "px_per_m": min(one.px_per_m for one in serves),
                "picture": str(picture),
                "bit_rate": math.ceil(rate),
                "storage_bytes": math.ceil(picture_bytes(self.site, camera.zone, rate)),
                "aim": Aimed(pan_deg=aimed.pan_deg, tilt_deg=aimed.tilt_deg, serves=serves),
            }
        )

    def seen(self) -> tuple[Seen, ...] | None:
        """What the carried cameras see of each zone; None where they see nothing of one."""
        found = []
        for one in shares.seen(self.scene, self.aimed):
            if one.worst_px_m is None or one.worst_at is None:
                return None
            found.append(
                Seen(
                    zone=one.area_id,
                    share=round(one.share, 6),
                    asked=self.areas[one.area_id].share,
                    px_per_m=shown_px_m(one.worst_px_m, 2),
                    at=(round(one.worst_at[0], 3), round(one.worst_at[1], 3)),
                )
            )
        return tuple(found)

    def _served(self, aimed: shares.Aimed) -> Iterable[Served]:
        for name in aimed.serves:
            area = self.areas[name]
            spots = shapely.get_coordinates(shares.seen_ground(self.scene, aimed, area))
            if len(spots):
                least = worst(self.scene, aimed, area, spots)
                yield Served(zone=name, px_per_m=shown_px_m(least, 2))


def lens_of(site: Site, item: CameraItem, width_px: int) -> Lens:
    """The optics of a camera of which a picture so wide is recorded. [px]"""
    reaches = ((zone.id, own_reach(item, zone)) for zone in site.areas)
    return Lens(
        key=f"{item.id}@{width_px}",
        width_px=width_px,
        sensor_width_mm=float(item.sensor_width),
        sensor_height_mm=float(item.sensor_height),
        focal_min_mm=float(item.focal.low),
        focal_max_mm=float(item.focal.high),
        reaches=tuple((name, reach) for name, reach in reaches if math.isfinite(reach)),
    )


def worst(scene: Scene, aimed: shares.Aimed, area: Area, spots: Sequence[Sequence[float]]) -> float:
    """Least density, at any height asked, over the hull of some spots. [px/m]

    Parameters
    ----------
    spots : array-like, shape (n, 2)
        [m]
    """
    mount = next(m for m in scene.mounts if m.id == aimed.mount_id)
    axis = axes(aimed.pan_deg, aimed.tilt_deg)[0]
    flat = (np.asarray(spots, dtype=float) - np.array(mount.at)) @ axis[:2]
    lifts = np.array([area.low_m, area.high_m]) - mount.height_m
    depth = float(flat.max() + (axis[2] * lifts).max())
    return float(density(aimed.lens, aimed.focal_mm, depth))


__all__ = ["Carrier", "lens_of", "trimmed", "worst"]
