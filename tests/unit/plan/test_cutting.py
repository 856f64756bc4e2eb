"""Zones cut into cells: nothing lost, nothing twice, walls between cells."""

import math

import pytest
import shapely

from optimizer.plan import cutting
from optimizer.plan.scene import Area, Obstacle, Scene, Wall
from tests.optimality.random_scenes import drawn

SQUARE = ((0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0))


def room(**more):
    return Scene(SQUARE, areas=(Area("a", SQUARE, 50.0),), **more)


def test_a_square_is_cut_in_squares():
    cells = cutting.cut(room(), 36)
    assert [cell.polygon.bounds for cell in cells[:2]] == [(0, 0, 1, 1), (0, 1, 1, 2)]
    assert [cell.area_m2 for cell in cells] == [1.0] * 36


def test_small_areas_get_nine_cells_too():
    tiny = Area("t", ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)), 50.0)
    scene = Scene(SQUARE, areas=(Area("a", SQUARE, 50.0), tiny))
    cells = cutting.cut(scene, 36)
    assert sum(cell.area_id == "t" for cell in cells) == 9


def test_a_slanted_rectangle_is_cut_along_its_own_sides():
    turn = math.radians(30)

    def turned(x, y):
        return x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)

    corners = tuple(turned(x, y) for x, y in ((0, 0), (8, 0), (8, 2), (0, 2)))
    cells = cutting.cut(Scene((), areas=(Area("a", corners, 50.0),)), 16)
    assert len(cells) == 16  # 8 m x 2 m in squares of 1 m
    assert all(len(cell.polygon.exterior.coords) == 5 for cell in cells)


def test_no_cell_lies_on_both_sides_of_a_wall_that_parts_it():
    wall = ((0.0, 2.5), (6.0, 3.25))
    cells = cutting.cut(room(walls=(Wall("w", wall),)), 36)
    line = shapely.LineString(wall)
    assert all(
        cell.polygon.intersection(line).length < 1e-9
        or cell.polygon.boundary.intersection(line).length > 1e-9
        for cell in cells
    )
    assert not any(cell.polygon.buffer(-1e-6).crosses(line) for cell in cells)
    assert sum(cell.area_m2 for cell in cells) == pytest.approx(36)
    # The wall climbs 0.75 m over six columns: it leaves row 2.5 at x = 4 and parts 6 cells, and
    # ends on a grid line between the last two. Four columns below y = 3, two above: 36 + 6.
    assert len(cells) == 42


def test_ground_under_obstacles_is_left_out_if_they_are_higher_than_the_target():
    block = ((1.5, 1.5), (3.5, 1.5), (3.5, 3.5), (1.5, 3.5))
    for height, left in ((1.0, 32.0), (0.4, 32.0), (0.0, 36.0)):
        scene = room(obstacles=(Obstacle("o", block, height),))
        cells = cutting.cut(scene, 36)
        assert sum(cell.area_m2 for cell in cells) == pytest.approx(left)


def test_an_area_under_an_obstacle_is_refused():
    scene = room(obstacles=(Obstacle("o", SQUARE, 2.0),))
    with pytest.raises(ValueError, match="area a: obstacles stand on all of it"):
        cutting.cut(scene, 36)


def test_a_self_crossing_outline_is_refused():
    bow = ((0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0))
    with pytest.raises(ValueError, match="area b: its outline is no simple polygon"):
        cutting.cut(Scene(SQUARE, areas=(Area("b", bow, 50.0),)), 36)


def test_a_number_of_cells_below_one_is_refused():
    with pytest.raises(ValueError, match="cells must be 1 or more, got 0"):
        cutting.cut(room(), 0)


@pytest.mark.parametrize("seed", range(25))
def test_cells_are_the_ground_no_more_and_no_less(seed):
    scene = drawn(seed, walls=6, bodies=3)
    cells = cutting.cut(scene, 60)
    whole = cutting.ground(scene, scene.areas[0])
    polygons = [cell.polygon for cell in cells]
    assert sum(cell.area_m2 for cell in cells) == pytest.approx(whole.area, abs=1e-4)
    assert shapely.union_all(polygons).symmetric_difference(whole).area < 1e-4
    quarters = [part for cell in cells for part in cutting.split(cell)]
    assert len(quarters) >= 2 * len(cells)
    assert sum(part.area_m2 for part in quarters) == pytest.approx(whole.area, abs=1e-3)
    assert all(part.area_m2 < 0.9 * max(c.area_m2 for c in cells) for part in quarters)
