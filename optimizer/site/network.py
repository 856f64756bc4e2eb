"""The cable routes of a plan as a graph, and the shortest ways along them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from itertools import pairwise
from typing import Any

import networkx as nx
from shapely import LineString, Point, STRtree

from optimizer.reading.terms import Route
from optimizer.site.plan import CableRoute, Mount, Plan
from optimizer.site.runs import TOUCH_M, XY, NoWay, Way

_FIRE: tuple[Route, ...] = ("indoor", "riser", "plenum")
Node = tuple[Any, ...]


@dataclass
class _Line:
    """A cable route of the plan."""

    route: CableRoute
    level: str
    line: LineString
    factor: float
    stops: dict[float, None]


class Network:
    """Cable routes as a graph: where lines meet, spots on them; lengths between."""

    def __init__(self, plan: Plan) -> None:
        if plan.room is None:
            what = "without a room, runs cannot be taken from the plan"
            raise NoWay("room", "", what, "add 'room: {at: [x, y]}' to plan, or state each run")
        if not plan.routes:
            what = "without cable routes, runs cannot be taken from the plan"
            raise NoWay("room", "", what, "add 'routes:' to plan, or state each run")
        self.plan, self.room = plan, plan.room
        self.lines = [self._line(route) for route in plan.routes]
        self.graph: nx.Graph = nx.Graph()
        self.joints: list[tuple[Node, Node, float, Route | None]] = []
        self._join()
        room_level = plan.level_of(self.room.level)
        spot = plan.spot(self.room.at)
        self.room_foot = self._attach(room_level, spot)
        if self.room_foot is None:
            what = "no cable route is on the level of the room"
            raise NoWay("room", "", what, "draw a route there, or put room.level right")
        self._rise()
        self._edges()
        self._reached()

    def _line(self, route: CableRoute) -> _Line:
        line = LineString([self.plan.spot(p) for p in route.line])
        factor = 1.0 if route.length is None else float(route.length) / line.length
        level = self.plan.level_of(route.level)
        return _Line(route, level, line, factor, {0.0: None, line.length: None})

    def _join(self) -> None:
        """Stops where routes of a level meet, and joints that tie them."""
        tree = STRtree([one.line for one in self.lines])
        for a, one in enumerate(self.lines):
            near = sorted(tree.query(one.line, predicate="dwithin", distance=TOUCH_M))
            for b in (int(i) for i in near if i > a):
                other = self.lines[b]
                if other.level != one.level:
                    continue
                for spot in _meetings(one.line, other.line):
                    ends = [(i, self._stop(i, spot)) for i in (a, b)]
                    self.joints.append((ends[0], ends[1], 0.0, None))

    def _stop(self, index: int, spot: Point) -> float:
        line = self.lines[index]
        along = min(max(line.line.project(spot), 0.0), line.line.length)
        known = next((s for s in line.stops if abs(s - along) < 1e-9), None)
        if known is None:
            line.stops[along] = None
        return along if known is None else known

    def _attach(
        self, level: str, at: XY, within: float = math.inf
    ) -> tuple[Node, float, XY] | None:
        """The nearest spot of a route on a level, how far it is, and where."""
        spot, best = Point(at), None
        for index, line in enumerate(self.lines):
            if line.level != level:
                continue
            away = line.line.distance(spot)
            if away <= within and (best is None or away < best[0]):
                best = (away, index)
        if best is None:
            return None
        away, index = best
        along = self._stop(index, spot)
        foot = self.lines[index].line.interpolate(along)
        return (index, along), away, (foot.x, foot.y)

    def _rise(self) -> None:
        for riser in self.plan.risers:
            levels = riser.levels or tuple(self.plan.levels)
            if len(levels) < 2:
                what = f'riser "{riser.id}" joins fewer than two levels'
                raise NoWay("riser", riser.id, what, "name two of plan.levels in its levels")
            ordered = sorted(levels, key=lambda name: self.plan.levels[name])
            nodes: list[Node] = []
            for level in ordered:
                at = self._attach(level, self.plan.spot(riser.at), TOUCH_M)
                if at is None:
                    what = f'riser "{riser.id}" meets no cable route on level "{level}"'
                    hint = "draw a route to it on each of its levels, or name its levels"
                    raise NoWay("riser", riser.id, what, hint)
                nodes.append(at[0])
            floors = [float(self.plan.levels[level]) for level in ordered]
            for (a, low), (b, high) in pairwise(zip(nodes, floors, strict=True)):
                self.joints.append((a, b, high - low, riser.route))

    def _edges(self) -> None:
        for index, line in enumerate(self.lines):
            self._edges_between(index, sorted(line.stops))
        for a, b, height, route in self.joints:
            self.graph.add_edge(a, b, length=height, route=route)

    def _reached(self) -> None:
        """Every route must lead to the room: a mount beside one that does not has no honest way."""
        assert self.room_foot is not None
        there = nx.node_connected_component(self.graph, self.room_foot[0])
        lost = [one for i, one in enumerate(self.lines) if (i, 0.0) not in there]
        if lost:
            what = f'cable route "{lost[0].route.id}" does not lead to the room'
            hint = "let its end lie on another route, add a riser, or remove it"
            raise NoWay("route", lost[0].route.id, what, hint)

    def way(self, mount: Mount) -> Way:
        """The way of a mount whose run is not stated."""
        plan = self.plan
        level = plan.level_of(mount.level)
        at = plan.spot(mount.at)
        foot = self._attach(level, at)
        if foot is None:
            what = f'no cable route is on the level of mount "{mount.id}"'
            raise NoWay("mount", mount.id, what, "draw a route there, or state the mount's run")
        assert self.room_foot is not None
        node, away, spot = foot
        self._split(node)
        length, path = nx.single_source_dijkstra(
            self.graph, node, self.room_foot[0], weight="length"
        )
        flat = length + away + self.room_foot[1]
        climbs = abs(plan.route_height - mount.height) + abs(plan.route_height - self.room.height)
        total = (Decimal(repr(flat)) + climbs) * (1 + plan.allowance)
        run = (total - Decimal("1e-9")).quantize(Decimal("0.01"), ROUND_CEILING)
        legs = self._legs(level, at, spot, path)
        kinds = [self.graph.edges[a, b]["route"] for a, b in pairwise(path)]
        route = mount.route or self._strictest(mount, [k for k in kinds if k is not None])
        return Way(mount.id, run, route, stated=False, legs=legs)

    def _split(self, node: Node) -> None:
        """Put a new stop into the graph; the stretch around it goes on through it."""
        if node in self.graph:
            return
        index, along = node
        stops = sorted(self.lines[index].stops)
        at = stops.index(along)
        self.graph.remove_edge((index, stops[at - 1]), (index, stops[at + 1]))
        self._edges_between(index, stops[at - 1 : at + 2])

    def _edges_between(self, index: int, stops: Sequence[float]) -> None:
        line = self.lines[index]
        for a, b in pairwise(stops):
            length = (b - a) * line.factor
            self.graph.add_edge((index, a), (index, b), length=length, route=line.route.route)

    def _legs(
        self, level: str, at: XY, foot: XY, path: list[Node]
    ) -> tuple[tuple[str, tuple[XY, ...]], ...]:
        legs: list[tuple[str, list[XY]]] = [(level, [at, foot])]
        for a, b in pairwise(path):
            here = self.lines[b[0]].level
            if here != legs[-1][0]:
                legs.append((here, []))
            points = self._between(a, b) if a[0] == b[0] else [self._spot(b)]
            legs[-1][1].extend(p for p in points if not legs[-1][1] or p != legs[-1][1][-1])
        end = self.plan.spot(self.room.at)
        if legs[-1][1][-1] != end:
            legs[-1][1].append(end)
        return tuple((name, tuple(points)) for name, points in legs)

    def _spot(self, node: Node) -> XY:
        spot = self.lines[node[0]].line.interpolate(node[1])
        return spot.x, spot.y

    def _between(self, a: Node, b: Node) -> Iterator[XY]:
        line = self.lines[a[0]].line
        low, high = sorted((a[1], b[1]))
        corners = [(line.project(Point(c)), c) for c in line.coords]
        inner = sorted((s, c) for s, c in corners if low < s < high)
        points = [self._spot(a), *(c for _, c in (inner if a[1] < b[1] else inner[::-1]))]
        yield from [*points, self._spot(b)]

    def _strictest(self, mount: Mount, kinds: Sequence[Route]) -> Route:
        """What the cable must be made for, of all that its way asks."""
        some = set(kinds) or {"indoor"}
        if some <= set(_FIRE):
            return max(some, key=_FIRE.index)
        if len(some) == 1:
            return next(iter(some))
        words = ", ".join(sorted(some))
        what = f'the way of mount "{mount.id}" passes {words}: no one kind of cable is meant'
        hint = "add a line 'route: ...' to the mount: what its cable must be made for"
        raise NoWay("mount", mount.id, what, hint)


def _meetings(one: LineString, other: LineString) -> Iterator[Point]:
    """Spots where two routes meet: crossings, and ends that lie on the other."""
    crossing = one.intersection(other)
    for part in getattr(crossing, "geoms", [crossing]):
        if not part.is_empty:
            yield from (Point(c) for c in part.coords)
    for line, host in ((one, other), (other, one)):
        for end in (line.coords[0], line.coords[-1]):
            if 0 < host.distance(Point(end)) <= TOUCH_M:
                yield Point(end)


__all__ = ["Network"]
