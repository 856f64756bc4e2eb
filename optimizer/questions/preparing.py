"""A site and the price book for it, from files or loaded data."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path

from optimizer.errors import InputError, Trouble
from optimizer.pricebook import LoadedBook, load_book
from optimizer.site import (
    LoadedSite,
    check_currency,
    check_references,
    check_untouchable,
    check_wishes,
    load_site,
)

SiteLike = str | Path | LoadedSite
BookLike = str | Path | LoadedBook | None
BillLines = Sequence[tuple[str, int]]


def prepare(site: SiteLike, book: BookLike = None) -> tuple[LoadedSite, LoadedBook]:
    """Load a site and the price book for it, and check that they go together.

    Parameters
    ----------
    site : path or LoadedSite
        What is asked.
    book : path or LoadedBook, optional
        What can be bought; the built-in book if left out.

    Raises
    ------
    InputError
        If either is refused, if the site names items that the book has not, or musts or
        wishes that it does not ask for, or if they count in different currencies.
    """
    asked = site if isinstance(site, LoadedSite) else load_site(site)
    prices = book if isinstance(book, LoadedBook) else load_book(book)
    check_currency(asked, prices.book.currency)
    check_references(asked, prices.items, prices.book.name)
    check_untouchable(asked)
    check_wishes(asked)
    return asked, prices


def surveyed(asked: LoadedSite, what: str) -> None:
    """Refuse a question that is not answered where zones are on a plan.

    There a design is proven cheapest over listed ways to aim cameras only: what is ruled out is
    ruled out for these, which is less than such an answer claims.

    Parameters
    ----------
    what : str
        What is not worked out, beginning a sentence.

    Raises
    ------
    InputError
        Naming the first zone on a plan.
    """
    if asked.site.areas:
        raise InputError(
            Trouble(
                f"{what} not worked out for sites with zones on a plan",
                asked.source.name,
                field=f"zones.{asked.site.areas[0].id}/area",
                accepted="a site whose zones are surveyed views",
                hint="what is ruled out there is so for the listed ways to aim only; ask leastkit "
                "solve about the site with the value changed",
            )
        )


def silent(_words: str) -> None:
    """For a caller who does not want to be told."""


def _can_be_made(folder: Path) -> bool:
    """Whether something can be put beside a folder; asking for permission alone is not enough."""
    try:
        with tempfile.TemporaryDirectory(prefix=f".{folder.name}.", dir=folder.absolute().parent):
            return True
    except OSError:
        return False


def checked_folder(folder: Path) -> Path:
    """A folder that a certificate can be written to.

    Raises
    ------
    InputError
        If there is something in it, or it cannot be made.
    """
    filled = folder.exists() and (not folder.is_dir() or any(folder.iterdir()))
    if filled or not _can_be_made(folder):
        raise InputError(
            Trouble(
                "the certificate cannot be written there",
                file=str(folder),
                accepted="a folder that is new or empty, in one that can be written",
                hint="choose another name",
            )
        )
    return folder
