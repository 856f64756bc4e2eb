"""The cheapest choice of zones to keep, for every weight that they can have together.

What at least so much weight costs never falls as the weight grows, whatever else the site asks:
zones of more weight are also of at least less. So the totals of two weights, where they are equal,
are those of all weights between.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from optimizer.errors import Defect, InputError, Trouble
from optimizer.instance import Instance, build_instance
from optimizer.instance.leaving import Leaving
from optimizer.model import build
from optimizer.pricebook import LoadedBook
from optimizer.scenarios.answering import Progress
from optimizer.site.schema import Site
from optimizer.solving.cpsat import CpSat
from optimizer.solving.purchase import tax_on
from optimizer.solving.pursue import Pursuit, pursue

MOST_WEIGHTS = 2000
"""Different sums of weights that are looked at."""

_SLICE = 0.25
"""Share of the time left that one question may take."""

_LEAST = 0.5


@dataclass(frozen=True)
class Kept:
    """What zones of at least some weight cost, the other zones left out.

    Attributes
    ----------
    zones : frozenset of str
        Those that cost `high`, and weigh `weight`; empty where none are known.
    low : int or None
        No choice of at least this weight costs less; None where no kit meets any. [hundredth]
    high : int or None
        With tax. [hundredth]
    """

    weight: int
    zones: frozenset[str]
    low: int | None
    high: int | None

    @property
    def settled(self) -> bool:
        """Whether the least total is known, or that there is none."""
        return self.low is None or self.low == self.high


@dataclass(frozen=True)
class ZonesKept:
    """What each weight costs, from the lowest to the highest, and how often that was sought."""

    kept: tuple[Kept, ...]
    solves: int


def zones_kept(
    site: Site, book: LoadedBook, weights: Mapping[str, int], deadline: float, say: Progress
) -> ZonesKept:
    """The least total for every sum of weights.

    Parameters
    ----------
    weights : dict of str to int
        Of every zone, 1 or more.
    deadline : float
        On the clock of ``time.monotonic``. [s]

    Raises
    ------
    InputError
        If the weights have too many different sums.
    """
    sums = {0}
    for weight in weights.values():
        sums |= {one + weight for one in sums}
        if len(sums) > MOST_WEIGHTS:
            raise InputError(
                Trouble(
                    f"the weights have more than {MOST_WEIGHTS} different sums",
                    field="zones",
                    accepted="weights of few different sizes, such as 1, 2 and 5",
                    hint="give rounder weights",
                )
            )
    return _Sweep(site, book, weights, sorted(sums - {0}), deadline, say).run()


class _Sweep:
    def __init__(
        self,
        site: Site,
        book: LoadedBook,
        weights: Mapping[str, int],
        sums: list[int],
        deadline: float,
        say: Progress,
    ) -> None:
        self.site, self.weights, self.deadline, self.say = site, weights, deadline, say
        # Each zone has a table of its own: which of two that are alike is kept may matter.
        self.tables = build_instance(site, book, group=False)
        self.sums = sums
        self.found: dict[int, Kept] = {}
        self.solves = 0

    def run(self) -> ZonesKept:
        last = len(self.sums) - 1
        self._ask(last)
        if last:
            self._ask(0)
            self._between(0, last)
        return ZonesKept(tuple(self._closed()), self.solves)

    def _between(self, first: int, last: int) -> None:
        """Fill in what lies between two sums, halving; equal ends settle all between."""
        one, two = self.found[first], self.found[last]
        if last - first < 2:
            return
        if one.low is None or (one.settled and two.settled and one.high == two.high):
            for place in range(first + 1, last):
                self.found[place] = replace(two, weight=self.sums[place])
            return
        middle = (first + last) // 2
        self._ask(middle)
        self._between(first, middle)
        self._between(middle, last)

    def _ask(self, place: int) -> None:
        """The least total of at least this weight, with what is known of lower and higher ones."""
        weight = self.sums[place]
        below = [k.low for p, k in self.found.items() if p < place and k.low is not None]
        above = [k for p, k in self.found.items() if p > place and k.high is not None]
        floor = max(below, default=0)
        cheap = min(above, key=lambda k: k.high or 0) if above else None
        left = self.deadline - time.monotonic()
        if left <= 0:
            known = Kept(weight, frozenset(), floor, None)
            self.found[place] = known if cheap is None else replace(cheap, weight=weight, low=floor)
            return
        self.solves += 1
        self.say(f"asking what zones of weight {weight} of {self.sums[-1]} cost")
        self.found[place] = self._sought(weight, floor, cheap, max(left * _SLICE, _LEAST))

    def _sought(self, weight: int, floor: int, cheap: Kept | None, seconds: float) -> Kept:
        instance = self._instance(weight)
        end = time.monotonic() + seconds
        got = pursue(instance, end, _quiet, ties=False, least=self._net(floor))
        found = got.found
        if found.status == "infeasible":
            if cheap is not None:
                raise Defect(
                    "zones of more weight have a kit, zones of less are proven to have none"
                )
            none = self._confirmed(instance, seconds)
            return Kept(weight, frozenset(), None if none else floor, None)
        low = max(floor, 0 if found.bound is None else self._total(found.bound))
        if found.values is None or found.objective is None:
            known = Kept(weight, frozenset(), low, None)
            if cheap is None or cheap.high is None:
                return known
            return replace(cheap, weight=weight, low=min(low, cheap.high))
        high = self._total(found.objective)
        stays = self._stays(got, found.values)
        return Kept(weight, stays, high if found.status == "optimal" else min(low, high), high)

    def _instance(self, weight: int) -> Instance:
        """The site with zones of at least this weight; with all of them none is left out."""
        if weight == self.sums[-1]:
            return self.tables
        return replace(self.tables, leaving=Leaving(self.weights, weight))

    def _stays(self, got: Pursuit, values: Sequence[int]) -> frozenset[str]:
        if got.draft.instance.leaving is None:
            return frozenset(self.weights)
        return frozenset(zone for zone, var in got.draft.gone.items() if not values[var])

    def _confirmed(self, instance: Instance, seconds: float) -> bool:
        """Whether CP-SAT, too, proves that no zones of this weight can be had."""
        return CpSat(build(instance).program).solve(seconds, first=True).status == "infeasible"

    def _closed(self) -> list[Kept]:
        """All sums, each with what follows from its neighbours: totals never fall."""
        kept = [self.found[place] for place in range(len(self.sums))]
        for place, (one, two) in enumerate(pairwise(kept), 1):
            if two.low is not None and one.low is not None and two.low < one.low:
                kept[place] = replace(two, low=one.low)
        for place in range(len(kept) - 2, -1, -1):
            one, two = kept[place], kept[place + 1]
            if two.high is None:
                continue
            if one.low is None or one.low > two.high:
                raise Defect("zones that weigh more are proven to cost less")
            if one.high is None or two.high < one.high:
                kept[place] = replace(two, weight=one.weight, low=one.low)
        return kept

    def _total(self, net: int) -> int:
        return net + tax_on(net, self.site.money.tax)

    def _net(self, total: int) -> int:
        """The least net whose total with tax is not below this one."""
        net = int(total / (1 + self.site.money.tax)) - 2
        while self._total(max(net, 0)) < total:
            net += 1
        return max(net, 0)


def _quiet(_words: str) -> None:
    """Progress within one question is not told."""


__all__ = ["MOST_WEIGHTS", "Kept", "ZonesKept", "zones_kept"]
