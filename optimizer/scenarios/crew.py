"""Main questions answered beside each other, each in a process of its own.

A worker is a fresh interpreter that is spoken to over a pipe, so that a script which asks need not
be written with that in mind. What it answers hangs on the task alone.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, as_completed, wait
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue
from threading import Event

from optimizer.errors import Defect
from optimizer.pricebook import LoadedBook
from optimizer.site import LoadedSite
from optimizer.solving.answer import Answer

CORES = 2
_START = "from optimizer.scenarios.crew import work; work()"
_LEAST = 0.1
"""Least time for asking why a site cannot be met. [s]"""


class Lost(Defect):
    """A process has ended with a task unfinished; another has taken its place."""


@dataclass(frozen=True)
class Task:
    """A site to be solved; with `unmet`, the answer that it is unmeetable, to be told why.

    Attributes
    ----------
    seconds : float
        Time limit.
    why : bool
        Whether what is left of the time goes to why it cannot be met, where that is found.
    """

    asked: LoadedSite
    book: LoadedBook
    seconds: float
    unmet: Answer | None = None
    why: bool = False

    def done(self) -> Answer:
        """The answer, worked out in this process.

        Raises
        ------
        Defect
            If the program contradicts itself.
        """
        if self.unmet is not None:
            return self._told(self.unmet, self.seconds)
        from optimizer.solving import solve_site

        begun = time.monotonic()
        site, digest = self.asked.site, self.asked.source.sha256
        found = solve_site(site, self.book, seconds=self.seconds, site_sha256=digest)
        if not self.why or found.status != "unmeetable":
            return found
        return self._told(found, max(begun + self.seconds - time.monotonic(), _LEAST))

    def _told(self, unmet: Answer, seconds: float) -> Answer:
        """What is proven stays as it is; only what stands in the way is added."""
        from optimizer.explaining.proving import Wanted, prove

        wanted = Wanted(conflicts=1, ways=1, certified=False)
        deadline = time.monotonic() + seconds
        told = prove(self.asked, self.book, unmet, wanted, deadline, _quiet)
        left = () if _to_the_end(told) else (CUT_SHORT,)
        return unmet.model_copy(update={"conflict": told.conflict, "left_open": left})


CUT_SHORT = "the conflict was not sought to its end"
"""Said where the time given was too short to find, or to narrow down, what stands in the way."""


def _to_the_end(told: Answer) -> bool:
    """Whether the conflict is known, and each of its members is known to be needed."""
    return bool(told.conflict) and told.conflict[0].smallest


Doer = Callable[[Task], Answer]


def in_turn(doer: Doer, tasks: Sequence[Task], said: Callable[[int], None]) -> list[Answer]:
    """Answers in the order of the tasks; `said` is told how many are there."""
    found = []
    for task in tasks:
        found.append(doer(task))
        said(len(found))
    return found


def beside(doer: Doer, tasks: Sequence[Task], said: Callable[[int], None]) -> list[Answer]:
    """As :func:`in_turn`, several at a time."""
    pool = ThreadPoolExecutor(CORES)
    futures = [pool.submit(doer, task) for task in tasks]
    left = set(futures)
    try:
        while left:
            ready, left = wait(left, return_when=FIRST_COMPLETED)
            for future in ready:
                future.result()
            said(len(tasks) - len(left))
    finally:
        # Whoever is interrupted does not wait for answers: the crew ends what works on them.
        pool.shutdown(wait=not left, cancel_futures=True)
    return [future.result() for future in futures]


def as_they_come(
    doer: Doer, tasks: Sequence[Task], size: int
) -> Iterator[tuple[int, Answer | Exception]]:
    """Places of tasks with their answers, or what went wrong, as soon as each is there.

    A task whose process was lost is given to another, once.

    Parameters
    ----------
    size : int
        How many are done at a time.
    """

    def done(place: int) -> tuple[int, Answer | Exception]:
        try:
            try:
                return place, doer(tasks[place])
            except Lost:
                return place, doer(tasks[place])
        except Exception as error:
            # One site that goes wrong must not take the others with it; who asks is told.
            return place, error

    pool = ThreadPoolExecutor(size)
    futures = [pool.submit(done, place) for place in range(len(tasks))]
    finished = False
    try:
        for future in as_completed(futures):
            yield future.result()
        finished = True
    finally:
        pool.shutdown(wait=finished, cancel_futures=True)


@contextmanager
def crew(size: int = CORES) -> Iterator[Doer]:
    """Worker processes; what is yielded has a task done by one that is idle.

    Raises
    ------
    Lost
        If a worker ends with a task unfinished; a new one stands in its place.
    Defect
        As raised there.
    """
    workers: list[subprocess.Popen[bytes]] = []
    idle: SimpleQueue[subprocess.Popen[bytes]] = SimpleQueue()
    home = str(Path(__file__).parents[2])
    path = os.pathsep.join([home, *filter(None, [os.environ.get("PYTHONPATH")])])

    def started() -> subprocess.Popen[bytes]:
        worker = subprocess.Popen(
            [sys.executable, "-c", _START],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": path},
            # An interrupt from the terminal is for who asks; workers are ended from there.
            process_group=0,
        )
        workers.append(worker)
        return worker

    def instead(lost: subprocess.Popen[bytes]) -> subprocess.Popen[bytes]:
        _end(lost)
        workers.remove(lost)
        return started()

    def done(task: Task) -> Answer:
        worker = idle.get()
        try:
            if worker.poll() is not None and not over.is_set():
                # Who ended while idle took no task along, and must not cost this one a try.
                worker = instead(worker)
            return _asked(worker, task)
        except Lost:
            if not over.is_set():
                worker = instead(worker)
            raise
        finally:
            idle.put(worker)

    over = Event()
    try:
        for _ in range(size):
            idle.put(started())
        yield done
    finally:
        over.set()
        for worker in workers:
            _end(worker)


def _end(worker: subprocess.Popen[bytes]) -> None:
    """End a worker; processes that it started itself end with the pipe on which they are asked."""
    worker.kill()
    worker.wait()
    for pipe in (worker.stdin, worker.stdout):
        # What was not sent to a process that is no more is of no use to anybody.
        with suppress(BrokenPipeError):
            if pipe is not None:
                pipe.close()


def _asked(worker: subprocess.Popen[bytes], task: Task) -> Answer:
    assert worker.stdin is not None
    assert worker.stdout is not None
    try:
        pickle.dump(task, worker.stdin)
        worker.stdin.flush()
        found = pickle.load(worker.stdout)
    except (BrokenPipeError, EOFError, pickle.UnpicklingError) as error:
        raise Lost("a process that solves sites has ended") from error
    if isinstance(found, Exception):
        raise found
    assert isinstance(found, Answer)
    return found


def work() -> None:
    """Do tasks from standard input until who asks is gone."""
    # Solvers may print on standard output, which here belongs to the answers.
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    with suppress(EOFError, BrokenPipeError):
        while True:
            task = pickle.load(sys.stdin.buffer)
            pickle.dump(attempted(task), answers)
            answers.flush()


def attempted(task: Task) -> Answer | Exception:
    """The answer, or what went wrong."""
    try:
        return task.done()
    except Exception as error:
        # Whatever went wrong is told to who asked, and raised there.
        return error


def _quiet(_words: str) -> None:
    """Progress within a task is not told."""


__all__ = [
    "CORES",
    "CUT_SHORT",
    "Doer",
    "Lost",
    "Task",
    "as_they_come",
    "beside",
    "crew",
    "in_turn",
]
