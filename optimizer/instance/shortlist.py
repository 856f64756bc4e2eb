"""Which lenses are worth preparing on a mount, where the price book offers many.

A lens is a camera item's optics with one recorded width. What a plan is prepared for grows with
lenses times mounts, so only so many are kept: those that give most ground for their price. The
answer names what was left out; over the kept ones its claims are exact.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from optimizer.plan.scene import Area, Lens, Scene

PAIRS = 80
"""Lenses times mounts that are prepared, about."""

LEAST, MOST = 4, 16
"""Lenses of one kind of mount that are kept, however many mounts there are."""


@dataclass(frozen=True)
class Offer:
    """A lens and the least that a camera with it costs here, wired by itself. [hundredth]"""

    lens: Lens
    family: str
    price: float


def enough(mounts: int) -> int:
    """Lenses to keep on each of so many mounts, to begin with."""
    return min(MOST, max(LEAST, PAIRS // max(1, mounts)))


def ranked(scene: Scene, offers: Sequence[Offer]) -> list[str]:
    """Keys of lenses, those first that promise most.

    For each signal family and zone in turn, the lens that gives the most ground of the zone's
    detail for its price, then the next best, and so on.

    Parameters
    ----------
    scene : Scene
    offers : sequence of Offer
        One or more for a lens: of each signal family the cheapest.
    """
    queues = []
    for family in dict.fromkeys(o.family for o in offers):
        for area in scene.areas:
            worth = {
                o.lens.key: _ground(area, o.lens) / max(o.price, 1.0)
                for o in offers
                if o.family == family
            }
            useful = [(-value, key) for key, value in worth.items() if value > 0]
            queues.append([key for _, key in sorted(useful)])
    places = zip_longest(*queues)
    order = dict.fromkeys(key for place in places for key in place if key is not None)
    # A lens that cameras of several families have is offered once for each.
    return list(order | dict.fromkeys(o.lens.key for o in offers))


def _ground(area: Area, lens: Lens) -> float:
    """Ground of a zone that a lens can hold at its detail at best, about. [m^2]"""
    reach = dict(lens.reaches).get(area.id, math.inf)
    whole = abs(_signed(area)) / area.cameras
    best = 0.0
    for focal in (lens.focal_min_mm, lens.focal_max_mm):
        half = lens.sensor_width_mm / (2 * focal)
        far = min(lens.width_px / (2 * half * area.px_m), reach)
        best = max(best, math.atan(half) * far**2)
    return min(best, whole) if reach > 0 else 0.0


def _signed(area: Area) -> float:
    ring = area.outline
    return (
        sum(
            x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True)
        )
        / 2
    )


def holds(one: Lens, two: Lens) -> bool:
    """Whether whatever lens two shows, lens one can show in at least the same detail."""
    if one.sensor_width_mm * two.sensor_height_mm != one.sensor_height_mm * two.sensor_width_mm:
        return False
    wide = one.sensor_width_mm / one.focal_min_mm >= two.sensor_width_mm / two.focal_min_mm
    long = one.sensor_width_mm / one.focal_max_mm <= two.sensor_width_mm / two.focal_max_mm
    reaches: Mapping[str, float] = dict(two.reaches)
    near = all(reach >= reaches.get(area, math.inf) for area, reach in one.reaches)
    return wide and long and near and one.width_px >= two.width_px
