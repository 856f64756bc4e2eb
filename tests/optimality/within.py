"""The best within a budget of random small sites against brute enumeration.

``python -m tests.optimality.within 0 100`` runs 100 sites and tells what differs. Every
combination of steps of the wishes is a site of its own, solved from nothing by the second
formulation (:mod:`tests.optimality.second`); the best is then picked by comparing all of them.
"""

from __future__ import annotations

import random
import sys
import time
from dataclasses import dataclass
from itertools import product

from optimizer.errors import Defect
from optimizer.explaining.inquiry import without_budget
from optimizer.pricebook.schema import Book
from optimizer.scenarios import Within, within
from optimizer.site.changes import changed
from optimizer.site.requirements import Requirement, requirements
from optimizer.site.schema import Site, Wish
from optimizer.site.wishes import check_wishes
from optimizer.units import money, money_text
from tests.optimality.asking import loaded
from tests.optimality.explaining import small_case, unread
from tests.optimality.scenarios import total

MOST_PLANS = 24
SECONDS = 300.0

Values = tuple[str | None, ...]
Kept = tuple[int, ...]


@dataclass(frozen=True)
class Drawn:
    """A site with wishes, the values that each may take from the asked one down, and a budget."""

    site: Site
    book: Book
    values: dict[str, Values]
    totals: dict[Kept, int | None]
    budget: int

    def ranks(self) -> list[int]:
        return sorted({wish.rank for wish in self.site.wishes.values()})

    def score(self, kept: Kept) -> tuple[int, ...]:
        """Weight times steps kept, for each rank in turn."""
        wishes = list(self.site.wishes.values())
        return tuple(
            sum(w.weight * k for w, k in zip(wishes, kept, strict=True) if w.rank == rank)
            for rank in self.ranks()
        )

    def foremost(self, kept: Kept) -> tuple[int, ...]:
        """Steps kept in the order in which ties are broken: by rank, then as in the file."""
        wishes = list(self.site.wishes.values())
        order = sorted(range(len(wishes)), key=lambda i: wishes[i].rank)
        return tuple(kept[i] for i in order)


def _values(one: Requirement, least_at: int | None) -> Values:
    """Natural steps down: to the last but so many, or, for None, to nothing."""
    steps: list[str | None] = [one.value]
    value = one.easier()
    while value is not None and len(steps) <= (least_at or 3):
        steps.append(value)
        value = one.easier(value)
    return tuple(steps)


def drawn(number: int) -> Drawn | None:
    """A small site with up to four wishes; None where fewer than two can be wished."""
    site, book = small_case(number)
    rng = random.Random(2_000_000 + number)
    site = without_budget(site)
    wishes: dict[str, Wish] = {}
    values: dict[str, Values] = {}
    plans = 1
    choices = [r for r in requirements(site) if r.id != "budget"]
    rng.shuffle(choices)
    # A zone is the most telling of wishes: it comes first where one may be left out.
    choices.sort(key=lambda r: not (r.quantity == "" and r.place.startswith("zones.")))
    first = True
    for one in choices:
        rank, weight = rng.choice((1, 1, 2, 3)), rng.choice((1, 1, 2))
        if one.quantity == "" and one.place.startswith("zones.") and not first:
            continue
        if one.easier() is None:
            if not one.can_be_dropped:
                continue
            mine: Values = (one.value, None)
            wish = Wish(rank=rank, weight=weight)
        else:
            mine = _values(one, rng.choice((1, 2)))
            last = mine[-1]
            assert last is not None
            wish = Wish(rank=rank, weight=weight, least=last)
        if plans * len(mine) > MOST_PLANS:
            continue
        plans *= len(mine)
        first = False
        wishes[one.id], values[one.id] = wish, mine
        if len(wishes) == 4:
            break
    if len(wishes) < 2:
        return None
    totals: dict[Kept, int | None] = {}
    for kept in product(*(range(len(v)) for v in values.values())):
        changes = _changes(site, values, kept)
        if changes is not None:
            totals[kept] = total(changed(site, changes) if changes else site, book)
    known = sorted({t for t in totals.values() if t is not None})
    # Between two totals, at one, or just below one; now and then below all.
    budget = max(rng.choice(known[:-1] or known) + rng.choice((0, 0, 0, -1, 100)), 0)
    site = site.model_copy(update={"wishes": wishes})
    check_wishes(unread(site))
    return Drawn(site, book, values, totals, budget)


def _changes(site: Site, values: dict[str, Values], kept: Kept) -> dict[str, str | None] | None:
    """What a combination changes; None where it keeps something of a place it leaves out."""
    gone = {
        name
        for (name, mine), k in zip(values.items(), kept, strict=True)
        if k == 0 and mine[-1] is None
    }
    zones = {p.id: p.zone for p in site.audio.points}
    changes: dict[str, str | None] = {}
    for (name, mine), k in zip(values.items(), kept, strict=True):
        place, _, quantity = name.partition("/")
        above = {place} if quantity else set()
        if place.startswith("audio."):
            above |= {"audio/points", f"zones.{zones[place.partition('.')[2]]}"}
        if above & gone:
            if k:
                return None
        elif k < len(mine) - 1:
            changes[name] = mine[len(mine) - 1 - k]
    return changes


def best(case: Drawn, budget: int) -> Kept | None:
    """By comparing all: highest scores, least total, foremost; None where nothing fits."""
    fit = [(k, t) for k, t in case.totals.items() if t is not None and t <= budget]
    if not fit:
        return None
    return max(fit, key=lambda one: (case.score(one[0]), -one[1], case.foremost(one[0])))[0]


def next_budget(case: Drawn, kept: Kept) -> int | None:
    """The least total of a better combination."""
    better = [
        t for k, t in case.totals.items() if t is not None and case.score(k) > case.score(kept)
    ]
    return min(better, default=None)


def told(found: Within, case: Drawn) -> Kept:
    """Steps kept, in the order of the site's wishes."""
    by_id = {one.requirement: one.kept for one in found.wishes}
    return tuple(by_id[name] for name in case.values)


def differences(number: int) -> tuple[list[str], int]:
    """What is wrong with the case of a number, and how many figures were compared."""
    case = drawn(number)
    if case is None:
        return [], 0
    site = case.site
    budget = case.budget
    if not site.money.budget_includes_tax:
        site = site.model_copy(
            update={"money": site.money.model_copy(update={"budget_includes_tax": True})}
        )
    end = time.monotonic() + SECONDS
    found = within(unread(site), loaded(case.book), budget, end, lambda _: None)
    expected = best(case, budget)
    if expected is None:
        wrong = [] if found.status == "unmeetable" else [f"unmeetable, told {found.status}"]
        return wrong, 1
    if found.status != "optimal":
        return [f"{expected}, told {found.status}"], 1
    wrong = []
    least = case.totals[expected]
    assert least is not None
    if (told(found, case), found.answer.total) != (expected, money_text(least)):
        wrong.append(f"{expected} at {least}, told {told(found, case)} at {found.answer.total}")
    figures = 2
    top = tuple(len(v) - 1 for v in case.values.values())
    if expected != top:
        beyond = next_budget(case, expected)
        given = found.next_money
        figures += 1
        if given is None or (
            given.budget != (None if beyond is None else money_text(beyond))
            or given.status != ("unmeetable" if beyond is None else "proven")
        ):
            wrong.append(f"next {beyond}, told {given}")
    for step in found.one_step:
        figures += 1
        wrong += _step_faults(case, expected, step.changes[0].requirement, step.budget, found)
    return wrong, figures


def _step_faults(
    case: Drawn, kept: Kept, name: str, budget: str | None, found: Within
) -> list[str]:
    """Whether a wish one step better takes what the enumeration says."""
    # The place that comes back is named first: what stands in it changes with it.
    index = list(case.values).index(name)
    raised = tuple(k + (i == index) for i, k in enumerate(kept))
    expected = case.totals[raised]
    given = None if budget is None else money(budget)
    if expected == given:
        return []
    return [f"{name} a step up: {expected}, told {given} ({found.status})"]


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
