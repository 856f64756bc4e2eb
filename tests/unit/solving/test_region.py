"""Boxes that hold every solution up to a price, against trying every choice of cameras."""

from __future__ import annotations

import time
from itertools import product

import pytest

from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.site.schema import Site
from optimizer.solving.cpsat import CpSat
from optimizer.solving.region import Box, region
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import TWO, book, camera, site, zone

TWIN = camera(price="100.00", picture="1920x1200")
"""As dear as the plain one, and records more."""

DEAR = camera(price="101.00", focal="3.9 mm")


def drafted(asked: Site) -> Draft:
    prices = loaded(book(twin=TWIN, dear=DEAR, rec={"inputs": [INPUTS]}))
    return build(build_instance(asked, prices, reduce=False))


INPUTS = {"families": ["hd_coax"], "count": 4, "picture": "1920x1200"}
ASKED = site(zone("gate", detail="150 px/m"), zone("yard", detail="120 px/m", run="20 m"))


def choices(draft: Draft) -> list[tuple[dict[int, int], int | None]]:
    """Every choice of one camera for each table, and what the cheapest kit with it costs."""
    of_table: dict[int, list[int]] = {}
    for (index, _), var in draft.cameras.items():
        of_table.setdefault(index, []).append(var)
    found = []
    for chosen in product(*of_table.values()):
        fixed = {var: int(var in chosen) for some in of_table.values() for var in some}
        model = CpSat(draft.program)
        for var, count in fixed.items():
            model.fix(var, count)
        outcome = model.solve(30)
        assert outcome.status in ("optimal", "infeasible")
        found.append((fixed, outcome.objective))
    return found


def inside(fixed: dict[int, int], box: Box) -> bool:
    return all(box.lower[v] <= count <= box.upper[v] for v, count in fixed.items())


@pytest.mark.parametrize(("more", "cheap"), [(0, 4), (100, 8), (200, 9), (-1, 0)])
def test_no_choice_up_to_a_price_is_outside(more: int, cheap: int) -> None:
    """Of nine choices of cameras for two zones the four of plain and twin cost 528.00.

    Four have one dear camera, for 1.00 more, and one has two.
    """
    draft = drafted(ASKED)
    boxes = region(draft, TWO + more, 60)
    assert boxes is not None
    tried = choices(draft)
    assert len(tried) == 9
    up_to = [fixed for fixed, cost in tried if cost is not None and cost <= TWO + more]
    assert len(up_to) == cheap
    for fixed in up_to:
        assert any(inside(fixed, box) for box in boxes)
    assert bool(boxes) == bool(cheap)


def test_what_costs_more_is_left_out() -> None:
    """No kit for 528.00 has the dear camera: its bound is nothing in all boxes."""
    draft = drafted(ASKED)
    boxes = region(draft, TWO, 60)
    assert boxes
    dear = [
        var
        for (index, number), var in draft.cameras.items()
        if draft.instance.zones[index].candidates[number].view.camera.id == "dear"
    ]
    assert len(dear) == 2
    assert all(box.upper[var] == 0 for box in boxes for var in dear)


def test_without_time_nothing_is_told() -> None:
    begun = time.monotonic()
    assert region(drafted(ASKED), TWO, 0.0) is None
    assert time.monotonic() - begun < 30
