"""The stand-alone checker: what it accepts, and what it refuses, each as a process of its own."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from optimizer.explaining import checker
from optimizer.explaining.certificate import Certificate, write_folder
from optimizer.model.program import Program

SITE, BOOK = b"leastkit: site/1\n", b"leastkit: book/1\n"
PROOF = (
    # x + y >= 3 with x, y <= 2 leaves x >= 1 and y >= 1. With x <= 1, 2x + 2y = 5 asks for y >= 2,
    # and is then at least 6; with x >= 2 it asks for y <= 0, and y >= 1 leaves nothing.
    "so 0:1",
    "if 0 <= 1",
    "so 1:1",
    "by 1:-1",
    "so 1:-1",
    "by 1:1",
)


def _program() -> Program:
    program = Program()
    for name in "xy":
        program.var(name, 2, cost=1)
    program.row("enough", ["zones.gate/detail"], [(0, 1), (1, 1)], lo=3)
    program.equal("odd", ["fact/odd"], [(0, 2), (1, 2)], 5)
    return program


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A certificate, moved into an otherwise empty place."""
    made = tmp_path / "made"
    digests = (hashlib.sha256(data).hexdigest() for data in (SITE, BOOK))
    write_folder(made, _program(), Certificate(PROOF), *digests, "Nothing will do.")
    alone = tmp_path / "alone"
    alone.mkdir()
    for name in ("program.mps", "proof.txt", "check.py"):
        shutil.copy(made / name, alone / name)
    (tmp_path / "site.yaml").write_bytes(SITE)
    (tmp_path / "book.yaml").write_bytes(BOOK)
    return alone


def _run(folder: Path, *files: str) -> tuple[int, str]:
    """Exit status and the one line."""
    done = subprocess.run(
        # -I: no site-packages, no current folder, no environment: the standard library alone.
        [sys.executable, "-I", "-S", str(folder / "check.py"), *files],
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
    )
    assert done.stderr == ""
    text = done.stdout
    assert text.count("\n") == 1
    return done.returncode, text.strip()


def _changed(folder: Path, name: str, old: str, new: str, *, named: bool = True) -> None:
    """Change a file; the proof then names the changed program, if it shall."""
    text = (folder / name).read_text(encoding="ascii")
    assert old in text
    (folder / name).write_text(text.replace(old, new), encoding="ascii")
    if named:
        digest = hashlib.sha256((folder / "program.mps").read_bytes()).hexdigest()
        lines = (folder / "proof.txt").read_text(encoding="ascii").splitlines()
        lines[1] = f"program {digest}"
        (folder / "proof.txt").write_text("\n".join(lines) + "\n", encoding="ascii")


def test_a_true_proof_is_accepted_by_the_checker_alone(folder: Path) -> None:
    status, line = _run(folder)
    digest = hashlib.sha256((folder / "program.mps").read_bytes()).hexdigest()
    assert (status, line) == (0, f"accepted: no solution: 6 lines, program {digest[:12]}")


def test_it_is_short_and_needs_the_standard_library_only() -> None:
    source = Path(checker.__file__).read_text(encoding="utf-8")
    assert len(source.splitlines()) < 100
    imports = {line for line in source.splitlines() if line.startswith(("import", "from"))}
    assert imports == {
        "import hashlib", "import pathlib", "import sys", "from typing import Any",
    }  # fmt: skip


def test_site_and_book_are_compared(folder: Path) -> None:
    site, book = (str(folder.parent / name) for name in ("site.yaml", "book.yaml"))
    assert _run(folder, site)[0] == 0
    assert _run(folder, site, book)[0] == 0
    for wrong in ((book,), (site, site), (book, site), (site, book, book), (site, "missing")):
        status, line = _run(folder, *wrong)
        assert status == 1
        assert line.startswith("refused: ")


def test_a_book_of_several_files_is_compared_as_a_whole(folder: Path, tmp_path: Path) -> None:
    more = tmp_path / "more.csv"
    more.write_bytes(b"id,price\n")
    sums = "\n".join(hashlib.sha256(data).hexdigest() for data in (BOOK, more.read_bytes()))
    whole = hashlib.sha256(sums.encode()).hexdigest()
    _changed(folder, "program.mps", hashlib.sha256(BOOK).hexdigest(), whole)
    site, book = (str(tmp_path / name) for name in ("site.yaml", "book.yaml"))
    assert _run(folder, site, book, str(more))[0] == 0
    assert _run(folder, site, str(more), book)[0] == 1
    assert _run(folder, site, book)[0] == 1


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        # The proof: each of these is no proof any more.
        ("proof.txt", "so 1:-1\n", ""),
        ("proof.txt", "if 0 <= 1", "if 0 <= 2"),
        ("proof.txt", "by 1:-1\n", "by 1:1\n"),
        ("proof.txt", "by 1:-1\n", "by 0:-1\n"),
        ("proof.txt", "by 1:-1\n", ""),
        ("proof.txt", "by 1:-1\n", "by 1:-1\nby 1:-1\n"),
        ("proof.txt", "so 1:1\nby 1:-1\n", "hence 1:-1\n"),
        ("proof.txt", "by 1:-1\n", "by 7:-1\n"),
        ("proof.txt", "if 0 <= 1", "if 9 <= 1"),
        ("proof.txt", "if 0 <= 1", "if 0 == 1"),
        ("proof.txt", "by 1:-1\n", "by 1:-1.0\n"),
        ("proof.txt", "leastkit/certificate/1", "leastkit/certificate/2"),
        ("proof.txt", "no solution", "no solution costs less than much"),
        # The program: each of these has a solution, or is not an integer program any more.
        ("program.mps", " RHS odd 5", " RHS odd 6"),
        ("program.mps", " E odd", " L odd"),
        ("program.mps", " x odd 2", " x odd 1"),
        ("program.mps", "'INTORG'", "'INTEND'"),
        ("program.mps", "RANGES\n", "RANGES\n RNG odd 1\n"),
        ("program.mps", " RHS odd 5", " RHS odd 5\n RHS odd 6"),
        ("program.mps", " x odd 2", " x odd 2\n x odd 2"),
        ("program.mps", " UP BND x 2", " UP BND x 2\n UP BND x 3"),
        ("program.mps", " UP BND x 2\n", ""),
        ("program.mps", " E odd\n", " E odd\n E odd\n"),
        ("program.mps", "ENDATA", "SOS\n S1 x y\nENDATA"),
        ("program.mps", " N cost\n", ""),
    ],
)
def test_anything_else_is_refused(folder: Path, name: str, old: str, new: str) -> None:
    _changed(folder, name, old, new)
    status, line = _run(folder)
    assert status == 1
    assert line.startswith("refused: ")


def test_a_proof_is_about_the_program_it_names(folder: Path) -> None:
    _changed(folder, "program.mps", "NAME leastkit", "NAME other", named=False)
    status, line = _run(folder)
    assert (status, line.split(": ")[:2]) == (1, ["refused", "ValueError"])


def test_a_claim_about_the_price_adds_the_row_that_limits_it() -> None:
    program = Program()
    program.var("x", 9, cost=5)
    program.row("enough", [], [(0, 1)], lo=3)
    # Three at 5 each cost 15: at most 14 cannot be, at most 15 can. Row 1 is the limit.
    low, high, rows = [0], [9], [({0: 1}, 3, None)]
    proof = ["by 0:5 1:-1"]
    assert checker.check(low, high, [*rows, ({0: 5}, None, 14)], proof) == 1
    with pytest.raises(ValueError, match="not closed"):
        checker.check(low, high, [*rows, ({0: 5}, None, 15)], proof)


def test_a_sum_that_leaves_a_case_open_tightens_no_more_than_it_may() -> None:
    # 3x - 2y >= 4 with x, y in 0..3: at most 9, so room 5; x >= 3 - 5 // 3 = 2 and y <= 0 + 5 // 2.
    # Indeed x = 2, y = 1 (4) and x = 3, y = 2 (5) are solutions, and x = 1 or y = 3 are none.
    rows = [({0: 3, 1: -2}, 4, None), ({0: 1}, None, 1), ({1: 1}, 3, None)]
    for row, sides in ((1, (1, 2)), (2, (3, 2))):
        column = rows[row][0]
        less = [*rows[:1], (column, *((None, sides[0]) if row == 1 else (sides[0], None)))]
        assert checker.check([0, 0], [3, 3], less, ["so 0:1", f"by 1:{-1 if row == 1 else 1}"]) == 2
        more = [*rows[:1], (column, *((None, sides[1]) if row == 1 else (sides[1], None)))]
        with pytest.raises(ValueError, match="not closed"):
            checker.check([0, 0], [3, 3], more, ["so 0:1", f"by 1:{-1 if row == 1 else 1}"])


@pytest.mark.parametrize("split", ["if 0 <= 0", "if 0 >= 1", "if 0 <= 1", "if 0 >= 2"])
def test_no_value_is_lost_between_the_two_sides_of_a_split(split: str) -> None:
    # x = 1 with x in 0..2 has a solution: whatever is split, one of the sides still holds it.
    rows = [({0: 1}, 1, 1)]
    for first in ("by 0:1", "by 0:-1"):
        for second in ("by 0:1", "by 0:-1"):
            with pytest.raises(ValueError, match="not closed"):
                checker.check([0], [2], rows, [split, first, second])


@pytest.mark.parametrize(
    ("split", "closing"),
    [("if 0 <= 0", ("by 0:1", "by 1:-1")), ("if 0 >= 1", ("by 1:-1", "by 0:1"))],
)
def test_the_first_side_of_a_split_is_the_one_that_is_named(
    split: str, closing: tuple[str, str]
) -> None:
    # x >= 1 and x <= 0: the side x = 0 fails the first, the side x >= 1 the second.
    rows = [({0: 1}, 1, None), ({0: 1}, None, 0)]
    assert checker.check([0], [2], rows, [split, *closing]) == 3
    with pytest.raises(ValueError, match="not closed"):
        checker.check([0], [2], rows, [split, *reversed(closing)])
