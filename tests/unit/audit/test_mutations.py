"""Each spoilt copy of the worked design is caught, by the rule that is meant to catch it."""

from __future__ import annotations

import pytest

from tests.unit.audit import cases_money, cases_pictures, cases_wiring
from tests.unit.audit.worked import Trial

CASES = [*cases_pictures.CASES, *cases_wiring.CASES, *cases_money.CASES]


@pytest.mark.parametrize(
    ("spoil", "rule", "kind", "place"), [c[1:] for c in CASES], ids=[c[0] for c in CASES]
)
def test_the_fault_is_caught_by_its_rule(spoil, rule, kind, place):
    trial = Trial()
    spoil(trial)
    found = trial.findings()
    assert (rule, kind, place) in [(f.rule, f.kind, f.place) for f in found], [
        str(f) for f in found
    ]


def test_the_names_of_the_cases_are_their_own():
    names = [c[0] for c in CASES]
    assert len(set(names)) == len(names) >= 60
