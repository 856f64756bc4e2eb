"""The questions that the command and the Python interface ask, from files or loaded data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from optimizer.audit import Finding, audit_bill, audit_design, read_design, surplus
from optimizer.design import Design
from optimizer.pricebook import LoadedBook, load_book
from optimizer.site import LoadedSite, check_currency, check_references, load_site
from optimizer.solving.answer import Answer

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
        If either is refused, if the site names items that the book has not, or if they count in
        different currencies.
    """
    asked = site if isinstance(site, LoadedSite) else load_site(site)
    prices = book if isinstance(book, LoadedBook) else load_book(book)
    check_currency(asked, prices.book.currency)
    check_references(asked, prices.items, prices.book.name)
    return asked, prices


def solve(
    site: SiteLike,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Answer:
    """Find the cheapest complete kit for a site.

    Parameters
    ----------
    site, book
        As for :func:`prepare`.
    seconds : float
        Time after which the best kit found so far is the answer. [s]
    progress : callable, optional
        Told what is being done, in a few words.

    Returns
    -------
    Answer
        Its status is optimal, feasible, unmeetable or undecided.

    Raises
    ------
    InputError
        As for :func:`prepare`.
    Defect
        If the program contradicts itself; then nothing it found may be used.
    """
    from optimizer.solving import solve_site

    asked, prices = prepare(site, book)
    return solve_site(
        asked.site,
        prices,
        seconds=seconds,
        site_sha256=asked.source.sha256,
        progress=progress,
    )


def findings(
    site: SiteLike,
    design: Answer | Design | BillLines | str | Path,
    book: BookLike = None,
) -> list[Finding]:
    """Audit a design, or a bill alone, against a site.

    Parameters
    ----------
    site, book
        As for :func:`prepare`.
    design : Answer, Design, list of (item, quantity), or path
        What is judged. A path is read as ``leastkit audit`` reads it.

    Returns
    -------
    list of Finding
        Empty if every rule is kept and nothing is in excess. Of a bill alone only quantities
        can be judged.

    Raises
    ------
    InputError
        As for :func:`prepare`, or if the file holds no design.
    ValueError
        If the answer holds no design.
    """
    asked, prices = prepare(site, book)
    judged = read_design(design) if isinstance(design, str | Path) else design
    if isinstance(judged, Answer):
        judged = judged.design()
    site_asked, items, offers = asked.site, prices.items, prices.book.offers
    if isinstance(judged, Design):
        found = audit_design(site_asked, items, offers, judged)
        return [*found, *surplus(site_asked, items, offers, judged)]
    return audit_bill(site_asked, items, offers=offers, bill=list(judged))
