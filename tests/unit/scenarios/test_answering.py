"""Several sites in one stretch of time: alike ones once, rounds of time, processes and not."""

from __future__ import annotations

import os
import time
from typing import Any

import pytest

from optimizer.errors import Defect
from optimizer.scenarios import answering
from optimizer.scenarios.answering import answers_to
from optimizer.scenarios.crew import Task, beside, crew, in_turn
from optimizer.solving.answer import Answer
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import book, site, zone

PLAIN = (unread(site()), loaded(book()))
TWO = (unread(site(zone("a"), zone("b"))), loaded(book()))


def answer(status: Any, total: str | None = None, gap: float | None = None) -> Answer:
    return Answer.model_validate(
        {
            "site": "by hand", "status": status, "total": total, "gap": gap, "currency": "EUR",
            "provenance": {"site_sha256": "", "book_sha256": "", "version": "", "solver": ""},
        }
    )  # fmt: skip


def test_sites_that_are_alike_are_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    solved: list[Task] = []

    def done(task: Task) -> Answer:
        solved.append(task)
        return answer("optimal", "1.00", 0.0)

    monkeypatch.setattr(Task, "done", done)
    found = answers_to([PLAIN, TWO, PLAIN], time.monotonic() + 10, lambda _: None)
    assert len(solved) == 2
    assert [one.total for one in found] == ["1.00"] * 3


def test_time_left_over_goes_to_what_is_open(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[tuple[int, float]] = []

    def done(task: Task) -> Answer:
        zones = len(task.asked.site.zones)
        given.append((zones, task.seconds))
        if zones == 1 or task.seconds > 6:
            return answer("optimal", "1.00", 0.0)
        return answer("feasible", "2.00", 0.5)

    monkeypatch.setattr(Task, "done", done)
    found = answers_to([TWO, PLAIN], time.monotonic() + 10, lambda _: None, reasons=False)
    assert [zones for zones, _ in given] == [2, 1, 2]
    # Half of the time each, then all that is left for the one that is open.
    assert given[0][1] == pytest.approx(5, abs=0.5)
    assert given[2][1] == pytest.approx(10, abs=0.5)
    assert [one.status for one in found] == ["optimal", "optimal"]


def test_a_second_try_that_says_less_is_not_taken() -> None:
    better, worse = answer("feasible", "2.00", 0.1), answer("feasible", "3.00", 0.4)
    assert answering._better(better, worse) is better
    assert answering._better(worse, better) is better
    assert answering._better(better, answer("undecided")) is better
    assert answering._better(answer("undecided"), worse) is worse
    assert answering._better(None, worse) is worse


def test_processes_give_the_same_answers_and_are_gone_afterwards() -> None:
    tasks = [Task(*PLAIN, 30.0), Task(*TWO, 30.0)]
    told: list[int] = []
    with crew() as doer:
        found = beside(doer, tasks, told.append)
        workers = _children()
        assert len(workers) == 2
    assert found == in_turn(Task.done, tasks, lambda _: None)
    # Two tests of the optimality folder derive these by hand.
    assert [one.total for one in found] == ["424.00", "528.00"]
    assert told[-1] == 2
    assert not workers & _children()


def test_a_worker_that_ends_is_a_defect_not_an_answer() -> None:
    with crew() as doer:
        for pid in _children():
            os.kill(pid, 9)
        with pytest.raises(Defect, match="has ended"):
            beside(doer, [Task(*PLAIN, 30.0)], lambda _: None)


def test_an_interrupt_ends_the_work() -> None:
    # Two dozen zones with detail of their own: far longer work than the plain kit's.
    zones = [zone(f"z{n}", detail=f"{100 + n} px/m") for n in range(24)]
    long = Task(unread(site(*zones)), loaded(book()), 120.0)

    def said(_done: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt), crew() as doer:
        beside(doer, [Task(*PLAIN, 30.0), long, long], said)
    assert not _children()


def test_a_fault_in_a_worker_is_raised_here() -> None:
    asked = unread(site(policy={"require": [{"item": "no-such-item"}]}))
    task = Task(asked, loaded(book()), 5.0)
    with pytest.raises(Defect, match="no-such-item"):
        task.done()
    with crew() as doer, pytest.raises(Defect, match="no-such-item"):
        doer(task)


def _children() -> set[int]:
    """Processes of this one that run the crew's work."""
    found = set()
    for entry in os.listdir("/proc"):
        if not entry.isdigit():
            continue
        try:
            with open(f"/proc/{entry}/stat", encoding="utf-8") as stat:
                parent = stat.read().rpartition(")")[2].split()[1]
            with open(f"/proc/{entry}/cmdline", encoding="utf-8") as command:
                words = command.read()
        except (FileNotFoundError, ProcessLookupError):
            continue  # it ended while we looked
        if int(parent) == os.getpid() and "scenarios.crew" in words:
            found.add(int(entry))
    return found
