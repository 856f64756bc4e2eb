"""Several sites in one stretch of time: alike ones once, rounds of time, processes and not."""

from __future__ import annotations

import os
import time
from typing import Any

import pytest

from optimizer.errors import Defect
from optimizer.scenarios import answering
from optimizer.scenarios.answering import answers_to
from optimizer.scenarios.because import because
from optimizer.scenarios.crew import (
    CUT_SHORT,
    Lost,
    Task,
    as_they_come,
    beside,
    crew,
    in_turn,
)
from optimizer.solving.answer import Answer
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import book, site, zone
from tests.unit.scenarios.deadly import Deadly

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
    with crew() as doer, pytest.raises(Defect, match="has ended"):
        beside(doer, [Deadly(*PLAIN, 30.0)], lambda _: None)


def test_workers_that_ended_while_idle_cost_a_task_nothing() -> None:
    """All are gone before the first task: it needs no second try, and has none here."""
    with crew() as doer:
        for pid in _children():
            os.kill(pid, 9)
        for pid in _children():
            os.waitid(os.P_PID, pid, os.WEXITED | os.WNOWAIT)
        found = [doer(Task(*PLAIN, 30.0)).total for _ in range(3)]
    assert found == ["424.00"] * 3


def test_a_task_whose_worker_is_lost_is_done_by_another() -> None:
    tasks = [Task(*PLAIN, 30.0), Task(*TWO, 30.0), Task(*PLAIN, 30.0)]
    with crew() as doer:
        for pid in _children():
            os.kill(pid, 9)
        found = dict(as_they_come(doer, tasks, 2))
        assert len(_children()) == 2
    totals = {place: one.total for place, one in found.items() if isinstance(one, Answer)}
    assert totals == {0: "424.00", 1: "528.00", 2: "424.00"}


def test_a_task_that_ends_every_worker_is_given_up_and_the_others_are_not() -> None:
    tasks = [Deadly(*PLAIN, 30.0), Task(*TWO, 30.0)]
    with crew() as doer:
        found = dict(as_they_come(doer, tasks, 2))
    assert isinstance(found[0], Lost)
    assert isinstance(found[1], Answer)


def test_a_conflict_has_no_more_time_than_any_site_of_the_comparison(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given: list[float] = []

    def done(task: Task) -> Answer:
        if task.unmet is not None:
            given.append(task.seconds)
            return task.unmet
        wide = len(task.asked.site.zones) == 1
        return answer("unmeetable") if wide else answer("optimal", "1.00", 0.0)

    monkeypatch.setattr(Task, "done", done)
    more = [(unread(site(zone("a"), zone(f"b{n}", run=f"{20 + n} m"))), PLAIN[1]) for n in range(2)]
    answers_to([PLAIN, *more], time.monotonic() + 30, lambda _: None)
    # All of the thirty seconds are left, and a third of them is what each site had a right to.
    assert given == [pytest.approx(10, abs=0.5)]


def test_a_conflict_that_is_cut_short_is_told_so(monkeypatch: pytest.MonkeyPatch) -> None:
    unmet = (unread(site(zone(width="13 m"))), PLAIN[1])
    whole = Task(*unmet, 30.0, why=True).done()
    assert whole.status == "unmeetable"
    assert whole.conflict[0].smallest
    assert CUT_SHORT not in because(whole)
    monkeypatch.setattr("optimizer.explaining.proving.prove", lambda *_, **__: unproven)
    unproven = whole.model_copy(update={"conflict": ()})
    told = Task(*unmet, 30.0, why=True).done()
    assert told.status == "unmeetable"
    # What the tables say stands in its place.
    assert because(told).startswith("zones.a/width: 1 camera item is out")
    assert because(told).endswith(f"; {CUT_SHORT}")
    bare = told.model_copy(update={"reasons": ()})
    assert because(bare) == f"no kit meets all of it, proven; {CUT_SHORT}"
    member = whole.conflict[0].members[0].model_copy(update={"needed": False})
    loose = whole.conflict[0].model_copy(update={"members": (member,)})
    unproven = whole.model_copy(update={"conflict": (loose,)})
    assert because(Task(*unmet, 30.0, why=True).done()).endswith(f"; {CUT_SHORT}")


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
