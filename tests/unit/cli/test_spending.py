"""The commands about a sum of money, on files, with the solver."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml

from tests.optimality.plain_kit import book, site, zone
from tests.unit.cli.running import here

WISHES = {"zones.b": {"rank": 1, "weight": 2}}
PHASES = """\
leastkit: phases/1
phases:
- {id: first, name: This year, zones: [a], budget: 424.00}
- {id: then, zones: [b]}
"""


@pytest.fixture(autouse=True)
def _files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    asked = site(zone("a"), zone("b"), wishes=WISHES)
    for name, model in (("site", asked), ("book", book())):
        data = model.model_dump(mode="json", exclude_none=True)
        Path(f"{name}.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    Path("phases.yaml").write_text(PHASES, encoding="utf-8")


ASKED = ("site.yaml", "--book", "book.yaml", "--quiet")
BOUGHT = ("site.yaml", "phases.yaml", "--book", "book.yaml", "--quiet")


def test_within_shows_what_became_of_the_wishes_and_the_kit() -> None:
    # One zone 424, two 528.
    done = here("within", *ASKED, "--budget", "500", "--json", "out.json")
    assert done.exit_code == 0, done.output
    lines = done.stdout.splitlines()
    assert lines[0].split("  ")[0] == "by hand"
    assert lines[0].endswith("best within the budget, proven")
    assert "budget 500.00 EUR; spent 424.00, left 76.00" in lines
    row = next(line.split() for line in lines if "zones.b" in line)
    assert row == ["1", "zones.b", "(weight", "2)", "there", "-", "left", "out", "0", "of", "1"]
    assert " the next better: +28.00 (budget 528.00): zones.b comes back" in lines
    assert any(line.startswith("424.00 EUR") for line in lines)
    data = json.loads(Path("out.json").read_text("utf-8"))
    assert data["schema"] == "leastkit/within/1"
    assert data["answer"]["schema"] == "leastkit/answer/1"
    assert data["changes"] == [
        {"requirement": "zones.b", "asked": "b", "to": "not asked", "steps": 1}
    ]


def test_the_changes_are_those_of_the_kit() -> None:
    here("within", *ASKED, "--budget", "500", "--json", "out.json")
    data = json.loads(Path("out.json").read_text("utf-8"))
    Path("answer.json").write_text(json.dumps(data["answer"]), encoding="utf-8")
    wrong = here("audit", "site.yaml", "answer.json", "--book", "book.yaml", "--quiet")
    assert wrong.exit_code == 3
    smaller = site(zone("a")).model_dump(mode="json", exclude_none=True)
    Path("smaller.yaml").write_text(yaml.safe_dump(smaller), encoding="utf-8")
    right = here("audit", "smaller.yaml", "answer.json", "--book", "book.yaml", "--quiet")
    assert right.exit_code == 0, right.output


def test_musts_that_do_not_fit() -> None:
    done = here("within", *ASKED, "--budget", "423.99")
    assert done.exit_code == 3
    assert "the musts do not fit, proven" in done.stdout
    assert "budget 423.99 EUR: no kit keeps the musts" in done.stdout
    line = "With every wish given up it takes a budget of 424.00, 0.01 more."
    assert line in done.stdout.splitlines()


def test_a_site_without_a_budget_needs_one() -> None:
    done = here("within", *ASKED)
    assert done.exit_code == 2
    assert "there is no budget" in done.stderr


def test_phases_shows_each_order() -> None:
    done = here("phases", *BOUGHT, "--json", "out.json")
    assert done.exit_code == 0, done.output
    lines = done.stdout.splitlines()
    assert lines[0].endswith("cheapest over all phases, proven")
    assert lines[2].startswith("528.00 EUR")
    rows = {
        line.split()[0]: line.split()[1:] for line in lines if line.startswith(("first", "then"))
    }
    assert rows["first"] == ["a", "424.00", "424.00", "0.00", "424.00"]
    assert rows["then"] == ["b", "-", "104.00", "-", "104.00"]
    assert "Bought one by one it costs the same: nothing is bought for later." in lines
    assert "Order of first  This year" in lines
    data = json.loads(Path("out.json").read_text("utf-8"))
    assert data["schema"] == "leastkit/phase-plan/1"
    assert [phase["total"] for phase in data["phases"]] == ["424.00", "104.00"]


def test_phases_that_no_money_buys() -> None:
    Path("phases.yaml").write_text(PHASES.replace("424.00", "423.99"), encoding="utf-8")
    done = here("phases", *BOUGHT)
    assert done.exit_code == 3
    assert "no such purchase, proven" in done.stdout
    assert "without them the cheapest purchase costs 528.00 (first 424.00, then 104.00)" in (
        " ".join(done.stdout.split())
    )


def test_the_same_question_twice_gives_the_same_bytes() -> None:
    for command in (("within", *ASKED, "--budget", "500"), ("phases", *BOUGHT)):
        once, twice = (here(*command, "--json", "-").stdout for _ in range(2))
        assert once == twice
        assert json.loads(once)


def test_files_that_are_read_are_not_written_over() -> None:
    done = here("phases", *BOUGHT, "--json", "phases.yaml")
    assert done.exit_code == 2
    assert Path("phases.yaml").read_text(encoding="utf-8") == PHASES


def test_the_schema_of_phases() -> None:
    done = here("schema", "phases")
    made = json.loads(done.stdout)
    assert made["title"] == "leastkit phases file"
    assert set(made["properties"]) == {"leastkit", "name", "note", "phases"}
