"""Certificates that prove nothing: mutated and invented ones, for programs that have a solution.

``python -m tests.properties.certificates 100000`` tries that many and prints what came of it; it
fails if a single one is accepted.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Any

from optimizer.explaining import checker
from optimizer.explaining.certificate import Certificate, certify
from optimizer.model.program import FREE, Program
from optimizer.solving.export import mps

SECONDS = 60.0
_EACH = 250
"""Attempts on each program."""

_WITHOUT_CASES_SKIPPED = 0.98
"""Share of the programs whose proof needs no cases that is left out."""

_MOST_ROWS = 6
"""Rows of a drawn program with the limit on its cost."""


def drawn(rng: random.Random) -> Program:
    """A small program, with a solution or without."""
    program = Program()
    for number in range(rng.randint(2, 4)):
        low = rng.randint(-2, 1)
        program.var(f"x{number}", low + rng.randint(0, 5), low, rng.randint(-4, 9))
    columns = range(len(program.names))
    for number in range(rng.randint(2, _MOST_ROWS - 1)):
        terms = [(c, rng.choice((-6, -4, -3, -2, 1, 2, 4, 5, 6, 7))) for c in columns]
        terms = rng.sample(terms, rng.randint(1, len(terms)))
        side, kind = rng.randint(-9, 15), rng.random()
        low, high = (side, FREE) if kind < 0.4 else (-FREE, side)
        if kind > 0.8:
            low, high = side, side + rng.randint(0, 3)
        program.row(f"r{number}", ["drawn"], terms, low, high)
    return program


def optimum(program: Program) -> int | None:
    """Least cost, by trying everything; None if there is no solution."""
    spans = [range(a, b + 1) for a, b in zip(program.lower, program.upper, strict=True)]
    costs = [program.value(x) for x in product(*spans) if not program.broken(x)]
    return min(costs, default=None)


def read(program: Program, below: int | None) -> tuple[Any, Any, list[Any]]:
    """Bounds and rows as the checker has them."""
    low, high, rows, cost, _ = checker.read_program(mps(program, {}))
    return low, high, rows if below is None else [*rows, (cost, None, below - 1)]


def accepted(read_in: tuple[Any, Any, list[Any]], lines: list[str]) -> bool:
    """What the checker says, as it is run on its own: whatever it raises there is a refusal."""
    try:
        checker.check(*read_in, lines)
    except (ValueError, KeyError, IndexError, TypeError):
        return False
    return True


def invented(rng: random.Random, program: Program) -> list[str]:
    """A proof out of the air."""
    lines = []
    for _ in range(rng.randint(1, 8)):
        if rng.random() < 0.4:
            var = rng.randrange(len(program.names))
            value = rng.randint(program.lower[var] - 1, program.upper[var] + 1)
            lines.append(f"if {var} {rng.choice(('<=', '>='))} {value}")
        else:
            lines.append(_sum(rng, len(program.rows) + 1))
    return lines


def mutated(rng: random.Random, lines: list[str]) -> list[str]:
    """A true proof with one to three things changed."""
    out = list(lines)
    for _ in range(rng.randint(1, 3)):
        change = rng.choice(_CHANGES)
        change(rng, out)
    return out


def _sum(rng: random.Random, rows: int) -> str:
    parts = (f"{rng.randrange(rows)}:{rng.randint(-9, 9)}" for _ in range(rng.randint(0, 4)))
    return " ".join([rng.choice(("by", "by", "so")), *parts])


def _number(rng: random.Random, lines: list[str]) -> None:
    """Another number somewhere: a multiplier, a row, a variable or a bound."""
    if not lines:
        return
    place = rng.randrange(len(lines))
    words = lines[place].replace(":", " : ").split()
    numbers = [i for i, w in enumerate(words) if w.lstrip("-").isdigit()]
    if numbers:
        one = rng.choice(numbers)
        value = int(words[one])
        words[one] = str(rng.choice((value + 1, value - 1, -value, 2 * value, value // 2)))
    lines[place] = " ".join(words).replace(" : ", ":")


def _left_out(rng: random.Random, lines: list[str]) -> None:
    if lines:
        del lines[rng.randrange(len(lines))]


def _twice(rng: random.Random, lines: list[str]) -> None:
    if lines:
        lines.insert(rng.randrange(len(lines) + 1), rng.choice(lines))


def _swapped(rng: random.Random, lines: list[str]) -> None:
    if lines:
        one, two = rng.randrange(len(lines)), rng.randrange(len(lines))
        lines[one], lines[two] = lines[two], lines[one]


def _turned(rng: random.Random, lines: list[str]) -> None:
    """A split the other way round."""
    splits = [i for i, line in enumerate(lines) if line.startswith("if")]
    if splits:
        one = rng.choice(splits)
        turned = {"<=": ">=", ">=": "<="}
        lines[one] = " ".join(turned.get(w, w) for w in lines[one].split())


def _added(rng: random.Random, lines: list[str]) -> None:
    lines.insert(rng.randrange(len(lines) + 1), _sum(rng, _MOST_ROWS))


_CHANGES: tuple[Callable[[random.Random, list[str]], None], ...] = (
    _number, _number, _number, _left_out, _twice, _swapped, _turned, _added,
)  # fmt: skip


@dataclass
class Tried:
    """What came of it.

    Attributes
    ----------
    tried, wrong : int
        Certificates for programs that have a solution, and those of them that were accepted.
    right : int
        Of the same certificates, how many hold for the program they were mutated from: that many
        came close to being a proof.
    programs, split : int
        Programs, and those of them whose true proof needs cases.
    """

    tried: int = 0
    wrong: int = 0
    right: int = 0
    programs: int = 0
    split: int = 0


def attempt(count: int, seed: int = 0) -> Tried:
    """Try so many false certificates.

    The true ones prove that nothing costs less than the optimum; the false ones claim the same of
    the price one above it, which the optimum refutes.
    """
    rng = random.Random(f"certificates {seed}")
    result = Tried()
    while result.tried < count:
        program = drawn(rng)
        least = optimum(program)
        if least is None:
            continue
        true = certify(program, SECONDS, least)
        assert isinstance(true, Certificate)
        split = any(line.startswith("if") for line in true.lines)
        if not split and rng.random() < _WITHOUT_CASES_SKIPPED:
            continue
        result.programs += 1
        result.split += split
        solvable, solved = read(program, least + 1), read(program, least)
        assert accepted(solved, list(true.lines))
        for number in range(min(_EACH, count - result.tried)):
            lines = list(true.lines)
            if number:
                lines = mutated(rng, lines) if number % 5 else invented(rng, program)
            result.tried += 1
            result.wrong += accepted(solvable, lines)
            result.right += accepted(solved, lines)
    return result


if __name__ == "__main__":
    done = attempt(int(sys.argv[1]))
    print(  # noqa: T201
        f"{done.tried} false certificates for {done.programs} programs that have a solution: "
        f"{done.wrong} accepted; {done.right} of them hold where there is none"
    )
    sys.exit(done.wrong > 0)
