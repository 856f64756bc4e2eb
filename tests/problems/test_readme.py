"""What README.md shows is what the program does."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from optimizer.pricebook import load_book
from optimizer.site import load_site
from tests.problems.asking import FOLDER, Answers, problem

README = (FOLDER.parent / "README.md").read_text(encoding="utf-8")
LEAST_BOOK = "leastkit: book/1\nname: mine\ncurrency: EUR\nextends: builtin\n"


def _blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.M | re.S)


def test_shown_output_is_that_of_the_example(answers: Answers) -> None:
    setup, *_ = _blocks("sh")
    [name] = re.findall(r"problems/([\w-]+)/site.yaml", setup)
    asked = problem(name)
    answer = answers.answer(asked)
    [shown] = _blocks("text")
    for line in answer.bill:
        pattern = rf"^ *{line.quantity}  {line.item}  .* {line.unit_price} +{line.line_total}$"
        assert re.search(pattern, shown, re.M), line.item
    assert re.search(rf"^ *total {answer.currency} +{answer.total}$", shown, re.M)
    assert f"site {asked.site.source.sha256[:12]}, price book {asked.book.sha256[:12]}" in shown
    assert shown.count("[...]") == 4


def test_least_site_and_python_snippet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    [site], [snippet] = _blocks("yaml"), _blocks("python")
    (tmp_path / "site.yaml").write_text(site, encoding="utf-8")
    (tmp_path / "prices.yaml").write_text(LEAST_BOOK, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    exec(compile(snippet, "README.md", "exec"), {})
    first, *bill = capsys.readouterr().out.splitlines()
    status, total, currency = first.split()
    assert (status, currency) == ("optimal", load_site("site.yaml").site.money.currency)
    items = load_book("prices.yaml").items
    assert [line.split()[1] in items for line in bill] == [True] * len(bill)
    assert sum(float(line.split()[2]) for line in bill) == pytest.approx(float(total))


def test_continuous_integration_runs_the_tests_as_shown() -> None:
    [tests] = [block for block in _blocks("sh") if "pytest" in block]
    command = tests.split("&&")[-1].strip().removeprefix(".venv/bin/python ")
    assert command in (FOLDER.parent / ".ci" / "run").read_text(encoding="utf-8")
