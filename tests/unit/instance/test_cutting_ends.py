"""When cells that lack views are cut no smaller."""

from __future__ import annotations

import time
from typing import Any

import pytest

from optimizer.explaining.asking import Have
from optimizer.explaining.seeking import Known, Question, Seeker
from optimizer.instance import Memory, build_instance
from optimizer.plan.prepared import Prepared
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from tests.optimality.rooms import book, box, mount, site, square, zone

CELLS = 4


BED = {"id": "bed", "area": box(0.5, 0.5, 5.5, 5.5), "detail": "20 px/m", "mask": True}


def asking(detail: str, **more: Any) -> Site:
    """A room seen from one corner; with `keep_outs`, all of it is masked and no cell is seen."""
    return site(square(6), [zone(box(1, 1, 5, 5), detail)], [mount("near", 0, 0)], **more)


@pytest.fixture
def rounds(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Cells before each round of cutting."""
    found: list[int] = []
    finer = Memory.finer

    def counted(memory: Memory, prepared: Prepared) -> Prepared:
        found.append(len(prepared.cells))
        return finer(memory, prepared)

    monkeypatch.setattr(Memory, "finer", counted)
    return found


def test_what_was_cut_for_one_site_is_cut_no_smaller_for_another(rounds: list[int]) -> None:
    """From 4 cells on three rounds at most; another site begins where the first one ended."""
    prices, memory = book(), Memory(CELLS)
    first = build_instance(asking("60 px/m", keep_outs=[BED]), prices, memory=memory).viewing
    assert first is not None
    assert 1 <= len(rounds) <= 3
    assert len(first.prepared.cells) > 24 * CELLS
    assert not first.stopped
    memory.cut_as(first.prepared)
    before = len(rounds)
    again = build_instance(asking("70 px/m", keep_outs=[BED]), prices, memory=memory).viewing
    assert again is not None
    assert len(rounds) == before
    assert again.prepared.cells == first.prepared.cells


def test_without_time_nothing_is_cut_and_that_is_known(rounds: list[int]) -> None:
    prices = book()
    found = build_instance(
        asking("60 px/m", keep_outs=[BED]), prices, memory=Memory(CELLS), until=0.0
    ).viewing
    assert found is not None
    assert (rounds, found.stopped) == ([], True)
    assert "time ran out before more lenses or smaller cells were tried" in found.over


def test_a_question_that_was_cut_short_proves_no_price() -> None:
    """With no time to cut cells it is open whether a kit costs less: nothing is proven of it."""
    prices, asked = book(), asking("50 px/m")
    answer = solve_site(asked, prices, seconds=60)
    have = Have(asked, answer.design())
    question = Question(
        asking("60 px/m", keep_outs=[BED]),
        Known(),
        have.total + 100_000,
        have,
        seconds=0.0,
        proven=True,
    )
    begun = time.monotonic()
    (sought,) = question.answered(Seeker(prices))
    assert time.monotonic() - begun < 60
    assert sought.known == Known()
