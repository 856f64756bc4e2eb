"""Kits on plans carried over to changed sites."""

from __future__ import annotations

from functools import cache

import pytest

from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.explaining.carrying import carried
from optimizer.site.changes import changed
from optimizer.site.schema import Site
from tests.optimality.rooms import answer, book, box, mount, site, square, zone

BOTH = [
    zone(box(1, 1, 2.5, 2.5), "100 px/m", share="90 %"),
    zone(box(3, 3, 4, 4), "60 px/m") | {"id": "back"},
]
ROOM = site(square(6), BOTH, [mount("corner", 0, 0)])


@cache
def kit() -> Design:
    return answer(ROOM).design()


def passes(asked: Site, design: Design | None) -> bool:
    prices = book()
    return design is not None and not audit_design(asked, prices.items, prices.book.offers, design)


def test_to_the_same_site_it_stays_as_it_is() -> None:
    assert carried(ROOM, book(), kit()) == kit()


def test_what_it_keeps_longer_is_worked_out_anew() -> None:
    longer = changed(ROOM, {"recording/retention": "4 days"})
    design = carried(longer, book(), kit())
    assert passes(longer, design)
    assert design is not None
    assert design.cameras[0].storage_bytes == pytest.approx(2 * kit().cameras[0].storage_bytes)
    assert not passes(longer, kit())


def test_a_zone_that_is_gone_is_no_longer_served() -> None:
    without = changed(ROOM, {"zones.back": None})
    design = carried(without, book(), kit())
    assert passes(without, design)
    assert design is not None
    assert [s.zone for s in design.cameras[0].aim.serves] == ["floor"]  # type: ignore[union-attr]
    assert [s.zone for s in design.seen] == ["floor"]


def test_less_detail_is_seen_on_more_ground() -> None:
    """At 50 px/m a camera at 0, 0 sees as much of the zones as before, and what it says holds."""
    coarser = changed(ROOM, {"zones.floor/detail": "50 px/m"})
    design = carried(coarser, book(), kit())
    assert passes(coarser, design)
    assert design is not None
    assert design.seen[0].share >= kit().seen[0].share


@pytest.mark.parametrize(
    "value",
    [
        {"zones.floor/detail": "2000 px/m"},  # ends 0.42 m before the lens
        {"zones.floor/cameras": "2"},
        {"recording/retention": "300 days"},
    ],
)
def test_a_site_that_it_does_not_meet_is_refused(value: dict[str, str | None]) -> None:
    assert carried(changed(ROOM, value), book(), kit()) is None


def test_a_kit_of_surveyed_views_is_none_of_a_plan() -> None:
    bare = kit().cameras[0].model_copy(update={"aim": None})
    assert carried(ROOM, book(), kit().model_copy(update={"cameras": (bare,)})) is None
