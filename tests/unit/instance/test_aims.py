"""Views as they count for some zones, against sets of cells."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from optimizer.instance.mounts import _aims
from optimizer.plan.prepared import Prepared, View

ZONES = ("hall", "gate")
CELLS = 90
HALL = 80
"""The first cells are of the hall, the others of the gate."""


def drawn(seed: int) -> Prepared:
    """Views of one lens of which none holds another, as a plan is prepared."""
    rng = np.random.default_rng(seed)
    found: list[frozenset[int]] = []
    for _ in range(60):
        start, long = int(rng.integers(0, CELLS)), int(rng.integers(5, 30))
        gate = {c for c in range(HALL, CELLS) if rng.uniform() < 0.3}
        own = {c % HALL for c in range(start, start + long)} | (
            gate if rng.uniform() < 0.5 else set()
        )
        found.append(frozenset(own))
    sets = [
        one for n, one in enumerate(found) if not any(one <= o for o in found[:n] + found[n + 1 :])
    ]
    views = [
        View("m", "lens", 4.0, float(n), 10.0, np.array(sorted(one), dtype=np.int32), areas(one))
        for n, one in enumerate(sets)
    ]
    cells = [SimpleNamespace(area_id=ZONES[c >= HALL]) for c in range(CELLS)]
    return cast(Prepared, cast(Any, SimpleNamespace(views=tuple(views), cells=tuple(cells))))


def areas(cells: frozenset[int]) -> tuple[str, ...]:
    return tuple(z for n, z in enumerate(ZONES) if any((c >= HALL) == bool(n) for c in cells))


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("zones", [frozenset({"hall"}), frozenset({"gate"}), frozenset(ZONES)])
def test_no_aim_is_lost_that_no_other_one_holds(seed: int, zones: frozenset[str]) -> None:
    prepared = drawn(seed)
    counted = [
        frozenset(c for c in view.cells.tolist() if ZONES[c >= HALL] in zones)
        for view in prepared.views
    ]
    best = {one for one in counted if one and not any(one < other for other in counted)}
    aims = _aims(prepared, range(len(prepared.views)), "lens", 3, zones, 2)
    told = [frozenset(aim.cells.tolist()) for aim in aims]
    assert len(set(told)) == len(told)
    assert set(told) == best
    for aim, own in zip(aims, told, strict=True):
        assert own == counted[prepared.views.index(aim.view)]
        assert (aim.table, aim.lens, aim.duty) == (2, "lens", 3)
        assert np.all(np.diff(aim.cells) > 0)


def test_some_views_are_outdone_only_because_they_lose_cells() -> None:
    lost = 0
    for seed in range(8):
        prepared = drawn(seed)
        aims = _aims(prepared, range(len(prepared.views)), "lens", 0, frozenset({"hall"}), 0)
        lost += sum("hall" in view.areas for view in prepared.views) - len(aims)
    assert lost > 0
