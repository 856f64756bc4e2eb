"""Main questions answered beside each other, each in a process of its own.

A worker is a fresh interpreter that is spoken to over a pipe, so that a script which asks need not
be written with that in mind. What it answers hangs on the task alone.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

from optimizer.errors import Defect
from optimizer.pricebook import LoadedBook
from optimizer.site import LoadedSite
from optimizer.solving.answer import Answer

CORES = 2
_START = "from optimizer.scenarios.crew import work; work()"


@dataclass(frozen=True)
class Task:
    """A site to be solved; with `unmet`, the answer that it is unmeetable, to be told why.

    Attributes
    ----------
    seconds : float
        Time limit.
    """

    asked: LoadedSite
    book: LoadedBook
    seconds: float
    unmet: Answer | None = None

    def done(self) -> Answer:
        """The answer, worked out in this process.

        Raises
        ------
        Defect
            If the program contradicts itself.
        """
        if self.unmet is None:
            from optimizer.solving import solve_site

            site, digest = self.asked.site, self.asked.source.sha256
            return solve_site(site, self.book, seconds=self.seconds, site_sha256=digest)
        import time

        from optimizer.explaining.proving import Wanted, prove

        wanted = Wanted(conflicts=1, ways=1, certified=False)
        deadline = time.monotonic() + self.seconds
        told = prove(self.asked, self.book, self.unmet, wanted, deadline, _quiet)
        # What is proven stays as it is; only what stands in the way is added.
        return self.unmet.model_copy(update={"conflict": told.conflict})


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


@contextmanager
def crew() -> Iterator[Doer]:
    """Worker processes; what is yielded has a task done by one that is idle.

    Raises
    ------
    Defect
        As raised there, or if a worker has ended.
    """
    workers: list[subprocess.Popen[bytes]] = []
    idle: SimpleQueue[subprocess.Popen[bytes]] = SimpleQueue()
    home = str(Path(__file__).parents[2])
    path = os.pathsep.join([home, *filter(None, [os.environ.get("PYTHONPATH")])])

    def done(task: Task) -> Answer:
        worker = idle.get()
        try:
            return _asked(worker, task)
        finally:
            idle.put(worker)

    try:
        for _ in range(CORES):
            worker = subprocess.Popen(
                [sys.executable, "-c", _START],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                env={**os.environ, "PYTHONPATH": path},
                # An interrupt from the terminal is for who asks; workers are ended from there.
                process_group=0,
            )
            workers.append(worker)
            idle.put(worker)
        yield done
    finally:
        for worker in workers:
            # Processes that it started itself end with the pipe on which they are asked.
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
    except (BrokenPipeError, EOFError) as error:
        raise Defect("a process that solves scenarios has ended") from error
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
            pickle.dump(_done(task), answers)
            answers.flush()


def _done(task: Task) -> Answer | Exception:
    try:
        return task.done()
    except Exception as error:
        # Whatever went wrong is told to who asked, and raised there.
        return error


def _quiet(_words: str) -> None:
    """Progress within a task is not told."""


__all__ = ["CORES", "Doer", "Task", "beside", "crew", "in_turn"]
