"""The audit of cameras on mounts: sound designs pass, and each spoilt figure is found."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from functools import cache

import pytest
from shapely.geometry import Point, box

from optimizer.audit import audit_design
from optimizer.audit.plan import RULES
from optimizer.audit.sight import Eye, Screen, hidden, lens_of_angle, picture
from optimizer.design import Camera, Design
from optimizer.site.schema import Site
from tests.optimality import rooms

STRIP = {"id": "window", "area": rooms.box(5.6, 5.6, 5.8, 5.8), "detail": "1 px/m"}


@cache
def solved() -> tuple[Site, Design]:
    """The square room, seen from one corner; a strip at the other end is kept out nowhere."""
    asked = rooms.site(
        rooms.square(6), [rooms.zone(rooms.box(1, 1, 5, 5), "100 px/m")],
        [rooms.mount("corner", 0, 0, facing="45 deg", swing="90 deg")],
    )  # fmt: skip
    return asked, rooms.answer(asked).design()


def findings(site: Site, design: Design) -> set[str]:
    prices = rooms.book()
    return {f.rule for f in audit_design(site, prices.items, prices.book.offers, design)}


def aimed(design: Design, **more: object) -> Design:
    """The design with its one camera aimed in another way."""
    [camera] = design.cameras
    assert camera.aim is not None
    return with_camera(design, aim=camera.aim.model_copy(update=more))


def with_camera(design: Design, **more: object) -> Design:
    [camera] = design.cameras
    changed: Camera = camera.model_copy(update=more)
    return design.model_copy(update={"cameras": (changed,)})


def seen(design: Design, **more: object) -> Design:
    [one] = design.seen
    return design.model_copy(update={"seen": (one.model_copy(update=more),)})


def renumbered(design: Design) -> Design:
    text = with_camera(design, number=2).model_dump_json().replace("corner/1", "corner/2")
    return Design.model_validate_json(text)


SPOILT: dict[str, tuple[str, Callable[[Design], Design]]] = {
    "a second number": ("7.1 mounts", renumbered),
    "out of the open arc": ("7.2 aims", lambda d: aimed(d, pan_deg=100.0)),
    "a focal length that the lens has not": ("7.2 aims", lambda d: with_camera(d, focal_mm=2.0)),
    "turned away": ("7.6 zones on the plan", lambda d: aimed(d, pan_deg=80.0)),
    "tilted to the floor": ("7.6 zones on the plan", lambda d: aimed(d, tilt_deg=70.0)),
    "told better than it is": ("7.6 zones on the plan", lambda d: seen(d, px_per_m=300.0)),
    "told worse than asked": ("7.6 zones on the plan", lambda d: seen(d, px_per_m=20.0)),
    "a spot elsewhere": ("7.6 zones on the plan", lambda d: seen(d, at=(0.1, 5.9))),
    "a share too low": ("7.6 zones on the plan", lambda d: seen(d, share=0.9)),
}


def test_what_is_solved_passes() -> None:
    assert findings(*solved()) == set()


@pytest.mark.parametrize("name", sorted(SPOILT))
def test_spoilt_designs_are_found(name: str) -> None:
    rule, spoil = SPOILT[name]
    site, design = solved()
    assert rule in findings(site, spoil(design))


def test_a_keep_out_in_the_picture_is_found() -> None:
    site, design = solved()
    assert site.plan is not None
    data = site.model_dump(mode="json")
    data["plan"]["keep_outs"] = [STRIP]
    assert "7.7 keep-outs" in findings(Site.model_validate(data), design)
    data["plan"]["keep_outs"] = [{**STRIP, "detail": "5000 px/m"}]
    assert findings(Site.model_validate(data), design) == set()


def test_a_zone_in_the_dark_is_found() -> None:
    site, design = solved()
    data = site.model_dump(mode="json")
    data["zones"][0].update(night="dark", night_colour=True)
    assert "7.8 several zones" in findings(Site.model_validate(data), design)


def test_every_rule_is_caught_above() -> None:
    caught = {rule for rule, _ in SPOILT.values()} | {"7.7 keep-outs", "7.8 several zones"}
    assert {rule.name for rule in RULES} == caught


# The geometry, spot by spot: by the rule's own words, with lines and no polygons.


def eye(rng: random.Random) -> Eye:
    return Eye(
        (rng.uniform(0, 10), rng.uniform(0, 10), rng.uniform(1, 5)),
        rng.uniform(0, math.tau),
        rng.uniform(0, 1.2),
        rng.uniform(0.2, 1.2),
        rng.uniform(0.2, 0.8),
        rng.uniform(300, 2000),
    )


@pytest.mark.parametrize("seed", range(20))
def test_the_picture_spot_by_spot(seed: int) -> None:
    """A spot is in the region exactly if the projection of both its ends is on the sensor."""
    rng = random.Random(seed)
    one, around = eye(rng), box(0, 0, 10, 10)
    low, high, least = 0.2, 1.8, rng.uniform(20, 200)
    region = picture(one, around, low, high, least)
    axis, right, down = one.axes()
    for _ in range(300):
        x, y = rng.uniform(0, 10), rng.uniform(0, 10)
        good = True
        for height in (low, 1.0, high):
            v = (x - one.at[0], y - one.at[1], height - one.at[2])
            depth, across, below = (
                sum(a * b for a, b in zip(v, u, strict=True)) for u in (axis, right, down)
            )
            good &= (
                depth > 0
                and abs(across) <= depth * one.half_wide
                and abs(below) <= depth * one.half_high
                and one.px_depth / depth >= least
            )
        if region.boundary.distance(Point(x, y)) > 1e-6:
            assert region.contains(Point(x, y)) == good


@pytest.mark.parametrize("seed", range(20))
def test_shadows_spot_by_spot(seed: int) -> None:
    """A spot is in the shadow exactly if the line to it meets a wall below its top."""
    rng = random.Random(100 + seed)
    one, around = eye(rng), box(0, 0, 10, 10)
    screens = [
        Screen(
            (rng.uniform(0, 10), rng.uniform(0, 10)),
            (rng.uniform(0, 10), rng.uniform(0, 10)),
            rng.choice((0.5, 1.5, 2.5, 4.0, math.inf)),
        )
        for _ in range(4)
    ]
    height = rng.choice((0.0, 1.0, 3.0))
    region = hidden(one, screens, around, height)
    for _ in range(300):
        x, y = rng.uniform(0, 10), rng.uniform(0, 10)
        if region.boundary.distance(Point(x, y)) > 1e-6:
            stopped = any(stops(one, s, (x, y), height) for s in screens)
            assert region.contains(Point(x, y)) == stopped


def stops(one: Eye, screen: Screen, spot: tuple[float, float], height: float) -> bool:
    """Whether a screen meets the line of sight to a spot below its top."""
    (px, py), (dx, dy) = one.spot, (spot[0] - one.at[0], spot[1] - one.at[1])
    ex, ey = screen.b[0] - screen.a[0], screen.b[1] - screen.a[1]
    turn = dx * ey - dy * ex
    t = ((screen.a[0] - px) * ey - (screen.a[1] - py) * ex) / turn
    s = ((screen.a[0] - px) * dy - (screen.a[1] - py) * dx) / turn
    return 0 < t < 1 and 0 <= s <= 1 and one.at[2] + t * (height - one.at[2]) < screen.height


@pytest.mark.parametrize("degrees", [20, 60, 90, 130])
def test_angles_spot_by_spot(degrees: int) -> None:
    rng = random.Random(degrees)
    a, b = (2.0, 3.0), (5.0, 4.0)
    region = lens_of_angle(a, b, math.radians(degrees))
    for _ in range(500):
        x, y = rng.uniform(-5, 12), rng.uniform(-5, 12)
        u, v = (a[0] - x, a[1] - y), (b[0] - x, b[1] - y)
        cosine = (u[0] * v[0] + u[1] * v[1]) / math.hypot(*u) / math.hypot(*v)
        if region.boundary.distance(Point(x, y)) > 1e-3:
            angle = math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
            assert region.contains(Point(x, y)) == (angle >= degrees)
