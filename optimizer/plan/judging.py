"""What chosen cameras lack by exact shapes: quick to ask again with one of them changed.

The same polygons as in `shares`. What a mount has in free sight of an area, and what a camera sees
there, is worked out once.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
import shapely

from optimizer.plan.cutting import ground
from optimizer.plan.keeping_out import Pieces, pieces, shown
from optimizer.plan.pinhole import planes
from optimizer.plan.scene import Area, Scene
from optimizer.plan.shares import Aimed, Sight, flat, seen_within, together
from optimizer.plan.sight import edges, farthest, free_ground

Key: TypeAlias = tuple[str, str, float, float, float]
"""Mount, lens, focal length, pan and tilt."""

SAME = 1e-6
"""Shares of an area that differ by less are taken as equal: areas are floating-point sums."""


def _key(camera: Aimed) -> Key:
    aim = (camera.focal_mm, camera.pan_deg, camera.tilt_deg)
    return (camera.mount_id, camera.lens.key, *aim)


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
        self.sees: dict[tuple[Key, str], Any] = {}
        self.covered: dict[tuple[str, tuple[Key, ...]], float] = {}

    def ground(self, camera: Aimed, area: Area) -> Any:
        """What a camera sees of an area, whether it serves it or not. [m]"""
        key = (_key(camera), area.id)
        if key not in self.sees:
            free = self._free(camera.mount_id, area)
            known = Sight(free, self._kept_out(camera.mount_id))
            whole = self.whole[area.id]
            self.sees[key] = seen_within(self.scene, camera, area, whole, known)
        return self.sees[key]

    def _free(self, name: str, area: Area) -> Any:
        key = (name, area.id)
        if key not in self.free:
            mount = self.mounts[name]
            far = farthest(mount, area.outline)
            hiding = edges(self.scene, mount.level)
            self.free[key] = free_ground(mount, hiding, area.low_m, far)
        return self.free[key]

    def _kept_out(self, name: str) -> Pieces | None:
        if name not in self.kept_out:
            mount = self.mounts[name]
            self.kept_out[name] = pieces(self.scene, mount, edges(self.scene, mount.level))
        return self.kept_out[name]

    def seen(self, cameras: Sequence[Aimed], area: Area) -> Any:
        """What cameras that serve an area see of it together, as it asks. [m]"""
        parts = [(camera, self.ground(camera, area)) for camera in self._seeing(cameras, area)]
        return flat(together(self.scene, area, parts))

    def _seeing(self, cameras: Sequence[Aimed], area: Area) -> list[Aimed]:
        """Those that serve an area and see some of it, in an order of their own."""
        found = [c for c in cameras if area.id in c.serves and not self.ground(c, area).is_empty]
        return sorted(found, key=_key)

    def _share(self, cameras: Sequence[Aimed], area: Area) -> float:
        """The share of an area that cameras see together, as it asks."""
        # A choice differs from the one before by a camera, which few areas take notice of.
        seeing = self._seeing(cameras, area)
        key = (area.id, tuple(map(_key, seeing)))
        if key not in self.covered:
            seen = self.seen(seeing, area)
            self.covered[key] = float(seen.area / self.whole[area.id].area)
        return self.covered[key]

    def allowed(self, camera: Aimed) -> bool:
        """Whether the mount can be aimed so, and no keep-out without a mask forbids it."""
        mount = self.mounts[camera.mount_id]
        off = (camera.pan_deg - mount.facing_deg + 180) % 360 - 180
        if mount.swing_deg < 360 and abs(off) > mount.swing_deg / 2:
            return False
        found = self._kept_out(mount.id)
        if found is None or found.mask.all():
            return True
        strict = found.some(~found.mask)
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
            lack = area.share - self._share(cameras, area)
            total += lack if lack > SAME else 0.0
        return total

    def unseen(self, cameras: Sequence[Aimed], area: Area) -> Any:
        """The rest of an area. [m]"""
        return flat(shapely.difference(self.whole[area.id], self.seen(cameras, area)))


__all__ = ["SAME", "Judge"]
