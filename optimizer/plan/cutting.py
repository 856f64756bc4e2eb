"""Zones cut into cells."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np
import shapely
from shapely import affinity

from optimizer.plan.prepared import Cell
from optimizer.plan.scene import Area, Scene

LEAST_M2 = 1e-6
"""Pieces of ground smaller than this are not told from nothing. [m^2]"""

_LEAST_CELLS = 9
"""An area gets about so many cells at least, so that a small one is not all or nothing."""


def ground(scene: Scene, area: Area) -> Any:
    """The ground of an area on which a target can stand.

    Parameters
    ----------
    scene : Scene
    area : Area

    Returns
    -------
    shapely geometry
        Its outline without the obstacles that are higher than its `low_m`. [m]

    Raises
    ------
    ValueError
        If the outline is no simple polygon, or obstacles leave nothing of it; names the area.
    """
    outline = shapely.Polygon(area.outline)
    if not outline.is_valid or outline.area < LEAST_M2:
        raise ValueError(f"area {area.id}: its outline is no simple polygon")
    bodies = [
        shapely.Polygon(body.outline)
        for body in scene.obstacles
        if body.level == area.level and body.height_m > area.low_m
    ]
    left = shapely.difference(outline, shapely.union_all(bodies)) if bodies else outline
    if left.area < LEAST_M2:
        raise ValueError(f"area {area.id}: obstacles stand on all of it")
    return left


def cut(scene: Scene, cells: int) -> tuple[Cell, ...]:
    """All areas of a plan cut into cells, about so many in all.

    Each area is cut by a square grid along the sides of its smallest enclosing rectangle, and by
    the walls that cross it, so that no cell lies on both sides of a wall that divides it. Cells of
    one area do not overlap and leave out less than `LEAST_M2` for each cell.

    Parameters
    ----------
    scene : Scene
    cells : int
        About how many cells in all, >= 1; areas share them by their ground, but each gets at
        least about nine.

    Returns
    -------
    tuple of Cell
        In the order of areas, then from left to right and bottom to top.

    Raises
    ------
    ValueError
        As `ground`; or if `cells` is below 1.
    """
    if cells < 1:
        raise ValueError(f"cells must be 1 or more, got {cells!r}")
    grounds = [ground(scene, area) for area in scene.areas]
    total = sum(one.area for one in grounds)
    found: list[Cell] = []
    for area, one in zip(scene.areas, grounds, strict=True):
        walls = [shapely.LineString(w.ends) for w in scene.walls if w.level == area.level]
        side = math.sqrt(min(total / cells, one.area / _LEAST_CELLS))
        found.extend(Cell(area.id, p, p.area) for p in _pieces(one, side, walls))
    return tuple(found)


def split(cell: Cell) -> tuple[Cell, ...]:
    """A cell cut in four along the middles of its smallest enclosing rectangle.

    Returns
    -------
    tuple of Cell
        At least two. If the cell is too small to be cut, itself alone.
    """
    side = math.sqrt(cell.area_m2) / 2
    if side**2 < LEAST_M2:
        return (cell,)
    frame, angle, centre = _frame(cell.polygon)
    left, low, right, high = frame.bounds
    middle = ((left + right) / 2, (low + high) / 2)
    long = max(right - left, high - low)
    # A strip is cut across only: quarters of it would be thinner still.
    columns = [left, middle[0], right] if right - left > long / 2 else [left, right]
    rows = [low, middle[1], high] if high - low > long / 2 else [low, high]
    parts = boxed(frame, columns, rows)
    turned = (affinity.rotate(part, angle, origin=centre) for part in parts)
    pieces = [Cell(cell.area_id, part, part.area) for part in turned]
    return tuple(pieces) or (cell,)


def _pieces(one: Any, side: float, walls: list[Any]) -> list[Any]:
    """Cells of one ground: boxed along its frame, then cut by walls where they divide a box."""
    frame, angle, centre = _frame(one)
    left, low, right, high = frame.bounds
    columns = np.linspace(left, right, max(1, round((right - left) / side)) + 1)
    rows = np.linspace(low, high, max(1, round((high - low) / side)) + 1)
    turned = [affinity.rotate(p, angle, origin=centre) for p in boxed(frame, columns, rows)]
    return _walled(turned, walls)


def _frame(shape: Any) -> tuple[Any, float, Any]:
    """A shape turned so that its smallest enclosing rectangle is upright, with how to turn it back.

    A right-angled shape that is upright already stays as it is, to the last bit.
    """
    ring = list(shapely.minimum_rotated_rectangle(shape).exterior.coords)
    (ax, ay), (bx, by) = ring[0], ring[1]
    angle = math.degrees(math.atan2(by - ay, bx - ax)) % 90
    if min(angle, 90 - angle) < 1e-7:
        return shape, 0.0, (0.0, 0.0)
    centre = (ax, ay)
    return affinity.rotate(shape, -angle, origin=centre), angle, centre


def boxed(shape: Any, columns: Iterable[float], rows: Iterable[float]) -> list[Any]:
    """Parts of a shape in the boxes of a grid, those worth telling. [m]"""
    across, up = list(columns), list(rows)
    x0, y0 = np.meshgrid(across[:-1], up[:-1], indexing="ij")
    x1, y1 = np.meshgrid(across[1:], up[1:], indexing="ij")
    boxes = shapely.box(x0.ravel(), y0.ravel(), x1.ravel(), y1.ravel())
    shapely.prepare(shape)
    whole = shapely.covers(shape, boxes)
    parts: list[Any] = []
    for box, inside in zip(boxes, whole, strict=True):
        parts.extend([box] if inside else _polygons(shapely.intersection(shape, box)))
    return parts


def _walled(parts: list[Any], walls: list[Any]) -> list[Any]:
    """Parts cut along walls that pass through them."""
    if not walls or not parts:
        return parts
    tree = shapely.STRtree(walls)
    which, by = tree.query(parts, predicate="crosses")
    # A wall from edge to edge lies within its part, which is no crossing.
    inside, also = tree.query(parts, predicate="contains")
    through: dict[int, list[Any]] = {}
    for part, wall in zip([*which, *inside], [*by, *also], strict=True):
        through.setdefault(int(part), []).append(walls[int(wall)])
    cells: list[Any] = []
    for index, part in enumerate(parts):
        cells.extend(divided(part, through[index]) if index in through else [part])
    return cells


def divided(part: Any, lines: list[Any]) -> list[Any]:
    """The pieces into which lines divide a polygon, those worth telling. [m]"""
    drawn = shapely.union_all([part.boundary, *lines])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(drawn)))
    inside = [face for face in faces if part.contains(face.representative_point())]
    return [face for face in inside if face.area >= LEAST_M2]


def _polygons(shape: Any) -> list[Any]:
    """The polygons of a shape that have an area worth telling."""
    return [
        part
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon" and part.area >= LEAST_M2
    ]
