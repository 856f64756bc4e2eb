"""Certificates hold where there is no solution, and none is accepted where there is one."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from optimizer.explaining.certificate import certify
from optimizer.model.program import FREE, Row
from tests.properties.certificates import SECONDS, accepted, attempt, drawn, optimum, read

TRIED = 10000
"""Share of the suite; ``python -m tests.properties.certificates 100000`` tries more."""


def test_no_false_certificate_is_accepted() -> None:
    done = attempt(TRIED, seed=1)
    assert (done.tried, done.wrong) == (TRIED, 0)
    assert done.programs >= 20
    assert done.split >= done.programs / 4
    # Many of them are so near to a proof that they are one, of what is true.
    assert done.right > TRIED // 20


@pytest.mark.parametrize("block", range(4))
def test_certified_exactly_when_there_is_no_solution(block: int) -> None:
    unmeetable = 0
    for seed in range(25 * block, 25 * (block + 1)):
        program = drawn(random.Random(f"certified {seed}"))
        least = optimum(program)
        plain = certify(program, SECONDS)
        if least is None:
            unmeetable += 1
            assert plain is not None
            assert accepted(read(program, None), list(plain.lines))
            continue
        assert plain is None
        assert certify(program, SECONDS, least + 1) is None
        proof = certify(program, SECONDS, least)
        assert proof is not None
        assert accepted(read(program, least), list(proof.lines))
        assert not accepted(read(program, least + 1), list(proof.lines))
    assert unmeetable >= 3


def test_large_numbers_change_nothing() -> None:
    unmeetable = 0
    for seed in range(40):
        rng = random.Random(f"large {seed}")
        program = drawn(rng)
        least = optimum(program)
        large = replace(program, rows=[_enlarged(rng, row) for row in program.rows])
        plain = certify(large, SECONDS)
        unmeetable += least is None
        assert (plain is None) == (least is not None)
        if least is not None:
            assert certify(large, SECONDS, least) is not None
            assert certify(large, SECONDS, least + 1) is None
    assert unmeetable >= 2


def _enlarged(rng: random.Random, row: Row) -> Row:
    """The same solutions in large numbers: k a x >= k b - r says a x >= b while 0 <= r < k."""
    factor = rng.randint(10**5, 10**7)
    return replace(
        row,
        coefs=tuple(factor * k for k in row.coefs),
        lo=row.lo if row.lo <= -FREE else factor * row.lo - rng.randrange(factor),
        hi=row.hi if row.hi >= FREE else factor * row.hi + rng.randrange(factor),
    )
