"""Rows about price tiers: every design keeps them, and the relaxation is lifted by them."""

from __future__ import annotations

import random

import numpy as np

from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.solving.cpsat import CpSat
from optimizer.solving.openings import Openings
from optimizer.solving.relaxing import Relaxer
from tests.optimality.asking import loaded
from tests.optimality.generator import random_case

SEEDS = range(60)


def drafts() -> list[Draft]:
    """Programs of random sites."""
    found = []
    for seed in SEEDS:
        site, book = random_case(seed)
        instance = build_instance(site, loaded(book))
        if instance.recorders and all(z.candidates for z in instance.zones):
            found.append(build(instance))
    return found


def test_designs_keep_every_row_and_the_relaxation_is_lifted() -> None:
    rows, lifted = 0, 0
    for number, draft in enumerate(drafts()):
        rng = random.Random(number)
        program = draft.program
        model = CpSat(program)
        designs = []
        for _ in range(4):
            # Designs of all sorts: the cheapest under prices that mean nothing.
            model.minimise({i: rng.randint(-20, 50) for i in range(len(program.names))})
            values = model.solve(5, first=rng.random() < 0.5).values
            if values is not None:
                designs.append(values)
        openings = Openings(draft)
        relaxer = Relaxer(program)
        point = relaxer.solve({})
        if not point.exact:
            continue
        upper = np.array(program.upper, dtype=float)
        drawn = [rng.random() * np.array([rng.random() for _ in upper]) * upper for _ in range(5)]
        for somewhere in [point.primal, *drawn]:
            for row in openings.broken(somewhere):
                rows += 1
                for values in designs:
                    got = sum(k * values[c] for c, k in zip(row.cols, row.coefs, strict=True))
                    assert got >= row.lo, row.name
        broken = openings.broken(point.primal)
        if broken:
            relaxer.add(broken)
            lifted += relaxer.solve({}).value > point.value + 1e-3
    assert rows > 100
    assert lifted >= 3
