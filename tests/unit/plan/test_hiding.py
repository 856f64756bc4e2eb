"""Which walls hide a zone."""

import pytest

from optimizer.plan.hiding import hidden_by
from optimizer.plan.scene import Area, Mount, Obstacle, Scene, Wall

PLAN = ((0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0))
STORE = Area("store", ((15.0, 2.0), (18.0, 2.0), (18.0, 8.0), (15.0, 8.0)), 50.0)


def test_a_wall_across_the_plan_hides_the_store():
    walls = (
        Wall("partition", ((10.0, 0.0), (10.0, 10.0))),
        Wall("stub", ((5.0, 0.0), (5.0, 1.0))),
        Wall("behind", ((19.0, 0.0), (19.0, 10.0))),
    )
    mounts = (Mount("a", (1.0, 1.0), 3.0), Mount("b", (2.0, 9.0), 3.0))
    hidden = hidden_by(Scene(PLAN, walls, mounts=mounts, areas=(STORE,)), STORE)
    assert hidden.walls == (("a", ("partition",)), ("b", ("partition",)))
    assert hidden.share == pytest.approx(1)
    assert 15 < hidden.spot[0] < 18


def test_two_walls_that_hide_it_only_together():
    # From (5, 5) the store's corners appear at slopes -3/10 and 3/10: at x = 10 from y 3.5 to 6.5.
    walls = (Wall("lower", ((10.0, 3.0), (10.0, 5.0))), Wall("upper", ((10.0, 5.0), (10.0, 7.0))))
    scene = Scene(PLAN, walls, mounts=(Mount("m", (5.0, 5.0), 3.0),), areas=(STORE,))
    assert hidden_by(scene, STORE).walls == (("m", ("lower", "upper")),)


def test_of_two_walls_that_each_hide_it_one_is_named():
    walls = (Wall("far", ((12.0, 0.0), (12.0, 10.0))), Wall("near", ((8.0, 0.0), (8.0, 10.0))))
    scene = Scene(PLAN, walls, mounts=(Mount("m", (5.0, 5.0), 3.0),), areas=(STORE,))
    ((mount, names),) = hidden_by(scene, STORE).walls
    assert (mount, len(names)) == ("m", 1)


def test_what_a_second_mount_sees_is_not_hidden():
    walls = (Wall("partition", ((10.0, 0.0), (10.0, 10.0))),)
    mounts = (Mount("west", (1.0, 1.0), 3.0), Mount("east", (12.0, 5.0), 3.0))
    assert hidden_by(Scene(PLAN, walls, mounts=mounts, areas=(STORE,)), STORE) is None


def test_a_low_wall_is_looked_over_and_a_body_hides_as_well():
    # From 3 m over a wall of 1 m at x = 10: dark up to 10 x 3 / 2 = 15 m, where the store begins.
    low = (Wall("low", ((10.0, 0.0), (10.0, 10.0)), 1.0),)
    mount = (Mount("m", (0.0, 5.0), 3.0),)
    assert hidden_by(Scene(PLAN, low, mounts=mount, areas=(STORE,)), STORE) is None
    block = Obstacle("block", ((9.0, 0.0), (10.0, 0.0), (10.0, 10.0), (9.0, 10.0)), 2.5)
    hidden = hidden_by(Scene(PLAN, (), (block,), mount, (STORE,)), STORE)
    assert hidden.walls == (("m", ("block",)),)


def test_outside_the_open_arc_no_wall_is_to_blame():
    mount = Mount("m", (10.0, 5.0), 3.0, facing_deg=180.0, swing_deg=180.0)
    hidden = hidden_by(Scene(PLAN, mounts=(mount,), areas=(STORE,)), STORE)
    assert hidden.walls == (("m", ()),)


def test_a_part_that_is_hidden():
    # From (10, 5) past a screen at x = 14 from y 5 to 8: the store is dark above y = 5 up to
    # slope 3/4, that is all of its upper half: 9 of 18 m^2.
    screen = (Wall("screen", ((14.0, 5.0), (14.0, 8.0))),)
    scene = Scene(PLAN, screen, mounts=(Mount("m", (10.0, 5.0), 3.0),), areas=(STORE,))
    hidden = hidden_by(scene, STORE)
    assert hidden.share == pytest.approx(0.5)
    assert hidden.walls == (("m", ("screen",)),)
