"""What is said of phases files that cannot be used, word for word."""

# ruff: noqa: E501 - messages stand here as they are printed
from __future__ import annotations

from pathlib import Path

import pytest

from optimizer.scenarios.phase_loading import load_phases, sites_of
from tests.messages.refusals import assert_refused
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import site, zone

POINTS = [{"id": "desk", "zone": "till", "run": "4 m"}, {"id": "hall", "run": "6 m"}]
ASKED = site(zone("gate"), zone("till"), audio={"consent": "stated", "points": POINTS})

CASES = {
    "another kind of file": (
        "leastkit: scenarios/1\n"
        "phases: []\n",
        """
        phases.yaml:1: this file is a set of scenarios, not a set of phases
          field:    leastkit
          value:    scenarios/1
          accepted: phases/1
          hint:     check the order of the files in the command
        """,
    ),
    "an id twice": (
        "leastkit: phases/1\n"
        "phases:\n"
        "- {id: a, zones: [gate], audio: [hall]}\n"
        "- {id: a, zones: [till]}\n",
        """
        phases.yaml:4: "a" stands twice in phases, first in line 3
          field:    phases[1].id
          value:    a
          accepted: each one once
          hint:     rename or remove one of the two
        """,
    ),
    "an unknown zone, and what is missing": (
        "leastkit: phases/1\n"
        "phases:\n"
        "- {id: a, zones: [gate, gat], audio: [hall]}\n",
        """
        phases.yaml:2: no phase brings zone till
          field:    phases
          accepted: every zone and every audio point of the site in one phase
          hint:     add what is missing to a phase, or take it out of the site
        phases.yaml:3: the site has no zone "gat"
          field:    phases[0].zones[1]
          value:    gat
          accepted: gate, till
          hint:     did you mean "gate"?
        """,
    ),
    "a zone twice": (
        "leastkit: phases/1\n"
        "phases:\n"
        "- {id: a, zones: [gate], audio: [hall]}\n"
        "- {id: b, zones: [till, gate]}\n",
        """
        phases.yaml:4: "gate" comes twice, first in phase a
          field:    phases[1].zones[1]
          value:    gate
          accepted: each place in one phase: it stays from then on
          hint:     remove one of the two
        """,
    ),
    "sound that comes with its zone": (
        "leastkit: phases/1\n"
        "phases:\n"
        "- {id: a, zones: [gate, till], audio: [hall, desk]}\n",
        """
        phases.yaml:3: desk comes with its zone, till
          field:    phases[0].audio[1]
          value:    desk
          accepted: audio points without a zone
          hint:     remove it here
        """,
    ),
    "a value of what is installed": (
        "leastkit: phases/1\n"
        "phases:\n"
        "- {id: a, zones: [gate, till], audio: [hall]}\n"
        "- id: b\n"
        "  set:\n"
        "    zones.gate/detail: observe\n",
        """
        phases.yaml:6: this does not change from phase to phase
          field:    phases[1].set.zones.gate/detail
          value:    observe
          accepted: recording/retention, recording/drive_failures, recording/codec, recording/activity, recording/reserve, recording/export, recording/export.usb, recording/export.network, recording/export.optical, recording/displays.hdmi, recording/displays.vga, recording/displays.composite, spare/channels, spare/storage
          hint:     what is installed stays; ask for it in the site
        """,
    ),
    "a value that is refused": (
        "leastkit: phases/1\n"
        "phases:\n"
        "- {id: a, zones: [gate, till], audio: [hall]}\n"
        "- id: b\n"
        "  set:\n"
        "    recording/retention: soon\n",
        """
        phases.yaml:6: this is not a quantity
          field:    phases[1].set.recording/retention
          value:    soon
          accepted: a duration in days, day, d, weeks, week, h or hours, such as 31 days, 6 weeks, 72 h
          hint:     write it as 31 days, 6 weeks, 72 h
        """,
    ),
    "nothing to begin with": (
        "leastkit: phases/1\n"
        "phases:\n"
        "- {id: a, audio: [hall]}\n"
        "- {id: b, zones: [gate, till]}\n",
        """
        phases.yaml:3: the first phase brings no zone
          field:    phases[0]
          accepted: at least one zone
          hint:     a site without one asks for nothing
        """,
    ),
    "an unknown field": (
        "leastkit: phases/1\n"
        "phases:\n"
        "- {id: a, zones: [gate, till], audio: [hall], drop: [x]}\n",
        """
        phases.yaml:3: "drop" is not a field here
          field:    phases[0].drop
          accepted: id, name, note, zones, audio, set, budget
          hint:     see `leastkit schema` for the fields and values that are known
        """,
    ),
}  # fmt: skip


def used(path: Path) -> None:
    """Load a phases file and make the sites of its phases, as the command does."""
    sites_of(unread(ASKED), load_phases(path))


@pytest.mark.parametrize("title", CASES)
def test_phases(title: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    content, expected = CASES[title]
    assert_refused(used, "phases.yaml", content, expected)
