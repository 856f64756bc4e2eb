"""Every site in problems/ has the answer that its expected.yaml states, and the audit agrees.

The totals there were each confirmed by a second solver, or by the independent formulation in
tests/optimality, before they were written down; `confirmed by` says which.
"""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

import optimizer
from optimizer.audit import Finding, read_design
from optimizer.pricebook import load_book
from optimizer.solving.answer import Answer
from optimizer.units import money
from tests.problems.asking import FOLDER, NAMES, Answers, Problem, problem

CONFIRMERS = {"HiGHS on the same program", "second formulation in tests/optimality"}
EXPECTED = {name: problem(name).expected for name in NAMES}
MET = [name for name in NAMES if EXPECTED[name]["status"] == "optimal"]
CUT_SHORT = [name for name in MET if "seconds" in EXPECTED[name]]
PROVEN = [name for name in MET if name not in CUT_SHORT]
UNMEETABLE = [name for name in NAMES if EXPECTED[name]["status"] == "unmeetable"]
SHORT_OF_MONEY = [name for name in UNMEETABLE if "without budget" in EXPECTED[name]]


def _reloaded(asked: Problem, answers: Answers) -> tuple[Answer, list[Finding]]:
    """The answer, after its JSON was read back as a design, and what an audit finds in that."""
    file = answers.file(asked)
    answer = answers.answer(asked)
    assert json.loads(file.read_text(encoding="utf-8")) == answer.as_data()
    assert read_design(file) == answer.design()
    return answer, optimizer.findings(asked.site, file, asked.book)


@pytest.mark.parametrize("name", PROVEN)
def test_cheapest(name: str, answers: Answers) -> None:
    asked = problem(name)
    answer, findings = _reloaded(asked, answers)
    assert findings == []
    assert (answer.status, answer.total) == ("optimal", asked.expected["total"])
    assert answer.lower_bound == answer.total
    assert answer.gap == 0


@pytest.mark.parametrize("name", CUT_SHORT)
def test_kit_and_bound(name: str, answers: Answers) -> None:
    asked = problem(name)
    answer, findings = _reloaded(asked, answers)
    # The best kit found in the time may hold a piece too many; an optimal one never does.
    assert [finding for finding in findings if finding.kind != "surplus"] == []
    assert answer.status in ("optimal", "feasible")
    assert answer.total is not None
    assert answer.lower_bound is not None
    total, bound = money(answer.total), money(answer.lower_bound)
    cheapest = money(asked.expected["total"])
    assert bound <= cheapest <= total
    assert (answer.status == "optimal") == (bound == cheapest == total)
    assert bound >= 0.95 * total
    assert answer.gap == pytest.approx(1 - bound / total, abs=1e-6)


@pytest.mark.parametrize("name", UNMEETABLE)
def test_unmeetable(name: str, answers: Answers) -> None:
    asked = problem(name)
    answer = answers.answer(asked)
    assert (answer.status, answer.total, answer.bill) == ("unmeetable", None, ())
    with pytest.raises(ValueError, match="unmeetable"):
        answer.design()


@pytest.mark.parametrize("name", SHORT_OF_MONEY)
def test_only_the_budget_makes_it_unmeetable(name: str) -> None:
    asked = problem(name)
    site = asked.site.site
    budget = site.money.budget
    assert budget is not None
    free = site.money.model_copy(update={"budget": None})
    loaded = type(asked.site)(site.model_copy(update={"money": free}), asked.site.source)
    answer = optimizer.solve(loaded, asked.book, seconds=asked.seconds)
    assert (answer.status, answer.total) == ("optimal", asked.expected["without budget"])
    assert money(asked.expected["without budget"]) > budget


def test_every_kind_of_item_is_bought_somewhere(answers: Answers) -> None:
    bought = {
        line.kind
        for name in PROVEN
        for line in answers.answer(problem(name)).bill
        if line.quantity > 0
    }
    assert bought == {item.kind for item in load_book().items.values()}


def test_there_are_problems_of_every_sort() -> None:
    assert len(PROVEN) >= 7
    assert CUT_SHORT
    assert UNMEETABLE
    assert len(MET) + len(UNMEETABLE) == len(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_folder_is_complete(name: str) -> None:
    site, readme = problem(name).site.site, (FOLDER / name / "README.md").read_text("utf-8")
    heading, *lines = readme.strip().splitlines()
    assert heading.startswith("# ")
    assert "invented" in heading
    assert "Invented" in site.note
    assert 2 <= len(lines) <= 4
    confirmed = EXPECTED[name]["confirmed by"]
    assert confirmed
    assert set(confirmed) <= CONFIRMERS
    total = EXPECTED[name].get("total")
    if total is not None:
        assert f"Expected: {Decimal(total):,} {site.money.currency}." in " ".join(lines)
