"""The commands about a sum of money."""

from __future__ import annotations

import click

from optimizer.cli.options import book_option, json_option, quiet_option, time_option
from optimizer.cli.running import OK, UNDECIDED, UNMEETABLE, Progress, terminal


@click.command(
    short_help="Show the best that a budget buys for SITE, by its wishes.",
    epilog="Example: leastkit within site.yaml --budget 2500",
)
@click.argument("site")
@click.option(
    "--budget",
    metavar="AMOUNT",
    help="What may be spent, with or without tax as the site's budget is meant; without it, the "
    "budget of the site file.",
)
@book_option
@json_option
@time_option
@quiet_option
@click.pass_context
def within(
    ctx: click.Context,
    site: str,
    budget: str | None,
    book: str | None,
    json_to: str | None,
    seconds: float,
    quiet: bool,
) -> None:
    """Show the best that a budget buys for SITE, by the ranks of its wishes.

    Every must is kept. Then the wishes of rank 1 are kept, step by step, as far as the money goes,
    then those of rank 2, and so on; then as little as possible is spent. Says what was lowered or
    left out, and what more money would buy. Exit status 3 where the musts do not fit.
    """
    from optimizer import questions
    from optimizer.cli.writing import Output, json_text
    from optimizer.explaining.asked import asked_as
    from optimizer.reporting import render
    from optimizer.reporting.within import render_within

    with Output(json_to, keep=[site, book]) as output:
        with Progress(quiet, "reading") as progress:
            asked, prices = questions.prepare(site, book)
            found = questions.within(asked, budget, prices, seconds, progress)
        output.write(json_text(found.model_dump(mode="json", by_alias=True)))
    if not output.to_stdout:
        values = {one.requirement: one.to for one in found.changes}
        about = asked_as(asked, {**values, "budget": found.budget})
        console = terminal()
        render_within(found, console)
        console.print()
        render(found.answer, about.site, prices.items, console)
    progress.note()
    statuses = {"undecided": UNDECIDED, "unmeetable": UNMEETABLE}
    ctx.exit(statuses.get(found.status, OK))


@click.command(
    short_help="Find the cheapest purchase of SITE over several years.",
    epilog="Example: leastkit phases site.yaml phases.yaml --json plan.json",
)
@click.argument("site")
@click.argument("phases")
@book_option
@json_option
@time_option
@quiet_option
@click.pass_context
def phases(
    ctx: click.Context,
    site: str,
    phases: str,
    book: str | None,
    json_to: str | None,
    seconds: float,
    quiet: bool,
) -> None:
    """Find the cheapest purchase of SITE over the phases of PHASES, each within its budget.

    What is bought in a phase stays and is used in all later ones. Shows the order of each phase,
    what is bought for later, and what that saves against buying each phase by itself. Exit status
    3 if there is no such purchase.
    """
    from optimizer import questions
    from optimizer.cli.writing import Output, json_text
    from optimizer.reporting.phases import render_phases

    with Output(json_to, keep=[site, phases, book]) as output:
        with Progress(quiet, "reading") as progress:
            asked, prices = questions.prepare(site, book)
            found = questions.phases(asked, phases, prices, seconds, progress)
        output.write(json_text(found.model_dump(mode="json", by_alias=True)))
    if not output.to_stdout:
        render_phases(found, prices.items, terminal())
    progress.note()
    statuses = {"undecided": UNDECIDED, "unmeetable": UNMEETABLE}
    ctx.exit(statuses.get(found.status, OK))


__all__ = ["phases", "within"]
