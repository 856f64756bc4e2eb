"""Want of volts, told as a sum: each derived by hand from a handbook's resistance.

18 AWG copper has 20.95 ohm a kilometre at 20 C, 24 AWG 84.22 (ASTM B258, table of nominal
resistance, from memory); at 40 C copper has 1 + 20 x 0.00393 = 1.0786 of that. The door's cameras
take 5 W of 12 V DC and work from 10.8 to 13.2 V; the supply gives 12 V, 0.8 A for each output.
"""

from __future__ import annotations

import math
from typing import Any

import optimizer
from tests.unit.explaining import door


def steps(**zone: Any) -> list[tuple[str, str]]:
    """The steps of the argument, each with its origin, for a door with another zone."""
    asked = door.asked(zones=[{**door.SITE["zones"][0], **zone}])
    answer = optimizer.prove(asked, door.book(), seconds=60)
    assert answer.status == "unmeetable"
    [argument] = answer.argument
    assert argument.closed
    return [(s.text, s.origin) for s in argument.steps if not s.text.startswith("Asked: ")]


def existing(length: str, gauge: str) -> dict[str, Any]:
    """An old coax with power, too long for anything in the book to take its place."""
    cable = {"medium": "coax_power", "length": length, "gauge": gauge, "fit": "rg6"}
    return {"run": length, "existing": [cable]}


def test_volts_below_what_the_camera_works_from() -> None:
    # 2 x 60 m x 20.95 x 1.0786 / 1000 = 2.712 ohm. 12 x 12 - 4 x 5 x 2.712 = 89.77, its root is
    # 9.475: (12 + 9.475) / 2 = 10.74 V, less than 10.8.
    loop = 2 * 60 * 20.95 * 1.0786 / 1000
    left = (12 + math.sqrt(144 - 20 * loop)) / 2
    assert 10.70 < left < 10.77
    camera, cable, copper, volts, last = steps(**existing("60 m", "18 AWG"))
    assert camera[0].startswith("2 camera items out for want of volts")
    assert "It takes 5 W of 12 V DC and works from 10.8 to 13.2 V." in camera[0]
    assert camera[1] == "book: cam-hd"
    assert cable == (
        "At door there is no mains, so its power comes from the equipment room, best over the "
        "existing coax power, 60 m.", "site file",
    )  # fmt: skip
    # The gauge's own formula gives a resistance that is 0.02 % below the table's.
    assert "2 x 60 m x 0.02259 ohm/m = 2.711 ohm" in copper[0]
    assert abs(2.711 - loop) < 0.002
    assert "ASTM B258" in copper[1]
    assert "(12 x 12 - 4 x 5 W x 2.711 ohm)) / 2 = (12 + root of 89.78) / 2" in volts[0]
    assert volts[0].endswith(f"= {left:.4g} V are left, less than 10.8 V.")
    assert last[0] == "These are all 2 camera items of the book, so door has no camera."


def test_no_steady_current() -> None:
    # 2 x 200 m x 84.22 x 1.0786 / 1000 = 36.34 ohm: 12 x 12 is less than 4 x 5 x 36.34 = 726.7; at
    # most 144 / (4 x 36.34) = 0.991 W get through.
    loop = 2 * 200 * 84.22 * 1.0786 / 1000
    _, _, _, volts, _ = steps(**existing("200 m", "24 AWG"))
    assert 36.2 < loop < 36.5
    assert "is less than nothing, so no steady current flows" in volts[0]
    assert volts[0].endswith("= 0.991 W get through at all.")


def test_mains_at_hand_is_said_and_does_not_help_without_an_adapter() -> None:
    texts = [text for text, _ in steps(mains=True, **existing("60 m", "18 AWG"))]
    assert any("At door there is mains" in text for text in texts)
