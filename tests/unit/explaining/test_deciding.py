"""Yes or no: at totals derived by hand, one hundredth above and below."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from optimizer.explaining.asking import Asker
from optimizer.explaining.deciding import Decider
from optimizer.explaining.evidence import narrowed
from optimizer.explaining.holding import Holding, Memory
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.loading import LoadedSite
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import book, site, zone
from tests.unit.explaining import door

LONG = 120.0


@contextmanager
def deciding(prices: LoadedBook) -> Iterator[Decider]:
    asker = Asker(prices, time.monotonic() + LONG, lambda _: None)
    try:
        yield Decider(asker)
    finally:
        asker.close()


@pytest.mark.parametrize(("limit", "met"), [(230_99, False), (231_00, True), (None, True)])
def test_at_the_cheapest_total_and_just_below(limit: int | None, met: bool) -> None:
    with deciding(door.book()) as decider:
        assert decider.decide(door.asked().site, limit) is met
        known = decider.asker.so_far(door.asked().site)
        assert decider.effort.whole == 0
    if met:
        assert known.high is not None
        assert limit is None or known.high <= limit
    else:
        assert (known.low, known.high) == (231_00, None)


@pytest.mark.parametrize(("limit", "met"), [(1131_99, False), (1132_00, True)])
def test_what_fits_in_sum_only_is_spelt_out(limit: int, met: bool) -> None:
    # 45 days of 13.436928 GB are 605 GB: each of three cameras needs a recorder of one bay for
    # itself, 1,132.00 in all (see test_certificate.py); in sum two recorders would do, at 882.00.
    kept = {"retention": "45 days", "reserve": "0 %"}
    asked = site(zone("a"), zone("b"), zone("c"), recording=kept)
    with deciding(loaded(book(rec={"bays": 1}))) as decider:
        assert decider.decide(asked, limit) is met


def test_a_design_that_is_known_answers_the_next_question() -> None:
    with deciding(door.book()) as decider:
        assert decider.decide(door.asked(recording={"retention": "60 days"}).site, None) is True
        before = decider.effort.asked
        assert decider.decide(door.asked(recording={"retention": "7 days"}).site, None) is True
        assert (decider.effort.asked, decider.effort.carried) == (before, 1)


def test_tables_alone_rule_a_site_out() -> None:
    far = {**door.SITE["zones"][0], "detail": "5000 px/m"}
    with deciding(door.book()) as decider:
        assert decider.decide(door.asked(zones=[far]).site, None) is False
        assert decider.effort.solves == 0


@contextmanager
def held(asked: LoadedSite) -> Iterator[Holding]:
    asker = Asker(door.book(), time.monotonic() + LONG, lambda _: None)
    try:
        yield Holding(asked, door.book(), asker)
    finally:
        asker.close()


def _doors(**first: str) -> LoadedSite:
    zones = [{**door.SITE["zones"][0], "id": name} for name in ("a", "b", "c", "d")]
    return door.asked(zones=[{**zones[0], **first}, *zones[1:]])


@pytest.mark.parametrize("first", [{"detail": "5000 px/m"}, {"retention": "3000 days"}])
def test_a_first_proof_points_at_the_zone_that_is_too_much(first: dict[str, str]) -> None:
    with held(_doors(**first)) as holding:
        ids = frozenset(holding.order)
        fewer = narrowed(holding, Memory(holding), ids)
        assert fewer < ids
        assert {i.partition("/")[0] for i in fewer if i.startswith("zones.")} == {"zones.a"}
        assert holding.verdict(fewer) == "no"


def test_a_conflict_of_one_zone_stands_until_that_zone_gives() -> None:
    # 265 days of composite fit 1 TB, 530 days 2 TB; recorders have one bay.
    with held(_doors(retention="531 days")) as holding:
        conflict = ("zones.a", "zones.a/retention")
        assert holding.stands(conflict, {})
        assert holding.stands(conflict, {"recording/retention": "1 days"})
        assert not holding.stands(conflict, {"zones.a/retention": "530 days"})
        # Leaving a zone out is asked of the whole site only.
        assert not holding.stands(conflict, {"zones.a": None})
