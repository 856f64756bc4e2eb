"""The commands that look into price books and make them."""

from __future__ import annotations

import json
from pathlib import Path

from optimizer.pricebook import load_book
from tests.unit.cli.running import BOOK, here

TABLE = """id,name,price,capacity
disk-2,small disk,54.00,2 TB
disk-4,larger disk,83.00,4 TB
"""


def test_list_of_one_kind() -> None:
    done = here("book", "list", "--book", BOOK, "--kind", "supply")
    assert done.exit_code == 0
    assert "sd-4 " in done.stdout
    assert "rec-8" not in done.stdout


def test_list_as_json_has_the_whole_items() -> None:
    done = here("book", "list", "--book", BOOK, "--json", "-")
    items = json.loads(done.stdout)
    assert [item["id"] for item in items] == list(load_book(BOOK).items)
    assert items[3]["capacity"] == "4000 GB"


def test_unknown_kind_names_the_kinds() -> None:
    done = here("book", "list", "--book", BOOK, "--kind", "camra")
    assert done.exit_code == 2
    assert "camera, recorder, drive" in done.stderr


def test_one_item() -> None:
    done = here("book", "show", "drive-4tb", "--book", BOOK)
    assert done.exit_code == 0
    assert "surveillance drive, 4 TB" in done.stdout
    data = json.loads(here("book", "show", "drive-4tb", "--book", BOOK, "--json", "-").stdout)
    assert [item["id"] for item in data] == ["drive-4tb"]


def test_misspelt_item_is_suggested() -> None:
    done = here("book", "show", "drive-4t", "--book", BOOK)
    assert done.exit_code == 2
    assert 'did you mean "drive-4tb"?' in done.stderr


def test_check_names_gaps_and_is_no_error() -> None:
    done = here("book", "check", "--book", BOOK)
    assert done.exit_code == 0
    assert "there is no balun" in done.stdout
    data = json.loads(here("book", "check", "--book", BOOK, "--json", "-").stdout)
    assert any("balun" in gap for gap in data["gaps"])


def test_check_of_a_book_that_cannot_be_used(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("leastkit: book/1\nname: bad\ncurrency: EUR\nitms: []\n", encoding="utf-8")
    done = here("book", "check", "--book", str(bad))
    assert done.exit_code == 2
    assert "itms" in done.stderr


def test_import_of_a_table(tmp_path: Path) -> None:
    table, made = tmp_path / "disks.csv", tmp_path / "book.yaml"
    table.write_text(TABLE, encoding="utf-8")
    done = here(
        "book", "import", str(table), "--kind", "drive", "--currency", "EUR", "--out", str(made)
    )
    assert (done.exit_code, done.stdout) == (0, ""), done.stderr
    assert done.stderr == f"2 items written to {made}\n"
    book = load_book(made)
    assert {name: item.price for name, item in book.items.items()} == {
        "disk-2": 5400,
        "disk-4": 8300,
    }
    assert book.book.name == "imported price book"


def test_import_that_would_make_a_useless_book_writes_nothing(tmp_path: Path) -> None:
    table, made = tmp_path / "disks.csv", tmp_path / "book.yaml"
    table.write_text(TABLE.replace("disk-4", "disk-2"), encoding="utf-8")
    done = here(
        "book", "import", str(table), "--kind", "drive", "--currency", "EUR", "--out", str(made)
    )
    assert done.exit_code == 2
    assert "disk-2" in done.stderr
    assert "disks.csv" in done.stderr
    assert not made.exists()
    assert [path.name for path in tmp_path.iterdir()] == ["disks.csv"]


def test_import_of_prices_in_another_currency_is_refused(tmp_path: Path) -> None:
    table, made = tmp_path / "drive.csv", tmp_path / "book.yaml"
    table.write_text(
        "id,name,price,capacity,currency\nd,D,54.00,2 TB,\ne,E,83.00,4 TB,USD\n", encoding="utf-8"
    )
    done = here("book", "import", str(table), "--currency", "EUR", "--out", str(made))
    assert done.exit_code == 2
    assert f"{table}:3: this is not the currency that the price book is to have" in done.stderr
    for line in (
        "field:    column currency",
        "value:    USD",
        "accepted: EUR",
        "hint:     a price book is in one currency: convert the prices",
    ):
        assert line in done.stderr
    assert not made.exists()
    done = here("book", "import", str(table), "--currency", "USD", "--out", str(made))
    assert (done.exit_code, load_book(made).book.currency) == (0, "USD")


def test_a_currency_that_is_no_code_is_refused(tmp_path: Path) -> None:
    table, made = tmp_path / "drive.csv", tmp_path / "book.yaml"
    table.write_text(TABLE, encoding="utf-8")
    for code in ("euro", "eur", "EURO", "EUR\n"):
        done = here("book", "import", str(table), "--currency", code, "--out", str(made))
        assert done.exit_code == 2
        assert "--currency" in done.stderr
        assert "a code of three capitals, such as EUR" in done.stderr
    assert not made.exists()
