"""Tables as plain text cells: CSV files, and sheets of XLSX workbooks.

Only the values are taken: no formula is evaluated, no macro is looked at, and money never passes
through binary floating point beyond what the workbook itself stores.
"""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import zip_longest
from pathlib import Path
from typing import Any

from optimizer.errors import InputError, Trouble, quoted
from optimizer.reading.files import read_bytes

MOST_ROWS = 20_000
MOST_COLUMNS = 256
MOST_UNPACKED = 100_000_000
# Controls, and what hides or turns round the text around it; no name of an item needs them.
_CONTROLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ufeff]")
DELIMITERS = (",", ";", "\t")


@dataclass(frozen=True)
class Sheet:
    """One table.

    Attributes
    ----------
    name : str
        File, and sheet where the file is a workbook, for messages.
    title : str
        Stem of the file name, or name of the sheet.
    headings : tuple of str
        Column names.
    heading_line : int
        Row of the headings.
    rows : tuple
        Row number and cells by column name, empty cells and empty rows left out.
    sha256 : str
        Of the whole file.
    """

    name: str
    title: str
    headings: tuple[str, ...]
    heading_line: int
    rows: tuple[tuple[int, dict[str, str]], ...]
    sha256: str


def read_sheets(path: Path) -> list[Sheet]:
    """Read a CSV or TSV file, or every sheet of an XLSX workbook that holds anything.

    Raises
    ------
    InputError
        If it cannot be read, or a cell holds what no price book takes.
    """
    raw = read_bytes(path, "table")
    digest = hashlib.sha256(raw).hexdigest()
    if path.suffix.lower() != ".xlsx":
        rows = _csv_rows(raw, str(path))
        sheets = [_sheet(rows, str(path), path.stem, digest)]
    else:
        sheets = [
            _sheet(rows, f"{path} (sheet {title})", title, digest)
            for title, rows in _workbook_rows(raw, str(path))
        ]
    found = [sheet for sheet in sheets if sheet is not None]
    if not found:
        raise InputError(
            Trouble(
                "the table is empty",
                file=str(path),
                accepted="a row of column names, then a row for each item",
                hint="the columns are the fields of the kind: `leastkit schema book` lists them",
            )
        )
    return found


_Rows = Iterable[tuple[int, list[str]]]


def _sheet(rows: _Rows, name: str, title: str, digest: str) -> Sheet | None:
    """Put the cells under their headings; None if there are no cells at all."""
    filled = ((line, cells) for line, cells in rows if any(cells))
    heading_line, headings = next(filled, (0, []))
    if not heading_line:
        return None
    troubles = [
        Trouble(
            f"two columns are called {quoted(heading)}",
            file=name,
            line=heading_line,
            field=f"column {heading}",
            accepted="each column once",
            hint="rename or remove one of the two",
        )
        for index, heading in enumerate(headings)
        if heading and heading in headings[:index]
    ]
    out = []
    for line, cells in filled:
        row = {}
        for heading, cell in zip_longest(headings, cells, fillvalue=""):
            if cell and not heading:
                troubles.append(
                    Trouble(
                        "this cell stands under no column name",
                        file=name,
                        line=line,
                        value=cell,
                        accepted="as many cells as the first row has names",
                        hint="look for a separator too many, or name the column",
                    )
                )
            elif bad := _CONTROLS.search(cell):
                troubles.append(
                    Trouble(
                        f"this cell holds the control character U+{ord(bad.group()):04X}",
                        file=name,
                        line=line,
                        field=f"column {heading}",
                        value=cell,
                        accepted="plain text",
                        hint="type the cell anew",
                    )
                )
            elif cell:
                row[heading] = cell
        out.append((line, row))
    if troubles:
        raise InputError(*troubles)
    return Sheet(name, title, tuple(h for h in headings if h), heading_line, tuple(out), digest)


def _csv_rows(raw: bytes, name: str) -> Iterator[tuple[int, list[str]]]:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            Trouble(
                f"the table is not text: byte {error.start} is not UTF-8",
                file=name,
                accepted="a CSV file in UTF-8",
                hint="save it as CSV UTF-8, or as an XLSX workbook",
            )
        ) from None
    first = next((line for line in text.splitlines() if line.strip()), "")
    # The heading row holds field names only, so the separator is the one it is full of.
    delimiter = max(DELIMITERS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            texts = [cell.strip() for cell in cells]
            _bounded(texts, name, line)
            yield line, texts
            line = reader.line_num + 1
    except csv.Error as error:
        raise InputError(
            Trouble(
                f"the table is not well-formed CSV: {error}",
                file=name,
                line=line,
                accepted="cells separated by commas, semicolons or tabs; quotes in pairs",
                hint="look for a quote that is not closed in this row",
            )
        ) from None


def _bounded(cells: list[str], name: str, line: int) -> None:
    if line > MOST_ROWS:
        raise InputError(
            Trouble(
                f"the table goes on below row {MOST_ROWS}",
                file=name,
                line=line,
                accepted=f"at most {MOST_ROWS} rows",
                hint="delete everything below the last item",
            )
        )
    if any(cells[MOST_COLUMNS:]):
        raise InputError(
            Trouble(
                f"the table goes on beyond column {MOST_COLUMNS}",
                file=name,
                line=line,
                accepted=f"at most {MOST_COLUMNS} columns",
                hint="delete everything to the right of the last column name",
            )
        )


def _workbook_rows(raw: bytes, name: str) -> list[tuple[str, _Rows]]:
    """Rows of each sheet; the workbook is unpacked whole, so it must be of reasonable size."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as parts:
            size = sum(part.file_size for part in parts.infolist())
    except zipfile.BadZipFile:
        raise _unreadable(name, "it is not a ZIP archive inside") from None
    if size > MOST_UNPACKED:
        raise _unreadable(name, f"it unpacks to {size // 1_000_000} MB")
    # Imported here because it takes 0.2 s and most price books are YAML.
    import openpyxl

    try:
        values = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
        written = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=False)
        return [
            (sheet.title, list(_sheet_rows(sheet, written[sheet.title], name)))
            for sheet in values.worksheets
        ]
    except InputError:
        raise
    except Exception as error:
        # A damaged workbook fails anywhere inside the reader, with any error; to the user it is
        # always the same thing: this file cannot be read.
        raise _unreadable(name, f"{type(error).__name__}: {error}") from None


def _unreadable(name: str, why: str) -> InputError:
    return InputError(
        Trouble(
            f"the workbook cannot be read: {why}",
            file=name,
            accepted="an XLSX workbook",
            hint="open it in a spreadsheet program and save it again, as XLSX or as CSV UTF-8",
        )
    )


def _sheet_rows(values: Any, written: Any, name: str) -> Iterator[tuple[int, list[str]]]:
    place = f"{name} (sheet {values.title})"
    for sheet in (values, written):
        # What a sheet says of its own size may be wrong, and rows would be left out.
        sheet.reset_dimensions()
    # One column more than allowed shows whether there is one. Without a limit, one stray cell far
    # to the right would make every row thousands of cells wide.
    wide = MOST_COLUMNS + 1
    both = zip(values.iter_rows(max_col=wide), written.iter_rows(max_col=wide), strict=True)
    for line, (shown, typed) in enumerate(both, start=1):
        texts = [_text(*cells, place, line) for cells in zip(shown, typed, strict=True)]
        _bounded(texts, place, line)
        yield line, texts


def _text(cell: Any, typed: Any, place: str, line: int) -> str:
    """A cell as somebody would have typed it into a text file."""
    value = cell.value
    if value is None and typed.data_type != "f":
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        # The shortest decimal that denotes this float is what was typed: 19.9 is stored as
        # 19.89999999999999857891452848, and that is nobody's price.
        text = format(Decimal(repr(value)), "f")
        return text.removesuffix(".0")
    if isinstance(value, str) and cell.data_type != "e":
        return value.strip()
    if isinstance(value, datetime.date | datetime.time | datetime.timedelta):
        what, hint = "this cell holds a date or time", "format the cell as text and type it again"
    elif value is None:
        what = "this cell holds a formula that was never calculated"
        hint = "open the workbook in a spreadsheet program and save it, or paste the values"
    else:
        what, hint = "this cell holds an error value", "put the formula right, or type the value"
    raise InputError(
        Trouble(
            what,
            file=place,
            line=line,
            field=f"cell {cell.coordinate}",
            value=None if value is None else str(value),
            accepted="text, a number, true or false",
            hint=hint,
        )
    )


__all__ = ["MOST_COLUMNS", "MOST_ROWS", "Sheet", "read_sheets"]
