"""A solve that is told to stop ends soon, and nothing is claimed that was not proven."""

from __future__ import annotations

import random
import threading
import time

from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.model.program import Program
from optimizer.solving.case import opened, with_rows
from optimizer.solving.cpsat import CpSat
from optimizer.solving.search import minimise
from optimizer.solving.shrinking import Grid, shrink
from tests.optimality.asking import loaded
from tests.optimality.generator import random_case


def hard() -> Program:
    """A market split: 6 rows of random coefficients, each to be met exactly; hours of work."""
    rng = random.Random(4)
    program = Program()
    columns = [program.var(f"x/{i}", 1, cost=1) for i in range(50)]
    for number in range(6):
        terms = [(c, rng.randrange(100)) for c in columns]
        half = sum(k for _, k in terms) // 2
        program.row(f"half/{number}", [], terms, lo=half, hi=half)
    return program


def test_cp_sat_stops_when_told_from_another_thread() -> None:
    model = CpSat(hard())
    threading.Timer(1.0, model.stop).start()
    begun = time.monotonic()
    found = model.solve(300)
    assert time.monotonic() - begun < 60
    assert found.status in ("unknown", "feasible")


def test_a_search_that_is_stopped_claims_no_more_than_it_proved() -> None:
    """Stopped before its first step it knows nothing; a whole one on the same site ends proven."""
    site, book = random_case(3)
    draft = build(build_instance(site, loaded(book)))
    whole = minimise(draft, 60, lambda _: None)
    assert whole.status == "optimal"
    assert whole.objective is not None
    stopped = minimise(draft, 60, lambda _: None, stop=lambda: True)
    assert stopped.bound is None or stopped.bound <= whole.objective
    assert stopped.objective is None or stopped.objective >= whole.objective
    if stopped.status == "optimal":
        assert stopped.objective == whole.objective


def test_rows_that_come_later_lift_the_bound_of_a_case() -> None:
    """x + y >= 2 costs 2; with x <= 0 besides, y alone costs 6."""
    program = Program()
    x, y = program.var("x", 5, cost=1), program.var("y", 5, cost=3)
    program.row("sum", [], [(x, 1), (y, 1)], lo=2)
    shrunk = shrink(Grid(program), {})
    assert shrunk is not None
    case = opened(shrunk)
    assert case is not None
    assert case.bound == 2
    program.row("none", [], [(x, 1)], hi=0)
    more = with_rows(case, [case.shrunk.projected(program.rows[-1])])
    assert more is not None
    assert more.bound == 6
    program.row("nothing", [], [(x, 1), (y, 1)], hi=1)
    assert with_rows(more, [more.shrunk.projected(program.rows[-1])]) is None
