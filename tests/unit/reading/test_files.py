"""Files that the system does not give up, as far as the message tests cannot show them."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Any, NoReturn

import pytest

from optimizer.errors import InputError
from optimizer.reading.files import MOST_BYTES, read_bytes, read_text


@pytest.mark.parametrize(
    ("number", "what", "hint"),
    [
        (
            errno.EACCES,
            "the site cannot be read: it may not be read by you",
            "ask for permission to read it",
        ),
        (errno.EIO, "the site cannot be read: the disc is broken", "check the path"),
    ],
)
def test_system_says_no(monkeypatch: pytest.MonkeyPatch, number: int, what: str, hint: str) -> None:
    def refuse(*_: Any, **__: Any) -> NoReturn:
        raise OSError(number, "the disc is broken")

    # Tests may run as a user who can read everything, so the refusal is made here.
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(InputError) as caught:
        read_bytes("site.yaml", "site")
    (trouble,) = caught.value.troubles
    assert (trouble.what, trouble.hint) == (what, hint)


def test_largest_file(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    path.write_bytes(b"x" * MOST_BYTES)
    assert len(read_bytes(path, "site")) == MOST_BYTES
    path.write_bytes(b"x" * (MOST_BYTES + 1))
    with pytest.raises(InputError, match="larger than 5 MB"):
        read_bytes(path, "site")


def test_byte_order_mark_is_left_out() -> None:
    assert read_text(b"\xef\xbb\xbfa", "f", "site") == "a"


@pytest.mark.parametrize(
    "character", ["\x00", "\x1b", "\x7f", "\x9b", "\u0085", "\u2028", "\u202e", "\u2066", "\ufeff"]
)
def test_characters_that_do_not_print(character: str) -> None:
    with pytest.raises(InputError) as caught:
        read_text(f"a\r\nb\rc\n{character}".encode(), "f", "site")
    (trouble,) = caught.value.troubles
    assert trouble.line == 4
    assert trouble.what == f"the site holds the control character U+{ord(character):04X}"


@pytest.mark.parametrize("text", ["", "a\tb\r\nc\n", "é – “x” ‘y’", "日本", "🙂", "a\u200db"])
def test_characters_of_every_language_print(text: str) -> None:
    assert read_text(text.encode(), "f", "site") == text
