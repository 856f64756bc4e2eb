"""Recorders: limits that the hand-made design does not reach as it stands, each by itself."""

from __future__ import annotations

from typing import Any

import pytest

from optimizer.design import DriveSet, FedFrom
from optimizer.explaining.why_kit import Kit, Verdict
from optimizer.explaining.why_recorders import drive_verdicts, recorder_verdicts
from optimizer.pricebook.schema import Drive, Recorder
from optimizer.site.schema import Spare
from tests.unit.explaining.why_cases import book, like
from tests.unit.reporting import handmade

HD = {"families": ["hd_coax"], "count": 8, "picture": "1920x1080"}
FED = {"power": FedFrom(way="poe", unit="recorder-1", output=1)}


def verdict(other: dict[str, Any], *rows: dict[str, Any], **fields: Any) -> Verdict:
    """What is said of another recorder, with fields of both gate cameras changed."""
    cameras = tuple(
        camera.model_copy(update=fields) if camera.zone == "gate" else camera
        for camera in handmade.CAMERAS
    )
    return _of(other, Kit(handmade.SITE, book(other, *rows), with_cameras(cameras)))


def with_cameras(cameras: Any) -> Any:
    return handmade.DESIGN.model_copy(update={"cameras": cameras})


def _of(other: dict[str, Any], kit: Kit) -> Verdict:
    item = kit.book.items["rec-8"]
    assert isinstance(item, Recorder)
    [found] = [v for v in recorder_verdicts(kit, item) if v.item == other["id"]]
    return found


def cheaper(**fields: Any) -> dict[str, Any]:
    return like("rec-8", "other", "140.00", **fields)


@pytest.mark.parametrize(
    ("fields", "of_cameras", "limit"),
    [
        # Two gate cameras fed by the recorder; a camera that states no class counts as class 0,
        # 15.4 W at the port, 30.8 W together.
        ({}, FED, "it has 0 powered ports for the 2 cameras it would feed"),
        (
            {"poe": {"ports": 4, "poe_class": 1, "budget": "60 W"}},
            FED,
            "its ports give 4 W, 15.4 W are needed",
        ),
        (
            {"poe": {"ports": 4, "poe_class": 4, "budget": "20 W"}},
            FED,
            "its ports give 20 W together, 30.8 W are needed",
        ),
        ({"poe": {"ports": 4, "poe_class": 4, "budget": "60 W"}}, FED, ""),
        ({}, {"control": "coax"}, "it cannot steer over coax"),
        ({"control": ["coax"]}, {"control": "coax"}, ""),
        ({"control": ["coax"]}, {"control": "pair"}, "it cannot steer over rs485"),
        # Two cameras of one unit load each.
        (
            {"control": ["rs485"], "unit_loads": 1},
            {"control": "pair"},
            "it steers 1 unit loads, there are 2",
        ),
        ({"control": ["rs485"], "unit_loads": 2}, {"control": "pair"}, ""),
    ],
)
def test_feeding_and_steering(
    fields: dict[str, Any], of_cameras: dict[str, Any], limit: str
) -> None:
    assert verdict(cheaper(**fields), **of_cameras).limit == limit


@pytest.mark.parametrize(
    ("inputs", "free", "limit"),
    [
        (6, 3, "its 6 channels leave 2 free, 3 are asked"),
        (7, 3, ""),
    ],
)
def test_channels_to_spare(inputs: int, free: int, limit: str) -> None:
    other = cheaper(inputs=[{**HD, "count": inputs}])
    site = handmade.SITE.model_copy(update={"spare": Spare(channels=free)})
    found = _of(other, Kit(site, book(other), handmade.DESIGN))
    assert (found.limit, found.demand) == (limit, "spare/channels" if limit else "")


@pytest.mark.parametrize(
    ("ingest", "limit"),
    [
        # 1920 x 1080 x 12 fps x 0.06 bit = 1,492,992 bit/s, 1,493 kbit/s rounded up.
        ("1492 kbit/s", "it takes in 1,492 kbit/s, the streams are 1,493 kbit/s"),
        ("1 Mbit/s", "it takes in 1,000 kbit/s, the streams are 1,493 kbit/s"),
        ("1493 kbit/s", ""),
    ],
)
def test_network_streams(ingest: str, limit: str) -> None:
    other = cheaper(
        inputs=[HD, {"families": ["network"], "count": 4, "picture": "1920x1080"}], ingest=ingest
    )
    camera = like("cam-bullet", "cam-net", "60.00", family="network", codecs=["H.264"])
    cable = like("cp59-18-100", "c5e", "50.00", medium="category", construction="c5e", fit="cat5e")
    plug = like("bnc-59-10", "rj45", "8.00", type="rj45", fits=["cat5e"], method="crimp")
    cameras = tuple(
        c.model_copy(update={"item": "cam-net"}) if c.zone == "store" else c
        for c in handmade.CAMERAS
    )
    kit = Kit(handmade.SITE, book(other, camera, cable, plug), with_cameras(cameras))
    assert _of(other, kit).limit == limit


def test_a_recorder_for_other_signals() -> None:
    found = verdict(cheaper(inputs=[{**HD, "families": ["composite"]}]))
    assert (found.limit, found.remote) == ("it has no input for hd_coax cameras", True)


def drive(capacity: int, price: str) -> dict[str, Any]:
    return like("drive-4tb", f"drive-{capacity}tb", price, capacity=f"{capacity} TB")


@pytest.mark.parametrize(
    ("array", "count", "rows", "limit"),
    [
        # Two bays for single drives, 80.00 spent on one of 4 TB: two of 1 TB are 60.00.
        ("single", 1, [drive(1, "30.00")], "2,000 of 2,131 GB (2 x drive-1tb)"),
        # One of 1 TB and one of 2 TB are 75.00 and hold 3 TB: enough.
        ("single", 1, [drive(1, "30.00"), drive(2, "45.00")], ""),
        # 160.00 spent on a mirrored pair: of a pair half is usable.
        ("mirror", 2, [drive(2, "60.00")], "2,000 of 2,131 GB (2 x drive-2tb)"),
        ("mirror", 2, [drive(3, "75.00")], ""),
        # 240.00 spent on three in array 5, three bays: of three drives two are usable.
        ("5", 3, [drive(1, "50.00")], "2,000 of 2,131 GB (3 x drive-1tb)"),
        # 320.00 spent on four in array 6: two usable.
        ("6", 4, [drive(1, "50.00")], "2,000 of 2,131 GB (4 x drive-1tb)"),
        ("10", 4, [drive(1, "50.00")], "2,000 of 2,131 GB (4 x drive-1tb)"),
        # Four of 2 TB in array 10 are 4 TB for 240.00.
        ("10", 4, [drive(2, "60.00")], ""),
    ],
)
def test_sets_of_drives(array: str, count: int, rows: list[dict[str, Any]], limit: str) -> None:
    failures = {"single": 0, "6": 2}.get(array, 1)
    arrays = [] if array == "single" else [array]
    recorder = like("rec-8", "rec-8", "150.00", bays=max(count, 2), arrays=arrays)
    unit = handmade.DESIGN.recorders[0].model_copy(
        update={"array": array, "drives": (DriveSet(item="drive-4tb", count=count),)}
    )
    recording = handmade.SITE.recording.model_copy(update={"drive_failures": failures})
    kit = Kit(
        handmade.SITE.model_copy(update={"recording": recording}),
        book(recorder, *rows),
        handmade.DESIGN.model_copy(update={"recorders": (unit,)}),
    )
    item = kit.book.items["drive-4tb"]
    assert isinstance(item, Drive)
    [found] = drive_verdicts(kit, item)
    assert found.limit == (f"no cheaper set holds more than {limit}" if limit else "")
