"""Items from CSV files, workbooks and folders."""

import subprocess
import sys
import zipfile
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from optimizer.pricebook import import_table, load_book
from optimizer.pricebook.columns import column_shape, columns_of
from optimizer.pricebook.schema import Balun, Cable, Camera, Drive, Lead, Recorder, Tool

DRIVES = "id,name,price,capacity,currency\nd,D,41.50,4 TB,EUR\n"


def write(path: Path, text: str | bytes) -> Path:
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "byte order mark"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_separators_marks_and_line_ends(
    tmp_path: Path, separator: str, mark: str, end: str
) -> None:
    text = (mark + DRIVES).replace(",", separator).replace("\n", end)
    loaded = load_book(write(tmp_path / "drive.csv", text))
    drive = loaded.items["d"]
    assert isinstance(drive, Drive)
    assert (drive.name, drive.price, drive.capacity) == ("D", 4150, Decimal(4 * 10**12))
    assert loaded.book.currency == "EUR"
    assert loaded.book.name == "drive"


def test_a_tsv_file_is_a_table_too(tmp_path: Path) -> None:
    loaded = load_book(write(tmp_path / "drive.tsv", DRIVES.replace(",", "\t")))
    assert list(loaded.items) == ["d"]


def test_blanks_and_empty_rows_mean_nothing(tmp_path: Path) -> None:
    text = "\n id , name,price,capacity,currency, \n,,,\nd, D ,1, 4 TB ,EUR\n\n"
    assert import_table(write(tmp_path / "drive.csv", text)) == [
        {"kind": "drive", "id": "d", "name": "D", "price": "1", "capacity": "4 TB"}
    ]


def test_quoted_cells_keep_their_separators(tmp_path: Path) -> None:
    text = 'id,name,price,capacity,currency\nd,"D, ""large""",1,4 TB,EUR\n'
    assert load_book(write(tmp_path / "drive.csv", text)).items["d"].name == 'D, "large"'


def test_columns_reach_into_parts_lists_and_mappings(tmp_path: Path) -> None:
    text = (
        "id,name,price,currency,breaks.0.at_least,breaks.0.price,breaks.1.at_least,"
        "breaks.1.price,inputs.0.families,inputs.0.count,inputs.0.picture,inputs.1.families,"
        "inputs.1.count,inputs.1.picture,channels,encode_rate,ingest,codecs,bays,largest_drive,"
        "displays.hdmi,displays.vga,poe.ports,poe.poe_class,poe.budget\n"
        "r,R,100,EUR,5,90,10,80.50,composite|hd_coax,8,1920x1080,network,4,2592x1944,8,"
        "249 Mpx/s,32 Mbit/s,H.264 | H.265,1,8 TB,1,2,4,3,48 W\n"
        "s,S,50,EUR,,,,,network,4,1920x1080,,,,,,16 Mbit/s,H.264,1,4 TB,,,,,\n"
    )
    loaded = load_book(write(tmp_path / "recorder.csv", text))
    first, second = loaded.by_kind(Recorder)
    assert [(b.at_least, b.price) for b in first.breaks] == [(5, 9000), (10, 8050)]
    assert first.inputs[0].families == ("composite", "hd_coax")
    assert first.inputs[1].families == ("network",)
    assert first.codecs == ("H.264", "H.265")
    assert first.displays == {"hdmi": 1, "vga": 2}
    assert first.poe is not None
    assert (first.poe.ports, first.poe.poe_class, first.poe.budget) == (4, 3, 48)
    assert len(second.inputs) == 1
    assert second.breaks == ()
    assert second.poe is None
    assert second.displays == {}


def test_more_than_ten_entries_keep_their_order(tmp_path: Path) -> None:
    places = range(12)
    heads = "".join(f",breaks.{i}.at_least,breaks.{i}.price" for i in places)
    cells = "".join(f",{i + 2},{90 - i}" for i in places)
    text = f"id,name,price,currency{heads}\nx,X,100,EUR{cells}\n"
    item = load_book(write(tmp_path / "extra.csv", text)).items["x"]
    assert [step.at_least for step in item.breaks] == [i + 2 for i in places]


def test_a_column_kind_mixes_kinds(tmp_path: Path) -> None:
    text = (
        "kind,id,name,price,capacity,types,currency\ntool,t,T,5,,solder,EUR\ndrive,d,D,1,4 TB,,\n"
    )
    loaded = load_book(write(tmp_path / "prices.csv", text))
    assert list(loaded.items) == ["t", "d"]
    assert [tool.types for tool in loaded.by_kind(Tool)] == [("solder",)]


def test_a_kind_can_be_asked_for(tmp_path: Path) -> None:
    path = write(tmp_path / "what-we-charge.csv", DRIVES)
    assert [row["kind"] for row in import_table(path, "drive")] == ["drive"]


def test_a_folder_is_read_kind_by_kind(tmp_path: Path) -> None:
    folder = tmp_path / "prices"
    write(folder / "tool.csv", "id,name,price,types\nt,T,5,solder\n")
    write(folder / "drive.csv", DRIVES)
    write(folder / "camera.csv", "id,name,price\n")
    write(folder / "readme.txt", "not a table")
    write(folder / "~$drive.xlsx", "a lock file of a spreadsheet program")
    loaded = load_book(folder)
    # The schema has drives before tools; the file system has not.
    assert list(loaded.items) == ["d", "t"]
    assert loaded.book.name == "prices"
    assert loaded.source.name == str(folder / "camera.csv")


def test_a_folder_may_have_a_head(tmp_path: Path) -> None:
    folder = tmp_path / "prices"
    write(
        folder / "book.yaml",
        "leastkit: book/1\nname: ours\ncurrency: EUR\nextends: builtin\nremove: [sign]\n"
        "items:\n- {id: own, kind: extra, name: Own, price: 1}\n"
        "offers:\n- {id: o, name: O, when: [{items: [d], at_least: 2}], off: 3}\n",
    )
    write(folder / "drive.csv", DRIVES.replace(",currency", "").replace(",EUR", ""))
    loaded = load_book(folder)
    assert list(loaded.items)[-2:] == ["own", "d"]
    assert "sign" not in loaded.items
    assert loaded.book.offers[-1].id == "o"
    assert loaded.book.name == "ours"
    assert loaded.source.name == str(folder / "book.yaml")


def save(path: Path, sheets: dict[str, list[list[Any]]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def test_a_workbook_has_a_sheet_for_each_kind(tmp_path: Path) -> None:
    path = save(
        tmp_path / "prices.xlsx",
        {
            "tool": [["id", "name", "price", "types", "currency"], ["t", "T", 5, "solder", "EUR"]],
            "drive": [["id", "name", "price", "capacity"], ["d", "D", 41.5, "4 TB"]],
            "Sheet3": [],
        },
    )
    loaded = load_book(path)
    assert list(loaded.items) == ["d", "t"]
    assert loaded.items["d"].price == 4150


def test_a_workbook_of_one_sheet_may_be_named_after_its_kind(tmp_path: Path) -> None:
    rows = [line.split(",") for line in DRIVES.splitlines()]
    assert list(load_book(save(tmp_path / "drive.xlsx", {"Sheet1": rows})).items) == ["d"]


@pytest.mark.parametrize(
    ("cell", "hundredths"),
    [
        (19.9, 1990),
        (0.1, 10),
        (20.0, 2000),
        (7, 700),
        ("3.05", 305),
        # 4.35 is stored as 4.3499999999999996447..., which times 100 cuts to 434.
        (4.35, 435),
        (1234567.89, 123456789),
    ],
)
def test_prices_of_a_workbook_never_suffer_from_binary_floats(
    tmp_path: Path, cell: Any, hundredths: int
) -> None:
    rows = [["id", "name", "price", "currency"], ["x", "X", cell, "EUR"]]
    assert load_book(save(tmp_path / "extra.xlsx", {"a": rows})).items["x"].price == hundredths


def test_numbers_and_truth_values_of_a_workbook(tmp_path: Path) -> None:
    rows = [
        ["id", "name", "price", "currency", "families", "reach", "power_pairs", "active"],
        ["b", 4150, 4, "EUR", "composite", "300 m", 2.0, True],
    ]
    balun = load_book(save(tmp_path / "balun.xlsx", {"a": rows})).items["b"]
    assert isinstance(balun, Balun)
    assert (balun.name, balun.power_pairs, balun.active) == ("4150", 2, True)


def test_a_yaml_book_does_not_pay_for_workbooks() -> None:
    code = "import sys; from optimizer.pricebook import load_book; load_book(); "
    code += "print('openpyxl' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"


def test_a_sheet_is_read_to_its_end_whatever_size_it_claims(tmp_path: Path) -> None:
    rows = [["id", "name", "price", "currency"]] + [[f"x{i}", "X", 1, "EUR"] for i in range(30)]
    right = save(tmp_path / "right.xlsx", {"extra": rows})
    wrong = tmp_path / "wrong.xlsx"
    with zipfile.ZipFile(right) as source, zipfile.ZipFile(wrong, "w") as target:
        for part in source.namelist():
            text = source.read(part)
            if part.startswith("xl/worksheets/"):
                assert b'<dimension ref="A1:D31"' in text
                text = text.replace(b'<dimension ref="A1:D31"', b'<dimension ref="A1:B2"')
            target.writestr(part, text)
    assert load_book(wrong).items == load_book(right).items
    assert len(load_book(wrong).items) == 30


@pytest.mark.parametrize(
    ("model", "column", "shape"),
    [
        (Camera, "focal", "one"),
        (Camera, "picture", "one"),
        (Camera, "infrared", "one"),
        (Camera, "codecs", "list"),
        (Camera, "feeds.0.watts", "one"),
        (Camera, "feeds.11.watts", "one"),
        (Camera, "feeds", None),
        (Camera, "feeds.0", None),
        (Camera, "feeds.x.watts", None),
        (Camera, "feeds.watts", None),
        (Camera, "codecs.0", None),
        (Camera, "focal.low", None),
        (Camera, "capacity", None),
        (Recorder, "inputs.0.families", "list"),
        (Recorder, "poe.ports", "one"),
        (Recorder, "poe", None),
        (Recorder, "displays.hdmi", "one"),
        (Recorder, "displays.scart", None),
        (Cable, "reach.composite", "one"),
        (Lead, "reach", None),
        (Balun, "reach", "one"),
        (Balun, "", None),
    ],
)
def test_what_a_column_holds(model: Any, column: str, shape: str | None) -> None:
    assert column_shape(model, column) == shape


def test_every_column_of_a_kind_is_a_column() -> None:
    for model in (Camera, Recorder, Lead, Cable):
        assert all(column_shape(model, column) for column in columns_of(model))
    assert columns_of(Drive) == (
        "id",
        "name",
        "price",
        "breaks.0.at_least",
        "breaks.0.price",
        "note",
        "capacity",
        "watts",
    )
