"""A price book with other prices."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from math import floor

from optimizer.errors import InputError, Trouble, quoted
from optimizer.pricebook.loading import LoadedBook
from optimizer.reading.hints import suggest
from optimizer.units import money_text


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
    troubles = [_unknown(book, item) for item in prices if item not in book.items]
    troubles += [t for item, price in prices.items() if (t := _gift(book, item, price))]
    if troubles:
        raise InputError(*troubles)
    items = tuple(
        item.model_copy(update={"price": prices[item.id], "breaks": ()})
        if item.id in prices
        else item
        for item in book.book.items
    )
    text = json.dumps([book.sha256, sorted(prices.items())])
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


def _gift(book: LoadedBook, item: str, price: int) -> Trouble | None:
    offers = [o for o in book.book.offers if o.percent is not None and item in o.on]
    given = sum(floor(price * Fraction(o.percent or 0)) for o in offers)
    if given <= price:
        return None
    return Trouble(
        f"offers take up to {money_text(given)} off each {quoted(item)}",
        field=item,
        value=money_text(price),
        accepted="a price that is no less than what offers take off",
        hint=f"use a price book without one of {', '.join(o.id for o in offers)}",
    )


__all__ = ["repriced"]
