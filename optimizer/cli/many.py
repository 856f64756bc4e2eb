"""The command for a portfolio: many sites, one after the other or beside each other."""

from __future__ import annotations

from types import TracebackType
from typing import Any

import click

from optimizer.cli.options import book_option, json_option, quiet_option, time_limit
from optimizer.cli.running import FAULT, OK, UNDECIDED, UNMEETABLE, terminal

MOST_PROCESSES = 512


class Counting:
    """A bar on the terminal with the answers that are there; nothing where nobody looks.

    Parameters
    ----------
    quiet : bool
        True for no bar.
    """

    def __init__(self, quiet: bool) -> None:
        self._quiet = quiet
        self._bar: Any = None
        self._task: Any = None
        self._first: int | None = None
        self.kept = self.done = 0

    def __enter__(self) -> Counting:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

        console = Console(stderr=True)
        if not self._quiet and console.is_terminal:
            columns = ("answers", BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
            self._bar = Progress(*columns, console=console, transient=True)
            self._bar.start()
        return self

    def __call__(self, done: int, of: int) -> None:
        """Say how many answers are there; what is there at first was kept from before."""
        if self._first is None:
            self._first = self.kept = done
        self.done = done
        if self._bar is not None:
            if self._task is None:
                self._task = self._bar.add_task("", total=of)
            self._bar.update(self._task, completed=done)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._bar is not None:
            self._bar.stop()


@click.command(
    short_help="Find the cheapest kits of many SITES, and of one order.",
    epilog="Example: leastkit many branches/ --out branches-kits --scenarios next-year.yaml. The "
    "same command goes on where an earlier run was stopped.",
)
@click.argument("sites", nargs=-1, required=True)
@click.option(
    "--out",
    metavar="FOLDER",
    required=True,
    help="Folder for the answers, summary.json, summary.csv and purchase.csv: new, empty, or used "
    "for this before.",
)
@click.option(
    "--scenarios", metavar="FILE", help="Also solve each site with the named changes of this file."
)
@book_option
@json_option
@time_limit(
    "Time to spend on each answer; then the best kit found so far is the answer, with how far it "
    "may be from the cheapest."
)
@click.option(
    "--processes",
    metavar="NUMBER",
    type=click.IntRange(1, MOST_PROCESSES),
    help="Sites worked on at a time; as many as there are cores if left out.",
)
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Have the work done by the Dask cluster of this scheduler, such as tcp://10.0.0.5:8786; "
    "needs an extra package, in your copy of leastkit: .venv/bin/pip install -e '.[cluster]'. Only "
    "on a network that you trust: workers run whatever they are sent.",
)
@quiet_option
@click.pass_context
def many(
    ctx: click.Context,
    sites: tuple[str, ...],
    out: str,
    scenarios: str | None,
    book: str | None,
    json_to: str | None,
    seconds: float,
    processes: int | None,
    cluster: str | None,
    quiet: bool,
) -> None:
    """Find the cheapest kits of many SITES, and what they cost bought in one order.

    SITES are site files and folders of them. Each answer is kept in the folder as soon as it is
    there, and not sought again unless its site, the price book or the program has changed. Exit
    status 3 if a site cannot be met, else 4 if one is undecided.
    """
    import time

    from optimizer import questions
    from optimizer.cli.writing import Output
    from optimizer.reporting.many import render_many

    if cluster is not None and processes is not None:
        raise click.UsageError("--processes is for this machine: leave it out with --cluster", ctx)
    begun = time.monotonic()
    with Output(json_to, keep=[*sites, scenarios, book]) as output:
        with Counting(quiet) as counting:
            try:
                found = questions.many(
                    sites,
                    out,
                    book,
                    scenarios,
                    seconds,
                    counting,
                    processes=processes,
                    cluster=cluster,
                    note=lambda words: None if quiet else click.echo(words, err=True),
                )
            except KeyboardInterrupt:
                click.echo(
                    f"{counting.done} answers are kept in {out}; the same command goes on from "
                    "there",
                    err=True,
                )
                raise
        output.write(found.as_json())
    if not output.to_stdout:
        render_many(found, out, terminal())
    if not quiet:
        click.echo(
            f"{counting.done - counting.kept} answers sought, {counting.kept} kept from before, "
            f"took {time.monotonic() - begun:.1f} s",
            err=True,
        )
    statuses = {one.status for column in found.scenarios for one in column.sites}
    ranked = {"fault": FAULT, "unmeetable": UNMEETABLE, "undecided": UNDECIDED}
    ctx.exit(next((status for word, status in ranked.items() if word in statuses), OK))
