"""A price book with other prices."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

from optimizer.errors import InputError, Trouble, quoted
from optimizer.pricebook.giving import given
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import AnyItem
from optimizer.reading.hints import suggest
from optimizer.units import money_text

EVERYTHING = "all"
"""Stands for all items where prices change by a share."""


def repriced(book: LoadedBook, prices: Mapping[str, int]) -> LoadedBook:
    """The book with some items at other prices, each for any number: their breaks are gone.

    Parameters
    ----------
    prices : dict of str to int
        Item id to unit price. [hundredth]

    Raises
    ------
    InputError
        With one trouble for each id that the book has not, and for each price below what offers
        take off the item, which no book may have. The `field` of a trouble is the item's id.
    """
    unknown = [_unknown(book, item) for item in prices if item not in book.items]
    if unknown:
        raise InputError(*unknown)
    new = {
        item: book.items[item].model_copy(update={"price": price, "breaks": ()})
        for item, price in prices.items()
    }
    return _with(book, new, {item: item for item in new}, sorted(prices.items()))


def shifted(book: LoadedBook, changes: Mapping[str, Decimal]) -> LoadedBook:
    """The book with some prices higher or lower by a share, price breaks with them.

    Each price is rounded to a hundredth, half up. An item goes by its own change if there is one,
    else by that of its kind, else by that of all.

    Parameters
    ----------
    changes : dict of str to Decimal
        Item id, kind of item, or "all", to the share that is added: 0.1 for +10 %.

    Raises
    ------
    InputError
        With one trouble for each key that is neither, or both, and for each item of which offers
        would then take off more than it costs. The `field` of a trouble is the key.
    """
    kinds: set[str] = {item.kind for item in book.items.values()}
    troubles = list(_unclear(book, kinds, changes))
    if troubles:
        raise InputError(*troubles)
    by = {
        item.id: next((key for key in (item.id, item.kind, EVERYTHING) if key in changes), "")
        for item in book.items.values()
    }
    new = {i: _shifted(book.items[i], changes[key]) for i, key in by.items() if key}
    stated = [[key, str(share)] for key, share in sorted(changes.items())]
    return _with(book, new, by, stated)


def _shifted(item: AnyItem, share: Decimal) -> AnyItem:
    def priced(price: int) -> int:
        return int((price * (1 + share)).quantize(Decimal(1), rounding=ROUND_HALF_UP))

    breaks = tuple(b.model_copy(update={"price": priced(b.price)}) for b in item.breaks)
    return item.model_copy(update={"price": priced(item.price), "breaks": breaks})


def _with(
    book: LoadedBook, new: Mapping[str, AnyItem], by: Mapping[str, str], stated: object
) -> LoadedBook:
    """The book with some items in place of those of the same id.

    Parameters
    ----------
    by : dict of str to str
        Item id to what it was changed by, for messages.
    stated : object
        The change as plain data, for the checksum.
    """
    troubles = [t for item in new.values() if (t := _gift(book, item, by[item.id]))]
    if troubles:
        raise InputError(*troubles)
    items = tuple(new.get(item.id, item) for item in book.book.items)
    text = json.dumps([book.sha256, stated])
    return replace(
        book,
        book=book.book.model_copy(update={"items": items}),
        items={item.id: item for item in items},
        sha256=hashlib.sha256(text.encode()).hexdigest(),
    )


def _unknown(book: LoadedBook, item: str) -> Trouble:
    return Trouble(
        f"the price book has no item {quoted(item)}",
        field=item,
        value=item,
        accepted=f"an id of an item in {book.book.name}",
        hint=suggest(item, book.items, "`leastkit book list` shows the ids"),
    )


def _unclear(book: LoadedBook, kinds: set[str], keys: Mapping[str, object]) -> Iterator[Trouble]:
    for key in keys:
        meant = (key in book.items) + (key in kinds) + (key == EVERYTHING)
        if meant == 1:
            continue
        known = [*book.items, *sorted(kinds), EVERYTHING]
        what = "stands for an item and for more" if meant else "is neither an item nor a kind"
        yield Trouble(
            f"{quoted(key)} {what}",
            field=key,
            value=key,
            accepted=f"an id of an item in {book.book.name}, a kind such as recorder, or "
            f"{EVERYTHING}",
            hint="change the id of the item"
            if meant
            else suggest(key, known, "`leastkit book list` shows ids, by kind"),
        )


def _gift(book: LoadedBook, item: AnyItem, key: str) -> Trouble | None:
    found = given(book.book.offers, item)
    if not found.too_much:
        return None
    return Trouble(
        f"offers take up to {money_text(found.amount)} off each {quoted(item.id)}",
        field=key,
        value=money_text(found.least),
        accepted="a price that is no less than what offers take off",
        hint=f"use a price book without one of {', '.join(o.id for o in found.offers)}",
    )


__all__ = ["EVERYTHING", "repriced", "shifted"]
