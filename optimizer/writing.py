"""Files that appear whole or not at all."""

from __future__ import annotations

import os
import stat
import tempfile
from pathlib import Path

PART = ".part-"
"""How the name of a file begins that is not complete yet."""


def fill(part: Path, raw: bytes, target: Path) -> None:
    """Write all of a file that is to take another's place, with the permissions it will have.

    Raises
    ------
    OSError
        If the disk takes no more.
    """
    with part.open("wb") as stream:
        stream.write(raw)
        stream.flush()
        os.fsync(stream.fileno())
    part.chmod(_mode(target))


def put(target: Path, raw: bytes) -> None:
    """Write a file in one step; before that, and if it fails, what was there stays.

    Raises
    ------
    OSError
        If it cannot be written; nothing is left of it then.
    """
    number, name = tempfile.mkstemp(dir=target.parent, prefix=PART)
    os.close(number)
    part = Path(name)
    try:
        fill(part, raw, target)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def _mode(target: Path) -> int:
    """Permissions of the file that is replaced, else those a new file gets."""
    if target.exists():
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


__all__ = ["PART", "fill", "put"]
