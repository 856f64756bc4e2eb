"""A site bought over several years: the cheapest purchase over all phases.

First each phase is bought by itself, with what is there from those before; then all phases
together, below that total. Whatever is shorter of proof, the plan never costs more than the phases
bought apart.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from optimizer import __version__
from optimizer.audit.phases import Stated, audit_phases
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.instance import Instance
from optimizer.instance.phases import phase_instances
from optimizer.model.families.money import largest_net
from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Packed
from optimizer.scenarios.phase_findings import Apart, Kept, PhasePlan, PhaseTold
from optimizer.scenarios.phase_loading import LoadedPhases, sites_of
from optimizer.site import LoadedSite, Site
from optimizer.solving import cpsat, highs
from optimizer.solving.answer import Provenance, Status
from optimizer.solving.assumptions import assumptions
from optimizer.solving.cautions import cautions
from optimizer.solving.explanation import ItemChange
from optimizer.solving.phasing import Outcome, Stage, has_none, solve_phases
from optimizer.solving.purchase import tax_on
from optimizer.units import money, money_text

Progress = Callable[[str], None]

_APART = 0.35
"""Share of the time for the phases bought by themselves."""

_TOGETHER = 0.8
"""Share of the time by which all phases together are sought; proofs of "none" get the rest."""

_LEAST = 1.0
"""Least time for a step. [s]"""


@dataclass(frozen=True)
class _Amounts:
    """An order's money. [hundredth]"""

    labour: int
    net: int
    tax: int

    @property
    def total(self) -> int:
        return self.net + self.tax


def phases(
    asked: LoadedSite, book: LoadedBook, loaded: LoadedPhases, deadline: float, say: Progress
) -> PhasePlan:
    """The purchase of the least total over all phases, each within its budget.

    Parameters
    ----------
    deadline : float
        On the clock of ``time.monotonic``. [s]

    Raises
    ------
    InputError
        As for :func:`optimizer.scenarios.phase_loading.sites_of`.
    Defect
        If the program contradicts itself.
    """
    sites = sites_of(asked, loaded)
    return _Planner(asked, book, loaded, sites, deadline, say).plan()


class _Planner:
    def __init__(
        self,
        asked: LoadedSite,
        book: LoadedBook,
        loaded: LoadedPhases,
        sites: Sequence[Site],
        deadline: float,
        say: Progress,
    ) -> None:
        self.asked, self.book, self.loaded, self.say = asked, book, loaded, say
        self.sites = tuple(sites)
        self.begun, self.deadline = time.monotonic(), deadline
        terms = asked.site.money
        self.budgets = [
            largest_net(terms.model_copy(update={"budget": phase.budget}))
            for phase in loaded.phases.phases
        ]
        self.instances: tuple[Instance, ...] = phase_instances(self.sites, book)

    def _by(self, share: float) -> float:
        return max(self.begun + share * (self.deadline - self.begun), time.monotonic() + _LEAST)

    def plan(self) -> PhasePlan:
        """Phases apart, then together."""
        steps = self._apart()
        complete = steps[-1] if len(steps) == len(self.sites) and steps[-1].stages else None
        self.say("all phases together")
        below = None if complete is None else self._worth(complete.net)
        found = solve_phases(
            self.instances, self.budgets, self._by(_TOGETHER), self.say, below=below
        )
        apart = self._told_apart(steps)
        if found.stages:
            return self._told(found, found.bound or 0, apart, complete)
        if complete is None:
            return self._none(found, apart)
        assert below is not None
        low = below if found.status == "infeasible" else min(found.bound or 0, below)
        return self._told(complete, low, apart, complete)

    def _worth(self, net: int | None) -> int:
        """Only what has a lower net than this is sought beside a purchase of a net. [hundredth]

        The tax of each order is rounded by itself, so a lower net costs less for sure only from a
        hundredth for each order on.
        """
        assert net is not None
        orders = len(self.sites) if self.asked.site.money.tax else 1
        return max(net - orders + 1, 0)

    # Each by itself

    def _apart(self) -> list[Outcome]:
        """The cheapest for each phase in turn, with what is there; ends where there is none."""
        steps: list[Outcome] = []
        for number in range(1, len(self.sites) + 1):
            self.say(f"phase {number} by itself")
            share = _APART * number / len(self.sites)
            step = solve_phases(
                self.instances[:number],
                self.budgets[:number],
                self._by(share),
                self.say,
                before=steps[-1] if steps else None,
            )
            steps.append(step)
            if not step.stages:
                break
        return steps

    def _told_apart(self, steps: Sequence[Outcome]) -> Apart:
        ids = [phase.id for phase in self.loaded.phases.phases]
        last = steps[-1]
        if not last.stages:
            why = (
                "no kit meets it within its budget with what is there, proven"
                if last.status == "infeasible"
                else "none was found in the time given"
            )
            return Apart(status="stopped", stopped_at=ids[len(steps) - 1], because=why)
        proven = all(step.status == "optimal" for step in steps)
        return Apart(status="proven" if proven else "between", total=money_text(_total(last)))

    # What is told

    def _told(
        self,
        found: Outcome,
        low: int,
        apart: Apart,
        complete: Outcome | None,
    ) -> PhasePlan:
        assert found.net is not None
        amounts = [_amounts(found.stages, p) for p in range(len(found.stages))]
        if sum(one.net for one in amounts) != found.net:
            raise Defect(
                f"the phases add up to {sum(one.net for one in amounts)}, "
                f"the program's objective is {found.net}"
            )
        total = sum(one.total for one in amounts)
        told = tuple(
            self._phase(p, found.stages, amounts[p], None if complete is None else complete.stages)
            for p in range(len(found.stages))
        )
        self._inspect(found.stages, told)
        proven = low >= self._worth(found.net)
        status: Status = "optimal" if proven else "feasible"
        saving = None
        if apart.total is not None:
            saving = money_text(money(apart.total) - total)
        gap = 0.0 if proven else round(1 - low / max(found.net, 1), 6)
        last = found.stages[-1]
        return PhasePlan(
            site=self.asked.site.name,
            currency=self.asked.site.money.currency,
            includes_tax=self.asked.site.money.budget_includes_tax,
            tax=self.asked.site.money.stated_tax,
            status=status,
            total=money_text(total),
            net=money_text(found.net),
            lower_bound=money_text(min(low, found.net)),
            gap=gap,
            phases=told,
            apart=apart,
            saving=saving,
            assumptions=assumptions(self.sites[-1], self.book, last.design),
            cautions=cautions(self.sites[-1], self.book.items, last.design),
            provenance=self._provenance(f"{cpsat.VERSION}, linear bounds by {highs.VERSION}"),
        )

    def _phase(
        self,
        number: int,
        stages: Sequence[Stage],
        amounts: _Amounts,
        apart: Sequence[Stage] | None,
    ) -> PhaseTold:
        phase, design = self.loaded.phases.phases[number], stages[number].design
        spent = amounts.total if self.asked.site.money.budget_includes_tax else amounts.net
        other = None if apart is None else apart[number].design
        return PhaseTold(
            id=phase.id,
            name=phase.name,
            zones=phase.zones,
            bill=tuple(line for line in design.bill if line.quantity),
            reductions=design.reductions,
            labour=money_text(amounts.labour),
            net=money_text(amounts.net),
            tax=money_text(amounts.tax),
            total=money_text(amounts.total),
            budget=None if phase.budget is None else money_text(phase.budget),
            left=None if phase.budget is None else money_text(phase.budget - spent),
            for_later=self._for_later(number, stages),
            apart=None if apart is None else money_text(_amounts(apart, number).total),
            items=() if other is None else self._items(other, design),
            owned=stages[number].site.owned,
            kit=design,
        )

    def _items(self, before: Design, after: Design) -> tuple[ItemChange, ...]:
        old = {line.item: line.quantity for line in before.bill}
        new = {line.item: line.quantity for line in after.bill}
        return tuple(
            ItemChange(item=i, before=old.get(i, 0), after=new.get(i, 0))
            for i in self.book.items
            if old.get(i, 0) != new.get(i, 0)
        )

    def _for_later(self, number: int, stages: Sequence[Stage]) -> tuple[Kept, ...]:
        """Pieces of this order without a job yet that get one later."""
        used = [Counter({line.item: line.used for line in s.design.bill}) for s in stages]
        stock = {one.item: one.quantity for one in stages[number].site.owned}
        kept = []
        for line in stages[number].design.bill:
            item = self.book.items[line.item]
            pieces = line.quantity * (item.pack if isinstance(item, Packed) else 1)
            idle = stock.get(line.item, 0) + pieces - line.used
            wanted = max((u[line.item] for u in used[number + 1 :]), default=0) - line.used
            later = min(pieces, idle, wanted)
            if later > 0:
                kept.append(Kept(item=line.item, pieces=later))
        return tuple(kept)

    def _inspect(self, stages: Sequence[Stage], told: Sequence[PhaseTold]) -> None:
        """Have the audit look at what holds between the phases."""
        first = self.asked.site.owned
        stated = [
            Stated(
                site.model_copy(update={"owned": first}),
                stage.design,
                {one.item: one.quantity for one in stage.site.owned},
                one.labour,
                one.net,
                one.tax,
                one.total,
                None if one.budget is None else money(one.budget),
            )
            for site, stage, one in zip(self.sites, stages, told, strict=True)
        ]
        faults = audit_phases(stated, self.book.items, self.book.book.offers)
        if faults:
            raise Defect(f"the audit refuses the phases ({len(faults)} findings): {faults[0]}")

    def _provenance(self, solver: str) -> Provenance:
        return Provenance(
            site_sha256=self.asked.source.sha256,
            book_sha256=self.book.sha256,
            version=__version__,
            solver=solver,
        )

    # None

    def _none(self, found: Outcome, apart: Apart) -> PhasePlan:
        status: Status = "undecided"
        because = "neither a purchase nor a proof that there is none was found in the time given"
        if found.status == "infeasible":
            self.say("confirming that there is none")
            left = max(self.deadline - time.monotonic(), _LEAST)
            if has_none(self.instances, self.budgets, left / 2):
                status, because = "unmeetable", self._why()
        return PhasePlan(
            site=self.asked.site.name,
            currency=self.asked.site.money.currency,
            includes_tax=self.asked.site.money.budget_includes_tax,
            tax=self.asked.site.money.stated_tax,
            status=status,
            apart=apart,
            because=because,
            assumptions=assumptions(self.sites[-1], self.book, None),
            cautions=cautions(self.sites[-1], self.book.items, None),
            provenance=self._provenance(f"{cpsat.VERSION}, linear bounds by {highs.VERSION}"),
        )

    def _why(self) -> str:
        """Where it fails: in which phase first, and whether for want of money."""
        self.say("without budgets")
        until = self._by(1.0)
        free = solve_phases(self.instances, [None] * len(self.sites), until, self.say)
        if free.stages:
            each = [
                f"{phase.id} {money_text(_amounts(free.stages, p).total)}"
                for p, phase in enumerate(self.loaded.phases.phases)
            ]
            word = "the cheapest purchase" if free.status == "optimal" else "a purchase"
            return (
                "the budgets do not allow any purchase; without them "
                f"{word} costs {money_text(_total(free))} ({', '.join(each)})"
            )
        if free.status == "infeasible":
            return "no purchase meets all phases, whatever it costs"
        return "no purchase meets all phases within the budgets"


def _total(found: Outcome) -> int:
    """Over all phases, with tax. [hundredth]"""
    return sum(_amounts(found.stages, p).total for p in range(len(found.stages)))


def _amounts(stages: Sequence[Stage], number: int) -> _Amounts:
    """The money of a phase's order: its labour is for what is new. [hundredth]"""
    design = stages[number].design
    before = money(stages[number - 1].design.labour) if number else 0
    labour = money(design.labour) - before
    net = money(design.net) - before
    return _Amounts(labour, net, tax_on(net, stages[number].site.money.tax))


__all__ = ["phases"]
