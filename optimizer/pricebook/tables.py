"""Items from tables: a row for each item, a column for each field.

A field inside another is named with dots and places from 0: ``feeds.0.watts``, ``poe.ports``,
``reach.composite``. A list of words stands in one cell, with ``|`` between them. An empty cell
means that the field is not given. The extra column ``currency`` says what the prices are in.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from optimizer.errors import InputError, Trouble, listed, quoted
from optimizer.pricebook.cells import Sheet, read_sheets
from optimizer.pricebook.columns import KINDS, column_shape, columns_of
from optimizer.pricebook.schema import AnyItem, Book, Item
from optimizer.pricebook.written import Origin, Written, column_of
from optimizer.reading import Source, read_source, validate
from optimizer.reading.fields import Base
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath

TABLES = (".csv", ".tsv", ".xlsx")
_HEADS = ("book.yaml", "book.yml")


class _Rows(Base):
    items: tuple[AnyItem, ...]


@dataclass(frozen=True)
class Table:
    """Rows of one sheet as nested text, not yet validated.

    Attributes
    ----------
    sheet : Sheet
        What was read.
    source : Source
        Its data is a mapping with the one field ``items``.
    currencies : tuple
        Row number and text of each filled cell of the column ``currency``.
    """

    sheet: Sheet
    source: Source
    currencies: tuple[tuple[int, str], ...]


def read_tables(path: Path) -> Written:
    """Read a price book from one table, or from a folder of tables.

    Parameters
    ----------
    path : Path
        A CSV or XLSX file, or a folder of them. A file or sheet named after a kind holds that
        kind; any other needs a column ``kind``. A folder may hold a ``book.yaml`` too, with the
        name, the currency, offers, ``extends`` and ``remove``; its items come first.

    Returns
    -------
    Written
        The items of the tables, kind by kind in the order of the schema.

    Raises
    ------
    InputError
        With one trouble for each thing wrong.
    """
    head, files = _files(path)
    tables = [table for file in files for table in _tables(file, None)]
    tables.sort(key=_rank)
    items, origins = _items(tables)
    digests = tuple(dict.fromkeys(table.sheet.sha256 for table in tables))
    if head is None:
        if not items:
            raise InputError(
                Trouble(
                    "the price book has no items",
                    file=str(path),
                    accepted="at least one row below the column names",
                    hint="fill in a row for each item",
                )
            )
        currency = _currency(tables, None, path)
        book = Book(leastkit="book/1", name=path.stem, currency=currency, items=items)
        return Written(book, origins, tables[0].source, digests)
    source = read_source(head, "price book")
    book = validate(Book, source)
    _currency(tables, book.currency, path)
    own = tuple(Origin(source, ("items", i)) for i in range(len(book.items)))
    book = book.model_copy(update={"items": (*book.items, *items)})
    return Written(book, (*own, *origins), source, (source.sha256, *digests))


def read_rows(path: Path, kind: str | None, currency: str | None) -> list[dict[str, Any]]:
    """Items of one file as nested text, checked against the schema and against a currency.

    Raises
    ------
    InputError
        With one trouble for each thing wrong.
    """
    tables = _tables(path, kind)
    _items(tables)
    if currency is not None:
        _currency(tables, currency, path, "that the price book is to have")
    return [row for table in tables for row in table.source.data["items"]]


def known_kind(kind: str, **place: Any) -> type[Item]:
    """The model of a kind; an InputError at a place if there is no such kind."""
    if kind not in KINDS:
        raise InputError(_unknown_kind(kind, **place))
    return KINDS[kind]


def _unknown_kind(kind: str, **place: Any) -> Trouble:
    return Trouble(
        f"there is no kind of item called {quoted(kind)}",
        **place,
        accepted=", ".join(KINDS),
        hint=suggest(kind, KINDS),
    )


def _files(path: Path) -> tuple[Path | None, list[Path]]:
    if not path.is_dir():
        return None, [path]
    found = sorted(p for p in path.iterdir() if not p.name.startswith((".", "~$")))
    files = [p for p in found if p.suffix.lower() in TABLES]
    heads = [p for p in found if p.name in _HEADS]
    if len(heads) > 1:
        raise InputError(
            Trouble(
                "the folder holds both book.yaml and book.yml",
                file=str(path),
                accepted="one of the two",
                hint="remove the one that is out of date",
            )
        )
    if not files:
        raise InputError(
            Trouble(
                "the folder holds no tables",
                file=str(path),
                accepted="CSV, TSV or XLSX files, named after kinds of items, such as camera.csv",
                hint="give the path of a YAML book itself, not of its folder"
                if heads
                else "check the path",
            )
        )
    return (heads[0] if heads else None), files


def _rank(table: Table) -> int:
    kinds = [row["kind"] for row in table.source.data["items"]]
    return list(KINDS).index(kinds[0]) if kinds else 0


def _tables(path: Path, kind: str | None) -> list[Table]:
    if kind is not None:
        known_kind(kind)
    sheets = read_sheets(path)
    tables: list[Table] = []
    troubles: list[Trouble] = []
    for sheet in sheets:
        title = path.stem if len(sheets) == 1 and sheet.title not in KINDS else sheet.title
        given = title if title in KINDS else None
        try:
            tables.append(_table(sheet, kind or given, title))
        except InputError as error:
            troubles += error.troubles
    if troubles:
        raise InputError(*troubles)
    return tables


def _table(sheet: Sheet, kind: str | None, title: str) -> Table:
    if kind is None and "kind" not in sheet.headings:
        raise InputError(
            Trouble(
                "nothing says what kind of item these rows are",
                file=sheet.name,
                line=sheet.heading_line,
                accepted=f"a column kind, or a file or sheet named {', '.join(KINDS)}",
                hint=suggest(title, KINDS, "add a column kind, or rename the file or sheet"),
            )
        )
    troubles: list[Trouble] = []
    items: list[dict[str, Any]] = []
    currencies: list[tuple[int, str]] = []
    lines: dict[FieldPath, int] = {(): sheet.heading_line, ("items",): sheet.heading_line}
    for line, row in sheet.rows:
        cells = dict(row)
        if "currency" in cells:
            currencies.append((line, cells.pop("currency")))
        said = cells.pop("kind", kind)
        if said not in KINDS or (kind is not None and said != kind):
            troubles.append(_bad_kind(said, kind, sheet, line))
            continue
        if kind is None:
            troubles += _foreign(cells, said, sheet, line)
        lines["items", len(items)] = line
        items.append({"kind": said, **_nested(cells, KINDS[said], sheet, line, troubles)})
    troubles += _unknown_columns(sheet, [KINDS[kind]] if kind else list(KINDS.values()))
    if troubles:
        raise InputError(*sorted(troubles, key=lambda t: t.line or 0))
    source = Source(sheet.name, {"items": items}, lines, sheet.sha256)
    return Table(sheet, source, tuple(currencies))


def _bad_kind(said: str | None, kind: str | None, sheet: Sheet, line: int) -> Trouble:
    place: dict[str, Any] = {"file": sheet.name, "line": line, "field": "column kind"}
    if said is None:
        return Trouble(
            "this row does not say what kind of item it is",
            **place,
            accepted=", ".join(KINDS),
            hint="fill the cell of the column kind in this row",
        )
    if said not in KINDS:
        return _unknown_kind(said, **place, value=said)
    return Trouble(
        f"this row says it is of kind {said}, but the table is of kind {kind}",
        **place,
        value=said,
        accepted=str(kind),
        hint="move the row to its own table, or give the table a name that is no kind",
    )


def _unknown_columns(sheet: Sheet, models: list[type[Item]]) -> Iterator[Trouble]:
    known = [*dict.fromkeys(name for model in models for name in columns_of(model)), "currency"]
    for heading in sheet.headings:
        if heading in ("kind", "currency"):
            continue
        if not any(column_shape(model, heading) for model in models):
            yield Trouble(
                f"{quoted(heading)} is not a column here",
                file=sheet.name,
                line=sheet.heading_line,
                field=f"column {heading}",
                accepted=listed(known),
                hint=suggest(heading, known),
            )


def _foreign(cells: dict[str, str], kind: str, sheet: Sheet, line: int) -> Iterator[Trouble]:
    """Cells of a mixed table in columns that other kinds have and this one has not."""
    model = KINDS[kind]
    for column, cell in cells.items():
        others = [name for name, other in KINDS.items() if column_shape(other, column)]
        if others and kind not in others:
            yield Trouble(
                f"an item of kind {kind} has no {column}",
                file=sheet.name,
                line=line,
                field=f"column {column}",
                value=cell,
                accepted=", ".join(columns_of(model)),
                hint=f"leave this cell empty, or put the kind right: {listed(others)}",
            )


def _nested(
    cells: dict[str, str], model: type[Item], sheet: Sheet, line: int, troubles: list[Trouble]
) -> dict[str, Any]:
    """Cells of one row as the mappings and lists that a YAML file would hold."""
    out: dict[str, Any] = {}
    for column, cell in cells.items():
        value: Any = cell
        if column_shape(model, column) == "list":
            value = [word.strip() for word in cell.split("|")]
        at = out
        *steps, last = column.split(".")
        for step in steps:
            at = at.setdefault(step, {})
            if not isinstance(at, dict):
                break
        else:
            at[last] = value
    return {key: _listed(value, key, sheet, line, troubles) for key, value in out.items()}


def _listed(value: Any, column: str, sheet: Sheet, line: int, troubles: list[Trouble]) -> Any:
    """Mappings whose keys are places turned into lists."""
    if not isinstance(value, dict):
        return value
    inner = {k: _listed(v, f"{column}.{k}", sheet, line, troubles) for k, v in value.items()}
    if not all(re.fullmatch("[0-9]{1,4}", key) for key in inner):
        return inner
    ordered = sorted(inner, key=int)
    for place, key in enumerate(ordered):
        if int(key) != place:
            troubles.append(
                Trouble(
                    f"{column}.{key} is given but {column}.{place} is empty",
                    file=sheet.name,
                    line=line,
                    field=f"column {column}.{key}",
                    accepted="entries without a gap, from 0",
                    hint=f"move its cells to the columns of {column}.{place}",
                )
            )
            break
    return [inner[key] for key in ordered]


def _items(tables: list[Table]) -> tuple[tuple[AnyItem, ...], tuple[Origin, ...]]:
    items: list[AnyItem] = []
    origins: list[Origin] = []
    troubles: list[Trouble] = []
    for table in tables:
        try:
            rows = validate(_Rows, table.source).items
        except InputError as error:
            troubles += [_in_words_of_tables(t, table.sheet) for t in error.troubles]
            continue
        items += rows
        origins += [Origin(table.source, ("items", i), table=True) for i in range(len(rows))]
    if troubles:
        raise InputError(*troubles)
    return tuple(items), tuple(origins)


def _in_words_of_tables(trouble: Trouble, sheet: Sheet) -> Trouble:
    column = column_of(trouble.field).removeprefix("column ")
    whole = column.rpartition(".")[0]
    if column not in sheet.headings and whole in sheet.headings:
        column = whole
    hint, takes = trouble.hint, trouble.accepted
    if hint.startswith("add a line"):
        hint = f"add a column {column}, or fill its cell in this row"
    if takes.startswith("a list"):
        takes = "one or more words with | between them"
    return replace(trouble, field=f"column {column}" if column else "", accepted=takes, hint=hint)


def _currency(
    tables: list[Table], stated: str | None, path: Path, which: str = "of the other prices"
) -> str:
    troubles = []
    for table in tables:
        for line, text in table.currencies:
            if re.fullmatch("[A-Z]{3}", text) and text == (stated or text):
                stated = text
                continue
            troubles.append(
                Trouble(
                    f"this is not the currency {which}"
                    if re.fullmatch("[A-Z]{3}", text)
                    else "this is not a currency code",
                    file=table.sheet.name,
                    line=line,
                    field="column currency",
                    value=text,
                    accepted=stated or "a code of three capitals, such as EUR",
                    hint="a price book is in one currency: convert the prices"
                    if stated
                    else "use the code of ISO 4217",
                )
            )
    if not troubles and stated is None:
        troubles.append(
            Trouble(
                "nothing says which currency the prices are in",
                file=str(path),
                field="column currency",
                accepted="a code of three capitals, such as EUR, in at least one row",
                hint="add a column currency and fill it in the first row",
            )
        )
    if troubles:
        raise InputError(*troubles)
    return str(stated)


__all__ = ["TABLES", "known_kind", "read_rows", "read_tables"]
