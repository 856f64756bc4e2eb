"""The command solve: exit statuses, what goes where, and what becomes of trouble."""

from __future__ import annotations

import json
import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from optimizer.errors import Defect, InputError, Trouble
from optimizer.solving.answer import Answer
from tests.unit.cli.running import BOOK, SITE, TOP, here, real, stand_in
from tests.unit.reporting import handmade


def fails(error: BaseException) -> Answer:
    raise error


@pytest.mark.parametrize(
    ("status", "code", "words"),
    [
        ("optimal", 0, "cheapest, proven"),
        ("feasible", 0, "best found"),
        ("unmeetable", 3, "cannot be met, proven"),
        ("undecided", 4, "undecided in the time given"),
    ],
)
def test_exit_status(monkeypatch: pytest.MonkeyPatch, status: str, code: int, words: str) -> None:
    met = status in ("optimal", "feasible")
    answer = handmade.answer(status=status) if met else handmade.without_kit(status)
    stand_in(monkeypatch, answer)
    done = here("solve", SITE, "--book", BOOK)
    assert done.exit_code == code
    assert words in done.stdout
    assert words not in done.stderr


def test_the_solver_is_asked_what_the_command_says(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = stand_in(monkeypatch, handmade.answer())
    here("solve", SITE, "--book", BOOK, "--time", "7.5")
    [one] = asked
    assert one["seconds"] == 7.5
    assert one["site"].name == "Corner shop"
    assert one["book"].book.name == "hand-made book"
    assert one["site_sha256"] == handmade.load_site(SITE).source.sha256


def test_time_taken_is_a_note_on_standard_error(monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, handmade.answer())
    done = here("solve", SITE, "--book", BOOK)
    assert done.stderr.startswith("took ")
    assert done.stderr.endswith(" s\n")
    assert here("solve", SITE, "--book", BOOK, "--quiet").stderr == ""


def test_json_on_standard_output_is_alone_there(monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, handmade.answer())
    done = here("solve", SITE, "--book", BOOK, "--json", "-")
    assert done.stdout == handmade.answer().as_json()
    assert json.loads(done.stdout)["total"] == "829.58"
    assert done.exit_code == 0


def test_json_in_a_file_beside_the_report(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    stand_in(monkeypatch, handmade.answer())
    target = tmp_path / "answer.json"
    done = here("solve", SITE, "--book", BOOK, "--json", str(target))
    assert target.read_text(encoding="utf-8") == handmade.answer().as_json()
    assert "829.58 EUR" in done.stdout
    assert os.listdir(tmp_path) == ["answer.json"]


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "inf", "soon", "1000001"])
def test_unbelievable_times_are_refused(seconds: str) -> None:
    done = here("solve", SITE, "--time", seconds)
    assert done.exit_code == 2
    assert "--time" in done.stderr


def test_missing_site_is_refused_with_place_and_hint(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = stand_in(monkeypatch, handmade.answer())
    done = here("solve", "nowhere.yaml")
    assert (done.exit_code, done.stdout, asked) == (2, "", [])
    assert "nowhere.yaml" in done.stderr
    assert "hint:" in done.stderr


def test_site_and_book_must_go_together(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    asked = stand_in(monkeypatch, handmade.answer())
    text = handmade.SITE_FILE.read_text(encoding="utf-8")
    other = tmp_path / "other.yaml"
    other.write_text(text.replace("currency: EUR", "currency: CHF"), encoding="utf-8")
    money = here("solve", str(other), "--book", BOOK)
    assert money.exit_code == 2
    assert "CHF" in money.stderr
    other.write_text(text.replace("item: sign", "item: sgin"), encoding="utf-8")
    item = here("solve", str(other), "--book", BOOK)
    assert item.exit_code == 2
    assert 'did you mean "sign"?' in item.stderr
    assert asked == []


def test_a_fault_of_the_program_is_owned_up_to(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    target = tmp_path / "answer.json"
    target.write_text("from before", encoding="utf-8")
    for error in (Defect("the audit disagrees\nwith the model"), ZeroDivisionError()):
        stand_in(monkeypatch, lambda error=error: fails(error))
        done = here("solve", SITE, "--book", BOOK, "--json", str(target))
        assert done.exit_code == 1
        assert done.stdout == ""
        assert type(error).__name__ in done.stderr
        assert "This is a fault of the program, not of your files" in done.stderr
        assert "Traceback" not in done.stderr
        assert target.read_text(encoding="utf-8") == "from before"
        assert os.listdir(tmp_path) == ["answer.json"]


def test_where_a_fault_arose_is_shown_on_request(monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, lambda: fails(Defect("the audit disagrees")))
    monkeypatch.setenv("LEASTKIT_TRACE", "1")
    done = here("solve", SITE, "--book", BOOK)
    assert done.exit_code == 1
    assert "Traceback" in done.stderr
    assert "the audit disagrees" in done.stderr


def test_input_refused_late_is_still_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, lambda: fails(InputError(Trouble("too large", hint="split it"))))
    done = here("solve", SITE, "--book", BOOK)
    assert done.exit_code == 2
    assert done.stderr == "too large\n  hint:     split it\n"


@pytest.mark.parametrize("name", ["no-such-folder/a.json", "file/a.json", "folder"])
def test_a_place_that_cannot_be_written_is_known_before_the_work(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str
) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    (tmp_path / "folder").mkdir()
    asked = stand_in(monkeypatch, handmade.answer())
    done = here("solve", SITE, "--book", BOOK, "--json", str(tmp_path / name))
    assert done.exit_code == 2
    assert "the file cannot be written" in done.stderr
    assert name in done.stderr
    assert asked == []


SLOW = """
import sys, time
import optimizer.solving
from tests.unit.reporting import handmade
def solve_site(site, book, *, progress, **options):
    progress("looking for a cheaper kit")
    print("ready", flush=True)
    time.sleep({seconds})
    return handmade.answer()
optimizer.solving.solve_site = solve_site
from optimizer.cli import main
sys.argv[1:] = {arguments!r}
main()
"""


def slow(seconds: float, *arguments: str) -> list[str]:
    given = ["solve", SITE, "--book", BOOK, "--no-explain", *arguments]
    return [sys.executable, "-c", SLOW.format(seconds=seconds, arguments=given)]


def test_stopping_says_one_line_and_leaves_nothing_behind(tmp_path: Path) -> None:
    target = tmp_path / "answer.json"
    process = subprocess.Popen(
        slow(60, "--json", str(target)),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=TOP,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=30)
    assert process.returncode == 130
    assert errors == "stopped\n"
    assert list(tmp_path.iterdir()) == []


def test_long_work_shows_what_it_is_doing_on_a_terminal() -> None:
    ours, theirs = pty.openpty()
    process = subprocess.Popen(slow(2), stdout=subprocess.PIPE, stderr=theirs, cwd=TOP)
    os.close(theirs)
    process.communicate(timeout=60)
    seen = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:
            break
        if not part:
            break
        seen += part
    os.close(ours)
    assert process.returncode == 0
    assert b"looking for a cheaper kit" in seen
    assert b"took " in seen


def test_no_moving_line_where_nobody_watches() -> None:
    done = subprocess.run(slow(1.5), capture_output=True, text=True, check=True, cwd=TOP)
    assert done.stderr.startswith("took ")
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize("arguments", [("solve", SITE, "--json", "-"), ("solve", SITE)])
def test_a_reader_that_goes_away_causes_no_noise(
    arguments: tuple[str, ...], tmp_path: Path
) -> None:
    script = tmp_path / "run.py"
    script.write_text(
        SLOW.format(
            seconds=0, arguments=[*arguments, "--book", BOOK, "--quiet", "--no-explain"]
        ).replace('print("ready", flush=True)', ""),
        encoding="utf-8",
    )
    ours, theirs = os.pipe()
    os.close(ours)
    done = subprocess.run(
        [sys.executable, str(script)],
        stdout=theirs,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        cwd=TOP,
        env={**os.environ, "PYTHONPATH": str(TOP)},
    )
    os.close(theirs)
    assert done.stderr == ""
    assert done.returncode == 141


def test_the_starter_can_be_solved_as_it_stands(tmp_path: Path) -> None:
    target = tmp_path / "site.yaml"
    assert real("start", "--out", str(target)).returncode == 0
    begun = time.monotonic()
    asked = ("solve", str(target), "--no-explain", "--time", "30")
    done = real(*asked, "--json", str(tmp_path / "answer.json"))
    assert done.returncode == 0, done.stderr
    assert time.monotonic() - begun < 60
    answer = json.loads((tmp_path / "answer.json").read_text(encoding="utf-8"))
    assert answer["status"] in ("optimal", "feasible")
    checked = real("audit", str(target), str(tmp_path / "answer.json"))
    assert checked.returncode == 0, checked.stdout
