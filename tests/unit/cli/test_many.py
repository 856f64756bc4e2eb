"""The command many for real: what is shown; runs that are killed, crowded out or out of room."""

from __future__ import annotations

import json
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest
import yaml

from optimizer.cli.schemas import published
from optimizer.scenarios.keeping import LOCK
from optimizer.solving.answer import Answer
from optimizer.writing import PART
from tests.optimality.plain_kit import book, site, zone
from tests.unit.cli.running import here

NAMES = ("ash", "elm", "fir", "oak", "yew")
COMMAND = [
    sys.executable,
    "-m",
    "optimizer",
    "many",
    "sites",
    "--out",
    "out",
    "--book",
    "book.yaml",
]


@pytest.fixture(autouse=True)
def _files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Five small sites, each with a run of its own so that none is like another."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parents[3]))
    Path("sites").mkdir()
    models = {f"sites/{n}": site(zone(run=f"{20 + i} m")) for i, n in enumerate(NAMES)}
    for name, model in {**models, "book": book()}.items():
        data = model.model_dump(mode="json", exclude_none=True)
        Path(f"{name}.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")


ASKED = ("many", "sites", "--out", "out", "--book", "book.yaml", "--processes", "1")


def kept() -> dict[str, bytes]:
    """Every file of the folder but the lock, which is empty."""
    files = [p for p in Path("out").rglob("*") if p.is_file() and p.name != LOCK]
    return {str(p): p.read_bytes() for p in sorted(files)}


def undisturbed() -> dict[str, bytes]:
    """What a run from the beginning to the end writes, in a folder that is then taken away."""
    done = here(*(word.replace("out", "whole") if word == "out" else word for word in ASKED))
    assert done.exit_code == 0, done.output
    files = [p for p in Path("whole").rglob("*") if p.is_file() and p.name != LOCK]
    return {str(p).replace("whole", "out", 1): p.read_bytes() for p in sorted(files)}


def test_what_is_shown_and_written() -> None:
    done = here(*ASKED, "--json", "all.json")
    assert done.exit_code == 0, done.output
    assert "5 sites" in done.stdout
    assert "all met, each the cheapest, proven" in done.stdout
    rows = {line.split()[0]: line.split() for line in done.stdout.splitlines() if line.strip()}
    for name in NAMES:
        # The plain kit; boxes of 100 m are not filled by runs of 20 m and a little.
        assert rows[name] == [name, "1", "424.00", "424.00", "proven"]
    assert rows["all"] == ["all", "5", "2,120.00", "2,120.00"]
    # Nothing is cheaper in one order here: no packs, no price breaks, no offers.
    assert "one order costs what the sites pay apart" in done.stdout
    assert "5 answers sought, 0 kept from before" in done.stderr
    data = json.loads(Path("all.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(published("many")).validate(data)
    assert data["schema"] == "leastkit/many/1"
    assert Path("all.json").read_bytes() == Path("out/summary.json").read_bytes()
    for one in data["scenarios"][0]["sites"]:
        answer = Answer.model_validate_json(Path("out", one["answer"]).read_bytes())
        assert answer.total == one["total"] == "424.00"
        audited = here("audit", f"sites/{one['site']}.yaml", f"out/{one['answer']}",
                       "--book", "book.yaml")  # fmt: skip
        assert audited.exit_code == 0, audited.output
    again = here(*ASKED)
    assert "0 answers sought, 5 kept from before" in again.stderr


def test_exit_status_tells_the_worst() -> None:
    wide = site(zone(width="13 m")).model_dump(mode="json", exclude_none=True)
    Path("sites/zed.yaml").write_text(yaml.safe_dump(wide), encoding="utf-8")
    done = here(*ASKED)
    assert done.exit_code == 3
    assert "5 proven, 1 cannot be met" in done.stdout
    assert "zed: these cannot hold together: zones.a/width (13 m)" in done.stdout
    both = here(*ASKED, "--cluster", "tcp://127.0.0.1:1")
    assert both.exit_code == 2
    assert "leave it out with --cluster" in both.stderr


SLOW = """
import time
from optimizer.scenarios.crew import Task
from optimizer.cli import main
import sys
before = Task.done
def slow(task):
    time.sleep(0.4)
    return before(task)
Task.done = slow
sys.argv[1:] = %r
main()
"""


def slow_run() -> subprocess.Popen[str]:
    """A run that takes its time over each site, once its first answer is kept."""
    running = subprocess.Popen(
        [sys.executable, "-c", SLOW % (list(ASKED),)], text=True, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )  # fmt: skip
    end = time.monotonic() + 60
    while not list(Path("out").glob("answers/base/[!.]*")):
        assert running.poll() is None, running.communicate()
        assert time.monotonic() < end
        time.sleep(0.01)
    return running


@pytest.mark.parametrize(
    ("number", "status"), [(signal.SIGKILL, -9), (signal.SIGINT, 130), (signal.SIGTERM, 143)]
)
def test_a_run_that_is_stopped_half_way_is_gone_on_with(number: int, status: int) -> None:
    running = slow_run()
    running.send_signal(number)
    _, err = running.communicate(timeout=60)
    assert running.returncode == status
    there = kept()
    assert 1 <= len(there) < len(NAMES)
    for name, raw in there.items():
        assert Path(name).parent == Path("out/answers/base")
        assert Answer.model_validate_json(raw).status == "optimal"
    if number == signal.SIGINT:
        assert f"{len(there)} answers are kept in out; the same command goes on from there" in err
    done = here(*ASKED)
    assert done.exit_code == 0
    sought = len(NAMES) - len(there)
    assert f"{sought} answers sought, {len(there)} kept from before" in done.stderr
    assert kept() == undisturbed()


MID_WRITE = """
import os, signal, sys
from optimizer import writing
from optimizer.cli import main
fill, count = writing.fill, 0
def half(part, raw, target):
    global count
    count += 1
    if count == 3:
        part.write_bytes(raw[: len(raw) // 2])
        os.kill(os.getpid(), signal.SIGKILL)
    fill(part, raw, target)
writing.fill = half
sys.argv[1:] = %r
main()
"""


def test_a_kill_in_the_middle_of_a_file_leaves_no_half_of_it() -> None:
    done = subprocess.run([sys.executable, "-c", MID_WRITE % (list(ASKED),)], check=False)
    assert done.returncode == -9
    there = kept()
    halves = [name for name in there if Path(name).name.startswith(PART)]
    assert len(halves) == 1
    assert len(there) == 3
    for name, raw in there.items():
        if name not in halves:
            assert Answer.model_validate_json(raw).total == "424.00"
    done_again = here(*ASKED)
    assert "3 answers sought, 2 kept from before" in done_again.stderr
    assert kept() == undisturbed()


def test_a_full_disk_is_one_error_and_nothing_is_lost() -> None:
    assert here("many", "sites/ash.yaml", "--out", "out", "--book", "book.yaml").exit_code == 0
    before = kept()
    many_zones = site(*(zone(f"z{n}") for n in range(4))).model_dump(mode="json", exclude_none=True)
    Path("sites/big.yaml").write_text(yaml.safe_dump(many_zones), encoding="utf-8")
    # Room for the answers of the small sites, not for that of the large one. A limit on the size
    # of files stands for the full disk: the system refuses the write in the same way.
    room = len(before["out/answers/base/ash.json"]) + 2000
    done = subprocess.run(
        [*COMMAND, "--processes", "1"], capture_output=True, text=True, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (room, room)),
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    assert lines[0] == (
        "out/answers/base/big.json: the file or folder cannot be written: File too large"
    )
    assert lines[1].startswith("  accepted: a folder that can be written, on a disk with room")
    assert "the same command goes on from there" in lines[2]
    assert len(lines) == 3
    assert kept() == before
    assert here(*ASKED).exit_code == 0
    assert kept() == undisturbed()


def test_a_second_run_in_the_same_folder_is_refused() -> None:
    running = slow_run()
    second = here(*ASKED)
    assert second.exit_code == 2
    assert second.stderr.startswith("out: another run is at work in this folder\n")
    assert "wait for it to end, or name another folder" in second.stderr
    _, err = running.communicate(timeout=60)
    assert running.returncode == 0, err
    assert kept() == undisturbed()


def test_an_interrupt_ends_the_processes_too() -> None:
    arguments = [word for word in ASKED if word not in ("--processes", "1")]
    # Two dozen zones with detail of their own: far longer work than this test takes.
    for name in ("big", "bigger"):
        zones = [zone(f"z{n}", detail=f"{100 + n} px/m") for n in range(24)]
        data = site(*zones, name=name).model_dump(mode="json", exclude_none=True)
        Path(f"sites/{name}.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    running = subprocess.Popen(
        [sys.executable, "-m", "optimizer", *arguments, "--processes", "3", "--time", "300"],
        text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )  # fmt: skip
    end = time.monotonic() + 60
    while len(workers := children(running.pid)) < 3:
        assert time.monotonic() < end
        time.sleep(0.05)
    running.send_signal(signal.SIGINT)
    _, err = running.communicate(timeout=30)
    assert running.returncode == 130
    assert "stopped" in err
    # A worker that was still being started ends by itself when it finds nobody to answer to.
    end = time.monotonic() + 20
    while left := [worker for worker in workers if runs(worker)]:
        assert time.monotonic() < end, left
        time.sleep(0.05)


def runs(pid: int) -> bool:
    """Whether a process is there and has not ended; who has ended may wait to be collected."""
    try:
        text = Path(f"/proc/{pid}/stat").read_text(encoding="ascii")
    except FileNotFoundError:
        return False
    return text.rpartition(")")[2].split()[0] != "Z"


def children(parent: int) -> list[int]:
    text = Path(f"/proc/{parent}/task/{parent}/children").read_text(encoding="ascii")
    return [int(pid) for pid in text.split()]
