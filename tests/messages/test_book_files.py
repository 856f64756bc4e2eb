"""What is said of files and folders that are no price book at all."""

from __future__ import annotations

import zipfile
from pathlib import Path

import openpyxl
import pytest

from optimizer.errors import InputError
from optimizer.pricebook import load_book
from optimizer.pricebook.cells import MOST_UNPACKED
from tests.messages.refusals import assert_refused

COLUMNS = "id,name,price,capacity,currency\n"


def said(path: str) -> str:
    with pytest.raises(InputError) as caught:
        load_book(path)
    return str(caught.value)


def test_a_picture() -> None:
    assert_refused(
        load_book,
        "book.yaml",
        b"\x89PNG\r\n\x1a\n\xff",
        """
        book.yaml:1: the price book is not text in UTF-8: byte 1 does not fit
          accepted: a YAML file in UTF-8
          hint:     spreadsheets and pictures cannot be read here; save text as UTF-8
        """,
    )


@pytest.mark.parametrize(
    ("name", "what"), [("book.yaml", "price book"), ("drive.csv", "table"), ("b.xlsx", "table")]
)
def test_ten_megabytes(name: str, what: str) -> None:
    assert_refused(
        load_book,
        name,
        b"a" * 10_000_000,
        f"""
        {name}: the {what} is larger than 5 MB
          accepted: a file of at most 5 MB
          hint:     this is probably not the file you meant
        """,
    )


def test_a_list() -> None:
    assert_refused(
        load_book,
        "book.yaml",
        "- a\n",
        """
        book.yaml:1: the price book is not a mapping
          accepted: a YAML mapping: one 'name: value' line for each field
          hint:     `leastkit start` writes a commented example
        """,
    )


def test_a_site() -> None:
    assert_refused(
        load_book,
        "book.yaml",
        "leastkit: site/1\nname: x\n",
        """
        book.yaml:1: this file is a site, not a price book
          field:    leastkit
          value:    site/1
          accepted: book/1
          hint:     check the order of the files in the command
        """,
    )


def test_an_old_spreadsheet() -> None:
    assert_refused(
        load_book,
        "book.xls",
        b"\xd0\xcf\x11\xe0",
        """
        book.xls: this kind of spreadsheet cannot be read here
          accepted: YAML, .csv, .tsv, .xlsx, or a folder of tables
          hint:     save it as XLSX, or as CSV UTF-8
        """,
    )


def test_no_such_table() -> None:
    assert said("nowhere.csv") == (
        "nowhere.csv: the table cannot be read: there is no such file\n"
        "  accepted: a readable file\n"
        "  hint:     check the path, and the folder you are in"
    )


def test_something_called_a_workbook() -> None:
    assert_refused(
        load_book,
        "drive.xlsx",
        b"hello",
        """
        drive.xlsx: the workbook cannot be read: it is not a ZIP archive inside
          accepted: an XLSX workbook
          hint:     open it in a spreadsheet program and save it again, as XLSX or as CSV UTF-8
        """,
    )


def test_an_archive_that_is_no_workbook() -> None:
    with zipfile.ZipFile("drive.xlsx", "w") as archive:
        archive.writestr("notes.txt", "hello")
    lines = said("drive.xlsx").splitlines()
    assert lines[0].startswith("drive.xlsx: the workbook cannot be read: KeyError: ")
    assert lines[1:] == [
        "  accepted: an XLSX workbook",
        "  hint:     open it in a spreadsheet program and save it again, as XLSX or as CSV UTF-8",
    ]


def test_an_archive_that_unpacks_to_far_more_than_a_table() -> None:
    # 101,000,000 zeros pack to about 100 kB.
    assert MOST_UNPACKED == 100_000_000
    with zipfile.ZipFile("drive.xlsx", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b"\0" * 101_000_000)
    assert said("drive.xlsx") == (
        "drive.xlsx: the workbook cannot be read: it unpacks to 101 MB\n"
        "  accepted: an XLSX workbook\n"
        "  hint:     open it in a spreadsheet program and save it again, as XLSX or as CSV UTF-8"
    )


def test_a_folder_without_tables() -> None:
    Path("prices").mkdir()
    Path("prices/readme.txt").write_text("hello")
    assert said("prices") == (
        "prices: the folder holds no tables\n"
        "  accepted: CSV, TSV or XLSX files, named after kinds of items, such as camera.csv\n"
        "  hint:     check the path"
    )


def test_a_folder_with_a_yaml_book_only() -> None:
    Path("prices").mkdir()
    Path("prices/book.yaml").write_text("leastkit: book/1\n")
    assert said("prices") == (
        "prices: the folder holds no tables\n"
        "  accepted: CSV, TSV or XLSX files, named after kinds of items, such as camera.csv\n"
        "  hint:     give the path of a YAML book itself, not of its folder"
    )


def test_a_folder_with_two_heads() -> None:
    Path("prices").mkdir()
    for name in ("book.yaml", "book.yml"):
        Path("prices", name).write_text("leastkit: book/1\n")
    assert said("prices") == (
        "prices: the folder holds both book.yaml and book.yml\n"
        "  accepted: one of the two\n"
        "  hint:     remove the one that is out of date"
    )


def test_two_tables_with_the_same_id() -> None:
    Path("prices").mkdir()
    Path("prices/drive.csv").write_text(COLUMNS + "d,D,1,4 TB,EUR\n")
    Path("prices/others.csv").write_text("kind," + COLUMNS + "drive,d,D,1,4 TB,EUR\n")
    assert said("prices") == (
        'prices/others.csv:2: two items have the id "d"; the first is in prices/drive.csv:2\n'
        "  field:    column id\n"
        "  value:    d\n"
        "  accepted: an id of its own for each item\n"
        "  hint:     rename or remove one of the two"
    )


def test_a_head_in_another_currency_than_its_tables() -> None:
    Path("prices").mkdir()
    Path("prices/book.yaml").write_text("leastkit: book/1\nname: x\ncurrency: CHF\n")
    Path("prices/drive.csv").write_text(COLUMNS + "d,D,1,4 TB,EUR\n")
    assert said("prices") == (
        "prices/drive.csv:2: this is not the currency of the other prices\n"
        "  field:    column currency\n"
        "  value:    EUR\n"
        "  accepted: CHF\n"
        "  hint:     a price book is in one currency: convert the prices"
    )


def test_every_table_of_a_folder_is_looked_at() -> None:
    Path("prices").mkdir()
    Path("prices/drive.csv").write_text(COLUMNS + "d,D,-1,4 TB,EUR\n")
    Path("prices/extra.csv").write_text("id,name,price\ne,E,-1\n")
    assert [line for line in said("prices").splitlines() if line.startswith("prices")] == [
        "prices/drive.csv:2: an amount of money cannot be negative here",
        "prices/extra.csv:2: an amount of money cannot be negative here",
    ]


def test_a_workbook_without_any_cell() -> None:
    openpyxl.Workbook().save("drive.xlsx")
    assert said("drive.xlsx") == (
        "drive.xlsx: the table is empty\n"
        "  accepted: a row of column names, then a row for each item\n"
        "  hint:     the columns are the fields of the kind: `leastkit schema book` lists them"
    )
