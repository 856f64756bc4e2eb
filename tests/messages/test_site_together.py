"""What is said of parts of a site that do not go together, or not with the price book."""

from __future__ import annotations

from pathlib import Path

import pytest

from optimizer.errors import InputError
from optimizer.site import LoadedSite, check_currency, check_references, load_site
from tests.messages.refusals import assert_refused, changed, refusal
from tests.messages.sites import SITE

CASES = {
    "zones with one id": (
        {14: "  - id: gate"},
        """
        site.yaml:14: "gate" stands twice in zones, first in line 8
          field:    zones[1].id
          value:    gate
          accepted: each one once
          hint:     rename or remove one of the two
        """,
    ),
    "audio points with one id": (
        {31: "      run: 0 m\n    - {id: desk, run: 3 m}"},
        """
        site.yaml:32: "desk" stands twice in audio.points, first in line 29
          field:    audio.points[1].id
          value:    desk
          accepted: each one once
          hint:     rename or remove one of the two
        """,
    ),
    "owned item twice": (
        {34: "    quantity: 2\n  - {item: old-camera, quantity: 1}"},
        """
        site.yaml:35: "old-camera" stands twice in owned, first in line 33
          field:    owned[1].item
          value:    old-camera
          accepted: each one once
          hint:     remove one of the two
        """,
    ),
    "family twice": (
        {36: "  families: [network, network]"},
        """
        site.yaml:36: "network" stands twice in policy.families, first in line 36
          field:    policy.families[1]
          value:    network
          accepted: each one once
          hint:     remove one of the two
        """,
    ),
    "level of the other edition": (
        {11: "    detail: discern"},
        """
        site.yaml:11: "discern" is not a level of IEC 62676-4:2014
          field:    zones[0].detail
          value:    discern
          accepted: monitor, detect, observe, recognise, identify, inspect, or a density such as \
250 px/m
          hint:     use one of these, or add a line 'standard: IEC 62676-4:2025' at the top level
        """,
    ),
    "level of the earlier edition": (
        {2: "name: Depot\nstandard: IEC 62676-4:2025"},
        """
        site.yaml:12: "recognise" is not a level of IEC 62676-4:2025
          field:    zones[0].detail
          value:    recognise
          accepted: overview, outline, discern, perceive, characterise, validate, scrutinise, or \
a density such as 250 px/m
          hint:     use one of these, or add a line 'standard: IEC 62676-4:2014' at the top level
        """,
    ),
    "audio point at no zone": (
        {30: "      zone: cellar"},
        """
        site.yaml:30: there is no zone "cellar"
          field:    audio.points[0].zone
          value:    cellar
          accepted: gate, yard
          hint:     name one of the zones, or leave zone out
        """,
    ),
    "two audio points at one zone": (
        {31: "      run: 0 m\n    - id: till\n      zone: gate\n      run: 3 m"},
        """
        site.yaml:33: zone "gate" has an audio point already, in line 30
          field:    audio.points[1].zone
          value:    gate
          accepted: a zone without another audio point
          hint:     leave zone out for a second microphone there
        """,
    ),
    "power from a camera that is not named": (
        {30: "      power: camera"},
        """
        site.yaml:30: power from the camera needs the zone whose camera is at this spot
          field:    audio.points[0].power
          value:    camera
          accepted: a zone beside power: camera
          hint:     add a line 'zone: ...' to this audio point, or let power be any, room or local
        """,
    ),
    "required and forbidden": (
        {37: "  forbid: [old-dome]\n  require:\n    - item: old-dome"},
        """
        site.yaml:39: "old-dome" is required, and forbidden in line 37
          field:    policy.require[0].item
          value:    old-dome
          accepted: items that policy.forbid does not name
          hint:     remove it from policy.require or from policy.forbid
        """,
    ),
    "pinned and forbidden": (
        {34: "    quantity: 2\n    pinned: yes", 37: "  forbid: [old-dome, old-camera]"},
        """
        site.yaml:33: "old-camera" must be used (pinned), and is forbidden in line 38
          field:    owned[0].item
          value:    old-camera
          accepted: pinned items that policy.forbid does not name
          hint:     remove 'pinned: true', or the item from policy.forbid
        """,
    ),
}


@pytest.mark.parametrize("title", CASES)
def test_together(title: str) -> None:
    lines, expected = CASES[title]
    assert_refused(load_site, "site.yaml", changed(SITE, lines), expected)


def test_owned_item_that_is_not_pinned_may_be_forbidden() -> None:
    Path("site.yaml").write_text(changed(SITE, {37: "  forbid: [old-camera]"}))
    assert load_site("site.yaml").site.policy.forbid == ("old-camera",)


def _loaded(lines: dict[int, str]) -> LoadedSite:
    Path("site.yaml").write_text(changed(SITE, lines))
    return load_site("site.yaml")


def test_items_that_the_price_book_does_not_have() -> None:
    site = _loaded(
        {
            26: "  retention: 31 days\n  measured:\n    old-camra: 4 Mbit/s",
            37: "  forbid: [dome-2mpx]\n  require: [{item: siren}]",
        }
    )

    def check(_: Path) -> None:
        check_references(site, ["old-camera", "dome-8mp", "dome-2mp"], "book.yaml")

    # Two lines are put in above line 33, so owned stands in 34 ff., forbid in 39.
    assert str(refusal(check, Path("site.yaml"))) == (
        """\
site.yaml:28: the price book has no item "old-camra"
  field:    recording.measured.old-camra
  value:    old-camra
  accepted: an id of an item in book.yaml
  hint:     did you mean "old-camera"?
site.yaml:39: the price book has no item "dome-2mpx"
  field:    policy.forbid[0]
  value:    dome-2mpx
  accepted: an id of an item in book.yaml
  hint:     did you mean "dome-2mp"?
site.yaml:40: the price book has no item "siren"
  field:    policy.require[0].item
  value:    siren
  accepted: an id of an item in book.yaml
  hint:     `leastkit book list` shows the ids"""
    )


def test_owned_item_that_the_price_book_does_not_have() -> None:
    site = _loaded({})

    def check(_: Path) -> None:
        check_references(site, {"old-dome": 1, "siren": 2}, "the built-in price book")

    assert str(refusal(check, Path("site.yaml"))) == (
        """\
site.yaml:33: the price book has no item "old-camera"
  field:    owned[0].item
  value:    old-camera
  accepted: an id of an item in the built-in price book
  hint:     did you mean "old-dome"?"""
    )


def test_items_that_the_price_book_has() -> None:
    site = _loaded({})
    check_references(site, ["old-dome", "old-camera"], "book.yaml")
    with pytest.raises(InputError, match="old-dome"):
        check_references(site, ["old-camera"], "book.yaml")


def test_other_currency() -> None:
    site = _loaded({})

    def check(_: Path) -> None:
        check_currency(site, "USD")

    assert str(refusal(check, Path("site.yaml"))) == (
        """\
site.yaml:4: the site counts in EUR, its price book in USD
  field:    money.currency
  value:    EUR
  accepted: USD
  hint:     prices are never converted: use a price book in the currency of the site"""
    )


def test_same_currency() -> None:
    site = _loaded({})
    check_currency(site, "EUR")
    with pytest.raises(InputError, match="EUR"):
        check_currency(site, "GBP")
