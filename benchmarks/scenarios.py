"""Scenarios a second against solving each by a command of its own; time for a point of a frontier.

``python -m benchmarks.scenarios --sizes 2,6,16`` runs both on invented sites.
"""

from __future__ import annotations

import json
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

import click
import yaml
from rich.console import Console
from rich.table import Table

from benchmarks.sites import KINDS, written

COLUMNS = (
    "zones",
    "kind",
    "scenarios",
    "compare s",
    "proven",
    "each alone s",
    "proven",
    "ratio",
    "scenarios / s",
    "frontier s",
    "points",
    "s / point",
    "complete",
)
RETENTION = ("recording/retention", "7 days", "60 days")
DAYS = (10, 20, 30, 45, 60)


@click.command()
@click.option("--sizes", default="2,6,16", show_default=True, help="Numbers of zones.")
@click.option("--kinds", default=",".join(KINDS), show_default=True, help="Kinds of site.")
@click.option("--seconds", default=120.0, show_default=True, help="Limit of each part.")
def main(sizes: str, kinds: str, seconds: float) -> None:
    """Time comparisons and frontiers on invented sites."""
    table = Table(title=f"Scenarios and frontiers, at most {seconds:g} s for each part")
    for column in COLUMNS:
        table.add_column(column, justify="right")
    for size in sizes.split(","):
        for kind in kinds.split(","):
            click.echo(f"{kind}, {size} zones ...", err=True)
            table.add_row(size, kind, *measured(kind, int(size), seconds))
    Console(width=160).print(table)


def measured(kind: str, cameras: int, seconds: float) -> tuple[str, ...]:
    """One line of the table, from the third column on."""
    asked = written(kind, cameras)
    entries: list[dict[str, Any]] = [
        {"id": f"d{n}", "set": {"recording/retention": f"{n} days"}} for n in DAYS
    ]
    entries += [{"id": f"t{n}", "builds_on": f"d{n}", "set": {"money/tax": "7 %"}} for n in DAYS]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        site = _file(folder, "site", asked)
        scenarios = _file(folder, "more", {"leastkit": "scenarios/1", "scenarios": entries})
        each = [site]
        for entry in entries:
            money, days = dict(asked["money"]), int(entry["id"][1:])
            if entry["id"][0] == "t":
                money["tax"] = "7 %"
            recording = {**asked["recording"], "retention": f"{days} days"}
            changed = {**asked, "money": money, "recording": recording}
            each.append(_file(folder, entry["id"], changed))
        limit = ["--time", str(seconds), "--quiet"]
        told = str(folder / "told.json")
        together = _wall(["compare", site, scenarios, "--json", told, *limit])
        compared = [c["status"] for c in _read(told)["scenarios"]].count("optimal")
        one = ["--time", str(seconds / len(each)), "--no-explain", "--quiet"]
        alone, proven = 0.0, 0
        for path in each:
            alone += _wall(["solve", path, "--json", told, *one])
            proven += _read(told)["status"] == "optimal"
    return (
        str(len(each)),
        f"{together:.2f}",
        str(compared),
        f"{alone:.2f}",
        str(proven),
        f"{together / alone:.2f}",
        f"{len(each) / together:.2f}",
        *_frontier(kind, cameras, seconds),
    )


def _frontier(kind: str, cameras: int, seconds: float) -> tuple[str, ...]:
    from optimizer import questions
    from optimizer.reading import Source
    from optimizer.site import LoadedSite, Site

    data = written(kind, cameras)
    asked = LoadedSite(Site.model_validate(data), Source("benchmark", data, {}, ""))
    started = time.perf_counter()
    found = questions.frontier(asked, *RETENTION, seconds=seconds)
    took = time.perf_counter() - started
    points = len(found.points)
    each = f"{took / points:.2f}" if points else "-"
    return f"{took:.2f}", str(points), each, "yes" if found.complete else "no"


def _file(folder: Path, name: str, data: dict[str, Any]) -> str:
    path = folder / f"{name}.yaml"
    path.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    return str(path)


def _read(path: str) -> Any:
    return json.loads(Path(path).read_text(encoding="utf-8"))


def _wall(arguments: list[str]) -> float:
    started = time.perf_counter()
    done = subprocess.run(["leastkit", *arguments], capture_output=True, check=False)
    if done.returncode not in (0, 3, 4):
        raise RuntimeError(done.stderr.decode())
    return time.perf_counter() - started


if __name__ == "__main__":
    main()
