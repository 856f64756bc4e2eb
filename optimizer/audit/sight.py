"""What a camera on a mount sees, as polygons on the plan: section 7 of the rules, computed anew.

Everything is worked out backwards from the ground, as regions of spots: the picture and the density
are half-planes, walls cast shadows, reaches are discs. Discs are drawn with so many corners that
less than a millionth of them is lost.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import shapely
from shapely.geometry import MultiPoint, Polygon

XY = tuple[float, float]
XYZ = tuple[float, float, float]
_CORNERS = 512
_STEP = math.radians(20)
_TOUCH = 1e-6
"""A mount this near a wall's line is on it. [m]"""

HANGS = 1e-3
"""A mount this near a wall hangs on it. [m]"""

_NOTHING = Polygon()


@dataclass(frozen=True)
class Screen:
    """What can stand in the way: the line of a wall or one side of an obstacle, on the floor.

    Attributes
    ----------
    height : float
        Infinite where nothing looks over it. [m]
    """

    a: XY
    b: XY
    height: float


@dataclass(frozen=True)
class Eye:
    """A camera on a mount, aimed.

    Attributes
    ----------
    at : tuple of three floats
        Of the lens. [m]
    half_wide, half_high : float
        Half the picture's width and height at depth 1.
    px_depth : float
        Pixels on a metre along the rows, times depth: density is this over depth. [px]
    arc : tuple of two floats or None
        Middle and half width of the open directions. [rad]
    """

    at: XYZ
    pan: float
    tilt: float
    half_wide: float
    half_high: float
    px_depth: float
    arc: tuple[float, float] | None = None

    @property
    def spot(self) -> XY:
        """Where it stands on the plan."""
        return self.at[0], self.at[1]

    def axes(self) -> tuple[XYZ, XYZ, XYZ]:
        """Optical axis, right and down, unit vectors."""
        cp, sp = math.cos(self.pan), math.sin(self.pan)
        ct, st = math.cos(self.tilt), math.sin(self.tilt)
        return (ct * cp, ct * sp, -st), (sp, -cp, 0.0), (-st * cp, -st * sp, -ct)

    def depth(self, point: XYZ) -> float:
        """Along the axis. [m]"""
        axis = self.axes()[0]
        return sum(a * (p - c) for a, p, c in zip(axis, point, self.at, strict=True))

    def density(self, point: XYZ) -> float:
        """Pixels on a metre at a point in front of the camera. [px/m]"""
        return self.px_depth / self.depth(point)


def picture(eye: Eye, around: Any, low: float, high: float, least: float) -> Any:
    """Spots whose every height from low to high is in the picture with at least a density.

    The picture is convex, so both ends decide; each side of it is a half-plane at a height.
    """
    left, bottom, right, top = around.bounds
    shape = [(left, bottom), (right, bottom), (right, top), (left, top)]
    axis, side, down = eye.axes()
    sides = [
        tuple(w * a - k * s for a, s in zip(axis, vector, strict=True))
        for vector, w in ((side, eye.half_wide), (down, eye.half_high))
        for k in (1.0, -1.0)
    ]
    for height in (low, high):
        lift = height - eye.at[2]
        for normal in sides:
            shape = _cut(shape, normal[0], normal[1], normal[2] * lift, eye.spot)
        shape = _cut(shape, axis[0], axis[1], axis[2] * lift, eye.spot)
        limit = eye.px_depth / least
        shape = _cut(shape, -axis[0], -axis[1], limit - axis[2] * lift, eye.spot)
    return Polygon(shape) if len(shape) > 2 else _NOTHING


def _cut(ring: list[XY], nx: float, ny: float, shift: float, origin: XY) -> list[XY]:
    """What of a convex polygon has nx (x - x0) + ny (y - y0) + shift >= 0."""
    out: list[XY] = []
    values = [nx * (x - origin[0]) + ny * (y - origin[1]) + shift for x, y in ring]
    for i, (x1, y1) in enumerate(ring):
        (x2, y2), v1, v2 = ring[(i + 1) % len(ring)], values[i], values[(i + 1) % len(ring)]
        if v1 >= 0:
            out.append((x1, y1))
        if (v1 >= 0) != (v2 >= 0):
            t = v1 / (v1 - v2)
            out.append((x1 + t * (x2 - x1), y1 + t * (y2 - y1)))
    return out


def shown(eye: Eye, around: Any, low: float, high: float, least: float) -> Any:
    """Spots of which any height from low to high is in the picture at more than a density.

    What is in the picture before the depth of that density is a pyramid; cut off at both heights
    it is convex, and its shadow on the plan is the hull of its corners.
    """
    left, bottom, right, top = around.bounds
    size = math.dist((left, bottom), (right, top)) + math.dist(eye.spot, (left, bottom))
    depth = size * 4 + abs(eye.at[2]) if least <= 0 else eye.px_depth / least
    axis, side, down = eye.axes()
    base: list[tuple[float, ...]] = [
        tuple(
            c + depth * (a + i * eye.half_wide * s + j * eye.half_high * d)
            for c, a, s, d in zip(eye.at, axis, side, down, strict=True)
        )
        for i, j in ((1, 1), (1, -1), (-1, -1), (-1, 1))
    ]
    points: list[tuple[float, ...]] = [eye.at, *base]
    edges = [(points[0], b) for b in base]
    edges += [(base[i], base[(i + 1) % 4]) for i in range(4)]
    corners = [p[:2] for p in points if low <= p[2] <= high]
    for p, q in edges:
        for height in (low, high):
            if (p[2] - height) * (q[2] - height) < 0:
                t = (height - p[2]) / (q[2] - p[2])
                corners.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])))
    return MultiPoint(corners).convex_hull if len(corners) > 2 else _NOTHING


def hidden(eye: Eye, screens: Sequence[Screen], around: Any, height: float) -> Any:
    """Spots whose point at a height lies behind a wall or obstacle."""
    left, bottom, right, top = around.bounds
    corners = [(left, bottom), (right, bottom), (right, top), (left, top)]
    far = 2 * max(math.dist(eye.spot, c) for c in corners) + 1
    return shapely.union_all(
        [shadow for screen in screens for shadow in _shadows(eye, screen, height, far)]
    )


def _shadows(eye: Eye, screen: Screen, height: float, far: float) -> Iterator[Any]:
    """Shadow of one screen, in pieces that each take up a small angle.

    After a share t of its way the line of sight is at height c + t (height - c): it is stopped
    where it meets the screen below its top. So the shadow ends where the line falls, and
    begins where it rises, at some multiple of the screen's distance.
    """
    c = eye.at[2]
    if screen.height <= min(c, height):
        return
    # From how many times the distance of the screen on its shadow begins, and where it ends.
    begin, end = 1.0, math.inf
    if c > height and screen.height < c:
        end = (c - height) / (c - screen.height)
    elif c < height and screen.height < height:
        begin = (height - c) / (screen.height - c) if screen.height > c else math.inf
    if math.isinf(begin):
        return
    x, y = eye.spot
    a, b = (screen.a[0] - x, screen.a[1] - y), (screen.b[0] - x, screen.b[1] - y)
    turn = math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
    width = math.hypot(b[0] - a[0], b[1] - a[1])
    if abs(a[0] * b[1] - a[1] * b[0]) <= _TOUCH * width or _hangs(eye.spot, screen):
        return
    pieces = max(1, math.ceil(abs(turn) / _STEP))
    start = math.atan2(a[1], a[0])
    dx, dy = b[0] - a[0], b[1] - a[1]
    cross = a[0] * dy - a[1] * dx

    def on(angle: float) -> XY:
        """The spot of the screen in a direction, from the eye."""
        ux, uy = math.cos(angle), math.sin(angle)
        r = cross / (ux * dy - uy * dx)
        return r * ux, r * uy

    marks = [a, *(on(start + turn * i / pieces) for i in range(1, pieces)), b]
    for p, q in pairwise(marks):
        near = min(math.hypot(*p), math.hypot(*q))
        if near == 0:
            continue
        most = min(end, far / near / math.cos(_STEP / 2))
        if most <= begin:
            continue
        yield Polygon(
            [
                (x + k * px, y + k * py)
                for k, (px, py) in ((begin, p), (begin, q), (most, q), (most, p))
            ]
        )


def _hangs(spot: XY, screen: Screen) -> bool:
    """Whether a mount is on a screen: what it hides is then told by the open directions."""
    line = shapely.LineString([screen.a, screen.b])
    return bool(line.distance(shapely.Point(spot)) <= HANGS)


def opened(at: XYZ, arc: tuple[float, float], screens: Sequence[Screen]) -> tuple[float, float]:
    """Open directions less those behind walls on which a mount hangs: middle and half width.

    It is asked on either hand how far it can be turned from the middle until the first such wall
    that is as high as the lens. One wall that ends at the mount takes nothing. [rad]
    """
    ways = []
    for screen in screens:
        if screen.height >= at[2] and _hangs(at[:2], screen):
            ends = [(x - at[0], y - at[1]) for x, y in (screen.a, screen.b)]
            ways += [math.atan2(y, x) for x, y in ends if math.hypot(x, y) > HANGS]
    if len({round(math.cos(w), 6) + 2j * round(math.sin(w), 6) for w in ways}) < 2:
        return arc
    middle, half = arc
    turns = [(way - middle) % math.tau for way in ways]
    up, down = min(half, *turns), min(half, *(math.tau - turn for turn in turns))
    return middle + (up - down) / 2, (up + down) / 2


def disc(centre: XY, radius: float) -> Any:
    """The spots within a distance, drawn with straight sides from within."""
    turn = math.tau / _CORNERS / 4
    return Polygon(
        [
            (centre[0] + radius * math.cos(turn * i), centre[1] + radius * math.sin(turn * i))
            for i in range(4 * _CORNERS)
        ]
    )


def within_reach(eye: Eye, reach: float, low: float, high: float) -> Any:
    """Spots whose every height from low to high is within a straight distance."""
    off = max(abs(eye.at[2] - low), abs(eye.at[2] - high))
    return disc(eye.spot, math.sqrt(reach**2 - off**2)) if reach > off else _NOTHING


def too_steep(eye: Eye, height: float, most_tilt: float) -> Any:
    """Spots to whose point at a height the line of sight falls by more than an angle."""
    drop = eye.at[2] - height
    if drop <= 0 or most_tilt >= math.pi / 2:
        return _NOTHING
    return disc(eye.spot, drop / math.tan(most_tilt))


def sector(eye: Eye, around: Any) -> Any:
    """Spots in the open directions of the mount."""
    left, bottom, right, top = around.bounds
    if eye.arc is None or eye.arc[1] >= math.pi:
        return shapely.box(left, bottom, right, top)
    middle, half = eye.arc
    corners = [(left, bottom), (right, bottom), (right, top), (left, top)]
    far = 2 * max(math.dist(eye.spot, c) for c in corners) + 1
    count = max(2, math.ceil(2 * half / _STEP))
    rim = [middle - half + 2 * half * i / count for i in range(count + 1)]
    ring = [(eye.at[0] + far * math.cos(t), eye.at[1] + far * math.sin(t)) for t in rim]
    return Polygon([eye.spot, *ring])


def lens_of_angle(one: XY, two: XY, least: float) -> Any:
    """Spots from which two points are seen at least an angle apart, above 0 and below pi.

    On either side of the line through the points it is what lies within the circle through both
    on whose far arc that angle stands (Euclid III.21). Drawn from within.
    """
    width = math.dist(one, two)
    if width == 0 or least >= math.pi:
        return _NOTHING
    radius, middle = width / 2 / math.sin(least), ((one[0] + two[0]) / 2, (one[1] + two[1]) / 2)
    nx, ny = (one[1] - two[1]) / width, (two[0] - one[0]) / width
    rise = radius * math.cos(least)
    far = 4 * radius + width
    halves = []
    for side in (1.0, -1.0):
        centre = (middle[0] + side * rise * nx, middle[1] + side * rise * ny)
        ux, uy = (two[0] - one[0]) / width, (two[1] - one[1]) / width
        ring = [
            (middle[0] - far * ux, middle[1] - far * uy),
            (middle[0] + far * ux, middle[1] + far * uy),
            (middle[0] + far * ux + side * far * nx, middle[1] + far * uy + side * far * ny),
            (middle[0] - far * ux + side * far * nx, middle[1] - far * uy + side * far * ny),
        ]
        halves.append(disc(centre, radius).intersection(Polygon(ring)))
    return shapely.union_all(halves)


def masked(eye: Eye, keep_out: Any, span: tuple[float, float], low: float, high: float) -> Any:
    """Spots that share a direction with what a mask covers.

    A mask over ground with heights from span covers every direction to it. A spot is lost if some
    height of it, low to high, lies in such a direction. Drawn in narrow wedges, from within.
    """
    pieces = []
    for part in getattr(keep_out, "geoms", [keep_out]):
        ring = [(px - eye.at[0], py - eye.at[1]) for px, py in part.exterior.coords[:-1]]
        bearings = _unwound(ring)
        first, last = min(bearings), max(bearings)
        if last - first >= math.pi:
            continue
        count = max(1, math.ceil((last - first) / math.radians(0.25)))
        marks = sorted({*bearings, *(first + (last - first) * i / count for i in range(count + 1))})
        for one, two in pairwise(marks):
            wedge = _wedge(eye, part, one, two, span, low, high)
            if wedge is not None:
                pieces.append(wedge)
    return shapely.union_all(pieces)


def _unwound(ring: Sequence[XY]) -> list[float]:
    zero = math.atan2(ring[0][1], ring[0][0])
    turns = [(math.atan2(y, x) - zero + math.pi) % math.tau - math.pi for x, y in ring]
    return [zero + t for t in turns]


def _wedge(
    eye: Eye, part: Any, one: float, two: float, span: tuple[float, float], low: float, high: float
) -> Any | None:
    reach = max(math.dist(eye.spot, p) for p in part.exterior.coords) + 1
    ends = []
    for angle in (one, two):
        tip = (eye.at[0] + reach * math.cos(angle), eye.at[1] + reach * math.sin(angle))
        cut = shapely.intersection(shapely.LineString([eye.spot, tip]), part)
        if cut.is_empty:
            return None
        away = [math.dist(eye.spot, p) for p in shapely.get_coordinates(cut).tolist()]
        ends.append((min(away), max(away)))
    near, far = max(e[0] for e in ends), min(e[1] for e in ends)
    c = eye.at[2]
    # Falls (down over distance) of the mask and of a spot at distance p overlap.
    flattest = (c - span[1]) / (far if c > span[1] else near)
    steepest = (c - span[0]) / (near if c > span[0] else far)
    start = 0.0
    if c > high:
        if steepest <= 0:
            return None
        start = (c - high) / steepest
    stop = reach * 100
    if c > low:
        if flattest > 0:
            stop = min(stop, (c - low) / flattest)
    elif flattest > 0:
        return None
    if start >= stop:
        return None
    x, y = eye.spot
    return Polygon(
        [
            (x + r * math.cos(t), y + r * math.sin(t))
            for r, t in ((start, one), (start, two), (stop, two), (stop, one))
        ]
    )
