"""The best within a budget, on the terminal."""

from __future__ import annotations

from decimal import Decimal

from rich.console import Console
from rich.text import Text

from optimizer.reporting.page import BAD, GOOD, HEADING, QUIET, STRONG, Column, Page, row, safe
from optimizer.reporting.words import money
from optimizer.scenarios.within_findings import MoneyFor, WishTold, Within
from optimizer.site.requirements import NOT_ASKED
from optimizer.solving.explanation import Change

_HEADS = {
    "optimal": ("best within the budget, proven", GOOD),
    "feasible": ("best found, not proven", STRONG),
    "unmeetable": ("the musts do not fit, proven", BAD),
    "undecided": ("undecided", BAD),
}


def render_within(found: Within, console: Console) -> None:
    """Print what a budget buys; the kit itself is an answer like any other."""
    page = Page(console)
    words, style = _HEADS[found.status]
    page.sides(Text(safe(found.site), style=HEADING), Text(words, style=style))
    page.rule()
    tax = " with tax" if found.includes_tax else " without tax"
    amount = f"budget {money(found.budget)} {found.currency}{tax if found.tax else ''}"
    if found.spent is None:
        page.text(f"{amount}: {_nothing(found)}")
        needed = found.next_money
        if needed is not None and needed.status == "proven":
            page.text(
                f"With every wish given up it takes a budget of {money(needed.budget or '0')}, "
                f"{money(needed.more or '0')} more."
            )
        return
    page.text(f"{amount}; spent {money(found.spent)}, left {money(found.left or '0')}")
    if not found.wishes:
        page.text("The site names no wishes: everything in it is a must.", style=QUIET)
        return
    _wishes(page, found)
    _open(page, found)
    if any(one.verdict != "kept" for one in found.wishes):
        _more(page, found)


def _nothing(found: Within) -> str:
    if found.status == "unmeetable":
        return "no kit keeps the musts, even with every wish given up as far as it may be."
    return "in the time given no kit was found that keeps the musts, nor proven that there is none."


def _wishes(page: Page, found: Within) -> None:
    page.heading("Wishes", "by rank; every must is kept")
    grid = page.table(
        [
            Column("rank", figures=True),
            Column("wish"),
            Column("asked"),
            Column("in the kit"),
            Column(""),
            Column("steps", figures=True),
        ]
    )
    for one in found.wishes:
        weight = f" (weight {one.weight})" if one.weight > 1 else ""
        cells = [str(one.rank), one.requirement + weight, _asked(one), _got(one)]
        grid.add_row(*row([*cells, one.verdict, f"{one.kept} of {one.of}"]))
    page.put(grid, dense=True)


def _asked(one: WishTold) -> str:
    return one.asked if "/" in one.requirement else "there"


def _got(one: WishTold) -> str:
    if one.got is None:
        return "-"
    return one.got if "/" in one.requirement else "there"


def _open(page: Page, found: Within) -> None:
    for one in found.ranks:
        if one.most > one.kept:
            page.text(
                f"rank {one.rank} is open: {one.kept} of {one.of} by steps and weight, at most "
                f"{one.most}; more time may settle it",
                indent=1,
                hanging=2,
            )
            return
    if found.least_spent is not None and found.spent != found.least_spent:
        page.text(
            f"a plan as good may cost as little as {money(found.least_spent)}: time ran out",
            indent=1,
            hanging=2,
        )


def _more(page: Page, found: Within) -> None:
    page.heading("What more money would buy")
    if found.next_money is not None:
        page.text(f"the next better: {_line(found.next_money)}", indent=1, hanging=2)
    shown = None if found.next_money is None else found.next_money.changes
    for one in found.one_step:
        if one.changes != shown or one.status != "proven":
            page.text(f"this alone: {_line(one)}", indent=1, hanging=2)


def _line(one: MoneyFor) -> str:
    what = "; ".join(_change(change) for change in one.changes)
    if one.status == "proven":
        assert one.more is not None
        more = f"+{Decimal(one.more):,.2f} (budget {money(one.budget or '0')}): {what}"
        return "; ".join(filter(None, [more, one.because]))
    if one.status == "unmeetable":
        return f"{what or 'nothing'}: {one.because or 'no budget buys it, proven'}"
    ends = f"a budget of at least {money(one.low)}" if one.low else "an amount that is open"
    known = f", {money(one.high)} will do" if one.high else ""
    return f"{what or 'something better'}: takes {ends}{known}; time ran out"


def _change(change: Change) -> str:
    """As an estimator says it: dock/detail back to recognise."""
    name = change.requirement
    if change.asked == NOT_ASKED:
        return f"{name} comes back" if "/" not in name else f"{name} back, {change.to}"
    if change.to == NOT_ASKED:
        return f"{name} left out" if "/" not in name else f"{name} dropped (was {change.asked})"
    return f"{name} {change.asked} to {change.to}"


__all__ = ["render_within"]
