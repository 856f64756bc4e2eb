"""The commands that look for a cheapest kit: solve and steps."""

from __future__ import annotations

import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from optimizer.cli.options import (
    book_option,
    json_option,
    plot_option,
    quiet_option,
    time_option,
)
from optimizer.cli.running import OK, UNDECIDED, UNMEETABLE, Progress, terminal

if TYPE_CHECKING:
    from optimizer.cli.writing import Output
    from optimizer.pricebook import LoadedBook
    from optimizer.site import LoadedSite
    from optimizer.solving.answer import Answer

MOST_PIECES = 10_000
MOST_ALTERNATIVES = 20
_WHY = 0.5
"""Share of the time by which it is told why nothing can be met; `prove` takes all of it."""

EXIT = {"unmeetable": UNMEETABLE, "undecided": UNDECIDED}


def _wanted(_ctx: click.Context, _param: click.Parameter, given: Sequence[str]) -> dict[str, int]:
    """Items with their numbers, "rh-8" or "rh-8=2"."""
    found: dict[str, int] = {}
    for text in given:
        item, sign, number = text.partition("=")
        if sign and not (number.isdecimal() and 1 <= int(number) <= MOST_PIECES):
            raise click.BadParameter(f"{text!r}: give ITEM, or ITEM=NUMBER from 1 on")
        found[item] = int(number) if sign else 1
    return found


def settings(_ctx: click.Context, _param: click.Parameter, given: Sequence[str]) -> dict[str, str]:
    """Requirements with their values; the last of two for the same one would hide the first."""
    found: dict[str, str] = {}
    for text in given:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not (name and sign and value):
            raise click.BadParameter(f"{text!r}: give ID=VALUE, such as 'recording/retention=45'")
        if name in found:
            raise click.BadParameter(f"{name} is set twice")
        found[name] = value
    return found


class _Task(NamedTuple):
    """What is asked beside the cheapest kit."""

    have: Mapping[str, int]
    lack: Sequence[str]
    values: Mapping[str, str]
    kits: int | None
    explained: bool
    full: bool

    @property
    def what_if(self) -> bool:
        return bool(self.have or self.lack or self.values)


@click.command(
    short_help="Find the cheapest kit for SITE, and what drives its price.",
    epilog="Example: leastkit solve site.yaml --book prices.yaml --json answer.json --time 120. "
    "What if: leastkit solve site.yaml --without rh-8 --set recording/retention=45",
)
@click.argument("site")
@book_option
@json_option
@time_option
@click.option(
    "--with",
    "have",
    metavar="ITEM",
    multiple=True,
    callback=_wanted,
    help="What if the kit must use ITEM; ITEM=2 for two of them. May be given again.",
)
@click.option(
    "--without",
    "lack",
    metavar="ITEM",
    multiple=True,
    help="What if the kit must do without ITEM. May be given again.",
)
@click.option(
    "--set",
    "values",
    metavar="ID=VALUE",
    multiple=True,
    callback=settings,
    help="What if a requirement had this value, written as in a site file; none drops it. May be "
    "given again.",
)
@click.option(
    "--alternatives",
    "count",
    metavar="NUMBER",
    type=click.IntRange(1, MOST_ALTERNATIVES),
    help="Also the cheapest kits that differ in cameras, recorder or cabling, this many in all, "
    "and the cheapest of each signal family and cabling.",
)
@click.option(
    "--explain/--no-explain",
    "explained",
    default=True,
    help="Say what drives the price, how far each demand reaches and why each line; this is done "
    "unless told otherwise.",
)
@click.option("--full", is_flag=True, help="All of the explanation, with the price of each choice.")
@quiet_option
@click.pass_context
def solve(
    ctx: click.Context,
    site: str,
    book: str | None,
    json_to: str | None,
    seconds: float,
    have: dict[str, int],
    lack: tuple[str, ...],
    values: dict[str, str],
    count: int | None,
    explained: bool,
    full: bool,
    quiet: bool,
) -> None:
    """Find the cheapest kit for the site file SITE, and say what drives its price.

    Prints the bill with its reasons, every camera's lens, wiring and feed, what was taken for
    granted, and the cautions that go with the work; then which demands drive the price, how far
    each of them reaches at this price, and why no cheaper item was chosen.

    With --with, --without or --set it compares the kit with that of the changed site.
    """
    from optimizer.cli.writing import Output

    task = _Task(have, lack, values, count, explained, full)
    if task.what_if and count is not None:
        raise click.UsageError("ask for alternatives and for what-ifs one after the other", ctx)
    with Output(json_to, keep=[site, book]) as output:
        if task.what_if:
            status = _compare(site, book, seconds, task, quiet, output)
        else:
            status = _answer(site, book, seconds, task, quiet, output)
    ctx.exit(EXIT.get(status, OK))


def _answer(
    site: str, book: str | None, seconds: float, task: _Task, quiet: bool, output: Output
) -> str:
    """The cheapest kit, shown as soon as it is known where somebody waits at a terminal."""
    from optimizer import questions
    from optimizer.reporting import render, render_alternatives, render_explanation

    begun = time.monotonic()
    with Progress(quiet, "reading") as progress:
        asked, prices = questions.prepare(site, book)
        answer = questions.solve(asked, prices, seconds, progress)
    more = answer.met and (task.explained or task.kits is not None)
    if answer.status == "unmeetable" and task.explained:
        with Progress(quiet, "asking what stands in the way") as progress:
            left = max(begun + _WHY * seconds - time.monotonic(), 0.0)
            answer = questions.told_why(asked, answer, prices, left, progress)
    shown = more and not output.to_stdout and sys.stdout.isatty()
    if shown:
        render(answer, asked.site, prices.items, terminal())
    if more:
        with Progress(quiet, "explaining") as progress:
            answer = _more(asked, prices, answer, task, begun + seconds, progress)
    output.write(answer.as_json())
    if not output.to_stdout:
        if not shown:
            render(answer, asked.site, prices.items, terminal())
        render_explanation(answer, prices.items, terminal(), full=task.full, headline=shown)
        if answer.alternatives is not None:
            render_alternatives(answer.alternatives, answer.currency, terminal())
    progress.note(time.monotonic() - begun)
    return answer.status


def _more(
    asked: LoadedSite,
    prices: LoadedBook,
    answer: Answer,
    task: _Task,
    deadline: float,
    progress: Progress,
) -> Answer:
    """The answer with what is asked beside it, in the time that is left."""
    from optimizer import questions

    def left() -> float:
        return max(deadline - time.monotonic(), 0.0)

    if task.explained:
        answer = questions.explain(asked, answer, prices, left(), progress, prices=task.full)
    if task.kits is not None:
        answer = questions.alternatives(asked, answer, task.kits, prices, left(), progress)
    return answer


def _compare(
    site: str, book: str | None, seconds: float, task: _Task, quiet: bool, output: Output
) -> str:
    """The cheapest kit of the changed site, and what the change costs."""
    from optimizer import questions
    from optimizer.reporting import render, render_what_if

    with Progress(quiet, "reading") as progress:
        asked, prices = questions.prepare(site, book)
        answer = questions.what_if(
            asked,
            prices,
            have=task.have,
            lack=task.lack,
            values=task.values,
            seconds=seconds,
            progress=progress,
        )
    output.write(answer.as_json())
    if not output.to_stdout:
        if task.full:
            render(answer, asked.site, prices.items, terminal())
        if answer.what_if is not None:
            render_what_if(answer, prices.items, terminal())
    progress.note()
    return answer.status


@click.command(
    short_help="Show what each value of one requirement costs at least.",
    epilog="Example: leastkit steps site.yaml --of recording/retention --from 7 --to 90 "
    "--plot retention.svg",
)
@click.argument("site")
@click.option("--of", "of", metavar="ID", required=True, help="Requirement, as answers name it.")
@click.option("--from", "low", metavar="VALUE", required=True, help="First value.")
@click.option("--to", "high", metavar="VALUE", required=True, help="Last value.")
@book_option
@json_option
@plot_option
@click.option(
    "--certificate",
    metavar="FOLDER",
    help="Write, for each price, a proof that anybody can check without this program: that no kit "
    "costs less at its first value. The folder must be new or empty.",
)
@time_option
@quiet_option
@click.pass_context
def steps(
    ctx: click.Context,
    site: str,
    of: str,
    low: str,
    high: str,
    book: str | None,
    json_to: str | None,
    plot: str | None,
    certificate: str | None,
    seconds: float,
    quiet: bool,
) -> None:
    """Show what each value of one requirement of SITE costs at least.

    The total with tax is a step function of the value: one line for each price, with the items
    that change there. Every step is proven; where time runs out, that is said.
    """
    from optimizer import questions
    from optimizer.cli.writing import json_text, outputs
    from optimizer.reporting import render_steps
    from optimizer.reporting.explanation_plot import check_plot, drawn

    if plot is not None:
        check_plot(plot)
    with outputs([site, book], json_to, plot) as (output, drawing):
        with Progress(quiet, "reading") as progress:
            asked, prices = questions.prepare(site, book)
            curve = questions.steps(asked, of, low, high, prices, seconds, progress, certificate)
        data = {"schema": "leastkit/steps/1", "site": asked.site.name, **curve.model_dump()}
        output.write(json_text(data))
        if plot is not None and any(level.total is not None for level in curve.levels):
            drawing.write(drawn(curve, Path(plot).suffix))
    if not output.to_stdout:
        render_steps(curve, terminal())
    progress.note()
    none = all(level.status in ("unmeetable", "refused") for level in curve.levels)
    ctx.exit(UNMEETABLE if none else OK if curve.complete else UNDECIDED)
