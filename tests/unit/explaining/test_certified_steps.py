"""Certificates of price steps: on the door's site, whose price list is derived in door.py."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import optimizer
from optimizer.errors import InputError
from tests.unit.explaining import door


def _checked(folder: Path) -> str:
    done = subprocess.run(
        [sys.executable, "-I", "-S", "check.py", "site.json"],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.stderr == ""
    return done.stdout


def test_each_price_has_a_certificate_that_is_checked_alone(tmp_path: Path) -> None:
    # Up to 70 days 1 TB holds HD over coax: 210.00 net. From 71 days composite on 1 TB is 220.00,
    # cheaper than HD over coax on 2 TB at 225.00.
    folder = tmp_path / "prices"
    found = optimizer.steps(
        door.asked(money={"currency": "EUR", "tax": "10 %", "budget": "10"}),
        "recording/retention", "69", "72", door.book(), 60, None, folder,
    )  # fmt: skip
    assert [(x.first, x.last, x.total) for x in found.levels] == [
        ("69 days", "70 days", "231.00"),
        ("71 days", "72 days", "242.00"),
    ]
    names = ["1-69-days", "2-71-days"]
    assert sorted(p.name for p in folder.iterdir()) == names
    assert [x.certificate for x in found.levels] == [str(folder / n) for n in names]
    for name, net in zip(names, (21000, 22000), strict=True):
        said = _checked(folder / name)
        assert said.startswith(f"accepted: no solution costs less than {net}: ")
        assert said.count("\n") == 1
    words = (folder / names[1] / "README.txt").read_text(encoding="utf-8")
    assert "costs less than 242.00 EUR with tax at recording/retention 71 days" in words


def test_a_value_that_nothing_meets_is_certified_too(tmp_path: Path) -> None:
    # 530 days of composite are on 2 TB, 531 are not.
    folder = tmp_path / "prices"
    found = optimizer.steps(
        door.asked(), "recording/retention", "530", "531", door.book(), 60, None, folder
    )
    assert [x.status for x in found.levels] == ["proven", "unmeetable"]
    assert _checked(folder / "2-531-days").startswith("accepted: no solution: ")


def test_a_proof_does_not_pass_for_another_value(tmp_path: Path) -> None:
    folder = tmp_path / "prices"
    optimizer.steps(door.asked(), "recording/retention", "70", "71", door.book(), 60, None, folder)
    (folder / "1-70-days" / "site.json").write_bytes(
        (folder / "2-71-days" / "site.json").read_bytes()
    )
    assert _checked(folder / "1-70-days").startswith("refused: ")


def test_a_folder_that_is_taken_is_refused_before_anything_is_solved(tmp_path: Path) -> None:
    (tmp_path / "old.txt").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="the certificate cannot be written there"):
        optimizer.steps(
            door.asked(), "recording/retention", "7", "9", door.book(), 60, None, tmp_path
        )


def test_without_time_there_is_no_certificate_and_none_is_claimed(tmp_path: Path) -> None:
    folder = tmp_path / "prices"
    found = optimizer.steps(
        door.asked(), "recording/retention", "7", "9", door.book(), 0.0, None, folder
    )
    assert [x.certificate for x in found.levels] == [None] * len(found.levels)
    assert list(folder.iterdir()) == []
