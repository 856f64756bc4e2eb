"""Names of areas on a plan: inside, or beside with a line that leads there.

On A4 the plan of 12 by 8 m is drawn 1:75, so that 75 mm are 1 mm on paper. A name of 6.5 pt takes
6.5 x 0.21 = 1.365 mm for a letter and 1 mm more, and 6.5 x 0.42 = 2.73 mm for a line and 0.6 mm.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
import shapely
from matplotlib.figure import Figure

from optimizer.plan.scene import Area, KeepOut, Obstacle, Scene
from optimizer.reporting.plan_content import PlanPicture
from optimizer.reporting.plan_frame import Frame
from optimizer.reporting.plan_labels import Places
from optimizer.reporting.plan_names import name_areas
from optimizer.reporting.plan_sheet import Box, laid_out

ANYWHERE = Box(-1e6, -1e6, 2e6, 2e6)
OUTLINE = ((0.0, 0.0), (12.0, 0.0), (12.0, 8.0), (0.0, 8.0))


def rectangle(west: float, south: float, wide: float, high: float) -> tuple[Any, ...]:
    east, north = west + wide, south + high
    return ((west, south), (east, south), (east, north), (west, north))


def named(*taken: tuple[float, float], **shapes: Any) -> Frame:
    """The frame of a plan with some shapes, once its areas are named.

    Parameters
    ----------
    taken : tuple of float
        Spots of other labels of 3 mm. [m]
    """
    scene = Scene(outline=OUTLINE, **shapes)
    picture = PlanPicture(title="", note="", scene=scene, floors=(("", ""),), steps=())
    sheet = laid_out(OUTLINE, 1, "A4")
    assert sheet.scale == 75
    places = Places(ANYWHERE)
    frame = Frame(Figure(), sheet, sheet.floors[0], picture, "", places)
    for spot in taken:
        places.take(*frame.paper(spot), 1.5)
    name_areas(frame)
    return frame


def middle(frame: Frame) -> tuple[str, shapely.Point]:
    [text] = frame.axes.texts
    return text.get_text(), shapely.Point(text.get_position())


def leader(frame: Frame) -> tuple[shapely.Point, shapely.Point]:
    [line] = frame.axes.lines
    one, two = (shapely.Point(spot) for spot in line.get_xydata())
    return one, two


def test_a_name_that_fits_in_three_lines_is_inside() -> None:
    # "keep-out fitting-cubicle", 24 letters, takes 33.8 mm and two lines; 2.4 m are 32 mm.
    # "fitting-cubicle", 15 letters, takes 21.5 mm.
    room = rectangle(4, 3, 2.4, 2.4)
    frame = named(keep_outs=(KeepOut("fitting-cubicle", room, 1.0),))
    text, place = middle(frame)
    assert text == "keep-out\nfitting-cubicle\nat most 1 px/m"
    assert shapely.Polygon(room).covers(place)
    assert not frame.axes.lines
    # 3 m are 40 mm: two lines do.
    wide = named(keep_outs=(KeepOut("fitting-cubicle", rectangle(4, 3, 3, 2.4), 1.0),))
    assert middle(wide)[0] == "keep-out fitting-cubicle\nat most 1 px/m"


STRIP = rectangle(4, 4, 3, 0.3)


def test_a_line_leads_to_an_area_from_its_name_beside() -> None:
    # 0.3 m are 4 mm, and two lines take 6.06 mm.
    frame = named(keep_outs=(KeepOut("flats", STRIP, 12.5),))
    text, place = middle(frame)
    strip = shapely.Polygon(STRIP)
    assert text == "keep-out flats\nat most 12.5 px/m"
    assert not strip.covers(place)
    start, tip = leader(frame)
    # It begins at the edge of the name, half of 6.06 mm from its middle, and ends 1 mm inside.
    assert abs(start.y - place.y) == pytest.approx(6.06 / 2 * 0.075)
    assert strip.covers(tip)
    assert tip.distance(strip.exterior) == pytest.approx(0.075)
    assert tip.x == pytest.approx(place.x)


def test_a_name_beside_gives_way_to_what_is_built() -> None:
    house = Obstacle("house", rectangle(4, 4.3, 3, 2), 8.0)
    strip = (KeepOut("flats", STRIP, 12.5),)
    assert middle(named(keep_outs=strip))[1].y > 4.3
    assert middle(named(keep_outs=strip, obstacles=(house,)))[1].y < 4.0
    below = replace(house, outline=rectangle(4, 2, 3, 2))
    assert middle(named(keep_outs=strip, obstacles=(below,)))[1].y > 4.3


def test_the_end_of_a_line_lies_under_no_other_label() -> None:
    zone = rectangle(4, 2, 0.6, 4)
    free = named(areas=(Area("corridor", zone, 62.5),))
    _, tip = leader(free)
    # Another label just there: the dot goes on into the zone.
    spot = (tip.x, tip.y)
    other = named(spot, areas=(Area("corridor", zone, 62.5),))
    _, moved = leader(other)
    assert shapely.Polygon(zone).covers(moved)
    # 1.5 mm to each side.
    assert max(abs(moved.x - tip.x), abs(moved.y - tip.y)) >= 1.5 * 0.075 - 1e-9


def test_only_a_name_beside_has_a_line() -> None:
    # A square of 0.6 m, 8 mm: the name of ten letters, 14.65 mm, is wider; it is beside.
    frame = named(areas=(Area("lift-lobby", rectangle(4, 4, 0.6, 0.6), 62.5),))
    assert len(frame.axes.lines) == 1
    inside = named(areas=(Area("lift-lobby", rectangle(4, 4, 1.5, 0.6), 62.5),))
    assert not inside.axes.lines
