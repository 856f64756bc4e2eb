"""What the files of a price book say, with the place of every item, before anything is merged."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from optimizer.errors import Trouble
from optimizer.pricebook.schema import Book
from optimizer.reading import Source
from optimizer.reading.source import FieldPath, dotted


class Origin(NamedTuple):
    """Where something was written; in a table, a field is a column of the row."""

    source: Source
    path: FieldPath
    table: bool = False

    def trouble(
        self, what: str, *steps: str | int, value: str | None, accepted: str, hint: str
    ) -> Trouble:
        """A trouble at a field of what was written here."""
        path = (*self.path, *steps)
        field = dotted(path)
        return Trouble(
            what,
            file=self.source.name,
            line=self.source.line_of(path),
            field=column_of(field) if self.table else field,
            value=value,
            accepted=accepted,
            hint=hint,
        )


@dataclass(frozen=True)
class Written:
    """A book as its own files give it.

    Attributes
    ----------
    book : Book
        Validated, not yet merged with what it extends.
    origins : tuple of Origin
        One for each item, in the same order.
    source : Source
        Of the fields that are not items.
    digests : tuple of str
        SHA-256 of each file read.
    """

    book: Book
    origins: tuple[Origin, ...]
    source: Source
    digests: tuple[str, ...]


def column_of(field: str) -> str:
    """The column of a table that holds a field: "items[3].feeds[0].watts" is feeds.0.watts."""
    inner = re.sub(r"^items\[\d+\]\.?", "", field)
    return "column " + re.sub(r"\[(\d+)\]", r".\1", inner) if inner else ""
