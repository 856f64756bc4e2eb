"""What a site file did not state stays unstated when something else is changed."""

from __future__ import annotations

from pathlib import Path

from optimizer.explaining.asked import asked_as, text_of
from optimizer.pricebook import load_book
from optimizer.site import load_site
from optimizer.site.changes import changed
from optimizer.solving.assumptions import assumptions

SHOP = Path(__file__).parents[3] / "problems" / "corner-shop-coax" / "site.yaml"


def test_defaults_stay_defaults_beside_a_changed_value() -> None:
    asked = load_site(SHOP)
    site = changed(asked, {"recording/retention": "60 days"})
    assert site.recording.model_fields_set == asked.site.recording.model_fields_set
    assert [z.model_fields_set for z in site.zones] == [
        z.model_fields_set for z in asked.site.zones
    ]


def test_what_is_changed_counts_as_stated() -> None:
    asked = load_site(SHOP)
    assert "drive_failures" not in asked.site.recording.model_fields_set
    site = changed(asked, {"recording/drive_failures": "1"})
    assert "drive_failures" in site.recording.model_fields_set
    assert "codec" not in site.recording.model_fields_set


def test_the_changed_site_takes_for_granted_what_the_first_did() -> None:
    asked = load_site(SHOP)
    later = asked_as(asked, {"recording/retention": "60 days"})
    told = [
        [a for a in assumptions(one, load_book()) if a.name != "retention"]
        for one in (asked.site, later.site)
    ]
    assert told[0] == told[1]
    assert any(a.name == "codec" and a.origin != "site file" for a in told[1])


def test_a_changed_site_as_a_file_of_its_own_is_the_same_site(tmp_path: Path) -> None:
    later = asked_as(load_site(SHOP), {"recording/retention": "60 days"})
    file = tmp_path / "site.json"
    file.write_text(text_of(later), encoding="utf-8")
    again = load_site(file)
    assert again.site == later.site
    assert again.source.sha256 == later.source.sha256
    assert again.site.recording.model_fields_set == later.site.recording.model_fields_set
