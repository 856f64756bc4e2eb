"""What is said to be open of a demand: only what may still save something."""

from __future__ import annotations

import pytest

from optimizer.explaining.explain import _left_open
from optimizer.solving.explanation import Binding, Change, Headroom, Step

CHANGE = Change(requirement="zones.gate/width", asked="4 m", to="3.5 m", steps=1)


def step(low: str | None, high: str | None) -> Step:
    """Of a kit of 100.00."""
    settled = low == high and low is not None
    return Step(
        changes=(CHANGE,),
        status="proven" if settled else "between",
        before="100.00",
        after=low if settled else None,
        low=None if settled else low,
        high=None if settled else high,
        difference="0.00" if settled else None,
    )


NOTHING, OPEN, UNKNOWN = step("100.00", "100.00"), step("90.00", "100.00"), step(None, None)
NO_CHEAPER = step("100.00", "110.00")


@pytest.mark.parametrize(
    ("eased", "dropped", "words"),
    [
        (NOTHING, NOTHING, ()),
        (OPEN, OPEN, ("zones.gate/width: what it costs",)),
        (UNKNOWN, NOTHING, ("zones.gate/width: what it costs",)),
        (NOTHING, OPEN, ("zones.gate/width: what leaving it out saves",)),
        (NO_CHEAPER, UNKNOWN, ("zones.gate/width: what leaving it out saves",)),
        # Without a step there is one question only.
        (None, OPEN, ("zones.gate/width: what it costs",)),
        # It costs no less without: how much more is of no use to anybody.
        (NOTHING, NO_CHEAPER, ()),
        (NO_CHEAPER, None, ()),
    ],
)
def test_what_is_open_of_a_demand(
    eased: Step | None, dropped: Step | None, words: tuple[str, ...]
) -> None:
    one = Binding(
        requirement="zones.gate/width", text="", asked="4 m", binds=None, eased=eased,
        dropped=dropped,
    )  # fmt: skip
    assert _left_open((one,), (), (), "") == words


def test_the_kinds_of_questions_stand_one_after_the_other() -> None:
    one = Binding(requirement="a/x", text="", asked="1", binds=None, eased=OPEN)
    head = Headroom(requirement="a/x", text="", asked="1", reaches="1", steps=0, proven=False)
    assert _left_open((one,), (head,), (), "sets") == (
        "a/x: what it costs",
        "a/x: how far it reaches",
        "sets",
    )
