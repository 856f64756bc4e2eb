"""Asking: what is remembered, what follows from neighbours, what is carried over."""

from __future__ import annotations

import time
from decimal import Decimal

import pytest

from optimizer.errors import Defect
from optimizer.explaining.asking import Asker, Have, least_net
from optimizer.explaining.carrying import carried
from optimizer.explaining.monotony import monotone
from optimizer.explaining.sameness import canonical, fingerprint
from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.pricebook.schema import Book
from optimizer.site.changes import changed, find
from optimizer.site.schema import Site
from optimizer.solving.purchase import tax_on
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import PLAIN, book, camera, site, zone


def asker(prices: Book, seconds: float = 60) -> Asker:
    return Asker(loaded(prices), time.monotonic() + seconds, lambda _: None)


def design_of(asked: Site, prices: Book) -> Have:
    one = asker(prices)
    one.cheapest(asked)
    have = one.design(asked)
    assert have is not None
    return have


def test_no_question_is_solved_twice() -> None:
    one = asker(book())
    first = one.cheapest(site())
    solves = one.solves
    assert (first.low, first.high, first.settled) == (PLAIN, PLAIN, True)
    assert one.cheapest(site(zone("other"))) == first
    assert one.solves == solves


def test_the_same_program_is_not_solved_twice() -> None:
    # There is but one recorder with usb and network export: asking for either asks for it.
    usb = site(recording={"export": ["usb"]})
    network = site(recording={"export": ["network"]})
    prices = book(rec={"export": ["usb", "network"]})
    programs = [build(build_instance(s, loaded(prices))).program for s in (usb, network)]
    assert fingerprint(programs[0]) == fingerprint(programs[1])
    one = asker(prices)
    assert one.saves(usb, PLAIN) is False
    solves = one.solves
    assert one.saves(network, PLAIN) is False
    assert one.solves == solves


def test_saving_and_reaching() -> None:
    one = asker(book())
    assert one.saves(site(), PLAIN) is False
    assert one.saves(site(), PLAIN + 1) is True
    assert one.reached(site(), PLAIN) is True
    assert one.reached(site(), PLAIN - 1) is False


def test_meeting() -> None:
    one = asker(book())
    assert one.meetable(site()) is True
    blind = site(zone(detail="inspect"))
    assert one.meetable(blind) is False
    # 1920 x 4 / (4.8 x 10) = 160 px/m.
    words = "no camera is left for a; the last: it gives at most 160.0 px/m"
    assert one.cheapest(blind).because == words
    twice = site(recording={"drive_failures": 2})
    assert one.cheapest(twice).because.startswith("no recorder is left; the last: no array")
    # By the program, not by its tables: no drive holds 400 days, four bays hold 4000 GB at most.
    assert one.meetable(site(recording={"retention": "400 days"})) is False


def test_without_time_nothing_is_claimed() -> None:
    one = asker(book(), seconds=-1)
    assert one.saves(site(), PLAIN) is None
    assert one.meetable(site()) is None
    assert not one.cheapest(site()).settled
    assert one.solves == 0


def test_bounds_of_neighbours_settle_a_question() -> None:
    one = asker(book())
    asked = site()
    one.at_most(asked, PLAIN, {"cam": 1})
    one.at_least(asked, PLAIN)
    assert one.cheapest(asked).settled
    assert one.solves == 0


def test_contradicting_proofs_are_a_defect() -> None:
    one = asker(book())
    one.cheapest(site())
    with pytest.raises(Defect):
        one.at_least(site(), PLAIN + 1)
    other = asker(book())
    other.at_most(site(zone(detail="inspect")), PLAIN, {})
    with pytest.raises(Defect):
        other.reached(site(zone(detail="inspect")), PLAIN - 1)


@pytest.mark.parametrize("rate", ["0", "0.2", "0.07", "0.19"])
def test_the_least_net_of_a_total(rate: str) -> None:
    tax = Decimal(rate)
    for total in (1, 99, 100, 42400, 53733):
        net = least_net(total, tax)
        assert net + tax_on(net, tax) >= total
        assert net == 0 or net - 1 + tax_on(net - 1, tax) < total


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("recording/retention", "74 days"),
        ("zones.a/frame_rate", "20 fps"),
        ("zones.a/detail", "160 px/m"),
        ("zones.a/width", "12 m"),
        ("zones.a/run", "51 m"),
        ("spare/channels", "3"),
        ("spare/supply", "45 %"),
        ("spare/storage", "100 %"),
    ],
)
def test_a_design_is_carried_as_far_as_it_goes(name: str, value: str) -> None:
    # The edges are derived in tests/optimality/test_explaining.py.
    have = design_of(site(), book())
    tighter = changed(site(), {name: value})
    design = carried(tighter, loaded(book()), have.design)
    assert design is not None
    assert design.total == have.design.total
    if name == "recording/retention":
        # 74 x 13.436928 GB, counted as 995.
        assert design.recorders[0].stored_gb == 995
    if name == "zones.a/run":
        assert design.runs[0].length_cm == 5100


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("recording/retention", "75 days"),
        ("zones.a/frame_rate", "26 fps"),
        ("zones.a/detail", "200 px/m"),
        ("zones.a/width", "12.5 m"),
        ("zones.a/run", "52 m"),
        ("spare/channels", "4"),
        ("spare/supply", "50 %"),
        ("zones.a/discreet", "true"),
    ],
)
def test_and_no_farther(name: str, value: str) -> None:
    have = design_of(site(), book())
    assert carried(changed(site(), {name: value}), loaded(book()), have.design) is None


def test_a_design_is_not_carried_to_other_zones() -> None:
    have = design_of(site(), book())
    assert carried(site(zone("b")), loaded(book()), have.design) is None


SIGN = {"sign": {"kind": "extra", "price": "4.50"}}


def needs(*items: str) -> dict[str, object]:
    return {"require": [{"item": item, "quantity": 1} for item in items]}


@pytest.mark.parametrize(
    ("asked", "name", "sure"),
    [
        (site(), "zones.a/detail", True),
        (site(), "zones.a/width", True),
        (site(policy=needs("sign")), "zones.a/detail", True),
        # A piece that must be used, or channels that must stay free, can lose their recorder.
        (site(policy=needs("male")), "zones.a/detail", False),
        (site(spare={"channels": 1}), "zones.a/width", False),
        (site(zone("a"), zone("b"), spare={"channels": 1}), "zones.b", False),
        (site(owned=[{"item": "male", "quantity": 1, "pinned": True}]), "zones.a/detail", False),
        # The same design serves whatever else is asked.
        (site(policy=needs("male")), "recording/retention", True),
        (site(policy=needs("male")), "zones.a/frame_rate", True),
        (site(spare={"channels": 1}), "spare/channels", True),
        (site(policy=needs("male")), "policy/require.male", True),
        # Only a camera that must be used may stand without need.
        (site(policy=needs("cam")), "policy/require.cam", False),
    ],
)
def test_where_asking_for_less_surely_costs_no_more(asked: Site, name: str, sure: bool) -> None:
    assert monotone(asked, loaded(book(**SIGN)), [find(asked, name)]) is sure


def test_a_question_does_not_hang_on_names_or_order() -> None:
    two = site(zone("a", run="5 m"), zone("b"))
    assert canonical(two) == canonical(site(zone("x"), zone("y", run="5 m")))
    assert canonical(two) != canonical(site(zone("a", run="6 m"), zone("b")))


def test_sound_belongs_to_its_zone() -> None:
    zones = (zone("a", run="5 m"), zone("b"))
    at_a, at_b = (
        site(*zones, audio={"points": [{"id": "p", "zone": at, "run": "1 m"}]}) for at in "ab"
    )
    assert canonical(at_a) != canonical(at_b)


def test_questions_asked_together_are_answered_as_by_themselves() -> None:
    prices = book(long=camera(price="130.00", focal="4 to 8 mm"))
    sites = [site(zone(detail=f"{d} px/m")) for d in (100, 160, 200, 320, 400)]
    one = asker(prices)
    one.together(sites)
    for asked in sites:
        alone = asker(prices).cheapest(asked)
        assert one.so_far(asked) == alone
