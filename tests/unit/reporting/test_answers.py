"""A whole answer on the terminal, at several widths, with and without colour."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from decimal import Decimal
from typing import Any

import pytest
from rich.console import Console

from optimizer.design import PowerUnit
from optimizer.reporting import render
from optimizer.reporting.equipment import _kept
from optimizer.solving.answer import Answer, Reason
from tests.unit.reporting import handmade

WIDTHS = [60, 80, 119, 120, 140, 240]
SOLVER_WORDS = (
    "dual", "slack", "infeasible", "literal", "objective", "constraint", "variable", "bound",
    "optimal", "feasible", "presolve", "heuristic", "coefficient",
)  # fmt: skip


def shown(answer: Answer, width: int = 80, colour: bool = False, site: Any = None) -> str:
    out = io.StringIO()
    console = Console(
        file=out,
        width=width,
        force_terminal=colour,
        color_system="truecolor" if colour else None,
        legacy_windows=False,
    )
    render(answer, site or handmade.SITE, handmade.BOOK.items, console)
    return out.getvalue()


def flowing(text: str) -> str:
    """The text with its line breaks and indents taken out."""
    return " ".join(text.split())


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_is_wider_than_the_terminal_nor_ends_in_blanks(width: int) -> None:
    for line in shown(handmade.answer(), width).splitlines():
        assert len(line) <= width
        assert line == line.rstrip()


@pytest.mark.parametrize("width", WIDTHS)
def test_every_line_of_the_bill_is_there_with_its_reason(width: int) -> None:
    text = shown(handmade.answer(), width)
    words = set(flowing(text).split())
    for line in handmade.BILL:
        for word in f"{line.item} {line.unit_price} {line.line_total} {line.because}".split():
            assert word in words
        name = handmade.BOOK.items[line.item].name
        assert set(name.split()) <= words | {w.rstrip(",") for w in words}


@pytest.mark.parametrize("width", WIDTHS)
def test_every_camera_assumption_and_caution_is_there(width: int) -> None:
    answer = handmade.answer()
    text = flowing(shown(answer, width))
    for camera in answer.cameras:
        assert f"{camera.zone}/{camera.number} " in text
    for assumption in answer.assumptions:
        if assumption.origin != "site file":
            assert f"{assumption.name}: {assumption.value}" in text
    for caution in answer.cautions:
        mark = "!" if caution.strong else "*"
        colon = "" if width >= 120 else ":"
        assert f"{mark} {caution.about}{colon} {caution.text}" in text


def test_headline_of_a_proven_answer() -> None:
    first, _, price, *_ = shown(handmade.answer()).splitlines()
    assert first.startswith("Corner shop ")
    assert first.endswith(" cheapest, proven")
    # 900.00 - 829.58 = 70.42.
    assert price == "829.58 EUR  with 19 % tax, 697.13 without; 70.42 below the budget"


def test_headline_of_an_answer_on_a_plan_claims_what_was_looked_at() -> None:
    # Only a choice among listed aims is proven: one that nobody listed may do with less.
    answer = handmade.answer().model_copy(update={"over": "two aims", "bound_by_shapes": "829.58"})
    assert shown(answer).splitlines()[0].endswith(" cheapest of the aims looked at, proven")
    # By exact shapes a kit may do that does not by whole cells.
    less = answer.model_copy(update={"bound_by_shapes": "1500.25"})
    assert (
        shown(less, 120)
        .splitlines()[0]
        .endswith(" cheapest by whole cells; none below 1,500.25, proven")
    )
    unknown = answer.model_copy(update={"bound_by_shapes": None})
    assert shown(unknown).splitlines()[0].endswith(" cheapest by whole cells, proven")
    open_ = answer.model_copy(update={"status": "feasible", "lower_bound": "800.00"})
    # 829.58 / 800.00 = 1.036975.
    first = shown(open_, 120).splitlines()[0]
    assert first.endswith("best found, at most 3.7 % above the cheapest by whole cells")


def test_budget_without_tax_is_held_against_the_net_sum() -> None:
    money = handmade.SITE.money.model_copy(update={"budget_includes_tax": False})
    site = handmade.SITE.model_copy(update={"money": money})
    # 900.00 - 697.13 = 202.87.
    assert "202.87 below the budget" in shown(handmade.answer(), site=site)


def test_site_without_tax_or_budget() -> None:
    money = handmade.SITE.money.model_copy(update={"budget": None, "tax": 0})
    site = handmade.SITE.model_copy(update={"money": money})
    text = shown(handmade.answer(tax="0.00", total="697.13"), site=site)
    assert text.splitlines()[2] == "697.13 EUR  no tax stated"
    assert "tax 0" not in text


def test_best_found_says_how_far_it_may_be_from_the_cheapest() -> None:
    # (829.58 - 810.00) / 810.00 = 2.417 %, which must not be rounded down.
    answer = handmade.answer(status="feasible", lower_bound="810.00", gap=0.0236)
    text = shown(answer)
    assert text.splitlines()[0].endswith("best found, at most 2.5 % above the cheapest possible")
    assert "No kit that meets the site costs less than 810.00." in text


def test_best_found_without_any_proof() -> None:
    answer = handmade.answer(status="feasible", lower_bound="0.00", gap=1.0)
    assert shown(answer).splitlines()[0].endswith("best found, not proven cheapest")


def test_groups_of_the_bill_have_their_sums() -> None:
    text = shown(handmade.answer())
    for name, total in (
        ("Cameras", "225.00"),
        # 150 + 80 + 18.
        ("Recording and sound", "248.00"),
        # 20 + 70 + 12 + 2.70 + 2.50 + 25.
        ("Cable and fittings", "132.20"),
        # 36 + 8 + 6.20.
        ("Power and network", "50.20"),
        ("Other", "9.00"),
        ("goods", "664.40"),
        ("less: recorder with a drive", "-10.00"),
        ("labour", "42.73"),
        ("tax 19 % of 697.13", "132.45"),
        ("total EUR", "829.58"),
    ):
        assert re.search(rf"^ +{re.escape(name)} +{re.escape(total)}$", text, re.MULTILINE), name


def test_camera_schedule() -> None:
    text = flowing(shown(handmade.answer()))
    assert "till/1 cam-dome 7.47 41.1 640.0 250.0 1:1 11.5" in text
    assert "store/1 cam-bullet 7.00 43.6 480.0 125.0 1:4 12.0" in text
    assert "gate/2 cp59-18-100 43.0 m; 12 V DC from supply-1:3" in text
    assert "store/1 existing coax 22.0 m; adapter sa-1 at the spot" in text


def test_equipment() -> None:
    text = flowing(shown(handmade.answer()))
    # 2,131 GB = 1.938 TiB and 4,000 GB = 3.638 TiB, at 0.909495 TiB a TB.
    assert (
        "recorder-1 rec-8, 1 x drive-4tb: 4 of 8 channels, 2,131 of 4,000 GB "
        "(1.94 of 3.64 TiB) for 31 days"
    ) in text
    assert "supply-1 sd-4: 3 of 4 outputs, 1.19 of 3.20 A" in text
    assert "supply-2 sa-1 at store/1: 1 of 1 output, 0.42 of 0.80 A" in text
    assert "box-1 cp59-18-100: gate/1 43.0 m, gate/2 43.0 m; 14.0 m left" in text
    assert "till-voice mic-12 on the leads and the feed of till/1; recorder-1 input 1" in text


def test_switches_have_ports_and_their_power_is_in_watts() -> None:
    def unit(name: str, load: int, limit: int) -> PowerUnit:
        return PowerUnit(id=name, item=name, outputs_used=3, outputs=8, load=load, limit=limit)

    # Loads and limits of switches are in 10 mW: 2,310 is 23.1 W.
    switches = (unit("switch-1", 2310, 12_000), unit("switch-2", 0, 0))
    text = flowing(shown(handmade.answer(switches=switches)))
    assert "switch-1 switch-1: 3 of 8 ports, 23.1 of 120.0 W" in text
    assert "switch-2 switch-2: 3 of 8 ports, no power" in text


def test_long_names_are_folded_and_not_cut() -> None:
    zone = "north-eastern-loading-bay-behind-the-second-gate"
    cameras = [c.model_copy(update={"zone": zone}) for c in handmade.CAMERAS[:1]]
    zones = [z.model_copy(update={"id": zone}) for z in handmade.SITE.zones if z.id == "till"]
    site = handmade.SITE.model_copy(update={"zones": tuple(zones)})
    text = shown(handmade.answer(cameras=tuple(cameras)), 80, site=site)
    start = text.index("Cameras  lens")
    schedule = text[start : text.index("Put together")].splitlines()[2:]
    pieces = [line.split(" ")[0] for line in schedule if line]
    assert "".join(pieces) == f"{zone}/1"


def test_what_cannot_be_met_says_why() -> None:
    reasons = (
        Reason(place="zones.gate/detail", limit="no lens is long enough", taken_out=1042),
        Reason(place="budget", limit="the cheapest recorder alone costs more"),
    )
    text = shown(handmade.without_kit("unmeetable", reasons=reasons))
    assert text.splitlines()[0].endswith(" cannot be met, proven")
    assert "zones.gate/detail  no lens is long enough (1,042 choices fall to this)" in text
    assert "budget  the cheapest recorder alone costs more\n" in text
    assert "Bill" not in text


def test_what_cannot_be_met_without_a_single_culprit() -> None:
    text = flowing(shown(handmade.without_kit("unmeetable")))
    assert "it is the demands together that cannot be met" in text


def test_undecided_claims_neither() -> None:
    text = flowing(shown(handmade.without_kit("undecided", lower_bound="700.00")))
    assert "undecided in the time given" in text
    assert "not proven either that there is none" in text
    assert "No kit costs less than 700.00 EUR." in text
    nothing_known = shown(handmade.without_kit("undecided", lower_bound="0.00"))
    assert "costs less" not in nothing_known


@pytest.mark.parametrize("status", ["optimal", "feasible", "unmeetable", "undecided"])
def test_no_word_of_a_solver_is_shown(status: str) -> None:
    if status in ("optimal", "feasible"):
        answer = handmade.answer(status=status, lower_bound="810.00")
    else:
        answer = handmade.without_kit(status)
    text = shown(answer).casefold()
    for word in SOLVER_WORDS:
        assert not re.search(rf"\b{word}", text), word


def test_colour_changes_nothing_but_the_colour() -> None:
    plain, coloured = shown(handmade.answer()), shown(handmade.answer(), colour=True)
    assert "\x1b" not in plain
    assert "\x1b[" in coloured
    bare = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    assert [line.rstrip() for line in bare.splitlines()] == plain.splitlines()


def test_strong_cautions_come_first_and_show_without_colour() -> None:
    lines = shown(handmade.answer()).splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith("Take care"))
    assert lines[start + 1].startswith(" ! recording of speech:")


def test_texts_from_files_are_neither_markup_nor_terminal_codes() -> None:
    text = shown(handmade.answer(site="[bold]Shop[/bold] \x1b[31m:bell:"), colour=True)
    assert r"[bold]Shop[/bold] \x1b[31m:bell:" in text


def test_a_narrow_terminal_still_shows_the_sum() -> None:
    assert "829.58" in shown(handmade.answer(), 40)


def test_the_last_line_names_what_was_used() -> None:
    text = flowing(shown(handmade.answer()))
    assert text.endswith(
        "leastkit 0.1.0; site 555555555555, price book bbbbbbbbbbbb; CP-SAT 9.15, confirmed by "
        "HiGHS 1.16; choice among equal prices settled to the end"
    )


def test_reporting_loads_no_solver() -> None:
    code = "import optimizer.reporting, sys; print([m for m in sys.modules if m in " + (
        "('ortools', 'highspy', 'optimizer.model', 'optimizer.instance')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("least", "most", "words"),
    [
        ("14", "14", "14 days"),
        ("14", "30", "14 to 30 days"),
        # Hours below two days.
        ("1", "14", "24 h to 14 days"),
        ("0.5", "1", "12 to 24 h"),
    ],
)
def test_how_long_pictures_are_kept(least: str, most: str, words: str) -> None:
    assert _kept(Decimal(least), Decimal(most)) == words


@pytest.mark.parametrize(
    ("why", "status", "words"),
    [
        ("time", "undecided in the time given", "More time may settle it: --time SECONDS."),
        ("cells", "undecided", "lie closer together than the cells into which zones are cut"),
        ("settings", "undecided", "At the focal lengths and tilts that were looked at no kit does"),
    ],
)
def test_why_it_is_undecided(why: str, status: str, words: str) -> None:
    """Where time is not the reason, more of it is not offered."""
    gone = dict.fromkeys(("total", "net", "tax", "lower_bound", "gap"))
    answer = handmade.answer().model_copy(
        update={"status": "undecided", "undecided_by": why, "over": "two aims", **gone}
    )
    text = shown(answer)
    assert text.splitlines()[0].endswith(f" {status}")
    assert words in flowing(text)
    assert ("More time does not settle it" in flowing(text)) is (why != "time")
