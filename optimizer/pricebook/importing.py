"""Price books in and out of tables, and out into YAML."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml
from yaml.emitter import Emitter
from yaml.resolver import BaseResolver
from yaml.serializer import Serializer

from optimizer.pricebook.columns import columns_of
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Item
from optimizer.pricebook.tables import known_kind, read_rows

_NULLS = ("", "~", "null", "Null", "NULL")
_STR = "tag:yaml.org,2002:str"


def import_table(
    path: str | Path, kind: str | None = None, currency: str | None = None
) -> list[dict[str, Any]]:
    """Read items from a table.

    Parameters
    ----------
    path : path
        A CSV or XLSX file; see :mod:`optimizer.pricebook.tables` for its columns.
    kind : str, optional
        What the rows are, whatever the file is called.
    currency : str, optional
        What the prices are meant to be in; every filled cell of the column ``currency`` must
        then say the same.

    Returns
    -------
    list of dict
        Items as a YAML book would hold them: nested, every value as text. They are valid one by
        one; what needs more than one item is checked by :func:`load_book`. The column
        ``currency`` is left out.

    Raises
    ------
    InputError
        With one trouble for each thing wrong: file, row, column, value, what is accepted, hint.
    """
    return read_rows(Path(path), kind, currency)


def export_table(kind: str, loaded: LoadedBook) -> list[dict[str, str]]:
    """Write the items of a kind as rows of a table; the reverse of :func:`import_table`.

    Parameters
    ----------
    kind : str
        A kind of item.
    loaded : LoadedBook
        The book.

    Returns
    -------
    list of dict
        A row for each item in catalogue order, all with the same columns; "" is an empty cell.

    Raises
    ------
    InputError
        If there is no such kind.
    """
    model = known_kind(kind)
    rows = [_flat(item_text(item)) for item in loaded.by_kind(model)]
    tops = [name.partition(".")[0] for name in columns_of(model)]
    used = dict.fromkeys(column for row in rows for column in row)
    columns = sorted(
        (c for c in used if c != "kind"), key=lambda c: tops.index(c.partition(".")[0])
    )
    return [
        {
            "kind": kind,
            "currency": loaded.book.currency,
            **{column: row.get(column, "") for column in columns},
        }
        for row in rows
    ]


def item_text(item: Item) -> dict[str, Any]:
    """The fields of an item that differ from their default, as nested text with units."""
    return {
        name: _text(value)
        for name, value in item.model_dump(mode="json", exclude_defaults=True).items()
    }


def _text(value: Any) -> Any:
    if isinstance(value, list):
        return [_text(one) for one in value]
    if isinstance(value, dict):
        return {key: _text(one) for key, one in value.items()}
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)


def _flat(data: dict[str, Any], before: str = "") -> dict[str, str]:
    out: dict[str, str] = {}
    for key, value in data.items():
        name = f"{before}{key}"
        if isinstance(value, list) and any(isinstance(one, dict) for one in value):
            value = {str(place): one for place, one in enumerate(value)}
        if isinstance(value, dict):
            out.update(_flat(value, f"{name}."))
        else:
            out[name] = "|".join(value) if isinstance(value, list) else value
    return out


def write_book_yaml(
    items: list[dict[str, Any]], path: str | Path, *, name: str, currency: str, note: str = ""
) -> None:
    """Write a price book file.

    Parameters
    ----------
    items : list of dict
        From :func:`import_table`, or :func:`item_text` of each item.
    path : path
        The file; one that is there is replaced.
    name, currency, note : str
        Of the book.

    Raises
    ------
    OSError
        If the file cannot be written.
    """
    book: dict[str, Any] = {"leastkit": "book/1", "name": name, "currency": currency}
    if note:
        book["note"] = note
    book["items"] = items
    with Path(path).open("w", encoding="utf-8", newline="\n") as stream:
        yaml.serialize(_node(book, 0), stream, Dumper=_Plain, allow_unicode=True, width=1000)


class _Plain(Emitter, Serializer, BaseResolver):
    """Writes every scalar as it is, quoted only where YAML's own signs make it necessary."""

    def __init__(self, stream: Any, **options: Any) -> None:
        layout = ("canonical", "indent", "width", "allow_unicode", "line_break")
        Emitter.__init__(self, stream, **{key: options.get(key) for key in layout})
        marks = ("encoding", "explicit_start", "explicit_end", "version", "tags")
        Serializer.__init__(self, **{key: options.get(key) for key in marks})
        BaseResolver.__init__(self)


_ITEM_DEPTH = 2


def _node(value: Any, depth: int) -> yaml.Node:
    if isinstance(value, dict):
        pairs = [(_node(key, depth), _node(one, depth + 1)) for key, one in value.items()]
        return yaml.MappingNode("tag:yaml.org,2002:map", pairs, flow_style=depth > _ITEM_DEPTH)
    if isinstance(value, list):
        words = not any(isinstance(one, dict) for one in value)
        return yaml.SequenceNode(
            "tag:yaml.org,2002:seq", [_node(one, depth + 1) for one in value], flow_style=words
        )
    # What the reader takes for "nothing" must be quoted to stay a word.
    return yaml.ScalarNode(_STR, value, style="'" if value in _NULLS else None)


__all__ = ["export_table", "import_table", "item_text", "write_book_yaml"]
