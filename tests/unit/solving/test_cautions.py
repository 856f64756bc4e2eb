"""Cautions stand beside what calls for them, and nowhere else."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from optimizer.design import Design, FedFrom
from optimizer.site import Site
from optimizer.solving.answer import Caution
from optimizer.solving.cautions import cautions
from tests.unit.reporting import handmade

ALWAYS = {"privacy", "always"}


def site(**changes: Any) -> Site:
    data = yaml.load(handmade.SITE_FILE.read_text(encoding="utf-8"), yaml.BaseLoader)
    return Site.model_validate({**data, **changes})


def quiet_site(**zone: Any) -> Site:
    """A site that gives as little reason for caution as a site can."""
    hall = {
        "id": "hall",
        "distance": "5 m",
        "width": "4 m",
        "detail": "250 px/m",
        "frame_rate": "12 fps",
        "run": "10 m",
    }
    return site(zones=[{**hall, **zone}], recording={"retention": "72 h"}, audio={}, policy={})


def found(asked: Site, design: Design | None = None, items: Any = None) -> dict[str, Caution]:
    given = cautions(asked, handmade.BOOK.items if items is None else items, design)
    assert given[-1].about == "always"
    return {caution.about: caution for caution in given}


def test_the_least_that_is_said() -> None:
    assert set(found(quiet_site())) == ALWAYS | {"fire rating"}


def test_the_last_word_is_that_local_codes_decide() -> None:
    assert "Local codes and licensed practice decide" in found(quiet_site())["always"].text


def test_speech_without_a_lawful_basis_is_a_strong_caution() -> None:
    assert found(site())["recording of speech"].strong
    audio = {"consent": "agreed in writing", "points": [{"id": "p", "run": "5 m"}]}
    stated = found(site(audio=audio))["recording of speech"]
    assert not stated.strong
    assert "confirmed under local law" in stated.text
    blank = {"consent": "  ", "points": [{"id": "p", "run": "5 m"}]}
    assert found(site(audio=blank))["recording of speech"].strong


@pytest.mark.parametrize(
    ("retention", "said", "strong"),
    [
        ("72 h", False, False),
        ("73 h", True, False),
        ("31 days", True, False),
        ("32 days", True, True),
    ],
)
def test_retention(retention: str, said: bool, strong: bool) -> None:
    given = found(quiet_site(retention=retention))
    assert ("retention" in given) is said
    if said:
        assert given["retention"].strong is strong


def test_discreet_cameras() -> None:
    given = found(quiet_site(discreet="true"))["discreet cameras"]
    assert given.strong
    assert "hall" in given.text


@pytest.mark.parametrize(
    ("zone", "expected"),
    [
        ({"place": "outdoors"}, {"outdoor copper", "fire rating"}),
        ({"route": "outdoor"}, {"outdoor copper"}),
        ({"route": "buried"}, {"outdoor copper", "digging"}),
        ({"route": "riser"}, {"fire rating"}),
        ({"route": "plenum"}, {"fire rating"}),
    ],
)
def test_routes(zone: dict[str, str], expected: set[str]) -> None:
    assert set(found(quiet_site(**zone))) == ALWAYS | expected


def test_fire_rating_is_strong_where_flames_would_spread() -> None:
    assert found(quiet_site(route="riser"))["fire rating"].strong
    assert not found(quiet_site())["fire rating"].strong


def test_a_kit_brings_mains_height_lamps_and_low_voltage() -> None:
    without, with_kit = set(found(site())), set(found(site(), handmade.DESIGN))
    assert with_kit - without == {
        "mains",
        "low voltage",
        "power limit",
        "infra-red lamps",
        "work at height",
    }


def test_no_lamp_no_caution() -> None:
    cameras = tuple(c for c in handmade.CAMERAS if c.item == "cam-dome")
    dark = handmade.DESIGN.model_copy(update={"cameras": cameras})
    assert "infra-red lamps" not in found(site(), dark)


def test_power_limit_names_supplies_without_the_mark_and_beyond_their_mark() -> None:
    marked = found(site(), handmade.DESIGN)["power limit"]
    # sd-4 is marked and gives 12 V x 1 A; sa-1 has no mark.
    assert "sa-1" in marked.text
    assert "sd-4" not in marked.text
    items = dict(handmade.BOOK.items)
    items["sa-1"] = items["sa-1"].model_copy(update={"class2": True})
    assert "power limit" not in found(site(), handmade.DESIGN, items)
    # A mark that its own figures contradict: a 12 V Class 2 output ends at 5 A.
    items["sd-4"] = items["sd-4"].model_copy(update={"output_amps": 6})
    assert "sd-4" in found(site(), handmade.DESIGN, items)["power limit"].text


def test_no_low_voltage_where_there_is_no_supply() -> None:
    given = found(site(), handmade.DESIGN.model_copy(update={"supplies": ()}))
    assert "low voltage" not in given
    assert "power limit" not in given


def fed(way: str, many: int, control: str = "none") -> Design:
    power = FedFrom.model_validate({"way": way, "unit": "w1", "output": 1})
    cameras = [
        camera.model_copy(update={"power": power, "control": control})
        for camera in handmade.CAMERAS[:many]
    ]
    return handmade.DESIGN.model_copy(update={"cameras": tuple(cameras)})


def test_bundles_need_more_than_one_powered_cable() -> None:
    assert "PoE bundles" not in found(site(), fed("poe", 1))
    assert "PoE bundles" in found(site(), fed("poe", 2))


def test_control_pairs_make_a_star_from_the_second_on() -> None:
    assert "control pairs" not in found(site(), fed("own_pair", 1, "pair"))
    assert "120 ohm" in found(site(), fed("own_pair", 2, "pair"))["control pairs"].text
    assert "control pairs" not in found(site(), fed("own_pair", 2, "coax"))


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("uninterruptible supply, 400 W", True),
        ("backup battery", True),
        ("UPS, small", True),
        ("monitor, 22 inch", False),
        ("upstairs bracket set", False),
    ],
)
def test_batteries(name: str, said: bool) -> None:
    items = dict(handmade.BOOK.items)
    items["sign"] = items["sign"].model_copy(update={"name": name})
    assert ("batteries" in found(site(), handmade.DESIGN, items)) is said
