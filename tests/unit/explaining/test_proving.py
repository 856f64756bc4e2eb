"""The verdict with its proof: on the door's site, whose price list is derived in door.py."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

import optimizer
from optimizer.errors import Defect, InputError
from optimizer.explaining import confirming
from optimizer.explaining.asked import asked_as, text_of
from optimizer.explaining.asking import Asker
from optimizer.explaining.confirming import Confirmed, confirm
from optimizer.explaining.holding import Holding, limit_of
from optimizer.questions import checked_folder
from optimizer.site import check_untouchable, load_site
from optimizer.site.loading import LoadedSite
from optimizer.site.schema import MoneyTerms
from optimizer.solving import cpsat, highs
from optimizer.solving.answer import Answer
from tests.unit.explaining import door

LONG = 60.0


def poor(budget: str = "230.99") -> LoadedSite:
    """The door with a budget; its cheapest kit is 231.00 with tax."""
    return door.asked(money={"currency": "EUR", "tax": "10 %", "budget": budget})


@pytest.fixture(scope="module")
def told() -> Answer:
    """What is said of a budget one hundredth below the cheapest kit."""
    return optimizer.prove(poor(), door.book(), seconds=LONG)


def test_one_hundredth_too_little_is_unmeetable_and_proven(told: Answer) -> None:
    assert told.status == "unmeetable"
    assert told.proof is not None
    assert told.proof.verdict == "unmeetable"
    assert told.proof.certificate is not None
    assert told.proof.words == "proven by a certificate that anybody can check, two solvers agree"
    assert {cpsat.VERSION, highs.VERSION} <= set(told.proof.by)
    assert told.proof.left_open == ()


def test_at_the_optimum_it_is_met() -> None:
    answer = optimizer.prove(poor("231.00"), door.book(), seconds=LONG)
    assert (answer.status, answer.total) == ("optimal", "231.00")
    assert answer.proof is not None
    assert answer.proof.verdict == "met"
    assert answer.conflict == ()
    assert answer.ways_out is None


def test_the_budget_is_in_the_conflict_and_what_else_is_asked_costs(told: Answer) -> None:
    [conflict] = told.conflict
    # The sign costs 5.00 and tax and can be left out; then the rest is 225.50.
    assert {"budget", "policy/require.sign"} <= set(conflict.ids)
    assert conflict.smallest
    assert conflict.independent
    [sign] = [m for m in conflict.members if m.requirement == "policy/require.sign"]
    assert sign.total_without is not None
    assert float(sign.total_without) <= 230.99
    assert told.proof is not None
    assert ("policy/require.sign", "5.50") in [(c.requirement, c.saving) for c in told.proof.costs]


def test_ways_out_of_a_budget(told: Answer) -> None:
    ways = told.ways_out
    assert ways is not None
    assert ways.budget is not None
    assert ways.budget.model_dump() == {
        "budget": "230.99", "enough": "yes", "total": "231.00", "more": "0.01",
        "lower_bound": "231.00", "tax": "10 %",
    }  # fmt: skip
    listed = {w.changes[0].requirement: w for w in ways.found if len(w.changes) == 1}
    assert listed["policy/require.sign"].total == "225.50"
    assert (listed["budget"].more_budget, listed["budget"].total) == ("0.01", "231.00")
    assert all(w.smallest and w.cheapest for w in ways.found)
    for way in ways.found:
        free = {c.requirement: c.to for c in way.changes}
        values = {k: ("none" if v == "not asked" else v) for k, v in free.items()}
        again = optimizer.prove(poor(), door.book(), values, LONG)
        assert (again.status, again.total) == ("optimal", way.total)


def test_what_an_item_outside_the_book_would_have_to_do() -> None:
    # 1920 px x f / (5.6 mm x 5 m) = 1000 px/m takes f = 14.6 mm, so 15; the longest is 12 mm. At
    # 15 mm the camera still shows 5.6 mm x 5 m / 15 mm = 1.87 m.
    zone = {**door.SITE["zones"][0], "detail": "1000 px/m", "width": "1 m", "most_cameras": 1}
    answer = optimizer.prove(door.asked(zones=[zone]), door.book(), seconds=LONG)
    assert answer.status == "unmeetable"
    assert [c.ids for c in answer.conflict] == [("zones.door/detail",)]
    assert answer.proof is not None
    [lacking] = answer.proof.lacking
    assert (lacking.kind, lacking.like, lacking.site_met) == ("camera", "cam-hd", True)
    assert lacking.needs == ("a lens that can be set to 15 mm (its longest is 12 mm)",)
    assert answer.proof.all_conflicts


def test_supply_and_cable_outside_the_book() -> None:
    # Over 60 m of 18 AWG, 2.711 ohm at 40 C, 12 V leave 10.74 V (test_argument_power.py), and 10.8
    # are needed; 12.1 V leave (12.1 + root of (146.41 - 54.22)) / 2 = 10.85 V. New cable is cut to
    # 60 + 2 x 1.5 = 63 m. 5 W at 10.8 V are 0.463 A, so 1.2 V may drop over 2.592 ohm, 20.57 ohm a
    # kilometre: 18 AWG has 22.6 at 40 C, 17 AWG 16.61 x 1.0786 = 17.9 (ASTM B258, from memory).
    old = {"medium": "coax_power", "length": "60 m", "gauge": "18 AWG", "fit": "rg6",
           "terminated": True}  # fmt: skip
    zone = {**door.SITE["zones"][0], "run": "60 m", "existing": [old]}
    answer = optimizer.prove(door.asked(zones=[zone]), door.book(), seconds=LONG)
    assert answer.proof is not None
    found = {one.kind: one for one in answer.proof.lacking}
    assert set(found) == {"supply", "cable"}
    assert found["supply"].needs == ("at least 12.1 V (it gives 12 V)",)
    assert found["cable"].needs == (
        "at least 63 m in one piece (a box of it has 50 m)",
        "conductors of 17 AWG or thicker (it has 18 AWG)",
    )
    assert all(one.site_met for one in found.values())


def test_drive_outside_the_book() -> None:
    # 600 days of composite are 600 x 3.7723 = 2,263.4 GB; the recorder takes drives of up to 8 TB,
    # the book's largest has 2.
    asked = door.asked(
        recording={"retention": "600 days"},
        policy={"families": ["composite"], "require": [{"item": "sign"}]},
    )
    answer = optimizer.prove(asked, door.book(), seconds=LONG)
    assert answer.proof is not None
    found = {one.kind: one for one in answer.proof.lacking}
    assert found["drive"].needs == ("a capacity of at least 3 TB (it has 2 TB)",)
    # HD over coax keeps 600 x 14.144 = 8,486.4 GB.
    bays = {"rec-hd": 5, "rec-comp": 2}[found["recorder"].like]
    assert found["recorder"].needs == (f"at least {bays} bays (it has 1)",)


def test_recorder_outside_the_book() -> None:
    # 3000 days of HD over coax at 14.144 GB are 42,432 GB, of composite at 3.772 GB 11,316 GB: on
    # drives of 2 TB six bays, where each recorder has one.
    answer = optimizer.prove(
        door.asked(recording={"retention": "3000 days"}), door.book(), seconds=LONG
    )
    assert answer.status == "unmeetable"
    assert answer.proof is not None
    [lacking] = answer.proof.lacking
    assert lacking.kind == "recorder"
    bays = {"rec-hd": 22, "rec-comp": 6}[lacking.like]
    assert lacking.needs == (f"at least {bays} bays (it has 1)",)


def test_certificate_of_no_kit_is_checked_alone(tmp_path: Path) -> None:
    asked = poor()
    folder = tmp_path / "proof"
    answer = optimizer.prove(asked, door.book(), seconds=LONG, certificate=folder)
    assert answer.proof is not None
    made = answer.proof.certificate
    assert made is not None
    assert made.folder == str(folder)
    assert (folder / "proof.txt").stat().st_size == made.bytes
    done = _checked(folder)
    assert done.stdout.startswith("accepted: no solution:")


def test_certificate_that_none_is_cheaper(tmp_path: Path) -> None:
    # 231.00 with tax is 210.00 net.
    folder = tmp_path / "proof"
    answer = optimizer.prove(door.asked(), door.book(), seconds=LONG, certificate=folder)
    assert answer.status == "optimal"
    assert _checked(folder).stdout.startswith("accepted: no solution costs less than 21000:")


def test_certificate_of_a_changed_site_goes_with_that_site(tmp_path: Path) -> None:
    folder = tmp_path / "proof"
    answer = optimizer.prove(door.asked(), door.book(), {"budget": "200"}, LONG, certificate=folder)
    assert answer.status == "unmeetable"
    asked = load_site(folder / "site.json")
    assert asked.site.money.budget == 200_00
    assert asked.source.sha256 == answer.provenance.site_sha256
    done = subprocess.run(
        [sys.executable, "-I", "check.py", "site.json"],
        cwd=folder, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.startswith("accepted")


def _checked(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-I", "check.py"], cwd=folder, capture_output=True, text=True, check=True
    )


def test_a_folder_that_is_taken_is_refused_before_anything_is_solved(tmp_path: Path) -> None:
    (tmp_path / "old.txt").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="the certificate cannot be written there"):
        optimizer.prove(door.asked(), door.book(), certificate=tmp_path)
    with pytest.raises(InputError, match="new or empty"):
        optimizer.prove(door.asked(), door.book(), certificate=tmp_path / "none" / "proof")


def test_without_time_nothing_more_is_said_than_is_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(confirming.highs, "has_no_solution", lambda *_: False)
    monkeypatch.setattr(confirming, "certify_site", lambda *_: None)
    answer = optimizer.prove(poor(), door.book(), seconds=20)
    assert answer.status == "undecided"
    assert answer.proof is not None
    assert answer.proof.words.startswith("undecided")
    assert answer.conflict == ()
    assert any("not confirmed by another" in one for one in answer.proof.left_open)


def test_two_solvers_without_a_certificate_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(confirming, "certify_site", lambda *_: None)
    confirmed = confirm(poor().site, door.book(), time.monotonic() + 20, certificate=1.0)
    assert confirmed.words == "proven by two solvers, no certificate"
    assert confirmed.enough
    assert not Confirmed(("one",)).enough
    assert Confirmed(("one",)).words.startswith("undecided")


def test_solvers_that_disagree_are_a_defect() -> None:
    with pytest.raises(Defect, match="a site with a design is called unmeetable"):
        confirm(door.asked().site, door.book(), time.monotonic() + 20)


def test_solve_tells_the_same(told: Answer) -> None:
    answer = optimizer.solve(poor(), door.book())
    assert answer.proof is None
    from optimizer.questions import told_why

    again = told_why(poor(), answer, door.book(), LONG)
    for name in ("status", "conflict", "ways_out", "argument"):
        assert getattr(again, name) == getattr(told, name)


def test_leaving_out_requirements() -> None:
    zones = [{**door.SITE["zones"][0], "id": name} for name in ("a", "b")]
    asked = door.asked(zones=zones)
    asker = Asker(door.book(), time.monotonic() + LONG, lambda _: None)
    holding = Holding(asked, door.book(), asker)
    ids = frozenset(holding.order)
    # With a zone what is asked of it is left out.
    assert holding.normal(ids - {"zones.a"}) == {i for i in ids if not i.startswith("zones.a")}
    assert holding.changes(ids - {"zones.a"}) == {"zones.a": None}
    assert holding.met(frozenset()) == ("yes", 0)
    # A sign must be in the kit: some zone has to stay.
    assert holding.met(frozenset({"policy/require.sign"}))[0] == "yes"


@pytest.mark.parametrize(
    ("terms", "limit"),
    [
        ({"currency": "EUR"}, None),
        ({"currency": "EUR", "budget": "100", "tax": "10 %"}, 100_00),
        # 100.00 net is 110.00 with tax.
        ({"currency": "EUR", "budget": "100", "tax": "10 %", "budget_includes_tax": False}, 110_00),
    ],
)
def test_largest_total_within_a_budget(terms: dict[str, Any], limit: int | None) -> None:
    assert limit_of(MoneyTerms.model_validate(terms)) == limit


def test_a_changed_site_is_a_file_of_its_own() -> None:
    asked = asked_as(door.asked(untouchable=["budget", "recording/retention"],
                                money={"currency": "EUR", "budget": "9"}),
                     {"budget": "none", "recording/retention": "45"})  # fmt: skip
    assert asked.site.recording.retention == 45
    assert asked.site.untouchable == ("recording/retention",)
    assert json.loads(text_of(asked))["recording"]["retention"] == "45 days"


def test_musts_have_to_be_asked() -> None:
    asked = door.asked(untouchable=["recording/retension"])
    with pytest.raises(InputError) as caught:
        check_untouchable(asked)
    [trouble] = caught.value.troubles
    assert trouble.what == 'the site asks for nothing called "recording/retension"'
    assert trouble.hint == 'did you mean "recording/retention"?'
    assert trouble.field == "untouchable.0"
    check_untouchable(door.asked(untouchable=["recording/retention"]))


def test_a_certificate_where_nothing_can_be_made_is_refused(tmp_path: Path) -> None:
    # Whoever runs as root may write anywhere that the kernel lets anybody make a folder.
    nowhere = Path("/proc/certificate") if Path("/proc").is_dir() else tmp_path / "a" / "b"
    with pytest.raises(InputError, match="the certificate cannot be written there"):
        checked_folder(nowhere)
    with pytest.raises(InputError, match="the certificate cannot be written there"):
        checked_folder(tmp_path / "no" / "such")
    assert checked_folder(tmp_path / "new") == tmp_path / "new"
    assert list(tmp_path.iterdir()) == []
