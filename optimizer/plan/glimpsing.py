"""Ways to aim with whatever they might show some spot of: the far side of what they surely show.

The focal lengths and tilts are those that were listed when the plan was prepared; the pans are all
there are, as in `turning`. A cell is taken for the disc around it. Each limit of the picture is
linear over the ground, so that over a disc it is greater than at its middle by at most the slope
times the radius. A limit that even then does not hold is met by no spot of the cell. Different
limits may be met by different spots: a cell may count as seen of which no spot is, never the other
way round. Keep-outs are left aside, since what they forbid could only make a kit dearer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from optimizer.plan.bench import Bench
from optimizer.plan.dominating import undominated
from optimizer.plan.pinhole import NEAR_M, Floats
from optimizer.plan.prepared import Cell, Prepared, View
from optimizer.plan.scene import Lens
from optimizer.plan.sight import edges
from optimizer.plan.sighting import grounded
from optimizer.plan.turning import (
    Arcs,
    Corners,
    best_pans,
    between_sides,
    bodies_at,
    kept_within,
    limits_ahead,
    without_holes,
)

_SAME = 1e-9


def glimpsed(prepared: Prepared, cells: Sequence[Cell]) -> Prepared:
    """A plan with each way to aim counting for every cell that it might show a spot of.

    Whatever cameras see together by exact shapes, at a focal length and tilt listed for `prepared`
    and at any pan, some views of this plan, of the same lenses on the same mounts, see at least.

    Parameters
    ----------
    prepared : Prepared
        As prepared for surely seen cells; its focal lengths and tilts are looked at.
    cells : sequence of Cell
        How the areas are cut: its own cells, or finer ones.
    """
    scene = prepared.scene
    known, ground = grounded(scene, prepared.cells), grounded(scene, cells)
    hiding = {level: edges(scene, level) for level in {mount.level for mount in scene.mounts}}
    views: list[View] = []
    may = {}
    for mount in scene.mounts:
        lenses = prepared.lenses.get(mount.id, ())
        if not lenses:
            continue
        one = (mount, lenses, hiding[mount.level], prepared.effort)
        listed = Bench(scene, known, *one)
        bench = Bench(scene, ground, *one)
        for lens in lenses:
            may[mount.id, lens.key] = bench.possible(lens)
            views += _views(bench, lens, listed.settings(lens))
    return replace(prepared, cells=tuple(cells), views=tuple(views), may=may)


def _views(bench: Bench, lens: Lens, settings: list[tuple[float, float]]) -> list[View]:
    seen, ground, mount, areas = bench.sighting, bench.ground, bench.mount, bench.scene.areas
    reach = dict(lens.reaches)
    ends = np.array([reach.get(area.id, math.inf) for area in areas])[ground.area[seen.cells]]
    near = (seen.least_slant() <= ends + NEAR_M) & (ends > 0)
    good = near & np.isin(seen.cells, bench.possible(lens))
    cells = seen.cells[good]
    if not len(cells) or not settings:
        return []
    offset = ground.centre[cells] - np.array(mount.at)
    away, radius = np.hypot(*offset.T), ground.radius[cells] + NEAR_M
    middles = Corners(
        np.repeat(away, 2),
        np.repeat(np.arctan2(offset[:, 1], offset[:, 0]), 2),
        np.stack([seen.foot[good], seen.top[good]], axis=1).ravel(),
        (2 * np.arange(len(cells))).astype(np.int32),
    )
    px_m = np.array([area.px_m for area in areas])[ground.area[cells]]
    found, flags = [], []
    for focal, tilt in settings:
        arcs = might_see(middles, radius, math.radians(tilt), lens, focal, px_m)
        if mount.swing_deg < 360:
            facing, half = math.radians(mount.facing_deg), math.radians(mount.swing_deg) / 2
            arcs = kept_within(arcs, facing - half, facing + half)
        pans = best_pans(arcs)
        found += [(focal, tilt, math.degrees(pan)) for pan in pans.tolist()]
        flags.append(bodies_at(arcs, pans, len(cells)))
    sees = np.concatenate(flags)
    kept = undominated(sees)
    numbers = ground.area[cells]
    out = []
    for row in kept.tolist():
        served = set(numbers[sees[row]].tolist())
        focal, tilt, pan = found[row]
        names = tuple(area.id for number, area in enumerate(areas) if number in served)
        out.append(
            View(
                mount.id,
                lens.key,
                round(focal, 9),
                round(pan % 360, 9) % 360,
                round(tilt, 9),
                cells[sees[row]],
                names,
            )
        )
    return out


def might_see(
    middles: Corners, radius: Floats, tilt: float, lens: Lens, focal_mm: float, px_m: Floats
) -> Arcs:
    """Pans at which some spot of a disc might be in the picture, at both heights, in enough detail.

    Parameters
    ----------
    middles : Corners
        The middle of each of n discs, at the lowest and at the highest height. [m]
    radius : ndarray, shape (n,)
        [m]
    tilt : float
        [rad]
    lens : Lens
    focal_mm : float
        [mm]
    px_m : ndarray, shape (n,)
        Least density. [px/m]

    Returns
    -------
    Arcs

    References
    ----------
    .. [1] A linear function over a disc is greatest on its rim, in the direction of its slope.
    """
    half_wide = lens.sensor_width_mm / (2 * focal_mm)
    half_high = lens.sensor_height_mm / (2 * focal_mm)
    limit = np.repeat(lens.width_px * focal_mm / (lens.sensor_width_mm * px_m), 2)
    cos, sin = math.cos(tilt), math.sin(tilt)
    away, below, slack = middles.away, middles.below, np.repeat(radius, 2)
    sides = between_sides(middles, np.array(tilt), np.array(half_wide), slack)
    limits = [
        (away * slope, below * rise + slack * abs(slope) + extra)
        for slope, rise, extra in (
            (half_high * cos + sin, half_high * sin - cos, 0.0),
            (half_high * cos - sin, half_high * sin + cos, 0.0),
            (-cos, -sin, limit),
        )
    ]
    within, beyond = np.minimum(sides, math.pi / 2), np.zeros_like(away)
    behind = sides > math.pi / 2
    for factor, constant in limits:
        near, far = limits_ahead(factor, constant)
        beyond, within = np.maximum(beyond, near), np.minimum(within, far)
        behind &= (factor < 0) | (constant >= 0)
    # What is under the lens, or might be seen looking back under it, counts at every pan.
    around = behind[::2] | behind[1::2] | (away[::2] <= radius)
    first = middles.first
    low = np.maximum.reduceat(middles.bearing - within, first) - _SAME
    high = np.minimum.reduceat(middles.bearing + within, first) + _SAME
    never = (np.minimum.reduceat(within, first) < 0) | around
    arcs = without_holes(
        np.where(never, np.inf, low), np.where(never, -np.inf, high), middles, beyond
    )
    whole = np.flatnonzero(around).astype(np.int32)
    return Arcs(
        np.append(arcs.low, np.zeros(len(whole))),
        np.append(arcs.high, np.full(len(whole), math.tau)),
        np.append(arcs.body, whole),
    )


__all__ = ["glimpsed", "might_see"]
