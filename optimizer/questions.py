"""The questions that the command and the Python interface ask, from files or loaded data."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from optimizer.audit import Finding, audit_bill, audit_design, read_design, surplus
from optimizer.design import Design
from optimizer.errors import InputError, Trouble
from optimizer.pricebook import LoadedBook, load_book
from optimizer.site import (
    LoadedSite,
    check_currency,
    check_references,
    check_untouchable,
    load_site,
)
from optimizer.solving.answer import Answer

if TYPE_CHECKING:
    from optimizer.scenarios import Comparison, Frontier, LoadedScenarios
    from optimizer.solving.explanation import PriceCurve

SiteLike = str | Path | LoadedSite
BookLike = str | Path | LoadedBook | None
BillLines = Sequence[tuple[str, int]]

_FIRST = 0.3
"""Share of the time in which a design, or the proof that there is none, is first sought."""


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
        If either is refused, if the site names items that the book has not or musts that it does
        not ask for, or if they count in different currencies.
    """
    asked = site if isinstance(site, LoadedSite) else load_site(site)
    prices = book if isinstance(book, LoadedBook) else load_book(book)
    check_currency(asked, prices.book.currency)
    check_references(asked, prices.items, prices.book.name)
    check_untouchable(asked)
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
    from optimizer.explaining.certificate import certify_site
    from optimizer.solving import solve_site

    asked, prices = prepare(site, book)
    return solve_site(
        asked.site,
        prices,
        seconds=seconds,
        site_sha256=asked.source.sha256,
        progress=progress,
        certify=lambda instance, left: certify_site(instance, left) is not None,
    )


def explain(
    site: SiteLike,
    answer: Answer,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
    *,
    prices: bool = False,
) -> Answer:
    """Say what drives the price of an answer, how far its demands reach, and why each line.

    Parameters
    ----------
    site, book
        As for :func:`prepare`: those that the answer was found for.
    answer : Answer
        As solved. One without a design is returned as it is.
    seconds : float
        Time after which what is not settled is left open, and said to be. [s]
    prices : bool
        Also find, line by line, what the kit would cost without the item: a solve for each.

    Returns
    -------
    Answer
        The same with `headline`, `binding`, `headroom`, `joint`, `next_saving`, `left_open`, `why`.

    Raises
    ------
    InputError
        As for :func:`prepare`.
    Defect
        As for :func:`solve`.
    """
    from optimizer.explaining.explain import explain as explained
    from optimizer.explaining.why import unpriced, why, with_prices
    from optimizer.explaining.why_headline import headline

    asked, book_loaded = prepare(site, book)
    if not answer.met:
        return answer
    say = progress or _silent
    deadline = time.monotonic() + seconds
    say("reasons of the lines")
    reasons = why(asked, book_loaded, answer)
    found = explained(asked, book_loaded, answer, deadline, say)
    left_open = found.left_open
    if prices:
        reasons = with_prices(asked, book_loaded, answer, reasons, deadline, say)
        left_open += unpriced(book_loaded, reasons)
    return answer.model_copy(
        update={
            "headline": headline(found),
            "binding": found.binding,
            "headroom": found.headroom,
            "joint": found.joint,
            "next_saving": found.next_saving,
            "left_open": left_open,
            "why": reasons,
        }
    )


def what_if(
    site: SiteLike,
    book: BookLike = None,
    *,
    have: Mapping[str, int] | Sequence[str] = (),
    lack: Sequence[str] = (),
    values: Mapping[str, str] | None = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Answer:
    """The cheapest kit if something were different, and the difference it makes.

    Parameters
    ----------
    site, book
        As for :func:`prepare`.
    have : list of str, or dict of str to int
        Items that the kit must use, at least one of each or as many as stated.
    lack : list of str
        Items that the kit must do without.
    values : dict of str to str
        Requirement id to its value, written as in a site file: ``recording/retention: 45 days``.
    seconds : float
        For both solves together. [s]

    Returns
    -------
    Answer
        To the changed site; its `what_if` holds the changes, the difference in price and that of
        the two bills.

    Raises
    ------
    InputError
        As for :func:`prepare`, or if an item or a requirement is not known or a value refused.
    """
    from optimizer.explaining.difference import Wish, wished
    from optimizer.explaining.difference import what_if as changed_answer

    asked, prices = prepare(site, book)
    numbers = dict(have) if isinstance(have, Mapping) else dict.fromkeys(have, 1)
    wish = Wish(numbers, tuple(lack), values or {})
    wished(asked, prices, wish)  # a slip of the pen is told before anything is solved
    say = progress or _silent
    deadline = time.monotonic() + seconds
    before = solve(asked, prices, seconds, say)
    return changed_answer(asked, prices, before, wish, deadline, say)


def prove(
    site: SiteLike,
    book: BookLike = None,
    values: Mapping[str, str] | None = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
    *,
    conflicts: int = 3,
    ways: int = 5,
    certificate: str | Path | None = None,
) -> Answer:
    """Whether a site can be met: with a design, or proven that not and what would have to change.

    Parameters
    ----------
    site, book
        As for :func:`prepare`.
    values : dict of str to str
        Requirement id to another value, written as in a site file: the question is then about
        the site so changed.
    seconds : float
        For everything; what is not settled by then is left open, and said to be. [s]
    conflicts, ways : int
        Most conflicts and most ways out that are looked for.
    certificate : path, optional
        A folder to make, with a proof that anybody can check: that there is no kit, or that none
        costs less.

    Returns
    -------
    Answer
        With `proof`; where it cannot be met also `conflict`, `argument` and `ways_out`.

    Raises
    ------
    InputError
        As for :func:`prepare`, or if a value is refused, or the folder cannot be written.
    Defect
        As for :func:`solve`.
    """
    from optimizer.explaining.asked import asked_as, text_of
    from optimizer.explaining.proving import Wanted
    from optimizer.explaining.proving import prove as proven

    asked, prices = prepare(site, book)
    if values:
        asked = asked_as(asked, values)
        check_references(asked, prices.items, prices.book.name)
    say = progress or _silent
    folder = None if certificate is None else checked_folder(Path(certificate))
    deadline = time.monotonic() + seconds
    answer = solve(asked, prices, seconds * _FIRST, say)
    wanted = Wanted(conflicts, ways, folder)
    told = proven(asked, prices, answer, wanted, deadline, say)
    if folder is not None and values and told.proof is not None and told.proof.certificate:
        # The site that was asked about is in no file of the user's: it goes with its proof.
        (folder / "site.json").write_text(text_of(asked), encoding="utf-8")
    return told


def told_why(
    site: SiteLike,
    answer: Answer,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Answer:
    """An answer that a site cannot be met, with all that :func:`prove` says of it."""
    from optimizer.explaining.proving import Wanted
    from optimizer.explaining.proving import prove as proven

    asked, prices = prepare(site, book)
    deadline = time.monotonic() + seconds
    return proven(asked, prices, answer, Wanted(), deadline, progress or _silent)


def checked_folder(folder: Path) -> Path:
    """A folder that a certificate can be written to.

    Raises
    ------
    InputError
        If there is something in it, or it cannot be made.
    """
    filled = folder.exists() and (not folder.is_dir() or any(folder.iterdir()))
    if filled or not os.access(folder.absolute().parent, os.W_OK):
        raise InputError(
            Trouble(
                "the certificate cannot be written there",
                file=str(folder),
                accepted="a folder that is new or empty, in one that can be written",
                hint="choose another name",
            )
        )
    return folder


def alternatives(
    site: SiteLike,
    answer: Answer,
    count: int,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Answer:
    """The answer with the cheapest designs of other kinds beside it.

    Parameters
    ----------
    count : int
        Designs that differ in camera models, recorder models or cabling, the answer among them.

    Raises
    ------
    InputError
        As for :func:`prepare`.
    ValueError
        If the count is less than 1.
    """
    from optimizer.explaining.alternatives import alternatives as others

    asked, prices = prepare(site, book)
    if not answer.met:
        return answer
    deadline = time.monotonic() + seconds
    found = others(asked, prices, answer, count, deadline, progress or _silent)
    return answer.model_copy(update={"alternatives": found})


def steps(
    site: SiteLike,
    requirement: str,
    low: str,
    high: str,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> PriceCurve:
    """What each value of one requirement costs at least, as an exact step function.

    Parameters
    ----------
    requirement : str
        Its id, such as ``recording/retention``.
    low, high : str
        First and last value, written as in a site file; a bare number is in the requirement's unit.

    Raises
    ------
    InputError
        As for :func:`prepare`, or if there is no such requirement or a value is refused.
    """
    from optimizer.explaining.curve import curve

    asked, prices = prepare(site, book)
    deadline = time.monotonic() + seconds
    return curve(asked, prices, requirement, low, high, deadline, progress or _silent)


def compare(
    site: SiteLike,
    scenarios: str | Path | LoadedScenarios,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Comparison:
    """The cheapest kit of a site and of each of its scenarios, side by side.

    Parameters
    ----------
    site, book
        As for :func:`prepare`: what the scenarios are changes to.
    scenarios : path or LoadedScenarios
        Named changes to the site.
    seconds : float
        For all of them together. [s]

    Raises
    ------
    InputError
        As for :func:`prepare`, or if a scenario is refused.
    Defect
        As for :func:`solve`.
    """
    from optimizer.scenarios import compare as compared
    from optimizer.scenarios import load_scenarios

    asked, prices = prepare(site, book)
    named = load_scenarios(scenarios) if isinstance(scenarios, str | Path) else scenarios
    deadline = time.monotonic() + seconds
    return compared(asked, prices, named, deadline, progress or _silent)


def frontier(
    site: SiteLike,
    requirement: str,
    low: str,
    high: str,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Frontier:
    """Every pair of a requirement's value and a total that no other pair beats.

    Parameters
    ----------
    requirement, low, high
        As for :func:`steps`.

    Raises
    ------
    InputError
        As for :func:`steps`.
    Defect
        As for :func:`solve`.
    """
    from optimizer.scenarios import frontier as undominated

    asked, prices = prepare(site, book)
    deadline = time.monotonic() + seconds
    return undominated(asked, prices, requirement, low, high, deadline, progress or _silent)


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


def _silent(_words: str) -> None:
    """For a caller who does not want to be told."""
