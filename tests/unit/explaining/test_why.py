"""Why each line: the limit that takes out a cheaper item, with its figures worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest

from optimizer.explaining.why import why
from optimizer.site.requirements import reaches, requirements
from optimizer.solving.variants import Why
from tests.unit.explaining.why_cases import asked, book, like, with_policy
from tests.unit.reporting import handmade


def line(item: str, *rows: dict[str, Any], site: Any = handmade.SITE) -> Why:
    found = why(asked(site), book(*rows), handmade.answer())
    return next(one for one in found if one.item == item)


INPUTS = [{"families": ["composite", "hd_coax"], "count": 8, "picture": "1920x1080"}]
CASES = [
    # The gate asks for IP66. At the store, indoors, the same camera would do.
    (
        "cam-bullet",
        like("cam-bullet", "cam-54", "50.00", ingress="IP54"),
        "gate",
        "it has IP54, IP66 is asked",
        "zones.gate/ingress",
    ),
    # 1920 px over 5.6 mm with a 4 mm lens at 12 m: 1920 x 4 / (5.6 x 12) = 114.3 px/m. It shows
    # 16.8 m then, more than the 15.36 m asked, so that several side by side would be no better.
    (
        "cam-bullet",
        like("cam-bullet", "cam-wide", "50.00", focal="2.8 to 4 mm"),
        "gate",
        "it gives at most 114.3 px/m, 250 are asked",
        "zones.gate/detail",
    ),
    ("cam-dome", like("cam-dome", "cam-slow", "40.00", frame_rate="10 fps"), "till",
     "it gives at most 10 fps, 12 are asked", "zones.till/frame_rate"),
    ("cam-dome", like("cam-dome", "cam-net", "40.00", family="network", codecs=["H.265"]), "till",
     "it does not encode H.264", "recording/codec"),
    (
        "rec-8",
        like("rec-8", "rec-3", "140.00", inputs=[{**INPUTS[0], "count": 3}]),
        "recorder-1",
        "it has 3 channels for 4 cameras",
        "",
    ),
    # The two gate cameras show 7.68 m each: 250 px/m x 7.68 m = 1,920 px across.
    (
        "rec-8",
        like("rec-8", "rec-half", "140.00", inputs=[{**INPUTS[0], "picture": "960x1080"}]),
        "recorder-1",
        "it records 960 px across at gate, 1920 are needed for 250 px/m",
        "zones.gate/detail",
    ),
    # 4 x 1920 x 1080 x 12 pictures = 4 x 24,884 kpx/s rounded up = 99.536 Mpx/s.
    (
        "rec-8",
        like("rec-8", "rec-slow", "140.00", encode_rate="99 Mpx/s"),
        "recorder-1",
        "it encodes 99,000 kpx/s, the pictures are 99,536 kpx/s",
        "",
    ),
    (
        "rec-8",
        like("rec-8", "rec-deaf", "140.00", audio_inputs=0),
        "recorder-1",
        "it has no audio input for till-voice",
        "audio.till-voice",
    ),
    (
        "rec-8",
        like("rec-8", "rec-dark", "140.00", displays={}),
        "recorder-1",
        "it has 0 hdmi outputs, 1 are asked",
        "recording/displays.hdmi",
    ),
    (
        "rec-8",
        like("rec-8", "rec-shut", "140.00", export=["network"]),
        "recorder-1",
        "it has no usb export",
        "recording/export.usb",
    ),
    # sd-2 has an output less than the three loads.
    ("sd-4", like("sd-4", "sd-2", "30.00", outputs=2), "supply-1",
     "it has 2 outputs for 3 loads", ""),
    # 1.4 A less the 20 % that the site leaves free by default: 1.12 A; 450 + 450 + 288 = 1,188 mA.
    (
        "sd-4",
        like("sd-4", "sd-weak", "30.00", total_amps="1.4 A"),
        "supply-1",
        "it gives 1,120 mA at 80 % of its rating, the loads draw 1,188 mA",
        "spare/supply",
    ),
    # 0.5 A less 20 %: 0.40 A, and a gate camera draws 0.45 A.
    (
        "sd-4",
        like("sd-4", "sd-thin", "30.00", output_amps="0.5 A"),
        "supply-1",
        "one output gives 400 mA at 80 % of its rating, gate/1 draws 450 mA",
        "spare/supply",
    ),
    # From 11 V the till keeps (11 + sqrt(121 - 4 x 3.3 x 1.796)) / 2 = 10.43 V.
    (
        "sd-4",
        like("sd-4", "sd-11", "30.00", volts="11 V"),
        "supply-1",
        "10.43 V of 11 V are left at till/1, it needs 10.8 V (25.0 m of 20 AWG)",
        "",
    ),
    ("sd-4", like("sd-4", "sd-ac", "30.00", feed="24 V AC", volts="24 V"), "supply-1",
     "24 V AC does not feed what is at till/1 (25.0 m of 20 AWG)", ""),
    ("sd-4", like("sd-4", "sd-14", "30.00", volts="14 V"), "supply-1",
     "14 V is more than the 13.2 V that till/1 takes (25.0 m of 20 AWG)", ""),
    (
        "lead-vpa-25",
        like("lead-vpa-25", "lead-15", "15.00", length="15 m"),
        "till/1",
        "it is 15 m long, the run is 18 m",
        "zones.till/run",
    ),
    # 24 AWG, 84.22 mohm/m x 1.0786 at 40 C: loop 2 x 25 m = 4.542 ohm; 3.3 W from 12 V leaves
    # (12 + sqrt(144 - 4 x 3.3 x 4.542)) / 2 = 10.58 V.
    (
        "lead-vpa-25",
        like("lead-vpa-25", "lead-24", "15.00", gauge="24 AWG"),
        "till/1",
        "10.58 V of 12 V are left at till/1, it needs 10.8 V (its 24 AWG)",
        "",
    ),
    (
        "cp59-18-100",
        like("cp59-18-100", "cp59-in", "60.00", construction="in", outdoor=False),
        "box-1",
        "it may not lie on the outdoor route to gate",
        "",
    ),
    # Two cuts of 40 + 2 x 1.5 m.
    (
        "cp59-18-100",
        like("cp59-18-100", "cp59-50", "40.00", box="50 m"),
        "box-1",
        "one box has 50 m, 86 m are cut from this one",
        "",
    ),
    # The cable states that HD over coax goes 40 m on it.
    (
        "cp59-18-100",
        like("cp59-18-100", "cp59-40", "60.00", construction="r40", reach={"hd_coax": "40 m"}),
        "box-1",
        "it carries the picture 40 m, the run to gate is 43 m",
        "",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("item", "row", "place", "limit", "demand"), CASES)
def test_limits(item: str, row: dict[str, Any], place: str, limit: str, demand: str) -> None:
    found = [o for o in line(item, row).others if o.item == row["id"]]
    assert [(o.place, o.limit, o.demand) for o in found] == [(place, limit, demand)]
    assert found[0].price == row["price"]


def test_without_its_flaw_the_same_item_is_not_called_out() -> None:
    for kind, price in (
        ("cam-bullet", "50.00"),
        ("rec-8", "140.00"),
        ("sd-4", "30.00"),
        ("lead-vpa-25", "15.00"),
        ("cp59-18-100", "60.00"),
    ):
        told = line(kind, like(kind, "twin", price))
        assert [o for o in told.others if o.item == "twin"] == []
        assert "twin" in told.would_do


def test_a_camera_is_out_at_one_place_and_would_do_at_another() -> None:
    told = line("cam-bullet", like("cam-bullet", "cam-54", "50.00", ingress="IP54"))
    assert [o.place for o in told.others if o.item == "cam-54"] == ["gate"]
    assert "cam-54" in told.would_do


def test_storage_of_a_recorder_with_small_drives() -> None:
    # Four cameras of 527 GB and 23 GB of sound are 2,131 GB; one bay for at most 1 TB.
    small = like("rec-8", "rec-1tb", "140.00", largest_drive="1 TB")
    drive = like("drive-4tb", "drive-1tb", "50.00", capacity="1 TB")
    [other] = [o for o in line("rec-8", small, drive).others if o.item == "rec-1tb"]
    assert other.limit == "with 1 bay it holds at most 1,000 of 2,131 GB"
    assert other.demand == "recording/retention"


def test_drives_are_compared_as_sets() -> None:
    # One bay: the dearest set below 80.00 is one 2 TB drive.
    rows = (
        like("drive-4tb", "drive-1tb", "50.00", capacity="1 TB"),
        like("drive-4tb", "drive-2tb", "60.00", capacity="2 TB"),
    )
    [other] = line("drive-4tb", *rows).others
    assert (other.item, other.price) == ("drive-2tb", "60.00")
    assert other.limit == "no cheaper set holds more than 2,000 of 2,131 GB (1 x drive-2tb)"
    # A 3 TB drive is enough, and cheaper: no limit speaks against it.
    told = line("drive-4tb", like("drive-4tb", "drive-3tb", "70.00", capacity="3 TB"))
    assert (told.others, told.would_do) == ((), ("drive-3tb",))


def test_connectors_that_policy_excludes() -> None:
    twist = like("bnc-59-10", "bnc-twist", "6.00", method="twist_on", tool=None)
    site = with_policy(connectors={"bnc": ("compression",)})
    told = line("bnc-59-10", twist, site=site)
    [other] = told.others
    assert (other.limit, other.demand) == (
        "twist-on is excluded by policy",
        "policy/connectors.bnc",
    )
    assert told.because.startswith("3 coax runs x 2 ends")
    # Allowed, its tool and time decide; no limit is claimed.
    assert line("bnc-59-10", twist).others == ()


@pytest.mark.parametrize("kind", ["cam-dome", "rec-8", "sd-4", "lead-vpa-25", "bnc-59-10"])
def test_forbidden_items(kind: str) -> None:
    site = with_policy(forbid=("banned",))
    told = line(kind, like(kind, "banned", "5.00"), site=site)
    [other] = [o for o in told.others if o.item == "banned"]
    assert (other.limit, other.demand) == ("the site forbids it", "policy/forbid.banned")


def test_a_lens_that_is_too_long() -> None:
    # 12 mm at 4 m: 5.6 x 4 / 12 = 1.87 m of 3 m, and the till may have one camera only.
    till = handmade.SITE.zones[0].model_copy(update={"most_cameras": 1})
    site = handmade.SITE.model_copy(update={"zones": (till, *handmade.SITE.zones[1:])})
    [other] = line("cam-dome", like("cam-dome", "cam-12", "40.00", focal="12 mm"), site=site).others
    assert other.limit == "its lens cannot show the width: at most 1.87 of 3 m"
    assert other.demand == "zones.till/width"


def test_other_families_come_last() -> None:
    site = with_policy(families=("hd_coax",))
    near = like("cam-dome", "cam-slow", "30.00", frame_rate="10 fps")
    far = [like("cam-dome", f"cam-{n}", f"4{n}.00", family="composite") for n in range(4)]
    told = line("cam-dome", near, *far, site=site)
    assert [o.item for o in told.others] == ["cam-slow", "cam-3"]
    assert told.others[1].demand == "policy/families"


def test_every_line_traces_to_demands_of_the_site() -> None:
    known = {r.id for r in (*requirements(handmade.SITE), *reaches(handmade.SITE))}
    told = {one.item: one for one in why(asked(), handmade.BOOK, handmade.answer())}
    assert list(told) == [bill.item for bill in handmade.answer().bill]
    for one in told.values():
        assert one.demands
        assert set(one.demands) <= known
    assert told["sign"].demands == ("policy/require.sign",)
    assert told["lead-vpa-25"].demands == ("zones.till", "zones.till/run")
    assert told["mic-12"].demands == ("audio.till-voice",)
    # One box serves both gate cameras, and nothing else.
    assert told["cp59-18-100"].demands == ("zones.gate", "zones.gate/run")
    assert {"recording/retention", "audio.till-voice"} <= set(told["drive-4tb"].demands)


def test_a_bill_without_a_design_has_no_reasons() -> None:
    with pytest.raises(ValueError, match="no design"):
        why(asked(), handmade.BOOK, handmade.without_kit("unmeetable"))
