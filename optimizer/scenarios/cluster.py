"""The same work on a Dask cluster; needs dask.distributed, the optional extra ``cluster``.

Whatever a worker had not handed over when it was lost is done again by another. Only answers of
the very same code are taken: each worker says what it runs before, and with each task.

A cluster runs what it is sent and believes who speaks to it: it belongs on a network that only its
users can reach.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import logging
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from optimizer import __version__
from optimizer.errors import Defect, InputError, Trouble, installing
from optimizer.scenarios.crew import Lost, Task
from optimizer.solving.answer import Answer

_PATIENCE = 60.0
"""How long a cluster without any worker is waited for. [s]"""

_LOOK = 2.0
"""Between two looks at whether there still are workers. [s]"""

_AGAIN = 3
"""How often an answer that was lost on its way is worked out again."""

_CALLING = "10s"

_LOGGERS = ("distributed.client", "distributed.comm", "distributed.core")
"""What they say of a lost connection is told in our own words."""

Versions = dict[str, str]


@cache
def versions() -> Versions:
    """What decides an answer, beside its inputs: this program, its solvers, its Python."""
    home = Path(__file__).parents[1]
    code = hashlib.sha256()
    for file in sorted(home.rglob("*.py")):
        code.update(file.relative_to(home).as_posix().encode() + b"\0" + file.read_bytes())
    return {
        "leastkit": f"{__version__}, code {code.hexdigest()[:12]}",
        **{name: importlib.metadata.version(name) for name in ("ortools", "highspy", "pydantic")},
        "python": ".".join(map(str, sys.version_info[:2])),
    }


def answered(task: Task, expected: Mapping[str, str]) -> Answer:
    """The answer, on a worker that runs what is expected.

    Raises
    ------
    Defect
        If it runs something else, or the program contradicts itself.
    """
    if versions() != expected:
        raise Defect(f"the worker is not fit for this: {_differing(versions(), expected)}")
    return task.done()


class Cluster:
    """A cluster that answers; to be used as a context.

    Parameters
    ----------
    address : str
        Of its scheduler, such as tcp://10.0.0.5:8786.

    Raises
    ------
    InputError
        On entering, if dask.distributed is not installed, no scheduler answers, there are no
        workers, or one of them runs other versions.
    """

    def __init__(self, address: str) -> None:
        self.address = address
        self._client: Any = None
        self._hushed: dict[logging.Logger, int] = {}

    def __enter__(self) -> Cluster:
        try:
            from distributed import Client
        except ImportError:
            raise InputError(
                Trouble(
                    "dask.distributed is not installed, and clusters are reached through it",
                    hint=installing("cluster"),
                )
            ) from None
        self._hushed = {one: one.level for one in map(logging.getLogger, _LOGGERS)}
        for one in self._hushed:
            one.setLevel(logging.CRITICAL)
        try:
            self._client = Client(self.address, timeout=_CALLING, set_as_default=False)
        except (OSError, ValueError) as error:
            self._close()
            raise self._refused(
                f"no scheduler answers there: {error}",
                "start it with `dask scheduler`, or put the address right",
            ) from None
        try:
            self._check()
        except BaseException:
            self._close()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        self._close()

    def _close(self) -> None:
        if self._client is not None:
            self._client.close(timeout=5)
        for one, level in self._hushed.items():
            one.setLevel(level)

    def _check(self) -> None:
        """Refuse workers that would give other answers, before anything is solved."""
        found = self._client.run(versions, on_error="return")
        if not found:
            raise self._refused(
                "the cluster has no workers", f"start some with `dask worker {self.address}`"
            )
        expected = versions()
        wrong = {
            worker: _differing(there, expected)
            for worker, there in sorted(found.items())
            if there != expected
        }
        if wrong:
            worker, what = next(iter(wrong.items()))
            raise self._refused(
                f"{len(wrong)} of {len(found)} workers would not give the same answers; {worker}: "
                f"{what}",
                "install the same versions on all of them, then start them again",
            )

    def __call__(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Answer | Exception]]:
        """Places of tasks with their answers, or what went wrong, as soon as each is there.

        Raises
        ------
        InputError
            If the scheduler is gone, or no worker has been there for a minute.
        """
        futures: dict[Any, int] = {}
        try:
            yield from self._results(tasks, futures)
        finally:
            if self._client.status == "running":
                self._client.cancel(list(futures))

    def _results(
        self, tasks: Sequence[Task], futures: dict[Any, int]
    ) -> Iterator[tuple[int, Answer | Exception]]:
        from distributed import wait
        from distributed.client import FuturesCancelledError

        expected = versions()

        def submit(place: int) -> Any:
            # Not pure: an answer that the scheduler remembers may be another version's.
            future = self._client.submit(answered, tasks[place], expected, pure=False)
            futures[future] = place
            return future

        left, seen = {submit(place) for place in range(len(tasks))}, time.monotonic()
        again: Counter[int] = Counter()
        while left:
            try:
                with self._client.as_current():
                    done, left = wait(left, timeout=_LOOK, return_when="FIRST_COMPLETED")
            except TimeoutError:
                done = set()
            except FuturesCancelledError:
                done = {future for future in left if future.status != "pending"}
                if not done:
                    raise self._gone() from None
                left -= done
            seen = self._seen(seen)
            for future in done:
                place = futures.pop(future)
                if future.status in ("finished", "error"):
                    yield place, self._result(future)
                elif again[place] < _AGAIN:
                    # An answer may go with the worker that holds it before it is taken over.
                    again[place] += 1
                    left.add(submit(place))
                else:
                    yield place, Lost(f"its answer was lost {_AGAIN + 1} times on the way here")
                # The worker may forget what has been taken over.
                future.release()

    def _seen(self, before: float) -> float:
        """When the cluster last had a worker."""
        if self._client.status != "running":
            raise self._gone()
        try:
            workers = self._client.nthreads()
        except OSError:
            raise self._gone() from None
        if workers:
            return time.monotonic()
        if time.monotonic() - before > _PATIENCE:
            raise self._refused(
                f"all workers are gone, and none has come for {_PATIENCE:g} s",
                "start workers; the same command goes on from there",
            )
        return before

    def _result(self, future: Any) -> Answer | Exception:
        if future.status == "finished":
            found = future.result()
            assert isinstance(found, Answer)
            return found
        error = future.exception()
        if type(error).__name__ == "KilledWorker":
            return Lost("every worker that worked on it was lost; it may need too much memory")
        return error if isinstance(error, Exception) else Defect(str(error))

    def _gone(self) -> InputError:
        return self._refused(
            "the scheduler is gone", "start it again; the same command goes on from there"
        )

    def _refused(self, what: str, hint: str) -> InputError:
        accepted = "the address of a running scheduler, with workers that have this version"
        return InputError(Trouble(what, file=self.address, accepted=accepted, hint=hint))


def _differing(there: Mapping[str, str] | BaseException, expected: Mapping[str, str]) -> str:
    """What is other there, in words; an error is what came of asking."""
    if isinstance(there, BaseException):
        return f"leastkit cannot be asked there ({type(there).__name__}: {there})"
    names = [name for name in expected if there.get(name) != expected[name]]
    told = (f"{n} is {there.get(n, 'not there')}, here it is {expected[n]}" for n in names)
    return "; ".join(told)


__all__ = ["Cluster", "answered", "versions"]
