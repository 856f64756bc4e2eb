"""Kits for sites with a plan: tables, program, search, and how near the answer is proven to be."""

from __future__ import annotations

import resource
import time
from typing import Any, TypedDict

from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site
from optimizer.solving.pursue import pursue

SIZES = "8,30,100"
COLUMNS = (
    "mounts", "cells", "views", "terms", "tables s", "program s", "search s", "status", "net",
    "gap", "cameras", "MiB",
)  # fmt: skip
_BAY_M = 9.0


class Placed(TypedDict):
    """One size."""

    mounts: int
    cells: int
    views: int
    terms: int
    tables: float
    program: float
    search: float
    status: str
    net: int | None
    gap: float | None
    cameras: int
    memory: int


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


def placed(mounts: int, book: LoadedBook, seconds: float) -> Placed:
    """Solve one size.

    Parameters
    ----------
    seconds : float
        Time limit of the search. [s]
    """
    asked = site(mounts)
    start = time.perf_counter()
    instance = build_instance(asked, book)
    tables = time.perf_counter()
    program = build(instance).program
    written = time.perf_counter()
    found = pursue(instance, time.monotonic() + seconds, lambda _: None, ties=False)
    ended = time.perf_counter()
    assert instance.viewing is not None
    net, bound, values = found.found.objective, found.found.bound or 0, found.found.values
    cameras = 0
    if values is not None:
        cameras = sum(values[var] for var in found.draft.cameras.values())
    return Placed(
        mounts=mounts,
        cells=len(instance.viewing.prepared.cells),
        views=len(instance.viewing.prepared.views),
        terms=sum(len(row.cols) for row in program.rows),
        tables=tables - start,
        program=written - tables,
        search=ended - written,
        status=found.found.status,
        net=net,
        gap=None if not net else (net - bound) / net,
        cameras=cameras,
        memory=resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    )


def row(one: Placed) -> list[str]:
    """What is printed of one size."""
    return [
        str(one["mounts"]), str(one["cells"]), str(one["views"]), str(one["terms"]),
        f"{one['tables']:.1f}", f"{one['program']:.1f}", f"{one['search']:.1f}", one["status"],
        "-" if one["net"] is None else f"{one['net'] / 100:.2f}",
        "-" if one["gap"] is None else f"{100 * one['gap']:.1f} %",
        str(one["cameras"]), str(one["memory"]),
    ]  # fmt: skip
