"""One program, two forms and two solvers: each pair agrees on the optimum.

Pooled-then-laid-out against every pack spelt out from the start, and CP-SAT against HiGHS.
"""

from __future__ import annotations

import pytest

from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.model.families.recording import PACK
from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from optimizer.solving import highs
from optimizer.solving.layout import lay_out
from optimizer.solving.pursue import minimise
from tests.optimality.asking import loaded, program_net
from tests.optimality.generator import free_case, tiny_case

SECONDS = 60.0


def spelt_out(site: Site, book: Book) -> Draft | None:
    """The program with every unit by itself; None where the tables alone say no."""
    instance = build_instance(site, loaded(book))
    if not instance.recorders or any(not t.candidates for t in instance.zones):
        return None
    names = {*build(instance).packs, PACK}
    return build(instance, names)


def pooled_and_spelt(site: Site, book: Book) -> tuple[int | None, int | None]:
    """Optimum of the way that the program takes, and of the spelt program."""
    short = program_net(site, book)
    draft = spelt_out(site, book)
    if draft is None:
        return short, None
    found = minimise(draft, SECONDS, lambda _: None)
    assert found.status in ("optimal", "infeasible"), found.status
    if found.values is not None:
        # Nothing is left to be found: every unit is in the solution already.
        assert lay_out(draft, found.values).failed == []
    return short, found.objective


@pytest.mark.parametrize("first", range(0, 20, 5))
def test_pooled_and_laid_out_equals_spelt_out(first: int) -> None:
    wrong = {}
    for seed in range(first, first + 5):
        short, spelt = pooled_and_spelt(*tiny_case(2000 + seed))
        if short != spelt:
            wrong[seed] = (short, spelt)
    assert wrong == {}


@pytest.mark.parametrize("seed", [8004, 8007, 8011, 8020, 8031])
def test_pooled_and_laid_out_equals_spelt_out_on_larger_sites(seed: int) -> None:
    short, spelt = pooled_and_spelt(*free_case(seed))
    assert short == spelt


@pytest.mark.parametrize("first", range(0, 25, 5))
def test_the_two_solvers_agree_on_the_same_program(first: int) -> None:
    compared = 0
    for seed in range(first, first + 5):
        site, book = free_case(9000 + seed)
        instance = build_instance(site, loaded(book))
        if not instance.recorders or any(not t.candidates for t in instance.zones):
            continue
        draft = build(instance)
        one = minimise(draft, SECONDS, lambda _: None)
        two = highs.solve(draft.program, SECONDS)
        assert one.status == two.status, seed
        assert one.status in ("optimal", "infeasible"), seed
        assert one.objective == two.objective, seed
        compared += 1
    assert compared
