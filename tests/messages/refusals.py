"""Helper of the message tests: what a user is told about a file that cannot be used.

The expected texts stand beside the input that causes them, written and read by hand; nothing here
writes or updates them.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from optimizer.errors import InputError, clean


def refusal(load: Callable[[Path], object], path: Path) -> InputError:
    """Load a file that must be refused, and check what holds for every refusal."""
    with pytest.raises(InputError) as caught:
        load(path)
    for trouble in caught.value.troubles:
        assert trouble.file == clean(str(path), 300)
        assert trouble.what
        assert trouble.accepted
        assert trouble.hint
        assert not trouble.what.endswith(".")
    text = str(caught.value)
    assert all(c.isprintable() or c == "\n" for c in text)
    return caught.value


def assert_refused(
    load: Callable[[Path], object], name: str, content: str | bytes, expected: str
) -> None:
    """Write a file into the working folder, load it, and compare the whole message."""
    path = Path(name)
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    assert str(refusal(load, path)) == textwrap.dedent(expected).strip()


def changed(base: str, lines: Mapping[int, str]) -> str:
    """A file with some of its lines, counted from 1, replaced by others (one or more)."""
    rows = base.splitlines()
    for number, text in lines.items():
        rows[number - 1] = text
    return "\n".join(rows) + "\n"
