"""Many sites on a cluster: a real scheduler and two real worker processes on the loopback.

dask.distributed is the reference for its own scheduler: nothing of it is replaced here.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import yaml
from distributed import Client

import optimizer
from optimizer.errors import Defect, InputError
from optimizer.scenarios import cluster
from optimizer.scenarios.cluster import Cluster, answered, versions
from optimizer.scenarios.crew import Lost, Task
from optimizer.scenarios.keeping import LOCK
from optimizer.solving.answer import Answer
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import book, site, zone
from tests.unit.scenarios.deadly import Deadly

TOP = Path(__file__).parents[3]
NUMBER = 10
ALLOWED = "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES"
"""How many lost workers a task may have been on before it is given up; 3 where nothing is said."""


@dataclass
class Loopback:
    """A scheduler and its workers, each a process of its own."""

    folder: Path
    address: str = ""
    processes: list[subprocess.Popen[str]] = field(default_factory=list)

    def start(self, tool: str, *words: str, path: Path = TOP) -> subprocess.Popen[str]:
        common = ["--host", "127.0.0.1", "--no-dashboard", "--port" if tool == "scheduler" else
                  "--worker-port", "0"]  # fmt: skip
        started = subprocess.Popen(
            [sys.executable, "-m", f"distributed.cli.dask_{tool}", *words, *common],
            cwd=self.folder, text=True, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": str(path)},
        )  # fmt: skip
        self.processes.append(started)
        return started

    def workers(self, number: int, path: Path = TOP) -> None:
        """Start workers and wait until the scheduler knows them."""
        words = ("--no-nanny", "--nthreads", "1", "--local-directory", str(self.folder))
        started = {f"w{len(self.processes) + n}" for n in range(number)}
        for name in sorted(started):
            self.start("worker", self.address, "--name", name, *words, path=path)
        end = time.monotonic() + 120
        with Client(self.address, set_as_default=False, timeout="60s") as client:
            while not started <= set(client.run(lambda dask_worker: dask_worker.name).values()):
                assert time.monotonic() < end
                time.sleep(0.05)


@pytest.fixture
def strict(monkeypatch: pytest.MonkeyPatch) -> None:
    """A scheduler that gives a task up as soon as it has lost one worker."""
    monkeypatch.setenv(ALLOWED, "0")


@pytest.fixture
def loopback(tmp_path: Path) -> Iterator[Loopback]:
    found = Loopback(tmp_path)
    try:
        scheduler = found.start("scheduler")
        assert scheduler.stderr is not None
        for line in scheduler.stderr:
            if said := re.search(r"Scheduler at:\s+(tcp://\S+)", line):
                found.address = said.group(1)
                break
        assert found.address
        yield found
    finally:
        for process in found.processes:
            process.kill()
            process.communicate()


@pytest.fixture(autouse=True)
def _sites(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Small sites, each with a run of its own so that none is like another."""
    monkeypatch.chdir(tmp_path)
    Path("sites").mkdir()
    models: dict[str, Any] = {
        f"sites/s{n}": site(zone("a", run=f"{20 + n} m"), zone("b")) for n in range(NUMBER)
    }
    for name, model in {**models, "book": book()}.items():
        data = model.model_dump(mode="json", exclude_none=True)
        Path(f"{name}.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")


def files(folder: str) -> dict[str, bytes]:
    found = [p for p in sorted(Path(folder).rglob("*")) if p.is_file() and p.name != LOCK]
    return {str(p.relative_to(folder)): p.read_bytes() for p in found}


def test_a_lost_worker_loses_no_result(loopback: Loopback) -> None:
    loopback.workers(2)
    killed: list[int] = []
    done_at_once: list[int] = []

    def progress(done: int, _of: int) -> None:
        if done and not killed:
            with Client(loopback.address, set_as_default=False) as client:
                pids = client.run(os.getpid)
                busy: set[str] = set()
                # Between two tasks a worker has none for a moment.
                while not busy:
                    busy = {worker for worker, keys in client.processing().items() if keys}
            victim = min(busy)
            os.kill(pids[victim], signal.SIGKILL)
            killed.append(pids[victim])
            done_at_once.append(done)

    found = optimizer.many(["sites"], "out", "book.yaml", progress=progress,
                           cluster=loopback.address)  # fmt: skip
    # One worker was ended while it had work, long before the end; all answers are there.
    assert len(killed) == 1
    assert done_at_once[0] <= NUMBER // 2
    assert found.scenarios[0].counts == {"optimal": NUMBER}
    assert sum(process.poll() == -signal.SIGKILL for process in loopback.processes) == 1
    here = optimizer.many(["sites"], "here", "book.yaml", processes=1)
    assert found == here
    assert files("out") == files("here")

    # Workers that run something else are refused before anything is solved.
    other = loopback.folder / "other"
    shutil.copytree(TOP / "optimizer", other / "optimizer")
    init = other / "optimizer" / "__init__.py"
    text = init.read_text(encoding="utf-8")
    init.write_text(text.replace('__version__ = "', '__version__ = "9.'), encoding="utf-8")
    loopback.workers(2, path=other)
    with pytest.raises(InputError) as caught:
        optimizer.many(["sites"], "later", "book.yaml", cluster=loopback.address)
    (trouble,) = caught.value.troubles
    assert trouble.file == loopback.address
    assert "2 of 3 workers would not give the same answers" in trouble.what
    assert f"leastkit is 9.{optimizer.__version__}, code" in trouble.what
    assert "install the same versions" in trouble.hint
    assert files("later") == {}


def test_a_scheduler_that_goes_is_told_and_what_is_finished_is_kept(loopback: Loopback) -> None:
    with pytest.raises(InputError, match="the cluster has no workers"):
        optimizer.many(["sites"], "out", "book.yaml", cluster=loopback.address)
    loopback.workers(1)

    def progress(done: int, _of: int) -> None:
        if done == 2:
            loopback.processes[0].kill()

    with pytest.raises(InputError, match="the scheduler is gone"):
        optimizer.many(["sites"], "out", "book.yaml", progress=progress, cluster=loopback.address)
    there = files("out")
    assert 2 <= len(there) < NUMBER
    counted: list[int] = []
    optimizer.many(["sites"], "out", "book.yaml", processes=1,
                   progress=lambda done, _of: counted.append(done))  # fmt: skip
    assert counted[0] == len(there)
    assert there.items() <= files("out").items()


@pytest.mark.usefixtures("strict")
def test_a_task_that_ends_its_worker_is_given_up_and_the_others_are_not(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    loopback: Loopback = request.getfixturevalue("loopback")
    loopback.workers(2)
    sites = [(unread(site()), loaded(book())), (unread(site(zone("a"), zone("b"))), loaded(book()))]
    with Cluster(loopback.address) as run:
        found = dict(run([Deadly(*sites[0], 30.0), Task(*sites[1], 30.0)]))
    assert isinstance(found[0], Lost)
    assert "it may need too much memory" in str(found[0])
    assert isinstance(found[1], Answer)
    assert found[1].total == "528.00"
    # The one worker that is left ends too, and nobody comes.
    monkeypatch.setattr(cluster, "_PATIENCE", 1.0)
    with Cluster(loopback.address) as run:
        for process in loopback.processes[1:]:
            process.kill()
        with Client(loopback.address, set_as_default=False) as client:
            while client.nthreads():
                time.sleep(0.05)
        with pytest.raises(InputError, match="all workers are gone, and none has come for 1 s"):
            list(run([Task(*sites[0], 30.0)]))


def test_without_the_extra_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError, match=r"dask\.distributed is not installed") as caught:
        Cluster("tcp://127.0.0.1:1").__enter__()
    assert "install -e '.[cluster]'" in caught.value.troubles[0].hint


def test_no_scheduler_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "_CALLING", "0.5s")
    begun = time.monotonic()
    for address in ("tcp://127.0.0.1:9", "nonsense://x"):
        with (
            pytest.raises(InputError, match="no scheduler answers there") as caught,
            Cluster(address),
        ):
            pass
        assert caught.value.troubles[0].file == address
    assert time.monotonic() - begun < 60


def test_a_worker_that_changed_in_between_gives_no_answer() -> None:
    task = Task(unread(site()), loaded(book()), 30.0)
    assert answered(task, versions()).total == "424.00"
    with pytest.raises(Defect, match=r"ortools is 9\.\S+, here it is 1\.0"):
        answered(task, {**versions(), "ortools": "1.0"})
