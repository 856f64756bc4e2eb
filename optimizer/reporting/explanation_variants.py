"""What-ifs, second-best designs and price curves on the terminal."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from rich.console import Console
from rich.text import Text

from optimizer.pricebook.schema import AnyItem
from optimizer.reporting.explanation import signed, swapped
from optimizer.reporting.page import HEADING, QUIET, STRONG, Column, Page, row, safe
from optimizer.reporting.words import money, with_tax
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import PriceCurve, PriceLevel
from optimizer.solving.variants import Alternatives, BillDifference, Kinds, Variant, WhatIf
from optimizer.solving.wording import count

CABLING_WORDS = {
    "leads": "ready-made leads",
    "combined": "coax with power pair",
    "coax": "coax from boxes",
    "pairs": "twisted pair with baluns",
    "network": "network cabling",
    "existing": "existing cable",
}
FAMILY_WORDS = {"composite": "composite", "hd_coax": "HD over coax", "network": "network"}


def render_what_if(answer: Answer, items: Mapping[str, AnyItem], console: Console) -> None:
    """Print what is changed, what it costs, and the two bills side by side.

    Raises
    ------
    ValueError
        If the answer is not one to a changed site.
    """
    found = answer.what_if
    if found is None:
        raise ValueError("the answer is to the site as it stands")
    page = Page(console)
    page.sides(Text(safe(answer.site), style=HEADING), Text("what if"))
    page.rule()
    for change in found.changes:
        page.text(f"{change.requirement}: {change.asked} -> {change.to}", indent=1, hanging=2)
    if not found.changes:
        page.text("nothing is changed: the site asks for this already", indent=1)
    verdict = _verdict(found, answer)
    page.text(Text(safe(verdict), style=STRONG), indent=1, hanging=2)
    if found.bills is not None:
        _bills(page, found.bills, items)


def _verdict(found: WhatIf, answer: Answer) -> str:
    if found.status == "unmeetable":
        return "no kit does this, proven"
    if found.after is None and answer.undecided_by in ("cells", "settings"):
        return "no kit was found, nor is it proven that there is none; more time does not settle it"
    if found.after is None:
        return "no kit was found in the time given"
    after = f"{money(found.after)} {answer.currency}"
    if found.before is None:
        return f"{after}; without the change there is no kit"
    if found.difference is not None:
        change = Decimal(found.difference)
        # A way to aim that nobody looked at might make either of the two cheaper.
        over = " over the aims looked at" if found.over else ""
        words = "the same total" if not change else f"{_signed(found.difference)}, proven"
        words += over
        return f"{money(found.before)} -> {after}: {words}"
    if found.beside == "after":
        return (
            f"{money(found.before)} -> {after}: this kit does for the site as it stands too; its "
            "aims were not looked at there, and the change itself saves nothing"
        )
    if found.beside == "before":
        return (
            f"{money(found.before)} -> {after}: the kit of the site as it stands does for this "
            "too; a cheaper one was not found"
        )
    low, high = (_signed(x) if x is not None else "?" for x in (found.low, found.high))
    why = "by exact shapes it is not settled" if answer.over else "time ran out"
    return f"{money(found.before)} -> {after}: {why}, the difference is {low} to {high}"


def _signed(amount: str) -> str:
    return signed(Decimal(amount))


def _bills(page: Page, bills: BillDifference, items: Mapping[str, AnyItem]) -> None:
    if not bills.lines:
        page.text("the two bills are alike", indent=1)
        return
    grid = page.table(
        [
            Column(" was", figures=True),
            Column("is", figures=True),
            Column("item"),
            Column("change", figures=True),
        ]
    )
    for what, title in (("added", "added"), ("removed", "removed"), ("changed", "another number")):
        lines = [line for line in bills.lines if line.what == what]
        if lines:
            grid.add_row(*row(["", "", title, ""], style=HEADING))
        for line in lines:
            name = f"{line.item}  {items[line.item].name}"
            grid.add_row(*row([f"{line.before:,}", f"{line.after:,}", name, _signed(line.amount)]))
    sums = (
        ("offers", str(-Decimal(bills.reductions))),
        ("labour", bills.labour),
        ("tax", bills.tax),
        ("total", bills.total),
    )
    for name, amount in sums:
        if Decimal(amount) or name == "total":
            label = Text(name, style=HEADING if name == "total" else "", justify="right")
            grid.add_row(*row(["", "", label, _signed(amount)]))
    page.put(grid)


def render_alternatives(found: Alternatives, currency: str, console: Console) -> None:
    """Print the cheapest designs that differ in kind, and those of each family and cabling."""
    page = Page(console)
    page.heading("Alternatives", f"cheapest first, totals in {currency}; each checked anew")
    for variant in found.ranked:
        _variant(page, f"{variant.name}.", variant)
    groups = (
        ("Cheapest in each signal family", found.families, FAMILY_WORDS),
        ("Cheapest with one kind of cabling", found.cabling, CABLING_WORDS),
    )
    for title, variants, words in groups:
        if variants:
            page.heading(title)
        for variant in variants:
            _variant(page, words.get(variant.name, variant.name), variant)
    if found.note:
        page.text(found.note, indent=1, hanging=2, style=QUIET)


def _variant(page: Page, name: str, variant: Variant) -> None:
    text = Text(f"{safe(name)}  ", style=STRONG)
    if variant.total is None:
        why = {"unmeetable": "no kit does it", "undecided": "not known: time ran out"}
        because = f": {variant.because}" if variant.because else ""
        text.append(f"{why[variant.status]}{safe(because)}", style="not bold")
        page.text(text, indent=1, hanging=2)
        return
    text.append(money(variant.total), style="not bold")
    if variant.difference is not None and Decimal(variant.difference):
        text.append(f"  {_signed(variant.difference)}", style="not bold")
    if variant.status == "feasible":
        bound = f", at least {money(variant.lower_bound)}" if variant.lower_bound else ""
        text.append(f"  best found, not proven{bound}", style=f"not bold {QUIET}")
    page.text(text, indent=1, hanging=2)
    if variant.kinds is not None:
        page.text(safe(_kinds(variant.kinds)), indent=5, hanging=2, style=QUIET)


def _kinds(kinds: Kinds) -> str:
    ways = " and ".join(CABLING_WORDS[way] for way in kinds.cabling)
    return f"{', '.join(kinds.cameras)}; {', '.join(kinds.recorders)}; {ways}"


_OPEN = "partly open: time ran out"


def render_steps(found: PriceCurve, console: Console) -> None:
    """Print the total over values of one requirement, one line for each price."""
    page = Page(console)
    page.sides(
        Text(safe(found.requirement), style=HEADING),
        Text("proven" if found.complete else "partly open" if found.over else _OPEN),
    )
    page.rule()
    page.text(f"asked: {found.asked}; totals in {found.currency}{with_tax(found.tax)}", style=QUIET)
    if found.over:
        page.text(f"On a plan {found.over}.", style=QUIET)
    grid = page.table(
        [
            Column("from"),
            Column("to"),
            Column("total", figures=True),
            Column("step", figures=True),
            Column("what changes"),
        ]
    )
    for level in found.levels:
        step = "" if level.difference is None else _signed(level.difference)
        what = level.because or swapped(level.items)
        grid.add_row(*row([level.first, level.last, _total(level), step, what]))
    page.put(grid)
    proven = [level for level in found.levels if level.certificate is not None]
    if proven:
        page.text(
            f"Certificates for {len(proven)} of {count(len(found.levels), 'price')}, from "
            f"{proven[0].certificate} on; check one with: python3 {proven[0].certificate}/check.py",
            style=QUIET,
        )


def _total(level: PriceLevel) -> str:
    if level.status == "unmeetable":
        return "none"
    if level.status == "refused":
        return "refused"
    if level.total is not None:
        return money(level.total)
    ends = [money(x) if x is not None else "?" for x in (level.low, level.high)]
    return " to ".join(ends)
