"""What is said of scenarios files that cannot be used, word for word."""

from __future__ import annotations

from pathlib import Path

import pytest

from optimizer.errors import InputError
from optimizer.pricebook import load_book
from optimizer.reading.source import Source
from optimizer.scenarios import load_scenarios
from optimizer.scenarios.applying import cases
from optimizer.site import LoadedSite
from tests.messages.refusals import assert_refused, refusal
from tests.optimality.plain_kit import site, zone

ASKED = site(
    zone("gate"),
    zone("till"),
    audio={"consent": "stated", "points": [{"id": "desk", "zone": "till", "run": "4 m"}]},
)


def used(path: Path) -> None:
    """Load a scenarios file and make its cases, as compare does before it solves."""
    book = load_book()
    asked = LoadedSite(ASKED, Source("site.yaml", ASKED.model_dump(mode="json"), {}, ""))
    cases(asked, book, load_scenarios(path))


CASES = {
    "another kind of file": (
        "leastkit: site/1\nscenarios: []\n",
        """
        scenarios.yaml:1: this file is a site, not a set of scenarios
          field:    leastkit
          value:    site/1
          accepted: scenarios/1
          hint:     check the order of the files in the command
        """,
    ),
    "an unknown field": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  build_on: b\n",
        """
        scenarios.yaml:4: "build_on" is not a field here
          field:    scenarios[0].build_on
          accepted: id, name, note, builds_on, drop, add, policy, set, book, \
price_changes, prices
          hint:     did you mean "builds_on"?
        """,
    ),
    "the name of the base": (
        "leastkit: scenarios/1\nscenarios:\n- id: base\n",
        """
        scenarios.yaml:3: "base" is what the site itself is called
          field:    scenarios[0].id
          value:    base
          accepted: any other id
          hint:     rename the scenario
        """,
    ),
    "an id twice": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n- id: a\n",
        """
        scenarios.yaml:4: "a" stands twice in scenarios, first in line 3
          field:    scenarios[1].id
          value:    a
          accepted: each one once
          hint:     rename or remove one of the two
        """,
    ),
    "an unknown scenario to build on": (
        "leastkit: scenarios/1\nscenarios:\n- id: longer\n- id: b\n  builds_on: longr\n",
        """
        scenarios.yaml:5: there is no scenario "longr"
          field:    scenarios[1].builds_on
          value:    longr
          accepted: base, longer, b
          hint:     did you mean "longer"?
        """,
    ),
    "a circle": (
        "leastkit: scenarios/1\nscenarios:\n"
        "- {id: a, builds_on: b}\n- {id: b, builds_on: c}\n- {id: c, builds_on: b}\n",
        """
        scenarios.yaml:4: scenarios build on each other in a circle: b, c, b
          field:    scenarios[1].builds_on
          value:    c
          accepted: scenarios that lead back to base, the site itself
          hint:     let one of them build on another, or leave its builds_on out
        """,
    ),
    "itself": (
        "leastkit: scenarios/1\nscenarios:\n- {id: a, builds_on: a}\n",
        """
        scenarios.yaml:3: scenarios build on each other in a circle: a, a
          field:    scenarios[0].builds_on
          value:    a
          accepted: scenarios that lead back to base, the site itself
          hint:     let one of them build on another, or leave its builds_on out
        """,
    ),
    "a value that the schema refuses": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  set:\n    zones.gate/detail: recognize\n",
        """
        scenarios.yaml:5: this is neither a level of detail nor a pixel density
          field:    scenarios[0].set.zones.gate/detail
          value:    recognize
          accepted: characterise, detect, discern, identify, inspect, monitor, observe, outline, \
overview, perceive, recognise, scrutinise, validate, or a density such as 250 px/m
          hint:     did you mean "recognise"?
        """,
    ),
    "an unknown zone left out": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  drop:\n    zones: [gates]\n",
        """
        scenarios.yaml:5: the site has no zone "gates"
          field:    scenarios[0].drop.zones[0]
          value:    gates
          accepted: gate, till
          hint:     did you mean "gate"?
        """,
    ),
    "no zone left": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  drop:\n    zones: [gate, till]\n",
        """
        scenarios.yaml:5: no zone would be left
          field:    scenarios[0].drop.zones
          accepted: at least one zone that is kept or added
          hint:     keep a zone: a site without one asks for nothing
        """,
    ),
    "a zone that is there": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  add:\n    zones:\n    - {id: gate, "
        "distance: 5 m, width: 2 m, detail: observe, frame_rate: 5 fps, run: 9 m}\n",
        """
        scenarios.yaml:6: "gate" is one of the site's zones already
          field:    scenarios[0].add.zones[0].id
          value:    gate
          accepted: an id that the site has not
          hint:     rename it, or change the zone that is there with set
        """,
    ),
    "a zone that is heard already": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  add:\n    audio:\n"
        "    - {id: more, zone: till, run: 5 m}\n",
        """
        scenarios.yaml:6: zone "till" has an audio point already, desk
          field:    scenarios[0].add.audio[0].zone
          value:    till
          accepted: a zone without another audio point
          hint:     leave zone out for a second microphone there
        """,
    ),
    "an unknown item among the prices": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  prices:\n    drive-4tv: 80.00\n",
        """
        scenarios.yaml:5: the price book has no item "drive-4tv"
          field:    scenarios[0].prices.drive-4tv
          value:    drive-4tv
          accepted: an id of an item in built-in generic book
          hint:     did you mean "drive-4tb"?
        """,
    ),
    "an unknown kind among the changes": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  price_changes:\n    recorders: +10 %\n",
        """
        scenarios.yaml:5: "recorders" is neither an item nor a kind
          field:    scenarios[0].price_changes.recorders
          value:    recorders
          accepted: an id of an item in built-in generic book, a kind such as recorder, or all
          hint:     did you mean "recorder"?
        """,
    ),
    "a change without its sign": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  price_changes: {all: 10 %}\n",
        """
        scenarios.yaml:4: this is not a change in percent
          field:    scenarios[0].price_changes.all
          value:    10 %
          accepted: a change in percent with its sign, from -99 % to +1000 %
          hint:     write +10 % for a tenth more, -10 % for a tenth less
        """,
    ),
    "a change that leaves nothing": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  price_changes: {all: -100 %}\n",
        """
        scenarios.yaml:4: this change is outside the range that is believable here
          field:    scenarios[0].price_changes.all
          value:    -100 %
          accepted: a change in percent with its sign, from -99 % to +1000 %
          hint:     check the number
        """,
    ),
    "an unknown item in the policy": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  set:\n    policy/forbid.drive-4tv: true\n",
        """
        scenarios.yaml:5: the price book has no item "drive-4tv"
          field:    scenarios[0].set.policy/forbid.drive-4tv
          value:    drive-4tv
          accepted: an id of an item in built-in generic book
          hint:     did you mean "drive-4tb"?
        """,
    ),
    "a book that is not there": (
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  book: prices-2.yaml\n",
        """
        scenarios.yaml:4: there is no price book "prices-2.yaml"
          field:    scenarios[0].book
          value:    prices-2.yaml
          accepted: builtin, or a file named from the folder of the scenarios file
          hint:     check the name
        """,
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_is_said(name: str) -> None:
    content, expected = CASES[name]
    assert_refused(used, "scenarios.yaml", content, expected)


def test_an_unknown_requirement_comes_with_a_suggestion() -> None:
    Path("scenarios.yaml").write_text(
        "leastkit: scenarios/1\nscenarios:\n- id: a\n  set:\n    zones.gaet/detail: identify\n",
        encoding="utf-8",
    )
    (trouble,) = refusal(used, Path("scenarios.yaml")).troubles
    assert trouble.what == 'the site asks for nothing called "zones.gaet/detail"'
    assert (trouble.line, trouble.field) == (5, "scenarios[0].set.zones.gaet/detail")
    # Every id that could stand there is named, as far as there is room.
    assert trouble.accepted.startswith("zones.gate, zones.gate/detail, zones.gate/width, ")
    assert trouble.hint == 'did you mean "zones.gate/detail"?'


def test_every_refused_scenario_is_told_and_what_builds_on_one_is_not() -> None:
    Path("scenarios.yaml").write_text(
        "leastkit: scenarios/1\nscenarios:\n- {id: c, builds_on: a}\n"
        "- {id: a, drop: {zones: [x]}}\n- {id: b, drop: {audio: [y]}}\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError) as caught:
        used(Path("scenarios.yaml"))
    assert [(t.line, t.value) for t in caught.value.troubles] == [(4, "x"), (5, "y")]
