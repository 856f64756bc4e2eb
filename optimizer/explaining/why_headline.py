"""One line of truth: the two or three requirements that matter most, with figures."""

from __future__ import annotations

from decimal import Decimal

from optimizer.solving.explanation import Binding, Explanation, Step

MOST_NAMED = 3


def headline(explanation: Explanation) -> str:
    """What drives the price, in one sentence from proven figures; empty where none is known.

    What one natural step saves counts, or for demands without steps what leaving them out does; the
    largest come first. Where too few save so, what saves only if left out follows. That a zone or
    a required item costs what it costs is told only where there is nothing else to tell. Savings do
    not add up, so each is told by itself.
    """
    rows = [(b, b.eased or b.dropped) for b in explanation.binding if not _plain(b)]
    named = _largest(rows)
    if len(named) < MOST_NAMED:
        told = {b.requirement for b, _ in named}
        left = [(b, b.dropped) for b in explanation.binding if b.requirement not in told]
        named += _largest([row for row in left if not _plain(row[0])])
    if not named:
        named = _largest([(b, b.eased or b.dropped) for b in explanation.binding])
    if named:
        told_of = "; ".join(_words(b, step) for b, step in named[:MOST_NAMED])
        settled = "" if explanation.complete else ", as far as settled in time,"
        return f"Price driven most{settled} by {told_of}"
    if explanation.next_saving is not None:
        step = explanation.next_saving.step
        together = " and ".join(f"{c.requirement} ({c.asked} to {c.to})" for c in step.changes)
        return f"Nothing asked saves by itself; {together} saves {_amount(step)}"
    if explanation.complete and explanation.binding:
        return "No single demand drives the price: easing any one of them saves nothing"
    return ""


def _plain(binding: Binding) -> bool:
    """Whether it is plain that it costs something: a zone, or an item that must be there."""
    place, _, quantity = binding.requirement.partition("/")
    return (place.startswith("zones.") and not quantity) or quantity.startswith("require.")


def _saves(step: Step) -> bool:
    return step.status == "proven" and Decimal(step.difference or 0) < 0


def _largest(rows: list[tuple[Binding, Step | None]]) -> list[tuple[Binding, Step]]:
    known = [(b, step) for b, step in rows if step is not None and _saves(step)]
    return sorted(known, key=lambda row: Decimal(row[1].difference or 0))[:MOST_NAMED]


def _words(binding: Binding, step: Step) -> str:
    change = step.changes[0]
    if change.steps is None:
        return f"{binding.requirement} (without it {_amount(step)} less)"
    return f"{binding.requirement} ({binding.asked}; {change.to} is {_amount(step)} less)"


def _amount(step: Step) -> str:
    return f"{-Decimal(step.difference or 0):,.2f}"
