"""A price book on the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from rich.console import Console
from rich.text import Text

from optimizer.pricebook import LoadedBook, item_text
from optimizer.pricebook.schema import AnyItem, Packed
from optimizer.reporting.page import HEADING, QUIET, Column, Page, row
from optimizer.reporting.words import money
from optimizer.solving.wording import count
from optimizer.units import money_text


def render_items(book: LoadedBook, items: Sequence[AnyItem], console: Console) -> None:
    """Print items by kind with their prices, in catalogue order."""
    page = Page(console)
    note = f"{count(len(items), 'item')}, prices in {book.book.currency}, without tax"
    page.sides(Text(book.book.name, style=HEADING), Text(note, style=QUIET))
    page.rule()
    if book.book.note:
        page.text(book.book.note)
    for kind in dict.fromkeys(item.kind for item in items):
        page.heading(kind.replace("_", " "))
        grid = page.table([Column("item"), Column("name"), Column("price", figures=True, least=9)])
        grid.show_header = False
        for item in items:
            if item.kind == kind:
                grid.add_row(*row([item.id, item.name, _price(item)]))
        page.put(grid)


def _price(item: AnyItem) -> str:
    return money(money_text(item.price)) + ("*" if item.breaks else " ")


def render_item(book: LoadedBook, item: AnyItem, console: Console) -> None:
    """Print all that the price book says of an item, in the words of the file."""
    page = Page(console)
    page.sides(
        Text(item.id, style=HEADING),
        Text(f"{money(money_text(item.price))} {book.book.currency}", style=HEADING),
    )
    page.rule()
    page.text(item.name)
    for broken in item.breaks:
        each = money(money_text(broken.price))
        page.text(f"from {broken.at_least:,} on {each} each", style=QUIET)
    if isinstance(item, Packed) and item.pack > 1:
        page.text(f"{item.pack:,} pieces for one price", style=QUIET)
    page.gap()
    grid = page.table([Column("field"), Column("value")])
    grid.show_header = False
    shown = {"id", "name", "price", "breaks", "pack"}
    for name, value in item_text(item).items():
        if name not in shown:
            grid.add_row(*row([Text(name, style=QUIET), Text("\n".join(_lines(value)))]))
    page.put(grid)


def _lines(value: Any) -> Iterator[str]:
    """A field's value, one line for each entry that has fields of its own."""
    if isinstance(value, dict):
        yield ", ".join(f"{key} {' '.join(_lines(one))}" for key, one in value.items())
    elif isinstance(value, list) and any(isinstance(one, dict) for one in value):
        for one in value:
            yield from _lines(one)
    elif isinstance(value, list):
        yield ", ".join(str(one) for one in value)
    else:
        yield _friendly(str(value))


_LARGER = {
    "px/s": (("Mpx/s", 10**6), ("kpx/s", 10**3)),
    "bit/s": (("Mbit/s", 10**6), ("kbit/s", 10**3)),
    "GB": (("TB", 10**3),),
}


def _friendly(value: str) -> str:
    """A quantity in the unit that people use, and a range of nothing as the one value it is."""
    low, _, high = value.partition(" to ")
    if low == high:
        return low
    number, _, unit = value.partition(" ")
    for larger, factor in _LARGER.get(unit, ()):
        if number.isdigit() and int(number) >= factor:
            return f"{int(number) / factor:g} {larger}"
    return value


def render_gaps(book: LoadedBook, gaps: Sequence[str], console: Console) -> None:
    """Print what a price book lacks for making complete kits."""
    page = Page(console)
    verdict = "no gap found" if not gaps else count(len(gaps), "gap")
    page.sides(Text(book.book.name, style=HEADING), Text(verdict))
    page.rule()
    page.text(f"{count(len(book.items), 'item')}, {count(len(book.book.offers), 'offer')}.")
    for gap in gaps:
        page.text(f"- {gap}", hanging=2)
