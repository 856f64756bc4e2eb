"""Requirements that bind only together: smallest sets of which dropping all saves, no part of them.

Twins hide each other: of two zones that each need the large drive, neither is worth a cent by
itself. A set is reported when dropping all of it is proven to save and dropping any smaller part
of it is proven to save nothing. It is found by QuickXplain [1]_, which halves what is left over.

References
----------
.. [1] U. Junker, "QuickXplain: preferred explanations and relaxations for over-constrained
   problems", AAAI 2004.
"""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.errors import InputError
from optimizer.explaining.grounds import pools
from optimizer.explaining.inquiry import Inquiry
from optimizer.site.requirements import Requirement
from optimizer.solving.explanation import JointlyBinding

MOST_SETS = 3
"""Sets that are looked for; there may be more."""


class TimeOut(Exception):  # noqa: N818 - not an error: what was found before it stands
    """Time ran out within a search for a set."""


def joint(inquiry: Inquiry, free: Sequence[Requirement]) -> tuple[tuple[JointlyBinding, ...], str]:
    """Sets that bind only together, and what was left open in words (empty if nothing).

    Parameters
    ----------
    free : sequence of Requirement
        Those of which dropping each alone is proven to save nothing, the most telling first.
    """
    found: list[JointlyBinding] = []
    try:
        for pool in pools(inquiry.free, [r for r in free if inquiry.monotone([r])]):
            while len(found) < MOST_SETS and len(pool) > 1:
                members = _smallest(inquiry, pool)
                if not members:
                    break
                found.append(_described(inquiry, members))
                pool = [r for r in pool if r is not members[0]]
    except TimeOut:
        return tuple(found), "requirements that bind only together: time ran out"
    return tuple(found), ""


def _described(inquiry: Inquiry, members: Sequence[Requirement]) -> JointlyBinding:
    known = inquiry.asker.cheapest(inquiry.site({r.id: None for r in members}))
    step = inquiry.step([(r, None, None) for r in members], known)
    return JointlyBinding(requirements=tuple(r.id for r in members), how="dropped", step=step)


def _smallest(inquiry: Inquiry, pool: Sequence[Requirement]) -> list[Requirement]:
    """A smallest set of a pool that saves, in the order of the pool; empty if none does."""
    if not _saves(inquiry, pool):
        return []
    kept = _needed(inquiry, [], list(pool), added=False)
    return [r for r in pool if any(r is one for one in kept)]


def _needed(
    inquiry: Inquiry, background: list[Requirement], pool: list[Requirement], added: bool
) -> list[Requirement]:
    if added and background and _saves(inquiry, background):
        return []
    if len(pool) == 1:
        return pool
    half = (len(pool) + 1) // 2
    first, second = pool[:half], pool[half:]
    late = _needed(inquiry, [*background, *first], second, added=True)
    early = _needed(inquiry, [*background, *late], first, added=bool(late))
    return [*early, *late]


def _saves(inquiry: Inquiry, members: Sequence[Requirement]) -> bool:
    """Whether dropping all of them is proven to save; what the schema refuses saves nothing."""
    try:
        site = inquiry.site({r.id: None for r in members})
    except InputError:
        return False
    inquiry.relaxed(members, site)
    saves = inquiry.asker.saves(site, inquiry.total)
    if saves is None:
        raise TimeOut
    return saves


__all__ = ["MOST_SETS", "joint"]
