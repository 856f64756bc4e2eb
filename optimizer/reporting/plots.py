"""A chart as a file; needs matplotlib, the optional extra ``plot``."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

LINE = "#1f5f8b"
"""Colour of what is drawn."""


def chart(draw: Callable[[Any], None], ending: str, height: float = 4.5) -> bytes:
    """A chart in a file.

    Parameters
    ----------
    draw : callable
        Draws on the axes that it is given.
    ending : str
        ".svg" or ".png". The same chart gives the same bytes with the same matplotlib.
    height : float
        Of the sheet, which is 8 inches wide. [inch]
    """
    import matplotlib as mpl
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    svg = ending.lower() == ".svg"
    figure = Figure(figsize=(8, height), layout="constrained")
    (FigureCanvasSVG if svg else FigureCanvasAgg)(figure)
    axes = figure.add_subplot()
    draw(axes)
    axes.set_axisbelow(True)
    target = io.BytesIO()
    with mpl.rc_context({"svg.hashsalt": "leastkit"}):
        if svg:
            figure.savefig(target, format="svg", metadata={"Date": None})
        else:
            figure.savefig(target, format="png", dpi=150)
    return target.getvalue()


__all__ = ["LINE", "chart"]
