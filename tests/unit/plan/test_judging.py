"""What chosen cameras lack, on a square room whose figures are plain."""

import pytest
import shapely

from optimizer.plan.judging import Judge
from optimizer.plan.prepared import Cell
from optimizer.plan.refining import cut_along
from optimizer.plan.scene import Area, KeepOut, Lens, Mount, Scene
from optimizer.plan.shares import Aimed

# A sensor twice as wide and high as the focal length: 90 degrees. W f / w = 960 px/m at 1 m.
WIDE = Lens("wide", 1920, 4.8, 4.8, 2.4, 2.4)
SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
CORNERS = (
    Mount("low", (0.0, 0.0), 2.0, facing_deg=45.0, swing_deg=90.0),
    Mount("high", (10.0, 10.0), 2.0, facing_deg=225.0, swing_deg=90.0),
)


def judge(share: float, **more) -> Judge:
    """Targets as high as the lenses: everything is plane geometry. 60 px/m end beyond the room."""
    area = Area("a", SQUARE, 60.0, share=share, low_m=2.0, high_m=2.0)
    return Judge(Scene(SQUARE, mounts=CORNERS, areas=(area,), **more))


def camera(mount: str, pan: float, serves: tuple[str, ...] = ("a",)) -> Aimed:
    return Aimed(mount, WIDE, 2.4, pan, 0.0, serves)


def test_what_is_lacking():
    # From (0, 0), panned along x, a right angle wide: what is below the diagonal, half the room.
    half = camera("low", 0.0)
    assert judge(1.0).lacking([half]) == pytest.approx(0.5)
    assert judge(0.6).lacking([half]) == pytest.approx(0.1)
    assert judge(0.5).lacking([half]) == 0
    # The same from the other corner, panned along -x: what is above it; together all.
    assert judge(1.0).lacking([half, camera("high", 180.0)]) == 0
    # Panned along -y it is the same half again.
    both = judge(1.0)
    assert both.lacking([half, camera("high", 270.0)]) == pytest.approx(0.5)
    rest = both.unseen([half, camera("high", 270.0)], both.scene.areas[0])
    above = shapely.Polygon([(0, 0), (10, 10), (0, 10)])
    assert shapely.symmetric_difference(rest, above).area < 1e-9
    # Who does not serve the zone does not count.
    assert both.lacking([half, camera("high", 180.0, ())]) == pytest.approx(0.5)


def test_ways_to_aim_that_are_allowed():
    free = judge(1.0)
    assert free.allowed(camera("low", 90.0))
    assert free.allowed(camera("low", 0.0))
    assert not free.allowed(camera("low", 359.0))
    # A keep-out in the far half, at the height of the lenses: seen with the axis on the diagonal,
    # out of the picture (45 deg to each side) with the axis along x.
    spot = ((2.0, 7.0), (3.0, 7.0), (3.0, 8.0), (2.0, 8.0))
    for mask, pan, good in ((False, 45.0, False), (False, 0.0, True), (True, 45.0, True)):
        out = KeepOut("k", spot, 0.0, mask, 1.9, 2.1)
        assert judge(1.0, keep_outs=(out,)).allowed(camera("low", pan)) is good


def test_cells_are_cut_along_what_is_seen():
    # Four cells of 1 m; of the first and the third what is left of x = 0.3 and 2.5 is seen.
    cells = tuple(Cell("a", shapely.box(x, 0, x + 1, 1), 1.0) for x in range(4))
    left = shapely.box(-1, -1, 0.3, 2)
    middle = shapely.box(1, -1, 2.5, 2)
    seen = shapely.union(left, middle)
    sees = {"a": (seen, [left, middle])}
    found = cut_along(cells, [0, 1, 2], sees, 10)
    assert sorted(round(c.area_m2, 9) for c in found) == [0.3, 0.5, 0.5, 0.7, 1.0, 1.0]
    # The second is seen whole, the fourth does not count as seen: both stay.
    assert cells[1] in found
    assert cells[3] in found
    # Where only one may be cut it is the one of which most is not seen.
    once = cut_along(cells, [0, 1, 2], sees, 1)
    assert sorted(round(c.area_m2, 9) for c in once) == [0.3, 0.7, 1.0, 1.0, 1.0]
    # Nothing of the fourth is seen and no edge runs through it: it is cut in four.
    assert len(cut_along(cells[3:], [0], sees, 1)) == 4
