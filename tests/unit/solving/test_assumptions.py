"""What an answer takes for granted: each value with its origin, and only what bears on it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import yaml

from optimizer.design import Design
from optimizer.site import Site
from optimizer.solving.answer import Assumption
from optimizer.solving.assumptions import assumptions
from optimizer.solving.assumptions_plan import of_plan
from optimizer.solving.origins import BOOK, MEMORY, OWN, PRACTICE, PUBLISHED, SITE
from tests.unit.reporting import handmade
from tests.unit.site.plans import edited, loaded


def site(**changes: Any) -> Site:
    """The hand-made site with whole sections replaced; values as a file would hold them."""
    data = yaml.load(handmade.SITE_FILE.read_text(encoding="utf-8"), yaml.BaseLoader)
    return Site.model_validate({**data, **changes})


def found(asked: Site, design: Design | None = None) -> dict[str, Assumption]:
    listed = assumptions(asked, handmade.BOOK, design)
    assert len({a.name for a in listed}) == len(listed), "each name once"
    return {a.name: a for a in listed}


def zones(**more: Any) -> list[dict[str, Any]]:
    base = {
        "id": "hall",
        "distance": "5 m",
        "width": "4 m",
        "detail": "250 px/m",
        "frame_rate": "12 fps",
        "run": "10 m",
    }
    return [{**base, **more}]


def test_defaults_and_stated_values_have_different_origins() -> None:
    silent = found(site())
    assert silent["cut cable"].value == "1.5 m more at each end of a run"
    assert silent["cut cable"].origin == PRACTICE
    assert silent["conductor temperature"].value == "40 C"
    assert silent["current from supplies"].value == (
        "each supply and each of its outputs up to 80 % of its rating, the rest for switching on, "
        "heat and age (spare.supply)"
    )
    stated = found(
        site(
            assumptions={"end_allowance": "2 m", "conductor_temperature": "60 C"},
            spare={"supply": "30 %"},
        )
    )
    assert stated["cut cable"].value == "2 m more at each end of a run"
    assert stated["cut cable"].origin == SITE
    assert (stated["conductor temperature"].value, stated["conductor temperature"].origin) == (
        "60 C",
        SITE,
    )
    assert "up to 70 % of its rating" in stated["current from supplies"].value
    assert stated["current from supplies"].origin == SITE


def test_a_default_that_is_written_out_counts_as_stated() -> None:
    asked = site(assumptions={"end_allowance": "1.5 m"})
    assert found(asked)["cut cable"].origin == SITE


def test_bits_a_pixel_come_from_memory_or_from_the_published_example() -> None:
    recording = {"retention": "31 days", "codec": "H.265", "activity": "high"}
    h265 = found(site(recording=recording))
    # 0.10 bit for H.264 at high activity, 0.6 of it for H.265.
    assert h265["stream where no rate was measured"].value == "0.06 bit a pixel"
    assert h265["stream where no rate was measured"].origin == MEMORY
    assert h265["codec"].origin == SITE
    mjpeg = found(site(recording={"retention": "31 days", "codec": "MJPEG"}))
    # 16 bit compressed 20 times.
    assert mjpeg["stream where no rate was measured"].value == "0.8 bit a pixel"
    assert mjpeg["stream where no rate was measured"].origin == "UFC 4-021-02NF (2006)"


def test_no_bits_a_pixel_where_every_rate_is_measured() -> None:
    measured = found(site(zones=zones(bit_rate="2 Mbit/s"), audio={}))
    assert "stream where no rate was measured" not in measured
    assert "codec" not in measured


def test_levels_of_the_newer_edition_are_from_memory() -> None:
    older = found(site())["detail levels"]
    assert older.value == (
        "recognise 125 px/m, identify 250 px/m (IEC 62676-4:2014, edition not stated)"
    )
    assert older.origin == PUBLISHED
    newer = found(site(standard="IEC 62676-4:2025", zones=zones(detail="perceive"), audio={}))[
        "detail levels"
    ]
    assert (newer.value, newer.origin) == ("perceive 125 px/m (IEC 62676-4:2025)", MEMORY)
    assert "detail levels" not in found(site(zones=zones(), audio={}))


def test_zones_that_say_nothing_are_named() -> None:
    told = found(site())["zones where not stated"]
    assert told.value == (
        "lit at night, indoors, indoor route (till, store), recorded 24 h a day (all zones)"
    )
    everything = zones(night="2 lx", place="indoors", route="indoor", recorded="24 h")
    quiet = found(site(zones=everything, audio={}))
    assert "zones where not stated" not in quiet
    assert "light of a lit zone" not in quiet


def test_light_of_a_lit_zone() -> None:
    lit = found(site())["light of a lit zone"]
    assert (lit.value, lit.origin) == ("50 lx", PRACTICE)


def test_retention_of_site_and_zones() -> None:
    asked = site(zones=zones(retention="72 h"), audio={}, recording={"retention": "31 days"})
    assert found(asked)["retention"].value == "31 days (hall 3 days)"
    short = site(recording={"retention": "36 h"})
    assert found(short)["retention"].value == "36 h"


def test_only_what_bears_on_the_kit_is_listed_with_one() -> None:
    searched, kit = found(site()), found(site(), handmade.DESIGN)
    assert searched["data cable"].value == "up to 100 m"
    assert searched["composite over RG-11"].origin == MEMORY
    assert searched["composite over RG-59"].value == "up to 228 m"
    for name in ("data cable", "composite over RG-59", "composite over RG-11", "PoE camera"):
        assert name not in kit
    # The cameras of the kit send HD over RG-59, on cut cable, on a lead and on existing coax.
    assert kit["HD over coax over RG-59"].value == "up to 250 m"
    assert kit["HD over coax over RG-59"].origin == PRACTICE
    assert "HD over coax over RG-6" not in kit


def test_reach_is_only_searched_for_allowed_signals() -> None:
    network = found(site(policy={"families": ["network"]}))
    assert not [name for name in network if " over " in name]
    assert "PoE camera" in network
    coax = found(site(policy={"families": ["hd_coax"]}))
    assert "data cable" not in coax
    assert "PoE camera" not in coax


def test_cable_with_a_reach_of_its_own_needs_no_table() -> None:
    items = dict(handmade.BOOK.items)
    for name in ("cp59-18-100", "lead-vpa-25"):
        items[name] = items[name].model_copy(update={"reach": {"hd_coax": 300}})
    book = replace(handmade.BOOK, items=items)
    # The existing coax of the store still takes the table's figure.
    names = [a.name for a in assumptions(handmade.SITE, book, handmade.DESIGN)]
    assert "HD over coax over RG-59" in names
    cameras = tuple(c for c in handmade.CAMERAS if c.zone != "store")
    cut = handmade.DESIGN.model_copy(update={"cameras": cameras})
    assert "HD over coax over RG-59" not in [a.name for a in assumptions(handmade.SITE, book, cut)]


def test_sound_money_and_prices() -> None:
    listed = found(site())
    assert listed["sound"].value == "64 kbit/s, 24 h a day"
    assert listed["labour"].value == "40.00 an hour, 0.5 min/m of new cable"
    assert (listed["tax"].value, listed["tax"].origin) == ("19 %", SITE)
    assert listed["prices"].value == "hand-made book. Invented items and prices."
    assert listed["prices"].origin == BOOK
    plain = found(site(audio={}, policy={}, money={"currency": "EUR"}))
    assert "sound" not in plain
    assert (plain["labour"].value, plain["labour"].origin) == ("not counted", OWN)
    assert (plain["tax"].value, plain["tax"].origin) == ("0 %", OWN)


def test_control_pair_only_where_cameras_are_steered() -> None:
    assert "control pair" not in found(site())
    steered = found(site(zones=zones(steerable="true"), audio={}))
    assert steered["control pair"].value == "up to 1200 m (guidance beside TIA-485-A)"


def test_alternating_current_is_named_where_such_supplies_are_on_sale() -> None:
    assert "24 V AC lines" not in found(site())
    items = dict(handmade.BOOK.items)
    items["sd-4"] = items["sd-4"].model_copy(update={"feed": "24 V AC"})
    book = replace(handmade.BOOK, items=items)
    names = [a.name for a in assumptions(handmade.SITE, book)]
    assert "24 V AC lines" in names
    names = [a.name for a in assumptions(handmade.SITE, book, handmade.DESIGN)]
    assert "24 V AC lines" in names


def test_defaults_of_a_plan(tmp_path: Path) -> None:
    """Each default of a plan that decides is listed; what the site states has its origin."""
    listed = {a.name: (a.value, a.origin) for a in of_plan(loaded(tmp_path).site)}
    assert listed == {
        "target on the plan": ("a person, feet to head, 0 to 1.8 m up (floor)", PRACTICE),
        "faces": ("seen from at most 30 deg above (floor)", PRACTICE),
        "plan zones where not stated": ("lit at night, recorded 24 h a day (floor)", OWN),
        "lens": ("shows straight lines straight (pinhole)", OWN),
        "mounts without facing are open": ("every way (middle)", OWN),
        "runs taken from the plan": (
            "1, each straight to the nearest cable route and the shortest way along",
            OWN,
        ),
        "height of cable routes": ("3 m up", PRACTICE),
        "height of cable ends in the room": ("1.5 m up", PRACTICE),
        "added to runs for bends": ("5 %", PRACTICE),
    }
    stated = edited(("plan:\n", "plan:\n  allowance: 8 %\n"))
    listed = {a.name: (a.value, a.origin) for a in of_plan(loaded(tmp_path, stated).site)}
    assert listed["added to runs for bends"] == ("8 %", SITE)


def test_a_site_without_zones_on_a_plan_assumes_nothing_of_plans() -> None:
    assert list(of_plan(site())) == []
