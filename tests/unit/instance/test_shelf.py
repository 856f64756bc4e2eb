"""Looking further at a plan ends when its time is over, and the answer says so."""

from __future__ import annotations

import math
import time

from optimizer.instance import build_instance
from optimizer.instance.memory import Memory
from tests.optimality import rooms


def lacking() -> tuple[object, object]:
    """All of a room with a column, seen from two corners: edges of shadows cut through cells."""
    column = [{"id": "column", "area": rooms.box(2.5, 2.5, 3.5, 3.5)}]
    zone = rooms.zone(rooms.box(1, 1, 5, 5), "50 px/m")
    mounts = [rooms.mount("corner", 0, 0), rooms.mount("beside", 6, 0)]
    return rooms.site(rooms.square(6), [zone], mounts, obstacles=column), rooms.book()


def cells(until: float) -> tuple[int, str]:
    site, book = lacking()
    instance = build_instance(site, book, until=until)  # type: ignore[arg-type]
    assert instance.viewing is not None
    return len(instance.viewing.prepared.cells), instance.viewing.over


def test_without_a_limit_cells_are_cut_finer_where_the_zone_is_short() -> None:
    rough, words = cells(time.monotonic() - 1)
    fine, others = cells(math.inf)
    assert rough < fine
    assert words.endswith("time ran out before more lenses or smaller cells were tried")
    assert "time ran out" not in others


def test_a_memory_cuts_as_finely_as_it_is_told() -> None:
    zone = rooms.zone(rooms.box(1, 1, 5, 5), "50 px/m")
    site = rooms.site(rooms.square(6), [zone], [rooms.mount("near", 0, 0)])
    few = build_instance(site, rooms.book(), memory=Memory(cells=50)).viewing
    many = build_instance(site, rooms.book(), memory=Memory(cells=800)).viewing
    assert few is not None
    assert many is not None
    assert 25 < len(few.prepared.cells) < 100 < 400 < len(many.prepared.cells) < 1600
