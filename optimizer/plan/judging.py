"""What chosen cameras lack by exact shapes: quick to ask again with one of them changed.

The same polygons as in `shares`. What a mount has in free sight of an area, and what a camera sees
there, is worked out once.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from optimizer.plan.cutting import ground
from optimizer.plan.keeping_out import Pieces, pieces, shown
from optimizer.plan.pinhole import planes
from optimizer.plan.scene import Area, Scene
from optimizer.plan.shares import Aimed, flat, seen_within, together
from optimizer.plan.sight import edges, farthest, free_ground

SAME = 1e-6
"""Shares of an area that differ by less are taken as equal: areas are floating-point sums."""


class Judge:
    """Says what choices of cameras lack.

    Parameters
    ----------
    scene : Scene
    """

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.mounts = {mount.id: mount for mount in scene.mounts}
        self.whole = {area.id: ground(scene, area) for area in scene.areas}
        self.free: dict[tuple[str, str], Any] = {}
        self.kept_out: dict[str, Pieces | None] = {}
        self.sees: dict[tuple[str, str, float, float, float, str], Any] = {}

    def ground(self, camera: Aimed, area: Area) -> Any:
        """What a camera sees of an area, whether it serves it or not. [m]"""
        aim = (camera.focal_mm, camera.pan_deg, camera.tilt_deg)
        key = (camera.mount_id, camera.lens.key, *aim, area.id)
        if key not in self.sees:
            free = self._free(camera.mount_id, area)
            whole = self.whole[area.id]
            self.sees[key] = seen_within(self.scene, camera, area, whole, free)
        return self.sees[key]

    def _free(self, name: str, area: Area) -> Any:
        key = (name, area.id)
        if key not in self.free:
            mount = self.mounts[name]
            far = farthest(mount, area.outline)
            hiding = edges(self.scene, mount.level)
            self.free[key] = free_ground(mount, hiding, area.low_m, far)
        return self.free[key]

    def seen(self, cameras: Sequence[Aimed], area: Area) -> Any:
        """What cameras that serve an area see of it together, as it asks. [m]"""
        parts = [(c, self.ground(c, area)) for c in cameras if area.id in c.serves]
        parts = [(camera, region) for camera, region in parts if not region.is_empty]
        return flat(together(self.scene, area, parts))

    def allowed(self, camera: Aimed) -> bool:
        """Whether the mount can be aimed so, and no keep-out without a mask forbids it."""
        mount = self.mounts[camera.mount_id]
        off = (camera.pan_deg - mount.facing_deg + 180) % 360 - 180
        if mount.swing_deg < 360 and abs(off) > mount.swing_deg / 2:
            return False
        if mount.id not in self.kept_out:
            found = pieces(self.scene, mount, edges(self.scene, mount.level))
            self.kept_out[mount.id] = None if found is None else found.some(~found.mask)
        strict = self.kept_out[mount.id]
        if strict is None or not len(strict.mask):
            return True
        aim = [np.array([v]) for v in (camera.focal_mm, camera.pan_deg, camera.tilt_deg)]
        return not bool(shown(strict, camera.lens, aim[0], planes(camera.lens, *aim)).any())

    def lacking(self, cameras: Sequence[Aimed]) -> float:
        """Sum over the areas of the share that is not seen though it is asked; 0 where none is.

        Parameters
        ----------
        cameras : sequence of Aimed
            At most one for each mount.
        """
        total = 0.0
        for area in self.scene.areas:
            lack = area.share - self.seen(cameras, area).area / self.whole[area.id].area
            total += lack if lack > SAME else 0.0
        return total

    def unseen(self, cameras: Sequence[Aimed], area: Area) -> Any:
        """The rest of an area. [m]"""
        return flat(shapely.difference(self.whole[area.id], self.seen(cameras, area)))


__all__ = ["SAME", "Judge"]
