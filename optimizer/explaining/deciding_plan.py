"""Yes or no on a plan: yes is shown by an audited kit, no by what might be seen at best.

A kit is sought among the ways to aim that are listed. That there is none, or none within a total,
is proven where a cell counts as seen if any lens on a mount might show a spot of it, however it is
aimed: what has no solution then has none at all. What lies between is not known.
"""

from __future__ import annotations

import math
import time

from optimizer.explaining.asking import Asker, Known, least_net
from optimizer.explaining.deciding import Decider
from optimizer.explaining.holding import BUDGET, Holding
from optimizer.explaining.seeking_plan import perhaps
from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.loading import LoadedSite
from optimizer.site.schema import Site
from optimizer.solving.cpsat import CpSat

_WORK = 1.0
"""Effort of CP-SAT for a first look, in deterministic units."""

_KEPT = 6
"""Kits that are tried on the next question."""

_SHARE = 0.3
"""Of the time that is left, for a proof that there is no kit."""


class PlanDecider(Decider):
    """Answers questions about sites with zones on a plan."""

    def __init__(self, asker: Asker) -> None:
        super().__init__(asker)
        self._none: dict[str, int] = {}

    def none_within(self, site: Site, limit: int | None) -> bool:
        """Whether it is known that no kit costs so little, however cameras are aimed."""
        return limit is not None and self._none.get(self.asker._mark(site), -1) >= limit

    def decide(self, site: Site, limit: int | None) -> bool | None:
        """Whether some kit meets a site; see :meth:`Decider.decide`."""
        asker = self.asker
        for have in self._recent:
            if (limit is None or have.total <= limit) and asker.carry(site, have) is not None:
                self.effort.carried += 1
                return True
        self.effort.asked += 1
        if self._refuted(site, limit):
            if limit is None:
                asker.unmeetable(site, "")
            else:
                mark = asker._mark(site)
                self._none[mark] = max(self._none.get(mark, -1), limit)
            return False
        self.effort.whole += 1
        found = asker.meetable(site) if limit is None else asker.reached(site, limit, _SHARE)
        known = asker.so_far(site)
        if found:
            found_kit = asker.design(site)
            if found_kit is not None:
                self._recent = [found_kit, *self._recent][:_KEPT]
            return True
        # That nothing listed costs so little does not say that nothing does.
        return False if known.unmeetable else None

    def _refuted(self, site: Site, limit: int | None) -> bool:
        """Whether there is no kit, or none within a total, however cameras are aimed."""
        self.effort.solves += 1
        instance = build_instance(site, self.book, memory=self.asker.memory, sure=False)
        if not instance.recorders or instance.lacks_candidates:
            return True
        draft = build(instance)
        self.effort.largest = max(self.effort.largest, len(draft.program.names))
        below = None if limit is None else least_net(limit + 1, site.money.tax)
        model = CpSat(draft.program)
        if below is not None:
            model.add_row(model.cost, hi=below - 1)
        outcome = model.solve(self._left, work=_WORK, first=True)
        if outcome.status == "infeasible":
            return True
        if outcome.values is not None:
            return False
        end = time.monotonic() + _SHARE * self._left
        result, _ = perhaps(site, self.book, self.asker.memory, end, below)
        return result is not None and result.found.status == "infeasible"


class PlanHolding(Holding):
    """A site with zones on a plan, taken apart into its requirements."""

    def __init__(self, asked: LoadedSite, book: LoadedBook, asker: Asker) -> None:
        super().__init__(asked, book, asker)
        self.plan_decider = PlanDecider(asker)
        self.decider = self.plan_decider

    def within(self, site: Site, budget: bool) -> bool | None:
        """Whether a site can be met; see :meth:`Holding.within`."""
        limit = self.limit if budget else None
        known: Known = self.asker.closed(site)
        if known.unmeetable or self.plan_decider.none_within(site, limit):
            return False
        if known.high is not None and known.high <= (math.inf if limit is None else limit):
            return True
        return None if self.asker.out_of_time else self.decider.decide(site, limit)


def holding_of(asked: LoadedSite, book: LoadedBook, asker: Asker) -> Holding:
    """The site taken apart, by what its zones are."""
    return (PlanHolding if asked.site.areas else Holding)(asked, book, asker)


__all__ = ["BUDGET", "PlanDecider", "PlanHolding", "holding_of"]
