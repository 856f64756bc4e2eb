"""Rounding cuts: no whole point of a program breaks one, and they do cut."""

from __future__ import annotations

import random
from itertools import product

import numpy as np
import pytest

from optimizer.model.program import FREE, Program
from optimizer.solving.relaxing import Relaxer
from optimizer.solving.rounding import Rounding, fractional


def drawn(seed: int) -> Program:
    """Up to six variables of a few values, rows of every form, at least one whole point."""
    rng = random.Random(f"rounding {seed}")
    program = Program()
    columns = [
        program.var(f"x{i}", rng.randint(1, 4), 0, cost=rng.randint(-3, 9))
        for i in range(rng.randint(2, 6))
    ]
    inside = [rng.randint(0, program.upper[c]) for c in columns]
    for number in range(rng.randint(1, 5)):
        terms = [(c, rng.randint(-7, 9)) for c in columns if rng.random() < 0.8]
        if not terms:
            continue
        there = sum(k * inside[c] for c, k in terms)
        low, high = rng.choice([(there - rng.randint(0, 3), FREE), (-FREE, there), (there, there)])
        program.row(f"row{number}", ["fact"], terms, low, high)
    return program


def points(program: Program) -> list[tuple[int, ...]]:
    """Every whole point that keeps the program, by enumeration."""
    spans = [range(low, up + 1) for low, up in zip(program.lower, program.upper, strict=True)]
    return [point for point in product(*spans) if not program.broken(point)]


def cut(program: Program) -> tuple[int, float, float]:
    """Cuts added over a few rounds, and the bound before and after; each is checked."""
    every = points(program)
    relaxer = Relaxer(program)
    rows = list(program.rows)
    point = relaxer.solve({})
    before, added = point.value, 0
    for _ in range(4):
        if not point.exact:
            break
        places = fractional(point.primal, relaxer.basic())
        tableau = [relaxer.tableau(place) for place in places]
        known = Program(program.names, program.lower, program.upper, program.cost, rows)
        cuts = Rounding(known).cuts(point.primal, tableau)
        for row in cuts:
            worst = max(
                sum(k * whole[c] for c, k in zip(row.cols, row.coefs, strict=True))
                for whole in every
            )
            assert worst <= row.hi
            here = sum(k * point.primal[c] for c, k in zip(row.cols, row.coefs, strict=True))
            assert here > row.hi
        if not cuts:
            break
        relaxer.add(cuts)
        rows += cuts
        added += len(cuts)
        point = relaxer.solve({})
    return added, before, point.value


@pytest.mark.parametrize("part", range(4))
def test_no_whole_point_is_cut_off(part: int) -> None:
    added, lifted = 0, 0
    for seed in range(100 * part, 100 * (part + 1)):
        cuts, before, after = cut(drawn(seed))
        added += cuts
        lifted += after > before + 1e-6
        assert after >= before - 1e-6
    # Nearly every draw with a fractional vertex gets a cut; a hundred draws hold dozens of them.
    assert added >= 30
    assert lifted >= 20


def test_a_cut_by_hand() -> None:
    # min y with 3 y >= 2 x, x = 1: the relaxation takes y = 2/3, whole y is 1. Gomory's cut of
    # the only fractional row says y >= x (or y >= 1), so the bound goes from 2/3 to 1.
    program = Program()
    x = program.var("x", 1, 1)
    y = program.var("y", 5, cost=1)
    program.row("enough", ["fact"], [(y, 3), (x, -2)], lo=0)
    cuts, before, after = cut(program)
    assert before == pytest.approx(2 / 3)
    assert cuts >= 1
    assert after == pytest.approx(1)


def test_numbers_that_are_too_large_are_left_alone() -> None:
    program = Program()
    x = program.var("x", 1)
    y = program.var("y", 2**30, cost=1)
    program.row("huge", ["fact"], [(y, 2**20), (x, -(2**30) + 1)], lo=-(2**50) + 3)
    rounding = Rounding(program)
    assert rounding.cuts(np.array([0.5, 0.25]), [np.array([2.0**45])]) == []
