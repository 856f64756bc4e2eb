"""What an explanation leaves open: one line for each kind of question."""

from __future__ import annotations

from optimizer.reporting.page import QUIET, Page
from optimizer.solving.answer import Answer
from optimizer.solving.demands import in_few_words
from optimizer.solving.explanation import BEYOND, COSTS, LEAVING_OUT, REACHES, Binding
from optimizer.solving.wording import count

_QUESTIONS = (COSTS, LEAVING_OUT, REACHES, BEYOND)


def show_open(page: Page, answer: Answer, full: bool) -> None:
    """Print what is not settled: in one line, or what of which demands."""
    if not answer.left_open:
        return
    page.gap()
    if full or len(answer.left_open) == 1:
        for line in _lines(answer):
            page.text(line, indent=1, hanging=2, style=QUIET)
        return
    left = {question: len(_of(answer, question)) for question in _QUESTIONS}
    costs, reach, beyond = left[COSTS] + left[LEAVING_OUT], left[REACHES], left[BEYOND]
    other = len(answer.left_open) - costs - reach - beyond
    told = [f"what {count(costs, 'demand')} {'costs' if costs == 1 else 'cost'}"] if costs else []
    told += [f"how far {count(reach, 'demand')} {'goes' if reach == 1 else 'go'}"] if reach else []
    if beyond:
        told.append(f"what the step beyond costs for {count(beyond, 'demand')}")
    told += [count(other, "other question")] if other > 0 else []
    # On a plan more time need not help: what is looked at has an end.
    begin, more = ("left open, as time ran out", "gives")
    if answer.figures_over:
        begin, more = ("left open", "may give")
    page.text(
        f"{begin}: {', '.join(told)}; --time SECONDS {more} more, --full lists them",
        indent=1,
        hanging=2,
        style=QUIET,
    )


def _lines(answer: Answer) -> list[str]:
    """One line for each kind of question about demands, and one for anything else."""
    order = [h.requirement for h in answer.headroom]
    lines = []
    for question in _QUESTIONS:
        demands = _of(answer, question)
        if demands:
            lines.append(f"left open, {question}: {in_few_words(demands, order)}")
    asked = tuple(f": {question}" for question in _QUESTIONS)
    return lines + [f"left open: {one}" for one in answer.left_open if not one.endswith(asked)]


def _of(answer: Answer, question: str) -> list[str]:
    """Demands of which a question is open."""
    tail = f": {question}"
    return [one.removesuffix(tail) for one in answer.left_open if one.endswith(tail)]


def partly_open(one: Binding) -> bool:
    """Whether it is known that a step easier saves nothing, and not what leaving it out does."""
    return one.binds is False and one.dropped is not None and one.dropped.may_save


__all__ = ["partly_open", "show_open"]
