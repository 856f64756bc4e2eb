"""The bytes and the text of an input file, with the refusal of what is no text."""

from __future__ import annotations

import errno
import re
from pathlib import Path

from optimizer.errors import InputError, Trouble

MOST_BYTES = 5_000_000

# What no text needs and a terminal may obey: controls other than tab and line end, line
# separators that editors do not count, overrides of the writing direction, halves of surrogates.
UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]"
)

_WHY_UNREADABLE = {
    errno.ENOENT: ("there is no such file", "check the path, and the folder you are in"),
    errno.EISDIR: ("this is a folder", "name a file in it"),
    errno.ENOTDIR: ("a part of the path is a file, not a folder", "check the path"),
    errno.EACCES: ("it may not be read by you", "ask for permission to read it"),
    errno.EPERM: ("it may not be read by you", "ask for permission to read it"),
    errno.ELOOP: ("the path is a link that leads back to itself", "name the file itself"),
    errno.ENAMETOOLONG: ("the path is too long", "check the path"),
}


def read_bytes(path: str | Path, what: str, most: int = MOST_BYTES) -> bytes:
    """Read a file of reasonable size.

    Parameters
    ----------
    path : path
        The file.
    what : str
        What it is read as, for messages.
    most : int
        Largest size that is read. [byte]

    Raises
    ------
    InputError
        If it cannot be read or is larger.
    """
    try:
        with Path(path).open("rb") as stream:
            raw = stream.read(most + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        number = getattr(error, "errno", None) or 0
        said = getattr(error, "strerror", None) or str(error)
        why, hint = _WHY_UNREADABLE.get(number, (said, "check the path"))
        raise InputError(
            Trouble(
                f"the {what} cannot be read: {why}",
                file=str(path),
                accepted="a readable file",
                hint=hint,
            )
        ) from None
    if len(raw) > most:
        raise InputError(
            Trouble(
                f"the {what} is larger than {most // 1_000_000} MB",
                file=str(path),
                accepted=f"a file of at most {most // 1_000_000} MB",
                hint="this is probably not the file you meant",
            )
        )
    return raw


def read_text(raw: bytes, name: str, what: str) -> str:
    """Turn the bytes of a file into text, a byte-order mark left out.

    Parameters
    ----------
    raw : bytes
        What the file holds.
    name, what : str
        Its name, and what it is read as, for messages.

    Raises
    ------
    InputError
        If they are not UTF-8, or hold characters that do not print.
    """
    accepted = "a YAML file in UTF-8"
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise InputError(
            Trouble(
                f"the {what} is written in UTF-16",
                file=name,
                accepted=accepted,
                hint="save it again as UTF-8",
            )
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            Trouble(
                f"the {what} is not text in UTF-8: byte {error.start + 1} does not fit",
                file=name,
                line=len(re.split(rb"\r\n|\r|\n", raw[: error.start])),
                accepted=accepted,
                hint="spreadsheets and pictures cannot be read here; save text as UTF-8",
            )
        ) from None
    bad = UNPRINTABLE.search(text)
    if bad is not None:
        raise InputError(
            Trouble(
                f"the {what} holds the control character U+{ord(bad.group()):04X}",
                file=name,
                line=len(re.split(r"\r\n|\r|\n", text[: bad.start()])),
                accepted=accepted,
                hint="remove it; if the file is full of them it is not text",
            )
        )
    return text
