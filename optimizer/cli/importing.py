"""A price book made from a table."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

from optimizer.cli.writing import Output
from optimizer.errors import InputError
from optimizer.pricebook import import_table, load_book, write_book_yaml


def import_book(table: str, kind: str | None, out: str, name: str, currency: str) -> int:
    """Write a price book with the items of a table, once it is known to be usable.

    Parameters
    ----------
    table : str
        A CSV or XLSX file.
    kind : str or None
        What its rows are, if the table does not say.
    out : str
        The price book to write; "-" for standard output.
    name, currency : str
        Of the book.

    Returns
    -------
    int
        Items written.

    Raises
    ------
    InputError
        If the table, or the book made of it, is refused, the table says that its prices are in
        another currency, or the file cannot be written.
    """
    with Output(out, keep=[table]) as output, tempfile.TemporaryDirectory() as folder:
        items = import_table(table, kind, currency)
        made = Path(folder) / "book.yaml"
        write_book_yaml(items, made, name=name, currency=currency)
        try:
            load_book(made)
        except InputError as error:
            # The lines are those of a file that nobody will see.
            raise InputError(
                *(replace(trouble, file=table, line=None) for trouble in error.troubles)
            ) from None
        output.write(made.read_text(encoding="utf-8"))
    return len(items)
