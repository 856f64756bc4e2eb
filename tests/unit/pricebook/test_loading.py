"""Reading a book, and what it means to extend the built-in one."""

import hashlib
from pathlib import Path

import pytest

from optimizer.errors import InputError
from optimizer.pricebook import BUILTIN, LoadedBook, load_book
from optimizer.pricebook.schema import Camera, Drive, Extra

HEAD = "leastkit: book/1\nname: own\ncurrency: EUR\n"


def read(folder: Path, text: str) -> LoadedBook:
    path = folder / "own.yaml"
    path.write_text(HEAD + text, encoding="utf-8")
    return load_book(path)


def test_the_built_in_book_is_the_default() -> None:
    loaded = load_book()
    assert loaded.source.name == str(BUILTIN)
    assert loaded.sha256 == hashlib.sha256(BUILTIN.read_bytes()).hexdigest()
    assert list(loaded.items) == [item.id for item in loaded.book.items]
    assert loaded == load_book(BUILTIN)


def test_a_book_of_its_own_has_its_own_items_only(tmp_path: Path) -> None:
    loaded = read(tmp_path, "items:\n- {id: b, kind: extra, name: B, price: 1.50}\n")
    assert list(loaded.items) == ["b"]
    # 1.50 is 150 hundredths.
    assert loaded.items["b"].price == 150
    text = (tmp_path / "own.yaml").read_bytes()
    assert loaded.sha256 == hashlib.sha256(text).hexdigest()
    assert loaded.book.offers == ()


def test_by_kind_keeps_the_catalogue_order(tmp_path: Path) -> None:
    loaded = read(
        tmp_path,
        "items:\n"
        "- {id: z, kind: extra, name: Z, price: 1}\n"
        "- {id: d, kind: drive, name: D, price: 1, capacity: 1 TB}\n"
        "- {id: a, kind: extra, name: A, price: 1}\n",
    )
    assert [item.id for item in loaded.by_kind(Extra)] == ["z", "a"]
    assert [item.id for item in loaded.by_kind(Drive)] == ["d"]
    assert loaded.by_kind(Camera) == []


def test_extending_replaces_in_place_and_appends(tmp_path: Path) -> None:
    base = load_book()
    loaded = read(
        tmp_path,
        "extends: builtin\n"
        "items:\n"
        "- {id: new-drive, kind: drive, name: New, price: 300, capacity: 20 TB}\n"
        "- {id: drive-4tb, kind: drive, name: Ours, price: 70.00, capacity: 4 TB}\n",
    )
    assert list(loaded.items) == [*base.items, "new-drive"]
    assert loaded.items["drive-4tb"].name == "Ours"
    assert loaded.items["drive-4tb"].price == 7000
    others = set(base.items) - {"drive-4tb"}
    assert all(loaded.items[one] == base.items[one] for one in others)
    assert loaded.book.extends is None
    assert loaded.book.name == "own"
    assert loaded.book.offers == base.book.offers
    assert loaded.source.name == str(tmp_path / "own.yaml")


def test_the_digest_of_an_extended_book_depends_on_both_files(tmp_path: Path) -> None:
    loaded = read(tmp_path, "extends: builtin\n")
    own = hashlib.sha256((tmp_path / "own.yaml").read_bytes()).hexdigest()
    base = hashlib.sha256(BUILTIN.read_bytes()).hexdigest()
    assert loaded.sha256 == hashlib.sha256(f"{own}\n{base}".encode()).hexdigest()
    assert loaded.sha256 not in (own, base)


def test_removed_items_and_offers_are_gone(tmp_path: Path) -> None:
    loaded = read(tmp_path, "extends: builtin\nremove: [sign, first-drive]\n")
    assert "sign" not in loaded.items
    assert "first-drive" not in [offer.id for offer in loaded.book.offers]
    base = load_book()
    assert len(loaded.items) == len(base.items) - 1
    assert len(loaded.book.offers) == len(base.book.offers) - 1
    assert loaded.book.remove == ()


def test_built_in_offers_forget_removed_items(tmp_path: Path) -> None:
    before = {offer.id: offer for offer in load_book().book.offers}
    loaded = read(tmp_path, "extends: builtin\nremove: [drive-1tb, rn-4]\n")
    offer = {offer.id: offer for offer in loaded.book.offers}["first-drive"]
    assert before["first-drive"].on == ("drive-1tb", "drive-2tb", "drive-3tb", "drive-4tb")
    assert offer.on == ("drive-2tb", "drive-3tb", "drive-4tb")
    assert before["first-drive"].when[0].items == ("rn-4", "rn-4-poe", "rh-4")
    assert offer.when[0].items == ("rn-4-poe", "rh-4")


@pytest.mark.parametrize(
    "gone", ["rh-8", "drive-1tb, drive-2tb, drive-3tb, drive-4tb"], ids=["condition", "on"]
)
def test_a_built_in_offer_that_can_never_apply_is_dropped(tmp_path: Path, gone: str) -> None:
    loaded = read(tmp_path, f"extends: builtin\nremove: [{gone}]\n")
    dropped = {o.id for o in load_book().book.offers} - {o.id for o in loaded.book.offers}
    assert dropped == {"eight-input-bundle" if gone == "rh-8" else "first-drive"}


def test_an_offer_with_a_known_id_stands_in_its_place(tmp_path: Path) -> None:
    loaded = read(
        tmp_path,
        "extends: builtin\n"
        "offers:\n"
        "- {id: mine, name: M, when: [{items: [rh-8], at_least: 2}], off: 5}\n"
        "- {id: first-drive, name: F, when: [{items: [rh-4], at_least: 1}], off: 1.00}\n",
    )
    ids = [offer.id for offer in loaded.book.offers]
    assert ids == [*(offer.id for offer in load_book().book.offers), "mine"]
    assert {offer.id: offer for offer in loaded.book.offers}["first-drive"].off == 100


def _offered(*percents: str, price: str = "0.99", breaks: str = "[]") -> str:
    text = f"items:\n- {{id: a, kind: extra, name: A, price: {price}, breaks: {breaks}}}\n"
    return (
        text
        + "offers:\n"
        + "".join(
            f"- {{id: o{n}, name: O, when: [{{items: [a], at_least: {n + 1}}}], "
            f"percent: {one}, on: [a]}}\n"
            for n, one in enumerate(percents)
        )
    )


@pytest.mark.parametrize(
    "text",
    [
        _offered("100 %"),
        # A third of 0.99 is 0.33; three of them are the price.
        _offered("33.34 %", "33.34 %", "33.34 %"),
        # 50.6 % of 0.99 is 0.50094: each rounds down to 0.50, the lowest price of a piece.
        _offered("50.6 %", breaks="[{at_least: 9, price: 0.50}]"),
    ],
    ids=["all", "rounded down", "break"],
)
def test_percentages_may_take_off_the_whole_lowest_price(tmp_path: Path, text: str) -> None:
    assert read(tmp_path, text).items["a"].price == 99


@pytest.mark.parametrize(
    "text",
    [
        # 0.33 x 3 and one more hundredth: 2 % of 0.99 is 0.0198, so 0.01.
        _offered("33.34 %", "33.34 %", "33.34 %", "2 %"),
        _offered("50.6 %", breaks="[{at_least: 9, price: 0.49}]"),
        # The break in the middle is the lowest.
        _offered("50.6 %", breaks="[{at_least: 9, price: 0.49}, {at_least: 20, price: 0.60}]"),
    ],
    ids=["sum", "break", "lowest break"],
)
def test_percentages_beyond_the_lowest_price_are_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(InputError, match="whose lowest unit price is") as caught:
        read(tmp_path, text)
    assert len(caught.value.troubles) == 1


def test_boxes_of_one_construction_may_differ_in_length_and_money(tmp_path: Path) -> None:
    loaded = read(
        tmp_path,
        "items:\n"
        "- {id: a, kind: cable, name: A, price: 1, medium: coax, construction: c, box: 100 m,"
        " fit: rg6, note: x}\n"
        "- {id: b, kind: cable, name: B, price: 2, medium: coax, construction: c, box: 200 m,"
        " fit: rg6, breaks: [{at_least: 2, price: 1.90}]}\n",
    )
    assert list(loaded.items) == ["a", "b"]


def test_the_order_of_what_a_lead_carries_is_no_difference(tmp_path: Path) -> None:
    lead = "kind: lead, price: 1, series: s, gauge: 20 AWG, fit: rg59"
    loaded = read(
        tmp_path,
        "items:\n"
        f"- {{id: a, name: A, {lead}, length: 10 m, carries: [video, power]}}\n"
        f"- {{id: b, name: B, {lead}, length: 20 m, carries: [power, video]}}\n",
    )
    assert list(loaded.items) == ["a", "b"]


def test_everything_wrong_is_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read(
            tmp_path,
            "extends: builtin\n"
            "remove: [nothing-like-it]\n"
            "items:\n"
            "- {id: e, kind: extra, name: E, price: 1}\n"
            "- {id: e, kind: extra, name: E, price: 1}\n"
            "offers:\n"
            "- {id: o, name: O, when: [{items: [nothing-like-it], at_least: 1}], off: 1}\n",
        )
    assert [trouble.line for trouble in caught.value.troubles] == [5, 8, 10]
