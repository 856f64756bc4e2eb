"""A plan from the file to an audited kit: the shop with shelving, eight mounts."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from optimizer.audit import audit_design
from optimizer.pricebook import load_book
from optimizer.questions import solve
from optimizer.site import load_site
from optimizer.solving.answer import Answer

SITE = Path(__file__).parents[2] / "problems" / "plans" / "shop-with-shelving" / "site.yaml"


@cache
def answer() -> Answer:
    """The best kit that is found in a short time; how near it is proven to be does not matter."""
    return solve(SITE, seconds=12)


def test_the_shop_gets_a_kit_that_keeps_every_rule() -> None:
    found, book = answer(), load_book()
    assert found.status in ("optimal", "feasible")
    faults = audit_design(load_site(SITE).site, book.items, book.book.offers, found.design())
    assert [str(fault) for fault in faults] == []


def test_each_zone_is_seen_as_it_asks() -> None:
    site = load_site(SITE).site
    told = {one.zone: one for one in answer().seen}
    assert set(told) == {zone.id for zone in site.areas}
    for zone in site.areas:
        assert told[zone.id].share >= float(zone.share) - 1e-4
        assert told[zone.id].px_per_m >= float(site.detail_px_m(zone)) * 0.999


def test_cameras_stand_on_mounts_and_serve_zones() -> None:
    site = load_site(SITE).site
    mounts, zones = {m.id for m in site.mounts}, {z.id for z in site.areas}
    names = [camera.zone for camera in answer().cameras]
    assert len(names) == len(set(names))
    assert set(names) <= mounts
    served = set()
    for camera in answer().cameras:
        assert camera.aim is not None
        served |= {one.zone for one in camera.aim.serves}
    assert served == zones


def test_the_answer_says_over_what_it_is_cheapest_and_reads_back() -> None:
    text = answer().as_json()
    assert "all pans without a step" in json.loads(text)["over"]
    assert Answer.model_validate_json(text).design() == answer().design()
