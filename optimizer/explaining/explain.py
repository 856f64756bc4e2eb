"""The whole explanation of a proven answer: what drives its price and how far each demand reaches.

The questions are put in a fixed order: what binds, how far each requirement reaches, what whole
places cost, and then what binds only together. Where time runs out, what is left is said to be
open.
"""

from __future__ import annotations

import time
from contextlib import closing

from optimizer.design import Design
from optimizer.explaining.asking import Asker, Progress
from optimizer.explaining.asking_plan import asker_for
from optimizer.explaining.binding import (
    ask,
    ask_of_places,
    next_saving,
    saving,
    told,
    with_first_saving,
)
from optimizer.explaining.headroom import Reaching
from optimizer.explaining.inquiry import Inquiry
from optimizer.explaining.joint import joint
from optimizer.instance import Memory
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import reaches, requirements
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import (
    BEYOND,
    COSTS,
    LEAVING_OUT,
    REACHES,
    Binding,
    Explanation,
    Headroom,
    JointlyBinding,
    NextSaving,
)

_BINDING, _REACHES, _HEADROOM, _PLACES = 0.42, 0.85, 0.92, 0.96
"""Shares of the time by which each kind of question is to be settled."""


def explain(
    asked: LoadedSite,
    book: LoadedBook,
    answer: Answer,
    deadline: float,
    say: Progress,
    memory: Memory | None = None,
) -> Explanation:
    """What the price of an answer hangs on.

    Parameters
    ----------
    asked : LoadedSite
        The question.
    answer : Answer
        To it, with a design.
    deadline : float
        On the clock of ``time.monotonic``. [s]
    say : callable
        Told what is being done, in a few words.
    memory : Memory, optional
        What was worked out for sites with the same book.

    Returns
    -------
    Explanation
        Without findings where the answer is not proven cheapest: then nothing can be said about
        what lowers its price.

    Raises
    ------
    ValueError
        If the answer holds no design.
    Defect
        If two proofs contradict each other, or the audit finds fault with a design.
    Better
        If zones are on a plan and a cheaper kit of the same site comes to light.
    """
    design = answer.design()
    if answer.status != "optimal":
        return Explanation(
            total=design.total,
            currency=design.currency,
            complete=False,
            left_open=("the price itself is not proven to be the lowest",),
        )
    with closing(asker_for(asked.site, book, deadline, say, memory)) as asker:
        return _explained(asked, book, design, asker, say)


def _explained(
    asked: LoadedSite, book: LoadedBook, design: Design, asker: Asker, say: Progress
) -> Explanation:
    begun, deadline = time.monotonic(), asker.deadline
    inquiry = Inquiry.of(asked, book, design, asker)

    def until(share: float) -> None:
        asker.deadline = begun + share * (deadline - begun)

    listed = requirements(asked)
    say("asking what the price hangs on")
    until(_BINDING)
    ask(inquiry, listed)
    say("asking how far each requirement reaches")
    until(_REACHES)
    reaching = Reaching(inquiry, reaches(asked))
    reaching.climb()
    until(_HEADROOM)
    heads = reaching.found()
    say("asking what whole places cost")
    until(_PLACES)
    ask_of_places(inquiry, listed)
    bound = told(inquiry, listed)
    say("asking for what binds only together")
    until(1.0)
    free = {b.requirement for b in bound if _saves_nothing(b)}
    sets, open_sets = joint(inquiry, [r for r in listed if r.id in free and r.id != "budget"])
    first = next_saving(bound)
    if first is None or first.step.changes[0].steps != 1:
        bound = with_first_saving(inquiry, bound, listed)
        first = next_saving(bound)
    if first is None and sets:
        first = NextSaving(step=min(sets, key=lambda s: len(s.requirements)).step)
    left = _left_open(bound, heads, sets, open_sets)
    return Explanation(
        total=design.total,
        currency=design.currency,
        binding=bound,
        headroom=heads,
        joint=sets,
        next_saving=first,
        complete=not left,
        left_open=left,
    )


def _saves_nothing(one: Binding) -> bool:
    return one.dropped is not None and one.dropped.status == "proven" and saving(one.dropped) <= 0


def _left_open(
    bound: tuple[Binding, ...],
    heads: tuple[Headroom, ...],
    sets: tuple[JointlyBinding, ...],
    open_sets: str,
) -> tuple[str, ...]:
    left = [f"{b.requirement}: {_question(b)}" for b in bound if _question(b)]
    left += [f"{h.requirement}: {REACHES}" for h in heads if not h.proven]
    left += [
        f"{h.requirement}: {BEYOND}"
        for h in heads
        if h.proven and h.next is not None and h.next.status == "between"
    ]
    left += [
        f"{' and '.join(s.requirements)}: what they cost together"
        for s in sets
        if s.step.status == "between"
    ]
    return (*left, open_sets) if open_sets else tuple(left)


def _question(one: Binding) -> str:
    """What is open of what a demand costs; empty where nothing is."""
    eased, dropped = (s is not None and s.may_save for s in (one.eased, one.dropped))
    if eased or (dropped and one.eased is None):
        return COSTS
    return LEAVING_OUT if dropped else ""


__all__ = ["explain"]
