"""What is known of plans: which of them fit a sum of money, by proof or by an audited kit.

A plan's site is the site with each wish at the value that the plan gives it. Totals are asked for
through :class:`optimizer.explaining.asking.Asker`; where keeping more surely costs no less, what
is proven of one plan holds for the plans above and below it.
"""

from __future__ import annotations

import time
from collections.abc import Sequence

from optimizer.explaining.asking import Asker, Known
from optimizer.explaining.inquiry import without_budget
from optimizer.explaining.monotony import monotone
from optimizer.pricebook import LoadedBook
from optimizer.scenarios.picking import Picker, Plan
from optimizer.site import LoadedSite, Site
from optimizer.site.changes import changed
from optimizer.site.requirements import requirements
from optimizer.site.wishes import wishes_of

_SHARE = 3.0
"""Of the usual time of a question: these are few, and one left open leaves the answer open."""


class Plans:
    """The plans of a site and what is known of their totals.

    Parameters
    ----------
    asked : LoadedSite
        With its wishes.
    """

    def __init__(self, asked: LoadedSite, book: LoadedBook, asker: Asker) -> None:
        self.wishes = wishes_of(asked)
        plain = asked.site.model_copy(update={"untouchable": (), "wishes": {}})
        self.free = without_budget(plain)
        self.asker = asker
        sure = [monotone(self.free, book, [one.requirement]) for one in self.wishes]
        self.picker = Picker(self.wishes, sure)
        self.listed = {r.id: r for r in requirements(self.free)}
        self.sites: dict[Plan, Site] = {}
        self.touched: dict[Plan, None] = {}
        """Plans that were asked about, in their order."""

    def site(self, plan: Plan) -> Site:
        """The site of a plan, without a budget.

        Raises
        ------
        InputError
            If a value that a wish may take is refused beside the rest of the site.
        """
        if plan not in self.sites:
            self.sites[plan] = changed(self.free, self.changes(plan), self.listed)
        return self.sites[plan]

    def changes(self, plan: Plan) -> dict[str, str | None]:
        """What a plan gives up, by id."""
        gone = {
            one.id
            for one, kept in zip(self.wishes, plan, strict=True)
            if not kept and one.value(0) is None
        }
        return {
            one.id: one.value(kept)
            for one, kept in zip(self.wishes, plan, strict=True)
            if kept < one.steps and not gone.intersection(one.within)
        }

    def known(self, plan: Plan) -> Known:
        """What is known of a plan, without asking."""
        return self.asker.so_far(self.site(plan))

    def fits(self, plan: Plan, limit: int | None) -> bool | None:
        """Whether some kit of a plan costs no more than a limit; None where time ran out.

        Parameters
        ----------
        limit : int or None
            With tax; None: any kit at all. [hundredth]
        """
        site = self._ready(plan)
        if limit is None:
            reply = self.asker.meetable(site)
        else:
            reply = self.asker.reached(site, limit, _SHARE)
        self._spread(plan)
        return reply

    def fit_each(self, plans: Sequence[Plan], limit: int) -> list[bool | None]:
        """The same for several, beside each other where that pays."""
        sites = [self._ready(plan) for plan in plans]
        replies = self.asker.all_save(sites, limit + 1)
        for plan in plans:
            self._spread(plan)
        return replies

    def cheapest(self, plans: Sequence[Plan]) -> list[Known]:
        """What is known of the cheapest totals of plans, after asking for them."""
        sites = [self._ready(plan) for plan in plans]
        self.asker.together(sites)
        for plan in plans:
            self._spread(plan)
        return [self.known(plan) for plan in plans]

    def refused(self, limit: int | None) -> list[Plan]:
        """Plans proven to cost more than a limit, but for those that follow from others."""
        out = [plan for plan in self.touched if self._over(self.known(plan), limit)]
        return [
            plan for plan in out if not any(o != plan and self.picker.eases(o, plan) for o in out)
        ]

    @staticmethod
    def _over(known: Known, limit: int | None) -> bool:
        return known.unmeetable or (limit is not None and known.low > limit)

    def held(self, limit: int) -> Plan | None:
        """The plan of the highest score with a kit within a limit, as far as is known."""
        within = [
            (self.picker.score(plan), -high, plan)
            for plan in self.touched
            if (high := self.known(plan).high) is not None and high <= limit
        ]
        return max(within)[2] if within else None

    def sharpened(self, plan: Plan, limit: int, settled: int, until: float) -> None:
        """Ask which of what a refused plan keeps is too dear, so that others are refused with it.

        Parameters
        ----------
        settled : int
            Ranks whose score is known to be reached: a wish alone in one of them is left as it is.
        until : float
            On the clock of ``time.monotonic``. [s]
        """
        for place, rank in reversed(list(enumerate(self.picker.ranks))):
            members = [i for i, one in enumerate(self.wishes) if one.rank == rank]
            movable = [i for i in members if self.picker.monotone[i]]
            if place < settled and len(members) == 1:
                continue
            less = self._without(plan, movable)
            if less != plan and time.monotonic() < until and self.fits(less, limit) is False:
                plan = less
                continue
            for i in reversed(movable):
                plan = self._cut(plan, i, limit, until)

    def _without(self, plan: Plan, wishes: Sequence[int]) -> Plan:
        return self.picker.closed(0 if i in wishes else kept for i, kept in enumerate(plan))

    def _cut(self, plan: Plan, place: int, limit: int, until: float) -> Plan:
        """The plan with the fewest steps of one wish with which it is still refused."""
        fitting, refused = -1, plan[place]
        while refused - fitting > 1 and time.monotonic() < until:
            wide = self.asker.paired and refused - fitting > 2
            third = (refused - fitting) // 3 or 1
            steps = [fitting + third, refused - third] if wide else [(fitting + refused) // 2]
            tried = [
                self.picker.closed(k if i == place else kept for i, kept in enumerate(plan))
                for k in dict.fromkeys(steps)
            ]
            for one, reply in zip(tried, self.fit_each(tried, limit), strict=True):
                if reply is False:
                    refused = min(refused, one[place])
                else:
                    fitting = max(fitting, one[place])
        return self.picker.closed(refused if i == place else k for i, k in enumerate(plan))

    def _ready(self, plan: Plan) -> Site:
        """The site of a plan, after taking over what follows from the others."""
        self.touched.setdefault(plan)
        site = self.site(plan)
        for other in self.touched:
            if other == plan:
                continue
            known = self.known(other)
            if self.picker.eases(other, plan):
                self._no_less(site, known)
            if self.picker.eases(plan, other):
                self._no_more(site, known)
        return site

    def _spread(self, plan: Plan) -> None:
        """Tell the plans asked about before what follows from a new answer."""
        known = self.known(plan)
        for other in self.touched:
            site = self.site(other)
            if other == plan:
                continue
            if self.picker.eases(plan, other):
                self._no_less(site, known)
            if self.picker.eases(other, plan):
                self._no_more(site, known)

    def _no_less(self, site: Site, known: Known) -> None:
        if known.unmeetable:
            self.asker.unmeetable(site, known.because)
        elif known.low:
            self.asker.at_least(site, known.low)

    def _no_more(self, site: Site, known: Known) -> None:
        if known.high is not None and known.bought is not None:
            self.asker.at_most(site, known.high, known.bought)


__all__ = ["Plans"]
