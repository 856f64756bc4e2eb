"""Many sites: one process, two, and two workers of a Dask cluster on the same machine.

What is lost to overhead is told against a bare loop over the same sites in one process, that keeps
nothing: ``lost`` is the share of the cores' time on the clock that went into anything but that,
``cpu / bare`` the same without waiting, which is what counts on a busy machine. A solve works with
two threads of its own where that pays, so two processes on two cores cannot be twice as fast.
"""

from __future__ import annotations

import os
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import click
import yaml
from rich.console import Console
from rich.table import Table

from benchmarks.sites import KINDS, written

COLUMNS = (
    "how",
    "processes",
    "start s",
    "wall s",
    "cpu s",
    "sites / s",
    "wall / bare",
    "lost",
    "cpu / bare",
    "kept s",
)


class Measured(NamedTuple):
    """Seconds on the clock and of all processors; those of a second run, when all is kept."""

    wall: float
    cpu: float
    again: float
    cpu_again: float


@click.command()
@click.option("--sites", "number", default=200, show_default=True, help="How many.")
@click.option("--zones", default="1,2", show_default=True, help="Their zones, in turn.")
@click.option("--kinds", default=",".join(KINDS), show_default=True, help="Their kinds, in turn.")
@click.option("--seconds", default=60.0, show_default=True, help="Limit of each site.")
def many(number: int, zones: str, kinds: str, seconds: float) -> None:
    """Time a portfolio of small sites: one process, two, and a Dask cluster of two workers."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _write(folder / "sites", number, [int(z) for z in zones.split(",")], kinds.split(","))
        click.echo("a bare loop ...", err=True)
        bare = _bare(folder, seconds)
        table = Table(title=f"{number} sites, {kinds}, of {zones} zones")
        for column in COLUMNS:
            table.add_column(column, justify="right")
        table.add_row("bare loop", "1", "-", f"{bare.wall:.1f}", f"{bare.cpu:.1f}",
                      f"{number / bare.wall:.2f}", "1.00", "-", "1.00", "-")  # fmt: skip
        expected: dict[str, bytes] = {}
        for how, processes in (("many", 1), ("many", 2), ("Dask", 2)):
            click.echo(f"{how}, {processes} ...", err=True)
            out, before = folder / f"{how}-{processes}", _children()
            with _workers(folder, processes if how == "Dask" else 0) as (address, start):
                words = ["--cluster", address] if address else ["--processes", str(processes)]
                found = _timed(folder, out, seconds, words)
            # Workers of a cluster are counted once they have ended, with what starting them took.
            cpu = _children() - before - found.cpu_again
            answers = {p.name: p.read_bytes() for p in sorted(out.glob("answers/base/*"))}
            if expected and answers != expected:
                raise RuntimeError(f"{how} with {processes} gives other answers")
            expected = expected or answers
            lost = 1 - bare.wall / (processes * found.wall)
            table.add_row(
                how, str(processes), f"{start:.1f}" if address else "-", f"{found.wall:.1f}",
                f"{cpu:.1f}", f"{number / found.wall:.2f}", f"{found.wall / bare.wall:.2f}",
                f"{100 * lost:.0f} %", f"{cpu / bare.cpu:.2f}", f"{found.again:.1f}",
            )  # fmt: skip
    Console(width=140).print(table)


def _write(folder: Path, number: int, zones: Sequence[int], kinds: Sequence[str]) -> None:
    folder.mkdir()
    for one in range(number):
        data = written(kinds[one % len(kinds)], zones[one % len(zones)], one)
        path = folder / f"site-{one:04d}.yaml"
        path.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")


_BARE = """
import sys, time
from pathlib import Path
from optimizer.pricebook import load_book
from optimizer.site import load_site
from optimizer.solving import solve_site
book = load_book()
for path in sorted(Path(sys.argv[1]).glob("*.yaml")):
    solve_site(load_site(path).site, book, seconds=float(sys.argv[2]))
"""


def _bare(folder: Path, seconds: float) -> Measured:
    wall, cpu = _run([sys.executable, "-c", _BARE, str(folder / "sites"), str(seconds)])
    return Measured(wall, cpu, 0.0, 0.0)


def _timed(folder: Path, out: Path, seconds: float, words: list[str]) -> Measured:
    call = [sys.executable, "-m", "optimizer", "many", str(folder / "sites"), "--out", str(out)]
    call += ["--time", str(seconds), "--quiet", *words]
    wall, cpu = _run(call)
    # All is kept by now: what reading it back and one order cost.
    again, cpu_again = _run(call)
    return Measured(wall, cpu, again, cpu_again)


def _run(call: list[str]) -> tuple[float, float]:
    """Seconds on the clock, and of processors by this process's children that have ended."""
    before, started = _children(), time.perf_counter()
    done = subprocess.run(call, capture_output=True, check=False)
    if done.returncode not in (0, 3, 4):
        raise RuntimeError(done.stderr.decode())
    return time.perf_counter() - started, _children() - before


def _children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


@contextmanager
def _workers(folder: Path, number: int) -> Iterator[tuple[str, float]]:
    """Address of a scheduler with so many workers, and what it took to start them; none for 0."""
    if not number:
        yield "", 0.0
        return
    started = time.perf_counter()
    common = ["--host", "127.0.0.1", "--no-dashboard"]
    tool = [sys.executable, "-m", "distributed.cli.dask_"]
    running: list[subprocess.Popen[Any]] = [
        subprocess.Popen(
            [*tool[:2], f"{tool[2]}scheduler", "--port", "0", *common],
            cwd=folder, stderr=subprocess.PIPE, text=True,
        )
    ]  # fmt: skip
    try:
        assert running[0].stderr is not None
        found = (re.search(r"Scheduler at:\s+(tcp://\S+)", line) for line in running[0].stderr)
        address = next(match.group(1) for match in found if match)
        environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])}
        for _ in range(number):
            words = [address, "--no-nanny", "--nthreads", "1", *common]
            running.append(
                subprocess.Popen(
                    [*tool[:2], f"{tool[2]}worker", *words, "--local-directory", str(folder)],
                    cwd=folder, stderr=subprocess.DEVNULL, env=environment,
                )
            )  # fmt: skip
        from distributed import Client

        with Client(address, set_as_default=False) as client:
            client.wait_for_workers(number, timeout=60)
        yield address, time.perf_counter() - started
    finally:
        for process in running:
            process.kill()
            process.wait()


if __name__ == "__main__":
    many()
