"""Mounts: which cameras may be fixed there, what may be asked of them, and what they see."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from functools import reduce

import numpy as np

from optimizer.instance.making import ZoneMaker
from optimizer.instance.memory import Memory
from optimizer.instance.optics import Refusal, View
from optimizer.instance.shelf import Shelf, Stock
from optimizer.instance.streams import Level, camera_bytes, camera_rate
from optimizer.instance.tables import Aim, Candidate, Demand, Duty, ZoneTable
from optimizer.instance.useful import needed_duties, unbeaten
from optimizer.plan.dominating import Sets, marked, undominated
from optimizer.plan.prepared import Prepared
from optimizer.pricebook.schema import Camera
from optimizer.reading.fields import PictureSize
from optimizer.site.schema import PlanZone, Site

_NOWHERE = Refusal("detail", "however it is aimed, it surely sees no spot of a zone well enough")


def demand_of(site: Site, zone: PlanZone) -> Demand:
    """What recording asks of a camera that serves one plan zone."""
    stated = zone.bit_rate
    return Demand(
        Decimal(zone.frame_rate),
        Decimal(zone.recorded),
        Decimal(site.retention_days(zone)),
        Decimal(0) if stated is None else Decimal(stated),
        stated is None,
    )


def demands_together(demands: Iterable[Demand]) -> list[Demand]:
    """Every demand that some of these ask together, the least first."""
    found: set[Demand] = set()
    for one in set(demands):
        found |= {one, *(one.joined(other) for other in found)}
    return sorted(found)


class MountMaker:
    """Makes the tables of mounts, once the plan is prepared for their lenses."""

    def __init__(self, site: Site, maker: ZoneMaker, memory: Memory) -> None:
        self.site, self.maker = site, maker
        self.shelf = Shelf(site, maker, memory)
        self.demands = {z.id: demand_of(site, z) for z in site.areas}

    def tables(
        self, first: int, sure: bool, until: float, glimpsed: Prepared | None = None
    ) -> tuple[list[ZoneTable], list[Aim], Prepared]:
        """The tables of all mounts, the ways to aim their cameras, and the prepared plan.

        Parameters
        ----------
        first : int
            Number of the first of these tables in the instance.
        sure : bool
            Count a cell for a view only if all of it surely is seen; else for a lens if any of it
            might be, however it is aimed.
        until : float
            On the clock of ``time.monotonic``: when to stop looking further. [s]
        glimpsed : Prepared, optional
            The views whose cells count, where these are given.
        """
        if glimpsed is None:
            stocks, prepared = self.shelf.filled(sure, until)
        else:
            stocks, prepared = self.shelf.of(glimpsed), glimpsed
        looks: dict[tuple[str, str], list[int]] = {}
        for number, view in enumerate(prepared.views):
            looks.setdefault((view.mount_id, view.lens_key), []).append(number)
        tables, aims = [], []
        for index, stock in enumerate(stocks, first):
            table, mine = self._table(stock, prepared, looks, index)
            tables.append(table)
            aims += mine
        return tables, aims, prepared

    def words(self, prepared: Prepared) -> str:
        """Over what set of cameras and aims a choice is cheapest."""
        return self.shelf.words(prepared)

    def _table(
        self,
        stock: Stock,
        prepared: Prepared,
        looks: dict[tuple[str, str], list[int]],
        index: int,
    ) -> tuple[ZoneTable, list[Aim]]:
        mount = stock.mount
        mine = {key: looks.get((mount.id, key), []) for key in stock.pictures}
        sighted = {c.id for key, views in mine.items() if views for c, _ in stock.pictures[key]}
        blind = {c.id: None for pairs in stock.pictures.values() for c, _ in pairs}
        refusals = [*stock.refusals, *((c, _NOWHERE) for c in blind if c not in sighted)]
        duties = self._duties(stock, prepared, [v for views in mine.values() for v in views])
        numbers = {duty.demand: n for n, duty in enumerate(duties)}
        found: list[tuple[str, int, View, tuple[Level, ...]]] = []
        aims: list[Aim] = []
        for key, views in mine.items():
            for demand in self._asked(prepared, views):
                number = numbers[demand]
                duty = duties[number]
                aims += _aims(prepared, views, key, number, duty.zones, index)
                found += [
                    (key, number, view, levels)
                    for view, levels in self._fitting(duty, stock.pictures[key])
                ]
        if self.maker.rank is not None:
            aims = self._useful(stock, prepared, aims, found, duties)
            left = {(aim.lens, aim.duty) for aim in aims}
            found = [one for one in found if one[:2] in left]
        cameras = [view for _, _, view, _ in found]
        paths, profiles, of_camera = self.maker.wire(stock.zone, cameras, None)
        candidates = [
            Candidate(view, levels, of_camera[view.camera.id], key, number)
            for key, number, view, levels in found
        ]
        table = ZoneTable(
            (stock.zone,),
            tuple(candidates),
            tuple(profiles),
            paths,
            (),
            None,
            tuple(refusals),
            mount,
            tuple(duties),
        )
        return table, aims

    def _useful(
        self,
        stock: Stock,
        prepared: Prepared,
        aims: Sequence[Aim],
        found: Sequence[tuple[str, int, View, tuple[Level, ...]]],
        duties: Sequence[Duty],
    ) -> list[Aim]:
        """The aims without those that can be replaced in any kit at no more cost."""
        numbers = {duty.demand: n for n, duty in enumerate(duties)}
        rank = self.maker.rank
        assert rank is not None

        def least(zones: frozenset[str]) -> int:
            return numbers[reduce(Demand.joined, (self.demands[z] for z in sorted(zones)))]

        zone_of = [cell.area_id for cell in prepared.cells]
        offers: dict[tuple[str, int], list[tuple[View, tuple[Level, ...]]]] = {}
        for key, number, view, levels in found:
            offers.setdefault((key, number), []).append((view, levels))
        return unbeaten(
            needed_duties(aims, zone_of, least),
            offers,
            lambda a, b: rank.beats(
                stock.zone, a, b, lambda camera: self.maker.alone(stock.zone, camera)
            ),
        )

    def _asked(self, prepared: Prepared, views: Sequence[int]) -> list[Demand]:
        """Demands that views can have to meet, by the zones they see."""
        seen = {prepared.views[v].areas for v in views}
        found: set[Demand] = set()
        for areas in seen:
            found |= set(demands_together(self.demands[a] for a in areas))
        return sorted(found)

    def _duties(self, stock: Stock, prepared: Prepared, views: Sequence[int]) -> list[Duty]:
        return [
            Duty(
                demand,
                stock.zone.model_copy(
                    update={
                        "frame_rate": demand.frame_rate,
                        "recorded": demand.recorded,
                        "retention": demand.retention,
                    }
                ),
                frozenset(z for z, own in self.demands.items() if own.within(demand)),
            )
            for demand in self._asked(prepared, views)
        ]

    def _fitting(
        self, duty: Duty, pictures: Sequence[tuple[Camera, PictureSize]]
    ) -> list[tuple[View, tuple[Level, ...]]]:
        """Cameras of one lens that can do a duty, without those that others outdo."""
        found: list[tuple[View, tuple[Level, ...]]] = [
            (
                View(camera, 1, Fraction(camera.focal.low), picture.width),
                (self._level(duty, camera, picture),),
            )
            for camera, picture in pictures
            if camera.frame_rate >= duty.demand.frame_rate
        ]
        rank = self.maker.rank
        if rank is None:
            return found
        return rank.best(duty.asked, found, False, lambda c: self.maker.alone(duty.asked, c))

    def _level(self, duty: Duty, camera: Camera, picture: PictureSize) -> Level:
        rates = [Fraction(duty.demand.bit_rate)] if duty.demand.bit_rate else []
        if duty.demand.estimated:
            rates.append(camera_rate(self.site, duty.asked, camera, picture))
        rate = max(rates)
        stored = camera_bytes(self.site, duty.asked, rate)
        return Level(picture, rate, stored, self.maker.pictures[camera.id][picture])


def _aims(
    prepared: Prepared,
    views: Sequence[int],
    lens: str,
    duty: int,
    zones: frozenset[str],
    table: int,
) -> list[Aim]:
    """The views as they count for some zones, without those that another one outdoes."""
    seen = {number: prepared.views[number] for number in views}
    as_seen: dict[bytes, int] = {}
    cut: list[int] = []
    for number, view in seen.items():
        if zones.issuperset(view.areas):
            as_seen.setdefault(view.cells.tobytes(), number)
        else:
            cut.append(number)
    whole = list(as_seen.values())
    found = {n: Aim(table, lens, duty, seen[n], seen[n].cells) for n in whole}
    if not cut:
        return list(found.values())
    # Views of a lens differ, and none holds another: only those that lose cells may be outdone now.
    flags, numbers = marked([seen[n].cells for n in (*whole, *cut)], len(prepared.cells))
    flags &= np.array([prepared.cells[c].area_id in zones for c in numbers.tolist()], dtype=bool)
    left = len(whole) + undominated(flags[len(whole) :])
    sets = Sets(flags[[*range(len(whole)), *left.tolist()]])
    outdone = sets.held(np.arange(len(whole), len(sets.flags)), np.arange(len(whole)))
    for row in left[~outdone].tolist():
        number = cut[row - len(whole)]
        found[number] = Aim(table, lens, duty, seen[number], numbers[flags[row]])
    # Those that show most come first, as greedy choices and first solutions prefer.
    return [found[n] for n in sorted(found, key=lambda n: (-len(found[n].cells), n))]
