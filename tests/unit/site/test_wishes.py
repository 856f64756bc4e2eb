"""The values that a wish may take, and what it goes with."""

from __future__ import annotations

from typing import Any

import pytest

from optimizer.site.changes import changed
from optimizer.site.wishes import Wished, still_asked, wishes_of
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import site, zone

POINTS = [{"id": "desk", "zone": "b", "run": "4 m"}, {"id": "hall", "run": "6 m"}]


def wished(name: str, wish: dict[str, Any], **parts: Any) -> Wished:
    zones = (zone("a", **parts.pop("of_a", {})), zone("b"))
    asked = site(*zones, wishes={name: {"rank": 1, **wish}}, **parts)
    (one,) = wishes_of(unread(asked))
    return one


@pytest.mark.parametrize(
    ("name", "least", "parts", "values"),
    [
        ("recording/retention", "7 days", {}, ("10 days", "9 days", "8 days", "7 days")),
        # The last step may be shorter than a natural one.
        ("recording/retention", "8.5 days", {}, ("10 days", "9 days", "8.5 days")),
        ("recording/retention", "9", {}, ("10 days", "9 days")),
        ("recording/retention", "10 days", {}, ("10 days",)),
        (
            "zones.a/detail",
            None,
            {"of_a": {"detail": "recognise"}},
            ("recognise", "observe", "detect", "monitor", None),
        ),
        ("zones.a/detail", "detect", {"of_a": {"detail": "observe"}}, ("observe", "detect")),
        # No channel free is the last step, and what dropping means.
        ("spare/channels", None, {"spare": {"channels": 2}}, ("2", "1", "0")),
        ("zones.b", None, {}, ("b", None)),
        # IP67 covers IP54, not IP65 or IP66 (IEC 60529: immersion is not jets).
        ("zones.a/ingress", "IP54", {"of_a": {"ingress": "IP67"}}, ("IP67", "IP54")),
        ("recording/drive_failures", "1", {"recording": {"drive_failures": 2}}, ("2", "1")),
        ("policy/most_joints", None, {"policy": {"most_joints": 1}}, ("1", "2", "3")),
    ],
)
def test_values(
    name: str, least: str | None, parts: dict[str, Any], values: tuple[str | None, ...]
) -> None:
    one = wished(name, {} if least is None else {"least": least}, **parts)
    assert one.values == values
    assert one.steps == len(values) - 1
    assert one.value(one.steps) == values[0]
    assert one.value(0) == values[-1]


def test_order_and_what_goes_with_what() -> None:
    names = {"audio.desk": 2, "zones.b/detail": 1, "audio/points": 3, "zones.b": 1, "audio.hall": 1}
    asked = site(
        zone("a"),
        zone("b"),
        audio={"consent": "stated", "points": POINTS},
        wishes={name: {"rank": rank} for name, rank in names.items()},
    )
    found = wishes_of(unread(asked))
    assert [one.id for one in found] == [
        "zones.b/detail", "zones.b", "audio.hall", "audio.desk", "audio/points",
    ]  # fmt: skip
    assert {one.id: set(one.within) for one in found} == {
        "zones.b/detail": {"zones.b"},
        "zones.b": set(),
        "audio.hall": {"audio/points"},
        "audio.desk": {"audio/points", "zones.b"},
        "audio/points": set(),
    }


def test_what_is_not_asked_any_more_is_no_wish() -> None:
    wishes = {"zones.b/detail": {"rank": 1}, "recording/retention": {"rank": 2}}
    asked = site(zone("a"), zone("b"), wishes=wishes, untouchable=["zones.b", "zones.a"])
    less = still_asked(changed(asked, {"zones.b": None}))
    assert set(less.wishes) == {"recording/retention"}
    assert less.untouchable == ("zones.a",)
