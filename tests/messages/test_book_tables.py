"""What is said of tables that cannot be used: file, row, column, value, accepted, hint."""

# ruff: noqa: E501 - messages stand here as they are printed

from __future__ import annotations

import datetime
from typing import Any

import openpyxl
import pytest

from optimizer.errors import InputError
from optimizer.pricebook import import_table, load_book
from tests.messages.refusals import assert_refused

COLUMNS = "id,name,price,capacity,currency\n"
ROW = "d,D,1,4 TB,EUR\n"
KINDS = (
    "camera, recorder, drive, optical_writer, microphone, lead, cable, connector, pigtail, "
    "coupler, splitter, tool, balun, supply, switch, injector, bracket, mains_lead, extra"
)
MONEY = "an amount from 0 to 999999999.99 with at most two decimals, such as 12.50"

# title: (file name, its text, the whole message)
CASES: dict[str, tuple[str, str | bytes, str]] = {
    "no currency": (
        "drive.csv",
        "id,name,price,capacity\nd,D,1,4 TB\n",
        """
        drive.csv: nothing says which currency the prices are in
          field:    column currency
          accepted: a code of three capitals, such as EUR, in at least one row
          hint:     add a column currency and fill it in the first row
        """,
    ),
    "two currencies and no code": (
        "drive.csv",
        f"{COLUMNS}{ROW}e,E,1,4 TB,USD\nf,F,1,4 TB,Euro\n",
        """
        drive.csv:3: this is not the currency of the other prices
          field:    column currency
          value:    USD
          accepted: EUR
          hint:     a price book is in one currency: convert the prices
        drive.csv:4: this is not a currency code
          field:    column currency
          value:    Euro
          accepted: EUR
          hint:     a price book is in one currency: convert the prices
        """,
    ),
    "no currency code": (
        "drive.csv",
        f"{COLUMNS}d,D,1,4 TB,Euro\n",
        """
        drive.csv:2: this is not a currency code
          field:    column currency
          value:    Euro
          accepted: a code of three capitals, such as EUR
          hint:     use the code of ISO 4217
        """,
    ),
    "prices": (
        "drive.csv",
        f"{COLUMNS}d,D,-3,4 TB,EUR\ne,E,,4 TB,EUR\nf,F,3 EUR,4 TB,EUR\n",
        f"""
        drive.csv:2: an amount of money cannot be negative here
          field:    column price
          value:    -3
          accepted: {MONEY}
          hint:     leave the sign out; a reduction is an offer of the price book
        drive.csv:3: "price" is missing
          field:    column price
          accepted: {MONEY}
          hint:     add a column price, or fill its cell in this row
        drive.csv:4: this is not an amount of money
          field:    column price
          value:    3 EUR
          accepted: {MONEY}
          hint:     write the number alone: the currency is stated once for the file
        """,
    ),
    "a decimal comma": (
        "drive.csv",
        "id;name;price;capacity;currency\nd;D;12,50;4 TB;EUR\n",
        f"""
        drive.csv:2: this is not an amount of money
          field:    column price
          value:    12,50
          accepted: {MONEY}
          hint:     use a decimal point and no separators, as in 1234.50
        """,
    ),
    "no unit": (
        "drive.csv",
        f"{COLUMNS}d,D,1,4,EUR\n",
        """
        drive.csv:2: the unit is missing
          field:    column capacity
          value:    4
          accepted: a storage in GB, TB, GiB or TiB, such as 4 TB, 3.6 TiB
          hint:     did you mean "4 GB"?
        """,
    ),
    "an unknown column": (
        "drive.csv",
        f"{COLUMNS.replace('capacity', 'capasity')}{ROW}",
        """
        drive.csv:1: "capasity" is not a column here
          field:    column capasity
          accepted: id, name, price, breaks.0.at_least, breaks.0.price, note, capacity, watts, currency
          hint:     did you mean "capacity"?
        """,
    ),
    "an unknown part of a column": (
        "lead.csv",
        "id,name,price,currency,carries,length,series,reach.hdcoax\nl,L,1,EUR,data,10 m,l,100 m\n",
        """
        lead.csv:1: "reach.hdcoax" is not a column here
          field:    column reach.hdcoax
          accepted: id, name, price, breaks.0.at_least, breaks.0.price, note, fire, outdoor, burial, gauge, fit, carries, length, series, joinable, coupler, reach.composite, reach.hd_coax, reach.network, currency
          hint:     did you mean "reach.hd_coax"?
        """,
    ),
    "a kind that is not in the name": (
        "drives.csv",
        COLUMNS + ROW,
        f"""
        drives.csv:1: nothing says what kind of item these rows are
          accepted: a column kind, or a file or sheet named {KINDS}
          hint:     did you mean "drive"?
        """,
    ),
    "no kind at all": (
        "prices.csv",
        COLUMNS + ROW,
        f"""
        prices.csv:1: nothing says what kind of item these rows are
          accepted: a column kind, or a file or sheet named {KINDS}
          hint:     add a column kind, or rename the file or sheet
        """,
    ),
    "kinds in a column": (
        "prices.csv",
        f"kind,{COLUMNS}drive,{ROW}drife,{ROW},{ROW}",
        f"""
        prices.csv:3: there is no kind of item called "drife"
          field:    column kind
          value:    drife
          accepted: {KINDS}
          hint:     did you mean "drive"?
        prices.csv:4: this row does not say what kind of item it is
          field:    column kind
          accepted: {KINDS}
          hint:     fill the cell of the column kind in this row
        """,
    ),
    "a kind against the name": (
        "drive.csv",
        f"kind,{COLUMNS}tool,{ROW}",
        """
        drive.csv:2: this row says it is of kind tool, but the table is of kind drive
          field:    column kind
          value:    tool
          accepted: drive
          hint:     move the row to its own table, or give the table a name that is no kind
        """,
    ),
    "a field of another kind": (
        "prices.csv",
        f"kind,{COLUMNS}drive,{ROW}tool,t,T,1,4 TB,EUR\n",
        """
        prices.csv:3: an item of kind tool has no capacity
          field:    column capacity
          value:    4 TB
          accepted: id, name, price, breaks.0.at_least, breaks.0.price, note, types
          hint:     leave this cell empty, or put the kind right: drive
        """,
    ),
    "a list that is missing": (
        "tool.csv",
        "id,name,price,currency\nt,T,1,EUR\n",
        """
        tool.csv:2: "types" is missing
          field:    column types
          accepted: one or more words with | between them
          hint:     add a column types, or fill its cell in this row
        """,
    ),
    # The kinds have 91 columns between them, counted by hand in the schema, and currency is one
    # more: 24 are shown.
    "a column that no kind has": (
        "prices.csv",
        "kind,id,name,price,currency,tipes\ntool,t,T,1,EUR,solder\n",
        """
        prices.csv:1: "tipes" is not a column here
          field:    column tipes
          accepted: id, name, price, breaks.0.at_least, breaks.0.price, note, family, picture, frame_rate, sensor_width, sensor_height, focal, steerable, discreet, outdoors, ingress, impact, temperature, infrared, lux_colour, lux_mono, feeds.0.feed, feeds.0.watts, feeds.0.volts and 68 more
          hint:     did you mean "types"?
        """,
    ),
    "a column twice": (
        "drive.csv",
        "id,name,id,price\na,b,c,1\n",
        """
        drive.csv:1: two columns are called "id"
          field:    column id
          accepted: each column once
          hint:     rename or remove one of the two
        """,
    ),
    "a cell too many": (
        "drive.csv",
        f"{COLUMNS}d,D,1,4 TB,EUR,more\n",
        """
        drive.csv:2: this cell stands under no column name
          value:    more
          accepted: as many cells as the first row has names
          hint:     look for a separator too many, or name the column
        """,
    ),
    "nothing": (
        "drive.csv",
        "\n\n",
        """
        drive.csv: the table is empty
          accepted: a row of column names, then a row for each item
          hint:     the columns are the fields of the kind: `leastkit schema book` lists them
        """,
    ),
    "column names only": (
        "drive.csv",
        COLUMNS,
        """
        drive.csv: the price book has no items
          accepted: at least one row below the column names
          hint:     fill in a row for each item
        """,
    ),
    "an open quote": (
        "drive.csv",
        f'{COLUMNS}{ROW}e,"E,1,4 TB,EUR\n',
        """
        drive.csv:3: the table is not well-formed CSV: unexpected end of data
          accepted: cells separated by commas, semicolons or tabs; quotes in pairs
          hint:     look for a quote that is not closed in this row
        """,
    ),
    "another character set": (
        "drive.csv",
        # The heading row has 32 bytes, "d,Gr" 4 more: byte 36, counted from 0, is the umlaut.
        COLUMNS.encode() + b"d,Gr\xfcn,1,4 TB,EUR\n",
        """
        drive.csv: the table is not text: byte 36 is not UTF-8
          accepted: a CSV file in UTF-8
          hint:     save it as CSV UTF-8, or as an XLSX workbook
        """,
    ),
    "a control character": (
        "drive.csv",
        f"{COLUMNS}d,D\x1b[2J,1,4 TB,EUR\n",
        r"""
        drive.csv:2: this cell holds the control character U+001B
          field:    column name
          value:    D\x1b[2J
          accepted: plain text
          hint:     type the cell anew
        """,
    ),
    "a gap in a list": (
        "extra.csv",
        "id,name,price,breaks.1.at_least,breaks.1.price,currency\nx,X,2,4,1,EUR\n",
        """
        extra.csv:2: breaks.1 is given but breaks.0 is empty
          field:    column breaks.1
          accepted: entries without a gap, from 0
          hint:     move its cells to the columns of breaks.0
        """,
    ),
    "a word of a list": (
        "lead.csv",
        "id,name,price,currency,carries,length,series,gauge,fit\n"
        "l,L,1,EUR,video|powr,10 m,l,20 AWG,rg59\n",
        """
        lead.csv:2: this is not one of the choices
          field:    column carries
          value:    powr
          accepted: video, power, audio, data
          hint:     did you mean "power"?
        """,
    ),
    "a part that is missing": (
        "recorder.csv",
        "id,name,price,currency,inputs.0.families,inputs.0.count,codecs,bays,largest_drive\n"
        "r,R,1,EUR,network,4,H.264,1,4 TB\n",
        """
        recorder.csv:2: "picture" is missing
          field:    column inputs.0.picture
          accepted: WIDTHxHEIGHT in pixels
          hint:     add a column inputs.0.picture, or fill its cell in this row
        """,
    ),
    "an id twice": (
        "drive.csv",
        COLUMNS + ROW + "\n" + ROW,
        """
        drive.csv:4: two items have the id "d"; the first is in drive.csv:2
          field:    column id
          value:    d
          accepted: an id of its own for each item
          hint:     rename or remove one of the two
        """,
    ),
    "boxes that differ": (
        "cable.csv",
        "id,name,price,currency,medium,construction,box,fit\n"
        "a,A,1,EUR,coax,c,100 m,rg59\nb,B,1,EUR,coax,c,200 m,rg6\n",
        """
        cable.csv:3: "b" and "a" share the construction "c" but differ in fit
          field:    column fit
          value:    rg6
          accepted: rg59, as in a
          hint:     give one of the two another construction, or put fit right
        """,
    ),
    "too many rows": (
        "drive.csv",
        COLUMNS + "\n" * 19_999 + ROW,
        """
        drive.csv:20001: the table goes on below row 20000
          accepted: at most 20000 rows
          hint:     delete everything below the last item
        """,
    ),
    "too many columns": (
        "drive.csv",
        COLUMNS + "," * 256 + "x\n",
        """
        drive.csv:2: the table goes on beyond column 256
          accepted: at most 256 columns
          hint:     delete everything to the right of the last column name
        """,
    ),
}


@pytest.mark.parametrize("title", CASES)
def test_refused(title: str) -> None:
    name, text, expected = CASES[title]
    assert_refused(load_book, name, text, expected)


def test_an_unknown_kind_asked_for() -> None:
    with pytest.raises(InputError) as caught:
        import_table("drive.csv", "drives")
    assert str(caught.value) == (
        'there is no kind of item called "drives"\n'
        f"  accepted: {KINDS}\n"
        '  hint:     did you mean "drive"?'
    )


def workbook(*cells: Any) -> str:
    """What is said of a sheet of drives whose second row is this."""
    book = openpyxl.Workbook()
    book.active.title = "drive"
    book.active.append(COLUMNS.strip().split(","))
    book.active.append(cells)
    book.save("prices.xlsx")
    with pytest.raises(InputError) as caught:
        load_book("prices.xlsx")
    return str(caught.value)


def test_a_date_in_a_workbook() -> None:
    assert workbook("d", "D", datetime.date(2024, 4, 8), "4 TB", "EUR") == (
        "prices.xlsx (sheet drive):2: this cell holds a date or time\n"
        "  field:    cell C2\n"
        "  value:    2024-04-08 00:00:00\n"
        "  accepted: text, a number, true or false\n"
        "  hint:     format the cell as text and type it again"
    )


def test_a_formula_that_was_never_calculated() -> None:
    assert workbook("d", "D", "=2*3", "4 TB", "EUR") == (
        "prices.xlsx (sheet drive):2: this cell holds a formula that was never calculated\n"
        "  field:    cell C2\n"
        "  accepted: text, a number, true or false\n"
        "  hint:     open the workbook in a spreadsheet program and save it, or paste the values"
    )


def test_an_error_value() -> None:
    assert workbook("d", "D", "#DIV/0!", "4 TB", "EUR") == (
        "prices.xlsx (sheet drive):2: this cell holds an error value\n"
        "  field:    cell C2\n"
        "  value:    #DIV/0!\n"
        "  accepted: text, a number, true or false\n"
        "  hint:     put the formula right, or type the value"
    )


def test_a_negative_price_in_a_workbook() -> None:
    assert workbook("d", "D", -19.9, "4 TB", "EUR") == (
        "prices.xlsx (sheet drive):2: an amount of money cannot be negative here\n"
        "  field:    column price\n"
        "  value:    -19.9\n"
        f"  accepted: {MONEY}\n"
        "  hint:     leave the sign out; a reduction is an offer of the price book"
    )


def test_a_price_that_a_formula_left_unrounded() -> None:
    # A third of 8.5, as a spreadsheet keeps it.
    assert workbook("d", "D", 8.5 / 3, "4 TB", "EUR") == (
        "prices.xlsx (sheet drive):2: this amount has more than two decimals\n"
        "  field:    column price\n"
        "  value:    2.833333333333333\n"
        f"  accepted: {MONEY}\n"
        "  hint:     round it, or price a pack of several pieces"
    )


def test_a_sheet_that_says_no_kind() -> None:
    book = openpyxl.Workbook()
    book.active.title = "drive"
    book.active.append(COLUMNS.strip().split(","))
    book.active.append(ROW.strip().split(","))
    other = book.create_sheet("camerra")
    other.append(["id", "name"])
    book.save("prices.xlsx")
    with pytest.raises(InputError) as caught:
        load_book("prices.xlsx")
    assert str(caught.value) == (
        "prices.xlsx (sheet camerra):1: nothing says what kind of item these rows are\n"
        f"  accepted: a column kind, or a file or sheet named {KINDS}\n"
        '  hint:     did you mean "camera"?'
    )


def test_a_stray_cell_far_below_a_sheet() -> None:
    book = openpyxl.Workbook()
    book.active.title = "drive"
    book.active.append(COLUMNS.strip().split(","))
    book.active.append(ROW.strip().split(","))
    book.active.cell(row=1_000_000, column=1, value="x")
    book.save("prices.xlsx")
    with pytest.raises(InputError) as caught:
        load_book("prices.xlsx")
    assert str(caught.value) == (
        "prices.xlsx (sheet drive):20001: the table goes on below row 20000\n"
        "  accepted: at most 20000 rows\n"
        "  hint:     delete everything below the last item"
    )
