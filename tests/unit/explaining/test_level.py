"""Stricter sites asked about among all kits of the same price.

The plain camera shows 1920 x 4 / (4.8 x 10) = 160 px/m at 10 m; its twin, as dear, of 5 mm, shows
200 px/m and 9.6 m of scene. Two zones cost 528.00 with either (see `plain_kit`).
"""

from __future__ import annotations

import time
from typing import Any

import pytest

from optimizer.explaining.asking import Asker
from optimizer.explaining.headroom import Reaching
from optimizer.explaining.inquiry import Inquiry
from optimizer.explaining.level import AtPrice, Level, at_level, level
from optimizer.explaining.seeking import Have, Known, Seeker
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import TWO, book, camera, site, zone

TWIN = camera(price="100.00", focal="5 mm")
FINEST = camera(price="300.00", focal="8 mm")


def asking(gate: str = "150 px/m", **more: Any) -> Site:
    yard = zone("yard", detail="150 px/m", run="20 m", width="5 m", most_cameras=2)
    return site(zone("gate", detail=gate, width="5 m", most_cameras=2), yard, **more)


def found(prices: LoadedBook, asked: Site) -> tuple[Asker, Level]:
    answer = solve_site(asked, prices, seconds=60)
    assert (answer.status, answer.total) == ("optimal", "528.00")
    asker = Asker(prices, time.monotonic() + 120, lambda _: None)
    asker.tell(asked, answer.design(), proven=True)
    known = level(asker, Have(asked, answer.design()), 0.5)
    assert known is not None
    return asker, known


@pytest.mark.parametrize(
    ("stricter", "same"),
    [
        (asking("160 px/m"), True),
        (asking("190 px/m"), True),
        # Beyond 200 px/m only the finest is left, at 200.00 more.
        (asking("210 px/m"), False),
        # 74 days of 13.437 GB of two cameras: 1.99 TB on two drives of 1 TB. One drive holds 37.
        (asking(recording={"retention": "37 days"}), True),
        (asking(recording={"retention": "38 days"}), False),
        # Four inputs on the recorder.
        (asking(spare={"channels": 2}), True),
        (asking(spare={"channels": 3}), False),
    ],
)
def test_what_costs_the_same(stricter: Site, same: bool) -> None:
    prices = loaded(book(twin=TWIN, finest=FINEST))
    asker, known = found(prices, asking())
    at_level(asker, known, [(stricter, False)])
    told = asker.so_far(stricter)
    if same:
        assert (told.low, told.high) == (TWO, TWO)
        kit = asker.design(stricter)
        assert kit is not None
        assert kit.site == stricter
    else:
        assert told.low == TWO + 1
        assert told.high is None


def test_what_no_camera_does_is_told_as_such() -> None:
    """No camera gives more than 25 fps: 26 fps cost not more, they cannot be met."""
    prices = loaded(book(twin=TWIN, finest=FINEST))
    asker, known = found(prices, asking())
    fast = asking().model_copy(
        update={
            "zones": tuple(
                z.model_copy(update={"frame_rate": z.frame_rate * 26 / 10}) for z in asking().zones
            )
        }
    )
    at_level(asker, known, [(fast, False)])
    told = asker.so_far(fast)
    assert told.unmeetable
    assert "no camera is left" in told.because


def test_a_box_that_is_not_settled_proves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without any effort for the program of a box it stays open whether it holds a kit."""
    prices = loaded(book(twin=TWIN, finest=FINEST))
    _, known = found(prices, asking())
    monkeypatch.setattr("optimizer.solving.cpsat.CpSat.solve", lambda *_, **__: _Unknown())
    (sought,) = AtPrice(known, asking("190 px/m"), Known(low=TWO), 1.0).answered(Seeker(prices))
    assert sought.known == Known(low=TWO)
    assert sought.have is None


class _Unknown:
    status, values = "unknown", None


def unsearched(prices: LoadedBook, asked: Site, monkeypatch: pytest.MonkeyPatch) -> Inquiry:
    """Questions about a site none of which is searched for by itself."""
    asker, _ = found(prices, asked)
    design = asker.design(asked)
    assert design is not None
    monkeypatch.setattr(asker, "together", lambda *_: None)
    return Inquiry.of(unread(asked), prices, design.design, asker)


def test_reaches_need_no_search_of_their_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """How far four demands and more go is known before anything else is sought."""
    prices = loaded(book(twin=TWIN, finest=FINEST))
    asked = asking()
    inquiry = unsearched(prices, asked, monkeypatch)
    names = ["zones.gate/detail", "zones.yard/detail", "recording/retention", "spare/channels"]
    reaching = Reaching(inquiry, [inquiry.listed[name] for name in [*names, "zones.gate/width"]])
    reaching.climb()
    heads = {head.requirement: head for head in reaching.found()}
    assert heads["zones.gate/detail"].reaches == "200 px/m"
    assert heads["zones.yard/detail"].reaches == "200 px/m"
    assert heads["recording/retention"].reaches == "37 days"
    assert heads["spare/channels"].reaches == "2"
    for name in names:
        step = heads[name].next
        assert heads[name].proven
        assert step is not None
        assert (step.status, step.low) == ("between", "528.01")


def test_two_cameras_in_place_of_one_are_ruled_out_by_themselves(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The plain camera shows 4.8 x 10 / 4 = 12 m of scene; two side by side cost 104.00 more.

    With a channel kept spare a kit with a camera more is none of the first site, and an easier
    demand might cost more; so such kits are proven dearer apart from all others.
    """
    prices, asked = loaded(book()), asking(spare={"channels": 1})
    inquiry = unsearched(prices, asked, monkeypatch)
    names = ["zones.gate/width", "zones.yard/width", "zones.gate/detail", "zones.yard/detail"]
    assert not any(inquiry.monotone([inquiry.listed[name]]) for name in names)
    reaching = Reaching(inquiry, [inquiry.listed[name] for name in names])
    reaching.climb()
    heads = {head.requirement: head for head in reaching.found()}
    for name in names[:2]:
        head = heads[name]
        assert head.next is not None
        assert float(head.reaches.split()[0]) <= 12 < float(head.next.changes[0].to.split()[0])
        assert (head.proven, head.next.status, head.next.low) == (True, "between", "528.01")
    for name in names[2:]:
        # 160 px/m are shown by each; beyond that no camera is left, and two make it no finer.
        assert (heads[name].reaches, heads[name].proven) == ("160 px/m", True)


def test_a_new_camera_that_is_no_dearer_proves_nothing() -> None:
    """A coarse camera at 80.00 shows 1280 x 4 / (4.8 x 10) = 106.7 px/m: refused at 150 px/m.

    A gate of 100 px/m takes it, and a kit with it costs 20.00 less, so nothing is ruled out.
    """
    prices = loaded(book(coarse=camera(price="80.00", picture="1280x720")))
    _, known = found(prices, asking())
    (sought,) = AtPrice(known, asking("100 px/m"), Known(), 20.0, new=True).answered(Seeker(prices))
    assert sought.known == Known()
    assert sought.have is None
