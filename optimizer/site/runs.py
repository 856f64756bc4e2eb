"""How far the cable of each mount runs: as stated, or the shortest way along the cable routes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from optimizer.reading.terms import Route
from optimizer.site.schema import Site

TOUCH_M = 0.01
"""Ends of cable routes that are drawn this close to another route are joined to it. [m]"""

XY = tuple[float, float]


class NoWay(Exception):  # noqa: N818 - a finding, told as a trouble of the site file
    """A run cannot be taken from the plan.

    Attributes
    ----------
    kind : str
        "mount", "route", "riser" or "room": the list that the shape to blame is in.
    id : str
        The shape to blame; empty for the room.
    what, hint : str
    """

    def __init__(self, kind: str, name: str, what: str, hint: str) -> None:
        super().__init__(what)
        self.kind, self.id, self.what, self.hint = kind, name, what, hint


@dataclass(frozen=True)
class Way:
    """The cable way of a mount.

    Attributes
    ----------
    mount : str
    run : Decimal
        Its length. [m]
    route : Route
        What the cable must be made for.
    stated : bool
        The length stands in the site file.
    legs : tuple of (level, points)
        Where it is laid, as far as the plan shows it, from the mount to the room. [m]
    """

    mount: str
    run: Decimal
    route: Route
    stated: bool
    legs: tuple[tuple[str, tuple[XY, ...]], ...] = ()


def ways(site: Site) -> dict[str, Way]:
    """The cable way of each mount of a site.

    A stated run is taken as it is. Else the cable goes from the mount straight to the nearest spot
    of a cable route on its level, along the routes and risers the shortest way, and from the spot
    nearest to the room straight to it; to this is added what it climbs or falls between the heights
    of mount, routes, floors and room; all that is made longer by `plan.allowance` and rounded up to
    a centimetre. (The allowance at both ends for connecting, `assumptions.end_allowance`, comes on
    top where cable is cut, as on every run.) Routes of one level are joined where they cross or
    where one ends on another (within `TOUCH_M`); risers join levels.

    Returns
    -------
    dict of str to Way
        By mount id, in the order of the site file.

    Raises
    ------
    NoWay
        If a run is neither stated nor to be had from the plan; names the shape to blame.
    """
    plan = site.plan
    if plan is None:
        return {}
    network = None
    found = {}
    for mount in site.mounts:
        if mount.run is not None:
            route = mount.route or "indoor"
            found[mount.id] = Way(mount.id, mount.run, route, stated=True)
            continue
        if network is None:
            # shapely and networkx take a moment to load: only where runs are taken from the plan.
            from optimizer.site.network import Network

            network = Network(plan)
        found[mount.id] = network.way(mount)
    return found


__all__ = ["TOUCH_M", "XY", "NoWay", "Way", "ways"]
