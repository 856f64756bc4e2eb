"""The commands and their options. What they need is imported when they run."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from optimizer import __version__
from optimizer.cli.drawing import draw
from optimizer.cli.many import many
from optimizer.cli.options import book_option, currency_code, json_option, quiet_option
from optimizer.cli.proving import prove
from optimizer.cli.running import OK, UNMEETABLE, Progress, Shell, run, terminal
from optimizer.cli.scenarios import compare, frontier
from optimizer.cli.solving import solve, steps
from optimizer.cli.spending import phases, within
from optimizer.cli.writing import json_text

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from optimizer.audit import Finding
    from optimizer.pricebook.schema import AnyItem

CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


@click.group(
    cls=Shell,
    context_settings=CONTEXT,
    epilog="Exit status: 0 answered and met, 2 input refused, 3 proven that it cannot be met, "
    "4 undecided in the time given, 1 a fault of the program.",
)
@click.version_option(__version__, prog_name="leastkit", message="%(prog)s %(version)s")
def cli() -> None:
    """Find the cheapest complete video-surveillance kit for a site.

    A site file says what must be seen, recorded and kept; a price book says what can be bought.
    The answer is a bill with a reason for every line, proven to be the cheapest there is.

    \b
    Start like this:
      leastkit start
      leastkit solve site.yaml
    """


def main() -> None:
    """Run the command line."""
    run(cli, "leastkit")


cli.add_command(solve)
cli.add_command(steps)
cli.add_command(prove)
cli.add_command(compare)
cli.add_command(frontier)
cli.add_command(draw)
cli.add_command(many)
cli.add_command(within)
cli.add_command(phases)


@cli.command(
    epilog="Example: leastkit audit site.yaml answer.json. A bill typed by hand will do: a file "
    "with 'bill:' and lines such as '- {item: some-item, quantity: 3}'."
)
@click.argument("site")
@click.argument("design")
@book_option
@json_option
@quiet_option
@click.pass_context
def audit(
    ctx: click.Context,
    site: str,
    design: str,
    book: str | None,
    json_to: str | None,
    quiet: bool,
) -> None:
    """Check the kit in DESIGN against the site file SITE.

    DESIGN is an answer as solve --json writes it, a design, or a bill typed by hand. Everything
    is worked out anew from the site and the price book: detail, storage, signal reach, volts at
    each camera, loads, parts, money. Exit status 3 if the kit does not meet the site; pieces
    that nobody needs are named but do no harm.
    """
    from optimizer.audit import read_design
    from optimizer.cli.writing import Output
    from optimizer.design import Design
    from optimizer.questions import findings, prepare
    from optimizer.reporting import meets, render_findings

    with Output(json_to, keep=[site, design, book]) as output:
        with Progress(quiet, "checking") as progress:
            asked, prices = prepare(site, book)
            judged = read_design(design)
            found = findings(asked, judged, prices)
        output.write(_findings_json(found, meets(found)))
    if not output.to_stdout:
        render_findings(found, asked.site.name, isinstance(judged, Design), terminal())
    progress.note()
    ctx.exit(OK if meets(found) else UNMEETABLE)


def _findings_json(found: Sequence[Finding], good: bool) -> str:
    return json_text(
        {
            "schema": "leastkit/findings/1",
            "meets_site": good,
            "findings": [finding.model_dump(mode="json") for finding in found],
        }
    )


@cli.group(epilog="Example: leastkit book list --kind camera")
def book() -> None:
    """Look into a price book, check it, or make one from a table."""


@book.command("list", epilog="Example: leastkit book list --kind recorder --book prices.yaml")
@book_option
@click.option("--kind", metavar="KIND", help="Only this kind, such as camera, cable or supply.")
@json_option
def book_list(book: str | None, kind: str | None, json_to: str | None) -> None:
    """List items with their prices; * marks a price that falls with the number bought."""
    from optimizer.pricebook import load_book
    from optimizer.reporting import render_items

    prices = load_book(book)
    some = [item for item in prices.items.values() if kind is None or item.kind == kind]
    if not some:
        kinds = dict.fromkeys(item.kind for item in prices.items.values())
        raise click.BadParameter(
            f"there is none; kinds are {', '.join(kinds)}", param_hint="--kind"
        )
    _show(
        json_to,
        book,
        lambda: _items_json(some),
        lambda console: render_items(prices, some, console),
    )


@book.command("show", epilog="Example: leastkit book show drive-4tb")
@click.argument("item")
@book_option
@json_option
def book_show(item: str, book: str | None, json_to: str | None) -> None:
    """Show all that the price book says of ITEM."""
    from optimizer.pricebook import load_book
    from optimizer.reading.hints import suggest
    from optimizer.reporting import render_item

    prices = load_book(book)
    found = prices.items.get(item)
    if found is None:
        hint = suggest(item, prices.items, "`leastkit book list` shows the ids")
        raise click.BadParameter(f"the price book has no such item; {hint}", param_hint="ITEM")
    _show(
        json_to,
        book,
        lambda: _items_json([found]),
        lambda console: render_item(prices, found, console),
    )


@book.command("check", epilog="Example: leastkit book check --book prices.yaml")
@book_option
@json_option
def book_check(book: str | None, json_to: str | None) -> None:
    """Check a price book and name what it lacks for complete kits.

    A book that cannot be used is refused with exit status 2; gaps alone are no error.
    """
    from optimizer.pricebook import check_book, load_book
    from optimizer.reporting import render_gaps

    prices = load_book(book)
    gaps = check_book(prices)
    _show(
        json_to,
        book,
        lambda: json_text({"book": prices.book.name, "gaps": gaps}),
        lambda console: render_gaps(prices, gaps, console),
    )


def _items_json(items: Sequence[AnyItem]) -> str:
    return json_text([item.model_dump(mode="json", exclude_defaults=True) for item in items])


def _show(
    json_to: str | None,
    book: str | None,
    as_json: Callable[[], str],
    on: Callable[[Any], None],
) -> None:
    from optimizer.cli.writing import Output

    with Output(json_to, keep=[book]) as output:
        output.write(as_json())
    if not output.to_stdout:
        on(terminal())


@book.command(
    "import",
    epilog="Example: leastkit book import cameras.csv --kind camera --currency EUR --out my.yaml",
)
@click.argument("table")
@click.option("--kind", metavar="KIND", help="What the rows are, if the table does not say.")
@click.option("--out", metavar="FILE", required=True, help="Price book to write.")
@click.option("--name", default="imported price book", show_default=True, help="Name of the book.")
@click.option(
    "--currency",
    metavar="CODE",
    required=True,
    callback=currency_code,
    help="Such as EUR, for all prices; a table that says otherwise is refused.",
)
@quiet_option
def book_import(
    table: str, kind: str | None, out: str, name: str, currency: str, quiet: bool
) -> None:
    """Make a price book from TABLE, a CSV or XLSX file with one item a row.

    The columns are the fields of the kind of item (`leastkit schema book` lists them); a field
    in a field has a dot, such as feeds.0.watts.
    """
    from optimizer.cli.importing import import_book

    count = import_book(table, kind, out, name, currency)
    if not quiet:
        click.echo(f"{count} items written to {out}", err=True)


@cli.command(epilog="Example: leastkit schema site > site.schema.json")
@click.argument(
    "what",
    type=click.Choice(
        [
            "site",
            "book",
            "scenarios",
            "phases",
            "answer",
            "comparison",
            "frontier",
            "many",
            "within",
            "phase-plan",
        ]
    ),
)
def schema(what: str) -> None:
    """Print the JSON Schema of a file that is read or written.

    Editors that know JSON Schema use those of site, book, scenarios and phases to complete and
    check such files as they are typed. The others describe what --json writes.
    """
    from optimizer.cli.schemas import published

    click.echo(json_text(published(what)), nl=False)


@cli.command(epilog="Example: leastkit start --out warehouse.yaml")
@click.option(
    "--out",
    metavar="FILE",
    default="site.yaml",
    show_default=True,
    help="File to write; - for standard output. A file that is there is left alone.",
)
@click.option("--plan", is_flag=True, help="With a plan on which cameras are to be placed.")
@quiet_option
def start(out: str, plan: bool, quiet: bool) -> None:
    """Write a commented site file to begin with.

    It uses every field once, with its units and choices, and can be solved as it stands. With
    --plan, the fields of plans, mounts and zones on a plan.
    """
    from optimizer.cli.writing import Output
    from optimizer.site.starter import starter_text

    with Output(out, fresh=True) as output:
        output.write(starter_text(plan))
    if not output.to_stdout and not quiet:
        click.echo(f"{out} written; change it, then: leastkit solve {out}", err=True)
