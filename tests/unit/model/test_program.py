"""The program itself: terms add up, broken rows are named, numbers too large are refused."""

from __future__ import annotations

import pytest

from optimizer.errors import Defect
from optimizer.model.program import FREE, Program


def two_variables(upper: int = 10) -> Program:
    program = Program()
    program.var("x", upper, cost=3)
    program.var("y", upper, lower=1, cost=-2)
    return program


def test_terms_of_one_variable_add_up_and_zeros_vanish() -> None:
    program = two_variables()
    program.row("sum/one", ["fact/one"], [(0, 2), (1, 5), (0, 3), (1, -5)], lo=1)
    row = program.rows[0]
    assert (row.cols, row.coefs, row.lo, row.hi) == ((0,), (5,), 1, FREE)
    assert row.tags == ("fact/one",)


def test_variables_that_come_once_are_a_row_like_any_other() -> None:
    program = two_variables()
    program.row("sum/terms", [], [(0, 1), (1, -3)], lo=0)
    program.row("sum/terms", [], [(1, -3)], lo=0, ones=[0])
    assert program.rows[0] == program.rows[1]


def test_value_and_broken_rows_and_bounds() -> None:
    program = two_variables()
    program.row("most", [], [(0, 1), (1, 1)], hi=4)
    program.equal("same", [], [(0, 1), (1, -1)])
    assert program.value([2, 2]) == 2 * 3 - 2 * 2
    assert program.broken([2, 2]) == []
    assert program.broken([3, 3]) == ["most"]
    assert program.broken([1, 2]) == ["same"]
    assert program.broken([0, 0]) == ["y"]
    assert program.broken([11, 11]) == ["x", "y", "most"]


def test_a_variable_without_a_value_is_a_defect() -> None:
    with pytest.raises(Defect, match="empty has no value: 3 to 2"):
        Program().var("empty", 2, lower=3)


@pytest.mark.parametrize(
    ("first", "second", "refused"),
    [
        # CP-SAT goes wrong from 2^31 in a row's coefficients, added up without their signs.
        (2**31 - 2, 1, False),
        (2**31 - 1, 1, True),
        (-(2**30), 2**30, True),
        (-(2**30), 2**30 - 1, False),
    ],
)
def test_coefficients_that_are_too_large_are_refused(
    first: int, second: int, refused: bool
) -> None:
    program = two_variables(upper=1)
    program.row("sum/large", [], [(0, first), (1, second)], lo=0)
    if refused:
        with pytest.raises(Defect, match="row sum/large has coefficients that are too large"):
            program.check()
    else:
        program.check()


@pytest.mark.parametrize(("upper", "refused"), [(2**20 - 1, False), (2**20, True)])
def test_sums_that_are_too_large_are_refused(upper: int, refused: bool) -> None:
    # 2^30 x 2^20 = 2^50.
    program = Program()
    program.var("x", upper)
    program.row("sum/far", [], [(0, 2**30)], lo=0)
    if refused:
        with pytest.raises(Defect, match="row sum/far can reach values that are too large"):
            program.check()
    else:
        program.check()


def test_a_lower_bound_far_below_zero_counts_too() -> None:
    program = Program()
    program.var("x", 1, lower=-(2**21))
    program.row("sum/low", [], [(0, 2**30)], lo=-(2**52))
    with pytest.raises(Defect, match="row sum/low can reach"):
        program.check()
