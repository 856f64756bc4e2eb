"""A first kit of a changed site: unchanged zones keep their cameras."""

from __future__ import annotations

import time

import pytest

from optimizer.explaining.asking import Asker
from optimizer.explaining.nearby import nearby
from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from optimizer.solving.cpsat import CpSat
from optimizer.solving.outcome import Outcome
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import PLAIN, book, camera, site, zone

# The plain camera (100.00) shows 160 px/m at 10 m; one with 1280 px (80.00) shows 106.7 px/m.
BOTH = book(coarse=camera(price="80.00", picture="1280x720"))
FIRST = site(zone("a", detail="150 px/m"), zone("b"))


def near(asked: Site, limit: int | None, prices: Book = BOTH) -> int | None:
    """Net of the kit found near the cheapest one of the first site."""
    asker = Asker(loaded(prices), time.monotonic() + 60, lambda _: None)
    asker.cheapest(FIRST)
    have = asker.design(FIRST)
    assert have is not None
    # 424 for the plain kit; the second camera 80, two connectors 2, one pigtail 2: 508.
    assert have.total == PLAIN + 8000 + 200 + 200
    draft = build(build_instance(asked, loaded(prices)))
    found = nearby(draft, FIRST, have.design, limit, 60)
    return None if found is None else draft.program.value(found[0])


def test_what_is_unchanged_keeps_its_camera() -> None:
    # b now needs the plain camera too, 20.00 more.
    tighter = site(zone("a", detail="150 px/m"), zone("b", detail="150 px/m"))
    assert near(tighter, None) == 52800


def test_an_unchanged_zone_is_not_made_cheaper() -> None:
    # Half the storage still takes the one 1 TB drive, and the cameras stay.
    shorter = FIRST.model_copy(
        update={"recording": FIRST.recording.model_copy(update={"retention": 5})}
    )
    assert near(shorter, None) == 50800


def test_only_what_costs_less_is_of_interest() -> None:
    easier = site(zone("a"), zone("b"))
    # a may use the coarse camera now: two of them, 488.00.
    assert near(easier, 50800) == 48800
    assert near(easier, 48800) is None


def test_a_zone_that_no_camera_serves_has_no_kit() -> None:
    harder = site(zone("a", detail="150 px/m"), zone("b"), recording={"retention": "900 days"})
    # 900 days of two plain cameras are 24 TB; four bays of 1 TB drives hold 4 TB.
    assert near(harder, None) is None


def test_what_is_found_in_a_hurry_is_bought_again(monkeypatch: pytest.MonkeyPatch) -> None:
    # Whoever stops at any solution may have bought a second recorder that nobody uses.
    def hurried(model: CpSat, seconds: float, **_: object) -> Outcome:
        most = model.program.names.index("buy/rec")
        model.add_row({most: 1}, lo=model.program.upper[most])
        found = CpSat.solve(model, seconds)
        return Outcome("feasible", found.values, found.objective, None)

    class Hurried(CpSat):
        solve = hurried  # type: ignore[assignment]

    monkeypatch.setattr("optimizer.explaining.nearby.CpSat", Hurried)
    tighter = site(zone("a", detail="150 px/m"), zone("b", detail="150 px/m"))
    assert near(tighter, None) == 52800
