"""Every figure of an explanation against brute re-solving with the second formulation.

``python -m tests.optimality.explaining 0 200`` runs 200 sites and tells what differs. Each
figure is found anew: the site is changed as the finding says, and the second formulation
(:mod:`tests.optimality.second`) solves it from nothing. It knows no monotony, carries no design and
shares no bound.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import count

from optimizer.errors import Defect, InputError
from optimizer.explaining.explain import explain
from optimizer.explaining.inquiry import without_budget
from optimizer.pricebook.schema import Book
from optimizer.reading.source import Source
from optimizer.site.changes import changed
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import Requirement, reaches, requirements
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from optimizer.solving.explanation import Binding, Explanation, Headroom, Step
from optimizer.units import money
from tests.optimality.asking import loaded
from tests.optimality.generator import tiny_case
from tests.optimality.readings import total_of
from tests.optimality.second import second_opinion

BETWEEN = 4
"""Values strictly between what is asked and the headroom that are re-solved one by one."""


def unread(site: Site) -> LoadedSite:
    """A site that was never a file."""
    return LoadedSite(site, Source("drawn for a test", site.model_dump(mode="json"), {}, ""))


def small_case(number: int) -> tuple[Site, Book]:
    """The first tiny case from eight times a number on that can be met."""
    drawn = (tiny_case(seed) for seed in count(8 * number))
    return next((site, book) for site, book in drawn if second_opinion(site, book) is not None)


@dataclass
class Brute:
    """Totals of changed sites by the second formulation."""

    site: Site
    book: Book
    found: dict[tuple[tuple[str, str | None], ...], int | None] = field(default_factory=dict)

    def total(self, changes: Mapping[str, str | None]) -> int | None:
        """Total with tax, without the budget; None where no kit meets the changed site."""
        key = tuple(sorted(changes.items(), key=str))
        if key not in self.found:
            site = without_budget(self.site)
            if changes:
                site = changed(site, changes)
            net = second_opinion(site, self.book)
            self.found[key] = None if net is None else total_of(site, net)
        return self.found[key]


def differences(site: Site, book: Book, seconds: float = 600) -> tuple[list[str], int]:
    """What is wrong with the explanation of a case, and how many figures were compared."""
    answer = solve_site(site, loaded(book), seconds=60)
    assert answer.status == "optimal", answer.status
    asked = unread(site)
    told = explain(asked, loaded(book), answer, time.monotonic() + seconds, lambda _: None)
    brute = Brute(site, book)
    wrong = list(_compared(brute, told))
    return wrong, 2 * len(told.binding) + 2 * len(told.headroom) + len(told.joint) + 1


def _compared(brute: Brute, told: Explanation) -> Iterator[str]:
    base = brute.total({})
    if base != money(told.total):
        yield f"the site costs {base}, told {told.total}"
        return
    if told.left_open:
        yield f"left open: {told.left_open}"
    site = without_budget(brute.site)
    by_id = {r.id: r for r in (*requirements(site), *reaches(site))}
    expected = {r.id for r in requirements(brute.site)}
    if {b.requirement for b in told.binding} != expected:
        yield "requirements are missing from the findings"
    for one in told.binding:
        if one.requirement != "budget":
            yield from _binding(brute, base, by_id[one.requirement], one)
    for head in told.headroom:
        if head.requirement != "budget":
            yield from _headroom(brute, base, by_id[head.requirement], head)
    yield from _joint(brute, base, told)


def _step(brute: Brute, step: Step, changes: Mapping[str, str | None]) -> Iterator[str]:
    """A step against the re-solved site."""
    names = ", ".join(f"{k} to {v}" for k, v in changes.items())
    try:
        total = brute.total(changes)
    except InputError:
        if step.status != "refused":
            yield f"{names}: the site is refused, told {step.status}"
        return
    told = None if step.after is None else money(step.after)
    status = "unmeetable" if total is None else "proven"
    if (status, total) != (step.status, told):
        yield f"{names}: {status} {total}, told {step.status} {told}"


def _binding(brute: Brute, base: int, r: Requirement, one: Binding) -> Iterator[str]:
    value = r.easier()
    if (one.eased is None) != (value is None) or (one.dropped is None) == r.can_be_dropped:
        yield f"{r.id}: a step is missing, or one too many"
        return
    if one.eased is not None:
        yield from _step(brute, one.eased, {r.id: value})
    if one.dropped is not None:
        yield from _step(brute, one.dropped, {r.id: None})
    deciding = {r.id: value}
    binds: bool | None = None
    if value is not None or r.can_be_dropped:
        total = brute.total(deciding)
        binds = total is not None and total < base
    if binds != one.binds:
        yield f"{r.id}: binds is {one.binds}, is {binds} by re-solving"


def _headroom(brute: Brute, base: int, r: Requirement, head: Headroom) -> Iterator[str]:
    values = [r.value]
    while len(values) <= head.steps and (harder := r.harder(values[-1])) is not None:
        values.append(harder)
    if len(values) != head.steps + 1 or values[-1] != head.reaches:
        yield f"{r.id}: {head.steps} steps do not lead to {head.reaches}"
        return
    inner = values[1:-1]
    some = inner if len(inner) <= BETWEEN else inner[:: len(inner) // BETWEEN]
    for value in (*some, values[-1]):
        total = brute.total({r.id: value}) if value != r.value else base
        if total is None or total > base:
            yield f"{r.id} at {value} costs {total}, told no more than {base}"
    beyond = r.harder(values[-1])
    if (beyond is None) != head.endless:
        yield f"{r.id}: endless is {head.endless}, the next value is {beyond}"
    if beyond is None:
        return
    if head.next is None:
        yield f"{r.id}: nothing is told of {beyond}"
        return
    yield from _step(brute, head.next, {r.id: beyond})
    if head.next.status == "proven" and money(head.next.after or "0") <= base:
        yield f"{r.id}: the next step is told to cost no more"


def _joint(brute: Brute, base: int, told: Explanation) -> Iterator[str]:
    for one in told.joint:
        changes: dict[str, str | None] = dict.fromkeys(one.requirements)
        yield from _step(brute, one.step, changes)
        if (brute.total(changes) or base) >= base:
            yield f"{one.requirements} together save nothing"
        for left in one.requirements:
            rest = {k: None for k in one.requirements if k != left}
            total = brute.total(rest)
            if total is not None and total < base:
                yield f"{one.requirements}: without {left} the rest saves as well"


def main(first: int, last: int) -> int:
    """Compare cases first to last - 1, and say how many figures agree."""
    failed = compared = 0
    started = time.monotonic()
    for number in range(first, last):
        begun = time.monotonic()
        try:
            wrong, figures = differences(*small_case(number))
        except Defect as defect:
            # Told as a difference: a crash on one site must not hide the others.
            wrong, figures = [f"Defect: {defect}"], 0
        compared += figures
        failed += bool(wrong)
        sys.stdout.write(f"{number}: {figures} figures, {time.monotonic() - begun:.1f} s\n")
        for line in wrong:
            sys.stdout.write(f"  {line}\n")
        sys.stdout.flush()
    sys.stdout.write(
        f"{last - first} sites, {compared} figures, {failed} sites with a difference, "
        f"{time.monotonic() - started:.0f} s\n"
    )
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
