"""The design worked out by hand keeps every rule."""

from tests.unit.audit.worked import Trial


def test_the_design_worked_by_hand_keeps_every_rule():
    assert [str(f) for f in Trial().findings()] == []
