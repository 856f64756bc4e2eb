"""Out of a book and back in again nothing is lost, whatever the way."""

import csv
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from optimizer.errors import InputError
from optimizer.pricebook import (
    LoadedBook,
    export_table,
    import_table,
    item_text,
    load_book,
    write_book_yaml,
)
from optimizer.pricebook.columns import KINDS

ODD = """leastkit: book/1
name: odd units
currency: EUR
items:
- id: c
  kind: camera
  name: 'null'
  price: 0.05
  family: network
  picture: 1920 x 1080
  frame_rate: 12.5 fps
  sensor_width: 5.57 mm
  sensor_height: 3.13 mm
  focal: 2.8 mm
  temperature: 0 F to 122 F
  infrared: 65 ft
  lux_colour: 0.003 lux
  poe_class: 0
  unit_load: 0.125
  codecs: [H.265, H.264]
- {id: d, kind: drive, name: D, price: 1, capacity: 3.64 TiB, watts: 450 mW}
- {id: e, kind: drive, name: E, price: 1, capacity: 931.3 GiB}
- {id: l, kind: lead, name: L, price: 1, series: l, length: 33 ft, carries: [data]}
- {id: p, kind: pigtail, name: "'a: b', # c", price: 1, gender: male, minutes: 100 s, pack: 3}
- {id: x, kind: extra, name: yes, price: 999999999.99, note: "line one\\nline two"}
"""


@pytest.fixture(scope="module")
def built_in() -> LoadedBook:
    return load_book()


@pytest.fixture
def odd(tmp_path: Path) -> LoadedBook:
    path = tmp_path / "odd.yaml"
    path.write_text(ODD, encoding="utf-8")
    return load_book(path)


def to_csv(loaded: LoadedBook, folder: Path, separator: str = ",") -> Path:
    folder.mkdir()
    for kind in KINDS:
        rows = export_table(kind, loaded)
        if rows:
            with (folder / f"{kind}.csv").open("w", encoding="utf-8", newline="") as stream:
                writer = csv.DictWriter(stream, list(rows[0]), delimiter=separator)
                writer.writeheader()
                writer.writerows(rows)
    return folder


def to_xlsx(loaded: LoadedBook, path: Path) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for kind in KINDS:
        rows = export_table(kind, loaded)
        if rows:
            sheet = book.create_sheet(kind)
            sheet.append(list(rows[0]))
            for row in rows:
                sheet.append([_as_a_person_types(name, text) for name, text in row.items()])
    book.save(path)
    return path


def _as_a_person_types(column: str, text: str) -> Any:
    if text == "":
        return None
    return float(text) if column.endswith("price") else text


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_the_built_in_book_through_csv(
    built_in: LoadedBook, tmp_path: Path, separator: str
) -> None:
    back = load_book(to_csv(built_in, tmp_path / "csv", separator))
    assert list(back.items) == list(built_in.items)
    assert back.items == built_in.items
    assert back.book.currency == built_in.book.currency


def test_the_built_in_book_through_a_workbook(built_in: LoadedBook, tmp_path: Path) -> None:
    back = load_book(to_xlsx(built_in, tmp_path / "book.xlsx"))
    assert list(back.items) == list(built_in.items)
    assert back.items == built_in.items


def test_the_built_in_book_through_yaml(built_in: LoadedBook, tmp_path: Path) -> None:
    path = tmp_path / "out.yaml"
    rows = [item_text(item) for item in built_in.items.values()]
    write_book_yaml(rows, path, name="copy: of", currency="EUR", note="a note")
    back = load_book(path)
    assert list(back.items) == list(built_in.items)
    assert back.items == built_in.items
    assert (back.book.name, back.book.currency, back.book.note) == ("copy: of", "EUR", "a note")


def test_odd_units_and_words_through_csv(odd: LoadedBook, tmp_path: Path) -> None:
    assert load_book(to_csv(odd, tmp_path / "csv")).items == odd.items


def test_odd_units_and_words_through_yaml(odd: LoadedBook, tmp_path: Path) -> None:
    path = tmp_path / "out.yaml"
    write_book_yaml([item_text(i) for i in odd.items.values()], path, name="~", currency="EUR")
    back = load_book(path)
    assert back.items == odd.items
    assert back.book.name == "~"


def test_imported_rows_make_a_yaml_book(built_in: LoadedBook, tmp_path: Path) -> None:
    folder = to_csv(built_in, tmp_path / "csv")
    rows = [row for kind in KINDS for row in import_table(folder / f"{kind}.csv")]
    write_book_yaml(rows, tmp_path / "out.yaml", name="n", currency="EUR")
    assert load_book(tmp_path / "out.yaml").items == built_in.items


def test_imported_rows_are_plain_text_as_a_yaml_file_would_hold(tmp_path: Path) -> None:
    path = tmp_path / "camera.csv"
    path.write_text(
        "id,name,price,currency,family,picture,frame_rate,sensor_width,sensor_height,focal,"
        "temperature,lux_colour,codecs,feeds.0.feed,feeds.0.watts,feeds.0.volts,outdoors\n"
        "c,C,12.50,EUR,network,1920x1080,25 fps,5.57 mm,3.13 mm,4 mm,-10 to 45 C,0.1 lx,"
        "H.264|H.265,12 V DC,4 W,10.8 to 13.2 V,TRUE\n",
        encoding="utf-8",
    )
    assert import_table(path) == [
        {
            "kind": "camera",
            "id": "c",
            "name": "C",
            "price": "12.50",
            "family": "network",
            "picture": "1920x1080",
            "frame_rate": "25 fps",
            "sensor_width": "5.57 mm",
            "sensor_height": "3.13 mm",
            "focal": "4 mm",
            "temperature": "-10 to 45 C",
            "lux_colour": "0.1 lx",
            "codecs": ["H.264", "H.265"],
            "feeds": [{"feed": "12 V DC", "watts": "4 W", "volts": "10.8 to 13.2 V"}],
            "outdoors": "TRUE",
        }
    ]
    camera = load_book(path).items["c"]
    assert getattr(camera, "outdoors") is True  # noqa: B009 - only cameras have it


def test_importing_checks_every_row(tmp_path: Path) -> None:
    path = tmp_path / "extra.csv"
    path.write_text("id,name,price\nx,X,-1\n", encoding="utf-8")
    with pytest.raises(InputError, match="cannot be negative"):
        import_table(path)


def test_rows_of_a_table_all_have_the_same_columns_in_the_order_of_the_schema(
    built_in: LoadedBook,
) -> None:
    rows = export_table("drive", built_in)
    assert [row["id"] for row in rows[:2]] == ["drive-1tb", "drive-2tb"]
    assert {tuple(row) for row in rows} == {
        (
            "kind",
            "currency",
            "id",
            "name",
            "price",
            "breaks.0.at_least",
            "breaks.0.price",
            "breaks.1.at_least",
            "breaks.1.price",
            "capacity",
            "watts",
        )
    }
    # The 1 TB drive of builtin.yaml has no breaks.
    assert rows[0]["breaks.0.price"] == ""
    assert rows[0]["kind"] == "drive"
    assert rows[0]["currency"] == "EUR"


def test_a_kind_without_items_gives_no_rows(odd: LoadedBook) -> None:
    assert export_table("balun", odd) == []


def test_an_unknown_kind_is_refused(odd: LoadedBook) -> None:
    with pytest.raises(InputError, match='there is no kind of item called "drives"'):
        export_table("drives", odd)


def test_fields_at_their_default_are_left_out(odd: LoadedBook) -> None:
    assert item_text(odd.items["e"]) == {
        "id": "e",
        "name": "E",
        "price": "1.00",
        "kind": "drive",
        # 931.3 x 2^30 = 999,975,760,691.2 byte.
        "capacity": "999.9757606912 GB",
    }


def test_a_book_file_that_cannot_be_written_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="No such file"):
        write_book_yaml([], tmp_path / "nowhere" / "b.yaml", name="n", currency="EUR")
