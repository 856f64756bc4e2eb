"""Names of zones and keep-out areas: inside where there is room, else beside with a line there."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
import shapely.ops

from optimizer.reporting.plan_frame import Frame
from optimizer.reporting.plan_labels import about, extent, shared
from optimizer.reporting.plan_sheet import Box
from optimizer.reporting.plan_style import LEADER

_NAME_PT = 6.5
_BESIDE_MM = 0.6
"""Space between an area and its name beside it. [mm]"""

_INTO_MM = 1.0
"""How far a line goes into its area, where that is wide enough. [mm]"""


def name_areas(frame: Frame) -> None:
    """Write the names of all areas of a level, with what is asked of them."""
    for area in (a for a in frame.scene.areas if a.level == frame.level):
        words = frame.picture.zones.get(area.id, "")
        _named(frame, area.outline, [area.id + (f"\n{words}" if words else "")])
    for kept in (k for k in frame.scene.keep_outs if k.level == frame.level):
        most = "masked" if kept.mask else f"at most {kept.px_m:g} px/m"
        ways = [f"keep-out {kept.id}\n{most}", f"keep-out\n{kept.id}\n{most}"]
        _named(frame, kept.outline, ways)


def _named(frame: Frame, outline: Sequence[tuple[float, float]], ways: Sequence[str]) -> None:
    """The name of an area, in the first way of writing it that fits; beside it in the first way."""
    corners = [frame.paper(corner) for corner in outline]
    shape = shapely.Polygon(corners)
    west, south, east, north = shape.bounds
    for text in ways:
        wide, high = extent(text, _NAME_PT)
        if east - west > wide and north - south > high:
            middle = shape.representative_point()
            spot = middle.x, middle.y
            place = frame.places.inside(corners, spot, text, _NAME_PT, _shy(frame))
            frame.written(place, text, _NAME_PT)
            return
    spot, away = ((west + east) / 2, (south + north) / 2), (north - south) / 2 + _BESIDE_MM
    towards = _clearer(frame, spot, away, ways[0])
    box = frame.text(frame.plan(*spot), ways[0], _NAME_PT, towards, away)
    _led(frame, box, shape)


def _clearer(frame: Frame, spot: tuple[float, float], away: float, text: str) -> float:
    """The direction, up or down, in which a name covers less of what it had rather not."""
    wide, high = extent(text, _NAME_PT)

    def covered(towards: float) -> float:
        sign = 1 if towards < 180 else -1
        name = about((spot[0], spot[1] + sign * (away + high / 2)), wide, high)
        return sum(shared(name, body) for body in _shy(frame))

    return min((90.0, 270.0), key=covered)


def _shy(frame: Frame) -> list[Box]:
    """What names had rather not cover."""
    shy = [frame.on_paper(body.outline) for body in frame.bodies()]
    for _, level, shape in frame.picture.missing:
        for part in getattr(shape, "geoms", [shape]):
            if level == frame.level and part.geom_type == "Polygon" and not part.is_empty:
                shy.append(frame.on_paper(list(part.exterior.coords)))
    return shy


def _led(frame: Frame, box: Box, shape: shapely.Polygon) -> None:
    """A line from a name to its area, unless the name lies on it."""
    name = _rectangle(box)
    if name.intersects(shape):
        return
    middle = shapely.Point(box.x + box.width / 2, box.y + box.height / 2)
    inner = shape.buffer(-_INTO_MM)
    # A dot under another label would be seen by nobody.
    free = inner.difference(shapely.union_all([_rectangle(one) for one in frame.places.taken]))
    inner = next((one for one in (free, inner) if not one.is_empty), shape.representative_point())
    tip = shapely.ops.nearest_points(inner, middle)[0]
    start = shapely.ops.nearest_points(name, tip)[0]
    ends = [frame.plan(start.x, start.y), frame.plan(tip.x, tip.y)]
    frame.axes.plot(*zip(*ends, strict=True), zorder=9.1, markevery=[1], **LEADER)


def _rectangle(box: Box) -> shapely.Polygon:
    return shapely.box(box.x, box.y, box.x + box.width, box.y + box.height)


__all__ = ["name_areas"]
