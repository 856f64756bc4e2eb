"""The command that draws a site's plan."""

from __future__ import annotations

from pathlib import Path

import click

from optimizer.cli.options import book_option, quiet_option, time_option
from optimizer.cli.running import OK, UNDECIDED, UNMEETABLE, Progress

EXIT = {"unmeetable": UNMEETABLE, "unmet": UNMEETABLE, "undecided": UNDECIDED}
PAPERS = ("A4", "A3", "A2", "A1", "A0")


@click.command(
    epilog="Example: leastkit draw site.yaml answer.json --out plan.svg --paper A2. To see what "
    "was read, before anything is solved: leastkit draw site.yaml --bare --out plan.png"
)
@click.argument("site")
@click.argument("design", required=False)
@click.option(
    "--out",
    metavar="FILE",
    required=True,
    help="Drawing to write, as .svg or .png; needs an extra package, in your copy of "
    "leastkit: .venv/bin/pip install -e '.[plot]'.",
)
@click.option(
    "--paper",
    type=click.Choice(PAPERS),
    default="A3",
    show_default=True,
    help="Sheet on which it is to scale.",
)
@click.option("--bare", is_flag=True, help="Only the plan as it was read, without cameras.")
@book_option
@time_option
@quiet_option
@click.pass_context
def draw(
    ctx: click.Context,
    site: str,
    design: str | None,
    out: str,
    paper: str,
    bare: bool,
    book: str | None,
    seconds: float,
    quiet: bool,
) -> None:
    """Draw the plan of SITE to scale, with what its cameras see.

    The cameras are those of DESIGN, an answer as solve --json writes it; without it the cheapest
    kit is looked for first.
    Shows walls, zones, keep-out areas and runs, and the ground that the cameras really see, cut by
    walls and shaded by detail so that it reads the same in grey. Where the site cannot be met, or
    the design does not meet it, the ground that is not seen is drawn, and the exit status is 3.
    """
    from optimizer.cli.writing import Output
    from optimizer.questions.drawing import draw_bare, draw_design
    from optimizer.reporting.explanation_plot import check_plot
    from optimizer.reporting.plan_drawing import plan_drawn

    if bare and design is not None:
        raise click.UsageError("--bare draws no design; leave one of the two out", ctx)
    check_plot(out)
    with Output(out, keep=[site, design, book]) as output:
        with Progress(quiet, "reading") as progress:
            found = draw_bare(site) if bare else draw_design(site, design, book, seconds, progress)
            progress("drawing")
            made = plan_drawn(found.picture, Path(out).suffix, paper)
        output.write(made)
    progress.note()
    ctx.exit(EXIT.get(found.status, OK))


__all__ = ["draw"]
