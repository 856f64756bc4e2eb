"""The bill: what to buy, what it costs and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from rich.text import Text

from optimizer.design import BillLine
from optimizer.pricebook.schema import AnyItem, Packed
from optimizer.reporting.page import GLUE, HEADING, QUIET, Column, Page, row, safe
from optimizer.reporting.words import money, percent
from optimizer.site import Site
from optimizer.solving.answer import Answer

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Cameras", ("camera", "bracket")),
    ("Recording and sound", ("recorder", "drive", "optical_writer", "microphone")),
    (
        "Cable and fittings",
        ("cable", "lead", "balun", "connector", "pigtail", "coupler", "splitter", "tool"),
    ),
    ("Power and network", ("supply", "switch", "injector", "mains_lead")),
    ("Other", ("extra",)),
)


def show_bill(page: Page, answer: Answer, site: Site, items: Mapping[str, AnyItem]) -> None:
    """Print the bill by groups of the trade, then reductions, labour, tax and total."""
    page.heading("Bill", f"prices in {answer.currency}, without tax")
    grid = page.table(
        [
            Column("qty", figures=True, least=4),
            Column("item"),
            *([Column("why")] if page.wide else []),
            Column("each", figures=True, least=7),
            Column("total", figures=True, least=8),
        ]
    )
    space = [""] if page.wide else []
    for name, kinds in GROUPS:
        lines = [line for line in answer.bill if line.kind in kinds]
        if lines:
            subtotal = money(str(sum(Decimal(line.line_total) for line in lines)))
            grid.add_row(*row(["", name, *space, "", subtotal], style=HEADING))
        for line in lines:
            grid.add_row(*_line(page, line, items))
    for name, amount in _sums(answer, site):
        style = HEADING if name.startswith("total") else ""
        label = Text(safe(name), style=style, justify="right")
        grid.add_row(*row(["", *space, label, "", amount], style=style))
    page.put(grid, dense=True)


def _line(page: Page, line: BillLine, items: Mapping[str, AnyItem]) -> list[Text]:
    item = items[line.item]
    what = Text(f"{safe(line.item)}  {safe(item.name)}")
    if isinstance(item, Packed) and item.pack > 1 and "pack" not in item.name:
        what.append(f", pack of {item.pack}")
    why = Text(safe(line.because), style=QUIET)
    described = [what, why] if page.wide else [what.append(f" -{GLUE}", QUIET).append_text(why)]
    amounts = [money(line.unit_price), money(line.line_total)]
    return row([f"{line.quantity:,}", *described, *amounts])


def _sums(answer: Answer, site: Site) -> Iterator[tuple[str, str]]:
    design = answer.design()
    if design.reductions or Decimal(design.labour):
        goods = sum(Decimal(line.line_total) for line in design.bill)
        yield "goods", money(str(goods))
    for cut in design.reductions:
        yield f"less: {cut.because}", f"-{money(cut.amount)}"
    if Decimal(design.labour):
        yield "labour", money(design.labour)
    if Decimal(design.tax):
        yield f"tax {percent(site.money.tax)} of {money(design.net)}", money(design.tax)
    yield f"total {design.currency}", money(design.total)
