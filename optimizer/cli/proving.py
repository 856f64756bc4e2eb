"""The command that says whether a site can be met, and proves it."""

from __future__ import annotations

import time

import click

from optimizer.cli.options import book_option, json_option, quiet_option, time_option
from optimizer.cli.running import OK, Progress, terminal
from optimizer.cli.solving import EXIT, settings

MOST = 20


@click.command(
    epilog="Example: leastkit prove site.yaml --is recording/retention=60 --is budget=2000 "
    "--certificate proof"
)
@click.argument("site")
@book_option
@click.option(
    "--is",
    "values",
    metavar="ID=VALUE",
    multiple=True,
    callback=settings,
    help="Ask about the site with this value of a requirement, written as in a site file; none "
    "drops it. May be given again.",
)
@click.option(
    "--conflicts",
    metavar="NUMBER",
    type=click.IntRange(1, MOST),
    default=3,
    show_default=True,
    help="Look for so many conflicts.",
)
@click.option(
    "--ways",
    metavar="NUMBER",
    type=click.IntRange(1, MOST),
    default=5,
    show_default=True,
    help="Look for so many ways out.",
)
@click.option(
    "--certificate",
    metavar="FOLDER",
    help="Write a proof that anybody can check without this program: that no kit meets the site, "
    "or that none costs less. The folder must be new or empty.",
)
@json_option
@time_option
@quiet_option
@click.pass_context
def prove(
    ctx: click.Context,
    site: str,
    book: str | None,
    values: dict[str, str],
    conflicts: int,
    ways: int,
    certificate: str | None,
    json_to: str | None,
    seconds: float,
    quiet: bool,
) -> None:
    """Say whether the site file SITE can be met, and prove it.

    Met: with a kit that was checked. Cannot be met: which demands cannot hold together, why, step
    by step, and the smallest changes after which the site is met. Otherwise undecided, with what
    is left open.
    """
    from optimizer import questions
    from optimizer.cli.writing import Output
    from optimizer.explaining.asked import asked_as
    from optimizer.reporting import render, render_met

    begun = time.monotonic()
    with Output(json_to, keep=[site, book]) as output:
        with Progress(quiet, "reading") as progress:
            asked, prices = questions.prepare(site, book)
            answer = questions.prove(
                asked,
                prices,
                values,
                seconds,
                progress,
                conflicts=conflicts,
                ways=ways,
                certificate=certificate,
            )
        output.write(answer.as_json())
    if not output.to_stdout:
        about = asked_as(asked, values) if values else asked
        render(answer, about.site, prices.items, terminal())
        if answer.met:
            render_met(answer, terminal())
    progress.note(time.monotonic() - begun)
    ctx.exit(EXIT.get(answer.status, OK))
