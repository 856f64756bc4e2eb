"""Scenarios of one site, what its totals are traded against, and many sites."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from optimizer.errors import InputError, Trouble, listed
from optimizer.pricebook import LoadedBook, load_book
from optimizer.questions.preparing import BookLike, SiteLike, prepare, silent, surveyed

if TYPE_CHECKING:
    from optimizer.scenarios import Comparison, Frontier, LoadedScenarios, Portfolio


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
    against: str,
    low: str | None = None,
    high: str | None = None,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
    *,
    weights: Mapping[str, int] | None = None,
) -> Frontier:
    """Every pair of a quantity's value and a total that no other pair beats.

    Parameters
    ----------
    against : str
        Requirement id; "detail" for one level in all zones; "zones" for the zones that are kept.
    low, high : str
        As for :func:`steps`; for "detail" two levels; for "zones" none.
    weights : dict of str to int, optional
        Zone id to its weight, 1 where nothing is said; with "zones" only.

    Raises
    ------
    InputError
        As for :func:`steps`, or for ends and weights that do not go with the quantity.
    Defect
        As for :func:`solve`.
    """
    from optimizer.scenarios import frontier as undominated
    from optimizer.scenarios.quantities import ZONES, Range

    asked, prices = prepare(site, book)
    if against == ZONES:
        surveyed(asked, "a frontier over zones is")
    deadline = time.monotonic() + seconds
    over = Range(low, high, weights or {})
    return undominated(asked, prices, against, over, deadline, progress or silent)


def many(
    sites: Sequence[str | Path],
    out: str | Path,
    book: BookLike = None,
    scenarios: str | Path | LoadedScenarios | None = None,
    seconds: float = 60,
    progress: Callable[[int, int], None] | None = None,
    *,
    processes: int | None = None,
    cluster: str | None = None,
    note: Callable[[str], None] | None = None,
) -> Portfolio:
    """The cheapest kits of many sites, and what they cost bought in one order.

    Parameters
    ----------
    sites : list of path
        Site files, and folders of them.
    out : path
        Folder for the answers, ``summary.json``, ``summary.csv`` and ``purchase.csv``. Answers
        that it holds already are used where site, price book and version are the same.
    scenarios : path or LoadedScenarios, optional
        Named changes, made to each of the sites.
    seconds : float
        For each answer. [s]
    progress : callable, optional
        Told how many answers are there, of how many.
    processes : int, optional
        At work at a time on this machine; one for each of its cores if left out.
    cluster : str, optional
        Address of the scheduler of a Dask cluster that does the work instead.
    note : callable, optional
        Told of files that were passed over, and of kept answers that could not be used.

    Raises
    ------
    InputError
        As for :func:`prepare` and :func:`compare`; if the folder cannot be used or written, or the
        cluster is not there or runs other versions. What is finished by then is kept.
    """
    from optimizer.reporting.many import portfolio_csv, purchase_csv
    from optimizer.scenarios import load_scenarios
    from optimizer.scenarios.cluster import Cluster
    from optimizer.scenarios.gathering import gather
    from optimizer.scenarios.keeping import Folder
    from optimizer.scenarios.many import local
    from optimizer.scenarios.many import many as solved

    say, tell = note or silent, progress or _uncounted
    gathered = gather(sites)
    if gathered.passed_over:
        say(f"not sites, passed over: {listed(map(str, gathered.passed_over))}")
    prices = book if isinstance(book, LoadedBook) else load_book(book)
    asked, troubles = {}, list[Trouble]()
    for name, path in gathered.sites.items():
        try:
            asked[name] = prepare(path, prices)[0]
        except InputError as error:
            troubles += error.troubles
    if troubles:
        raise InputError(*troubles)
    named = load_scenarios(scenarios) if isinstance(scenarios, str | Path) else scenarios
    with Folder(out, say) as folder:
        with Cluster(cluster) if cluster else nullcontext(local(processes or _cores())) as run:
            found = solved(asked, prices, named, folder, seconds, run, tell)
        folder.put(folder.path / "summary.json", found.as_json())
        folder.put(folder.path / "summary.csv", portfolio_csv(found))
        folder.put(folder.path / "purchase.csv", purchase_csv(found))
    return found


def _uncounted(_done: int, _of: int) -> None:
    """For a caller who does not want to be told."""


def _cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0))
