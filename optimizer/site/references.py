"""Checks of a site against the price book it is solved with."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from optimizer.errors import InputError, Trouble, listed, quoted
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath, dotted
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import requirements


def check_references(loaded_site: LoadedSite, known_ids: Collection[str], book_name: str) -> None:
    """Check that every item a site names is in the price book.

    Parameters
    ----------
    loaded_site : LoadedSite
        The site.
    known_ids : collection of str
        Ids of all items of the price book.
    book_name : str
        Its name, for messages.

    Raises
    ------
    InputError
        With one trouble for each unknown id, in the order of the file.
    """
    source = loaded_site.source
    known = frozenset(known_ids)
    troubles = [
        Trouble(
            f"the price book has no item {quoted(item)}",
            source.name,
            source.line_of(path),
            dotted(path),
            item,
            f"an id of an item in {book_name}",
            suggest(item, known_ids, "`leastkit book list` shows the ids"),
        )
        for path, item in _named(loaded_site)
        if item not in known
    ]
    if troubles:
        raise InputError(*sorted(troubles, key=lambda t: t.line or 0))


def check_untouchable(loaded_site: LoadedSite) -> None:
    """Check that every must that a site names is one of its requirements.

    Raises
    ------
    InputError
        With one trouble for each that is not, in the order of the file.
    """
    source, named = loaded_site.source, loaded_site.site.untouchable
    if not named:
        return
    ids = [r.id for r in requirements(loaded_site)]
    troubles = [
        Trouble(
            f"the site asks for nothing called {quoted(name)}",
            source.name,
            source.line_of(("untouchable", index)),
            f"untouchable.{index}",
            name,
            listed(ids),
            suggest(name, ids, "an id is made of place/quantity, as answers show them"),
        )
        for index, name in enumerate(named)
        if name not in ids
    ]
    if troubles:
        raise InputError(*troubles)


def check_currency(loaded_site: LoadedSite, book_currency: str) -> None:
    """Check that site and price book count in the same money.

    Raises
    ------
    InputError
        If they do not: prices are never converted.
    """
    source, currency = loaded_site.source, loaded_site.site.money.currency
    if currency != book_currency:
        path = ("money", "currency")
        raise InputError(
            Trouble(
                f"the site counts in {currency}, its price book in {book_currency}",
                source.name,
                source.line_of(path),
                dotted(path),
                currency,
                book_currency,
                "prices are never converted: use a price book in the currency of the site",
            )
        )


def _named(loaded_site: LoadedSite) -> Iterator[tuple[FieldPath, str]]:
    site = loaded_site.site
    for i, owned in enumerate(site.owned):
        yield ("owned", i, "item"), owned.item
    for i, needed in enumerate(site.policy.require):
        yield ("policy", "require", i, "item"), needed.item
    for i, item in enumerate(site.policy.forbid):
        yield ("policy", "forbid", i), item
    for item in site.recording.measured:
        yield ("recording", "measured", item), item
