"""What a tree rules out before it is opened."""

from __future__ import annotations

from optimizer.model.program import Program
from optimizer.solving.tree import Tree


def tiers(most: int) -> tuple[Program, int]:
    """Two pieces at 10 each, or at 7 each where 5 or more are bought."""
    program = Program()
    plain = program.var("buy/a.0", 2, cost=1000)
    many = program.var("buy/a.5", most, cost=700)
    reached = program.var("buy/a.5.tier", 1)
    program.row("asked", ["fact"], [(plain, 1), (many, 1)], 2)
    program.row("first", ["fact"], [(many, 1), (reached, -5)], 0)
    program.row("last", ["fact"], [(many, 1), (reached, -most)], hi=0)
    return program, reached


def test_a_price_break_too_dear_to_reach_is_out() -> None:
    # The relaxation reaches 2/8 of the break and pays 2 x 7.00. Reached whole it costs 5 x 7.00;
    # without it 2 x 10.00.
    program, reached = tiers(8)
    tree = Tree(program)
    point = tree.relaxer.solve({})
    assert round(point.value) == 1400
    assert tree.probed({}, point, 2001) == {reached: (0, 0)}


def test_a_price_break_that_may_be_reached_stays() -> None:
    # Whoever may spend 35.01 may buy five.
    program, _ = tiers(8)
    tree = Tree(program)
    assert tree.probed({}, tree.relaxer.solve({}), 3501) == {}


def test_a_price_break_that_is_reached_stays() -> None:
    # Six pieces asked: 6 x 7.00, and the break is reached whole in the relaxation.
    program, reached = tiers(8)
    program.row("more", ["fact"], [(0, 1), (1, 1)], 6)
    tree = Tree(program)
    point = tree.relaxer.solve({reached: (1, 1)})
    assert round(point.value) == 4200
    assert tree.probed({}, point, 4201) == {}
