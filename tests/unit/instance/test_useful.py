"""Aims that are of no use: duties harder than the cells ask, cameras that are outdone."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from optimizer.instance.tables import Aim
from optimizer.instance.useful import Offered, needed_duties, unbeaten

# Cells 0 and 1 are of the hall, cell 2 of the gate. Duty 0 is the hall's, duty 1 the harder one of
# both together.
ZONES = ["hall", "hall", "gate"]


def aim(lens: str, duty: int, *cells: int) -> Aim:
    return Aim(0, lens, duty, cast(Any, None), np.array(cells, dtype=np.int32))


def least(zones: frozenset[str]) -> int:
    return 1 if "gate" in zones else 0


def camera(price: int) -> Offered:
    return cast(Offered, (SimpleNamespace(price=price), ()))


def cheaper(one: Offered, two: Offered) -> bool:
    return bool(cast(Any, one[0]).price < cast(Any, two[0]).price)


def test_a_view_of_the_hall_alone_does_not_do_the_duty_of_the_gate() -> None:
    easy, hard, both = aim("a", 0, 0, 1), aim("a", 1, 0, 1), aim("a", 1, 0, 2)
    assert needed_duties([easy, hard, both], ZONES, least) == [easy, both]


def test_a_dearer_camera_goes_where_a_cheaper_one_sees_as_much() -> None:
    """Of the dear lens, (0) is within what the cheap one sees, (0, 2) is not."""
    cheap, within, beyond = aim("cheap", 0, 0, 1), aim("dear", 0, 0), aim("dear", 0, 0, 2)
    offers = {("cheap", 0): [camera(40)], ("dear", 0): [camera(55)]}
    assert unbeaten([cheap, within, beyond], offers, cheaper) == [cheap, beyond]


def test_a_lens_stays_while_one_of_its_cameras_is_not_beaten() -> None:
    """With the dear lens there is also a camera for 30: nothing replaces that one."""
    cheap, within = aim("cheap", 0, 0, 1), aim("dear", 0, 0)
    offers = {("cheap", 0): [camera(40)], ("dear", 0): [camera(55), camera(30)]}
    assert unbeaten([cheap, within], offers, cheaper) == [cheap, within]


def test_two_that_cost_the_same_both_stay() -> None:
    one, two = aim("a", 0, 0, 1), aim("b", 0, 0, 1)
    offers = {("a", 0): [camera(40)], ("b", 0): [camera(40)]}
    assert unbeaten([one, two], offers, cheaper) == [one, two]
