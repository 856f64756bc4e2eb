"""Putting questions about sites with zones on a plan.

There a least price is proven over the ways to aim that were listed for its own site. Four things
keep the figures together. A kit that is known for one site is tried on the others: the audit looks
at it with exact shapes, so it may do where cells would not show it. What is proven is never above a
kit that is known. Proofs are handed on only between sites with the same ways to aim (`grounds`), or
where a kit shows that a tighter value costs no more. And a kit that turns out to meet the site as
it was asked, for less than the price that is being explained, ends the explanation: that price is
not the least.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.asking import Asker, Have, Known, Progress
from optimizer.explaining.carrying import carried
from optimizer.explaining.seeking import Sought
from optimizer.instance import Memory
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site

T = TypeVar("T")

OVER = (
    "every price below is the least over the ways to aim cameras that were looked at, for the site "
    "as asked or as changed, and over the kits found for one that do for another; a way that was "
    "not looked at might change a figure"
)

_MOST_KITS = 24
"""Kits, the cheapest ones, that are tried on other sites."""


class Better(Exception):  # noqa: N818 - not an error: the explanation begins anew with the design
    """A cheaper kit of the site that is explained."""

    def __init__(self, design: Design) -> None:
        super().__init__(design.total)
        self.design = design


class PlanAsker(Asker):
    """The same for sites with zones on a plan."""

    def __init__(
        self, book: LoadedBook, deadline: float, say: Progress, memory: Memory | None = None
    ) -> None:
        super().__init__(book, deadline, say)
        if memory is not None:
            self.seeker.memory = memory
        self.kits: list[Have] = []
        self.tried: set[tuple[str, int]] = set()

    def cheapest(self, site: Site, share: float = 1.0) -> Known:
        """The cheapest total of a site, proven over its ways to aim and over all kits known."""
        super().cheapest(site, share)
        return self.closed(site)

    def closed(self, site: Site) -> Known:
        """What is known with all kits that were found for other sites."""
        known = self.so_far(site)
        for have in self.kits:
            if known.unmeetable or (known.high is not None and have.total >= known.high):
                break
            mark = (self._mark(site), id(have))
            if mark not in self.tried and not self.out_of_time:
                self.tried.add(mark)
                if self.carry(site, have) is not None:
                    known = self.so_far(site)
        return known

    def at_most(self, site: Site, total: int, bought: dict[str, int]) -> Known:
        """The same, if an audit says so: a kit is carried over, never a figure alone."""
        known = self.so_far(site)
        if known.high is None or total < known.high:
            for have in (self.first, *self.kits):
                same = have is not None and (have.total, have.bought) == (total, bought)
                if same and have is not None and self.carry(site, have) is not None:
                    break
        return self.so_far(site)

    def _paired(self, tasks: list[Callable[[], T]]) -> list[T]:
        # The plan and its views are prepared once, here; another process would prepare its own.
        return [task() for task in tasks]

    def _search(
        self,
        site: Site,
        known: Known,
        below: int | None,
        share: float = 1.0,
        *,
        any_will_do: bool = False,
    ) -> Known:
        known = self.closed(site)
        if known.high is not None and (below is None or known.high < below):
            if known.settled or any_will_do:
                return known
            below = known.high
        return super()._search(site, known, below, share, any_will_do=any_will_do)

    def _merge(self, site: Site, sought: Sought) -> Known:
        known = super()._merge(site, sought)
        if sought.have is not None:
            self._found(sought.have)
        return known

    def _found(self, have: Have) -> None:
        """Take up a kit for other sites, first of all for the one that is explained."""
        first = self.first
        if first is not None and self.proven and have.total < first.total:
            design = carried(first.site, self.book, have.design)
            if design is not None:
                raise Better(design)
        with self.lock:
            self.kits = sorted([*self.kits, have], key=lambda h: h.total)[:_MOST_KITS]

    def _keep(self, site: Site, known: Known, have: Have | None) -> Known:
        totals = [t for t in (known.high, have.total if have else None) if t is not None]
        if totals and known.unmeetable:
            raise Defect("a site with a design is called unmeetable")
        if totals:
            # Nothing listed costs less than `low`; a kit from elsewhere may.
            known = replace(known, low=min(known.low, *totals))
        return super()._keep(site, known, have)


def asker_for(
    site: Site, book: LoadedBook, deadline: float, say: Progress, memory: Memory | None = None
) -> Asker:
    """Who answers questions about a site and others like it."""
    if site.areas:
        return PlanAsker(book, deadline, say, memory)
    return Asker(book, deadline, say)


__all__ = ["OVER", "Better", "PlanAsker", "asker_for"]
