"""Hints that name what was probably meant."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable

from optimizer.errors import quoted

SEE_SCHEMA = "see `leastkit schema` for the fields and values that are known"


def suggest(word: str, known: Iterable[str], otherwise: str = SEE_SCHEMA) -> str:
    """A hint naming the known word that is closest to what was written.

    Parameters
    ----------
    word : str
        What was written.
    known : iterable of str
        What would be understood.
    otherwise : str
        The hint where nothing is close.
    """
    close = closest(word, known)
    if close is None:
        return otherwise
    odd = odd_character(word) if close.isascii() else ""
    return f"did you mean {quoted(close)}?{f' {odd}' if odd else ''}"


def closest(word: str, known: Iterable[str]) -> str | None:
    """The known word that is closest to what was written, if one is close at all."""
    plain = {one.casefold().replace("-", "_"): one for one in known}
    # A long text is no slip of the pen, and comparing it would take long.
    written = word[:100].casefold().strip().replace("-", "_").replace(" ", "_")
    close = difflib.get_close_matches(written, plain, n=1, cutoff=0.6)
    return plain[close[0]] if close else None


def odd_character(text: str) -> str:
    """A sentence on the first character outside ASCII, which may look like one inside it."""
    for place, character in enumerate(text[:1000], start=1):
        if not character.isascii():
            name = unicodedata.name(character, "without a name")
            return f"(character {place} is U+{ord(character):04X}, {name})"
    return ""
