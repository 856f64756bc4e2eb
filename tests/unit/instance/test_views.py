"""How many cameras side by side are worth a try."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from optimizer.instance.optics import Refusal, View, suits, views
from tests.optimality.plain_kit import book, camera, site, zone


def found(pictures: list[int], *, every: bool = False, **what: Any) -> list[View] | Refusal:
    """Views of the plain camera (4 mm, 4.8 mm sensor, 1920 px) in one zone."""
    lens = what.pop("focal", "4 mm")
    asked = site(zone(**what))
    return views(
        asked, asked.zones[0], book(cam=camera(focal=lens)).items[0], pictures, every=every
    )


def counts(seen: list[View] | Refusal) -> list[int]:
    assert isinstance(seen, list), seen
    return [v.count for v in seen]


def test_one_camera_where_one_is_enough() -> None:
    # 4.8 x 10 / 4 = 12 m of scene, 1920 x 4 / 48 = 160 px/m.
    seen = found([1920], width="12 m", detail="160 px/m", most_cameras=8)
    assert counts(seen) == [1]
    assert isinstance(seen, list)
    assert (seen[0].focal, seen[0].width_px) == (Fraction(4), 1920)


def test_as_many_as_the_width_needs_and_no_more() -> None:
    # 30 m / 12 m = 2.5: three.
    assert counts(found([1920], width="30 m", most_cameras=8)) == [3]
    assert found([1920], width="30 m", most_cameras=2) == Refusal(
        "width", "its lens cannot show the width"
    )


def test_more_cameras_only_for_a_picture_that_fewer_leave_too_coarse() -> None:
    # Zoom 4 to 8 mm over 12 m of scene at 10 m. One: f = 4 mm. Two: f = min(8, 4.8 x 10 / 6) = 8.
    # 100 px/m needs 100 x 48 / 4 = 1200 px with one and 600 px with two.
    zoom = {"focal": "4 to 8 mm", "width": "12 m", "detail": "100 px/m", "most_cameras": 8}
    seen = found([1920, 704], **zoom)
    assert isinstance(seen, list)
    assert [(v.count, v.focal, v.width_px) for v in seen] == [(1, 4, 1200), (2, 8, 600)]
    # Where the recorder keeps the small picture only, one camera is too coarse.
    assert counts(found([704], **zoom)) == [2]
    # Where it keeps the large one only, a second camera is good for nothing.
    assert counts(found([1920], **zoom)) == [1]
    # Two show 11.5 m with 8 mm to spare (4.8 x 10 / 5.75 = 8.3): 352 x 8 / 48 = 58.666.. px/m
    # is all that the lens gives, with two or with more.
    refused = found([352], **{**zoom, "width": "11.5 m"})
    assert refused == Refusal("detail", "it gives at most 58.7 px/m with 2 side by side")


def test_every_number_for_an_item_that_must_be_used() -> None:
    assert counts(found([1920], width="12 m", most_cameras=4, every=True)) == [1, 2, 3, 4]
    assert counts(found([1920], width="13 m", most_cameras=4, every=True)) == [2, 3, 4]


def test_no_recorder_no_view() -> None:
    assert found([]) == Refusal("recorder", "no recorder takes it")


@pytest.mark.parametrize(
    ("asked", "quantity"),
    [
        ({"frame_rate": "26 fps"}, "frame_rate"),
        ({"place": "outdoors"}, "place"),
        ({"ingress": "IP54"}, "ingress"),
        ({"impact": "IK08"}, "impact"),
        ({"temperature": "-11 to 40 C"}, "temperature"),
        ({"night": "dark"}, "night"),
        ({"steerable": True}, "steerable"),
        ({"discreet": True}, "discreet"),
    ],
)
def test_the_limit_that_takes_a_camera_out_is_named(asked: dict[str, Any], quantity: str) -> None:
    case = site(zone(**asked))
    refusal = suits(case, case.zones[0], book().items[0])
    assert refusal is not None
    assert refusal.quantity == quantity
    plain = site()
    assert suits(plain, plain.zones[0], book().items[0]) is None


@pytest.mark.parametrize(
    ("policy", "quantity"), [({"families": ["network"]}, "family"), ({"forbid": ["cam"]}, "forbid")]
)
def test_what_the_policy_takes_out(policy: dict[str, Any], quantity: str) -> None:
    case = site(policy=policy)
    refusal = suits(case, case.zones[0], book().items[0])
    assert refusal is not None
    assert refusal.quantity == quantity


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        # IEC 60529 (from memory): 7 and 8 vouch for immersion, not for the jets of 5 and 6.
        ("IP67", "it has IP67 (immersion, not jets of water)"),
        ("IP54", "it has IP54"),
        (None, "it has no ingress code"),
    ],
)
def test_a_higher_numeral_that_is_not_enough_is_explained(mark: str | None, words: str) -> None:
    case = site(zone(ingress="IP66"))
    one = book(cam=camera(ingress=mark) if mark else camera()).items[0]
    refusal = suits(case, case.zones[0], one)
    assert refusal is not None
    assert refusal.limit == words
