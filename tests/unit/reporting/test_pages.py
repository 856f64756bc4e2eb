"""Findings of an audit and price books on the terminal."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import pytest
from rich.console import Console

from optimizer.audit import Finding
from optimizer.pricebook import load_book
from optimizer.reporting import meets, render_findings, render_gaps, render_item, render_items
from optimizer.reporting.page import Column, Page, row
from tests.unit.reporting import handmade


def shown(draw: Callable[[Console], None], width: int = 80) -> str:
    out = io.StringIO()
    draw(Console(file=out, width=width))
    for line in out.getvalue().splitlines():
        assert len(line) <= width
        assert line == line.rstrip()
    return out.getvalue()


def finding(kind: str, text: str = "something is so") -> Finding:
    return Finding.model_validate(
        {"rule": "2.3 storage", "place": "recorder-1", "kind": kind, "text": text}
    )


def test_nothing_found() -> None:
    text = shown(lambda c: render_findings([], "Corner shop", True, c))
    assert text.splitlines()[0].endswith("the design meets the site")
    assert "Every rule was checked" in text


@pytest.mark.parametrize("kind", ["missing", "limit", "mismatch"])
def test_a_finding_means_that_the_site_is_not_met(kind: str) -> None:
    found = [finding(kind, "2,131 GB are recorded and 2,000 GB are there")]
    assert not meets(found)
    text = shown(lambda c: render_findings(found, "Corner shop", True, c))
    assert text.splitlines()[0].endswith("the design does not meet the site")
    assert "recorder-1  2,131 GB are recorded and 2,000 GB are there  2.3: storage" in text
    assert "1 finding\n" in text


def test_surplus_is_named_and_does_no_harm() -> None:
    found = [finding("surplus"), finding("surplus")]
    assert meets(found)
    text = shown(lambda c: render_findings(found, "Corner shop", True, c))
    assert text.splitlines()[0].endswith("the design meets the site")
    assert "More than is needed  2 findings" in text


def test_a_bill_without_findings_is_not_called_complete() -> None:
    text = shown(lambda c: render_findings([], "Corner shop", False, c))
    assert text.splitlines()[0].endswith("nothing found against it")
    assert "A bill alone does not say how its pieces are used" in text
    assert "Every rule was checked" not in text


def test_long_findings_wrap_and_are_not_cut() -> None:
    words = [f"word{n}" for n in range(60)]
    text = shown(
        lambda c: render_findings([finding("limit", " ".join(words))], "Shop", True, c), 60
    )
    assert set(words) <= set(text.split())


def test_every_item_of_the_built_in_book_is_listed_with_its_price() -> None:
    book = load_book()
    items = list(book.items.values())
    lines = shown(lambda c: render_items(book, items, c)).splitlines()
    assert lines[0].endswith(f"{len(items)} items, prices in EUR, without tax")
    for item in items:
        [line] = [line for line in lines if line.startswith(f"{item.id}  ")]
        price = f"{item.price // 100:,}.{item.price % 100:02d}"
        # * marks a price that falls with the number bought.
        assert line.endswith(price + ("*" if item.breaks else ""))


def test_all_that_the_book_says_of_an_item() -> None:
    item = handmade.BOOK.items["rec-8"]
    text = " ".join(shown(lambda c: render_item(handmade.BOOK, item, c)).split())
    for words in (
        "rec-8 150.00 EUR",
        "HD-coax recorder 1080p, 8 inputs",
        "inputs families composite, hd_coax, count 8, picture 1920x1080",
        "encode_rate 200 Mpx/s",
        "largest_drive 8 TB",
        "displays hdmi 1",
        "mains_lead c13",
    ):
        assert words in text


def test_ranges_packs_and_price_breaks_of_an_item() -> None:
    bullet = handmade.BOOK.items["cam-bullet"]
    text = shown(lambda c: render_item(handmade.BOOK, bullet, c))
    assert "2.8 mm to 12 mm" in text
    fixed = bullet.model_copy(update={"focal": type(bullet.focal)(4, 4)})
    text = shown(lambda c: render_item(handmade.BOOK, fixed, c))
    assert ["focal", "4", "mm"] in [line.split() for line in text.splitlines()]
    pack = handmade.BOOK.items["bnc-59-10"]
    assert "10 pieces for one price" in shown(lambda c: render_item(handmade.BOOK, pack, c))
    book = load_book()
    broken = next(i for i in book.items.values() if i.breaks)
    text = shown(lambda c: render_item(book, broken, c))
    for one in broken.breaks:
        assert f"from {one.at_least} on {one.price / 100:.2f} each" in text


def test_gaps_of_a_book() -> None:
    text = shown(lambda c: render_gaps(handmade.BOOK, ["there is no balun"], c))
    assert text.splitlines()[0].endswith("1 gap")
    assert "- there is no balun" in text
    assert "15 items, 1 offer." in text
    assert "no gap found" in shown(lambda c: render_gaps(handmade.BOOK, [], c))


@pytest.mark.parametrize("width", range(24, 64))
def test_figures_stay_with_their_units(width: int) -> None:
    figures = [
        "37.0 m",
        "1,377 of 2,000 GB",
        "0.4 A",
        "12 V DC",
        "24 V AC",
        "80 %",
        "2 ends",
        "9 lx",
    ]

    def draw(console: Console) -> None:
        page = Page(console)
        page.text("; ".join(figures))
        grid = page.table([Column("what"), Column("why")])
        grid.add_row(*row(["; ".join(figures), "the site requires 2"]))
        page.put(grid, dense=True)

    text = shown(draw, width)
    assert "\ue000" not in text
    paragraph = text.split("what")[0]
    for figure in figures:
        kept = figure.removeprefix("1,377 of ")
        assert kept in paragraph
    # A table of two columns side by side: what a line holds of either is never half a figure.
    for line in text.splitlines():
        assert not re.search(r"(?:^|; )(?:m|GB|A|V DC|V AC|DC|AC|%|ends|lx);", line)
        assert not re.search(r"\b(?:37\.0|2,000|0\.4|12|24|80|12 V|24 V|requires)$", line)


def test_a_terminal_of_plain_letters_gets_plain_rules() -> None:
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding="ascii")
    Page(Console(file=out, width=30)).rule()
    out.flush()
    assert raw.getvalue() == b"-" * 30 + b"\n"
