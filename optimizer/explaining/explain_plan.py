"""What drives the price where zones are on a plan, and what its figures are proven over."""

from __future__ import annotations

from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.asking import Progress
from optimizer.explaining.asking_plan import OVER, Better
from optimizer.explaining.carrying import carried
from optimizer.explaining.explain import explain
from optimizer.instance import Memory
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.loading import LoadedSite
from optimizer.site.schema import Site
from optimizer.solving.answer import Answer, proven_to
from optimizer.solving.assumptions import assumptions
from optimizer.solving.cautions import cautions
from optimizer.solving.explanation import Explanation
from optimizer.units import money, money_text

BESIDE = "; and a kit found beside these when the site was asked otherwise, which is cheaper"


def explained_on_plan(
    asked: LoadedSite,
    book: LoadedBook,
    answer: Answer,
    deadline: float,
    say: Progress,
    memory: Memory | None = None,
) -> tuple[Answer, Explanation]:
    """The answer, or a cheaper one that came to light, and what its price hangs on.

    The design of an answer is cheapest by cells. A kit that is found for a site that asks for less
    may meet the site as asked too, by the exact shapes: then it is the answer that is explained.

    Parameters
    ----------
    asked, book, answer, deadline, say, memory
        As for :func:`optimizer.explaining.explain.explain`.

    Raises
    ------
    Defect
        If the audit finds fault with a design.
    """
    memory = memory or Memory()
    while True:
        try:
            found = explain(asked, book, answer, deadline, say, memory)
        except Better as better:
            say("a cheaper kit came to light; asking anew")
            answer = with_design(asked.site, book, answer, better.design)
        else:
            over = OVER if found.binding else ""
            return answer, found.model_copy(update={"over": over})


def with_design(site: Site, book: LoadedBook, answer: Answer, design: Design) -> Answer:
    """An answer with a cheaper design: cheapest over the same set and this kit."""
    faults = audit_design(site, book.items, book.book.offers, design)
    if faults:
        raise Defect(f"the audit refuses a design: {faults[0]}")
    total = money(design.total)
    over = answer.over
    if site.areas and BESIDE not in over:
        over += BESIDE
    ties = "not settled" + (" between different choices of views" if site.areas else "")
    proven = answer.status == "optimal"
    # A search that ended before its time has a bound of its own, or none.
    low = money(design.total) if proven else min(money(answer.lower_bound or "0"), total)
    return answer.model_copy(
        update={
            **{name: getattr(design, name) for name in Design.model_fields},
            **proven_to(low, total),
            "bound_by_shapes": None
            if answer.bound_by_shapes is None
            else money_text(min(money(answer.bound_by_shapes), total)),
            "reasons": (),
            "assumptions": assumptions(site, book, design),
            "cautions": cautions(site, book.items, design),
            "over": over,
            "provenance": answer.provenance.model_copy(update={"ties": ties}),
        }
    )


def unexplained(answer: Answer) -> Answer:
    """An answer whose kit came to light too late to be explained."""
    gone = ("headline", "binding", "headroom", "joint", "next_saving", "why", "figures_over")
    empty = {name: Answer.model_fields[name].get_default() for name in gone}
    left = ("what drives the price: this kit came to light among those of another kind",)
    return answer.model_copy(update={**empty, "left_open": left})


def better_known(site: Site, book: LoadedBook, answer: Answer, other: Answer) -> Answer:
    """An answer, or one with the kit of another site, where that is cheaper and does as well.

    Parameters
    ----------
    site : Site
        That of the answer.
    other : Answer
        To a site that asks for something else.

    Raises
    ------
    Defect
        If the answer was proven cheapest over all kits, and so is not.
    """
    if not other.met or answer.status == "unmeetable":
        return answer
    if answer.met and money(other.total or "0") >= money(answer.total or "0"):
        return answer
    design = carried(site, book, other.design())
    if design is None:
        return answer
    if answer.status == "optimal" and not site.areas:
        raise Defect(f"a kit at {design.total} contradicts the proof of {answer.total}")
    return with_design(site, book, answer, design)


__all__ = ["BESIDE", "better_known", "explained_on_plan", "unexplained", "with_design"]
