"""Tables of whole sites: streams as keys, zones alike, and leaving out what is never cheapest."""

from __future__ import annotations

import random
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.instance import Instance, build_instance
from optimizer.model import build
from optimizer.pricebook.schema import Book, Cable, Camera
from optimizer.reading.fields import PictureSize
from optimizer.site.schema import Site
from optimizer.solving.pursue import minimise
from tests.optimality.asking import loaded
from tests.optimality.generator import free_case, tiny_case
from tests.optimality.plain_kit import RECORDER, book, camera, site, zone


def instance(asked: Site, prices: Book, *, reduce: bool = True) -> Instance:
    return build_instance(asked, loaded(prices), reduce=reduce)


def candidates(found: Instance, table: int = 0) -> list[str]:
    return [c.view.camera.id for c in found.zones[table].candidates]


# Zones alike, streams


def test_zones_that_ask_for_the_same_are_one_table() -> None:
    found = instance(
        site(zone("a"), zone("b", run="21 m"), {**zone("c"), "name": "by the door"}), book()
    )
    assert [[z.id for z in t.zones] for t in found.zones] == [["a", "c"], ["b"]]


def test_a_zone_whose_camera_may_carry_sound_stands_alone() -> None:
    points = {"points": [{"id": "p", "zone": "b", "run": "20 m"}]}
    found = instance(site(zone("a"), zone("b"), audio=points), book())
    assert [[z.id for z in t.zones] for t in found.zones] == [["a"], ["b"]]
    # A point that is not to share a camera's feed ties no camera.
    points = {"points": [{"id": "p", "zone": "b", "run": "20 m", "power": "room"}]}
    found = instance(site(zone("a"), zone("b"), audio=points), book())
    assert [[z.id for z in t.zones] for t in found.zones] == [["a", "b"]]


def test_streams_are_one_key_exactly_where_all_their_numbers_are() -> None:
    # b asks for twice the frames: another rate and storage. c has another run only.
    zones = (zone("a"), zone("b", frame_rate="20 fps"), zone("c", run="30 m"))
    draft = build(instance(site(*zones), book()))
    # 1920 x 1080 x 10 fps = 20 736 kpx/s; 13.436 928 GB a day x 10 days = 134.4 GB; b the double.
    got = sorted((s.kilopixels, s.gigabytes, len(terms)) for s, terms in draft.streams.items())
    assert got == [(20736, 135, 2), (41472, 269, 1)]


def test_a_stream_names_the_recorders_that_can_take_it() -> None:
    small = {**RECORDER, "encode_rate": "20 Mpx/s"}
    coarse = {
        **RECORDER,
        "inputs": [{"families": ["hd_coax"], "count": 4, "picture": "704x576"}],
    }
    other = {
        **RECORDER,
        "inputs": [{"families": ["composite"], "count": 4, "picture": "1920x1080"}],
    }
    prices = book(small=small, coarse=coarse, other=other)
    # 100 px/m at 10 m needs 100 x 48 / 4 = 1200 px: the coarse one keeps 704. The small one is 736
    # kpx/s short.
    draft = build(instance(site(), prices))
    assert [s.recorders for s in draft.streams] == [("rec",)]
    # With 50 px/m the coarse one will do, on a stream of its own: 704 x 576 x 10 = 4055.04 kpx/s.
    draft = build(instance(site(zone(detail="50 px/m")), prices))
    assert {s.kilopixels: s.recorders for s in draft.streams} == {
        20736: ("rec",),
        4056: ("coarse",),
    }


# Leaving out


def test_a_dearer_camera_that_is_no_better_is_left_out() -> None:
    assert candidates(instance(site(), book(dear=camera(price="100.01")))) == ["cam"]
    # Equal cost is no reason: the order of ties decides there.
    assert candidates(instance(site(), book(twin=camera()))) == ["cam", "twin"]
    assert candidates(instance(site(), book(dear=camera(price="100.01")), reduce=False)) == [
        "cam",
        "dear",
    ]


THIRSTY = [{"feed": "12 V DC", "watts": "6 W", "volts": "10.8 to 13.2 V"}]
FRUGAL = [{"feed": "12 V DC", "watts": "5 W", "volts": "10.8 to 13.2 V"}]
OTHER_FEED = [{"feed": "24 V AC", "watts": "6 W", "volts": "21 to 27 V"}]


@pytest.mark.parametrize(
    "better",
    [
        {"feeds": FRUGAL},
        {"feeds": [{**THIRSTY[0], "volts": "10 to 13.2 V"}]},
        {"feeds": [*THIRSTY, *OTHER_FEED]},
    ],
)
def test_a_dearer_camera_stays_where_its_wiring_may_save_more(better: dict[str, Any]) -> None:
    # 100 m of box are 40, a supply 30: far more than 0.01 may hang on the wiring.
    assert candidates(instance(site(), book(dear=camera(price="100.01", **better)))) == [
        "cam",
        "dear",
    ]
    # But wiring bought for it alone bounds what can be saved: box 40, supply 30, BNC 2, pigtail 2.
    least_saving = camera(price="174.01", **better)
    assert candidates(instance(site(), book(dear=least_saving))) == ["cam"]


def test_demands_keep_what_would_be_left_out() -> None:
    prices = book(dear=camera(price="300.00"))
    for asked in (
        site(owned=[{"item": "dear", "quantity": 1}]),
        site(policy={"require": [{"item": "dear", "quantity": 1}]}),
        site(policy={"most_camera_models": 1}),
    ):
        assert candidates(instance(asked, prices)) == ["cam", "dear"]


def optimum(asked: Site, prices: Book, reduce: bool) -> int | None:
    found = instance(asked, prices, reduce=reduce)
    if not found.recorders or any(not t.candidates for t in found.zones):
        return None
    best = minimise(build(found), 60.0, lambda _: None)
    assert best.status in ("optimal", "infeasible"), best.status
    return best.objective


def crowded(seed: int) -> tuple[Site, Book]:
    """A drawn case with variants of its cameras and cables, most of them dearer, some better."""
    asked, prices = free_case(20_000 + seed)
    rng = random.Random(seed)
    items = list(prices.items)
    cameras = [i for i in items if isinstance(i, Camera)]
    cables = [i for i in items if isinstance(i, Cable)]
    for number in range(4):
        one = rng.choice(cameras)
        changes: dict[str, Any] = {"id": f"{one.id}-v{number}", "price": varied(rng, one.price)}
        match rng.randrange(6):
            case 0 if one.feeds:
                feed = one.feeds[0]
                watts = feed.watts * Decimal(rng.choice(("0.8", "1.2")))
                changes["feeds"] = (feed.model_copy(update={"watts": watts}), *one.feeds[1:])
            case 1:
                changes["power_plug"] = "barrel" if one.power_plug == "terminals" else "terminals"
            case 2:
                changes["audio"] = rng.choice(("none", "built_in"))
            case 3:
                width, height = one.picture
                changes["picture"] = PictureSize(width // 2, height // 2)
            case 4:
                changes["bracket"] = None
        items.append(one.model_copy(update=changes))
    for number in range(2):
        box = rng.choice(cables)
        items.append(
            box.model_copy(
                update={
                    "id": f"{box.id}-v{number}",
                    "construction": f"{box.construction}-v{number}",
                    "price": varied(rng, box.price),
                    "box": box.box * rng.choice((Decimal("0.5"), Decimal(1), Decimal(2))),
                }
            )
        )
    return asked, prices.model_copy(update={"items": tuple(items)})


def varied(rng: random.Random, price: int) -> int:
    return max(1, round(price * rng.choice((0.7, 0.97, 1.0, 1.02, 1.2, 2.0, 3.0))))


LAW = settings(derandomize=True, deadline=None, database=None, max_examples=40)


@LAW
@given(st.integers(0, 5000))
def test_leaving_out_never_loses_the_optimum(seed: int) -> None:
    asked, prices = crowded(seed)
    assert optimum(asked, prices, True) == optimum(asked, prices, False)


@LAW
@given(st.integers(0, 5000))
def test_leaving_out_never_loses_the_optimum_of_tiny_sites(seed: int) -> None:
    asked, prices = tiny_case(20_000 + seed)
    assert optimum(asked, prices, True) == optimum(asked, prices, False)


def test_the_crowded_cases_leave_cameras_and_cables_out() -> None:
    """Otherwise the laws above would compare a thing with itself."""
    fewer_cameras = fewer_cables = 0
    for seed in range(40):
        asked, prices = crowded(seed)
        short, full = (instance(asked, prices, reduce=r) for r in (True, False))
        fewer_cables += len(short.cables) < len(full.cables)
        fewer_cameras += any(
            len(a.candidates) < len(b.candidates)
            for a, b in zip(short.zones, full.zones, strict=True)
        )
    assert fewer_cameras >= 15
    assert fewer_cables >= 10
