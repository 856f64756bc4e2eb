"""Whether a stricter site can be had at the very price that is proven for the first.

A kit of the stricter site is a kit of the first. If it costs no more than the first's cheapest, it
is one of those that cost the same, and these lie in a few small boxes (`solving/region`), found by
one more proof for the first site. So one search serves all questions how far a demand goes at the
same price; each is then a small program.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from optimizer.explaining.beyond import restrict
from optimizer.explaining.seeking import (
    Have,
    Known,
    Seeker,
    Sought,
    at_once,
    least_net,
    nothing,
    nothing_left,
)
from optimizer.instance import Instance, build_instance
from optimizer.instance.tables import Candidate
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.site.schema import Site
from optimizer.solving.cpsat import CpSat
from optimizer.solving.glance import Glance
from optimizer.solving.layout import lay_out
from optimizer.solving.region import region
from optimizer.solving.shrinking import Grid, shrink
from optimizer.solving.tree import Fixed

if TYPE_CHECKING:
    from optimizer.explaining.asking import Asker

_WORK = 1.0
"""Effort for one box, in deterministic units: no answer hangs on the machine."""

_NONE = (0, 0)

Zones = tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """Bounds of counts that mean the same in the program of any site, by name.

    Attributes
    ----------
    bought : dict of str to (int, int)
        How much is bought of each item, at each price.
    seen : dict of tuple of str to (dict of str to (int, int))
        For zones that stand in one table: how many of them have which camera.
    """

    bought: Mapping[str, tuple[int, int]]
    seen: Mapping[Zones, Mapping[str, tuple[int, int]]]


@dataclass(frozen=True)
class Level:
    """All kits of a site that cost what its cheapest costs.

    Attributes
    ----------
    most : int
        Their price, net. [hundredth]
    """

    first: Have
    most: int
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class AtPrice:
    """The question whether a stricter site can be had at the price of a level.

    Attributes
    ----------
    site : Site
        Each kit of it is one of the level's first site, but for those with a new camera.
    known : Known
        About it, beforehand.
    new : bool
        Whether some zone takes a camera that it does not take at the first site, such as two where
        one did: then kits with such a camera have to be proven dearer by themselves.
    """

    level: Level
    site: Site
    known: Known
    seconds: float
    new: bool = False

    def answered(self, seeker: Seeker) -> list[Sought]:
        """A kit at that price, that there is none, or none at all; else what was known before."""
        end = time.monotonic() + self.seconds
        total = self.level.first.total
        instance = build_instance(self.site, seeker.book, memory=seeker.memory)
        if not instance.recorders or any(not z.candidates for z in instance.zones):
            return [Sought(nothing(self.known, None, nothing_left(instance)))]
        if self.new and not self._new_are_dearer(instance, end):
            return [Sought(self.known, None, 1)]
        known = replace(self.known, low=max(self.known.low, total))
        if known.settled:
            return [Sought(known, None, 1)]
        dearer = replace(known, low=max(known.low, total + 1))
        instance = _left(instance, self.level)
        if any(not z.candidates for z in instance.zones):
            return [Sought(dearer)]
        draft = build(instance)
        grid, size, open_ = Grid(draft.program), len(draft.program.names), False
        for part in self.level.parts:
            small = shrink(grid, _fixed(draft, part))
            if small is None:
                continue
            model = CpSat(small.program)
            model.add_row(model.cost, hi=self.level.most - small.offset)
            outcome = model.solve(max(end - time.monotonic(), 0.1), work=_WORK, first=True)
            if outcome.status == "infeasible":
                continue
            open_ = True
            if outcome.values is not None:
                values = small.lifted(outcome.values)
                layout = lay_out(draft, values)
                if not layout.failed:
                    have = seeker.audited(draft, values, layout)
                    return [Sought(known, have, 1, size)]
        return [Sought(known if open_ else dearer, None, 1, size)]

    def _new_are_dearer(self, instance: Instance, end: float) -> bool:
        """Whether little effort proves that each kit with a new camera costs more."""
        draft, limit = build(instance), self.level.most + 1
        if not restrict(draft, self.level.first.site):
            return True
        seen = Glance(draft.program, limit)
        return seen.refuted or at_once(draft, seen, limit, end).found.status == "infeasible"


def level(asker: Asker, first: Have, share: float) -> Level | None:
    """All kits of a site that cost what its cheapest costs.

    Parameters
    ----------
    first : Have
        A design proven cheapest for its site, which has no plan.
    share : float
        Of the time left that the search for them may take.

    Returns
    -------
    Level or None
        None where time ran out, or such kits are too many.
    """
    seconds = share * (asker.deadline - time.monotonic())
    draft = build(build_instance(first.site, asker.book, memory=asker.memory))
    most = least_net(first.total + 1, first.site.money.tax) - 1
    boxes = region(draft, most, seconds)
    if boxes is None:
        return None
    parts = tuple(_part(draft, box.lower.tolist(), box.upper.tolist()) for box in boxes)
    return Level(first, most, parts)


def decided(known: Known, total: int) -> bool:
    """Whether it is known of a stricter site if it can be had at a total. [hundredth, with tax]"""
    return known.unmeetable or known.low > total or known.low == known.high == total


def at_level(asker: Asker, one: Level, sites: Iterable[tuple[Site, bool]]) -> None:
    """Ask of stricter sites whether they can be had at the price of a level.

    What each costs if it is more is not asked.

    Parameters
    ----------
    sites : iterable of (Site, bool)
        Each kit of them is one of the first site, but for those with a new camera; and whether
        some zone takes one.
    """
    total, waiting = one.first.total, []
    for site, new in sites:
        if asker.out_of_time:
            break
        known = asker.so_far(site) if new else asker.at_least(site, total)
        if not decided(known, total):
            seconds = min(asker.deadline - time.monotonic(), asker.slice)
            waiting.append((site, AtPrice(one, site, known, seconds, new)))
    asker.put(waiting)


def _left(instance: Instance, one: Level) -> Instance:
    """The instance without cameras that no kit of the level has in the same zones."""
    tables = []
    for table in instance.zones:
        key = tuple(zone.id for zone in table.zones)
        ranges = [part.seen[key] for part in one.parts if key in part.seen]
        # One that the first site does not list is refused there, or makes any kit of it dearer.
        kept = [c for c in table.candidates if any(r.get(_camera(c), _NONE)[1] for r in ranges)]
        tables.append(replace(table, candidates=tuple(kept)) if ranges else table)
    return replace(instance, zones=tuple(tables))


def _camera(candidate: Candidate) -> str:
    return f"{candidate.view.camera.id}x{candidate.view.count}"


def _part(draft: Draft, lower: list[int], upper: list[int]) -> Part:
    seen: dict[Zones, dict[str, tuple[int, int]]] = {}
    for (index, number), var in draft.cameras.items():
        table = draft.instance.zones[index]
        of_table = seen.setdefault(tuple(zone.id for zone in table.zones), {})
        of_table[_camera(table.candidates[number])] = (lower[var], upper[var])
    bought = {n: (lower[v], upper[v]) for v, n in enumerate(draft.program.names) if _buys(n)}
    return Part(bought, seen)


def _fixed(draft: Draft, part: Part) -> Fixed:
    """The bounds of a part in the program of another site, where its counts mean the same."""
    program = draft.program
    fixed = {v: part.bought[n] for v, n in enumerate(program.names) if n in part.bought}
    for (index, number), var in draft.cameras.items():
        table = draft.instance.zones[index]
        of_table = part.seen.get(tuple(zone.id for zone in table.zones), {})
        if (name := _camera(table.candidates[number])) in of_table:
            fixed[var] = of_table[name]
    return fixed


def _buys(name: str) -> bool:
    return name.startswith("buy/")


__all__ = ["AtPrice", "Level", "Part", "at_level", "decided", "level"]
