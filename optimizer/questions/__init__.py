"""The questions that the command and the Python interface ask, from files or loaded data."""

from optimizer.questions.judging import findings
from optimizer.questions.planning import compare, frontier, many
from optimizer.questions.preparing import BillLines, BookLike, SiteLike, checked_folder, prepare
from optimizer.questions.proving import prove, told_why
from optimizer.questions.solving import alternatives, explain, solve, steps, what_if
from optimizer.questions.spending import phases, within

__all__ = [
    "BillLines",
    "BookLike",
    "SiteLike",
    "alternatives",
    "checked_folder",
    "compare",
    "explain",
    "findings",
    "frontier",
    "many",
    "phases",
    "prepare",
    "prove",
    "solve",
    "steps",
    "told_why",
    "what_if",
    "within",
]
