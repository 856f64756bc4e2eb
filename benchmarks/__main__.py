"""`python -m benchmarks`: sizes beside HiGHS; `shell`: whole runs; `explaining`, `proving`.

`placing`: sites with a plan; `scenarios`: comparisons and frontiers; `many`: portfolios, here and
on a cluster.
"""

from __future__ import annotations

import importlib.metadata
import json
import os
import platform
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import click
import yaml
from rich.console import Console
from rich.table import Table

from benchmarks import explaining, placing, proving, scenarios
from benchmarks.many import many
from benchmarks.run import Measured, in_child
from benchmarks.sites import KINDS, written

_SIZES = "6,16,64,256,1024"
_QUICK = "6,16"


@click.group(invoke_without_command=True)
@click.option("--sizes", default=_SIZES, show_default=True, help="Numbers of zones.")
@click.option("--kinds", default=",".join(KINDS), show_default=True, help="Kinds of site.")
@click.option("--seconds", default=60.0, show_default=True, help="Limit of each search.")
@click.option("--quick", is_flag=True, help=f"Sizes {_QUICK}, at most 20 s each.")
@click.option("--json", "as_json", is_flag=True, help="Figures as JSON in place of the table.")
@click.pass_context
def main(
    context: click.Context, sizes: str, kinds: str, seconds: float, quick: bool, as_json: bool
) -> None:
    """Time the search on invented sites, beside HiGHS on the plain program."""
    if context.invoked_subcommand:
        return
    if quick:
        sizes, seconds = _QUICK, min(seconds, 20.0)
    found: list[Measured] = []
    for size in sizes.split(","):
        for kind in kinds.split(","):
            click.echo(f"{kind}, {size} zones ...", err=True)
            mine = in_child(kind, int(size), seconds, plain=False)
            other = in_child(kind, int(size), seconds, plain=True)
            found.append({**other, **mine})
    if as_json:
        click.echo(json.dumps({"machine": _machine(), "limit": seconds, "runs": found}, indent=1))
        return
    console = Console(width=160)
    console.print(_table(found, seconds))
    console.print(_machine())


@main.command()
@click.option("--sizes", default="6,16,64", show_default=True)
@click.option("--seconds", default=60.0, show_default=True)
def shell(sizes: str, seconds: float) -> None:
    """Wall time of `leastkit solve`, from the start of the process to its end."""
    table = Table(title="leastkit solve, from the shell")
    for column in ("zones", "kind", "wall s", "exit code"):
        table.add_column(column, justify="right")
    with tempfile.TemporaryDirectory() as folder:
        for size in sizes.split(","):
            for kind in KINDS:
                path = Path(folder) / f"{kind}-{size}.yaml"
                asked = yaml.safe_dump(written(kind, int(size)), sort_keys=False)
                path.write_text(asked, encoding="utf-8")
                start = time.perf_counter()
                done = subprocess.run(
                    ["leastkit", "solve", str(path), "--time", str(seconds)],
                    capture_output=True,
                    check=False,
                )
                wall = time.perf_counter() - start
                table.add_row(size, kind, f"{wall:.2f}", str(done.returncode))
    console = Console()
    console.print(table)
    console.print(_machine())


@main.command("explaining")
@click.option("--sizes", default=explaining.SIZES, show_default=True)
@click.option("--kinds", default=",".join(KINDS), show_default=True)
@click.option("--seconds", default=60.0, show_default=True, help="Limit of each part.")
def explain(sizes: str, kinds: str, seconds: float) -> None:
    """Time explanations and price curves beside the first solve of the same site."""
    table = Table(title=f"Explanations, at most {seconds:g} s for each part")
    for column in explaining.COLUMNS:
        table.add_column(column, justify="right")
    for size in sizes.split(","):
        for kind in kinds.split(","):
            click.echo(f"{kind}, {size} zones ...", err=True)
            table.add_row(*explaining.rows(explaining.explained(kind, int(size), seconds)))
    console = Console(width=160)
    console.print(table)
    console.print(_machine())


@main.command("proving")
@click.option("--sizes", default=proving.SIZES, show_default=True)
@click.option("--kinds", default=proving.KINDS, show_default=True)
@click.option("--quarrels", default=",".join(proving.QUARRELS), show_default=True)
@click.option("--seconds", default=60.0, show_default=True, help="Limit of each part.")
def prove(sizes: str, kinds: str, quarrels: str, seconds: float) -> None:
    """Time conflicts, ways out and certificates beside the first solve of the same site."""
    table = Table(title=f"What cannot be met, at most {seconds:g} s for each part")
    for column in proving.COLUMNS:
        table.add_column(column, justify="right")
    for size in sizes.split(","):
        for kind in kinds.split(","):
            for quarrel in quarrels.split(","):
                click.echo(f"{kind}, {size} zones, too much {quarrel} ...", err=True)
                found = proving.proved(kind, int(size), quarrel, seconds)
                table.add_row(*proving.rows(found))
    console = Console(width=200)
    console.print(table)
    console.print(_machine())


main.add_command(many)
main.add_command(scenarios.main, "scenarios")
main.add_command(placing.main, "placing")


def _table(found: list[Measured], seconds: float) -> Table:
    table = Table(title=f"Search and plain HiGHS, at most {seconds:g} s each")
    for column in (
        "zones", "kind", "load s", "build s", "first s", "proof s", "net", "gap", "MiB",
        "HiGHS s", "HiGHS gap", "HiGHS / own",
    ):  # fmt: skip
        table.add_column(column, justify="right")
    for one in found:
        size, kind = str(one["cameras"]), one["kind"]
        if "error" in one:
            table.add_row(size, kind, one["error"])
            continue
        ratio = "-"
        if "plain" in one:
            # Where time ran out, the limit stands for the time: the ratio is then a bound at best.
            sign = "" if one["plain_status"] in ("optimal", "infeasible") else ">= "
            sign = sign if one["proof"] is not None else "both open " if sign else "<= "
            ratio = f"{sign}{one['plain'] / one['search']:.1f}"
        table.add_row(
            size,
            kind,
            f"{one['load']:.2f}",
            f"{one['build']:.2f}",
            _seconds(one["first"]),
            _seconds(one["proof"]),
            "-" if one["net"] is None else f"{one['net'] / 100:.2f}",
            _share(one["gap"]),
            str(one["memory"]),
            f"{one['plain']:.2f}" if "plain" in one else "-",
            _share(one.get("plain_gap")),
            ratio,
        )
    return table


def _seconds(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}"


def _share(value: float | None) -> str:
    return "-" if value is None else f"{100 * value:.3f} %"


def _machine() -> str:
    names = ("ortools", "highspy", "numpy")
    versions = ", ".join(f"{n} {importlib.metadata.version(n)}" for n in names)
    return (
        f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; "
        f"Python {sys.version.split()[0]}, {versions}"
    )


if __name__ == "__main__":
    main()
