"""Small random plans, and views to try on them."""

import math

import numpy as np
import shapely

from optimizer.plan.scene import Area, KeepOut, Lens, Mount, Obstacle, Scene, Wall

FIXED = Lens("fixed", 1920, 5.4, 3.0, 2.8, 2.8)
ZOOM = Lens("zoom", 1280, 4.8, 2.7, 3.0, 12.0)
SHORT = Lens("short", 1920, 5.4, 3.0, 4.0, 4.0, reaches=(("hall", 9.0),))
LENSES = (FIXED, ZOOM, SHORT)
SIDE = 14.0


def drawn(seed, *, walls=4, bodies=2, mounts=3, keep_outs=0):
    """A plan of `SIDE` metres with one area, "hall", walls and bodies of several heights."""
    rng = np.random.default_rng(seed)

    def spot(low=0.5, high=SIDE - 0.5):
        x, y = rng.uniform(low, high, 2)
        return float(x), float(y)

    heights = (1.0, 2.2, math.inf)
    lines = []
    for index in range(walls):
        a = spot()
        turn, length = rng.uniform(0, math.tau), rng.uniform(1, 6)
        b = (a[0] + length * math.cos(turn), a[1] + length * math.sin(turn))
        lines.append(Wall(f"w{index}", (a, b), heights[rng.integers(3)]))
    solid = []
    for index in range(bodies):
        x, y = spot(2, SIDE - 3)
        w, h = rng.uniform(0.3, 2, 2).tolist()
        outline = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
        solid.append(Obstacle(f"o{index}", outline, heights[rng.integers(3)]))
    places = []
    while len(places) < mounts:
        at = spot()
        if any(shapely.Polygon(body.outline).distance(shapely.Point(at)) < 0.1 for body in solid):
            continue
        arc = (float(rng.uniform(0, 360)), float(rng.choice([90.0, 180.0, 360.0])))
        places.append(Mount(f"m{len(places)}", at, float(rng.uniform(2.4, 5)), *arc))
    corner = float(rng.uniform(0, 3))
    outline = ((corner, 0.0), (SIDE, 1.0), (SIDE - 1, SIDE), (0.0, SIDE - corner))
    hall = Area(
        "hall",
        outline,
        float(rng.uniform(30, 130)),
        low_m=float(rng.choice([0.0, 1.2])),
        high_m=float(rng.choice([1.2, 1.8])),
        most_tilt_deg=None if rng.uniform() < 0.6 else float(rng.uniform(15, 40)),
    )
    out = []
    for index in range(keep_outs):
        x, y = spot(0, SIDE - 2)
        box = ((x, y), (x + 1.5, y), (x + 1.5, y + 0.5), (x, y + 0.5))
        out.append(KeepOut(f"k{index}", box, float(rng.choice([0.0, 40.0]))))
    square = ((-1.0, -1.0), (SIDE + 1, -1.0), (SIDE + 1, SIDE + 1), (-1.0, SIDE + 1))
    return Scene(square, tuple(lines), tuple(solid), tuple(places), (hall,), tuple(out))


def spots_in(polygon, count, rng):
    """Spots inside a polygon."""
    left, low, right, high = polygon.bounds
    found = []
    while len(found) < count:
        points = np.column_stack([rng.uniform(left, right, 64), rng.uniform(low, high, 64)])
        found.extend(points[shapely.contains_xy(polygon, *points.T)].tolist())
    return [tuple(spot) for spot in found[:count]]
