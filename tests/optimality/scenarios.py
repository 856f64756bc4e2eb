"""Frontiers and scenarios of random small sites against brute enumeration.

``python -m tests.optimality.scenarios 0 100`` runs 100 sites and tells what differs. Each value of
a frontier's range, and each scenario, is solved from nothing by the second formulation
(:mod:`tests.optimality.second`); the undominated pairs are then picked by comparing every pair
with every other.
"""

from __future__ import annotations

import random
import sys
import time
from itertools import combinations
from typing import Any

from optimizer.errors import Defect, InputError
from optimizer.explaining.inquiry import without_budget
from optimizer.pricebook.schema import Book
from optimizer.reading.source import Source
from optimizer.scenarios import LoadedScenarios, compare, frontier
from optimizer.scenarios.applying import cases
from optimizer.scenarios.findings import Frontier
from optimizer.scenarios.quantities import Range
from optimizer.scenarios.schema import Scenarios
from optimizer.site.changes import changed
from optimizer.site.requirements import Requirement, reaches, requirements
from optimizer.site.schema import Site
from optimizer.units import money
from tests.optimality.asking import loaded
from tests.optimality.explaining import small_case, unread
from tests.optimality.readings import total_of
from tests.optimality.second import second_opinion

MOST_VALUES = 5
SECONDS = 300.0


def named(*entries: dict[str, Any]) -> LoadedScenarios:
    """Scenarios that were never a file."""
    data = {"leastkit": "scenarios/1", "scenarios": list(entries)}
    return LoadedScenarios(Scenarios.model_validate(data), Source("drawn", data, {}, ""))


def total(site: Site, book: Book) -> int | None:
    """Cheapest total with tax by the second formulation; None where there is no kit. [hundredth]"""
    net = second_opinion(site, book)
    return None if net is None else total_of(site, net)


def ranges(site: Site) -> list[tuple[Requirement, list[str]]]:
    """Demands with two values and more, from two natural steps easier than asked on."""
    found = []
    for r in {r.id: r for r in (*requirements(site), *reaches(site))}.values():
        if r.id in ("budget", "audio/points") or r.quantity == "":
            continue
        first, steps = r.value, 0
        while steps < 2 and (easier := r.easier(first)) is not None:
            first, steps = easier, steps + 1
        # A frontier goes in natural steps from its first value on; what is asked may lie between.
        values = [first]
        while len(values) < MOST_VALUES and (harder := r.harder(values[-1])) is not None:
            values.append(harder)
        try:
            for value in values:
                changed(site, {r.id: value})
        except InputError:
            continue  # one of them is no site: a frontier over such a range is refused
        if len(values) > 1:
            found.append((r, values))
    return found


def brute(site: Site, book: Book, name: str, values: list[str]) -> list[tuple[str, int]]:
    """Pairs that no other pair beats; values stand from the easiest to the hardest."""
    totals = [total(changed(site, {name: value}), book) for value in values]
    pairs = [(i, t) for i, t in enumerate(totals) if t is not None]
    return [
        (values[i], t)
        for i, t in pairs
        if not any((j > i and u <= t) or (j == i and u < t) for j, u in pairs)
    ]


def told(found: Frontier) -> list[tuple[str, int]]:
    return [(point.value, money(point.total)) for point in found.points]


def frontier_differences(site: Site, book: Book, number: int) -> tuple[list[str], int]:
    """What is wrong with one frontier, and how many values were compared."""
    free = without_budget(site)
    choices = ranges(free)
    if not choices:
        return [], 0
    r, values = random.Random(number).choice(choices)
    end = time.monotonic() + SECONDS
    found = frontier(
        unread(site), loaded(book), r.id, Range(values[0], values[-1]), end, lambda _: None
    )
    expected = brute(free, book, r.id, values)
    wrong = [] if found.complete else [f"{r.id}: left open {found.open}"]
    if told(found) != expected:
        wrong.append(f"{r.id} {values}: {expected}, told {told(found)}")
    return wrong, len(values)


def without(site: Site, gone: set[str]) -> Site:
    """The site as a file that never named some zones, nor the sound of them."""
    data = site.model_dump(mode="json")
    data["zones"] = [z for z in data["zones"] if z["id"] not in gone]
    data["audio"]["points"] = [p for p in data["audio"]["points"] if p["zone"] not in gone]
    return Site.model_validate(data)


def zone_differences(site: Site, book: Book, number: int) -> tuple[list[str], int]:
    """What is wrong with the frontier over zones kept, and how many choices were compared."""
    rng = random.Random(2000 + number)
    names = [z.id for z in site.zones]
    weights = {name: rng.randint(1, 3) for name in names}
    free = without_budget(site)
    pairs: list[tuple[int, int]] = []
    choices = [set(c) for n in range(len(names)) for c in combinations(names, n)]
    for gone in choices:
        cost = total(without(free, gone), book)
        if cost is not None:
            pairs.append((sum(w for z, w in weights.items() if z not in gone), cost))
    expected = sorted(
        {
            (w, t)
            for w, t in pairs
            if not any((v > w and u <= t) or (v == w and u < t) for v, u in pairs)
        }
    )
    end = time.monotonic() + SECONDS
    asked = Range(weights=weights)
    found = frontier(unread(site), loaded(book), "zones", asked, end, lambda _: None)
    got = [(int(value), cost) for value, cost in told(found)]
    wrong = [] if found.complete else [f"zones: left open {found.open}"]
    if got != expected:
        wrong.append(f"zones {weights}: {expected}, told {got}")
    return wrong, len(choices)


def drawn_scenarios(site: Site, number: int) -> LoadedScenarios:
    """A step easier, two built on each other, and a zone less where there are several."""
    rng = random.Random(1000 + number)
    choices = ranges(site)
    entries: list[dict[str, Any]] = []
    for count, (r, values) in enumerate(rng.sample(choices, min(2, len(choices)))):
        base = f"s{count - 1}" if count else "base"
        entries.append({"id": f"s{count}", "builds_on": base, "set": {r.id: rng.choice(values)}})
    if len(site.zones) > 1:
        entries.append({"id": "less", "drop": {"zones": [site.zones[0].id]}})
    entries.append({"id": "same", "set": {"money/tax": "7 %"}})
    return named(*entries)


def scenario_differences(site: Site, book: Book, number: int) -> tuple[list[str], int]:
    """What is wrong with a comparison, and how many totals were compared."""
    scenarios = drawn_scenarios(site, number)
    try:
        columns = cases(unread(site), loaded(book), scenarios)
    except InputError:
        return [], 0  # two steps that do not go together: refused before anything is solved
    end = time.monotonic() + SECONDS
    found = compare(unread(site), loaded(book), scenarios, end, lambda _: None)
    wrong = []
    for case, one in zip(columns, found.scenarios, strict=True):
        expected = total(case.asked.site, book)
        status = "unmeetable" if expected is None else "optimal"
        given = None if one.total is None else money(one.total)
        if (one.status, given) != (status, expected):
            wrong.append(f"{one.id}: {status} {expected}, told {one.status} {given}")
    return wrong, len(columns)


def differences(number: int) -> tuple[list[str], int]:
    """What is wrong with case of a number, and how many figures were compared."""
    site, book = small_case(number)
    first, some = frontier_differences(site, book, number)
    second, more = scenario_differences(site, book, number)
    third, most = zone_differences(site, book, number)
    return first + second + third, some + more + most


def main(first: int, last: int) -> int:
    """Compare cases first to last - 1, and say how many figures agree."""
    failed = compared = 0
    started = time.monotonic()
    for number in range(first, last):
        try:
            wrong, figures = differences(number)
        except Defect as defect:
            # Told as a difference: a crash on one site must not hide the others.
            wrong, figures = [f"Defect: {defect}"], 0
        compared += figures
        failed += bool(wrong)
        for line in wrong:
            sys.stdout.write(f"{number}: {line}\n")
        sys.stdout.flush()
    sys.stdout.write(
        f"{last - first} sites, {compared} figures, {failed} sites with a difference, "
        f"{time.monotonic() - started:.0f} s\n"
    )
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
