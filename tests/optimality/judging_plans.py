"""What the cameras of a design see of a zone, spot by spot, by the judge of `spots`."""

from __future__ import annotations

import math
from itertools import combinations

from optimizer.design import Camera, Design
from optimizer.plan.scene import Lens
from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Camera as CameraItem
from optimizer.site.scenes import scene_of
from optimizer.site.schema import PlanZone, Site
from tests.optimality import spots

SIDE = 24
"""Spots along each side of the box around a zone."""


def share_seen(site: Site, book: LoadedBook, design: Design, zone: PlanZone) -> float:
    """Share of a zone without obstacles in it that enough cameras see, from far enough apart."""
    scene = scene_of(site)
    area = next(a for a in scene.areas if a.id == zone.id)
    mounts = {m.id: m for m in scene.mounts}
    xs, ys = ([p[axis] for p in area.outline] for axis in (0, 1))
    whole = seen = 0
    for column in range(SIDE):
        for line in range(SIDE):
            spot = (
                min(xs) + (column + 0.5) / SIDE * (max(xs) - min(xs)),
                min(ys) + (line + 0.5) / SIDE * (max(ys) - min(ys)),
            )
            if not spots._inside(area.outline, spot):
                continue
            whole += 1
            looking = [
                mounts[c.zone].at
                for c in design.cameras
                if c.aim is not None
                and any(s.zone == zone.id for s in c.aim.serves)
                and spots.seen(scene, mounts[c.zone], _lens(book, c), _aim(c), area, spot)
            ]
            seen += any(
                all(_angle(spot, a, b) >= float(zone.apart) for a, b in combinations(some, 2))
                for some in combinations(looking, zone.cameras)
            )
    return seen / whole


def _lens(book: LoadedBook, camera: Camera) -> Lens:
    item = book.items[camera.item]
    assert isinstance(item, CameraItem)
    focal = camera.focal_mm
    width = int(camera.picture.split("x")[0])
    return Lens(
        item.id, width, float(item.sensor_width), float(item.sensor_height), focal, focal
    )  # fmt: skip


def _aim(camera: Camera) -> tuple[float, float, float]:
    assert camera.aim is not None
    return camera.focal_mm, camera.aim.pan_deg, camera.aim.tilt_deg


def _angle(spot: tuple[float, float], one: tuple[float, float], two: tuple[float, float]) -> float:
    a, b = (math.atan2(at[1] - spot[1], at[0] - spot[0]) for at in (one, two))
    return math.degrees(abs((a - b + math.pi) % math.tau - math.pi))
