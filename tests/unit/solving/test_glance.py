"""A short look at a program: what it calls settled is so, by enumeration of every whole point."""

from __future__ import annotations

import random
from itertools import product

import pytest

from optimizer.model.program import FREE, Program
from optimizer.solving.glance import Glance


def drawn(seed: int) -> Program:
    """Up to six variables of a few values, rows of every form, at least one whole point."""
    rng = random.Random(f"glance {seed}")
    program = Program()
    columns = [
        program.var(f"x{i}", rng.randint(1, 4), 0, cost=rng.randint(0, 9))
        for i in range(rng.randint(2, 6))
    ]
    inside = [rng.randint(0, program.upper[c]) for c in columns]
    for number in range(rng.randint(1, 5)):
        terms = [(c, rng.randint(-7, 9)) for c in columns if rng.random() < 0.8]
        if terms:
            there = sum(k * inside[c] for c, k in terms)
            low, high = rng.choice([(there, FREE), (-FREE, there + 1), (there, there)])
            program.row(f"row{number}", ["fact"], terms, low, high)
    return program


def least(program: Program) -> int:
    """The optimum, by enumeration."""
    spans = [range(low, up + 1) for low, up in zip(program.lower, program.upper, strict=True)]
    return min(program.value(p) for p in product(*spans) if not program.broken(p))


@pytest.mark.parametrize("part", range(4))
def test_what_is_settled_is_so(part: int) -> None:
    by_relaxation = 0
    for seed in range(75 * part, 75 * (part + 1)):
        program = drawn(seed)
        best = least(program)
        for limit in (best - 1, best, best + 1, best + 4):
            glance = Glance(program, limit)
            seen = glance.settle(limit, 10, 5.0)
            if best < limit:
                assert seen.status == "optimal"
                assert seen.objective == best
                assert seen.values is not None
                assert not program.broken(seen.values)
                assert program.value(seen.values) == best
                assert not glance.refuted
            else:
                assert seen.status == "infeasible"
                by_relaxation += glance.refuted
            assert seen.bound is None or seen.bound <= best
        assert Glance(program, None).settle(None, 10, 5.0).objective == best
    # The relaxation of so small a program is often enough, and a look that never used it is none.
    assert by_relaxation > 50


def test_what_is_too_large_is_left() -> None:
    program = Program()
    columns = [program.var(f"x{i}", 3, cost=1 + i % 2) for i in range(1600)]
    program.row("all", ["fact"], [(c, 2 + c % 3) for c in columns], 4001)
    seen = Glance(program, 100_000).settle(100_000, 10, 5.0)
    assert (seen.status, seen.values) == ("unknown", None)
    # Half of the 1600 cost 1 and bring 2 to 4 each, three times over: those of 4 and of 3 bring
    # 800/3 x 3 x 7 = 5600 or more, so the relaxation takes no dearer ones: about 4001/4 or more.
    assert seen.bound is not None
    assert 1000 <= seen.bound <= 1400
