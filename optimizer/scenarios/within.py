"""The best within a budget.

Every must is kept. Of the plans whose cheapest kit keeps the budget, those with the highest score
in rank 1 are taken, of these those with the highest in rank 2, and so on; then those of the least
total; of these the one that keeps most of the wishes named first. A rank's score is the sum over
its wishes of weight times natural steps kept.

Plans are asked about from the highest score down. One that is refused is made as small as it can
be and still be refused, so that it takes many others with it (see :mod:`plans`); so the first that
fits is the best there is.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.asking import Asker
from optimizer.explaining.certificate import certify_site
from optimizer.explaining.proving import Wanted, prove
from optimizer.pricebook import LoadedBook
from optimizer.scenarios.applying import as_read
from optimizer.scenarios.picking import Plan
from optimizer.scenarios.plans import Plans
from optimizer.scenarios.within_findings import MoneyFor, Within
from optimizer.scenarios.within_telling import Teller
from optimizer.site import LoadedSite, Site
from optimizer.solving import solve_site
from optimizer.solving.answer import Answer, Status
from optimizer.solving.assumptions import assumptions
from optimizer.solving.cautions import cautions
from optimizer.solving.purchase import tax_on
from optimizer.units import money, money_text

Progress = Callable[[str], None]

_BEST = 0.5
_CHEAPEST = 0.65
_KIT = 0.8
"""Shares of the time by which the best plan is sought, the cheapest as good, and its kit."""

_SOLVING = 0.3
"""Share of what is left in which the musts alone are solved, where nothing fits."""

_LEAST = 1.0
"""Least time for the kit. [s]"""


@dataclass(frozen=True)
class Reached:
    """How good a plan can be.

    Attributes
    ----------
    plan : Plan or None
        The best known.
    beyond : tuple of int or None
        Highest score that an open plan would have; None where the plan is proven best.
    """

    plan: Plan | None
    beyond: tuple[int, ...] | None


@dataclass(frozen=True)
class Chosen:
    """Of equally good plans the cheapest known, and whether that is proven."""

    plan: Plan
    low: int
    proven: bool


def within(
    asked: LoadedSite, book: LoadedBook, budget: int, deadline: float, say: Progress
) -> Within:
    """The best that a budget buys.

    Parameters
    ----------
    asked : LoadedSite
        With its wishes; a budget of its own is left out of account.
    budget : int
        With tax or without, as ``money.budget_includes_tax`` says. [hundredth]
    deadline : float
        On the clock of ``time.monotonic``. [s]

    Returns
    -------
    Within
        Where the musts do not fit, its answer is that about the musts alone.

    Raises
    ------
    Defect
        If the program contradicts itself.
    """
    asker = Asker(book, deadline, say)
    try:
        return _Finder(asked, book, budget, deadline, asker).found()
    finally:
        asker.close()


class _Finder:
    def __init__(
        self, asked: LoadedSite, book: LoadedBook, budget: int, deadline: float, asker: Asker
    ) -> None:
        self.asked, self.book, self.budget, self.asker = asked, book, budget, asker
        self.plans = Plans(asked, book, asker)
        self.picker = self.plans.picker
        self.teller = Teller(self.plans, budget)
        self.begun, self.deadline = time.monotonic(), deadline
        terms = asked.site.money
        self.limit = budget + (0 if terms.budget_includes_tax else tax_on(budget, terms.tax))

    def _by(self, share: float) -> float:
        return self.begun + share * (self.deadline - self.begun)

    def found(self) -> Within:
        self.asker.say("looking for what fits into the budget")
        reached = self.best(self.limit, self._by(_BEST))
        if reached.plan is None:
            return self._none(reached)
        self.asker.say("looking for the cheapest that is as good")
        chosen = self.cheapest(reached.plan, self._by(_CHEAPEST))
        self.asker.say("working out its kit")
        answer = self._kit(chosen)
        best = reached.beyond is None
        steps: tuple[MoneyFor, ...] = ()
        further = None
        if answer.met and chosen.plan != self.picker.top:
            self.asker.say("what more money would buy")
            further = self._next(chosen.plan) if best else None
            steps = self._steps(chosen.plan)
        exact = best and chosen.proven and answer.status == "optimal"
        spent = self.teller.spent(answer.total)
        return self._told(
            "optimal" if exact else "feasible" if answer.met else "undecided",
            chosen.plan,
            answer,
            spent=spent,
            left=None if spent is None else money_text(self.budget - money(spent)),
            least_spent=self.teller.spent(money_text(chosen.low)) if best else None,
            ranks=self.teller.ranks(chosen.plan, reached.beyond),
            wishes=self.teller.wishes(chosen.plan),
            next_money=further,
            one_step=steps,
        )

    # The best plan

    def best(self, limit: int, until: float) -> Reached:
        """The plan of the highest score with a kit within a limit."""
        open_: list[Plan] = []
        for first in (self.picker.bottom, self.picker.top):
            self.plans.fits(first, limit)
        while True:
            held = self.plans.held(limit)
            plan = self.picker.highest([*self.plans.refused(limit), *open_])
            if plan is None or (held is not None and self._no_better(plan, held)):
                break
            late = time.monotonic() >= until
            reply = None if late else self.plans.fits(plan, limit)
            if reply is None:
                open_.append(plan)
            elif not reply:
                self.plans.sharpened(plan, limit, self._settled(plan, held), until)
            if late:
                break
        held = self.plans.held(limit)
        beyond = [self.picker.score(plan) for plan in open_]
        if held is not None:
            known = self.picker.score(held)
            beyond = [score for score in beyond if score > known]
        return Reached(held, max(beyond, default=None))

    def _no_better(self, plan: Plan, held: Plan) -> bool:
        return self.picker.score(plan) <= self.picker.score(held)

    def _settled(self, plan: Plan, held: Plan | None) -> int:
        """Ranks, from the first on, in which a plan known to fit is as good."""
        if held is None:
            return 0
        scores = zip(self.picker.score(plan), self.picker.score(held), strict=True)
        return next((i for i, (a, b) in enumerate(scores) if a != b), len(self.picker.ranks))

    # The cheapest of the best

    def cheapest(self, plan: Plan, until: float) -> Chosen:
        """The cheapest plan as good as this one; of equally cheap ones the foremost."""
        scores = self.picker.score(plan)
        open_: list[Plan] = []
        low = self._settle(plan)
        high = self._high(plan)
        while True:
            other = self.picker.foremost([*self.plans.refused(high - 1), *open_], scores)
            if other is None:
                break
            reply = None if time.monotonic() >= until else self.plans.fits(other, high - 1)
            if reply is None:
                open_.append(other)
                if time.monotonic() >= until:
                    break
            elif reply:
                plan, low = other, self._settle(other)
                high = self._high(plan)
        if open_:
            low = min(low, *(max(self.plans.known(one).low, 0) for one in open_))
            return Chosen(plan, low, proven=False)
        if low < high:
            return Chosen(plan, low, proven=False)
        return self._foremost(plan, high, until)

    def _foremost(self, plan: Plan, total: int, until: float) -> Chosen:
        scores = self.picker.score(plan)
        open_: list[Plan] = []
        while True:
            other = self.picker.foremost([*self.plans.refused(total), *open_], scores)
            if other is None or other == plan or time.monotonic() >= until:
                return Chosen(plan, total, proven=not open_ and other == plan)
            reply = self.plans.fits(other, total)
            if reply:
                return Chosen(other, total, proven=not open_)
            if reply is None:
                open_.append(other)

    def _settle(self, plan: Plan) -> int:
        """The least that a plan which fits can cost, proven as far as time allows. [hundredth]"""
        return self.plans.cheapest([plan])[0].low

    def _high(self, plan: Plan) -> int:
        high = self.plans.known(plan).high
        if high is None:
            raise Defect("a plan that fits has no kit")
        return high

    def _kit(self, chosen: Chosen) -> Answer:
        """The kit of a plan, as a main question, so that it comes with everything."""
        seconds = max(self._by(_KIT) - time.monotonic(), _LEAST)
        loaded = self._loaded(self.plans.site(chosen.plan), "within the budget")
        digest = loaded.source.sha256
        answer = solve_site(loaded.site, self.book, seconds=seconds, site_sha256=digest)
        if answer.status == "unmeetable":
            raise Defect("a plan with a kit within the budget is called unmeetable")
        if not answer.met:
            return self._known_kit(chosen.plan, loaded, answer)
        total = self._high(chosen.plan)
        if answer.status == "optimal" and chosen.proven and answer.total != money_text(total):
            raise Defect(f"a kit costs {answer.total}, proven before: {money_text(total)}")
        return answer

    def _known_kit(self, plan: Plan, loaded: LoadedSite, late: Answer) -> Answer:
        """The kit that showed that the plan fits, where time ran out over a new one."""
        known = self.plans.known(plan)
        have = self.asker.design(self.plans.site(plan))
        if have is None or [z.id for z in have.site.zones] != [z.id for z in loaded.site.zones]:
            return late
        design, low = have.design, min(known.low, have.total)
        parts = {name: getattr(design, name) for name in Design.model_fields}
        return late.model_copy(
            update={
                **parts,
                "status": "optimal" if low == have.total else "feasible",
                "reasons": (),
                "lower_bound": money_text(low),
                "gap": round((have.total - low) / max(have.total, 1), 6),
                "assumptions": assumptions(loaded.site, self.book, design),
                "cautions": cautions(loaded.site, self.book.items, design),
            }
        )

    def _loaded(self, site: Site, what: str) -> LoadedSite:
        terms = site.money.model_copy(update={"budget": self.budget})
        kept = site.model_copy(update={"money": terms})
        return as_read(kept, f"{self.asked.source.name}, {what}")

    def _none(self, reached: Reached) -> Within:
        """No plan is known to fit: proven, or not; the questions of why are for who asked."""
        bottom = self.picker.bottom
        musts = self._loaded(self.plans.site(bottom), "the musts alone")
        seconds = max(_SOLVING * (self.deadline - time.monotonic()), _LEAST)
        answer = solve_site(
            musts.site,
            self.book,
            seconds=seconds,
            site_sha256=musts.source.sha256,
            progress=self.asker.say,
            certify=lambda instance, left: certify_site(instance, left) is not None,
        )
        if answer.met:
            # Found late: the plan that gives up most is all that is known to fit.
            spent = self.teller.spent(answer.total)
            return self._told(
                "feasible",
                bottom,
                answer,
                spent=spent,
                left=None if spent is None else money_text(self.budget - money(spent)),
                ranks=self.teller.ranks(
                    bottom, reached.beyond or self.picker.score(self.picker.top)
                ),
                wishes=self.teller.wishes(bottom),
            )
        needed = self.teller.step(bottom, bottom, self.plans.cheapest([bottom])[0])
        if answer.status == "unmeetable":
            self.asker.say("asking what stands in the way")
            answer = prove(musts, self.book, answer, Wanted(), self.deadline, self.asker.say)
        proven = reached.beyond is None and answer.status == "unmeetable"
        status: Status = "unmeetable" if proven else "undecided"
        return self._told(status, bottom, answer, next_money=needed)

    def _told(self, status: Status, plan: Plan, answer: Answer, **more: Any) -> Within:
        return Within(
            site=self.asked.site.name,
            currency=answer.currency,
            budget=money_text(self.budget),
            includes_tax=self.asked.site.money.budget_includes_tax,
            tax=self.asked.site.money.stated_tax,
            status=status,
            changes=self.teller.given_up(plan),
            solves=self.asker.solves,
            answer=answer,
            **more,
        )

    # What more money buys

    def _next(self, plan: Plan) -> MoneyFor:
        """The least budget with which a better plan fits, and the best plan with that."""
        scores = self.picker.score(plan)
        best: int | None = None
        lows: list[int] = []
        for place in range(len(scores)):
            best = self._cheapest_beyond(scores, place, best, lows)
        if best is None and not lows:
            return MoneyFor(changes=(), status="unmeetable", because="no budget buys more, proven")
        low = min([*lows, *([] if best is None else [best])])
        low = max(low, self.limit + 1)
        if best is None or low < best:
            high = None if best is None else self.teller.budget(best)
            return MoneyFor(changes=(), status="between", low=self.teller.budget(low), high=high)
        further = self.best(best, self.deadline)
        if further.plan is None:
            raise Defect("the plan that more money buys has gone")
        better = further.plan
        if further.beyond is None:
            better = self.cheapest(better, self.deadline).plan
        return MoneyFor(
            changes=self.teller.changes(plan, better),
            status="proven",
            budget=self.teller.budget(best),
            more=money_text(money(self.teller.budget(best)) - self.budget),
            because="" if further.beyond is None else "with this budget even more may fit",
        )

    def _cheapest_beyond(
        self, scores: Sequence[int], place: int, best: int | None, lows: list[int]
    ) -> int | None:
        """The least total of the plans that are better in one rank and as good before it."""
        open_: list[Plan] = []
        while True:
            limit = None if best is None else best - 1
            out = [*self.plans.refused(limit), *open_]
            plan = self.picker.least(out, scores[:place], scores[place])
            if plan is None:
                return best
            if time.monotonic() >= self.deadline:
                lows.append(max(self.plans.known(plan).low, self.limit + 1))
                return best
            reply = self.plans.fits(plan, limit)
            known = self.plans.cheapest([plan])[0] if reply else self.plans.known(plan)
            if known.high is not None and (best is None or known.high < best):
                best = known.high
            if reply is None or (reply and not known.settled):
                open_.append(plan)
                lows.append(known.low)

    def _steps(self, plan: Plan) -> tuple[MoneyFor, ...]:
        """Each wish one step better, all others as they are, the cheapest first."""
        better = []
        for place, one in enumerate(self.plans.wishes):
            raised = tuple(k + 1 if i == place else k for i, k in enumerate(plan))
            if plan[place] < one.steps and self.picker.closed(raised) == raised:
                better.append(raised)
        known = self.plans.cheapest(better)
        order = sorted(
            range(len(better)),
            key=lambda i: (known[i].unmeetable, known[i].high or known[i].low, i),
        )
        return tuple(self.teller.step(plan, better[i], known[i]) for i in order)


__all__ = ["within"]
