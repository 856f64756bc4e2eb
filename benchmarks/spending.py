"""Time of the best within a budget, and of a purchase in phases, against one solve of the site.

``python -m benchmarks.spending --sizes 3,6`` runs both on invented sites.
"""

from __future__ import annotations

import time
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from benchmarks.sites import KINDS, written

COLUMNS = (
    "zones",
    "kind",
    "solve s",
    "within s",
    "status",
    "questions",
    "ratio",
    "phases s",
    "status",
    "saves",
    "ratio",
)
_WISHED = 4
"""Zones, from the second on, that are wishes; retention is one besides."""


@click.command()
@click.option("--sizes", default="3,6,12", show_default=True, help="Numbers of zones.")
@click.option("--kinds", default=",".join(KINDS), show_default=True, help="Kinds of site.")
@click.option("--seconds", default=120.0, show_default=True, help="Limit of each part.")
def main(sizes: str, kinds: str, seconds: float) -> None:
    """Time what a sum of money buys, and purchases in phases, on invented sites."""
    table = Table(title=f"Within a budget and in phases, at most {seconds:g} s for each part")
    for column in COLUMNS:
        table.add_column(column, justify="right")
    for size in sizes.split(","):
        for kind in kinds.split(","):
            click.echo(f"{kind}, {size} zones ...", err=True)
            table.add_row(size, kind, *measured(kind, int(size), seconds))
    Console(width=160).print(table)


def measured(kind: str, cameras: int, seconds: float) -> tuple[str, ...]:
    """One line of the table, from the third column on."""
    from optimizer import questions
    from optimizer.reading import Source
    from optimizer.scenarios import LoadedPhases
    from optimizer.scenarios.phase_schema import Phases
    from optimizer.site import LoadedSite, Site
    from optimizer.units import money, money_text

    def loaded(data: dict[str, Any]) -> LoadedSite:
        return LoadedSite(Site.model_validate(data), Source("benchmark", data, {}, ""))

    data = written(kind, cameras)
    started = time.perf_counter()
    answer = questions.solve(loaded(data), seconds=seconds)
    alone = time.perf_counter() - started
    ids = [zone["id"] for zone in data["zones"]]
    wishes: dict[str, Any] = {"recording/retention": {"rank": 2, "least": "3 days"}}
    wishes |= {f"zones.{name}": {"rank": 1} for name in ids[1 : 1 + _WISHED]}
    # Three quarters of what everything costs: some wishes fit, others do not.
    budget = money_text(3 * money(answer.total or "0") // 4)
    started = time.perf_counter()
    best = questions.within(loaded({**data, "wishes": wishes}), budget, seconds=seconds)
    within = time.perf_counter() - started
    half = (len(ids) + 1) // 2
    rows = [{"id": "first", "zones": ids[:half]}, {"id": "then", "zones": ids[half:]}]
    points = [p["id"] for p in data.get("audio", {}).get("points", []) if not p.get("zone")]
    plan = {"leastkit": "phases/1", "phases": [rows[0], {**rows[1], "audio": points}]}
    source = Source("benchmark", plan, {}, "")
    started = time.perf_counter()
    bought = questions.phases(
        loaded(data), LoadedPhases(Phases.model_validate(plan), source), seconds=seconds
    )
    phased = time.perf_counter() - started
    return (
        f"{alone:.2f}",
        f"{within:.2f}",
        best.status,
        str(best.solves),
        f"{within / alone:.1f}",
        f"{phased:.2f}",
        bought.status,
        bought.saving or "-",
        f"{phased / alone:.1f}",
    )


if __name__ == "__main__":
    main()
