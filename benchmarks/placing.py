"""Kits for sites with a plan: each phase of solving, and how near the answer is proven to be.

``python -m benchmarks placing`` measures each size in a process of its own and fits the growth of
each phase: seconds = c x mounts^a x cells^b, least squares of the logarithms of processor seconds.
What is searched until a limit does not grow beyond it: its fit is of use where proofs are found.
"""

from __future__ import annotations

import importlib.metadata
import json
import math
import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, TypedDict

import click
import numpy as np
from rich.console import Console
from rich.table import Table

from optimizer.instance import build_instance
from optimizer.instance.memory import Memory
from optimizer.model import build
from optimizer.pricebook import load_book
from optimizer.site.schema import Site
from optimizer.solving.placing import choose, on_mounts
from optimizer.solving.pursue import pursue

SIZES = "8x100,8x400,30x400,30x2000,100x400,100x2000"
"""Up to 500x20000, if there is time for it."""

PHASES = ("plan", "tables", "program", "views", "search")
COLUMNS = (
    "mounts", "cells", "aims", "terms", *(f"{p} s" for p in PHASES), "wall s", "status", "net",
    "gap", "search / views", "cameras", "MiB",
)  # fmt: skip
_VIEWS_SHARE = 0.2
_BAY_M = 9.0


class Placed(TypedDict):
    """One size: processor seconds of each phase, seconds by the clock, and what came out."""

    mounts: int
    cells: int
    aims: int
    terms: int
    phases: dict[str, float]
    wall: float
    status: str
    net: int | None
    gap: float | None
    cameras: int
    memory: int


@dataclass
class _Clock:
    """Processor seconds by phase; within another phase they count for the inner one alone."""

    spent: dict[str, float] = field(default_factory=lambda: dict.fromkeys(PHASES, 0.0))
    inside: list[str] = field(default_factory=list)

    @contextmanager
    def of(self, phase: str) -> Iterator[None]:
        begun = time.process_time()
        self.inside.append(phase)
        try:
            yield
        finally:
            self.inside.pop()
            took = time.process_time() - begun
            self.spent[phase] += took
            if self.inside:
                self.spent[self.inside[-1]] -= took


class _Timed(Memory):
    """A memory that tells the time that plans take."""

    def __init__(self, cells: int, clock: _Clock) -> None:
        super().__init__(cells)
        self.clock = clock

    def plan(self, *args: Any) -> Any:
        """Prepare a plan; see `Memory.plan`."""
        with self.clock.of("plan"):
            return super().plan(*args)

    def finer(self, *args: Any) -> Any:
        """Cut cells; see `Memory.finer`."""
        with self.clock.of("plan"):
            return super().finer(*args)


def site(mounts: int) -> Site:
    """An invented hall of square bays, a mount in each, a rack in every second; network cameras."""
    across = max(2, round(mounts**0.5))
    rows = -(-mounts // across)
    wide, deep = across * _BAY_M, rows * _BAY_M

    def box(left: float, low: float, right: float, high: float) -> list[list[str]]:
        a, b, c, d = (f"{v:g}" for v in (left, low, right, high))
        return [[a, b], [c, b], [c, d], [a, d]]

    places: list[dict[str, Any]] = []
    racks: list[dict[str, Any]] = []
    for index in range(mounts):
        x, y = (index % across) * _BAY_M, (index // across) * _BAY_M
        vary = (index * 7 % 11) / 11
        places.append(
            {
                "id": f"m{index}",
                "at": [f"{x + 1 + 4 * vary:.2f}", f"{y + 0.5:.2f}"],
                "height": f"{3 + vary:.2f} m",
                "run": f"{15 + 60 * vary:.0f} m",
            }
        )
        if index % 2:
            left = x + 2 + vary
            rack = box(left, y + 4, left + 4, y + 5)
            racks.append({"id": f"r{index}", "area": rack, "height": "2 m"})
    zones = [
        {"id": "hall", "area": box(0.5, 0.5, wide - 0.5, deep - 0.5), "detail": "40 px/m",
         "share": "80 %", "heights": "0.5 to 1.8 m", "frame_rate": "8 fps"},
        {"id": "gate", "area": box(2, 6, 4, 8), "detail": "recognise", "share": "90 %",
         "heights": "1 to 1.8 m", "frame_rate": "12 fps"},
    ]  # fmt: skip
    return Site.model_validate(
        {
            "leastkit": "site/1",
            "name": f"Hall with {mounts} mounts",
            "money": {"currency": "EUR"},
            "plan": {"outline": box(0, 0, wide, deep), "obstacles": racks},
            "zones": zones,
            "mounts": places,
            "recording": {"retention": "10 days"},
            "policy": {"families": ["network"]},
        }
    )


def placed(mounts: int, cells: int, seconds: float) -> Placed:
    """Solve one size in this process.

    Parameters
    ----------
    cells : int
        About how many cells the zones are cut into.
    seconds : float
        Time limit of the search. [s]
    """
    asked, book, clock = site(mounts), load_book(), _Clock()
    begun = time.perf_counter()
    with clock.of("tables"):
        instance = build_instance(asked, book, memory=_Timed(cells, clock))
    with clock.of("program"):
        program = build(instance).program
    with clock.of("views"):
        choose(instance, dict.fromkeys(on_mounts(instance), 1), _VIEWS_SHARE * seconds)
    with clock.of("search"):
        found = pursue(instance, time.monotonic() + seconds, lambda _: None, ties=False)
    assert instance.viewing is not None
    net, bound, values = found.found.objective, found.found.bound or 0, found.found.values
    cameras = 0
    if values is not None:
        cameras = sum(values[var] for var in found.draft.cameras.values())
    return Placed(
        mounts=mounts,
        cells=len(instance.viewing.prepared.cells),
        aims=len(instance.viewing.aims),
        terms=sum(len(row.cols) for row in program.rows),
        phases=clock.spent,
        wall=time.perf_counter() - begun,
        status=found.found.status,
        net=net,
        gap=None if not net else (net - bound) / net,
        cameras=cameras,
        memory=resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    )


def row(one: Placed) -> list[str]:
    """What is printed of one size."""
    spent = one["phases"]
    return [
        str(one["mounts"]), str(one["cells"]), str(one["aims"]), str(one["terms"]),
        *(f"{spent[p]:.1f}" for p in PHASES), f"{one['wall']:.1f}", one["status"],
        "-" if one["net"] is None else f"{one['net'] / 100:.2f}",
        "-" if one["gap"] is None else f"{100 * one['gap']:.1f} %",
        f"{spent['search'] / max(spent['views'], 1e-3):.1f}",
        str(one["cameras"]), str(one["memory"]),
    ]  # fmt: skip


def grown(found: Sequence[Placed], phase: str) -> tuple[float, float, float]:
    """The factor and the powers of mounts and of cells that fit a phase best."""
    sizes = np.log([[one["mounts"], one["cells"]] for one in found])
    seconds = np.log([max(one["phases"][phase], 1e-3) for one in found])
    fitted, *_ = np.linalg.lstsq(np.column_stack([np.ones(len(found)), sizes]), seconds, rcond=None)
    factor, of_mounts, of_cells = (float(value) for value in fitted)
    return math.exp(factor), of_mounts, of_cells


def in_child(size: str, seconds: float, most: float) -> Placed | str:
    """One size in a process of its own; in words, what went wrong."""
    call = [
        sys.executable, "-m", "benchmarks", "placing", "--one", size, "--seconds", f"{seconds:g}"
    ]  # fmt: skip
    try:
        done = subprocess.run(call, capture_output=True, check=False, text=True, timeout=most)
    except subprocess.TimeoutExpired:
        return f"not within {most:g} s"
    if done.returncode:
        return (done.stderr.strip().splitlines() or [f"ended with {done.returncode}"])[-1]
    found: Placed = json.loads(done.stdout)
    return found


@click.command()
@click.option("--sizes", default=SIZES, show_default=True, help="Mounts x cells.")
@click.option("--seconds", default=60.0, show_default=True, help="Limit of each search.")
@click.option("--most", default=600.0, show_default=True, help="Limit of each size, in all.")
@click.option("--json", "as_json", is_flag=True, help="Figures as JSON in place of the table.")
@click.option("--one", default=None, hidden=True, help="Measure one size and print JSON.")
def main(sizes: str, seconds: float, most: float, as_json: bool, one: str | None) -> None:
    """Time kits for sites with a plan; `python -m benchmarks.plan` times its preparation alone."""
    if one is not None:
        mounts, cells = (int(part) for part in one.split("x"))
        click.echo(json.dumps(placed(mounts, cells, seconds)))
        return
    found: list[Placed] = []
    table = Table(title=f"Cameras on mounts, processor seconds, search at most {seconds:g} s")
    for column in COLUMNS:
        table.add_column(column, justify="right")
    for size in sizes.split(","):
        click.echo(f"{size} ...", err=True)
        got = in_child(size, seconds, most)
        if isinstance(got, str):
            table.add_row(*size.split("x"), *([""] * (len(COLUMNS) - 3)), got)
            continue
        found.append(got)
        table.add_row(*row(got))
    if as_json:
        click.echo(json.dumps({"machine": _machine(), "limit": seconds, "runs": found}, indent=1))
        return
    console = Console(width=200)
    console.print(table)
    if len(found) > 2:
        for phase in PHASES:
            factor, of_mounts, of_cells = grown(found, phase)
            console.print(
                f"{phase}: {factor:.2e} s x mounts^{of_mounts:.2f} x cells^{of_cells:.2f}",
                highlight=False,
            )
    console.print(_machine(), highlight=False)


def _machine() -> str:
    versions = ", ".join(
        f"{name} {importlib.metadata.version(name)}"
        for name in ("ortools", "highspy", "numpy", "shapely")
    )
    load = os.getloadavg()[0]
    return (
        f"{os.cpu_count()} cores, load {load:.1f}; Python {platform.python_version()}, {versions}"
    )


__all__ = ["main"]
