"""Tables of a site that is bought in phases: what may be chosen for a place is so in all of them.

A zone is wired and fed in the same way in every phase, so its table is made once, for the last
phase, where all zones stand; what differs is on which recorders, at which rate and for how long it
is recorded. A camera item that some phase could not record is no candidate in any.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from optimizer.instance.building import build_instance
from optimizer.instance.memory import Memory
from optimizer.instance.streams import Level
from optimizer.instance.tables import Candidate, Instance, ZoneTable
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site

Item = tuple[str, int]
"""Camera item, and how many side by side."""


def phase_instances(sites: Sequence[Site], book: LoadedBook) -> tuple[Instance, ...]:
    """One instance for each phase.

    Parameters
    ----------
    sites : sequence of Site
        Site at the end of each phase: the zones and audio points of each are among those of the
        next, and nothing differs beside them but ``recording`` and ``spare``, apart from
        ``spare.supply``.
    """
    reduce = _alike(sites)
    memory = Memory()
    made = [build_instance(s, book, reduce=reduce, group=False, memory=memory) for s in sites]
    last = made[-1]
    levels = [_levels(instance) for instance in made]
    tables = {table.name: table for table in last.zones}
    kept = {
        name: tuple(
            candidate
            for candidate in table.candidates
            if all(_item(candidate) in mine.get(name, {_item(candidate): ()}) for mine in levels)
        )
        for name, table in tables.items()
    }
    return tuple(
        _phase(one, last, tables, kept, mine) for one, mine in zip(made, levels, strict=True)
    )


def _alike(sites: Sequence[Site]) -> bool:
    """Whether what can never be part of a cheapest kit is the same in all phases.

    Only then may it be left out: an item that is never worth its price with the recorders of one
    phase may be with those of another. Retention and spare storage change no item's worth beside
    another's, since they weigh on all alike.
    """

    def rest(site: Site) -> tuple[object, ...]:
        recording = site.recording.model_copy(update={"retention": 1})
        return repr(recording), site.spare.channels, site.spare.supply

    return len({rest(site) for site in sites}) == 1


def _item(candidate: Candidate) -> Item:
    return candidate.view.camera.id, candidate.view.count


def _levels(instance: Instance) -> dict[str, dict[Item, tuple[Level, ...]]]:
    return {
        table.name: {_item(c): c.levels for c in table.candidates if c.levels}
        for table in instance.zones
    }


def _phase(
    one: Instance,
    last: Instance,
    tables: dict[str, ZoneTable],
    kept: dict[str, tuple[Candidate, ...]],
    levels: dict[str, dict[Item, tuple[Level, ...]]],
) -> Instance:
    zones = tuple(
        replace(
            tables[table.name],
            candidates=tuple(
                replace(c, levels=levels[table.name][_item(c)]) for c in kept[table.name]
            ),
        )
        for table in one.zones
    )
    points = {sound.point.id for sound in one.sounds}
    return replace(
        one,
        zones=zones,
        sounds=tuple(sound for sound in last.sounds if sound.point.id in points),
        supplies=last.supplies,
        cables=last.cables,
    )


__all__ = ["phase_instances"]
