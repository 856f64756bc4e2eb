"""Many sites on the terminal and as tables for spreadsheets: answers, sums, the common order."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from decimal import Decimal

from rich.console import Console
from rich.text import Text

from optimizer.errors import listed
from optimizer.reporting.page import HEADING, QUIET, STRONG, Column, Page, row, safe
from optimizer.reporting.scenarios import STATUS_WORDS
from optimizer.reporting.words import money
from optimizer.scenarios.portfolio import Portfolio, PortfolioColumn, Purchase, SiteAnswer

_WORDS = {**STATUS_WORDS, "fault": "fault of the program"}
_LINES = 40
"""Sites, and items of an order, that are printed; all of them stand in the files."""


def render_many(found: Portfolio, folder: str, console: Console) -> None:
    """Print a portfolio: each site's total, the sums, and what one order for all would cost.

    Parameters
    ----------
    folder : str
        Where the files are.
    """
    page = Page(console)
    number = len(found.scenarios[0].sites)
    sites = f"{number} {'site' if number == 1 else 'sites'}"
    page.sides(Text(sites, style=HEADING), Text(_verdict(found.scenarios)))
    page.rule()
    page.text(f"amounts in {found.currency}; files in {safe(folder)}", style=QUIET)
    for column in found.scenarios:
        _sites(page, column, alone=len(found.scenarios) == 1)
    if len(found.scenarios) > 1:
        _compared(page, found.scenarios)
    first = next((c for c in found.scenarios if c.purchase is not None), None)
    if first is not None and first.purchase is not None:
        _purchase(page, first, first.purchase, alone=len(found.scenarios) == 1)
    page.gap()
    page.text(
        "Each kit is the cheapest for its own site, or the best found, and stays as it is in the "
        "order; other kits might be cheaper still where all are bought together. Labour is not "
        "part of the order. Cautions that go with the work stand in each answer; local codes and "
        "licensed practice decide.",
        style=QUIET,
    )


def _verdict(columns: Sequence[PortfolioColumn]) -> str:
    sites = [one for column in columns for one in column.sites]
    statuses = {one.status for one in sites}
    if statuses == {"optimal"}:
        return "all met, each the cheapest, proven"
    counts = {word: sum(one.status == key for one in sites) for key, word in _WORDS.items()}
    return ", ".join(f"{n} {word}" for word, n in counts.items() if n)


def _sites(page: Page, column: PortfolioColumn, alone: bool) -> None:
    if not alone:
        page.heading(f"Scenario {column.id}", column.name)
    grid = page.table(
        [
            Column("site"),
            Column("cameras", figures=True),
            Column("without tax", figures=True),
            Column("total", figures=True),
            Column("status"),
        ]
    )
    shown = column.sites[:_LINES]
    for one in shown:
        cameras = "-" if one.cameras is None else str(one.cameras)
        cells = [one.site, cameras, _amount(one.net), _amount(one.total), _status(one)]
        grid.add_row(*row(cells))
    hidden = column.sites[_LINES:]
    if hidden:
        known = [Decimal(one.total) for one in hidden if one.total is not None]
        more = f"{len(hidden)} more, in summary.csv"
        grid.add_row(*row([more, "", "", money(str(sum(known))), ""], style=QUIET))
    met = [one for one in column.sites if one.total is not None]
    cameras = str(sum(one.cameras or 0 for one in met))
    label = "all" if len(met) == len(column.sites) else f"{len(met)} with a kit"
    grid.add_row(
        *row([label, cameras, _amount(column.net), _amount(column.total), ""], style=STRONG)
    )
    page.put(grid)
    for one in column.sites:
        if one.because:
            page.text(f"{one.site}: {one.because}", indent=1, hanging=2)


def _amount(amount: str | None) -> str:
    return "-" if amount is None else money(amount)


def _status(one: SiteAnswer) -> str:
    if one.status == "feasible" and one.lower_bound is not None:
        return f"{_WORDS[one.status]}, at least {money(one.lower_bound)}"
    return _WORDS[one.status]


def _compared(page: Page, columns: Sequence[PortfolioColumn]) -> None:
    """Sums of the scenarios; a difference only where the same sites have a kit."""
    page.heading("Scenarios", "sums over the sites that have a kit; all orders in purchase.csv")
    grid = page.table(
        [
            Column("scenario"),
            Column("sites with a kit", figures=True),
            Column("total", figures=True),
            Column("difference", figures=True),
            Column("one order saves", figures=True),
        ]
    )
    base = columns[0]
    for column in columns:
        met = [one.site for one in column.sites if one.total is not None]
        same = met == [one.site for one in base.sites if one.total is not None]
        difference = ""
        if column is not base and same and column.total is not None and base.total is not None:
            difference = f"{Decimal(column.total) - Decimal(base.total):+,.2f}"
        saved = "-" if column.purchase is None else money(column.purchase.saving)
        cells = [column.id, f"{len(met)} of {len(column.sites)}", _amount(column.total)]
        grid.add_row(*row([*cells, difference, saved]))
    page.put(grid)


def _purchase(page: Page, column: PortfolioColumn, bought: Purchase, alone: bool) -> None:
    note = (
        "goods without tax; packs shared, price breaks and offers on the whole; apart: where each "
        "site buys for itself"
    )
    page.heading("One order" if alone else f"One order, scenario {column.id}", note)
    grid = page.table(
        [
            Column("qty", figures=True),
            Column("item"),
            Column("apart", figures=True),
            Column("left over", figures=True),
            Column("each", figures=True),
            Column("total", figures=True),
        ]
    )
    for line in bought.lines[:_LINES]:
        name = f"{line.item}  {line.name}" if page.wide else line.item
        over = str(line.over) if line.over else ""
        cells = [f"{line.quantity:,}", name, f"{line.apart:,}", over]
        grid.add_row(*row([*cells, money(line.unit_price), money(line.line_total)]))
    if len(bought.lines) > _LINES:
        rest = bought.lines[_LINES:]
        amount = sum(Decimal(line.line_total) for line in rest)
        more = f"{len(rest)} more items, in purchase.csv"
        grid.add_row(*row(["", more, "", "", "", money(str(amount))], style=QUIET))
    for taken in bought.reductions:
        grid.add_row(*row(["", f"offer: {taken.because}", "", "", "", f"-{money(taken.amount)}"]))
    grid.add_row(*row(["", "one order", "", "", "", money(bought.net)], style=STRONG))
    grid.add_row(*row(["", "each site for itself", "", "", "", money(bought.apart)]))
    page.put(grid, dense=True)
    page.text(_worth(bought), indent=1, hanging=2)
    if bought.split is not None:
        page.text(_split(bought), indent=1, hanging=2)


def _worth(bought: Purchase) -> str:
    saving = Decimal(bought.saving)
    if len(bought.sites) == 1:
        return f"only {bought.sites[0]} has a kit: there is nothing to buy together"
    taxed = ""
    if bought.saving_with_tax not in (None, bought.saving):
        assert bought.saving_with_tax is not None
        taxed = f", {money(bought.saving_with_tax.lstrip('-'))} with {bought.tax} tax"
    if saving > 0:
        return f"one order saves {money(bought.saving)}{taxed}"
    if saving < 0:
        return (
            f"one order costs {money(bought.saving.lstrip('-'))} more{taxed}: an offer applies "
            "once for each order"
        )
    return "one order costs what the sites pay apart"


def _split(bought: Purchase) -> str:
    assert bought.split is not None
    sure = "" if bought.split.proven else ", the best found"
    alone = listed(bought.split.alone)
    saved = f"saves {money(bought.split.saving)} against buying apart"
    if len(bought.split.alone) >= len(bought.sites) - 1:
        return f"cheapest{sure}: each site for itself"
    return f"cheaper{sure}: one order without {alone}, which buy for themselves, {saved}"


def portfolio_csv(found: Portfolio) -> str:
    """All answers as a table: one line for each site under each scenario, and one of sums."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    fields = ("site", "name", "file", "status", "cameras", "net", "total", "lower_bound", "gap")
    table.writerow(["scenario", *fields, "because", "answer"])
    for column in found.scenarios:
        for one in column.sites:
            values = [getattr(one, field) for field in (*fields, "because", "answer")]
            table.writerow([column.id, *("" if v is None else v for v in values)])
        sums = ["", column.net or "", column.total or "", column.lower_bound or ""]
        table.writerow([column.id, "all with a kit", "", "", "", *sums, "", "", ""])
    return out.getvalue()


def purchase_csv(found: Portfolio) -> str:
    """All orders as a table: items with their prices, and how many pieces go to each site."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    names = [one.site for one in found.scenarios[0].sites]
    head = ("scenario", "what", "id", "name", "quantity", "unit_price", "amount")
    table.writerow([*head, "pieces", "over", "apart", *(f"for {name}" for name in names)])
    for column in found.scenarios:
        if column.purchase is None:
            continue
        for line in column.purchase.lines:
            cells = [column.id, "item", line.item, line.name, line.quantity, line.unit_price]
            cells += [line.line_total, line.pieces, line.over, line.apart]
            table.writerow([*cells, *(line.sites.get(name, "") for name in names)])
        none = [""] * (3 + len(names))
        for taken in column.purchase.reductions:
            table.writerow(
                [
                    column.id,
                    "offer",
                    taken.offer,
                    taken.because,
                    "",
                    "",
                    -Decimal(taken.amount),
                    *none,
                ]
            )
        for what in ("net", "apart", "saving"):
            table.writerow([column.id, what, "", "", "", "", getattr(column.purchase, what), *none])
    return out.getvalue()


__all__ = ["portfolio_csv", "purchase_csv", "render_many"]
