"""Purchases in phases of random small sites, between two bounds by the second formulation.

``python -m tests.optimality.phases 0 100`` runs 100 sites and tells what differs, and of how many
plans the bounds meet. Each phase is written as a site of its own by :mod:`tests.optimality.second`
into one program, whose phases share what they buy. From below: only the camera items of each
place, the cables cut for it, and the number of pieces of each item in use are held together, so
nothing cheaper can be right. From above: each phase in turn, bought by itself by the program under
test and found complete by the audit, so the plan may not cost more.
"""

from __future__ import annotations

import random
import sys
import time
from typing import Any

from optimizer.errors import Defect
from optimizer.explaining.inquiry import without_budget
from optimizer.pricebook.schema import Book
from optimizer.reading.source import Source
from optimizer.scenarios import LoadedPhases, PhasePlan, phases
from optimizer.scenarios.phase_loading import sites_of
from optimizer.scenarios.phase_schema import Phases
from optimizer.site.schema import Site
from optimizer.units import money, money_text
from tests.optimality.asking import loaded
from tests.optimality.explaining import small_case, unread
from tests.optimality.generator import random_case
from tests.optimality.readings import total_of
from tests.optimality.second import second_opinion
from tests.optimality.second_phases import second_phases

SECONDS = 300.0


def drawn(number: int) -> tuple[Site, Book, LoadedPhases] | None:
    """A site of two or three zones in two phases; None where it has but one zone."""
    site, book = small_case(number) if number % 2 else random_case(number)
    if not 2 <= len(site.zones) <= 3 or site.policy.require:
        return None
    rng = random.Random(3_000_000 + number)
    site = without_budget(site)
    ids = [zone.id for zone in site.zones]
    rng.shuffle(ids)
    cut = rng.randint(1, len(ids) - 1)
    points = [point.id for point in site.audio.points if point.zone is None]
    entries: list[dict[str, Any]] = [
        {"id": "first", "zones": ids[:cut]},
        {"id": "then", "zones": ids[cut:], "audio": points},
    ]
    draw = rng.random()
    if draw < 0.3:
        entries[0]["set"] = {"recording/retention": "3 days"}
        entries[1]["set"] = {"recording/retention": f"{rng.choice((10, 20))} days"}
    elif draw < 0.5:
        entries[0]["set"] = {"spare/channels": "0"}
        entries[1]["set"] = {"spare/channels": str(rng.randint(1, 6))}
    elif site.recording.export:
        ways = [f"recording/export.{way}" for way in site.recording.export]
        entries[0]["set"] = dict.fromkeys(ways, "false")
        entries[1]["set"] = dict.fromkeys(ways, "true")
    data = {"leastkit": "phases/1", "phases": entries}
    return site, book, LoadedPhases(Phases.model_validate(data), Source("drawn", data, {}, ""))


def compared(number: int) -> tuple[list[str], int, bool]:
    """What is wrong with a case, how many figures were compared, whether the bounds meet."""
    case = drawn(number)
    if case is None:
        return [], 0, False
    site, book, plan = case
    end = time.monotonic() + SECONDS
    found = phases(unread(site), loaded(book), plan, end, lambda _: None)
    sites = sites_of(unread(site), plan)
    low = second_phases(sites, book)
    if found.status == "unmeetable":
        # A relaxation may be met where the plan is not; never the other way round.
        return [], 1, low is None
    if found.status != "optimal":
        return [f"left open: {found.status}"], 1, False
    assert found.net is not None
    net = money(found.net)
    wrong = _laws(found, sites, book)
    if low is None or low > net:
        wrong.append(f"at least {low}, told {net}")
    more, figures, meet = _within_budget(found, case, sites)
    return wrong + more, 4 + figures, low == net and meet


def _within_budget(
    before: PhasePlan, case: tuple[Site, Book, LoadedPhases], sites: tuple[Site, ...]
) -> tuple[list[str], int, bool]:
    """The same with a first phase that may cost no more than by itself, where it cost more."""
    site, book, plan = case
    first = before.phases[0]
    if first.apart is None or money(first.apart) == money(first.total):
        return [], 0, True
    net = second_opinion(sites[0], book)
    assert net is not None
    budget = money_text(total_of(site, net) if site.money.budget_includes_tax else net)
    data = plan.phases.model_dump(mode="json")
    data["phases"][0]["budget"] = budget
    tight = LoadedPhases(Phases.model_validate(data), Source("drawn", data, {}, ""))
    end = time.monotonic() + SECONDS
    found = phases(unread(site), loaded(book), tight, end, lambda _: None)
    low = second_phases(sites, book, [net])
    if found.status == "unmeetable":
        return [], 1, low is None
    if found.status != "optimal" or found.net is None or before.net is None:
        return [f"with a budget of {budget} left open"], 1, False
    wrong = []
    if low is None or low > money(found.net):
        wrong.append(f"with a budget of {budget} at least {low}, told {found.net}")
    if money(found.net) < money(before.net):
        wrong.append(f"with a budget {found.net}, without {before.net}")
    if found.phases[0].budget != budget or money(found.phases[0].net) > net:
        wrong.append(f"the first phase costs {found.phases[0].net}, its budget allows {net}")
    return wrong, 3, low == money(found.net)


def _laws(found: PhasePlan, sites: tuple[Site, ...], book: Book) -> list[str]:
    wrong = []
    assert found.total is not None
    if found.apart.total is not None and money(found.apart.total) < money(found.total):
        wrong.append(f"apart {found.apart.total} costs less than {found.total}")
    if sum(money(phase.total) for phase in found.phases) != money(found.total):
        wrong.append("the phases do not add up")
    net = second_opinion(sites[0], book)
    first = found.phases[0].apart
    if first is not None:
        alone = None if net is None else total_of(sites[0], net)
        # A camera that a later phase could not record is not bought in the first either.
        same = sites[0].recording.export == sites[1].recording.export
        if alone is None or money(first) < alone or (same and money(first) != alone):
            wrong.append(f"the first phase by itself costs {alone}, told {first}")
    return wrong


def differences(number: int) -> tuple[list[str], int]:
    """What is wrong with the case of a number, and how many figures were compared."""
    wrong, figures, _ = compared(number)
    return wrong, figures


def main(first: int, last: int) -> int:
    """Compare cases first to last - 1, and say how many figures agree."""
    failed = figures = met = plans = 0
    started = time.monotonic()
    for number in range(first, last):
        try:
            wrong, some, meet = compared(number)
        except Defect as defect:
            # Told as a difference: a crash on one site must not hide the others.
            wrong, some, meet = [f"Defect: {defect}"], 0, False
        figures += some
        plans += bool(some)
        met += meet
        failed += bool(wrong)
        for line in wrong:
            sys.stdout.write(f"{number}: {line}\n")
        sys.stdout.flush()
    sys.stdout.write(
        f"{plans} plans, {figures} figures, {failed} with a difference; both bounds meet in {met}; "
        f"{time.monotonic() - started:.0f} s\n"
    )
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
