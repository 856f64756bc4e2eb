"""Certificates of real programs: found, written whole, accepted by the checker on its own."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from optimizer.errors import Defect
from optimizer.explaining import certificate, checker
from optimizer.explaining.certificate import Certificate, certify, certify_site, write_folder
from optimizer.explaining.certificate_rows import with_limit
from optimizer.explaining.certificate_tree import Case, Met, Search
from optimizer.explaining.certificate_trim import Trimming, written
from optimizer.instance import build_instance
from optimizer.model import Program, build
from optimizer.pricebook.loading import BUILTIN
from optimizer.solving.purchase import tax_on
from optimizer.units import money
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import book, site, zone
from tests.problems.asking import FOLDER, problem

AMPLE_S = 300.0
UNMEETABLE = (
    "far-quay",
    "hearing-room",
    "pump-by-the-reservoir",
    "tender-unmeetable",
    "three-at-once",
    "two-quarrels",
    "vault-five-years",
)
CHEAPEST = ("corner-shop-coax", "lost-property", "office-network")
MOST_BYTES = 5_000_000


@dataclass(frozen=True)
class Real:
    """The program of a problem, and the least net price that its expected.yaml implies."""

    program: Program
    net: int | None


def _real(name: str) -> Real:
    asked = problem(name)
    total = asked.expected.get("total")
    net = None
    if total is not None:
        due, rate = money(total), asked.site.site.money.tax
        net = round(due / (1 + rate))
        assert net + tax_on(net, rate) == due
    return Real(build(build_instance(asked.site.site, asked.book)).program, net)


def _checked(folder: Path, *files: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-I", "-S", "check.py", *map(str, files)],
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
    )


def _sha(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.mark.parametrize("name", UNMEETABLE)
def test_unmeetable_problems_are_certified(name: str, tmp_path: Path) -> None:
    asked = problem(name)
    found = certify(_real(name).program, AMPLE_S)
    assert found is not None
    folder = tmp_path / "certificate"
    digests = asked.site.source.sha256, asked.book.sha256
    write_folder(folder, _real(name).program, found, *digests, "No kit meets it.")
    done = _checked(folder, FOLDER / name / "site.yaml", BUILTIN)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("accepted: no solution: ")
    assert sum(f.stat().st_size for f in folder.iterdir()) < MOST_BYTES
    other = next(n for n in UNMEETABLE if n != name)
    wrong = _checked(folder, FOLDER / other / "site.yaml", BUILTIN)
    assert (wrong.returncode, wrong.stderr) == (1, "")
    assert "do not belong together" in wrong.stdout


@pytest.mark.parametrize("name", CHEAPEST)
def test_cheapest_kits_are_certified(name: str, tmp_path: Path) -> None:
    real = _real(name)
    assert real.net is not None
    found = certify(real.program, AMPLE_S, real.net)
    assert found is not None
    asked = problem(name)
    folder = tmp_path / "certificate"
    digests = asked.site.source.sha256, asked.book.sha256
    write_folder(folder, real.program, found, *digests, f"No kit costs less than {real.net}.")
    done = _checked(folder, FOLDER / name / "site.yaml", BUILTIN)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"accepted: no solution costs less than {real.net}: ")
    # The same proof does not do for the price one above, at which there is a kit.
    file = folder / "proof.txt"
    text = file.read_text(encoding="ascii")
    file.write_text(text.replace(f"than {real.net}", f"than {real.net + 1}"), encoding="ascii")
    assert _checked(folder).returncode == 1


def test_what_only_sums_allow_is_spelt_out_and_certified() -> None:
    # 45 days of 13.436928 GB are 605 GB, so each of three cameras needs a recorder of one bay for
    # itself: 3 x (camera 100 + recorder 200 + drive 50) + box 40 + 6 BNC 6 + 3 pigtails 6 + supply
    # 30 = 1,132.00. In sum 1,815 GB fit two recorders, with 250.00 less to pay.
    poor = {"currency": "EUR", "budget": "1131.99"}
    kept = {"retention": "45 days", "reserve": "0 %"}
    asked = site(zone("a"), zone("b"), zone("c"), money=poor, recording=kept)
    instance = build_instance(asked, loaded(book(rec={"bays": 1})))
    assert certify(build(instance).program, AMPLE_S) is None
    found = certify_site(instance, AMPLE_S)
    assert found is not None
    program, proof = found
    low, high, rows, _, _ = checker.read_program(certificate.mps(program, {}))
    assert checker.check(low, high, rows, list(proof.lines)) == len(proof.lines)


def test_a_site_that_is_met_is_not_certified() -> None:
    asked = problem("lost-property")
    instance = build_instance(asked.site.site, asked.book)
    assert certify_site(instance, AMPLE_S) is None
    assert certify_site(instance, 0.0) is None


def test_what_can_be_met_is_not_certified() -> None:
    real = _real("lost-property")
    assert real.net is not None
    assert certify(real.program, AMPLE_S) is None
    assert certify(real.program, AMPLE_S, real.net + 1) is None


def test_no_certificate_when_time_runs_out() -> None:
    real = _real("office-network")
    assert certify(real.program, 0.05, real.net) is None


def test_the_same_program_has_the_same_proof() -> None:
    real = _real("lost-property")
    first, second = (certify(real.program, AMPLE_S, real.net) for _ in range(2))
    assert first is not None
    assert first == second


@pytest.fixture
def small() -> Program:
    """Three of something at 5 each: costs 15, and a budget of 20."""
    program = Program()
    program.var("buy/thing", 9, cost=5)
    program.row("enough", ["zones.gate/detail"], [(0, 1)], lo=3)
    program.row("budget", ["budget"], [(0, 5)], hi=20)
    return program


def test_the_limit_on_the_price_is_a_row_or_the_budget(small: Program) -> None:
    limited, cap = with_limit(small, 15)
    assert cap == 2
    assert (limited.rows[2].coefs, limited.rows[2].hi) == ((5,), 14)
    assert with_limit(small, None) == (small, 1)
    assert len(small.rows) == 2


def test_files_say_what_they_are(small: Program, tmp_path: Path) -> None:
    found = certify(small, AMPLE_S, 15)
    assert found is not None
    assert found.claim == "no solution costs less than 15"
    folder = tmp_path / "made"
    write_folder(folder, small, found, "5" * 64, "b" * 64, "No kit costs less than 0.15.")
    names = {"README.txt", "check.py", "program.mps", "program.txt", "proof.txt"}
    assert {f.name for f in folder.iterdir()} == names
    words = (folder / "README.txt").read_text(encoding="utf-8")
    assert words.startswith("No kit costs less than 0.15.\n")
    assert "Row 2 says: cost at most 14." in words
    assert max(map(len, words.splitlines())) <= 100
    assert _sha(folder / "check.py") == _sha(Path(checker.__file__))
    assert "0  enough [zones.gate/detail]" in (folder / "program.txt").read_text(encoding="utf-8")
    assert (folder / "program.mps").read_text(encoding="ascii").splitlines()[:2] == [
        f"* site sha256 {'5' * 64}",
        f"* book sha256 {'b' * 64}",
    ]


def test_a_folder_that_holds_something_is_left_alone(small: Program, tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("kept", encoding="utf-8")
    found = Certificate((), 15)
    with pytest.raises(FileExistsError, match="not empty"):
        write_folder(tmp_path, small, found, "0", "0", "")
    assert [f.name for f in tmp_path.iterdir()] == ["mine"]


def test_a_folder_is_written_whole_or_not_at_all(
    small: Program, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(certificate.shutil, "copyfile", full)
    with pytest.raises(OSError, match="no space left"):
        write_folder(tmp_path / "made", small, Certificate((), 15), "0", "0", "")
    assert list(tmp_path.iterdir()) == []
    monkeypatch.undo()
    (tmp_path / "made").mkdir()
    write_folder(tmp_path / "made", small, Certificate((), 15), "0", "0", "")
    assert os.listdir(tmp_path) == ["made"]


def test_what_the_checker_refuses_is_a_defect(
    small: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(certificate, "written", lambda _: iter(["by 0:1"]))
    with pytest.raises(Defect, match="the checker refuses"):
        certify(small, AMPLE_S, 15)


def _cases(case: Case | None) -> Iterator[Case]:
    if case is not None:
        yield case
        yield from _cases(case.low)
        yield from _cases(case.high)


def test_trimming_leaves_out_what_nothing_rests_on() -> None:
    real = _real("lost-property")
    limited, cap = with_limit(real.program, real.net)
    root = Search(limited, cap, 1000).run(AMPLE_S)
    assert root is not None
    whole = list(written(root))
    short = list(written(Trimming(limited.rows, limited.lower, limited.upper).trim(root)))
    low, high, rows, _, _ = checker.read_program(certificate.mps(limited, {}))
    # Both are proofs: what is left out was not needed.
    assert checker.check(low, high, rows, whole) == len(whole)
    assert checker.check(low, high, rows, short) == len(short)
    assert len(short) < len(whole) / 2
    assert any(case.split for case in _cases(root))


def test_a_search_says_when_there_is_a_solution(small: Program) -> None:
    with pytest.raises(Met):
        Search(*with_limit(small, 16), 1000).run(AMPLE_S)


def test_problem_list_is_that_of_the_folder() -> None:
    states = {
        path.parent.name: problem(path.parent.name).expected["status"]
        for path in FOLDER.glob("*/site.yaml")
    }
    assert {n for n, s in states.items() if s == "unmeetable"} == set(UNMEETABLE), json.dumps(
        states
    )
