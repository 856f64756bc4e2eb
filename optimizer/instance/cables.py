"""What can lie along a run: constructions of cut cable, and runs of ready-made leads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import combinations_with_replacement

from optimizer.engineering.protection import route_ok
from optimizer.engineering.reach import signal_reach_m
from optimizer.instance.amounts import CM_PER_M, down, up
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Cable, Laid, Lead
from optimizer.reading.terms import Route
from optimizer.site.schema import Site


@dataclass(frozen=True)
class Construction:
    """Cable that is sold in boxes of several lengths.

    Attributes
    ----------
    cable : Cable
        Any of its items: all agree in everything but length and price.
    boxes : tuple of (item id, cm)
        In catalogue order.
    """

    name: str
    cable: Cable
    boxes: tuple[tuple[str, int], ...]

    @property
    def longest(self) -> int:
        """Longest piece it can give. [cm]"""
        return max(length for _, length in self.boxes)


@dataclass(frozen=True)
class LeadRun:
    """One lead, or leads joined, that cover a run."""

    lead: Lead
    items: tuple[str, ...]
    length: Decimal

    @property
    def joints(self) -> int:
        """Joints between its leads."""
        return len(self.items) - 1


def constructions(site: Site, book: LoadedBook) -> dict[str, Construction]:
    """All constructions that may be used."""
    found: dict[str, list[Cable]] = {}
    for cable in book.by_kind(Cable):
        if cable.id not in site.policy.forbid:
            found.setdefault(cable.construction, []).append(cable)
    return {
        name: Construction(name, cables[0], tuple((c.id, down(c.box * CM_PER_M)) for c in cables))
        for name, cables in found.items()
    }


def may_lie(route: Route, laid: Laid) -> bool:
    """Whether new cable suits a route."""
    return route_ok(route, laid.fire, laid.outdoor, laid.burial)


def cut_length(site: Site, run: Decimal) -> int:
    """Length to cut for a run. [cm]"""
    return up((run + 2 * site.assumptions.end_allowance) * CM_PER_M)


def coax_reach(laid: Cable | Lead, family: str) -> Fraction:
    """How far a family's signal goes over a cable or lead. [m]"""
    stated = laid.reach.get(family)  # type: ignore[call-overload]
    if stated is not None:
        return Fraction(stated)
    assert laid.fit is not None
    return Fraction(signal_reach_m(family, laid.fit))


class LeadShelf:
    """Ready-made leads by series, and the runs of leads that cover a length."""

    def __init__(self, site: Site, book: LoadedBook) -> None:
        self.most = site.policy.most_joints + 1
        self.series: dict[str, list[Lead]] = {}
        for lead in book.by_kind(Lead):
            if lead.id not in site.policy.forbid:
                self.series.setdefault(lead.series, []).append(lead)
        self.kept: dict[tuple[str, Decimal], tuple[LeadRun, ...]] = {}

    def runs(self, carries: frozenset[str], run: Decimal, route: Route) -> Iterator[LeadRun]:
        """Runs of leads that carry just this, none of which could lose a lead."""
        for name, leads in self.series.items():
            first = leads[0]
            if frozenset(first.carries) == carries and may_lie(route, first):
                yield from self._covers(name, leads, run)

    def _covers(self, name: str, leads: list[Lead], run: Decimal) -> tuple[LeadRun, ...]:
        key = (name, run)
        if key not in self.kept:
            self.kept[key] = tuple(self._search(leads, run))
        return self.kept[key]

    def _search(self, leads: list[Lead], run: Decimal) -> Iterator[LeadRun]:
        joinable = [lead for lead in leads if lead.joinable]
        for size in range(1, self.most + 1):
            for chosen in combinations_with_replacement(leads if size == 1 else joinable, size):
                length = sum((c.length for c in chosen), Decimal(0))
                spare = length - run
                if spare >= 0 and (size == 1 or all(c.length > spare for c in chosen)):
                    yield LeadRun(leads[0], tuple(c.id for c in chosen), length)
