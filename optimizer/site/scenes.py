"""A site's plan as the geometry package takes it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from optimizer.plan.scene import Area, KeepOut, Mount, Obstacle, Scene, Wall
from optimizer.site import plan as asked
from optimizer.site.hanging import open_arc
from optimizer.site.schema import Plan, Site


def scene_of(site: Site) -> Scene:
    """The plan of a site in metres and degrees.

    Exact values of the site become the nearest floats, once, here. A bent wall becomes its straight
    pieces, which share its id. A mount without `facing` is open all round; one that hangs on a wall
    is open on the side of it to which it faces.

    Parameters
    ----------
    site : Site
        As loaded: its plan has been found drawn as a place can be.

    Raises
    ------
    ValueError
        If the site has no plan.
    """
    plan = site.plan
    if plan is None:
        raise ValueError("the site has no plan")
    return Scene(
        outline=_outline(plan, plan.outline),
        walls=tuple(
            Wall(wall.id, ends, _height(wall.height), plan.level_of(wall.level))
            for wall in plan.walls
            for ends in pairwise(plan.spot(point) for point in wall.line)
        ),
        obstacles=tuple(
            Obstacle(
                body.id,
                _outline(plan, body.area),
                _height(body.height),
                plan.level_of(body.level),
            )
            for body in plan.obstacles
        ),
        mounts=tuple(_mount(plan, mount) for mount in site.mounts),
        areas=tuple(_area(site, plan, zone) for zone in site.areas),
        keep_outs=tuple(
            KeepOut(
                kept.id,
                _outline(plan, kept.area),
                float(site.detail_px_m(kept)),
                kept.mask,
                float(kept.heights.low),
                float(kept.heights.high),
                plan.level_of(kept.level),
            )
            for kept in plan.keep_outs
        ),
    )


def _outline(plan: Plan, points: Sequence[asked.Point]) -> tuple[tuple[float, float], ...]:
    """Corners, the first not repeated where the file closes its rings."""
    spots = [plan.spot(point) for point in points]
    return tuple(spots[:-1] if spots[0] == spots[-1] else spots)


def _height(height: Decimal | None) -> float:
    return math.inf if height is None else float(height)


def _mount(plan: Plan, mount: asked.Mount) -> Mount:
    facing, swing = open_arc(plan, mount)
    return Mount(
        mount.id,
        plan.spot(mount.at),
        float(mount.height),
        facing,
        swing,
        plan.level_of(mount.level),
    )


def _area(site: Site, plan: Plan, zone: asked.PlanZone) -> Area:
    tilt = site.most_tilt_deg(zone)
    return Area(
        zone.id,
        _outline(plan, zone.area),
        float(site.detail_px_m(zone)),
        float(zone.share),
        zone.cameras,
        float(zone.apart),
        float(zone.heights.low),
        float(zone.heights.high),
        None if tilt is None else float(tilt),
        plan.level_of(zone.level),
    )


__all__ = ["scene_of"]
