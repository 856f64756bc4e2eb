"""What a sum of money buys, and purchases in phases, in the problems that state them.

Each total there was confirmed by HiGHS on the whole program (of the plan's site, or of all phases)
before it was written down.
"""

from __future__ import annotations

from typing import Any

import pytest

import optimizer
from optimizer.units import money
from tests.problems.asking import AMPLE_S, FOLDER, problem

WISHES = "market-hall-wishes"
SUMMERS = "school-three-summers"


@pytest.mark.parametrize("stated", problem(WISHES).expected["within"], ids=lambda s: s["budget"])
def test_within(stated: dict[str, Any]) -> None:
    asked = problem(WISHES)
    found = optimizer.within(asked.site, stated["budget"], asked.book, AMPLE_S)
    assert (found.status, found.spent) == ("optimal", stated["spent"])
    assert {one.requirement: one.got for one in found.wishes} == stated["got"]
    assert found.next_money is not None
    assert found.next_money.budget == stated["next"]


def test_phases() -> None:
    asked = problem(SUMMERS)
    stated = asked.expected["phases"]
    plan = FOLDER / SUMMERS / "phases.yaml"
    found = optimizer.phases(asked.site, plan, asked.book, AMPLE_S)
    assert (found.status, found.net, found.lower_bound) == ("optimal", stated["net"], stated["net"])
    assert sum(money(phase.total) for phase in found.phases) == money(found.total or "0")
    assert found.phases[0].apart == stated["first by itself"]
    assert found.apart.total is not None
    # Which of equally cheap kits the first summers take decides what the third one costs then.
    assert money(found.apart.total) > money(found.total or "0") + 50_00
