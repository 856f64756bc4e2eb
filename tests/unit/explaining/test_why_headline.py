"""The one line of truth: which demands it names, and that its figures are those of the findings."""

from __future__ import annotations

from optimizer.explaining.why_headline import headline
from optimizer.solving.explanation import Binding, Change, Explanation, NextSaving, Step


def step(name: str, saves: str | None, to: str = "b", steps: int | None = 1) -> Step:
    """A step that saves so much; None where time ran out."""
    change = Change(requirement=name, asked="a", to=to, steps=steps)
    if saves is None:
        return Step(changes=(change,), status="between", before="100.00", low="50.00")
    after = f"{100 - float(saves):.2f}"
    less = f"{-float(saves):.2f}"
    return Step(changes=(change,), status="proven", before="100.00", after=after, difference=less)


def demand(name: str, eased: str | None = "", dropped: str | None = "") -> Binding:
    """A requirement that saves so much; an empty text for no such step."""
    return Binding(
        requirement=name,
        text=name,
        asked="a",
        binds=bool(eased) and float(eased or 0) > 0,
        eased=None if eased == "" else step(name, eased),
        dropped=None if dropped == "" else step(name, dropped, "not asked", None),
    )


def told(*found: Binding, complete: bool = True, following: Step | None = None) -> str:
    return headline(
        Explanation(
            total="100.00",
            currency="EUR",
            binding=found,
            complete=complete,
            next_saving=None if following is None else NextSaving(step=following),
        )
    )


def test_the_largest_savings_of_one_step_come_first() -> None:
    words = told(
        demand("a/x", "2.00", "30.00"),
        demand("b/x", "5.50", "6.00"),
        demand("c/x", "1.00", "1.00"),
        demand("d/x", "3.00", "3.00"),
        demand("e/x", "0.00", "50.00"),
    )
    assert words == (
        "Price driven most by b/x (a; b is 5.50 less); d/x (a; b is 3.00 less); "
        "a/x (a; b is 2.00 less)"
    )


def test_what_has_no_steps_counts_by_leaving_it_out() -> None:
    words = told(demand("a/x", "2.00"), demand("b/yes", dropped="7.25"))
    assert words == ("Price driven most by b/yes (without it 7.25 less); a/x (a; b is 2.00 less)")


def test_dropping_follows_where_too_few_steps_save() -> None:
    words = told(demand("a/x", "0.00", "9.00"), demand("b/x", "2.00", "2.00"))
    assert words == ("Price driven most by b/x (a; b is 2.00 less); a/x (without it 9.00 less)")


def test_that_a_zone_costs_what_it_costs_is_told_last() -> None:
    zone = demand("zones.gate", dropped="80.00")
    sign = demand("policy/require.sign", dropped="4.50")
    assert told(zone, sign, demand("zones.gate/detail", "1.00")) == (
        "Price driven most by zones.gate/detail (a; b is 1.00 less)"
    )
    assert told(zone, sign).startswith("Price driven most by zones.gate (without it 80.00 less)")


def test_nothing_that_is_not_proven_is_named() -> None:
    assert told(demand("a/x", None, None), complete=False) == ""
    assert told(demand("a/x", None), demand("b/x", "1.00"), complete=False) == (
        "Price driven most, as far as settled in time, by b/x (a; b is 1.00 less)"
    )


def test_nothing_binds_by_itself() -> None:
    assert told(demand("a/x", "0.00", "0.00")) == (
        "No single demand drives the price: easing any one of them saves nothing"
    )
    both = (Change(requirement="a/x", asked="2", to="1", steps=1),
            Change(requirement="b/x", asked="9", to="8", steps=1))  # fmt: skip
    together = Step(
        changes=both, status="proven", before="100.00", after="88.00", difference="-12.00"
    )
    assert told(demand("a/x", "0.00", "0.00"), following=together) == (
        "Nothing asked saves by itself; a/x (2 to 1) and b/x (9 to 8) saves 12.00"
    )
