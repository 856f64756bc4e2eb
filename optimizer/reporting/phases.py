"""A purchase in phases, on the terminal."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from rich.console import Console
from rich.text import Text

from optimizer.errors import listed
from optimizer.pricebook.schema import AnyItem
from optimizer.reporting.answers import show_assumptions, show_cautions
from optimizer.reporting.explanation import swapped
from optimizer.reporting.page import BAD, GOOD, HEADING, QUIET, STRONG, Column, Page, row, safe
from optimizer.reporting.words import money, with_tax
from optimizer.scenarios.phase_findings import PhasePlan, PhaseTold

_HEADS = {
    "optimal": ("cheapest over all phases, proven", GOOD),
    "feasible": ("best found, not proven", STRONG),
    "unmeetable": ("no such purchase, proven", BAD),
    "undecided": ("undecided", BAD),
}


def render_phases(found: PhasePlan, items: Mapping[str, AnyItem], console: Console) -> None:
    """Print what each phase costs, what it orders, and what buying for later saves.

    Parameters
    ----------
    items : mapping
        The items of the price book by id.
    """
    page = Page(console)
    words, style = _HEADS[found.status]
    page.sides(Text(safe(found.site), style=HEADING), Text(words, style=style))
    page.rule()
    if found.total is None:
        page.text(found.because)
        _apart(page, found)
        return
    page.text(
        Text(f"{money(found.total)} {found.currency}", style=HEADING).append(
            f"  over {len(found.phases)} phases{with_tax(found.tax)}", style=f"not bold {QUIET}"
        )
    )
    if found.status == "feasible" and found.lower_bound is not None:
        net = "" if found.tax is None else " without tax"
        page.text(f"No purchase costs less than {money(found.lower_bound)}{net}: time ran out.")
    _table(page, found)
    _apart(page, found)
    for phase in found.phases:
        _order(page, phase, found, items)
    page.gap()
    page.text(
        "What is installed stays where it is; only which recorder, output or port serves a camera "
        "may change. Prices and tax are those of today in every phase. Lenses, wiring and feeds of "
        "the kit of each phase are in the JSON (--json FILE)."
    )
    show_assumptions(page, found.assumptions)
    show_cautions(page, found.cautions)


def _table(page: Page, found: PhasePlan) -> None:
    tax = "with tax" if found.includes_tax else "without tax"
    page.heading("Phases", f"{f'budgets {tax}; ' if found.tax else ''}apart: each bought by itself")
    apart = any(phase.apart is not None for phase in found.phases)
    budgets = any(phase.budget is not None for phase in found.phases)
    grid = page.table(
        [
            Column("phase"),
            Column("brings"),
            *([Column("budget", figures=True)] if budgets else []),
            Column("total", figures=True),
            *([Column("left", figures=True)] if budgets else []),
            *([Column("apart", figures=True)] if apart else []),
        ]
    )
    for phase in found.phases:
        budget = [_amount(phase.budget)] if budgets else []
        left = [_amount(phase.left)] if budgets else []
        beside = [_amount(phase.apart)] if apart else []
        brings = listed(phase.zones) or "no new zone"
        grid.add_row(*row([phase.id, brings, *budget, money(phase.total), *left, *beside]))
    page.put(grid, dense=True)


def _amount(text: str | None) -> str:
    return "-" if text is None else money(text)


def _apart(page: Page, found: PhasePlan) -> None:
    page.gap()
    if found.apart.status == "stopped":
        page.text(
            f"Bought one by one it ends at phase {found.apart.stopped_at}: {found.apart.because}."
        )
        return
    if found.saving is None or found.apart.total is None:
        return
    word = "" if found.apart.status == "proven" else ", as far as time allowed"
    if Decimal(found.saving) == 0:
        page.text(f"Bought one by one it costs the same{word}: nothing is bought for later.")
        return
    page.text(
        f"Bought one by one it costs {money(found.apart.total)}{word}: "
        f"buying for later saves {money(found.saving)}."
    )


def _order(page: Page, phase: PhaseTold, found: PhasePlan, items: Mapping[str, AnyItem]) -> None:
    page.heading(f"Order of {phase.id}", phase.name)
    grid = page.table(
        [
            Column("qty", figures=True, least=4),
            Column("item"),
            Column("each", figures=True, least=7),
            Column("total", figures=True, least=8),
        ]
    )
    later = {one.item: one.pieces for one in phase.for_later}
    for line in phase.bill:
        name = f"{line.item}  {items[line.item].name}"
        if line.item in later:
            name += f" - {later[line.item]} for later"
        amounts = [money(line.unit_price), money(line.line_total)]
        grid.add_row(*row([f"{line.quantity:,}", name, *amounts]))
    for cut in phase.reductions:
        grid.add_row(*row(["", f"less: {cut.because}", "", f"-{money(cut.amount)}"]))
    if Decimal(phase.labour):
        grid.add_row(*row(["", "labour for what is new", "", money(phase.labour)]))
    if Decimal(phase.tax):
        grid.add_row(*row(["", "tax", "", money(phase.tax)]))
    grid.add_row(*row(["", f"total {found.currency}", "", money(phase.total)], style=HEADING))
    page.put(grid, dense=True)
    change = swapped(phase.items)
    if change:
        page.text(f"against buying it by itself: {change}", indent=1, hanging=2)


__all__ = ["render_phases"]
