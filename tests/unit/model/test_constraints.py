"""Every constraint of the model decides a case, or is an aid that changes none, or rounds.

Computed from the source: a place that adds rows and is in neither table fails here.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.solving.cpsat import CpSat
from tests.unit.model.deciding import AIDS, DECIDES, KINDS, ROUNDED, Decided, decides, told_of
from tests.unit.model.tracing import SOURCES, all_labels, optimum, traced, without

AIDED = (
    *(Decided("tiny", seed, spelt) for seed in (0, 2, 7, 10, 19, 40, 72) for spelt in (0, 1)),
    *(Decided("free", seed) for seed in (12, 31, 60, 82, 126, 216, 738)),
    *(Decided("asked", seed) for seed in (19, 80, 365)),
)
"""Cases in which the aids are left out, one by one and all together."""


def place(label: str) -> str:
    """A label without what is told apart at run time."""
    return label.partition(" [")[0]


def test_every_constraint_is_listed() -> None:
    assert all_labels() == {place(label) for label in (*DECIDES, *AIDS, *ROUNDED)}
    assert len({*DECIDES, *AIDS, *ROUNDED}) == len(DECIDES) + len(AIDS) + len(ROUNDED)


def test_every_family_adds_rows() -> None:
    families = {p.stem for p in SOURCES if p.parent.name == "families"} - {"__init__"}
    # Packing writes its rows through the packs.
    assert {label.split()[0] for label in all_labels()} == (families - {"packing"}) | {"packs"}


@pytest.mark.parametrize("label", sorted(DECIDES))
def test_a_constraint_left_out_changes_the_optimum_of_its_case(label: str) -> None:
    assert decides(DECIDES[label], label)


def test_no_row_of_the_cases_is_unlisted() -> None:
    met: set[str] = set()
    for case in {*DECIDES.values(), *AIDED}:
        found = told_of(case)
        assert found is not None
        met |= set(found[1])
    assert met == {*DECIDES, *AIDS, *ROUNDED}


@pytest.mark.parametrize("case", AIDED, ids=str)
def test_aids_change_no_optimum(case: Decided) -> None:
    found = told_of(case)
    assert found is not None
    draft, labels = found
    best = optimum(draft.program)
    for label in set(labels) & set(AIDS):
        assert optimum(without(draft, labels, label)) == best, label
    bare = [r for r, own in zip(draft.program.rows, labels, strict=True) if own not in AIDS]
    draft.program.rows = bare
    assert optimum(draft.program) == best


@pytest.mark.parametrize("case", [c for c in AIDED if not c.spelt], ids=str)
def test_rounded_rows_lift_the_pooled_optimum_to_the_true_one_at_most(case: Decided) -> None:
    pooled = traced(*KINDS[case.kind](case.seed), False)
    true = traced(*KINDS[case.kind](case.seed), True)
    assert pooled is not None
    assert true is not None
    bare = [
        r for r, own in zip(pooled[0].program.rows, pooled[1], strict=True) if own not in ROUNDED
    ]
    least, with_rounding, most = (
        optimum(p)
        for p in (replace(pooled[0].program, rows=bare), pooled[0].program, true[0].program)
    )
    assert _or_never(least) <= _or_never(with_rounding) <= _or_never(most)


def _or_never(found: int | None) -> int:
    return 10**15 if found is None else found


def test_a_constraint_that_is_left_out_is_left_out() -> None:
    """The test's own tool: rows of one label go, all others stay, and the bare program costs 0."""
    found = traced(*KINDS["tiny"](0), False)
    assert found is not None
    draft, labels = found
    gone = without(draft, labels, "coverage seen/{table.name}")
    assert len(draft.program.rows) - len(gone.rows) == labels.count("coverage seen/{table.name}")
    draft.program.rows = []
    assert (CpSat(draft.program).solve(10.0).objective or 0) <= 0
