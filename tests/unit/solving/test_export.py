"""A program as text: what a general solver reads is the program, and the listing says it all."""

from __future__ import annotations

import random
from pathlib import Path

import highspy
import pytest

from optimizer.explaining import checker
from optimizer.model.program import FREE, Program
from optimizer.solving.export import listing, mps
from tests.properties.certificates import drawn, optimum


def _program() -> Program:
    """Rows of all kinds, names that MPS cannot hold, a column that stands in no row."""
    program = Program()
    for name, low, high, cost in (
        ("feed/12 V DC", 0, 4, 7),
        ("feed/12_V_DC", -3, 2, -1),
        ("cost", 0, 1, 0),
        ("'MARKER'", 0, 9, 2),
    ):
        program.var(name, high, low, cost)
    program.row("at least", ["zones.gate/detail"], [(0, 1), (1, 2)], lo=3)
    program.row("cost", ["budget"], [(0, 7), (1, -1)], hi=20)
    program.row("both", ["fact/price", "budget"], [(1, 1), (3, -4)], lo=-9, hi=5)
    program.equal("même", [], [(0, 1), (3, -1)], 0)
    program.row("nothing", [], [(2, 1)])
    return program


def test_the_checker_reads_back_what_was_written() -> None:
    program = _program()
    low, high, rows, cost, files = checker.read_program(
        mps(program, {"site": "ab12", "book": "cd34"})
    )
    assert (low, high) == (program.lower, program.upper)
    assert [cost.get(v, 0) for v in range(4)] == program.cost
    assert files == {"site": "ab12", "book": "cd34"}
    assert rows == [
        ({0: 1, 1: 2}, 3, None),
        ({0: 7, 1: -1}, None, 20),
        ({1: 1, 3: -4}, -9, 5),
        ({0: 1, 3: -1}, 0, 0),
        ({2: 1}, None, None),
    ]


def test_text_is_plain_and_names_are_all_different() -> None:
    text = mps(_program(), {})
    assert text.isascii()
    columns = text.split("COLUMNS\n")[1].split("RHS\n")[0].splitlines()[1:-1]
    names = list(dict.fromkeys(line.split()[0] for line in columns))
    assert names == ["feed/12_V_DC", "feed/12_V_DC.2", "cost", "_MARKER_"]
    kinds = text.split("ROWS\n")[1].split("COLUMNS\n")[0].split()
    assert kinds == [
        "N", "cost", "G", "at_least", "L", "cost.2", "G", "both", "E", "m_me", "N", "nothing",
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(20))
def test_a_general_solver_finds_the_same_optimum(seed: int, tmp_path: Path) -> None:
    program = drawn(random.Random(f"exported {seed}"))
    file = tmp_path / "program.mps"
    file.write_text(mps(program, {"site": "0", "book": "1"}), encoding="ascii")
    solver = highspy.Highs()
    solver.setOptionValue("threads", 1)
    solver.silent()
    assert solver.readModel(str(file)) == highspy.HighsStatus.kOk
    solver.run()
    least = optimum(program)
    if least is None:
        assert solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible
    else:
        assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        assert round(solver.getInfo().objective_function_value) == least


def test_listing_says_what_each_row_stands_for() -> None:
    program = _program()
    program.row("empty", ["fact/none"], [], lo=1, hi=FREE)
    text = listing(program)
    assert "0  0 to 4, cost 7  feed/12 V DC\n" in text
    assert "2  0 to 1  cost\n" in text
    assert "0  at least [zones.gate/detail]\n    3 <= + feed/12 V DC + 2 x feed/12_V_DC\n" in text
    assert "2  both [fact/price, budget]\n    -9 <= + feed/12_V_DC - 4 x 'MARKER' <= 5\n" in text
    assert "3  même []\n    + feed/12 V DC - 'MARKER' = 0\n" in text
    assert "5  empty [fact/none]\n    1 <= 0\n" in text


def test_long_rows_are_broken_between_terms() -> None:
    program = Program()
    terms = [(program.var(f"a/rather/long/name/of/a/variable/{n}", 1), n + 1) for n in range(9)]
    program.row("long", [], terms, hi=3)
    lines = listing(program).splitlines()
    start = lines.index("0  long []")
    assert len(lines[start + 1 :]) > 3
    assert max(map(len, lines)) <= 100
    words = " ".join(" ".join(lines[start + 1 :]).split())
    assert words.startswith("+ a/rather/long/name/of/a/variable/0 + 2 x a/rather")
    assert words.endswith("+ 9 x a/rather/long/name/of/a/variable/8 <= 3")
