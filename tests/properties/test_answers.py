"""Every answer passes the audit, also read back from JSON; the same question has one answer."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import assume, given

from optimizer.audit import audit_design, read_design, surplus
from optimizer.design import Design
from optimizer.pricebook.schema import Book, Lead
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from tests.optimality.asking import loaded
from tests.properties.cases import SEEDS, case, law

TOP = Path(__file__).parents[2]
PROBLEMS = TOP / "problems"


@law(30)
@given(SEEDS)
def test_an_answer_passes_the_audit_as_it_is_and_read_back(
    tmp_path_factory: pytest.TempPathFactory, seed: int
) -> None:
    site, book = case(seed)
    answer = solve_site(site, loaded(book))
    assume(answer.met)
    path = tmp_path_factory.mktemp("answers") / "answer.json"
    path.write_text(answer.as_json(), encoding="utf-8")
    back = read_design(path)
    assert back == answer.design()
    items = {item.id: item for item in book.items}
    for design in (answer.design(), back):
        assert isinstance(design, Design)
        assert audit_design(site, items, book.offers, design) == []
        assert surplus(site, items, book.offers, design) == []


AMPLE = ("--time", "600")


def asked(arguments: list[str], seed: str) -> subprocess.CompletedProcess[bytes]:
    """The command in a process of its own, with its own order of sets and dictionaries."""
    return subprocess.run(
        # What is cut off by time may differ: a question has a share of ample time.
        [sys.executable, "-m", "optimizer", "solve", *arguments, *AMPLE, "--quiet", "--json", "-"],
        capture_output=True,
        check=False,
        cwd=TOP,
        env={**os.environ, "PYTHONHASHSEED": seed, "NO_COLOR": "1"},
    )


def readable(_: Site, book: Book) -> bool:
    """Whether the drawn book could be a file: leads of one series differ in length and price."""
    joinable: dict[str, set[bool]] = {}
    for item in book.items:
        if isinstance(item, Lead):
            joinable.setdefault(item.series, set()).add(item.joinable)
    return all(len(both) == 1 for both in joinable.values())


# Drawn cases; unmeetable ones answer too, with reasons.
@pytest.mark.parametrize("seed", [5, 19, 73])
def test_two_processes_give_the_same_bytes(tmp_path: Path, seed: int) -> None:
    site, book = case(seed, readable)
    # JSON is YAML too.
    (tmp_path / "site.yaml").write_text(json.dumps(site.model_dump(mode="json")), encoding="utf-8")
    (tmp_path / "book.yaml").write_text(json.dumps(book.model_dump(mode="json")), encoding="utf-8")
    arguments = [str(tmp_path / "site.yaml"), "--book", str(tmp_path / "book.yaml")]
    first, second = (asked(arguments, order) for order in ("1", "4242"))
    assert first.returncode in (0, 3), first.stderr.decode()
    assert json.loads(first.stdout)["schema"] == "leastkit/answer/1"
    assert first.stdout == second.stdout
    assert first.returncode == second.returncode


def test_two_processes_give_the_same_bytes_with_the_built_in_book() -> None:
    # What an explanation says is compared on drawn cases above, which are smaller.
    arguments = [str(PROBLEMS / "lost-property" / "site.yaml"), "--no-explain"]
    first, second = (asked(arguments, order) for order in ("7", "99"))
    assert first.returncode == 0, first.stderr.decode()
    assert first.stdout == second.stdout
