"""Why a site has no proven kit, in one line."""

from __future__ import annotations

from optimizer.errors import listed
from optimizer.scenarios.crew import CUT_SHORT
from optimizer.solving.answer import Answer
from optimizer.solving.proof import ConflictMember


def because(answer: Answer) -> str:
    """Why there is no proven kit, in one line; empty where there is a kit."""
    if answer.status == "undecided":
        return "neither a kit nor a proof that there is none was found in the time given"
    if answer.status != "unmeetable":
        return ""
    cut = f"; {CUT_SHORT}" if CUT_SHORT in answer.left_open else ""
    if answer.conflict:
        first = answer.conflict[0]
        members = listed(_member(m) for m in first.members)
        if len(first.members) == 1:
            return f"no kit meets {members}{cut}"
        rest = "" if first.smallest else "; some of them may not be needed for that"
        return f"these cannot hold together: {members}{rest}{cut}"
    if answer.reasons:
        return f"{answer.reasons[0].place}: {answer.reasons[0].limit}{cut}"
    return f"no kit meets all of it, proven{cut or '; which demands conflict was not asked'}"


def _member(one: ConflictMember) -> str:
    """A member with its value; a zone or an audio point has none but its name."""
    return f"{one.requirement} ({one.asked})" if "/" in one.requirement else one.requirement


__all__ = ["because"]
