"""What README.md shows is what the program does."""

from __future__ import annotations

import io
import re
import tomllib
from pathlib import Path

import pytest
from rich.console import Console

from optimizer.errors import installing
from optimizer.pricebook import load_book
from optimizer.questions import what_if
from optimizer.reporting import render
from optimizer.site import load_site
from tests.problems.asking import FOLDER, Answers, problem

README = (FOLDER.parent / "README.md").read_text(encoding="utf-8")
LEAST_BOOK = "leastkit: book/1\nname: mine\ncurrency: EUR\nextends: builtin\n"


def _blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.M | re.S)


def _printed(name: str, answers: Answers) -> str:
    """What the command prints of a kit on a terminal of 80 columns, its explanation apart."""
    asked = problem(name)
    out = io.StringIO()
    console = Console(file=out, width=80, highlight=False, markup=False, emoji=False)
    render(answers.answer(asked), asked.site.site, asked.book.items, console)
    return out.getvalue()


def test_shown_output_is_that_of_the_example(answers: Answers) -> None:
    setup, *_ = _blocks("sh")
    [name] = re.findall(r"problems/([\w-]+)/site.yaml", setup)
    text = _printed(name, answers)
    shown, _ = _blocks("text")
    pieces = shown.split("[...]\n")
    assert len(pieces) == 6
    assert pieces[0].startswith(problem(name).site.site.name)
    place = 0
    for piece in pieces:
        place = text.index(piece, place) + len(piece)


def test_shown_savings_and_steps_are_what_the_changed_site_costs() -> None:
    _, told = _blocks("text")
    asked = problem("corner-shop-coax")
    eased = re.findall(r"^ (\S+/\S+) +\S+ +([a-z]+) +([\d.]+) +[\d.]+$", told, re.M)
    assert [name for name, _, _ in eased] == [
        f"zones.{z}/detail" for z in ("aisles", "entrance", "till")
    ]
    cases = [(name, to, f"-{saved}") for name, to, saved in eased]
    [(same, to, more)] = re.findall(
        r"^ recording/retention .* up to (\d+ days) costs the same; (\d+ days): \+([\d.]+),",
        told,
        re.M,
    )
    cases += [("recording/retention", same, "0.00"), ("recording/retention", to, more)]
    for name, value, difference in cases:
        found = what_if(asked.site, asked.book, values={name: value}).what_if
        assert found is not None
        assert (name, value, found.difference) == (name, value, difference)


def test_the_number_of_worked_sites() -> None:
    folders = [path for path in FOLDER.iterdir() if (path / "site.yaml").exists()]
    assert len(folders) == 17
    assert "seventeen worked sites" in README


def test_a_small_site_fits_two_screens(answers: Answers) -> None:
    # Two screens of 48 lines, for the kit itself; what explains its price is apart.
    assert len(_printed("corner-shop-coax", answers).splitlines()) <= 96


def test_least_site_and_python_snippet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    [site], [snippet] = _blocks("yaml"), _blocks("python")
    (tmp_path / "site.yaml").write_text(site, encoding="utf-8")
    (tmp_path / "prices.yaml").write_text(LEAST_BOOK, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    # How much is settled in a minute hangs on the machine.
    exec(compile(snippet.replace("seconds=60", "seconds=600"), "README.md", "exec"), {})
    first, *bill = capsys.readouterr().out.splitlines()
    status, total, currency = first.split()
    assert (status, currency) == ("optimal", load_site("site.yaml").site.money.currency)
    items = load_book("prices.yaml").items
    assert [line.split()[1] in items for line in bill] == [True] * len(bill)
    assert sum(float(line.split()[2]) for line in bill) == pytest.approx(float(total))


def test_extras_are_installed_as_errors_say() -> None:
    project = tomllib.loads((FOLDER.parent / "pyproject.toml").read_text(encoding="utf-8"))
    extras = set(project["project"]["optional-dependencies"]) - {"test", "dev"}
    assert extras == {"plot", "dxf", "cluster"}
    for extra in extras:
        command = installing(extra).partition(": ")[2]
        assert command == f".venv/bin/pip install -e '.[{extra}]'"
        assert f"`{command}`" in README
    # It is the environment and the folder of the setting up.
    assert ".venv/bin/pip install -q -e ." in README
    [plan] = [part for part in README.split("\n## ") if part.startswith("A plan\n")]
    assert ".venv/bin/pip install -e '.[plot]'" in plan


def test_continuous_integration_runs_the_tests_as_shown() -> None:
    [tests] = [block for block in _blocks("sh") if "pytest" in block]
    command = tests.split("&&")[-1].strip().removeprefix(".venv/bin/python ")
    assert command in (FOLDER.parent / ".ci" / "run").read_text(encoding="utf-8")
