"""What a site asks, with its natural steps; the steps are read off the table in the module."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest

from optimizer.site import Site, load_site
from optimizer.site.changes import changed, dropped
from optimizer.site.ladders import (
    Amount,
    DayShare,
    Density,
    Fixed,
    Impact,
    Ingress,
    Ladder,
    Light,
    Weather,
    Whole,
)
from optimizer.site.requirements import Requirement, reaches, requirements

FULL = """\
leastkit: site/1
name: everything
money: {currency: EUR, budget: 900.00}
zones:
- id: gate
  distance: 10 m
  width: 5 m
  detail: identify
  frame_rate: 12 fps
  run: 98 ft
  place: outdoors
  ingress: IP66
  impact: IK10
  temperature: -20 to 40 C
  night: dark
  night_colour: false
  steerable: true
  discreet: true
  recorded: 16 h
  retention: 30 days
  most_cameras: 2
- {id: hall, distance: 6 m, width: 6 ft, detail: 100 px/m, frame_rate: 6 fps, run: 9 m,
   night: 2 lx, night_colour: true, recorded: 40 %}
recording: {retention: 2 weeks, drive_failures: 1, export: [usb], displays: {hdmi: 1}}
audio:
  consent: stated
  points:
  - {id: desk, zone: hall, run: 9 m, power: room}
  - {id: yard, run: 20 m, place: outdoors}
spare: {channels: 1, storage: 10 %, supply: 20 %}
owned:
- {item: old-rec, quantity: 1, pinned: true}
policy:
  families: [network]
  require:
  - {item: sign, quantity: 2}
  forbid: [bnc-twist]
  most_camera_models: 2
  connectors: {bnc: [crimp]}
  most_joints: 1
"""

# id: value, one step easier, one step harder
STEPS = {
    "budget": ("900.00", None, None),
    "zones.gate": ("gate", None, None),
    "zones.gate/detail": ("identify", "recognise", "inspect"),
    "zones.gate/width": ("5 m", "4.5 m", "5.5 m"),
    "zones.gate/frame_rate": ("12 fps", "11 fps", "13 fps"),
    "zones.gate/place": ("outdoors", None, None),
    "zones.gate/ingress": ("IP66", "IP65", None),
    "zones.gate/impact": ("IK10", "IK09", "IK11"),
    "zones.gate/temperature": ("-20 to 40 C", "-15 to 35 C", "-25 to 45 C"),
    "zones.gate/night": ("dark", "0.001 lx", None),
    "zones.gate/steerable": ("true", None, None),
    "zones.gate/discreet": ("true", None, None),
    "zones.gate/recorded": ("16 h", "15 h", "17 h"),
    "zones.gate/retention": ("30 days", "29 days", "31 days"),
    "zones.gate/most_cameras": ("2", "3", "1"),
    "zones.hall": ("hall", None, None),
    "zones.hall/detail": ("100 px/m", "80 px/m", "125 px/m"),
    "zones.hall/width": ("6 ft", "4 ft", "8 ft"),
    "zones.hall/frame_rate": ("6 fps", "5 fps", "7 fps"),
    "zones.hall/night": ("2 lx", "10 lx", "1 lx"),
    "zones.hall/night_colour": ("true", None, None),
    "zones.hall/recorded": ("40 %", "35 %", "45 %"),
    "recording/retention": ("2 weeks", "13 days", "15 days"),
    "recording/drive_failures": ("1", "0", "2"),
    "recording/export.usb": ("true", None, None),
    "recording/displays.hdmi": ("1", "0", "2"),
    "audio/points": ("desk, yard", None, "desk, yard, gate"),
    "audio.desk": ("desk", None, None),
    "audio.desk/power": ("room", None, None),
    "audio.yard": ("yard", None, None),
    "audio.yard/place": ("outdoors", None, None),
    "spare/channels": ("1", "0", "2"),
    "spare/storage": ("10 %", "5 %", "15 %"),
    "spare/supply": ("20 %", "15 %", "25 %"),
    "owned.old-rec/pinned": ("true", None, None),
    "policy/families": ("network", None, None),
    "policy/require.sign": ("2", "1", "3"),
    "policy/forbid.bnc-twist": ("true", None, None),
    "policy/most_camera_models": ("2", "3", "1"),
    "policy/connectors.bnc": ("crimp", None, None),
    "policy/most_joints": ("1", "2", "0"),
}

LEAST = {
    "leastkit": "site/1",
    "name": "least",
    "money": {"currency": "EUR"},
    "zones": [
        {
            "id": "a",
            "distance": "5 m",
            "width": "2 m",
            "detail": "identify",
            "frame_rate": "8 fps",
            "run": "18 m",
        }
    ],
    "recording": {"retention": "7 days"},
    "spare": {"supply": "0 %"},
    "policy": {"most_joints": 3},
}


@pytest.fixture
def full(tmp_path: Path) -> Path:
    path = tmp_path / "site.yaml"
    path.write_text(FULL, encoding="utf-8")
    return path


def test_every_requirement_with_its_steps(full: Path) -> None:
    found = {r.id: (r.value, r.easier(), r.harder()) for r in requirements(load_site(full))}
    assert found == STEPS
    assert list(found) == list(STEPS)


def test_lines_are_those_of_the_file(full: Path) -> None:
    lines = {r.id: r.line for r in requirements(load_site(full))}
    rows = FULL.splitlines()
    for name, words in (
        ("zones.gate/detail", "detail: identify"),
        ("zones.gate/recorded", "recorded: 16 h"),
        ("recording/retention", "retention: 2 weeks"),
        ("policy/require.sign", "item: sign"),
        ("owned.old-rec/pinned", "pinned: true"),
    ):
        assert words in rows[(lines[name] or 0) - 1]
    assert all(r.line is None for r in requirements(load_site(full).site))


def test_a_site_that_asks_for_nothing_more_has_few_requirements() -> None:
    found = [r.id for r in requirements(Site.model_validate(LEAST))]
    assert found == [
        "zones.a",
        "zones.a/detail",
        "zones.a/width",
        "zones.a/frame_rate",
        "zones.a/recorded",
        "recording/retention",
    ]


def test_what_has_a_headroom() -> None:
    # Nothing is recorded but pictures, all day: neither hours nor audio points can be tightened.
    found = [r.id for r in reaches(Site.model_validate(LEAST))]
    assert found == [
        "zones.a/detail",
        "zones.a/width",
        "zones.a/frame_rate",
        "zones.a/run",
        "recording/retention",
        "recording/drive_failures",
        "spare/channels",
    ]


def test_a_run_is_a_fact_and_no_requirement(full: Path) -> None:
    site = load_site(full)
    assert not any(r.quantity == "run" for r in requirements(site))
    runs = {r.id: r for r in reaches(site) if r.quantity == "run"}
    assert set(runs) == {"zones.gate/run", "zones.hall/run", "audio.desk/run", "audio.yard/run"}
    assert runs["zones.gate/run"].harder() == "101 ft"
    assert all(r.fact and not r.can_be_dropped for r in runs.values())


def test_the_only_zone_cannot_be_dropped(full: Path) -> None:
    lone = next(r for r in requirements(Site.model_validate(LEAST)) if r.id == "zones.a")
    assert not lone.can_be_dropped
    assert lone.kept == "a site has at least one zone"
    kept = [r.id for r in requirements(load_site(full)) if not r.can_be_dropped]
    assert kept == []


def test_the_words_are_the_readers(full: Path) -> None:
    texts = {r.id: r.text for r in requirements(load_site(full))}
    assert texts["zones.gate/detail"] == "gate: detail identify (250 px/m)"
    assert texts["recording/retention"] == "pictures are kept for 2 weeks"
    assert texts["budget"] == "the kit costs at most 900.00"
    site = load_site(full).site
    for includes, words in ((True, "with tax"), (False, "without tax")):
        terms = site.money.model_copy(
            update={"tax": Decimal("0.19"), "budget_includes_tax": includes}
        )
        taxed = requirements(site.model_copy(update={"money": terms}))
        [text] = [r.text for r in taxed if r.id == "budget"]
        assert text == f"the kit costs at most 900.00 {words}"


def test_each_step_and_each_drop_leaves_a_site(full: Path) -> None:
    site = load_site(full).site
    for r in requirements(site):
        changes = [None] if r.can_be_dropped else []
        changes += [v for v in (r.easier(), r.harder()) if v is not None]
        assert changes or r.id == "zones.gate"
        for value in changes:
            assert changed(site, {r.id: value}) != site, r.id


def by_id(site: Site) -> dict[str, Requirement]:
    return {r.id: r for r in (*requirements(site), *reaches(site))}


def test_a_step_there_and_back_is_no_step(full: Path) -> None:
    site = load_site(full).site
    there_and_back = 0
    for r in requirements(site):
        easier = r.easier()
        if easier is None or r.harder(easier) is None:
            continue
        again = changed(changed(site, {r.id: easier}), {r.id: r.harder(easier)})
        # Where the value is on the ladder the way back leads to it.
        if r.id not in ("zones.hall/night",):
            assert again == site, r.id
        there_and_back += 1
    assert there_and_back > 15


def test_dropping_takes_the_requirement_out_or_to_its_end(full: Path) -> None:
    site = load_site(full).site
    for r in requirements(site):
        without = dropped(site, r.id)
        left = by_id(without).get(r.id)
        if left is not None:
            assert left.easier() is None, r.id
            assert dropped(without, r.id) == without, r.id


@pytest.mark.parametrize(
    ("ladder", "rungs"),
    [
        (Whole(0, 2), ["0", "1", "2"]),
        (Whole(1, 3, more_is_easier=True), ["3", "2", "1"]),
        (Amount("length", {"m": "0.5", "ft": "2"}, "0.5 m", "2 m"), ["0.5 m", "1 m", "1.5 m"]),
        (Amount("duration", {"days": "1"}, "1 day", "9 days"), ["1 day", "2 days", "3 days"]),
        (
            Density("2014"),
            ["monitor", "detect", "observe", "recognise", "identify", "inspect"],
        ),
        (Density("2025"), ["overview", "outline", "discern", "perceive", "characterise"]),
        (Density("2014"), ["1 px/m", "1.25 px/m", "1.6 px/m", "2 px/m", "2.5 px/m"]),
        (Density("2014"), ["6300 px/m", "8000 px/m", "10000 px/m", "12500 px/m"]),
        (Light(), ["lit", "10 lx", "1 lx", "0.1 lx", "0.01 lx", "0.001 lx", "dark"]),
        (DayShare(), ["1 h", "2 h"]),
        (DayShare(), ["22 h", "23 h", "24 h"]),
        (DayShare(), ["90 %", "95 %", "100 %"]),
        (Ingress(), ["IP20", "IP44", "IP54", "IP65", "IP66"]),
        (Impact(), ["IK01", "IK02"]),
        (Impact(), ["IK10", "IK11"]),
        (Weather(), ["5 to 20 C", "0 to 25 C", "-5 to 30 C"]),
    ],
)
def test_ladders(ladder: Ladder, rungs: list[str]) -> None:
    for low, high in pairwise(rungs):
        assert ladder.harder(low) == high
        assert ladder.easier(high) == low
        assert ladder.hardness(low) < ladder.hardness(high)


@pytest.mark.parametrize(
    ("ladder", "value"),
    [
        (Whole(0, 2), "0"),
        (Amount("length", {"m": "0.5"}, "0.5 m", "2 m"), "0.9 m"),
        (Density("2014"), "monitor"),
        (Density("2014"), "1 px/m"),
        (Light(), "lit"),
        (DayShare(), "1 h"),
        (Ingress(), "IP20"),
        (Impact(), "IK01"),
        (Weather(), "10 to 15 C"),
        (Fixed(), "anything"),
    ],
)
def test_the_easiest_rung(ladder: Ladder, value: str) -> None:
    assert ladder.easier(value) is None


@pytest.mark.parametrize(
    ("ladder", "value"),
    [
        (Whole(0, 2), "2"),
        (Amount("length", {"m": "0.5"}, "0.5 m", "2 m"), "2 m"),
        (Density("2014"), "inspect"),
        (Density("2014"), "20000 px/m"),
        (Light(), "dark"),
        (DayShare(), "24 h"),
        (Ingress(), "IP66"),
        (Impact(), "IK11"),
        (Weather(), "-88 to 20 C"),
        (Fixed(), "anything"),
    ],
)
def test_the_hardest_rung(ladder: Ladder, value: str) -> None:
    assert ladder.harder(value) is None


def test_a_code_of_immersion_is_eased_to_what_it_covers() -> None:
    # IEC 60529: IPX7 vouches for 0 to 4 and immersion, not for jets (5 and 6).
    assert Ingress().easier("IP67") == "IP54"
    assert Ingress().easier("IP66/IP67") == "IP66"
    # No customary single code covers both.
    assert Ingress().harder("IP67") is None
