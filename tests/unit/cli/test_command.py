"""The command as a whole: help, speed of start, files written, terminals of all kinds."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tomllib
from pathlib import Path

import click
import pytest

import optimizer
from optimizer.cli.command import cli
from optimizer.cli.running import terminal
from optimizer.cli.writing import Output
from optimizer.errors import InputError
from tests.unit.cli.running import BOOK, TOP, here, real


def commands(group: click.Group, before: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    for name, command in group.commands.items():
        found.append((*before, name))
        if isinstance(command, click.Group):
            found += commands(command, (*before, name))
    return found


@pytest.mark.parametrize("path", commands(cli), ids=" ".join)
def test_every_command_explains_itself_with_an_example(path: tuple[str, ...]) -> None:
    done = here(*path, "--help")
    assert done.exit_code == 0
    text = " ".join(done.stdout.split())
    assert f"Example: leastkit {path[0]}" in text
    for line in done.stdout.splitlines():
        assert len(line) <= 80


def test_the_set_of_commands() -> None:
    assert commands(cli) == [
        ("solve",),
        ("steps",),
        ("prove",),
        ("compare",),
        ("frontier",),
        ("draw",),
        ("many",),
        ("within",),
        ("phases",),
        ("audit",),
        ("book",),
        ("book", "list"),
        ("book", "show"),
        ("book", "check"),
        ("book", "import"),
        ("schema",),
        ("start",),
    ]


def test_help_says_what_the_exit_statuses_mean() -> None:
    text = " ".join(here("--help").stdout.split())
    for words in ("0 answered and met", "2 input refused", "3 proven", "4 undecided", "1 a fault"):
        assert words in text


def test_no_command_is_described_in_half_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    listed = here("--help").stdout.partition("Commands:\n")[2].partition("\n\n")[0].splitlines()
    assert len(listed) >= 13
    assert [line for line in listed if not line.endswith(".") or line.endswith("...")] == []


@pytest.mark.parametrize("arguments", [["--help"], ["solve", "--help"], ["--version"]])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    code = (
        "import sys\n"
        "from optimizer.cli import main\n"
        f"sys.argv[1:] = {arguments!r}\n"
        "try:\n main()\n"
        "except SystemExit:\n pass\n"
        "heavy = {'ortools', 'highspy', 'shapely', 'networkx', 'matplotlib', 'pydantic', 'numpy'}\n"
        "heavy |= {'yaml', 'rich'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_public_names() -> None:
    assert optimizer.__all__ == sorted(optimizer.__all__)
    for name in optimizer.__all__:
        assert getattr(optimizer, name).__name__ == name
        assert name in dir(optimizer)
    with pytest.raises(AttributeError, match="sovle"):
        optimizer.sovle  # noqa: B018


def test_version_is_that_of_the_package() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert optimizer.__version__ == project["version"]
    assert here("--version").stdout == f"leastkit {project['version']}\n"


def test_unknown_commands_and_options_are_refused() -> None:
    assert here("slove").exit_code == 2
    assert here("solve", "site.yaml", "--tme", "3").exit_code == 2


def test_no_colour_off_the_terminal() -> None:
    assert "\x1b" not in real("book", "list").stdout


def test_a_terminal_that_knows_ascii_only() -> None:
    done = real("book", "show", "drive-4tb", "--book", BOOK, PYTHONIOENCODING="ascii")
    assert done.returncode == 0, done.stderr
    assert "surveillance drive, 4 TB" in done.stdout
    assert done.stdout.isascii()


@pytest.mark.parametrize(
    "arguments",
    [
        ("book", "list"),
        ("schema", "book"),
        ("start", "--out", "-"),
        ("book", "list", "--json", "-"),
    ],
)
def test_a_reader_that_goes_away_causes_no_noise(arguments: tuple[str, ...]) -> None:
    ours, theirs = os.pipe()
    os.close(ours)
    done = subprocess.run(
        [sys.executable, "-m", "optimizer", *arguments],
        stdout=theirs,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        cwd=TOP,
    )
    os.close(theirs)
    assert done.stderr == ""
    assert done.returncode == 141


def _fails_half_way(target: Path) -> None:
    with Output(str(target)):
        assert len(list(target.parent.iterdir())) == 1
        raise RuntimeError("half way")


def test_a_file_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "out.json"
    with pytest.raises(RuntimeError, match="half way"):
        _fails_half_way(target)
    assert list(tmp_path.iterdir()) == []
    with Output(str(target)) as output:
        output.write("whole\n")
    assert target.read_text(encoding="utf-8") == "whole\n"
    assert [path.name for path in tmp_path.iterdir()] == ["out.json"]


def test_permissions_of_files(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        with Output(str(tmp_path / "new")) as output:
            output.write("x")
    finally:
        os.umask(before)
    assert (tmp_path / "new").stat().st_mode & 0o777 == 0o640
    old = tmp_path / "old"
    old.write_text("x", encoding="utf-8")
    old.chmod(0o604)
    with Output(str(old)) as output:
        output.write("y")
    assert old.stat().st_mode & 0o777 == 0o604


def test_links_are_followed_and_devices_written_into(tmp_path: Path) -> None:
    real_file, link = tmp_path / "real", tmp_path / "link"
    real_file.write_text("x", encoding="utf-8")
    link.symlink_to(real_file)
    with Output(str(link)) as output:
        output.write("y")
    assert link.is_symlink()
    assert real_file.read_text(encoding="utf-8") == "y"
    with Output(os.devnull) as output:
        output.write("z")
    assert not Path(os.devnull).is_file()


def test_a_disk_that_fills_up_is_reported(tmp_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.fail("this test needs /dev/full")
    with pytest.raises(InputError, match="cannot be written"), Output("/dev/full") as output:
        output.write("x" * 100_000)
    assert list(tmp_path.iterdir()) == []


def test_nowhere_to_write_is_no_trouble() -> None:
    with Output(None) as output:
        output.write("lost")
    assert output.to_stdout is False


def _overtaken(target: Path) -> None:
    with Output(str(target), fresh=True) as output:
        target.write_text("theirs", encoding="utf-8")
        output.write("ours")


def test_a_file_that_appears_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    target = tmp_path / "site.yaml"
    with pytest.raises(InputError, match="cannot be written"):
        _overtaken(target)
    assert target.read_text(encoding="utf-8") == "theirs"
    assert [path.name for path in tmp_path.iterdir()] == ["site.yaml"]


def _no_links(*_: object) -> None:
    raise PermissionError(1, "hard links are not supported here")


def test_file_systems_without_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "link", _no_links)
    target = tmp_path / "site.yaml"
    with Output(str(target), fresh=True) as output:
        output.write("ours")
    assert target.read_text(encoding="utf-8") == "ours"
    assert [path.name for path in tmp_path.iterdir()] == ["site.yaml"]
    with pytest.raises(InputError, match="cannot be written"):
        _overtaken(tmp_path / "other.yaml")


def test_json_of_the_schema_is_the_same_every_time() -> None:
    first, second = real("schema", "site").stdout, real("schema", "site").stdout
    assert first == second
    assert json.loads(first)["type"] == "object"


def test_no_color_is_respected(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert not terminal().no_color
    monkeypatch.setenv("NO_COLOR", "1")
    assert terminal().no_color
