"""Figures of explanations on random small plans, against trying every choice of views.

    python -m tests.optimality.explaining_plans START STOP

Each figure is found anew: the site is changed as the finding says, and `plans.by_trying_all` tries
every choice of views of it and adds up the prices of `rooms` by hand. It knows no monotony, carries
no kit and shares no bound. Its cells are those of the changed site by itself: where a kit from
another site does by its exact shapes, a price may be lower than any choice by cells. Then the kit
is shown to the judge of single spots (`spots`), which shares no code with the geometry.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from typing import Any

from optimizer.design import Design
from optimizer.explaining import asking_plan
from optimizer.explaining.explain_plan import explained_on_plan
from optimizer.pricebook import LoadedBook
from optimizer.site.changes import changed
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from optimizer.solving.explanation import Change, Explanation, Step
from optimizer.units import money
from tests.optimality.explaining import unread
from tests.optimality.plans import by_trying_all, drawn, meets

_OF_PLAN = ("detail", "share", "cameras", "apart", "")


def steps_of(told: Explanation) -> Iterator[tuple[str, dict[str, str | None], Step]]:
    """Every step of an explanation that changes what is seen, as the change of a site."""
    for one in told.binding:
        place, _, quantity = one.requirement.partition("/")
        if not place.startswith("zones.") or quantity not in _OF_PLAN:
            continue
        if one.eased is not None:
            yield "eased", {one.requirement: one.eased.changes[0].to}, one.eased
        if one.dropped is not None:
            yield "dropped", {one.requirement: None}, one.dropped
    for head in told.headroom:
        place, _, quantity = head.requirement.partition("/")
        if head.next is not None and place.startswith("zones.") and quantity in _OF_PLAN:
            yield "next", {head.requirement: head.next.changes[0].to}, head.next
        if place.startswith("zones.") and quantity in _OF_PLAN and head.steps:
            change = Change(requirement=head.requirement, asked=head.asked, to=head.reaches)
            held = Step(changes=(change,), status="proven", before=told.total, after=told.total)
            yield "held", {head.requirement: head.reaches}, held


def differences(site: Site, book: LoadedBook, seconds: float = 300) -> tuple[list[str], int]:
    """What is wrong with the explanation of a plan, and how many figures were compared."""
    asked = unread(site)
    first = solve_site(site, book, seconds=120)
    if first.status != "optimal":
        return [], 0
    with kits() as known:
        deadline = time.monotonic() + seconds
        answer, told = explained_on_plan(asked, book, first, deadline, lambda _: None)
    assert answer.total is not None
    known.append(answer.design())
    base = money(answer.total)
    wrong: list[str] = []
    compared = 0
    for how, change, step in steps_of(told):
        if step.status != "proven":
            continue
        assert step.after is not None
        compared += 1
        now, changed_site = money(step.after), changed(site, change)
        least = by_trying_all(changed_site, book)
        if how in ("eased", "dropped"):
            least = base if least is None else min(base, least)
        if how == "next" and now < base:
            wrong.append(f"{how} {change}: {now} is below {base}")
        if least is not None and now > least:
            wrong.append(f"{how} {change}: {now} told, {least} by trying all")
        if (least is None or now < least) and not any(
            money(kit.total) == now and meets(changed_site, book, kit) for kit in known
        ):
            wrong.append(f"{how} {change}: {now} told, {least} by trying all, and no kit does it")
    return wrong, compared


class kits:  # noqa: N801 - used like a function
    """Collects every design that answers a question while it is open."""

    def __enter__(self) -> list[Design]:
        self.known: list[Design] = []
        self.keep = asking_plan.PlanAsker._keep
        known, keep = self.known, self.keep

        def noted(asker: Any, site: Any, has: Any, have: Any) -> Any:
            if have is not None:
                known.append(have.design)
            return keep(asker, site, has, have)

        asking_plan.PlanAsker._keep = noted  # type: ignore[method-assign]
        return self.known

    def __exit__(self, *_: object) -> None:
        asking_plan.PlanAsker._keep = self.keep  # type: ignore[method-assign]


if __name__ == "__main__":
    bad = 0
    for number in range(int(sys.argv[1]), int(sys.argv[2])):
        begun = time.monotonic()
        words, count = differences(*drawn(number))
        bad += bool(words)
        taken = f"{time.monotonic() - begun:.0f} s"
        print(number, count, taken, words or "agrees", flush=True)  # noqa: T201
    sys.exit(1 if bad else 0)
