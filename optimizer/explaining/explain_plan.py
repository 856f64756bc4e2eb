"""What drives the price where zones are on a plan, and what its figures are proven over."""

from __future__ import annotations

from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.asking import Progress
from optimizer.explaining.asking_plan import Better
from optimizer.explaining.explain import explain
from optimizer.instance import Memory
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.loading import LoadedSite
from optimizer.solving.answer import Answer
from optimizer.solving.assumptions import assumptions
from optimizer.solving.cautions import cautions
from optimizer.solving.explanation import Explanation

OVER = (
    "every price below is the least over the ways to aim cameras that were looked at, for the site "
    "as asked or as changed, and over the kits found for one that do for another; a way that was "
    "not looked at might change a figure"
)
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
            answer = with_design(asked, book, answer, better.design)
        else:
            over = OVER if found.binding else ""
            return answer, found.model_copy(update={"over": over})


def with_design(asked: LoadedSite, book: LoadedBook, answer: Answer, design: Design) -> Answer:
    """An answer with a cheaper design: cheapest over the same set and this kit."""
    site = asked.site
    faults = audit_design(site, book.items, book.book.offers, design)
    if faults:
        raise Defect(f"the audit refuses a design: {faults[0]}")
    over = answer.over if BESIDE in answer.over else answer.over + BESIDE
    ties = "not settled between different choices of views"
    return answer.model_copy(
        update={
            **{name: getattr(design, name) for name in Design.model_fields},
            "lower_bound": design.total,
            "gap": 0.0,
            "assumptions": assumptions(site, book, design),
            "cautions": cautions(site, book.items, design),
            "over": over,
            "provenance": answer.provenance.model_copy(update={"ties": ties}),
        }
    )


__all__ = ["BESIDE", "OVER", "explained_on_plan", "with_design"]
