"""leastkit prove, and solve where nothing can be met: what goes where, and the exit statuses."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from optimizer.cli.schemas import published
from tests.unit.cli.running import here
from tests.unit.explaining import door

POOR = {"currency": "EUR", "tax": "10 %", "budget": "230.99"}
"""One hundredth below the cheapest kit."""


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """The door's site, with too little money, and its price book."""
    folder = tmp_path_factory.mktemp("door")
    data = {"site": {**door.SITE, "money": POOR}, "book": door.BOOK}
    for name, content in data.items():
        (folder / f"{name}.yaml").write_text(yaml.safe_dump(content, sort_keys=False), "utf-8")
    return str(folder / "site.yaml"), str(folder / "book.yaml")


def run(command: str, files: tuple[str, str], *more: str) -> tuple[int, str]:
    done = here(command, files[0], "--book", files[1], "--quiet", *more)
    assert done.stderr == ""
    return done.exit_code, done.stdout


def data(command: str, files: tuple[str, str], *more: str) -> dict[str, Any]:
    _, text = run(command, files, *more, "--json", "-")
    found: dict[str, Any] = json.loads(text)
    return found


def test_unmeetable_is_exit_status_3_and_told(files: tuple[str, str]) -> None:
    code, text = run("prove", files)
    assert code == 3
    flat = " ".join(text.split())
    assert "cannot be met, proven" in flat
    assert "What cannot hold together" in flat
    assert "the cheapest kit is 231.00 EUR with tax, proven: 0.01 more than the budget" in flat
    assert "Ways out" in flat
    assert "Proven by a certificate that anybody can check, two solvers agree" in flat
    for line in text.splitlines():
        assert len(line) <= 80


def test_another_value_is_asked_with_is(files: tuple[str, str]) -> None:
    code, text = run("prove", files, "--is", "budget=231")
    assert code == 0
    flat = " ".join(text.split())
    assert "cheapest, proven" in flat
    assert "231.00 EUR with 10 % tax, 210.00 without; 0.00 below the budget" in flat
    assert "Met: the audited design meets every demand" in flat
    code, _ = run("prove", files, "--is", "budget=none", "--is", "recording/retention=3000")
    assert code == 3


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (("--is", "recording/retension=5"), 'did you mean "recording/retention"?'),
        (("--is", "budget"), "give ID=VALUE"),
        (("--is", "budget=1", "--is", "budget=2"), "budget is set twice"),
        (("--conflicts", "0"), "1<=x<=20"),
    ],
)
def test_what_cannot_be_asked_is_refused(
    files: tuple[str, str], wrong: tuple[str, ...], words: str
) -> None:
    done = here("prove", files[0], "--book", files[1], *wrong)
    assert done.exit_code == 2
    assert words in done.stderr


def test_json_holds_everything_and_keeps_its_schema(files: tuple[str, str]) -> None:
    found = data("prove", files)
    jsonschema.validate(found, published("answer"))
    assert found["status"] == "unmeetable"
    assert [len(c["members"]) >= 2 for c in found["conflict"]] == [True]
    assert found["ways_out"]["complete"] is True
    assert found["proof"]["certificate"]["claim"] == "no solution"
    assert found["argument"][0]["conflict"] == [
        m["requirement"] for m in found["conflict"][0]["members"]
    ]


def test_number_of_ways_out(files: tuple[str, str]) -> None:
    several = data("prove", files)["ways_out"]
    [one] = (ways := data("prove", files, "--ways", "1")["ways_out"])["found"]
    assert one == several["found"][0]
    assert ways["others"] == several["others"] + len(several["found"]) - 1


def test_certificate_is_written_and_named(files: tuple[str, str], tmp_path: Path) -> None:
    folder = tmp_path / "proof"
    code, text = run("prove", files, "--certificate", str(folder))
    assert code == 3
    # The page may break the line within a long name.
    assert f"{folder}/check.py" in "".join(text.split())
    names = {"README.txt", "check.py", "program.mps", "program.txt", "proof.txt"}
    assert {file.name for file in folder.iterdir()} == names
    done = here("prove", files[0], "--book", files[1], "--certificate", str(folder))
    assert done.exit_code == 2
    assert "the certificate cannot be written there" in done.stderr


def test_solve_tells_the_same_unless_told_not_to_explain(files: tuple[str, str]) -> None:
    solved, proven = data("solve", files), data("prove", files)
    for name in ("status", "conflict", "ways_out", "argument"):
        assert solved[name] == proven[name]
    code, text = run("solve", files)
    assert code == 3
    assert "Ways out" in text
    code, text = run("solve", files, "--no-explain")
    assert code == 3
    assert "Ways out" not in text
