"""Worker processes: the same answers as at home, faults raised at home, nothing left behind."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from optimizer.errors import Defect
from optimizer.explaining.crew import Crew
from optimizer.explaining.seeking import Known, Question, Seeker
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import PLAIN, book, site, zone

QUESTION = Question(site(), Known(), None, None, 60.0)


@pytest.fixture(scope="module")
def crew() -> Iterator[Crew]:
    made = Crew(loaded(book()), 1)
    yield made
    made.close()


def test_a_worker_answers_as_the_seeker_does(crew: Crew) -> None:
    two = site(zones=[zone(id="gate"), zone(id="yard", distance="6 m", width="5 m")])
    for asked in (QUESTION, replace(QUESTION, below=PLAIN), replace(QUESTION, site=two)):
        assert crew.ask(asked) == [Seeker(loaded(book())).seek(asked)]


def test_what_goes_wrong_there_is_raised_here(crew: Crew) -> None:
    # It claims a kit at 1.00, and that no kit at all exists is what the search then finds.
    wrong = Known(high=100, bought={})
    with pytest.raises(Defect, match="called unmeetable"):
        crew.ask(Question(site(policy={"forbid": ["cam"]}), wrong, None, None, 60.0))
    assert crew.ask(QUESTION)[0].have is not None


def test_a_worker_that_has_ended_is_a_defect() -> None:
    made = Crew(loaded(book()), 1)
    made.workers[0].kill()
    made.workers[0].wait()
    with pytest.raises(Defect, match="has ended"):
        made.ask(QUESTION)
    made.close()


def test_closing_leaves_no_process() -> None:
    made = Crew(loaded(book()), 2)
    made.close()
    assert all(worker.poll() is not None for worker in made.workers)
