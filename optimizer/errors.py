"""Every error that a user can meet.

An :class:`InputError` says where the trouble is (file, line, field), what was found, what would
be accepted, and ends in a hint. A :class:`Defect` is a fault of this program, never of its input.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Trouble:
    """One thing wrong with an input file.

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

    def __str__(self) -> str:
        place = self.file + (f":{self.line}" if self.line is not None else "")
        parts = [f"{place}: {self.what}" if place else self.what]
        if self.field:
            parts.append(f"  field:    {self.field}")
        if self.value is not None:
            parts.append(f"  value:    {_short(self.value)}")
        if self.accepted:
            parts.append(f"  accepted: {self.accepted}")
        if self.hint:
            parts.append(f"  hint:     {self.hint}")
        return "\n".join(parts)


def _short(text: str, most: int = 120) -> str:
    """Keep a hostile or huge value from flooding the terminal."""
    line = " ".join(text.split())
    clean = "".join(c if c.isprintable() else "?" for c in line)
    return clean if len(clean) <= most else clean[: most - 3] + "..."


class InputError(Exception):
    """The input cannot be used; carries one or more :class:`Trouble`."""

    def __init__(self, *troubles: Trouble) -> None:
        if not troubles:
            raise ValueError("an InputError needs at least one trouble")
        self.troubles = troubles
        super().__init__("\n".join(str(t) for t in troubles))


class Defect(Exception):
    """The program contradicted itself; nothing it found may be shown as an answer."""
