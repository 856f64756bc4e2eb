"""How long an explanation takes beside the first solve, and a price curve in first solves."""

from __future__ import annotations

import time
from typing import TypedDict

SIZES = "6,16,64"
CURVE = ("recording/retention", "7 days", "86 days")
"""80 values of the requirement that every site has."""


class Explained(TypedDict):
    """Seconds, unless said.

    Attributes
    ----------
    first : float
        Until the proven cheapest kit.
    why : float
        Reasons of all lines, from the tables.
    explanation : float
        What drives the price and how far each demand reaches.
    open : int
        Findings that were not settled in the time given.
    curve : float
        The price curve of 80 days.
    curve_complete : bool
    """

    kind: str
    cameras: int
    status: str
    first: float
    why: float
    explanation: float
    open: int
    curve: float
    curve_complete: bool


def explained(kind: str, cameras: int, seconds: float) -> Explained:
    """Measure one site; each of the three parts may take so many seconds."""
    from benchmarks.sites import site, written
    from optimizer import questions
    from optimizer.explaining.curve import curve
    from optimizer.explaining.explain import explain
    from optimizer.explaining.why import why
    from optimizer.pricebook import load_book
    from optimizer.reading import Source
    from optimizer.site import LoadedSite

    asked = LoadedSite(site(kind, cameras), Source("benchmark", written(kind, cameras), {}, ""))
    book = load_book()
    started = time.perf_counter()
    answer = questions.solve(asked, book, seconds)
    first = time.perf_counter() - started
    found: Explained = {
        "kind": kind,
        "cameras": cameras,
        "status": answer.status,
        "first": first,
        "why": 0.0,
        "explanation": 0.0,
        "open": 0,
        "curve": 0.0,
        "curve_complete": False,
    }
    if not answer.met:
        return found
    started = time.perf_counter()
    why(asked, book, answer)
    found["why"] = time.perf_counter() - started
    started = time.perf_counter()
    told = explain(asked, book, answer, time.monotonic() + seconds, _quiet)
    found["explanation"] = time.perf_counter() - started
    found["open"] = len(told.left_open)
    started = time.perf_counter()
    drawn = curve(asked, book, *CURVE, time.monotonic() + seconds, _quiet)
    found["curve"] = time.perf_counter() - started
    found["curve_complete"] = drawn.complete
    return found


def _quiet(_words: str) -> None:
    """Progress is not measured."""


def rows(found: Explained) -> tuple[str, ...]:
    """One line of the table."""
    first = found["first"]
    sign = "" if found["curve_complete"] else ">= "
    return (
        str(found["cameras"]),
        found["kind"],
        found["status"],
        f"{first:.2f}",
        f"{found['why']:.2f}",
        f"{'' if not found['open'] else '>= '}{found['explanation']:.2f}",
        f"{found['explanation'] / first:.1f}",
        str(found["open"]),
        f"{sign}{found['curve']:.2f}",
        f"{sign}{found['curve'] / first:.1f}",
    )


COLUMNS = (
    "zones",
    "kind",
    "status",
    "first solve s",
    "why s",
    "explanation s",
    "/ first",
    "left open",
    "curve of 80 days s",
    "/ first",
)
