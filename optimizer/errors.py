"""Every error that a user can meet.

An :class:`InputError` says where the trouble is (file, line, field), what was found, what would
be accepted, and ends in a hint. A :class:`Defect` is a fault of this program, never of its input.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields

MOST_SHOWN = 50
"""Troubles written out by ``str(InputError)``; all of them are in ``troubles``."""

MOST_COLLECTED = 1000
"""Troubles after which a reader may stop looking for more in the same file."""

_MOST = {"file": 300, "what": 400, "field": 300, "value": 120, "accepted": 900, "hint": 400}


def clean(text: str, most: int = 120) -> str:
    """Make one line that is safe to print, whatever a file put into it.

    Characters that do not print (line breaks, controls, terminal sequences, direction overrides,
    lone surrogates) are written as escapes such as ``\\x1b``; a long text is cut.

    Parameters
    ----------
    text : str
        Anything.
    most : int
        Longest result before the text is cut. [characters]
    """
    head = "".join(
        c if c.isprintable() else c.encode("unicode_escape").decode("ascii")
        for c in text[: most + 1]
    )
    if len(text) <= most and len(head) <= most:
        return head
    return f"{head[:most]}... ({len(text)} characters)"


def quoted(text: str, most: int = 60) -> str:
    """A word from a file, safe to print and in quotes."""
    return f'"{clean(text, most)}"'


def listed(words: Iterable[str], most: int = 24) -> str:
    """Words in a row, a long row cut: "a, b, c and 9 more"."""
    row = [clean(word, 80) for word in words]
    if len(row) <= most:
        return ", ".join(row)
    return f"{', '.join(row[:most])} and {len(row) - most} more"


@dataclass(frozen=True)
class Trouble:
    """One thing wrong with an input file; each of its texts is one line that is safe to print.

    Parameters
    ----------
    what : str
        What is wrong, in one sentence without a full stop.
    file, line, field, value : optional
        Where it is and what was found there.
    accepted : str
        What would be accepted.
    hint : str
        What to do about it.
    """

    what: str
    file: str = ""
    line: int | None = None
    field: str = ""
    value: str | None = None
    accepted: str = ""
    hint: str = ""

    def __post_init__(self) -> None:
        for one in fields(self):
            text = getattr(self, one.name)
            if isinstance(text, str):
                object.__setattr__(self, one.name, clean(text, _MOST[one.name]))

    def __str__(self) -> str:
        place = self.file + (f":{self.line}" if self.line is not None else "")
        parts = [f"{place}: {self.what}" if place else self.what]
        if self.field:
            parts.append(f"  field:    {self.field}")
        if self.value is not None:
            # Blanks at an end, or nothing at all, would not be seen without quotes.
            bare = self.value and self.value == self.value.strip()
            parts.append(f"  value:    {self.value}" if bare else f'  value:    "{self.value}"')
        if self.accepted:
            parts.append(f"  accepted: {self.accepted}")
        if self.hint:
            parts.append(f"  hint:     {self.hint}")
        return "\n".join(parts)


def installing(extra: str) -> str:
    """How to get what an optional part needs; leastkit is set up from a copy of its folder."""
    return f"in your copy of leastkit: .venv/bin/pip install -e '.[{extra}]'"


class InputError(Exception):
    """The input cannot be used; carries one or more :class:`Trouble`."""

    def __init__(self, *troubles: Trouble) -> None:
        if not troubles:
            raise ValueError("an InputError needs at least one trouble")
        self.troubles = troubles
        super().__init__(*troubles)

    def __str__(self) -> str:
        parts = [str(trouble) for trouble in self.troubles[:MOST_SHOWN]]
        more = len(self.troubles) - MOST_SHOWN
        if more > 0:
            parts.append(f"and {more} more like these")
        return "\n".join(parts)


class Defect(Exception):  # noqa: N818 - the word of the house for a fault of the program itself
    """The program contradicted itself; nothing it found may be shown as an answer."""
