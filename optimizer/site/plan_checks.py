"""What can be wrong with a plan as a drawing: told with the shape that is to blame."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from decimal import Decimal

from shapely import LineString, Point, Polygon, STRtree, unary_union
from shapely.validation import explain_validity

from optimizer.errors import Trouble, listed
from optimizer.reading import Source
from optimizer.reading.source import FieldPath, dotted
from optimizer.site import plan as shapes
from optimizer.site.hanging import NEAR_M, rays, reaches
from optimizer.site.runs import NoWay, ways
from optimizer.site.schema import Plan, PlanZone, Site

LEAST_M, MOST_M = 1.0, 5000.0
"""Believable widths of a plan. Common practice, no source. [m]"""

_ALONG = 1.0
"""A mount that faces so near to its wall does not tell the side. [deg]"""

_LISTS = {"mount": ("mounts",), "route": ("plan", "routes"), "riser": ("plan", "risers")}
XY = tuple[float, float]


def plan_troubles(site: Site, source: Source) -> list[Trouble]:
    """Everything about a site's plan that no drawing of a real place can have.

    Parameters
    ----------
    site : Site
        With a plan.
    source : Source
        Where it was read; shapes of a drawing file have the line of ``plan.file`` there.

    Returns
    -------
    list of Trouble
        Sizes that are not believable; else outlines that cross themselves or have no extent, what
        lies outside the plan, walls and routes without length, mounts inside something, mounts on
        a wall that would look through it, zones without free ground, runs that cannot be had.
    """
    assert site.plan is not None
    checks = _Checks(site, site.plan, source)
    return checks.size() or checks.all()


class _Checks:
    """Checks of one plan."""

    def __init__(self, site: Site, plan: Plan, source: Source) -> None:
        self.site, self.plan, self.source = site, plan, source
        self.edge = Polygon(self._spots(plan.outline))
        self.bodies: list[tuple[shapes.Obstacle, Polygon]] = []

    def _spots(self, points: Sequence[shapes.Point]) -> list[XY]:
        return [self.plan.spot(point) for point in points]

    def _trouble(self, path: FieldPath, what: str, accepted: str, hint: str) -> Trouble:
        line = self.source.line_of(path)
        return Trouble(what, self.source.name, line, dotted(path), None, accepted, hint)

    def size(self) -> list[Trouble]:
        """A plan whose size gives away that its unit is wrong."""
        spots = self._spots(self.plan.outline)
        wide = max(max(s[i] for s in spots) - min(s[i] for s in spots) for i in (0, 1))
        if LEAST_M <= wide <= MOST_M:
            return []
        unit = self.plan.unit
        likely = [u for u in ("mm", "cm", "m", "ft") if u != unit and self._likely(wide, u)]
        hint = "check the coordinates and the unit of the plan"
        if likely:
            hint = f"are they in {likely[0]}? then write 'unit: {likely[0]}' in plan"
        across = _m(wide) if wide >= LEAST_M else f"{wide:g}"
        what = f"the outline of the plan is {across} m across, taken in {unit}"
        accepted = f"a plan {LEAST_M:g} m to {MOST_M:,.0f} m across"
        return [self._trouble(("plan", "outline"), what, accepted, hint)]

    def _likely(self, wide: float, unit: str) -> bool:
        """Whether the plan would be as wide as plans are, were its numbers in another unit."""
        as_unit = self.plan.model_copy(update={"unit": unit})
        return 3.0 <= wide * float(as_unit.metres("1") / self.plan.metres("1")) <= 2000.0

    def all(self) -> list[Trouble]:
        """Everything else, each shape only if what it lies in is right."""
        found = self._polygon(("plan", "outline"), "the outline of the plan", self.edge)
        if found is not None:
            return [found]
        troubles = [*self._areas(), *self._lines(), *self._spots_inside()]
        return troubles or [*self._mounts(), *self._ground(), *self._runs()]

    def _polygon(self, path: FieldPath, name: str, polygon: Polygon) -> Trouble | None:
        accepted = "a simple outline: corners in order around the shape"
        if not polygon.is_valid:
            why = explain_validity(polygon)
            place = why[why.find("[") + 1 : why.find("]")].replace(" ", ", ")
            said = f"crosses or touches itself near ({place})" if "[" in why else "is no outline"
            if polygon.area < NEAR_M**2 and "Self" not in why:
                said = "has no extent"
            hint = "list the corners in order around the shape"
            return self._trouble(path, f"{name} {said}", accepted, hint)
        if polygon.area < NEAR_M**2:
            hint = "check its corners"
            return self._trouble(path, f"{name} has no extent", accepted, hint)
        return None

    def _outside(self, path: FieldPath, name: str, drawn: LineString | Polygon) -> Trouble | None:
        if self.edge.buffer(NEAR_M).covers(drawn):
            return None
        far = max(
            drawn.coords if drawn.geom_type == "LineString" else drawn.exterior.coords,
            key=lambda c: self.edge.distance(Point(c)),
        )
        away = self.edge.distance(Point(far))
        where = f"({far[0]:g}, {far[1]:g}) m is {_m(away)} m out" if away > 0 else "it crosses out"
        hint = "check its coordinates, or draw the outline of the plan around it"
        if away > 10 * self.edge.length:
            hint = "are its coordinates in another unit than the plan's? state it: 1500 mm"
        what = f"{name} lies partly outside the plan: {where}"
        if self.edge.disjoint(drawn):
            what = f"{name} lies outside the plan: {where}"
        return self._trouble(path, what, "a place within plan.outline", hint)

    def _areas(self) -> Iterator[Trouble]:
        for i, obstacle in enumerate(self.plan.obstacles):
            at: FieldPath = ("plan", "obstacles", i, "area")
            polygon = Polygon(self._spots(obstacle.area))
            yield from self._area(at, f'obstacle "{obstacle.id}"', polygon)
            self.bodies.append((obstacle, polygon))
        for i, kept in enumerate(self.plan.keep_outs):
            at = ("plan", "keep_outs", i, "area")
            yield from self._area(at, f'keep-out "{kept.id}"', Polygon(self._spots(kept.area)))
        for i, zone in enumerate(self.site.zones):
            if isinstance(zone, PlanZone):
                polygon = Polygon(self._spots(zone.area))
                yield from self._area(("zones", i, "area"), f'zone "{zone.id}"', polygon)

    def _area(self, path: FieldPath, name: str, polygon: Polygon) -> Iterator[Trouble]:
        wrong = self._polygon(path, name, polygon) or self._outside(path, name, polygon)
        if wrong is not None:
            yield wrong

    def _lines(self) -> Iterator[Trouble]:
        lines: list[tuple[FieldPath, str, Sequence[shapes.Point]]] = [
            (("plan", "walls", i, "line"), f'wall "{wall.id}"', wall.line)
            for i, wall in enumerate(self.plan.walls)
        ]
        lines += [
            (("plan", "routes", i, "line"), f'cable route "{route.id}"', route.line)
            for i, route in enumerate(self.plan.routes)
        ]
        for path, name, points in lines:
            spots = self._spots(points)
            same = next((a for a, b in itertools.pairwise(spots) if a == b), None)
            if same is not None:
                what = f"{name} has a piece without length at ({same[0]:g}, {same[1]:g}) m"
                hint = "remove one of the two equal points"
                yield self._trouble(path, what, "points that differ from the one before", hint)
                continue
            wrong = self._outside(path, name, LineString(spots))
            if wrong is not None:
                yield wrong

    def _spots_inside(self) -> Iterator[Trouble]:
        spots: list[tuple[FieldPath, str, shapes.Point]] = [
            (("mounts", i, "at"), f'mount "{m.id}"', m.at) for i, m in enumerate(self.site.mounts)
        ]
        if self.plan.room is not None:
            spots.append((("plan", "room", "at"), "the equipment room", self.plan.room.at))
        spots += [
            (("plan", "risers", i, "at"), f'riser "{r.id}"', r.at)
            for i, r in enumerate(self.plan.risers)
        ]
        for path, name, at in spots:
            spot = Point(self.plan.spot(at))
            away = self.edge.distance(spot)
            if away > NEAR_M:
                what = f"{name} at ({spot.x:g}, {spot.y:g}) m is {_m(away)} m outside the plan"
                hint = "check its coordinates and the unit of the plan"
                yield self._trouble(path, what, "a place within plan.outline", hint)

    def _mounts(self) -> Iterator[Trouble]:
        barriers = self._barriers()
        tree = STRtree([line for line, *_ in barriers])
        for i, mount in enumerate(self.site.mounts):
            level = self.plan.level_of(mount.level)
            spot = Point(self.plan.spot(mount.at))
            inside = next(
                (
                    body.id
                    for body, polygon in self.bodies
                    if self.plan.level_of(body.level) == level
                    and (body.height is None or body.height > mount.height)
                    and polygon.contains(spot)
                    and polygon.exterior.distance(spot) > NEAR_M
                ),
                None,
            )
            if inside is not None:
                what = f'mount "{mount.id}" is inside obstacle "{inside}"'
                hint = "move it to the face of the obstacle, or above it"
                yield self._trouble(("mounts", i, "at"), what, "a place in the open", hint)
                continue
            near = sorted(int(k) for k in tree.query(spot, "dwithin", distance=NEAR_M))
            held = [
                barriers[k][:2]
                for k in near
                if barriers[k][2] == level and reaches(barriers[k][3], mount)
            ]
            wrong = self._through(("mounts", i), mount, spot, held)
            if wrong is not None:
                yield wrong

    def _barriers(self) -> list[tuple[LineString, str, str, Decimal | None]]:
        """Every straight piece that hides what is behind it: line, name, level, height."""
        found = []
        for wall in self.plan.walls:
            level = self.plan.level_of(wall.level)
            for ends in itertools.pairwise(self._spots(wall.line)):
                found.append((LineString(ends), f'wall "{wall.id}"', level, wall.height))
        for body, polygon in self.bodies:
            level = self.plan.level_of(body.level)
            for ends in itertools.pairwise(polygon.exterior.coords):
                found.append((LineString(ends), f'obstacle "{body.id}"', level, body.height))
        return found

    def _through(
        self,
        path: FieldPath,
        mount: shapes.Mount,
        spot: Point,
        held: Sequence[tuple[LineString, str]],
    ) -> Trouble | None:
        """A mount on a wall of which it is not said to which side it looks.

        Open directions on the other side are no trouble: there the wall hides everything.
        """
        found = rays((spot.x, spot.y), [_ends(line) for line, _ in held])
        if len(found) < 2:
            return None
        names = listed(dict.fromkeys(name for _, name in held))
        middle = 0.0 if mount.facing is None else float(mount.facing)
        if mount.facing is None:
            what = f'mount "{mount.id}" stands on {names} and faces every way, which is into it'
            hint = "say which side is open: facing, and swing if it is less than 180 deg"
            return self._trouble((*path, "at"), what, "open directions on one side", hint)
        if any(abs((ray - middle + 180.0) % 360.0 - 180.0) < _ALONG for ray in found):
            what = f'mount "{mount.id}" stands on {names} and faces along it'
            hint = "turn facing to the side that it looks to; what lies behind it is never seen"
            return self._trouble((*path, "facing"), what, "open directions on one side", hint)
        for body, polygon in self.bodies:
            if any(name == f'obstacle "{body.id}"' for _, name in held):
                angle = math.radians(middle)
                step = Point(
                    spot.x + 2 * NEAR_M * math.cos(angle), spot.y + 2 * NEAR_M * math.sin(angle)
                )
                if polygon.contains(step):
                    what = f'mount "{mount.id}" faces into obstacle "{body.id}" that it stands on'
                    hint = "turn facing round"
                    return self._trouble((*path, "facing"), what, "the open side", hint)
        return None

    def _ground(self) -> Iterator[Trouble]:
        """Zones on which nobody can stand."""
        for i, zone in enumerate(self.site.zones):
            if not isinstance(zone, PlanZone):
                continue
            level = self.plan.level_of(zone.level)
            bodies = [
                (body.id, polygon)
                for body, polygon in self.bodies
                if self.plan.level_of(body.level) == level
                and (body.height is None or body.height > zone.heights.low)
            ]
            free = Polygon(self._spots(zone.area)).difference(unary_union([p for _, p in bodies]))
            if free.area < NEAR_M**2:
                area = Polygon(self._spots(zone.area))
                names = listed(name for name, polygon in bodies if polygon.intersects(area))
                what = f'no ground of zone "{zone.id}" is free of obstacles: {names}'
                hint = "check the coordinates, or the heights of the obstacles"
                yield self._trouble(("zones", i, "area"), what, "an area with free ground", hint)

    def _runs(self) -> Iterator[Trouble]:
        try:
            ways(self.site)
        except NoWay as wrong:
            path: FieldPath = ("plan", "room") if self.plan.room else ("plan",)
            if wrong.kind in _LISTS:
                path = (*_LISTS[wrong.kind], self._index(wrong.kind, wrong.id))
            yield self._trouble(path, wrong.what, "a way from each mount to the room", wrong.hint)

    def _index(self, kind: str, name: str) -> int:
        rows: dict[str, Sequence[shapes.Mount | shapes.CableRoute | shapes.Riser]] = {
            "mount": self.site.mounts,
            "route": self.plan.routes,
            "riser": self.plan.risers,
        }
        return next(i for i, one in enumerate(rows[kind]) if one.id == name)


def _m(length: float) -> str:
    """A length to the centimetre, without needless zeros."""
    return f"{length:,.2f}".rstrip("0").rstrip(".")


def _ends(line: LineString) -> tuple[tuple[float, float], tuple[float, float]]:
    """Both ends of a straight piece. [m]"""
    (ax, ay), (bx, by) = line.coords
    return (float(ax), float(ay)), (float(bx), float(by))


__all__ = ["plan_troubles"]
