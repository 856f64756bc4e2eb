"""Many questions about one site answered by one search, where its changes can stand side by side.

A proof that nothing is cheaper hangs little on which zone asks for a little less. So changes of one
kind are put into one program (`instance/changing`, `solving/several`); what comes out for each is
made a design of its own site, and audited, before it is told.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from optimizer.explaining.seeking import Have, Known, Seeker, Sought, least_net, lower, raised
from optimizer.instance import Instance, build_instance
from optimizer.instance.changing import expressible, merged, stricter
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.site.schema import Site
from optimizer.solving.cpsat import CpSat
from optimizer.solving.layout import lay_out
from optimizer.solving.several import Kit, settle

MOST = 128
"""Changes in one program."""

_DESIGN_WORK = 1.0
"""Effort to spell out one kit, in deterministic units."""

_STREAMS = ("frame_rate", "recorded", "retention", "bit_rate")


@dataclass(frozen=True)
class Batch:
    """Sites that differ from a first one, and what is known of each.

    Attributes
    ----------
    first : Have
        A design proven cheapest for the first site.
    below : int or None
        Only kits of a lower total are of interest. [hundredth, with tax]
    """

    first: Have
    sites: tuple[Site, ...]
    known: tuple[Known, ...]
    below: int | None
    seconds: float

    def answered(self, seeker: Seeker) -> list[Sought]:
        """What is found out of each site."""
        return _Answering(self, seeker).run()


def batches(first: Site, sites: Iterable[Site], harder: Iterable[bool]) -> list[list[int]]:
    """Which sites are asked about together; those that are in no batch are asked about alone.

    Parameters
    ----------
    sites : iterable of Site
        Changed sites.
    harder : iterable of bool
        For each, whether the first site's cheapest kit is not known to do for it.

    Returns
    -------
    list of list of int
        Numbers of sites; what takes little time comes first.
    """
    kinds: dict[tuple[int, ...], list[int]] = {}
    for number, (site, more) in enumerate(zip(sites, harder, strict=True)):
        if expressible(first, site):
            kinds.setdefault(_kind(first, site, more), []).append(number)
    found = []
    for _, numbers in sorted(kinds.items()):
        found += [numbers[i : i + MOST] for i in range(0, len(numbers), MOST)]
    return [numbers for numbers in found if len(numbers) > 1]


def _kind(first: Site, site: Site, harder: bool) -> tuple[int, ...]:
    """Changes of one kind have bounds much alike; kinds that are quickly settled come first."""
    was = {zone.id: zone for zone in first.views}
    changed = [z for z in site.views if z != was[z.id]]
    gone = len(site.views) < len(was)
    whole = not gone and (len(changed) != 1 or site.spare != first.spare)
    streams = all(
        z.model_copy(update={n: getattr(was[z.id], n) for n in _STREAMS}) == was[z.id]
        for z in changed
    )
    return int(gone), int(whole), int(harder), int(streams)


class _Answering:
    def __init__(self, batch: Batch, seeker: Seeker) -> None:
        self.batch, self.seeker = batch, seeker
        self.end = time.monotonic() + batch.seconds
        self.rate: Decimal = batch.first.site.money.tax

    def run(self) -> list[Sought]:
        batch = self.batch
        others = {"": batch.first.site}
        fresh = []
        for number, (site, known) in enumerate(zip(batch.sites, batch.known, strict=True)):
            others[str(number)] = site
            if known.high is not None and known.high <= batch.first.total:
                fresh.append(str(number))
        whole = build_instance(
            batch.first.site, self.seeker.book, memory=self.seeker.memory, others=others,
            fresh=fresh,
        )  # fmt: skip
        instance, stands = merged(whole)
        draft = build(instance)
        prices: dict[str, int | None] = {}
        least: dict[str, int] = {}
        for number, known in enumerate(batch.known):
            name = stands[str(number)]
            prices[name] = lower(prices.get(name), self._limit(number))
            least[name] = max(least.get(name, 0), least_net(known.low, self.rate))
        for name in stricter(instance) - {""}:
            least[name] = max(least[name], least_net(batch.first.total, self.rate))
        seconds = max(self.end - time.monotonic(), 0.1)
        found = settle(draft, prices, seconds, _kit(instance, batch.first), least)
        size = len(draft.program.names)
        out = []
        for number, site in enumerate(batch.sites):
            name = stands[str(number)]
            known = self._raised(number, found.least[name])
            have = None
            if name in found.values:
                have = self._design(site, draft, found.values[name])
            out.append(Sought(known, have, 1, size, name in found.values and have is None))
        return out

    def _limit(self, number: int) -> int | None:
        """Net price of interest for a site. [hundredth]"""
        least = lower(self.batch.known[number].high, self.batch.below)
        return None if least is None else least_net(least, self.rate)

    def _raised(self, number: int, least: int) -> Known:
        known = self.batch.known[number]
        if known.unmeetable:
            return known
        return raised(known, least, self.rate)

    def _design(self, site: Site, draft: Draft, values: Sequence[int]) -> Have | None:
        """A solution that makes one change, as a design of that site; None if it takes too long."""
        instance = build_instance(site, self.seeker.book, memory=self.seeker.memory)
        own = build(instance)
        model = CpSat(own.program)
        for terms, count in _cameras(draft, values, own):
            model.add_row(terms, count, count)
        for item, packs in own.bought.items():
            count = sum(k * values[c] for c, k in draft.bought.get(item, []))
            model.add_row(dict(packs), count, count)
        seconds = max(self.end - time.monotonic(), 1.0)
        found = model.solve(seconds, work=_DESIGN_WORK, first=True)
        if found.values is None:
            return None
        layout = lay_out(own, found.values)
        return None if layout.failed else self.seeker.audited(own, found.values, layout)


def _kit(instance: Instance, first: Have) -> Kit:
    used: dict[str, list[str]] = {}
    for camera in first.design.cameras:
        used.setdefault(camera.zone, []).append(camera.item)
    cameras: Counter[tuple[int, str, int]] = Counter()
    for index, table in enumerate(instance.zones):
        for zone in table.zones if index not in instance.instead else ():
            items = used[zone.id]
            cameras[index, items[0], len(items)] += 1
    return Kit(cameras, first.bought)


def _cameras(
    draft: Draft, values: Sequence[int], own: Draft
) -> Iterable[tuple[Mapping[int, int], int]]:
    """For zones that stand together in a table here or there: how many have which camera.

    Yields
    ------
    (dict of int to int, int)
        Terms over the variables of `own`, and their sum.
    """
    group: dict[str, str] = {}

    def root(zone: str) -> str:
        while group.setdefault(zone, zone) != zone:
            zone = group[zone]
        return zone

    def plain(zone: str) -> str:
        return zone.partition("~")[0]

    for table in (*draft.instance.zones, *own.instance.zones):
        for zone in table.zones[1:]:
            group[root(plain(zone.id))] = root(plain(table.zones[0].id))
    counts: Counter[tuple[str, str, int]] = Counter()
    for (index, number), var in draft.cameras.items():
        table = draft.instance.zones[index]
        view = table.candidates[number].view
        counts[root(plain(table.name)), view.camera.id, view.count] += values[var]
    terms: dict[tuple[str, str, int], dict[int, int]] = {}
    for (index, number), var in own.cameras.items():
        table = own.instance.zones[index]
        view = table.candidates[number].view
        terms.setdefault((root(table.name), view.camera.id, view.count), {})[var] = 1
    for key in [*terms, *(k for k, n in counts.items() if n and k not in terms)]:
        yield terms.get(key, {}), counts[key]


__all__ = ["Batch", "batches"]
