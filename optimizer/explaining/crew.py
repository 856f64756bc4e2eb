"""Questions answered beside each other, each in a process of its own.

A worker is a fresh interpreter that is spoken to over a pipe, so that a script which asks need not
be written with that in mind. What it answers hangs on the question alone.
"""

from __future__ import annotations

import os
import pickle
import struct
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from queue import SimpleQueue
from typing import IO, Any

from optimizer.errors import Defect
from optimizer.explaining.seeking import Asked, Seeker, Sought
from optimizer.pricebook.loading import LoadedBook


class _Gone(Defect):
    """The other end of a pipe has ended."""


_LENGTH = struct.Struct("<Q")
_START = "from optimizer.explaining.crew import work; work()"


class Crew:
    """Worker processes for one price book.

    Parameters
    ----------
    size : int
        How many.
    """

    def __init__(self, book: LoadedBook, size: int) -> None:
        home = str(Path(__file__).parents[2])
        path = os.pathsep.join([home, *filter(None, [os.environ.get("PYTHONPATH")])])
        self.workers: list[subprocess.Popen[bytes]] = []
        self.idle: SimpleQueue[subprocess.Popen[bytes]] = SimpleQueue()
        try:
            for _ in range(size):
                self._start({**os.environ, "PYTHONPATH": path}, book)
        except BaseException:
            self.close()
            raise

    def _start(self, environment: dict[str, str], book: LoadedBook) -> None:
        worker = subprocess.Popen(
            [sys.executable, "-c", _START],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=environment,
            # An interrupt from the terminal is for who asks; workers are ended from there.
            process_group=0,
        )
        self.workers.append(worker)
        _send(worker.stdin, book)
        self.idle.put(worker)

    def ask(self, question: Asked) -> list[Sought]:
        """Have a worker answer a question or several, waiting for one that is idle.

        Raises
        ------
        Defect
            As raised there, or if the worker has ended.
        """
        worker = self.idle.get()
        try:
            _send(worker.stdin, question)
            found = _received(worker.stdout)
        finally:
            self.idle.put(worker)
        if isinstance(found, Exception):
            raise found
        assert isinstance(found, list)
        return found

    def close(self) -> None:
        """End the workers."""
        for worker in self.workers:
            worker.kill()
            worker.wait()
            for pipe in (worker.stdin, worker.stdout):
                if pipe is not None:
                    # What was not sent to a process that is no more is of no use to anybody.
                    with suppress(BrokenPipeError):
                        pipe.close()


def work() -> None:
    """Answer questions from standard input until who asks is gone."""
    # Solvers may print on standard output, which here belongs to the answers.
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    with suppress(_Gone):
        seeker = Seeker(_received(sys.stdin.buffer))
        while True:
            _send(answers, _answer(seeker, _received(sys.stdin.buffer)))


def _answer(seeker: Seeker, question: Asked) -> list[Sought] | Exception:
    try:
        return question.answered(seeker)
    except Exception as error:
        # Whatever went wrong is told to who asked, and raised there.
        return error


def _send(pipe: IO[bytes] | None, thing: object) -> None:
    assert pipe is not None
    data = pickle.dumps(thing)
    try:
        pipe.write(_LENGTH.pack(len(data)) + data)
        pipe.flush()
    except BrokenPipeError as error:
        raise _Gone("a process that answers questions has ended") from error


def _received(pipe: IO[bytes] | None) -> Any:
    assert pipe is not None
    head = pipe.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        raise _Gone("a process that answers questions has ended")
    (length,) = _LENGTH.unpack(head)
    return pickle.loads(pipe.read(length))
