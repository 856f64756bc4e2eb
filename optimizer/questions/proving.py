"""Whether a site can be met, and the proof."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from pathlib import Path

from optimizer.questions.preparing import (
    BookLike,
    SiteLike,
    checked_folder,
    prepare,
    silent,
)
from optimizer.questions.solving import solve
from optimizer.site import check_references
from optimizer.solving.answer import Answer

_FIRST = 0.3
"""Share of the time in which a design, or the proof that there is none, is first sought."""


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
    say = progress or silent
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
    return proven(asked, prices, answer, Wanted(), deadline, progress or silent)
