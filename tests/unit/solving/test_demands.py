"""Many demands in few words."""

from __future__ import annotations

import pytest

from optimizer.solving.demands import by_place, in_few_words

ORDER = [f"zones.z{n}/{what}" for n in range(12) for what in ("detail", "run")]


def test_demands_of_one_place_stand_together() -> None:
    told = by_place(["zones.a", "zones.a/detail", "zones.b", "zones.a/night", "budget"])
    assert told == ["zones.a (detail, night)", "zones.b", "budget"]


@pytest.mark.parametrize(
    ("demands", "words"),
    [
        ([], ""),
        (["zones.z1", "zones.z0", "budget"], "zones.z0, z1; budget"),
        # Six neighbours are named, seven are told by their ends.
        ([f"zones.z{n}/run" for n in range(6)], "zones.z0, z1, z2, z3, z4, z5 (run)"),
        ([f"zones.z{n}/run" for n in range(7)], "zones.z0 to z6 (run)"),
        # z7 is not among them: what stands apart is named apart.
        ([f"zones.z{n}/run" for n in (*range(7), 8)], "zones.z0 to z6, z8 (run)"),
        # Places of which the order is not known are named one by one.
        ([f"audio.p{n}" for n in range(8)], "audio.p0, p1, p2, p3, p4, p5, p6, p7"),
        # Of two kinds, each by itself.
        (["zones.z1/run", "audio.z1/run", "spare/channels"],
         "zones.z1 (run); audio.z1 (run); spare (channels)"),
        # A place itself is another demand than what it asks.
        (["zones.z0", "zones.z0/run", "zones.z1", "zones.z2/run"],
         "zones.z0 (as a whole, run); zones.z1; zones.z2 (run)"),
        (["recording/retention", "recording/export.usb"], "recording (retention, export.usb)"),
    ],
)  # fmt: skip
def test_places_that_have_the_same_stand_together(demands: list[str], words: str) -> None:
    assert in_few_words(demands, ORDER) == words
