"""Solving several sites in one stretch of time, on both cores."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Sequence

from optimizer.pricebook import LoadedBook
from optimizer.scenarios.crew import CORES, Doer, Task, beside, crew, in_turn
from optimizer.site import LoadedSite
from optimizer.solving.answer import Answer

Progress = Callable[[str], None]
Asked = tuple[LoadedSite, LoadedBook]

_WORTH = 10
"""Zones, over all sites to be solved, from which on it pays to start processes for them."""

_SOLVING = 0.85
"""Share of the time for totals; what stands in the way of unmeetable sites gets the rest."""

_LEAST = 0.1
"""Least time that a site is given. [s]"""

_AGAIN = 1.5
"""A site that is left open is tried again if it would get so many times the time it had."""


def answers_to(
    asked: Sequence[Asked], deadline: float, say: Progress, *, reasons: bool = True
) -> list[Answer]:
    """The answer to each site, in their order.

    Sites that are alike are solved once. Each gets the same share of the time; what proven ones
    leave over goes to the others in further rounds, so that no answer hangs on the order of the
    sites.

    Parameters
    ----------
    deadline : float
        On the clock of ``time.monotonic``. [s]
    reasons : bool
        Whether a conflict is sought for the sites that cannot be met.

    Raises
    ------
    Defect
        If the program contradicts itself.
    """
    marks = [mark(*one) for one in asked]
    first = dict(zip(reversed(marks), reversed(asked), strict=True))
    waiting = {mark: first[mark] for mark in dict.fromkeys(marks)}
    zones = sum(len(site.site.zones) for site, _ in waiting.values())
    if len(waiting) < CORES or zones < _WORTH:
        found = _rounds(Task.done, in_turn, 1, waiting, deadline, say, reasons)
    else:
        with crew() as doer:
            found = _rounds(doer, beside, CORES, waiting, deadline, say, reasons)
    return [under(found[mark], site) for mark, (site, _) in zip(marks, asked, strict=True)]


def mark(site: LoadedSite, book: LoadedBook) -> str:
    """What a site asks of which price book, as text."""
    return book.sha256 + json.dumps(site.site.model_dump(mode="json"))


def under(answer: Answer, site: LoadedSite) -> Answer:
    """The answer under the checksum of the file that was asked about."""
    digest = {"site_sha256": site.source.sha256}
    return answer.model_copy(update={"provenance": answer.provenance.model_copy(update=digest)})


def _rounds(
    doer: Doer,
    manner: Callable[[Doer, Sequence[Task], Callable[[int], None]], list[Answer]],
    cores: int,
    waiting: dict[str, Asked],
    deadline: float,
    say: Progress,
    reasons: bool,
) -> dict[str, Answer]:
    begun = time.monotonic()
    end = begun + (deadline - begun) * (_SOLVING if reasons else 1.0)
    found: dict[str, Answer] = {}
    left, had = list(waiting), 0.0
    while left:
        seconds = max((end - time.monotonic()) * cores / max(len(left), cores), _LEAST)
        if had and seconds < had * _AGAIN:
            break
        tasks = [Task(*waiting[mark], seconds) for mark in left]
        told = _saying(say, "solved" if not had else "tried again", len(left))
        for mark, answer in zip(left, manner(doer, tasks, told), strict=True):
            found[mark] = _better(found.get(mark), answer)
        left, had = [m for m in left if found[m].status in ("feasible", "undecided")], seconds
    unmet = [m for m in waiting if found[m].status == "unmeetable"]
    if unmet and reasons and time.monotonic() < deadline:
        share = (deadline - time.monotonic()) * cores / max(len(unmet), cores)
        # Nobody waits longer for one conflict than for any other site of the comparison.
        seconds = max(min(share, (deadline - begun) / len(waiting)), _LEAST)
        tasks = [Task(*waiting[mark], seconds, found[mark]) for mark in unmet]
        told = _saying(say, "asked what stands in the way", len(unmet))
        found.update(zip(unmet, manner(doer, tasks, told), strict=True))
    return found


def _saying(say: Progress, what: str, number: int) -> Callable[[int], None]:
    def said(done: int) -> None:
        say(f"{what}: {done} of {number}")

    said(0)
    return said


def _better(before: Answer | None, after: Answer) -> Answer:
    """The second answer, unless it says less than the first."""
    if before is None or after.status in ("optimal", "unmeetable"):
        return after
    if before.total is None or (after.total is not None and after.gap is not None):
        known = before.gap is None or (after.gap is not None and after.gap <= before.gap)
        return after if known else before
    return before


__all__ = ["answers_to", "mark", "under"]
