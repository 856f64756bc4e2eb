"""Comparisons and frontiers as drawings; needs matplotlib, the optional extra ``plot``."""

from __future__ import annotations

from typing import Any

from optimizer.reporting.plots import LINE, chart
from optimizer.reporting.scenarios import STATUS_WORDS
from optimizer.reporting.words import with_tax
from optimizer.scenarios.findings import Comparison, Frontier

_OPEN = "#b9cfde"


def comparison_drawn(found: Comparison, ending: str) -> bytes:
    """Totals of scenarios as bars; the pale end of a bar is not proven.

    Parameters
    ----------
    ending : str
        ".svg" or ".png". The same comparison gives the same bytes with the same matplotlib.
    """
    columns = found.scenarios

    def draw(axes: Any) -> None:
        for place, one in enumerate(columns):
            if one.total is None:
                axes.text(0, place, f" {STATUS_WORDS[one.status]}", va="center", fontsize=8)
                continue
            total, sure = float(one.total), float(one.lower_bound or one.total)
            axes.barh(place, total, color=_OPEN, height=0.6)
            axes.barh(place, sure, color=LINE, height=0.6)
            axes.text(total, place, f" {total:,.2f}", va="center", fontsize=8)
        axes.set_yticks(range(len(columns)), [one.id for one in columns])
        axes.set_ylim(len(columns) - 0.4, -0.6)
        most = max((float(one.total) for one in columns if one.total is not None), default=0)
        axes.grid(axis="x", linewidth=0.3)
        axes.set_xlim(0, most * 1.18 or 1)
        axes.set_xlabel(f"total{with_tax(found.tax)} [{found.currency}]")
        axes.set_title("cheapest kit of each scenario", fontsize=10)

    return chart(draw, ending, 1.2 + 0.45 * len(columns))


def frontier_drawn(found: Frontier, ending: str) -> bytes:
    """Points of a frontier.

    Raises
    ------
    ValueError
        If it has no point.
    """
    if not found.points:
        raise ValueError("there is no proven point to draw")

    def draw(axes: Any) -> None:
        values = [float(point.number) for point in found.points]
        totals = [float(point.total) for point in found.points]
        axes.plot(values, totals, color=LINE, linewidth=0.7, marker="o", drawstyle="steps-pre")
        axes.set_xlabel(found.requirement + (f" [{found.unit}]" if found.unit else ""))
        axes.set_ylabel(f"total{with_tax(found.tax)} [{found.currency}]")
        axes.grid(visible=True, linewidth=0.3)
        words = "proven complete" if found.complete else "partly open"
        axes.set_title(f"the most that each total buys, {words}", fontsize=10)

    return chart(draw, ending, 4.5)


__all__ = ["comparison_drawn", "frontier_drawn"]
