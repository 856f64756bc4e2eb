"""Preparing a plan: seconds, views and memory for 8 to 500 mounts and 100 to 20,000 cells.

``python -m benchmarks.plan`` measures each size in a process of its own and fits the growth:
seconds = c x mounts^a x cells^b, least squares of the logarithms. Processor seconds stand beside
those of the clock, since other work on the machine stretches only the latter.
"""

from __future__ import annotations

import json
import math
import os
import resource
import subprocess
import sys
import time
from typing import TypedDict

import click
import numpy as np
import shapely
from rich.console import Console
from rich.table import Table

from optimizer.plan.prepare import prepare
from optimizer.plan.refining import unsettled
from optimizer.plan.scene import Area, Lens, Mount, Obstacle, Scene, Wall

SIZES = "8x100,8x500,30x500,30x2000,100x2000,100x5000,500x5000,500x20000"
COLUMNS = (
    "mounts", "cells", "lenses", "wall s", "cpu s", "views", "cells a view", "disagree", "MiB",
)  # fmt: skip
BAY_M = 14.0
LENSES = (
    Lens("wide", 1920, 5.57, 3.13, 2.8, 2.8),
    Lens("middle", 2560, 5.12, 2.88, 6.0, 6.0),
    Lens("varifocal", 2560, 5.12, 2.88, 2.8, 12.0),
    Lens("fine", 3840, 7.68, 4.32, 2.8, 12.0),
)
"""Invented, of usual sizes."""


class Measured(TypedDict):
    """One size: seconds by the clock and of the processor, counts, and memory in MiB."""

    mounts: int
    cells: int
    wall: float
    cpu: float
    views: int
    each: float
    disagree: int
    memory: int


def hall(mounts: int) -> Scene:
    """An invented hall of square bays, a mount in each, with a rack and a piece of wall in each.

    Heights and places vary by a fixed rule, so that no two bays are alike.
    """
    across = math.ceil(math.sqrt(mounts))
    rows = math.ceil(mounts / across)
    wide, long = across * BAY_M, rows * BAY_M
    edge = ((0.0, 0.0), (wide, 0.0), (wide, long), (0.0, long))
    places, racks, walls = [], [], []
    for index in range(mounts):
        x, y = (index % across) * BAY_M, (index // across) * BAY_M
        vary = (index * 7 % 11) / 11
        at = (x + 1.0 + 5 * vary, y + 0.5)
        places.append(Mount(f"m{index}", at, 3.2 + vary, 90.0, 180.0 if index % 3 else 360.0))
        left, low = x + 3 + 2 * vary, y + 4
        body = ((left, low), (left + 7, low), (left + 7, low + 1.2), (left, low + 1.2))
        racks.append(Obstacle(f"r{index}", body, 2.0 if index % 2 else 6.0))
        walls.append(Wall(f"w{index}", ((x, y + 9 + vary), (x + 4, y + 9 + vary)), 2.5))
    asked = (
        Area("hall", edge, 50.0, share=0.9),
        Area("gate", ((1.0, 1.0), (4.0, 1.0), (4.0, 3.0), (1.0, 3.0)), 200.0),
    )
    return Scene(edge, tuple(walls), tuple(racks), tuple(places), asked)


def measured(mounts: int, cells: int) -> Measured:
    """Prepare one size in this process."""
    scene = hall(mounts)
    lenses = {mount.id: LENSES for mount in scene.mounts}
    clock, used = time.perf_counter(), time.process_time()
    prepared = prepare(scene, lenses, cells)
    wall, cpu = time.perf_counter() - clock, time.process_time() - used
    seen = sum(len(view.cells) for view in prepared.views)
    return Measured(
        mounts=mounts,
        cells=len(prepared.cells),
        wall=wall,
        cpu=cpu,
        views=len(prepared.views),
        each=seen / max(1, len(prepared.views)),
        disagree=len(unsettled(prepared)),
        memory=resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    )


def grown(found: list[Measured]) -> tuple[float, float, float]:
    """The factor and the powers of mounts and of cells that fit the processor seconds best."""
    sizes = np.log([[one["mounts"], one["cells"]] for one in found])
    seconds = np.log([one["cpu"] for one in found])
    fitted, *_ = np.linalg.lstsq(np.column_stack([np.ones(len(found)), sizes]), seconds, rcond=None)
    factor, of_mounts, of_cells = (float(value) for value in fitted)
    return math.exp(factor), of_mounts, of_cells


@click.command()
@click.option("--sizes", default=SIZES, show_default=True, help="Mounts x cells.")
@click.option("--one", default=None, hidden=True, help="Measure one size and print JSON.")
def main(sizes: str, one: str | None) -> None:
    """Time the preparation of invented plans."""
    if one is not None:
        click.echo(json.dumps(measured(*(int(part) for part in one.split("x")))))
        return
    found: list[Measured] = []
    for size in sizes.split(","):
        click.echo(f"{size} ...", err=True)
        call = [sys.executable, "-m", "benchmarks.plan", "--one", size]
        done = subprocess.run(call, capture_output=True, check=True, text=True)
        found.append(json.loads(done.stdout))
    table = Table(title="Plans prepared")
    for column in COLUMNS:
        table.add_column(column, justify="right")
    for m in found:
        table.add_row(
            str(m["mounts"]), str(m["cells"]), str(len(LENSES)), f"{m['wall']:.2f}",
            f"{m['cpu']:.2f}", str(m["views"]), f"{m['each']:.1f}", str(m["disagree"]),
            str(m["memory"]),
        )  # fmt: skip
    console = Console(width=120)
    console.print(table)
    if len(found) > 2:
        factor, of_mounts, of_cells = grown(found)
        console.print(
            f"cpu s = {factor:.2e} x mounts^{of_mounts:.2f} x cells^{of_cells:.2f}", highlight=False
        )
    console.print(
        f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; numpy {np.__version__}, "
        f"shapely {shapely.__version__}",
        highlight=False,
    )


if __name__ == "__main__":
    main()
