"""Reasons of bill lines, each written out by hand from the design it belongs to."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter

from optimizer.design import (
    Box,
    Camera,
    Design,
    DriveSet,
    FedFrom,
    PartUse,
    PowerUnit,
    Recorder,
    Run,
    Sound,
)
from optimizer.pricebook.schema import AnyItem
from optimizer.solving.wording import because, line_because
from tests.unit.reporting import handmade

ITEM: TypeAdapter[Any] = TypeAdapter(AnyItem)


def item(kind: str, name: str, **fields: Any) -> Any:
    return ITEM.validate_python({"id": name, "kind": kind, "name": name, "price": "1.00", **fields})


def camera(zone: str, number: int = 1, **more: Any) -> Camera:
    data: dict[str, Any] = {
        "zone": zone,
        "number": number,
        "item": "cam",
        "focal_mm": 4.0,
        "view_angle_deg": 60.0,
        "px_per_m": 250.0,
        "picture": "1920x1080",
        "recorder": "recorder-1",
        "channel": number,
        "bit_rate": 1,
        "storage_bytes": 1,
        "path": "D1",
        "runs": (),
        "power": FedFrom(way="none"),
    }
    return Camera.model_validate({**data, **more})


def recorder(name: str = "recorder-1", **more: Any) -> Recorder:
    data: dict[str, Any] = {
        "id": name,
        "item": "rec",
        "array": "single",
        "drives": (DriveSet(item="disk", count=1),),
        "usable_gb": 6000,
        "stored_gb": 5312,
        "kbit_s": 0,
        "encode_kpx_s": 0,
        "channels_used": 11,
        "channels": 16,
    }
    return Recorder.model_validate({**data, **more})


def reason(one: Any, *others: Any, **parts: Any) -> str | None:
    """The reason of one item in a design that holds these parts only."""
    empty: dict[str, Any] = {
        "bill": (),
        "net": "0.00",
        "tax": "0.00",
        "total": "0.00",
        "currency": "EUR",
        "cameras": (),
        "recorders": (),
    }
    design = Design.model_validate({**empty, **parts})
    items = {i.id: i for i in (one, *others)}
    return because(handmade.SITE, items, design).get(one.id)


CAM = item(
    "camera",
    "cam",
    family="network",
    picture="1920x1080",
    frame_rate="25 fps",
    sensor_width="5.6 mm",
    sensor_height="3.1 mm",
    focal="4 mm",
    temperature="0 to 40 C",
    lux_colour="1 lx",
    poe_class=3,
    codecs=("H.264",),
)
REC = item(
    "recorder",
    "rec",
    inputs=({"families": ("network",), "count": 16, "picture": "1920x1080"},),
    ingest="100 Mbit/s",
    codecs=("H.264",),
    bays=2,
    largest_drive="8 TB",
    mains_lead="c13",
)
SUPPLY = item(
    "supply",
    "box",
    form="distribution",
    feed="12 V DC",
    volts="12 V",
    outputs=9,
    output_amps="1 A",
    total_amps="5 A",
    ends="screw",
    mains_lead="c13",
)


def test_every_line_of_the_hand_made_answer() -> None:
    got = because(handmade.SITE, handmade.BOOK.items, handmade.DESIGN)
    assert got == handmade.REASONS


def test_cameras_are_counted_by_zone_in_the_order_of_the_design() -> None:
    cameras = (camera("gate"), camera("gate", 2), camera("yard"))
    assert reason(CAM, cameras=cameras) == "cameras at gate (2), yard"


def test_long_rows_of_places_are_cut_with_a_count() -> None:
    cameras = tuple(camera(f"z{n}") for n in range(9))
    assert reason(CAM, cameras=cameras) == "cameras at z0, z1, z2, z3, z4, z5 and 3 more"


def test_an_item_without_a_job_has_no_reason() -> None:
    assert reason(CAM) is None
    assert reason(item("extra", "ladder")) is None


def test_recorder_in_the_singular_and_together() -> None:
    assert reason(REC, recorders=(recorder(),)) == "holds 5,312 of 6,000 GB, 11 of 16 channels"
    two = (recorder(), recorder("recorder-2"))
    assert reason(REC, recorders=two) == "2 together hold 10,624 of 12,000 GB, 22 of 32 channels"


def test_recorder_that_powers_cameras() -> None:
    fed = camera("gate", power=FedFrom(way="poe", unit="recorder-1", output=1))
    assert reason(REC, recorders=(recorder(),), cameras=(fed,)) == (
        "holds 5,312 of 6,000 GB, 11 of 16 channels; powers 1 camera"
    )


def test_drives_name_their_recorders_and_array() -> None:
    disk = item("drive", "disk", capacity="6 TB")
    pair = recorder(array="mirror", drives=(DriveSet(item="disk", count=2),))
    assert reason(disk, recorders=(pair,)) == "in recorder-1 (2): 5,312 of 6,000 GB, mirrored"


def test_optical_writers() -> None:
    writer = item("optical_writer", "writer")
    units = (recorder(optical_writer="writer"), recorder("recorder-2", optical_writer="writer"))
    assert reason(writer, recorders=units) == "evidence discs, 2 recorders"


def test_cable_of_two_boxes() -> None:
    cable = item(
        "cable", "cat", medium="category", construction="cat", box="228.6 m", gauge="24 AWG",
        fit="cat5e",
    )  # fmt: skip
    # 13 runs; cut 2 x 228.60 - (20.00 + 24.70) = 412.50 m of 457.20 m.
    runs = [
        Run(id=f"r{n}", place=f"z{n}/1", medium="category", items=("cat",), length_cm=3173)
        for n in range(13)
    ]
    boxes = (
        Box(
            id="b1", item="cat", length_cm=22_860, left_cm=2000, cuts=tuple(r.id for r in runs[:7])
        ),
        Box(
            id="b2", item="cat", length_cm=22_860, left_cm=2470, cuts=tuple(r.id for r in runs[7:])
        ),
    )
    assert reason(cable, runs=tuple(runs), boxes=boxes) == "13 runs, 412.5 m of 457.2 m cut"


def test_connectors_by_runs_where_both_ends_are_alike() -> None:
    bnc = item("connector", "bnc", type="bnc", fits=("rg59",), method="compression")
    assert reason(bnc, parts=(PartUse(item="bnc", role="bnc/rg59", pieces=18),)) == (
        "9 coax runs x 2 ends"
    )
    assert reason(bnc, parts=(PartUse(item="bnc", role="bnc/rg59", pieces=3),)) == (
        "3 ends of coax runs"
    )


@pytest.mark.parametrize(
    ("kind", "fits", "words"),
    [
        ("rj45", "cat5e", "1 category run x 2 ends"),
        ("rca", "audio", "1 audio run x 2 ends"),
    ],
)
def test_connectors_name_their_cable(kind: str, fits: str, words: str) -> None:
    one = item("connector", "plug", type=kind, fits=(fits,), method="plug")
    assert reason(one, parts=(PartUse(item="plug", role=f"{kind}/{fits}", pieces=2),)) == words


def test_tool_for_the_connectors_that_need_it() -> None:
    tool = item("tool", "press", types=("press-tool",))
    bnc = item(
        "connector", "bnc", type="bnc", fits=("rg59",), method="compression", tool="press-tool"
    )
    twist = item("connector", "twist", type="bnc", fits=("rg59",), method="twist_on")
    parts = (
        PartUse(item="bnc", role="bnc/rg59", pieces=18),
        PartUse(item="twist", role="bnc/rg59", pieces=2),
    )
    assert reason(tool, bnc, twist, parts=parts) == "for 18 compression BNC connectors"


def test_leads_joined_and_in_the_rack() -> None:
    lead = item("lead", "lead", carries=("data",), length="20 m", series="data")
    runs = (
        Run(id="r1", place="gate/1", medium="lead", items=("lead",), length_cm=2000),
        Run(id="r2", place="yard/1", medium="lead", items=("lead", "lead"), length_cm=4000),
    )
    links = (PartUse(item="lead", role="rack_link", pieces=2),)
    assert reason(lead, runs=runs, parts=links) == (
        "to gate/1, yard/1 (joined); links 2 switches in the rack"
    )


def test_couplers_pigtails_and_splitters() -> None:
    for kind, fields, words in (
        ("coupler", {"type": "bnc"}, "2 joints between leads"),
        ("pigtail", {"gender": "female"}, "barrel socket on 2 power ends"),
        ("splitter", {}, "2 microphones on the feed of a camera"),
    ):
        one = item(kind, "part", **fields)
        assert reason(one, parts=(PartUse(item="part", role=kind, pieces=2),)) == words


def test_baluns_two_a_run() -> None:
    balun = item("balun", "balun", families=("composite",), reach="300 m")
    cameras = (camera("a", balun="balun"), camera("b", balun="balun"), camera("c"))
    assert reason(balun, cameras=cameras) == "2 category runs x 2 ends"


def test_supply_feeds_cameras_and_microphones() -> None:
    fed = FedFrom(way="own_pair", unit="s1", output=1)
    sound = Sound(
        point="hall", way="A1", microphone="mic", recorder="recorder-1", power=fed, storage_bytes=1
    )
    units = (PowerUnit(id="s1", item="box", outputs_used=3, outputs=9, load=3100, limit=4000),)
    cameras = (camera("a", power=fed), camera("b", power=fed))
    assert reason(SUPPLY, supplies=units, cameras=cameras, audio=(sound,)) == (
        "feeds 2 cameras and 1 microphone, 3.1 of 4.0 A"
    )


def test_supplies_together() -> None:
    units = tuple(
        PowerUnit(id=f"s{n}", item="box", outputs_used=1, outputs=9, load=1500, limit=4000)
        for n in (1, 2)
    )
    cameras = tuple(
        camera(f"z{n}", power=FedFrom(way="own_pair", unit=f"s{n}", output=1)) for n in (1, 2)
    )
    assert reason(SUPPLY, supplies=units, cameras=cameras) == (
        "2 together feed 2 cameras, 3.0 of 8.0 A"
    )


def test_switch_powers_some_and_connects_others() -> None:
    switch = item("switch", "sw", ports=8, poe={"ports": 4, "poe_class": 4, "budget": "120 W"})
    units = (PowerUnit(id="w1", item="sw", outputs_used=1, outputs=4, load=1540, limit=12_000),)
    cameras = (
        camera("a", power=FedFrom(way="poe", unit="w1", output=1)),
        camera("b", data_port="w1"),
    )
    assert reason(switch, switches=units, cameras=cameras) == (
        "powers 1 camera, 15.4 of 120.0 W; connects 1 camera powered elsewhere"
    )


def test_injector_and_bracket_name_their_cameras() -> None:
    injector = item("injector", "inj", poe_class=3)
    units = (PowerUnit(id="i1", item="inj", outputs_used=1, outputs=1, load=1540, limit=1540),)
    fed = camera("a", power=FedFrom(way="poe", unit="i1", output=1))
    assert reason(injector, injectors=units, cameras=(fed,)) == "powers the camera at a"
    bracket = item("bracket", "arm", fits=("pole",))
    held = (camera("a", bracket="arm"), camera("b", bracket="arm"))
    assert reason(bracket, cameras=held) == "for the cameras at a, b"


def test_mains_leads_count_what_they_serve() -> None:
    lead = item("mains_lead", "cord", type="c13")
    units = tuple(
        PowerUnit(id=f"s{n}", item="box", outputs_used=1, outputs=9, load=1, limit=2)
        for n in (1, 2)
    )
    assert reason(lead, REC, SUPPLY, recorders=(recorder(),), supplies=units) == (
        "mains for 1 recorder and 2 supplies"
    )


def test_lines_say_why_more_are_bought() -> None:
    assert line_because("9 coax runs x 2 ends", 2, 18, pack=10) == (
        "9 coax runs x 2 ends; 18 used of 20"
    )
    assert line_because("camera at gate", 8, 7) == "camera at gate; 1 more than needed, cheaper so"
    assert line_because("camera at gate", 1, 1) == "camera at gate"


def test_lines_say_what_comes_from_stock() -> None:
    assert line_because("cameras at gate (3)", 2, 3, from_stock=1) == (
        "cameras at gate (3); 1 from stock"
    )
    assert line_because("cameras at gate (3)", 0, 3, from_stock=3) == (
        "cameras at gate (3); all from stock"
    )


def test_required_extras_have_no_job_and_need_none() -> None:
    assert line_because("the site requires 2", 2, 0) == "the site requires 2"


def test_lines_without_a_job_say_so() -> None:
    assert line_because(None, 1, 0) == (
        "has no job here: an offer or price break makes the kit cheaper with it"
    )
