"""The unmeetable sites of problems/: proven so, and met as soon as what they say gives way."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import optimizer
from tests.problems.asking import FOLDER, NAMES, problem

MENDED = [
    (name, number)
    for name in NAMES
    for number, _ in enumerate(problem(name).expected.get("met when", ()))
]


def _changed(data: Any, field: str, value: Any) -> None:
    """Set a field such as zones.0.detail; a part of a list is taken out by an empty value."""
    *way, last = field.split(".")
    for part in way:
        data = data[int(part)] if isinstance(data, list) else data.setdefault(part, {})
    if isinstance(data, list):
        assert value is None
        del data[int(last)]
    else:
        data[last] = value


@pytest.mark.parametrize(("name", "number"), MENDED)
def test_met_when_something_gives_way(name: str, number: int, tmp_path: Path) -> None:
    asked = problem(name)
    data = yaml.safe_load((FOLDER / name / "site.yaml").read_text(encoding="utf-8"))
    mended = asked.expected["met when"][number]
    for field, value in mended["change"].items():
        _changed(data, field, value)
    file = tmp_path / "site.yaml"
    file.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    answer = optimizer.solve(file, asked.book, seconds=asked.seconds)
    assert (answer.status, answer.total) == ("optimal", mended["total"])
    assert optimizer.findings(file, answer, asked.book) == []


@pytest.mark.parametrize(
    "change", [{"recording.retention": "1460 days"}, {"policy.most_camera_models": 2}]
)
def test_settling_one_of_two_quarrels_is_not_enough(change: dict[str, Any], tmp_path: Path) -> None:
    asked = problem("two-quarrels")
    data = yaml.safe_load((FOLDER / "two-quarrels" / "site.yaml").read_text(encoding="utf-8"))
    for field, value in change.items():
        _changed(data, field, value)
    file = tmp_path / "site.yaml"
    file.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    assert optimizer.solve(file, asked.book, seconds=asked.seconds).status == "unmeetable"


def test_every_unmeetable_site_says_when_it_is_met() -> None:
    for name in NAMES:
        expected = problem(name).expected
        mended = "met when" in expected or "without budget" in expected
        assert mended == (expected["status"] == "unmeetable"), name
