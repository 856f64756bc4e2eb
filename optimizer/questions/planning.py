"""Scenarios of one site, and what its totals are traded against."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from optimizer.questions.preparing import BookLike, SiteLike, prepare, silent

if TYPE_CHECKING:
    from optimizer.scenarios import Comparison, Frontier, LoadedScenarios


def compare(
    site: SiteLike,
    scenarios: str | Path | LoadedScenarios,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Comparison:
    """The cheapest kit of a site and of each of its scenarios, side by side.

    Parameters
    ----------
    site, book
        As for :func:`prepare`: what the scenarios are changes to.
    scenarios : path or LoadedScenarios
        Named changes to the site.
    seconds : float
        For all of them together. [s]

    Raises
    ------
    InputError
        As for :func:`prepare`, or if a scenario is refused.
    Defect
        As for :func:`solve`.
    """
    from optimizer.scenarios import compare as compared
    from optimizer.scenarios import load_scenarios

    asked, prices = prepare(site, book)
    named = load_scenarios(scenarios) if isinstance(scenarios, str | Path) else scenarios
    deadline = time.monotonic() + seconds
    return compared(asked, prices, named, deadline, progress or silent)


def frontier(
    site: SiteLike,
    requirement: str,
    low: str,
    high: str,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Frontier:
    """Every pair of a requirement's value and a total that no other pair beats.

    Parameters
    ----------
    requirement, low, high
        As for :func:`steps`.

    Raises
    ------
    InputError
        As for :func:`steps`.
    Defect
        As for :func:`solve`.
    """
    from optimizer.scenarios import frontier as undominated

    asked, prices = prepare(site, book)
    deadline = time.monotonic() + seconds
    return undominated(asked, prices, requirement, low, high, deadline, progress or silent)
