"""The planner's commands: scenarios compared, and the frontier of total against one demand."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from optimizer.cli.options import (
    book_option,
    json_option,
    plot_option,
    quiet_option,
    time_option,
)
from optimizer.cli.running import OK, UNDECIDED, UNMEETABLE, Progress, terminal


def weighed(_ctx: click.Context, _param: click.Parameter, given: Sequence[str]) -> dict[str, int]:
    """Zones with their weights, "gate=3"."""
    found: dict[str, int] = {}
    for text in given:
        zone, _, number = (part.strip() for part in text.partition("="))
        if not (zone and number.isdecimal()):
            raise click.BadParameter(f"{text!r}: give ZONE=NUMBER, such as gate=3")
        if zone in found:
            raise click.BadParameter(f"{zone} is weighed twice")
        found[zone] = int(number)
    return found


@click.command(
    short_help="Compare the cheapest kits of SITE and of changes to it.",
    epilog="Example: leastkit compare site.yaml scenarios.yaml --csv compared.csv "
    "--plot totals.svg",
)
@click.argument("site")
@click.argument("scenarios")
@book_option
@json_option
@click.option(
    "--csv",
    "csv_to",
    metavar="FILE",
    help="Also write it as a table, with a column for each scenario.",
)
@plot_option
@time_option
@quiet_option
@click.pass_context
def compare(
    ctx: click.Context,
    site: str,
    scenarios: str,
    book: str | None,
    json_to: str | None,
    csv_to: str | None,
    plot: str | None,
    seconds: float,
    quiet: bool,
) -> None:
    """Compare the cheapest kits of SITE and of the named changes to it in SCENARIOS.

    Shows side by side the totals, what each demand became and which items differ, and why a
    scenario cannot be met. Exit status 3 if none can be met, 4 if one is undecided.
    """
    from optimizer import questions
    from optimizer.cli.writing import STDOUT, json_text, outputs
    from optimizer.reporting.explanation_plot import check_plot
    from optimizer.reporting.scenarios import comparison_csv, render_comparison
    from optimizer.reporting.scenarios_plot import comparison_drawn

    if plot is not None:
        check_plot(plot)
    if json_to == STDOUT and csv_to == STDOUT:
        raise click.UsageError("only one of --json and --csv can go to standard output", ctx)
    read = [site, scenarios, book]
    with outputs(read, json_to, csv_to, plot) as (output, table, drawing):
        with Progress(quiet, "reading") as progress:
            asked, prices = questions.prepare(site, book)
            found = questions.compare(asked, scenarios, prices, seconds, progress)
        output.write(json_text(found.model_dump(mode="json", by_alias=True)))
        table.write(comparison_csv(found))
        if plot is not None:
            drawing.write(comparison_drawn(found, Path(plot).suffix))
    if not (output.to_stdout or table.to_stdout):
        render_comparison(found, prices.items, terminal())
    progress.note()
    statuses = {one.status for one in found.scenarios}
    ctx.exit(
        UNDECIDED if "undecided" in statuses else UNMEETABLE if statuses == {"unmeetable"} else OK
    )


@click.command(
    short_help="Show what each total buys at most of what SITE asks.",
    epilog="Example: leastkit frontier site.yaml --against recording/retention --from 7 --to 60 "
    "--plot frontier.svg",
)
@click.argument("site")
@click.option(
    "--against",
    metavar="WHAT",
    required=True,
    help="What to set against the total: a demand, by its id; detail for one level of detail in "
    "all zones; zones for the zones that are kept.",
)
@click.option("--from", "low", metavar="VALUE", help="First value; not for zones.")
@click.option("--to", "high", metavar="VALUE", help="Last value; not for zones.")
@click.option(
    "--weight",
    "weights",
    metavar="ZONE=NUMBER",
    multiple=True,
    callback=weighed,
    help="With zones: what a zone counts for, 1 unless said. May be given again.",
)
@book_option
@json_option
@plot_option
@time_option
@quiet_option
@click.pass_context
def frontier(
    ctx: click.Context,
    site: str,
    against: str,
    low: str | None,
    high: str | None,
    weights: dict[str, int],
    book: str | None,
    json_to: str | None,
    plot: str | None,
    seconds: float,
    quiet: bool,
) -> None:
    """Show what is worth its price in SITE: each value that no cheaper kit reaches.

    Every point is a proven, audited kit (all of them are in the JSON). The list is proven
    complete, or says which values are open.
    """
    from optimizer import questions
    from optimizer.cli.writing import json_text, outputs
    from optimizer.reporting.explanation_plot import check_plot
    from optimizer.reporting.scenarios import render_frontier
    from optimizer.reporting.scenarios_plot import frontier_drawn

    if plot is not None:
        check_plot(plot)
    with outputs([site, book], json_to, plot) as (output, drawing):
        with Progress(quiet, "reading") as progress:
            asked, prices = questions.prepare(site, book)
            found = questions.frontier(
                asked, against, low, high, prices, seconds, progress, weights=weights
            )
        output.write(json_text(found.model_dump(mode="json", by_alias=True)))
        if plot is not None and found.points:
            drawing.write(frontier_drawn(found, Path(plot).suffix))
    if not output.to_stdout:
        render_frontier(found, terminal())
    progress.note()
    none = not found.points and not found.open
    ctx.exit(UNMEETABLE if none else OK if found.complete else UNDECIDED)
