"""What a sum of money buys."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from optimizer import units
from optimizer.errors import InputError, Trouble
from optimizer.questions.preparing import BookLike, SiteLike, prepare, silent, surveyed
from optimizer.site import LoadedSite

if TYPE_CHECKING:
    from optimizer.scenarios import LoadedPhases, PhasePlan, Within


def within(
    site: SiteLike,
    budget: str | None = None,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Within:
    """The best that a budget buys: every must, then wishes by rank, then the least spent.

    Parameters
    ----------
    site, book
        As for :func:`prepare`; the site's `wishes` say what may be given up.
    budget : str, optional
        An amount such as "2500" or "2500.00", with or without tax as the site's budget is meant;
        the budget of the site if left out.
    seconds : float
        For everything; what is not settled by then is left open, and said to be. [s]

    Raises
    ------
    InputError
        As for :func:`prepare`, or if the budget is refused or there is none.
    Defect
        As for :func:`solve`.
    """
    from optimizer.scenarios import within as best_within

    asked, prices = prepare(site, book)
    surveyed(asked, "the best within a budget is")
    amount = budget_of(asked, budget)
    deadline = time.monotonic() + seconds
    return best_within(asked, prices, amount, deadline, progress or silent)


def phases(
    site: SiteLike,
    plan: str | Path | LoadedPhases,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> PhasePlan:
    """The cheapest purchase of a site that is bought in phases, each within its budget.

    Parameters
    ----------
    site, book
        As for :func:`prepare`: the site with all zones, as it stands in the end.
    plan : path or LoadedPhases
        Which zones come when, what is asked from when on, and the budgets.
    seconds : float
        For everything; what is not settled by then is left open, and said to be. [s]

    Raises
    ------
    InputError
        As for :func:`prepare`, or if the phases are refused.
    Defect
        As for :func:`solve`.
    """
    from optimizer.scenarios import load_phases
    from optimizer.scenarios import phases as bought_in_phases

    asked, prices = prepare(site, book)
    surveyed(asked, "a purchase in phases is")
    loaded = load_phases(plan) if isinstance(plan, str | Path) else plan
    deadline = time.monotonic() + seconds
    return bought_in_phases(asked, prices, loaded, deadline, progress or silent)


def budget_of(asked: LoadedSite, budget: str | None) -> int:
    """The budget that is meant: the one given, or that of the site. [hundredth]

    Raises
    ------
    InputError
        If it cannot be read, or there is none.
    """
    if budget is None:
        if asked.site.money.budget is None:
            raise InputError(
                Trouble(
                    "there is no budget",
                    field="budget",
                    accepted=units.MONEY_ACCEPTED,
                    hint="give one: --budget 2500, or money.budget in the site file",
                )
            )
        return asked.site.money.budget
    try:
        return units.money(budget)
    except units.UnitError as error:
        raise InputError(
            Trouble(
                error.what, field="budget", value=budget, accepted=error.accepted, hint=error.hint
            )
        ) from None


__all__ = ["budget_of", "phases", "within"]
