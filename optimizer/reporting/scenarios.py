"""Scenarios side by side and frontiers, on the terminal and as a table for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from rich.console import Console
from rich.text import Text

from optimizer.pricebook.schema import AnyItem
from optimizer.reporting.explanation import signed, swapped
from optimizer.reporting.page import HEADING, QUIET, Column, Page, row, safe
from optimizer.reporting.words import money, with_tax
from optimizer.scenarios.findings import (
    NOT_THERE,
    Compared,
    Comparison,
    DemandRow,
    Frontier,
    OpenStretch,
)

_LABEL, _CELL = 26, 13
"""Columns of the page that are reckoned for a row's label and for a scenario."""
_LONGEST_BAR = 40

STATUS_WORDS = {
    "optimal": "proven",
    "feasible": "best found",
    "unmeetable": "cannot be met",
    "undecided": "undecided",
}


def render_comparison(found: Comparison, items: Mapping[str, AnyItem], console: Console) -> None:
    """Print scenarios side by side: totals, what each demand became, which items differ.

    Parameters
    ----------
    items : dict
        Of the base's price book, for their names.
    """
    page = Page(console)
    page.sides(Text(safe(found.site), style=HEADING), Text("scenarios compared"))
    page.rule()
    page.text(f"totals in {found.currency}{_taxed(found)}", style=QUIET)
    grid = page.table(
        [
            Column("scenario"),
            Column("total", figures=True),
            Column("difference", figures=True),
            Column("status"),
        ]
    )
    for one in found.scenarios:
        grid.add_row(*row([one.id, _total(one.total), _difference(one), _status(one)]))
    page.put(grid)
    _bars(page, found)
    for one in found.scenarios:
        if one.because:
            page.text(f"{one.id}: {one.because}", indent=1, hanging=2)
    room = max((page.width - _LABEL) // _CELL, 2)
    for block in _blocks(len(found.scenarios), room):
        _demands(page, found, block)
    for block in _blocks(len(found.scenarios), room):
        _items(page, found, block, items)


def _blocks(number: int, room: int) -> Iterator[list[int]]:
    """Columns that stand beside each other, the base in each block."""
    others = list(range(1, number))
    for at in range(0, max(len(others), 1), room - 1):
        yield [0, *others[at : at + room - 1]]


def _total(amount: str | None) -> str:
    return "-" if amount is None else money(amount)


def _taxed(found: Comparison) -> str:
    """The rate where it is the same everywhere; scenarios may change it."""
    rates = next((d.values for d in found.demands if d.id == "money/tax" and d.differs), None)
    return with_tax(found.tax) if rates is None else ", with the tax of each"


def _signed(amount: str) -> str:
    return signed(Decimal(amount))


def _difference(one: Compared) -> str:
    if one.difference is not None:
        return _signed(one.difference)
    if one.total is None or not one.builds_on:
        return ""
    ends = [_signed(x) if x is not None else "?" for x in (one.difference_low, one.difference_high)]
    return "" if ends == ["?", "?"] else " to ".join(ends)


def _status(one: Compared) -> str:
    words = STATUS_WORDS[one.status]
    if one.status == "feasible" and one.lower_bound is not None:
        return f"{words}, at least {money(one.lower_bound)}"
    return words


def _bars(page: Page, found: Comparison) -> None:
    totals = [Decimal(one.total) for one in found.scenarios if one.total is not None]
    if not totals or max(totals) == 0:
        return
    open_ = any(one.status == "feasible" for one in found.scenarios)
    page.heading("Totals", "the light end of a bar is not proven" if open_ else "")
    full, light = ("#", "-") if page.console.options.ascii_only else ("█", "░")
    label = max(len(one.id) for one in found.scenarios)
    length = min(_LONGEST_BAR, max(page.width - label - 14, 10))
    for one in found.scenarios:
        if one.total is None:
            page.text(f"{one.id:<{label}}  {STATUS_WORDS[one.status]}", indent=1)
            continue
        whole = round(Decimal(one.total) / max(totals) * length)
        sure = round(Decimal(one.lower_bound or one.total) / max(totals) * length)
        bar = full * sure + light * (whole - sure)
        page.text(f"{one.id:<{label}}  {bar} {money(one.total)}", indent=1)


def _demands(page: Page, found: Comparison, block: Sequence[int]) -> None:
    differing = [d for d in found.demands if len({d.values[i] for i in block}) > 1]
    places = {d.id: d.values for d in differing}
    differing = [d for d in differing if not _told_by_place(d, places, block)]
    if not differing:
        return
    alike = sum(not d.differs for d in found.demands)
    page.heading("What is asked", f"where it differs; {alike} more are the same in all")
    grid = page.table([Column(""), *(Column(found.scenarios[i].id) for i in block)])
    for demand in differing:
        base = demand.values[0]
        cells = [v if i == 0 or v != base else "." for i, v in enumerate(demand.values)]
        grid.add_row(*row([demand.id, *(cells[i] for i in block)]))
    page.put(grid, dense=True)


def _told_by_place(
    demand: DemandRow, places: Mapping[str, Sequence[str]], block: Sequence[int]
) -> bool:
    """Whether a demand differs only because its zone or audio point is there or not."""
    place = demand.id.partition("/")[0]
    if place == demand.id or place not in places:
        return False
    return len({demand.values[i] for i in block} - {NOT_THERE}) == 1


def _items(
    page: Page, found: Comparison, block: Sequence[int], items: Mapping[str, AnyItem]
) -> None:
    block = [i for i in block if i == 0 or found.scenarios[i].total is not None]
    differing = [r for r in found.items if len({r.quantities[i] for i in block} - {None}) > 1]
    if not differing:
        return
    page.heading("What is bought", "pieces or packs, where the number differs; . is as in the base")
    grid = page.table([Column(""), *(Column(found.scenarios[i].id, figures=True) for i in block)])
    for one in differing:
        name = items[one.item].name if page.wide and one.item in items else ""
        cells = ["-" if n is None else f"{n:,}" for n in one.quantities]
        shown = [c if i == 0 or c != cells[0] else "." for i, c in enumerate(cells)]
        grid.add_row(*row([f"{one.item}  {name}".strip(), *(shown[i] for i in block)]))
    page.put(grid, dense=True)


def comparison_csv(found: Comparison) -> str:
    """The comparison as a table: one column for each scenario, one line for each figure."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    columns = found.scenarios
    table.writerow(["what", "id", *(one.id for one in columns)])
    figures = ("name", "builds_on", "status", "total", "lower_bound", "gap", "difference")
    for field in (*figures, "difference_low", "difference_high", "because"):
        values = [getattr(one, field) for one in columns]
        table.writerow(["answer", field, *("" if v is None else str(v) for v in values)])
    for demand in found.demands:
        table.writerow(["demand", demand.id, *demand.values])
    for item in found.items:
        table.writerow(["item", item.item, *("" if n is None else n for n in item.quantities)])
    return out.getvalue()


_OPEN = "partly open: time ran out"


def render_frontier(found: Frontier, console: Console) -> None:
    """Print the points of a frontier, what is open and what cannot be met."""
    page = Page(console)
    page.sides(
        Text(f"total against {safe(found.requirement)}", style=HEADING),
        Text("proven complete" if found.complete else "partly open" if found.over else _OPEN),
    )
    page.rule()
    steps = "; values in natural steps from the first on" if "/" in found.requirement else ""
    page.text(
        f"{found.text.replace('{}', '...')}; asked: {found.asked}; totals in {found.currency}"
        f"{with_tax(found.tax)}{steps}; a budget is left out of account. Each line is the "
        "most that its total buys; what lies between two lines is had for the total of the second.",
        style=QUIET,
    )
    if found.over:
        page.text(f"On a plan {found.over}.", style=QUIET)
    grid = page.table(
        [
            Column("value"),
            Column("total", figures=True),
            Column("step", figures=True),
            Column("what changes"),
        ]
    )
    for point in found.points:
        step = "" if point.difference is None else _signed(point.difference)
        what = "; ".join(filter(None, [swapped(point.items), point.because]))
        grid.add_row(*row([point.value, money(point.total), step, what]))
    if found.points:
        page.put(grid)
    else:
        page.text("no point is proven", indent=1)
    for stretch in found.open:
        page.text(f"open: {_stretch(stretch)}", indent=1, hanging=2)
    for barred in found.barred:
        why = f": {barred.because}" if barred.because else ""
        values = _values(barred.first, barred.last, "from")
        page.text(f"no kit {values}, proven{why}", indent=1, hanging=2)


def _stretch(stretch: OpenStretch) -> str:
    ends = [money(x) if x is not None else "?" for x in (stretch.low, stretch.high)]
    values = _values(stretch.first, stretch.last, "")
    return f"{values}, at a total from {ends[0]} to {ends[1]}".strip()


def _values(first: str, last: str, word: str) -> str:
    """Values of a stretch in words, "from 3 to 5" or "at 3"."""
    if first == last:
        return f"{'at ' if word else ''}{first}"
    return f"{word} {first} to {last}".strip()


__all__ = ["STATUS_WORDS", "comparison_csv", "render_comparison", "render_frontier"]
