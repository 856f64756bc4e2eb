"""A whole answer on the terminal: what it costs, what to buy, how it is put together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from rich.console import Console
from rich.text import Text

from optimizer.pricebook.schema import AnyItem
from optimizer.reporting.bill import show_bill
from optimizer.reporting.equipment import show_cameras, show_units
from optimizer.reporting.explanation import show_headline
from optimizer.reporting.page import BAD, GOOD, HEADING, QUIET, STRONG, Column, Page, safe
from optimizer.reporting.plan_views import show_aims, show_seen
from optimizer.reporting.proof import show_proof
from optimizer.reporting.words import Wording, money, percent, status_words
from optimizer.site import Site
from optimizer.solving.answer import Answer, Assumption, Caution
from optimizer.solving.origins import SITE


def render(answer: Answer, site: Site, items: Mapping[str, AnyItem], console: Console) -> None:
    """Print an answer for whoever asked.

    Parameters
    ----------
    answer : Answer
        As solved; nothing is worked out anew here but sums of what it holds.
    site : Site
        What was asked.
    items : mapping
        The items of the price book by id.
    console : Console
        Where to print; its width and colours decide the look.
    """
    page = Page(console)
    _headline(page, answer, site)
    if answer.met:
        show_bill(page, answer, site, items)
        wording = Wording(answer, items)
        show_cameras(page, answer, site, wording)
        show_aims(page, answer, site, wording)
        show_seen(page, answer, site)
        show_units(page, answer, site, wording)
    show_assumptions(page, answer.assumptions)
    show_cautions(page, answer.cautions)
    _provenance(page, answer)


def _headline(page: Page, answer: Answer, site: Site) -> None:
    style = {"optimal": GOOD, "feasible": STRONG}.get(answer.status, BAD)
    words = status_words(answer)
    page.sides(Text(safe(answer.site), style=HEADING), Text(words, style=style))
    page.rule()
    if answer.met:
        _price(page, answer, site)
        show_headline(page, answer)
    elif answer.status == "unmeetable":
        page.text(
            "No kit from this price book meets everything that the site asks. This is proven, "
            "not for want of time."
        )
        if answer.proof is None:
            _reasons(page, answer)
        show_proof(page, answer)
    else:
        page.text(f"{UNDECIDED[answer.undecided_by or 'time']}")
        if answer.lower_bound is not None and Decimal(answer.lower_bound) > 0:
            page.text(f"No kit costs less than {money(answer.lower_bound)} {answer.currency}.")
        show_proof(page, answer)


_LESS = "A share or a detail that is asked a little lower may, or a mount more."
UNDECIDED = {
    "time": "In the time given no kit was found, and it was not proven either that there is none. "
    "More time may settle it: --time SECONDS.",
    "cells": "No kit was found, and it was not proven either that there is none: what is asked and "
    "what cameras see lie closer together than the cells into which zones are cut can tell, as "
    f"small as they were made. More time does not settle it. {_LESS}",
    "settings": "At the focal lengths and tilts that were looked at no kit does, at any pan and "
    "however small the cells; that none does at any other is not proven. More time does not settle "
    f"it. {_LESS}",
}
"""What is said where nothing is known, by its reason."""


def _price(page: Page, answer: Answer, site: Site) -> None:
    assert answer.total is not None
    assert answer.net is not None
    currency = answer.currency
    total = Text(f"{money(answer.total)} {currency}", style=HEADING)
    if site.money.tax:
        total.append(
            f"  with {percent(site.money.tax)} tax, {money(answer.net)} without",
            style="not bold",
        )
    else:
        total.append("  no tax stated", style="not bold")
    if site.money.budget is not None:
        spent = answer.total if site.money.budget_includes_tax else answer.net
        left = Decimal(site.money.budget) / 100 - Decimal(spent)
        total.append(f"; {money(str(left))} below the budget", style="not bold")
    page.text(total)
    if answer.status == "feasible" and answer.lower_bound is not None:
        least = money(answer.lower_bound)
        none = f"No kit that meets the site costs less than {least}."
        if site.areas:
            none = f"By whole cells no kit of what was considered costs less than {least}"
            exact = answer.bound_by_shapes
            none += "." if exact is None else f", by exact shapes none less than {money(exact)}."
        page.text(none)


def _reasons(page: Page, answer: Answer) -> None:
    if not answer.reasons:
        page.text(
            "For every place something was found that would do by itself; it is the demands "
            "together that cannot be met."
        )
        return
    page.heading("What stands in the way")
    for reason in answer.reasons:
        text = Text(safe(reason.place), style=STRONG).append(
            f"  {safe(reason.limit)}", style="not bold"
        )
        if reason.taken_out:
            text.append(f" ({reason.taken_out:,} choices fall to this)", style=f"not bold {QUIET}")
        page.text(text, indent=1, hanging=2)


def show_assumptions(page: Page, assumptions: Sequence[Assumption]) -> None:
    """Print what decides an answer and does not stand in the site file."""
    taken = [a for a in assumptions if a.origin != SITE]
    if not taken:
        return
    page.heading("Taken for granted", "by where it is from")
    told = [
        (origin, "; ".join(f"{a.name}: {a.value}" for a in taken if a.origin == origin))
        for origin in dict.fromkeys(a.origin for a in taken)
    ]
    if not page.wide:
        page.run_in(told, after="  ")
        return
    for origin, words in told:
        text = Text(f"{safe(origin)}  ", style=STRONG).append(safe(words), style="not bold")
        page.text(text, indent=1, hanging=2)


def show_cautions(page: Page, cautions: Sequence[Caution]) -> None:
    """Print what can hurt people or break the law."""
    if not cautions:
        return
    page.heading("Take care", "before anything is ordered or switched on; ! weighs most")
    ordered = sorted(cautions, key=lambda c: not c.strong)
    if page.wide:
        grid = page.table([Column(""), Column("")])
        grid.show_header = False
        for caution in ordered:
            mark = Text(" ! ", style=BAD) if caution.strong else Text(" * ", style=QUIET)
            grid.add_row(mark.append(safe(caution.about), style=STRONG), safe(caution.text))
        page.put(grid)
        return
    for caution in ordered:
        if caution.strong:
            text = Text("! ", style=BAD).append(f"{safe(caution.about)}: ", style=STRONG)
            page.text(text.append(safe(caution.text), style="not bold"), indent=1, hanging=2)
    page.run_in([(c.about, c.text) for c in ordered if not c.strong])


def _provenance(page: Page, answer: Answer) -> None:
    made = answer.provenance
    ties = f"; choice among equal prices {safe(made.ties)}" if made.ties else ""
    page.gap()
    page.text(
        f"leastkit {made.version}; site {made.site_sha256[:12]}, price book "
        f"{made.book_sha256[:12]}; {safe(made.solver)}{ties}",
        style=QUIET,
    )
