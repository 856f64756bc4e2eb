"""Plans of the best within a budget in words and money, for whoever reads them."""

from __future__ import annotations

from optimizer.explaining.asking import Known, least_net
from optimizer.scenarios.picking import Plan
from optimizer.scenarios.plans import Plans
from optimizer.scenarios.within_findings import MoneyFor, RankTold, WishTold
from optimizer.site.requirements import NOT_ASKED
from optimizer.solving.explanation import Change
from optimizer.units import money, money_text


class Teller:
    """Tells what plans keep and what they take.

    Parameters
    ----------
    given : int
        The budget, with or without tax as the site's budget is meant. [hundredth]
    """

    def __init__(self, plans: Plans, given: int) -> None:
        self.plans, self.picker, self.given = plans, plans.picker, given
        self.terms = plans.free.money

    def step(self, plan: Plan, better: Plan, known: Known) -> MoneyFor:
        changes = self.changes(plan, better)
        if known.unmeetable:
            return MoneyFor(changes=changes, status="unmeetable", because=known.because)
        if not known.settled:
            low = max(known.low, 0)
            high = None if known.high is None else self.budget(known.high)
            return MoneyFor(changes=changes, status="between", low=self.budget(low), high=high)
        assert known.high is not None
        needed = self.budget(known.high)
        return MoneyFor(
            changes=changes,
            status="proven",
            budget=needed,
            more=money_text(money(needed) - self.given),
        )

    def budget(self, total: int) -> str:
        """The least budget that allows a total with tax, in the terms of the site's budget."""
        terms = self.terms
        return money_text(total if terms.budget_includes_tax else least_net(total, terms.tax))

    def spent(self, total: str | None) -> str | None:
        return None if total is None else self.budget(money(total))

    def given_up(self, plan: Plan) -> tuple[Change, ...]:
        """What makes the site one whose cheapest kit is that of a plan."""
        given = self.plans.changes(plan)
        return tuple(
            Change(
                requirement=one.id,
                asked=one.requirement.value,
                to=given[one.id] or NOT_ASKED,
                steps=one.steps - kept,
            )
            for one, kept in zip(self.plans.wishes, plan, strict=True)
            if one.id in given
        )

    def changes(self, plan: Plan, better: Plan) -> tuple[Change, ...]:
        # A place that comes or goes is named before what comes or goes with it.
        order = sorted(range(len(plan)), key=lambda place: len(self.picker.within[place]))
        return tuple(
            Change(
                requirement=self.plans.wishes[place].id,
                asked=self.value(place, plan) or NOT_ASKED,
                to=self.value(place, better) or NOT_ASKED,
                steps=abs(better[place] - plan[place]),
            )
            for place in order
            if self.value(place, plan) != self.value(place, better)
        )

    def value(self, place: int, plan: Plan) -> str | None:
        """The value of a wish in a plan; None where it is dropped or gone with its place."""
        if any(not plan[above] for above in self.picker.within[place]):
            return None
        return self.plans.wishes[place].value(plan[place])

    def wishes(self, plan: Plan) -> tuple[WishTold, ...]:
        told = []
        for place, one in enumerate(self.plans.wishes):
            got, kept = self.value(place, plan), plan[place]
            gone = any(not plan[above] for above in self.picker.within[place])
            told.append(
                WishTold(
                    requirement=one.id,
                    text=one.requirement.text,
                    rank=one.rank,
                    weight=one.weight,
                    asked=one.requirement.value,
                    got=got,
                    kept=kept,
                    of=one.steps,
                    verdict="gone with it"
                    if gone
                    else "kept"
                    if kept == one.steps
                    else "left out"
                    if got is None
                    else "lowered",
                )
            )
        return tuple(told)

    def ranks(self, plan: Plan, beyond: tuple[int, ...] | None) -> tuple[RankTold, ...]:
        scores, whole = self.picker.score(plan), self.picker.score(self.picker.top)
        most = list(scores)
        if beyond is not None:
            first = next(i for i, (a, b) in enumerate(zip(scores, beyond, strict=True)) if a != b)
            most[first:] = [beyond[first], *whole[first + 1 :]]
        return tuple(
            RankTold(rank=rank, kept=kept, most=m, of=of)
            for rank, kept, m, of in zip(self.picker.ranks, scores, most, whole, strict=True)
        )


__all__ = ["Teller"]
