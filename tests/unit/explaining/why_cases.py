"""Cheaper items, each with one flaw, beside the hand-made design of ``tests/unit/reporting``.

The design's loads, lengths and streams are derived there; each limit below is worked out here from
them. Three loads hang on sd-4: 450 mA at each gate camera (5 W over 43 m of 18 AWG, loop 1.943 ohm)
and 288 mA at the till (3.3 W with its microphone over 25 m of 20 AWG, loop 1.796 ohm).
"""

from __future__ import annotations

from typing import Any

from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Book
from optimizer.reading import Source, read_source
from optimizer.site import LoadedSite
from optimizer.site.schema import Site
from tests.unit.reporting import handmade

# As written: texts with their units, not numbers.
_PLAIN: dict[str, Any] = read_source(handmade.BOOK_FILE, "price book").data
ROWS = {row["id"]: row for row in _PLAIN["items"]}


def like(item: str, name: str, price: str, **fields: Any) -> dict[str, Any]:
    """An item as one of the hand-made book, with another id and price and some other fields."""
    return {**ROWS[item], "id": name, "price": price, **fields}


def book(*rows: dict[str, Any]) -> LoadedBook:
    """The hand-made book with further items, or others in the place of its own."""
    named = {row["id"] for row in rows}
    kept = [row for row in _PLAIN["items"] if row["id"] not in named]
    whole = Book.model_validate({**_PLAIN, "items": [*kept, *rows]})
    items = {item.id: item for item in whole.items}
    return LoadedBook(whole, items, Source("test", None, {}, "0" * 64), "0" * 64)


def asked(site: Site = handmade.SITE) -> LoadedSite:
    """A site that was never a file."""
    return LoadedSite(site, Source("test", site.model_dump(mode="json"), {}, "0" * 64))


def with_policy(**fields: Any) -> Site:
    """The hand-made site with other rules of its buyer."""
    policy = handmade.SITE.policy.model_copy(update=fields)
    return handmade.SITE.model_copy(update={"policy": policy})
