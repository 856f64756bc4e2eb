"""Hints that name what was probably meant."""

from __future__ import annotations

import pytest

from optimizer.reading.hints import SEE_SCHEMA, closest, odd_character, suggest

KNOWN = ["distance", "width", "most_cameras", "H.264", "old-camera"]


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("distnace", "distance"),
        ("Width", "width"),
        ("most-cameras", "most_cameras"),
        ("most cameras", "most_cameras"),
        ("h264", "H.264"),
        ("old_camera", "old-camera"),
        (" width ", "width"),
        ("colour", None),
        ("", None),
        ("x" * 1_000_000, None),
    ],
)
def test_closest(word: str, meant: str | None) -> None:
    assert closest(word, KNOWN) == meant
    assert suggest(word, KNOWN) == (f'did you mean "{meant}"?' if meant else SEE_SCHEMA)


def test_own_words_where_nothing_is_close() -> None:
    assert suggest("colour", KNOWN, "name a zone") == "name a zone"
    assert suggest("colour", []) == SEE_SCHEMA


def test_odd_character() -> None:
    assert odd_character("plain") == ""
    assert odd_character("widt\u04bb") == "(character 5 is U+04BB, CYRILLIC SMALL LETTER SHHA)"
    # U+E000 is a private character, which Unicode gives no name.
    assert odd_character("\ue000") == "(character 1 is U+E000, without a name)"
