"""From a site and a price book to the instance."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from optimizer.instance.cables import constructions
from optimizer.instance.changing import changes as changes_to
from optimizer.instance.dominance import CameraRank, Prices, best_constructions
from optimizer.instance.feeding import supply_fits
from optimizer.instance.making import ZoneMaker
from optimizer.instance.memory import Memory, Shared
from optimizer.instance.recorders import recorder_fits
from optimizer.instance.sound import SoundTable, sound_table
from optimizer.instance.tables import Change, Instance, ZoneTable
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site, Zone

if TYPE_CHECKING:
    from optimizer.plan.prepared import Prepared


def build_instance(
    site: Site,
    book: LoadedBook,
    *,
    reduce: bool = True,
    group: bool = True,
    memory: Memory | None = None,
    sure: bool = True,
    glimpsed: Prepared | None = None,
    others: Mapping[str, Site] | None = None,
    fresh: Collection[str] = (),
    until: float = math.inf,
) -> Instance:
    """Compute all tables of a site and a price book.

    Parameters
    ----------
    reduce : bool
        Leave out what can never be part of a cheapest kit.
    group : bool
        Count zones that ask for the same thing, instead of naming each.
    memory : Memory, optional
        What was worked out for other sites with the same book.
    sure : bool
        Whether a spot on a plan counts as seen only if it surely is. Otherwise it counts if it
        might be: then whatever is unmeetable is so however the cameras are aimed, and no kit
        costs less than the cheapest of this instance.
    glimpsed : Prepared, optional
        With `sure` false: the ways to aim that are looked at, each with whatever it might show a
        spot of. Left out: each lens counts for all that it might show however it is aimed.
    others : mapping of str to Site, optional
        Sites of which the instance is to stand for any one, in place of the first; see
        :mod:`optimizer.instance.changing`.
    fresh : collection of str
        Those of which only kits matter that are none of the first site.
    until : float
        On the clock of ``time.monotonic``: no further lenses are looked at on a plan, nor smaller
        cells, from then on; what was left is said in the words of the viewing. [s]
    """
    fits, refused = recorder_fits(site, book)
    supplies = supply_fits(site, book)
    cables = constructions(site, book)
    prices = Prices(site, book)
    if reduce:
        cables = best_constructions(site, book, cables, prices)
    memory = memory or Memory()
    shared = memory.of(site, book, cables, supplies)
    wirer = shared.wirer
    by_zone = {z.id: z for z in site.views}
    sounds = [
        sound_table(site, book, wirer, p, by_zone.get(p.zone) if p.zone else None, shared.heard)
        for p in site.audio.points
    ]
    tied = {s.zone.id: s for s in sounds if s.zone is not None and s.tied}
    channels = min((f.channels for f in fits), default=0)
    # What is never worth its price must be so whichever channels are to be kept spare.
    spare = max([site.spare.channels, *(o.spare.channels for o in (others or {}).values())])
    strict = site.model_copy(update={"spare": site.spare.model_copy(update={"channels": spare})})
    rank = CameraRank(strict, prices, channels) if reduce else None
    maker = ZoneMaker(site, book, shared, fits, rank)
    groups = _alike(site, tied, group)
    terms = (repr(strict.model_copy(update={"zones": (), "name": ""})), reduce)
    tables = [_table(maker, shared, terms, zones, tied.get(zones[0].id)) for zones in groups]
    made: list[Change] = []
    if others:
        makers: dict[str, ZoneMaker] = {}

        def making(other: Site) -> ZoneMaker:
            key = repr((other.recording, other.spare.storage))
            if key not in makers:
                makers[key] = ZoneMaker(other, book, shared, fits, rank)
            return makers[key]

        tables, made = changes_to(site, tables, others, fresh, making)
    seen = None
    if site.areas:
        # Geometry is loaded for sites with a plan only.
        from optimizer.instance.mounts import MountMaker
        from optimizer.instance.viewing import viewing

        mounts = MountMaker(site, maker, memory)
        more, aims, prepared = mounts.tables(len(tables), sure, until, glimpsed)
        tables += more
        seen = viewing(site, tables, aims, prepared, sure=sure, reduce=reduce)
        seen = replace(seen, over=mounts.words(prepared), stopped=mounts.shelf.stopped)
    return Instance(
        site,
        book,
        tuple(tables),
        tuple(sounds),
        tuple(fits),
        tuple(supplies),
        cables,
        refused,
        seen,
        changes=tuple(made),
    )


def _table(
    maker: ZoneMaker,
    shared: Shared,
    terms: tuple[str, bool],
    zones: list[Zone],
    sound: SoundTable | None,
) -> ZoneTable:
    """The table of zones that are alike; what a zone takes hangs on no other zone."""
    if sound is not None:
        return maker.table(zones, sound)
    key = (terms, repr(zones[0].model_copy(update={"id": "", "name": ""})))
    if key not in shared.tables:
        shared.tables[key] = maker.table(zones, None)
    return replace(shared.tables[key], zones=tuple(zones))


def _alike(site: Site, tied: dict[str, SoundTable], group: bool) -> list[list[Zone]]:
    """Zones grouped by what they ask, in the order of the site file."""
    groups: dict[object, list[Zone]] = {}
    for zone in site.views:
        asked = zone.model_copy(update={"id": "", "name": ""})
        key: object = repr(asked) if group and zone.id not in tied else zone.id
        groups.setdefault(key, []).append(zone)
    return list(groups.values())
