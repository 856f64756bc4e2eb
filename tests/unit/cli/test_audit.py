"""The command audit, on the hand-made kit and on kits spoilt on purpose."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import optimizer
from tests.unit.cli.running import BOOK, SITE, here
from tests.unit.reporting import handmade


def kit(tmp_path: Path, spoil: Any = None) -> str:
    data = json.loads(handmade.answer().as_json())
    if spoil is not None:
        spoil(data)
    path = tmp_path / "kit.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    return str(path)


def test_a_good_kit(tmp_path: Path) -> None:
    done = here("audit", SITE, kit(tmp_path), "--book", BOOK, "--quiet")
    assert (done.exit_code, done.stderr) == (0, "")
    assert "the design meets the site" in done.stdout


def _fewer_connectors(data: Any) -> None:
    data["parts"][0]["pieces"] = 5


def _same_channel(data: Any) -> None:
    data["cameras"][1]["channel"] = 1


@pytest.mark.parametrize("spoil", [_fewer_connectors, _same_channel])
def test_a_kit_that_does_not_meet_the_site(tmp_path: Path, spoil: Any) -> None:
    done = here("audit", SITE, kit(tmp_path, spoil), "--book", BOOK)
    assert done.exit_code == 3
    assert "the design does not meet the site" in done.stdout


def test_findings_as_json(tmp_path: Path) -> None:
    done = here("audit", SITE, kit(tmp_path, _same_channel), "--book", BOOK, "--json", "-")
    data = json.loads(done.stdout)
    assert data["schema"] == "leastkit/findings/1"
    assert data["meets_site"] is False
    assert data["findings"]
    assert {"rule", "place", "kind", "text"} <= set(data["findings"][0])
    clean = here("audit", SITE, kit(tmp_path), "--book", BOOK, "--json", "-")
    assert json.loads(clean.stdout) == {
        "schema": "leastkit/findings/1",
        "meets_site": True,
        "findings": [],
    }


def test_a_bill_typed_by_hand(tmp_path: Path) -> None:
    bill = tmp_path / "bill.yaml"
    bill.write_text("bill:\n- {item: cam-bullet, quantity: 1}\n", encoding="utf-8")
    done = here("audit", SITE, str(bill), "--book", BOOK)
    assert done.exit_code == 3
    assert "the bill does not meet the site" in done.stdout
    lines = "".join(
        f"- {{item: {line.item}, quantity: {line.quantity}}}\n" for line in handmade.BILL
    )
    bill.write_text(f"bill:\n{lines}", encoding="utf-8")
    done = here("audit", SITE, str(bill), "--book", BOOK)
    assert done.exit_code == 0
    assert "nothing found against it" in done.stdout


def test_an_answer_without_a_kit_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "answer.json"
    path.write_text(handmade.without_kit("unmeetable").as_json(), encoding="utf-8")
    done = here("audit", SITE, str(path), "--book", BOOK)
    assert done.exit_code == 2
    assert "this answer holds no design to audit" in done.stderr


def test_the_python_interface_audits_answers_paths_and_bills(tmp_path: Path) -> None:
    assert optimizer.findings(SITE, handmade.answer(), BOOK) == []
    assert optimizer.findings(SITE, handmade.answer().design(), BOOK) == []
    assert optimizer.findings(SITE, kit(tmp_path), BOOK) == []
    site, book = optimizer.load_site(SITE), optimizer.load_book(BOOK)
    assert optimizer.findings(site, [("cam-bullet", 1)], book)
    with pytest.raises(ValueError, match="unmeetable"):
        optimizer.findings(site, handmade.without_kit("unmeetable"), book)
