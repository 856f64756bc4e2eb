"""A price curve as a drawing; needs matplotlib, the optional extra ``plot``."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

from optimizer.errors import InputError, Trouble, installing
from optimizer.reporting.plots import LINE, chart
from optimizer.reporting.words import with_tax
from optimizer.solving.explanation import PriceCurve

ENDINGS = (".svg", ".png")


def check_plot(path: str) -> None:
    """Check, before any work is done, that a drawing of this name can be made.

    Raises
    ------
    InputError
        If the ending is not known, or matplotlib is not there.
    """
    if Path(path).suffix.lower() not in ENDINGS:
        raise InputError(
            Trouble(
                "a drawing of this ending cannot be made",
                file=path,
                accepted=" or ".join(ENDINGS),
                hint="give the file one of these endings",
            )
        )
    try:
        import matplotlib  # noqa: F401
    except ImportError:
        raise InputError(
            Trouble(
                "matplotlib is not installed, and drawings are made with it",
                hint=installing("plot"),
            )
        ) from None


def drawn(curve: PriceCurve, ending: str) -> bytes:
    """The price curve as a drawing.

    Parameters
    ----------
    ending : str
        ".svg" or ".png". The same curve gives the same bytes with the same matplotlib.

    Raises
    ------
    ValueError
        If no total of the curve is known.
    """
    levels = [level for level in curve.levels if level.total is not None]
    if not levels:
        raise ValueError("there is no proven total to draw")

    def draw(axes: Any) -> None:
        for level in levels:
            ends = [float(level.first_number), float(level.last_number)]
            marker = "o" if ends[0] == ends[1] else None
            axes.plot(ends, [float(level.total or 0)] * 2, color=LINE, linewidth=2, marker=marker)
        for before, after in pairwise(levels):
            gap = [float(before.last_number), float(after.first_number)]
            totals = [float(before.total or 0), float(after.total or 0)]
            axes.plot(gap, totals, color=LINE, linewidth=0.7, linestyle=":")
        unit = f" [{levels[0].unit}]" if levels[0].unit else ""
        axes.set_xlabel(curve.requirement + unit)
        axes.set_ylabel(f"total{with_tax(curve.tax)} [{curve.currency}]")
        axes.set_title("what each value costs at least", fontsize=10)
        axes.grid(visible=True, linewidth=0.3)

    return chart(draw, ending)
