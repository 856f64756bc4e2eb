"""The cheapest kit, what it hangs on, and what if it were asked otherwise."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from optimizer.questions.preparing import (
    BookLike,
    SiteLike,
    checked_folder,
    prepare,
    silent,
)
from optimizer.solving.answer import Answer

if TYPE_CHECKING:
    from optimizer.solving.explanation import PriceCurve

_CURVE = 0.6
"""Share of the time for a price curve where its certificates are asked for too."""


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
    from optimizer.explaining.asking_plan import Better
    from optimizer.explaining.explain import explain as explained
    from optimizer.explaining.explain_plan import explained_on_plan, with_design
    from optimizer.explaining.why import unpriced, why, with_prices
    from optimizer.explaining.why_headline import headline
    from optimizer.instance import Memory

    asked, book_loaded = prepare(site, book)
    if not answer.met:
        return answer
    say = progress or silent
    deadline = time.monotonic() + seconds
    memory = Memory() if asked.site.areas else None
    while True:
        if asked.site.areas:
            answer, found = explained_on_plan(asked, book_loaded, answer, deadline, say, memory)
        say("reasons of the lines")
        reasons = why(asked, book_loaded, answer, memory)
        if not asked.site.areas:
            found = explained(asked, book_loaded, answer, deadline, say)
        left_open = found.left_open
        if prices:
            try:
                reasons = with_prices(asked, book_loaded, answer, reasons, deadline, say)
            except Better as better:
                answer = with_design(asked.site, book_loaded, answer, better.design)
                continue
            left_open += unpriced(book_loaded, reasons)
        break
    return answer.model_copy(
        update={
            "headline": headline(found),
            "figures_over": found.over,
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
    say = progress or silent
    deadline = time.monotonic() + seconds
    before = solve(asked, prices, seconds, say)
    return changed_answer(asked, prices, before, wish, deadline, say)


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
    from optimizer.explaining.asking_plan import Better
    from optimizer.explaining.explain_plan import unexplained, with_design

    asked, prices = prepare(site, book)
    if not answer.met:
        return answer
    deadline = time.monotonic() + seconds
    while True:
        try:
            found = others(asked, prices, answer, count, deadline, progress or silent)
        except Better as better:
            answer = unexplained(with_design(asked.site, prices, answer, better.design))
        else:
            return answer.model_copy(update={"alternatives": found})


def steps(
    site: SiteLike,
    requirement: str,
    low: str,
    high: str,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
    certificate: str | Path | None = None,
) -> PriceCurve:
    """What each value of one requirement costs at least, as an exact step function.

    Parameters
    ----------
    requirement : str
        Its id, such as ``recording/retention``.
    low, high : str
        First and last value, written as in a site file; a bare number is in the requirement's unit.
    certificate : path, optional
        A folder to make, with a proof for each price that anybody can check.

    Raises
    ------
    InputError
        As for :func:`prepare`, or if there is no such requirement, a value is refused, or the
        folder cannot be written.
    """
    from optimizer.explaining.certified_steps import certify_steps
    from optimizer.explaining.curve import curve

    asked, prices = prepare(site, book)
    say = progress or silent
    begun = time.monotonic()
    if certificate is None:
        return curve(asked, prices, requirement, low, high, begun + seconds, say)
    folder = checked_folder(Path(certificate))
    found = curve(asked, prices, requirement, low, high, begun + _CURVE * seconds, say)
    return certify_steps(asked, prices, found, folder, begun + seconds, say)
