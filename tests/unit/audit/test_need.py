"""No camera is added that the picture does not need: rule 1.1 of the audit.

The hall of the worked example with another lens: 4.8 mm sensor, 2 to 12 mm, 8 m away, 16 m wide,
62.5 px/m. Recorded 1280 px wide the detail needs 62.5 x 4.8 x 8 / 1280 = 1.875 mm, so the lens at
its shortest 2 mm will do: it shows 4.8 x 8 / 2 = 19.2 m, and one camera is enough. Recorded 640 px
wide it needs 3.75 mm, which shows 10.24 m: two. The design has two.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from optimizer.audit import Finding
from tests.unit.audit.spoiling import HALL, every, item, site, zone
from tests.unit.audit.worked import Trial

RULE = "1.1 cameras without need"
Change = Callable[[Trial], Any]


def found(*changes: Change) -> list[Finding]:
    trial = Trial()
    trial.item("cam-ip").update(focal="2 to 12 mm")
    every(*changes)(trial)
    return [finding for finding in trial.findings() if finding.rule == RULE]


def small(**changes: Any) -> Change:
    """One more recorder in the book, that keeps 640 px of network pictures."""

    def add(trial: Trial) -> None:
        groups = [{"families": ["network"], "count": "4", "picture": "640x480"}]
        trial.book.append({**trial.item("rec-8"), "id": "small", "inputs": groups, **changes})

    return add


def no_writer(trial: Trial) -> None:
    trial.book = [row for row in trial.book if row["id"] != "writer"]


OPTICAL = every(site("recording", export=["usb", "optical"]), item("rec-8", optical="built_in"))
MIRRORS = every(site("recording", drive_failures="1"), item("rec-8", arrays=["mirror"], bays="2"))


def test_two_cameras_where_one_is_enough() -> None:
    (finding,) = found()
    assert (finding.place, finding.kind, finding.amount, finding.limit) == ("hall", "limit", 2, 1)
    assert finding.text == ("2 cameras of cam-ip look at this zone where 1 would keep its detail")


@pytest.mark.parametrize(
    "change",
    [
        # 4.8 x 8 / 19.21 is 1.999 mm, shorter than the lens: one camera shows too little.
        zone(HALL, width="19.21 m"),
        # 66.67 px/m need 2 mm exactly with 1280 px; at 67 px/m 2.01 mm show 19.1 m of 19.2 m.
        zone(HALL, width="19.2 m", detail="67 px/m"),
        small(),
        every(OPTICAL, small(optical="own_bay")),
        # A mirror takes two drives: two bays, where a third holds the writer.
        every(OPTICAL, MIRRORS, small(optical="drive_bay", arrays=["mirror"], bays="3")),
        every(MIRRORS, small(arrays=["6"], bays="4")),
        # Its other limits do not matter.
        small(ingest="1 kbit/s"),
    ],
    ids=["lens", "detail", "recorder", "writer", "bay of the writer", "array", "ingest"],
)
def test_two_cameras_that_are_needed_for_some_picture(change: Change) -> None:
    assert found(change) == []


@pytest.mark.parametrize(
    "change",
    [
        zone(HALL, width="19.2 m"),
        every(small(), lambda t: t.site["policy"]["forbid"].append("small")),
        small(codecs=["H.265"]),
        small(export=[]),
        small(displays={}),
        small(largest_drive="100 GB"),
        every(OPTICAL, small(optical="none")),
        every(OPTICAL, small(optical="own_bay"), no_writer),
        every(OPTICAL, MIRRORS, small(optical="drive_bay", arrays=["mirror"], bays="2")),
        every(MIRRORS, small(arrays=[], bays="4")),
        every(MIRRORS, small(arrays=["5", "6", "10"], bays="2")),
        # One that keeps so little that no focal length of the lens would do is no reason either.
        small(inputs=[{"families": ["network"], "count": "4", "picture": "199x150"}]),
        small(inputs=[{"families": ["composite"], "count": "4", "picture": "640x480"}]),
    ],
    ids=[
        "lens just wide enough", "forbidden", "codec", "export", "displays", "drives", "optical",
        "writer", "bay of the writer", "array", "bays", "too small", "family",
    ],
)  # fmt: skip
def test_a_recorder_that_the_site_cannot_use_is_no_reason(change: Change) -> None:
    assert [(f.place, f.amount, f.limit) for f in found(change)] == [("hall", 2, 1)]


@pytest.mark.parametrize(
    "change",
    [
        lambda t: t.site["policy"]["require"].append({"item": "cam-ip"}),
        lambda t: t.site["owned"].append({"item": "cam-ip", "quantity": "2", "pinned": "true"}),
    ],
    ids=["required", "pinned"],
)
def test_an_item_that_the_site_wants_used_may_stand_more_often(change: Change) -> None:
    assert found(change) == []


def test_an_item_that_is_merely_owned_may_not() -> None:
    assert len(found(lambda t: t.site["owned"].append({"item": "cam-ip", "quantity": "2"}))) == 1
