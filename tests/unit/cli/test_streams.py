"""Where output goes and how a run ends early: files in use, full and closed streams, signals."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.unit.cli.running import BOOK, SITE, TOP, here

COMMAND = [sys.executable, "-m", "optimizer"]
FULL = "standard output cannot be written: No space left on device\n"
CLOSED = "standard output cannot be written: it is closed\n"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return Path(shutil.copy(SITE, tmp_path / "site.yaml"))


@pytest.mark.parametrize("leads_to", ["itself", "link", "hard link"])
@pytest.mark.parametrize("command", ["solve", "prove"])
def test_an_answer_does_not_overwrite_its_question(site: Path, command: str, leads_to: str) -> None:
    before, target = site.read_bytes(), site
    if leads_to != "itself":
        target = site.with_name("answer.json")
        (target.symlink_to if leads_to == "link" else target.hardlink_to)(site)
    done = here(command, str(site), "--book", BOOK, "--json", str(target))
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr == (
        f"{target}: the file is already in use for this question and would be overwritten\n"
        "  accepted: a name of its own\n"
        "  hint:     choose another name\n"
    )
    assert site.read_bytes() == before
    assert target.is_symlink() == (leads_to == "link")


def test_every_file_in_use_is_kept(tmp_path: Path, site: Path) -> None:
    folder = tmp_path / "book"
    folder.mkdir()
    book = shutil.copy(BOOK, folder / "book.yaml")
    bill = tmp_path / "bill.yaml"
    bill.write_text("bill:\n- {item: rec-8, quantity: 1}\n", encoding="utf-8")
    table = tmp_path / "cameras.csv"
    table.write_text("id,name\n", encoding="utf-8")
    of = ("--of", "recording/retention", "--from", "7", "--to", "9")
    drawing = str(tmp_path / "a.svg")
    cases = (
        ("solve", str(site), "--book", book, "--json", book),
        ("solve", str(site), "--book", str(folder), "--json", book),
        ("audit", str(site), str(bill), "--book", BOOK, "--json", str(bill)),
        ("book", "list", "--book", book, "--json", book),
        ("steps", str(site), *of, "--json", drawing, "--plot", drawing),
        ("book", "import", str(table), "--kind", "camera", "--currency", "EUR", "--out",
         str(table)),
    )  # fmt: skip
    files = [p for p in tmp_path.rglob("*") if p.is_file()]
    before = {p: p.read_bytes() for p in files}
    for arguments in cases:
        done = here(*arguments)
        assert done.exit_code == 2, arguments
        assert "already in use" in done.stderr, arguments
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before


def test_a_new_name_beside_the_files_in_use_is_fine(tmp_path: Path) -> None:
    book = shutil.copy(BOOK, tmp_path / "book.yaml")
    target = tmp_path / "items.json"
    assert here("book", "list", "--book", book, "--json", str(target)).exit_code == 0
    assert target.read_text(encoding="utf-8").startswith("[")


@pytest.mark.parametrize(
    "arguments",
    [("book", "list"), ("book", "list", "--json", "-"), ("schema", "site"), ("--help",)],
)
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_full_standard_output_is_one_error(arguments: tuple[str, ...], unbuffered: str) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [*COMMAND, *arguments], stdout=full, stderr=subprocess.PIPE, text=True, check=False,
            cwd=TOP, env={**os.environ, "PYTHONUNBUFFERED": unbuffered},
        )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.startswith(FULL)
    assert len(done.stderr.splitlines()) == 2


@pytest.mark.parametrize(
    ("closed", "status", "out", "err"),
    [(">&-", 2, False, True), ("2>&-", 0, True, False), ("<&-", 0, True, False)],
)
def test_closed_streams(tmp_path: Path, closed: str, status: int, out: bool, err: bool) -> None:
    target = tmp_path / "items.json"
    done = subprocess.run(
        ["sh", "-c", f'"$@" {closed}', "sh", *COMMAND, "book", "list", "--json", str(target)],
        capture_output=True, text=True, check=False, cwd=TOP,
    )  # fmt: skip
    assert done.returncode == status
    assert bool(done.stdout) == out
    assert done.stderr.startswith(CLOSED) == err
    # A file opened later does not take the place of the stream.
    assert target.exists() == (status == 0)
    if target.exists():
        assert target.read_text(encoding="utf-8").startswith("[")


def test_help_for_a_reader_that_goes_away() -> None:
    ours, theirs = os.pipe()
    os.close(ours)
    done = subprocess.run(
        [*COMMAND, "--help"], stdout=theirs, stderr=subprocess.PIPE, text=True, check=False, cwd=TOP
    )
    os.close(theirs)
    assert (done.returncode, done.stderr) == (141, "")


WAITING = """
import time
from optimizer import solving
def wait(*_, **__):
    print("SOLVING", flush=True)
    time.sleep(60)
solving.solve_site = wait
from optimizer.cli import main
import sys
sys.argv[1:] = %r
main()
"""


@pytest.mark.parametrize(
    ("number", "status", "told"),
    [(signal.SIGINT, 130, "stopped\n"), (signal.SIGTERM, 143, "")],
)
def test_a_run_that_is_stopped_leaves_nothing_behind(
    tmp_path: Path, number: int, status: int, told: str
) -> None:
    arguments = ["solve", SITE, "--book", BOOK, "--json", str(tmp_path / "answer.json")]
    running = subprocess.Popen(
        [sys.executable, "-c", WAITING % arguments], cwd=TOP, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        # A shell may start what it puts in the background with interrupts ignored.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )  # fmt: skip
    assert running.stdout is not None
    assert running.stdout.readline() == "SOLVING\n"
    assert len(list(tmp_path.iterdir())) == 1
    running.send_signal(number)
    _, err = running.communicate(timeout=20)
    assert (running.returncode, err) == (status, told)
    assert list(tmp_path.iterdir()) == []


EXPLAINING = """
import threading
from contextlib import closing
from functools import partial
from optimizer.explaining.asking import Asker
from optimizer.explaining.crew import Crew
from optimizer.pricebook import load_book
from optimizer.cli.command import cli
import optimizer.questions, sys, time
class Endless:
    # Put to a worker, it is never answered.
    def __reduce__(self):
        return time.sleep, (60,)
def ask(book):
    with closing(Asker(book, time.monotonic() + 60, print)) as asker:
        asker.crew = Crew(book, 2)
        print(*(worker.pid for worker in asker.crew.workers), flush=True)
        asker.beside([partial(asker.crew.ask, Endless())] * 3)
optimizer.questions.solve = lambda site, book, *_: ask(book)
from optimizer.cli import main
sys.argv[1:] = %r
main()
"""


@pytest.mark.parametrize("delay", [0.0, 0.1, 1.5])
def test_an_interrupt_from_the_terminal_ends_the_workers_too(tmp_path: Path, delay: float) -> None:
    arguments = ["solve", SITE, "--book", BOOK, "--json", str(tmp_path / "answer.json")]
    running = subprocess.Popen(
        [sys.executable, "-c", EXPLAINING % arguments], cwd=TOP, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )  # fmt: skip
    assert running.stdout is not None
    workers = [int(pid) for pid in running.stdout.readline().split()]
    assert len(workers) == 2
    time.sleep(delay)
    begun = time.monotonic()
    os.killpg(running.pid, signal.SIGINT)
    _, err = running.communicate(timeout=20)
    assert (running.returncode, err) == (130, "stopped\n")
    # Long before the questions would have been answered.
    assert time.monotonic() - begun < 15
    for worker in workers:
        with pytest.raises(ProcessLookupError):
            os.kill(worker, 0)
    assert list(tmp_path.iterdir()) == []
