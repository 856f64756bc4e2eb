"""Changes of a site: what they do, and what is said of those that are refused."""

from __future__ import annotations

from decimal import Decimal

import pytest

from optimizer.errors import InputError
from optimizer.site import Site
from optimizer.site.changes import (
    Change,
    changed,
    dropped,
    eased,
    find,
    parse_change,
    tightened,
)
from tests.unit.site.test_requirements import LEAST

ZONE = LEAST["zones"][0]
SITE = Site.model_validate(
    {
        **LEAST,
        "zones": [ZONE, {**ZONE, "id": "b.2", "night": "dark"}],
        "audio": {
            "consent": "stated",
            "points": [{"id": "p", "zone": "b.2", "run": "4 m"}, {"id": "q", "run": "6 m"}],
        },
        "policy": {
            "require": [{"item": "sign", "quantity": 2}],
            "forbid": ["twist"],
            "families": ["network"],
            "connectors": {"bnc": ["crimp"]},
        },
        "owned": [{"item": "rec", "quantity": 1, "pinned": True}],
        "recording": {"retention": "7 days", "export": ["usb"]},
    }
)


@pytest.mark.parametrize(
    ("text", "change"),
    [
        ("recording/retention=45 days", ("recording/retention", "45 days")),
        (" spare/channels = 2 ", ("spare/channels", "2")),
        ("policy/forbid.a=b=c", ("policy/forbid.a", "b=c")),
    ],
)
def test_reading_a_change(text: str, change: tuple[str, str]) -> None:
    assert parse_change(text) == Change(*change)


@pytest.mark.parametrize("text", ["recording/retention", "=45 days", "spare/channels=", ""])
def test_what_is_no_change(text: str) -> None:
    with pytest.raises(InputError) as error:
        parse_change(text)
    assert error.value.troubles[0].what == "this is not a change"
    assert "recording/retention=45 days" in error.value.troubles[0].accepted


@pytest.mark.parametrize(
    ("name", "value", "read"),
    [
        ("recording/retention", "45", lambda s: s.recording.retention == 45),
        ("recording/retention", "36 h", lambda s: s.recording.retention == Decimal("1.5")),
        ("recording/codec", "H.265", lambda s: s.recording.codec == "H.265"),
        ("recording/displays.vga", "1", lambda s: s.recording.displays.vga == 1),
        ("recording/export.network", "true", lambda s: s.recording.export == ("usb", "network")),
        ("recording/export.usb", "false", lambda s: s.recording.export == ()),
        ("recording/export", "optical, usb", lambda s: s.recording.export == ("optical", "usb")),
        ("zones.b.2/detail", "180", lambda s: s.zones[1].detail == "180 px/m"),
        ("zones.b.2/night", "2", lambda s: s.zones[1].night == "2 lx"),
        ("zones.a/recorded", "12", lambda s: s.zones[0].recorded == Decimal("0.5")),
        ("zones.a/run", "20", lambda s: s.zones[0].run == 20),
        ("zones.a/mains", "true", lambda s: s.zones[0].mains is True),
        ("zones.a/retention", "3 days", lambda s: s.zones[0].retention == 3),
        ("spare/storage", "10", lambda s: s.spare.storage == Decimal("0.1")),
        ("budget", "1000", lambda s: s.money.budget == 1000_00),
        ("policy/families", "network, hd_coax", lambda s: len(s.policy.families) == 2),
        ("policy/require.sign", "3", lambda s: s.policy.require[0].quantity == 3),
        ("policy/require.lamp", "1", lambda s: s.policy.require[-1].item == "lamp"),
        ("policy/require.sign", "0", lambda s: s.policy.require == ()),
        ("policy/forbid.lamp", "true", lambda s: s.policy.forbid == ("twist", "lamp")),
        ("policy/forbid.twist", "false", lambda s: s.policy.forbid == ()),
        ("policy/connectors.bnc", "plug, crimp", lambda s: len(s.policy.connectors["bnc"]) == 2),
        ("owned.rec/pinned", "false", lambda s: not s.owned[0].pinned),
        ("owned.rec/quantity", "4", lambda s: s.owned[0].quantity == 4),
        ("audio.q/power", "room", lambda s: s.audio.points[1].power == "room"),
        ("audio/points", "q", lambda s: [p.id for p in s.audio.points] == ["q"]),
        ("assumptions/end_allowance", "2", lambda s: s.assumptions.end_allowance == 2),
    ],
)  # fmt: skip
def test_setting_a_value(name: str, value: str, read: object) -> None:
    site = changed(SITE, {name: value})
    assert callable(read)
    assert read(site)
    assert not read(SITE)


def test_several_changes_at_once() -> None:
    site = changed(SITE, {"recording/retention": "9 days", "zones.a": None, "spare/channels": "2"})
    assert (site.recording.retention, len(site.zones), site.spare.channels) == (9, 1, 2)


def test_dropping_a_zone_takes_its_sound_along() -> None:
    site = dropped(SITE, "zones.b.2")
    assert [z.id for z in site.zones] == ["a"]
    assert [p.id for p in site.audio.points] == ["q"]


def test_dropping_an_audio_point_and_all_of_them() -> None:
    assert [p.id for p in dropped(SITE, "audio.p").audio.points] == ["q"]
    assert dropped(SITE, "audio/points").audio.points == ()


def test_one_more_audio_point_stands_where_the_camera_does() -> None:
    site = tightened(SITE, "audio/points")
    added = site.audio.points[-1]
    assert (added.id, added.zone, added.run) == ("a", "a", 18)


def test_dropping_goes_to_the_loosest_that_can_be_asked() -> None:
    assert dropped(SITE, "zones.a/detail").zones[0].detail == "1 px/m"
    assert dropped(SITE, "recording/retention").recording.retention * 24 == pytest.approx(1)
    assert len(dropped(SITE, "policy/families").policy.families) == 3
    assert "bnc" not in dropped(SITE, "policy/connectors.bnc").policy.connectors


def test_easing_and_tightening_by_a_step() -> None:
    assert eased(SITE, "recording/retention").recording.retention == 6
    assert tightened(SITE, "recording/retention").recording.retention == 8
    assert eased(SITE, "zones.b.2/night").zones[1].night == "0.001 lx"


REFUSED = {
    "an id that is nearly right": (
        "recording/retentoin", "9 days",
        'the site asks for nothing called "recording/retentoin"',
        'did you mean "recording/retention"?',
    ),
    "a zone that is not there": (
        "zones.c/detail", "identify",
        'the site asks for nothing called "zones.c/detail"', 'did you mean "zones.a/detail"?',
    ),
    "a value that the field does not take": (
        "zones.b.2/detail", "identfy",
        "this is neither a level of detail nor a pixel density", 'did you mean "identify"?',
    ),
    "a level of another edition": (
        "zones.a/detail", "perceive",
        '"perceive" is not a level of IEC 62676-4:2014', "use one of these",
    ),
    "a unit of another kind": (
        "recording/retention", "9 m", '"m" is not a unit of duration', "write it as",
    ),
    "beyond what is believable": (
        "zones.a/frame_rate", "900",
        "this frame rate is outside the range that is believable here", "check the number",
    ),
    "required and forbidden": (
        "policy/require.twist", "1",
        '"twist" is required, and forbidden', "remove it from policy.require",
    ),
    "neither true nor false": (
        "policy/forbid.twist", "perhaps", "this is neither true nor false", "write true or false",
    ),
    "a value for a zone": ("zones.a", "big", "a zone has no value of its own", "zones.a/detail"),
    "what cannot be dropped": (
        "zones.a/run", "none", "this cannot be dropped", "zones.a/run=18 m",
    ),
    "an unknown connector": (
        "policy/connectors.bnx", "crimp", "this is not one of the choices", 'did you mean "bnc"?',
    ),
    "an audio point at no zone": (
        "audio/points", "p, hal", 'there is neither an audio point nor a zone "hal"', "name audio",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_refused(case: str) -> None:
    name, value, what, hint = REFUSED[case]
    with pytest.raises(InputError) as error:
        changed(SITE, {name: value})
    trouble = error.value.troubles[0]
    assert trouble.what.startswith(what)
    assert hint in trouble.hint
    assert trouble.hint
    assert name.partition("/")[0].partition(".")[0] in trouble.field


def test_the_last_zone_stays() -> None:
    lone = Site.model_validate(LEAST)
    with pytest.raises(InputError) as error:
        dropped(lone, "zones.a")
    assert error.value.troubles[0].accepted == "a value: a site has at least one zone"


def test_no_step_beyond_the_end() -> None:
    site = changed(SITE, {"recording/drive_failures": "2"})
    with pytest.raises(InputError) as error:
        tightened(site, "recording/drive_failures")
    assert error.value.troubles[0].what == "there is no harder step"


def test_finding_one_requirement() -> None:
    assert find(SITE, "zones.b.2/night").value == "dark"
    with pytest.raises(InputError):
        find(SITE, "zones.b.2/ingress")


def test_a_change_is_checked_with_the_site_at_hand() -> None:
    assert parse_change("zones.a/detail=observe", SITE).value == "observe"
    with pytest.raises(InputError):
        parse_change("zones.a/detail=obsreve", SITE)
