"""Reading a price book, with the checks that need more than one field."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from optimizer.errors import InputError, Trouble
from optimizer.pricebook.giving import given
from optimizer.pricebook.schema import AnyItem, Book, Cable, Item, Lead, Offer
from optimizer.pricebook.tables import TABLES, read_tables
from optimizer.pricebook.written import Origin, Written
from optimizer.reading import Source, read_source, validate
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath
from optimizer.units import money_text

BUILTIN = Path(__file__).with_name("builtin.yaml")
"""The generic book that comes with the program; items and prices are invented."""

_Kind = TypeVar("_Kind", bound=Item)
_SEE_LIST = "`leastkit book list` shows the ids"
_OTHER_TABLES = (".xls", ".xlsm", ".xlsb", ".ods", ".numbers")
_FREE = {"id", "name", "price", "breaks", "note"}


@dataclass(frozen=True)
class LoadedBook:
    """A price book and where it was read.

    Attributes
    ----------
    book : Book
        Resolved: what it extends is merged in, what it removes is gone.
    items : dict
        Id to item, in catalogue order.
    source : Source
        The file that was asked for: the user's, or the built-in one. For a folder or a workbook
        it is the first file or sheet read.
    sha256 : str
        Of the one file read; of the digests of all files, in their order, where there are more.
    """

    book: Book
    items: dict[str, AnyItem]
    source: Source
    sha256: str

    def by_kind(self, cls: type[_Kind]) -> list[_Kind]:
        """All items of a kind, in catalogue order."""
        return [item for item in self.items.values() if isinstance(item, cls)]


def load_book(path: str | Path | None = None) -> LoadedBook:
    """Read and check a price book.

    Parameters
    ----------
    path : path, optional
        A YAML file; one CSV, TSV or XLSX table; or a folder with a table for each kind, named after
        the kind. The built-in book if left out.

    Returns
    -------
    LoadedBook
        With ``extends: builtin``, an item or offer whose id the built-in book has stands in its
        place, new ones follow, and ids in ``remove`` are dropped. Offers of the built-in book
        forget removed items; one that could then never apply is dropped.

    Raises
    ------
    InputError
        With one trouble for each thing wrong.
    """
    written = _written(BUILTIN if path is None else Path(path))
    book, digests = written.book, written.digests
    origins = _origins(written)
    troubles = [*_twins(written), *_removals(written)]
    if book.extends is not None:
        base = _written(BUILTIN)
        troubles += [*_currencies(written, base), *_unknown_removals(written, base)]
        book = _merged(book, base.book)
        origins = {**_origins(base), **origins}
        digests = (*digests, *base.digests)
    troubles += [
        *_empty(book, written.source),
        *_groups(book, origins),
        *_offers(book, written),
        *_gifts(book, written, origins),
    ]
    if troubles:
        raise InputError(*sorted(troubles, key=lambda t: (t.file, t.line or 0)))
    joined = "\n".join(digests).encode()
    sha256 = digests[0] if len(digests) == 1 else hashlib.sha256(joined).hexdigest()
    return LoadedBook(book, {item.id: item for item in book.items}, written.source, sha256)


def _origins(written: Written) -> dict[str, Origin]:
    return {i.id: at for i, at in zip(written.book.items, written.origins, strict=True)}


def _written(path: Path) -> Written:
    if path.is_dir() or path.suffix.lower() in TABLES:
        return read_tables(path)
    if path.suffix.lower() in _OTHER_TABLES:
        raise InputError(
            Trouble(
                "this kind of spreadsheet cannot be read here",
                file=str(path),
                accepted=f"YAML, {', '.join(TABLES)}, or a folder of tables",
                hint="save it as XLSX, or as CSV UTF-8",
            )
        )
    source = read_source(path, "price book")
    book = validate(Book, source)
    origins = tuple(Origin(source, ("items", i)) for i in range(len(book.items)))
    return Written(book, origins, source, (source.sha256,))


def _merged(own: Book, base: Book) -> Book:
    gone = set(own.remove)
    offers = [o for o in (_pruned(one, gone) for one in base.offers) if o is not None]
    return own.model_copy(
        update={
            "extends": None,
            "remove": (),
            "items": tuple(_replaced(base.items, own.items, gone)),
            "offers": tuple(_replaced(offers, own.offers, gone)),
        }
    )


_Named = TypeVar("_Named", AnyItem, Offer)


def _replaced(base: Sequence[_Named], own: Sequence[_Named], gone: set[str]) -> Iterator[_Named]:
    mine = {one.id: one for one in own}
    for one in base:
        if one.id not in gone:
            yield mine.pop(one.id, one)
    yield from mine.values()


def _pruned(offer: Offer, gone: set[str]) -> Offer | None:
    """An offer without the items that cannot be bought; None if it can then never apply."""
    when = tuple(
        c.model_copy(update={"items": tuple(i for i in c.items if i not in gone)})
        for c in offer.when
    )
    on = tuple(i for i in offer.on if i not in gone)
    if not all(c.items for c in when) or (offer.on and not on):
        return None
    return offer.model_copy(update={"when": when, "on": on})


def _twins(written: Written) -> Iterator[Trouble]:
    lists = (
        ("item", [i.id for i in written.book.items], written.origins),
        (
            "offer",
            [o.id for o in written.book.offers],
            [Origin(written.source, ("offers", i)) for i in range(len(written.book.offers))],
        ),
    )
    for word, ids, origins in lists:
        first: dict[str, Origin] = {}
        for one, at in zip(ids, origins, strict=True):
            if one in first:
                where = first[one].source.line_of((*first[one].path, "id"))
                yield at.trouble(
                    f'two {word}s have the id "{one}"; the first is in '
                    f"{first[one].source.name}:{where}",
                    "id",
                    value=one,
                    accepted=f"an id of its own for each {word}",
                    hint="rename or remove one of the two",
                )
            first.setdefault(one, at)


def _removals(written: Written) -> Iterator[Trouble]:
    top = Origin(written.source, ())
    if written.book.remove and written.book.extends is None:
        yield top.trouble(
            "there is nothing to remove from",
            "remove",
            value=None,
            accepted="remove beside extends",
            hint="add a line 'extends: builtin', or leave remove out",
        )
    given = {i.id for i in written.book.items} | {o.id for o in written.book.offers}
    for index, one in enumerate(written.book.remove):
        if one in given:
            yield top.trouble(
                f'"{one}" is removed and given in the same book',
                "remove",
                index,
                value=one,
                accepted="ids that this book does not give itself",
                hint="to replace an item it is enough to give it again under its id",
            )


def _currencies(written: Written, base: Written) -> Iterator[Trouble]:
    if written.book.currency != base.book.currency:
        yield Origin(written.source, ()).trouble(
            f"the built-in prices are in {base.book.currency} and are not converted",
            "currency",
            value=written.book.currency,
            accepted=f"{base.book.currency}, or a book without extends",
            hint="leave extends out and give all items in your own currency",
        )


def _unknown_removals(written: Written, base: Written) -> Iterator[Trouble]:
    known = [i.id for i in base.book.items] + [o.id for o in base.book.offers]
    for index, one in enumerate(written.book.remove):
        if one not in known:
            yield Origin(written.source, ()).trouble(
                f'the built-in book has nothing called "{one}"',
                "remove",
                index,
                value=one,
                accepted="ids of items and offers of the built-in book",
                hint=suggest(one, known, _SEE_LIST),
            )


def _empty(book: Book, source: Source) -> Iterator[Trouble]:
    if not book.items:
        yield Origin(source, ()).trouble(
            "the price book has no items",
            "items",
            value=None,
            accepted="at least one item",
            hint="list items, or add a line 'extends: builtin'",
        )


def _groups(book: Book, origins: dict[str, Origin]) -> Iterator[Trouble]:
    """Boxes of one construction, and leads of one series, differ in length and price only."""
    groups: dict[tuple[str, str], list[Cable | Lead]] = {}
    for item in book.items:
        if isinstance(item, Cable):
            groups.setdefault(("construction", item.construction), []).append(item)
        elif isinstance(item, Lead):
            groups.setdefault(("series", item.series), []).append(item)
    for (field, name), members in groups.items():
        size = "box" if field == "construction" else "length"
        # What the built-in book says leads, so that the blame falls on a line the user can edit.
        members.sort(key=lambda m: origins[m.id].source.name != str(BUILTIN))
        # As text, so that values are shown with their units.
        rule = members[0].model_dump(mode="json", exclude={*_FREE, size})
        for other in members[1:]:
            for key, value in other.model_dump(mode="json", exclude={*_FREE, size}).items():
                if _unordered(value) != _unordered(rule[key]):
                    yield origins[other.id].trouble(
                        f'"{other.id}" and "{members[0].id}" share the {field} "{name}" but '
                        f"differ in {key}",
                        key,
                        value=_shown(value),
                        accepted=f"{_shown(rule[key])}, as in {members[0].id}",
                        hint=f"give one of the two another {field}, or put {key} right",
                    )


def _offers(book: Book, written: Written) -> Iterator[Trouble]:
    known = [item.id for item in book.items]
    for index, offer in enumerate(written.book.offers):
        at = Origin(written.source, ("offers", index))
        named: list[tuple[FieldPath, tuple[str, ...]]] = [
            (("when", i, "items"), condition.items) for i, condition in enumerate(offer.when)
        ]
        for steps, ids in [*named, (("on",), offer.on)]:
            for place, one in enumerate(ids):
                if one not in known:
                    yield at.trouble(
                        f'offer "{offer.id}" names an item that is not in the book',
                        *steps,
                        place,
                        value=one,
                        accepted="ids of items of this book",
                        hint=suggest(one, known, _SEE_LIST),
                    )
                elif one in ids[:place]:
                    yield at.trouble(
                        f'offer "{offer.id}" names an item twice in one list',
                        *steps,
                        place,
                        value=one,
                        accepted="each item once",
                        hint="remove one of the two",
                    )


def _gifts(book: Book, written: Written, origins: dict[str, Origin]) -> Iterator[Trouble]:
    """Offers that together take more off a piece than it costs at its lowest."""
    own = {id(offer): index for index, offer in enumerate(written.book.offers)}
    for item in book.items:
        found = given(book.offers, item)
        if not found.too_much:
            continue
        least = money_text(found.least)
        what = (
            f'offers take up to {money_text(found.amount)} off each "{item.id}", whose lowest '
            f"unit price is {least}"
        )
        named = " and ".join(f'"{o.id}"' for o in found.offers)
        mine = [o for o in found.offers if id(o) in own]
        if mine:
            # The last of the user's own offers is the one that went too far.
            yield Origin(written.source, ("offers", own[id(mine[-1])])).trouble(
                what,
                "percent",
                value=mine[-1].model_dump(mode="json")["percent"],
                accepted=f"percentages that together take off {least} at most",
                hint=f'lower a percentage, or leave "{item.id}" out of on: {named}',
            )
        else:
            yield origins[item.id].trouble(
                what,
                *_lowest(item),
                value=least,
                accepted=f"at least {money_text(found.amount)}, what offers take off: {named}",
                hint=f"raise the price, or leave the offer out: remove {named}",
            )


def _lowest(item: AnyItem) -> FieldPath:
    """Where the lowest unit price of an item stands."""
    steps: list[tuple[int, FieldPath]] = [(item.price, ("price",))]
    steps += [(b.price, ("breaks", i, "price")) for i, b in enumerate(item.breaks)]
    return min(steps, key=lambda step: step[0])[1]


def _unordered(value: object) -> object:
    return sorted(value) if isinstance(value, list) else value


def _shown(value: object) -> str:
    if isinstance(value, list):
        return ", ".join(value) or "nothing"
    if isinstance(value, dict):
        return ", ".join(f"{k}: {v}" for k, v in value.items()) or "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    return "nothing" if value is None else str(value)


__all__ = ["BUILTIN", "LoadedBook", "load_book"]
