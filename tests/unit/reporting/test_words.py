"""Phrases for wiring and feeds that the hand-made answer has not."""

from __future__ import annotations

from typing import Any

import pytest

from optimizer.design import Camera, FedFrom, PowerUnit, Run, Sound
from optimizer.pricebook import load_book
from optimizer.reporting.words import Wording
from tests.unit.reporting import handmade

ITEMS = {**load_book().items, **handmade.BOOK.items}


def unit(name: str, item: str) -> PowerUnit:
    return PowerUnit(id=name, item=item, outputs_used=1, outputs=1, load=1, limit=2)


ANSWER = handmade.answer(
    runs=(
        Run(id="new", place="a/1", medium="category", items=("c5e-100",), length_cm=3300, box="b"),
        Run(id="old", place="a/1", medium="power_pair", existing=0, length_cm=2750),
        Run(
            id="joined",
            place="a/1",
            medium="lead",
            items=("lead-vp-50", "lead-vp-25"),
            length_cm=2286,
        ),
        Run(id="sound", place="p", medium="audio_pair", items=("ap22-500",), length_cm=2100),
    ),
    boxes=(),
    switches=(unit("switch-1", "sw-8-poe"),),
    injectors=(unit("injector-1", "inj-3"),),
    supplies=(unit("supply-1", "sd-24-4"), unit("supply-2", "sa-12-1")),
)


def wiring(runs: tuple[str, ...], power: dict[str, Any], **more: Any) -> str:
    camera = Camera.model_validate(
        {
            **handmade.CAMERAS[0].model_dump(),
            "runs": runs,
            "power": FedFrom.model_validate(power),
            **more,
        }
    )
    return Wording(ANSWER, ITEMS).camera(camera)


@pytest.mark.parametrize(
    ("runs", "power", "more", "words"),
    [
        (
            ("new",),
            {"way": "poe", "unit": "switch-1", "output": 4},
            {},
            "c5e-100 33.0 m; PoE from switch-1:4",
        ),
        (
            ("new",),
            {"way": "poe", "unit": "recorder-1", "output": 2},
            {"bracket": "br-dome"},
            "c5e-100 33.0 m; PoE from recorder-1:2; on br-dome",
        ),
        (
            ("new",),
            {"way": "poe", "unit": "injector-1", "output": 1},
            {"data_port": "switch-1", "control": "network"},
            "c5e-100 33.0 m; PoE from injector-1; data to switch-1; control over the network",
        ),
        (
            ("new", "old"),
            {"way": "separate_pair", "unit": "supply-1", "output": 2},
            {"balun": "balun", "control": "category"},
            "c5e-100 33.0 m; existing power pair 27.5 m; baluns balun; "
            "24 V AC from supply-1:2; control over a spare pair of the category cable",
        ),
        (
            ("joined",),
            {"way": "own_pair", "unit": "supply-1", "output": 1},
            {"control": "coax"},
            "lead-vp-50 + lead-vp-25; 24 V AC from supply-1:1; control over the coax",
        ),
        (
            ("new",),
            {"way": "local", "unit": "supply-2", "output": 1},
            {},
            "c5e-100 33.0 m; adapter sa-12-1 at the spot",
        ),
    ],
)
def test_wiring(
    runs: tuple[str, ...], power: dict[str, Any], more: dict[str, Any], words: str
) -> None:
    assert wiring(runs, power, **more) == words


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (
            {
                "way": "A1",
                "microphone": "mic-12",
                "runs": ("sound",),
                "input": 3,
                "power": FedFrom(way="separate_pair", unit="supply-1", output=1),
            },
            "mic-12 fed from the room; ap22-500 21.0 m; 24 V AC from supply-1:1; "
            "recorder-1 input 3",
        ),
        (
            {
                "way": "A4",
                "microphone": "mic-12",
                "runs": ("sound",),
                "input": 1,
                "power": FedFrom(way="local", unit="supply-2", output=1),
            },
            "mic-12 fed at the spot; ap22-500 21.0 m; adapter sa-12-1 at the spot; "
            "recorder-1 input 1",
        ),
        (
            {"way": "A7", "microphone": None, "camera": "a/1", "power": FedFrom(way="none")},
            "through the stream of a/1; recorder-1",
        ),
        (
            {"way": "A8", "microphone": None, "camera": "a/1", "input": 1,
             "power": FedFrom(way="none")},
            "built into a/1; recorder-1 input 1",
        ),
    ],
)  # fmt: skip
def test_sound(fields: dict[str, Any], words: str) -> None:
    sound = Sound(point="p", recorder="recorder-1", storage_bytes=1, **fields)
    assert Wording(ANSWER, ITEMS).sound(sound) == words
