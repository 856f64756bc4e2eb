"""Why a site cannot be met, how that is proven, and what would have to change: on the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from optimizer.errors import listed
from optimizer.reporting.page import GOOD, QUIET, STRONG, Column, Page, row, safe
from optimizer.reporting.words import money
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import Change
from optimizer.solving.proof import (
    Argument,
    BudgetAlone,
    Conflict,
    Lacking,
    Proof,
    WayOut,
    WaysOut,
)
from optimizer.solving.wording import count

MOST_MEMBERS = 10
"""Members of a conflict that are set out one by one; a budget's own are too many to follow."""
MOST_COSTS = 8
MOST_STEPS = 16

_BUDGET = "budget"

NOT_THE_SITE = (
    "Others alone: what a kit for only the other demands of this table costs, with nothing else "
    "that is asked. It is no price of the site: the ways out tell those."
)


def show_proof(page: Page, answer: Answer) -> None:
    """Print what stands in the way of a site, and the ways out."""
    proof = answer.proof
    if proof is None:
        return
    number = len(answer.conflict)
    for place, conflict in enumerate(answer.conflict):
        _conflict(page, conflict, place + 1, number, answer)
    if number:
        _whether_all(page, answer, proof)
    _costs(page, proof, answer.currency)
    if answer.ways_out is not None:
        _ways(page, answer.ways_out, answer.currency)
    _proof(page, proof)


def render_met(answer: Answer, console: Console) -> None:
    """Print the verdict on a site that can be met, below its kit."""
    if answer.proof is not None:
        _proof(Page(console), answer.proof)


def _conflict(page: Page, conflict: Conflict, place: int, number: int, answer: Answer) -> None:
    which = f"Conflict {place} of {number}" if number > 1 else "What cannot hold together"
    note = "without any one of these the others can be met"
    if not conflict.smallest:
        note = "some may not be needed for it: time ran out"
    if place > 1:
        apart = "apart from those before" if conflict.independent else "overlaps those before"
        note = f"{apart}; {note}"
    page.heading(which, note)
    if len(conflict.members) > MOST_MEMBERS:
        page.text(
            f"{len(conflict.members)} demands together: {_grouped(conflict)}.", indent=1, hanging=2
        )
    else:
        _members(page, conflict, answer.currency)
    argument = next((a for a in answer.argument if a.conflict == conflict.ids), None)
    if argument is not None:
        _argument(page, argument)
    lacking = answer.proof.lacking if answer.proof else ()
    for place, one in enumerate(o for o in lacking if o.conflict == conflict.ids):
        _lacking(page, one, "The book lacks" if place == 0 else "Or")


def _grouped(conflict: Conflict) -> str:
    """Members by place: "zones.gate (detail, night), budget"."""
    places: dict[str, list[str]] = {}
    for name in conflict.ids:
        place, _, quantity = name.partition("/")
        told = places.setdefault(place, [])
        if quantity:
            told.append(quantity)
    return listed(f"{p} ({', '.join(q)})" if q else p for p, q in places.items())


def _members(page: Page, conflict: Conflict, currency: str) -> None:
    head = f"others alone, {currency}"
    grid = page.table([Column("demand"), Column("asked"), Column("line", True), Column(head, True)])
    for member in conflict.members:
        total = "open" if member.total_without is None else money(member.total_without)
        if member.needed and member.total_without == "0.00":
            total = "nothing left"
        line = "" if member.line is None else str(member.line)
        grid.add_row(*row([member.requirement, member.text, line, total]))
    page.put(grid, dense=True)
    if len(conflict.members) > 1:
        page.text(NOT_THE_SITE, indent=1, hanging=2, style=QUIET)


def _argument(page: Page, argument: Argument) -> None:
    """The steps after those that only say what is asked."""
    steps = [s for s in argument.steps if not s.text.startswith("Asked: ")]
    if not steps:
        return
    page.gap()
    page.text("Why, step by step:", style=STRONG)
    for number, step in enumerate(steps[:MOST_STEPS], 1):
        text = Text(f"{number}. {safe(step.text)}")
        if step.origin != "arithmetic":
            text.append(f"  ({safe(step.origin)})", style=QUIET)
        page.text(text, indent=1, hanging=3)
    if len(steps) > MOST_STEPS:
        page.text(f"{len(steps) - MOST_STEPS} steps more are in the answer as JSON.", indent=1)
    if not argument.closed:
        page.text(
            "These steps alone do not close it; the rest is proven by the solvers, and by the "
            "certificate where there is one.",
            indent=1,
        )


def _lacking(page: Page, one: Lacking, start: str) -> None:
    end = "the whole site is met" if one.site_met else "this conflict is gone"
    page.gap()
    page.text(
        f"{start}: a {one.kind} like {one.like}, but with {' and '.join(one.needs)}. "
        f"With it, {end} (tried)."
    )


def _whether_all(page: Page, answer: Answer, proof: Proof) -> None:
    number = len(answer.conflict)
    if proof.all_conflicts:
        words = "There is no other conflict; this is proven." if number == 1 else ""
    else:
        words = "There may be other conflicts that share demands with these."
    if number > 1 and all(c.independent for c in answer.conflict):
        words = f"They have no demand in common: each has to be settled by itself. {words}"
    if words:
        page.gap()
        page.text(words.strip())


def _costs(page: Page, proof: Proof, currency: str) -> None:
    if not proof.costs:
        return
    page.heading(
        "What each demand costs", f"{currency} saved if it alone is not asked; they do not add up"
    )
    grid = page.table([Column("demand"), Column("asked"), Column("saves", True)])
    for one in proof.costs[:MOST_COSTS]:
        grid.add_row(*row([one.requirement, one.text, money(one.saving)]))
    page.put(grid, dense=True)
    more = len(proof.costs) - MOST_COSTS
    if more > 0:
        page.text(f"and {count(more, 'demand')} that save less", indent=1, style=QUIET)


def _ways(page: Page, ways: WaysOut, currency: str) -> None:
    page.heading("Ways out", "fewest changes first; each proven by a design that was checked")
    if ways.budget is not None:
        page.text(_budget(ways.budget, currency), indent=1)
    for number, way in enumerate(ways.found, 1):
        _way(page, number, way, currency)
    if ways.others:
        page.text(f"and {ways.others} more, found too: --ways shows up to 20", indent=1)
    touched = count(ways.longest, "demand")
    if not ways.found:
        none = (
            f"No change of up to {touched} is enough"
            if ways.complete
            else "No other was found in the time given"
        )
        page.text(f"{none}.", indent=1)
    elif ways.complete:
        page.text(f"It is proven that no other set of up to {touched} is a way out.", indent=1)
    else:
        page.text(
            f"There may be more ways that change up to {touched}: the list is not complete.",
            indent=1,
        )
    if ways.untouchable:
        page.text(f"Not touched, as asked: {listed(ways.untouchable)}.", indent=1, style=QUIET)


def _budget(budget: BudgetAlone, currency: str) -> str:
    if budget.enough == "no":
        return "No budget would be enough: it cannot be met at any price."
    if budget.enough == "open" or budget.total is None:
        return "Whether a higher budget alone would be enough was not settled in the time given."
    tax = "" if budget.tax is None else " with tax"
    if budget.lower_bound == budget.total:
        return (
            f"Without a budget the cheapest kit is {money(budget.total)} {currency}{tax}, "
            f"proven: {money(budget.more or '0.00')} more than the budget."
        )
    least = "" if budget.lower_bound is None else f", none below {money(budget.lower_bound)}"
    return f"Without a budget a kit is known at {money(budget.total)} {currency}{tax}{least}."


def _way(page: Page, number: int, way: WayOut, currency: str) -> None:
    text = Text(f"{number}. ")
    for place, change in enumerate(way.changes):
        if place:
            text.append("; and ", style=f"not bold {QUIET}")
        text.append(safe(_change(change, way)), style=STRONG)
    price = f"  {money(way.total)} {currency}"
    text.append(price if way.cheapest else f"{price} or less", style=f"not bold {GOOD}")
    if not way.smallest:
        text.append("  (a smaller change may do: not settled)", style=f"not bold {QUIET}")
    page.text(text, indent=1, hanging=3)


def _change(change: Change, way: WayOut) -> str:
    """A change in words: "zones.gate/detail from identify to recognise"."""
    if change.requirement == _BUDGET and way.more_budget is not None:
        return f"budget +{money(way.more_budget)}, to {money(change.to)}"
    place, _, quantity = change.requirement.partition("/")
    if not quantity:
        return f"leave out {place}"
    if change.to == "not asked":
        what = "" if change.asked == "true" else f" ({change.asked})"
        return f"{change.requirement}: do not ask for it{what}"
    return f"{change.requirement} from {change.asked} to {change.to}"


def _proof(page: Page, proof: Proof) -> None:
    page.heading("How it is proven")
    words = proof.words[:1].upper() + proof.words[1:]
    made = proof.certificate
    if made is not None:
        size = f"{made.bytes:,} bytes, {count(made.sums, 'weighted sum')}"
        cases = "" if made.cases == 1 else f" in {made.cases:,} cases"
        words += f". The certificate: {size}{cases}"
        if made.folder is not None:
            words += f"; written to {made.folder}, check it with: python3 {made.folder}/check.py"
        else:
            words += "; --certificate FOLDER writes it with its checker"
    page.text(f"{words}.", indent=1)
    _limits(page, proof.limits)
    for one in proof.left_open:
        page.text(f"Left open: {one}.", indent=1, style=QUIET)
    if proof.left_open:
        page.text("leastkit prove SITE --time SECONDS takes longer over it.", indent=1, style=QUIET)


def _limits(page: Page, limits: Sequence[str]) -> None:
    page.text(f"What it does not cover: {'; '.join(limits)}.", indent=1, style=QUIET)


__all__ = ["render_met", "show_proof"]
