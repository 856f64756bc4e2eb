"""What cannot hold together in a site, and the smallest changes that help, each in its time."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from optimizer.explaining.asking import Progress
from optimizer.explaining.conflicts import Quarrels, further, several, with_known
from optimizer.explaining.holding import Holding, Memory
from optimizer.explaining.ways_out import Sets, budget_alone, sets_of, singles, ways_out
from optimizer.solving.proof import WaysOut

LONGEST = 3
"""Most requirements that a way out may touch."""

_CONFLICTS, _SETS, _WAYS = 0.4, 0.6, 0.75
"""Shares of the time by which each part is to be settled."""


@dataclass(frozen=True)
class Wanted:
    """How much is asked for.

    Attributes
    ----------
    conflicts, ways : int
        Most of each.
    certificate : Path or None
        Folder to write the certificate to.
    certified : bool
        Whether a certificate is sought at all.
    """

    conflicts: int = 3
    ways: int = 5
    certificate: Path | None = None
    certified: bool = True


@dataclass(frozen=True)
class Standing:
    """What cannot hold together, and what helps.

    Attributes
    ----------
    all_conflicts : bool
        Whether there is proven to be no other conflict.
    open : tuple of str
        What was not settled.
    """

    quarrels: Quarrels
    ways: WaysOut
    all_conflicts: bool
    open: tuple[str, ...]


def stand(
    holding: Holding, wanted: Wanted, until: Callable[[float], float], say: Progress
) -> Standing:
    """Find the conflicts of a site that is unmeetable, and the ways out.

    Parameters
    ----------
    until : callable
        A share of the time given to when that is used up. [s]
    """
    asker, memory = holding.asker, Memory(holding)
    say("looking for what cannot hold together")
    asker.deadline = until(_CONFLICTS)
    needed = _needed(holding, memory, until)
    quarrels, left = _quarrels(holding, memory, wanted, until, needed)
    asker.deadline = until(_SETS)
    say("asking what a higher budget would do")
    budget = budget_alone(holding)
    say("looking for ways out")
    sets = _sets(holding, memory, quarrels, wanted, until(_SETS))
    asker.deadline = until(_WAYS)
    quarrels = further(holding, quarrels, sets.conflicts, wanted.conflicts, until(_WAYS))
    ways = ways_out(holding, sets, wanted.ways, budget, until(_WAYS))
    quarrels = with_known(holding, quarrels)
    return Standing(quarrels, ways, sets.all_conflicts and not left, left)


def _needed(holding: Holding, memory: Memory, until: Callable[[float], float]) -> frozenset[str]:
    """Where money alone is lacking: requirements each of which is a way out by itself."""
    if holding.limit is None or holding.any(holding.free) is not True:
        return frozenset()
    end = until(_CONFLICTS / 2)
    return frozenset(
        i for s in singles(holding, memory, lambda: time.monotonic() < end).found for i in s
    )


def _quarrels(
    holding: Holding,
    memory: Memory,
    wanted: Wanted,
    until: Callable[[float], float],
    needed: frozenset[str],
) -> tuple[Quarrels, tuple[str, ...]]:
    found = several(
        holding,
        memory,
        wanted.conflicts,
        until(_CONFLICTS),
        lambda: until(_CONFLICTS / 2),
        needed,
    )
    left = found.open
    if not found.conflicts and not left:
        left = ("which requirements stand in each other's way",)
    return found, left


def _sets(holding: Holding, memory: Memory, quarrels: Quarrels, wanted: Wanted, end: float) -> Sets:
    conflicts = [c.ids for c in quarrels.conflicts]
    if not conflicts:
        return Sets(LONGEST)
    return sets_of(holding, memory, conflicts, wanted.ways, LONGEST, lambda: time.monotonic() < end)


__all__ = ["Standing", "Wanted", "stand"]
