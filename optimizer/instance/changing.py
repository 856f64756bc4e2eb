"""Several sites as one instance: what zones ask instead of what a first site asks.

Sites that differ from a first one only in what zones ask, in how long and how much of everything
is kept, or in the channels kept spare, have the same recorders, supplies, cables and items to
choose from. One program can speak of all of them: exactly one change is made. Where a zone is wired
as before, its table takes up the cameras and ways to record them of every change, and says which
change admits which (:class:`~optimizer.instance.tables.Choice`); else the change has a table of its
own. See :mod:`optimizer.model.families.changing`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from optimizer.instance.making import ZoneMaker
from optimizer.instance.optics import View
from optimizer.instance.streams import Level
from optimizer.instance.tables import Candidate, Change, Choice, Instance, Shift, ZoneTable
from optimizer.instance.wiring import place_of
from optimizer.site.schema import Site, Zone

_KEPT = ("retention", "activity", "reserve")
"""Of recording: what decides only how much is stored of a picture."""

Item = tuple[str, int]
"""Camera item, and how many side by side."""


def expressible(first: Site, other: Site) -> bool:
    """Whether another site can stand beside a first one in one instance."""
    if first.areas or other.areas:
        return False
    recording = {name: getattr(first.recording, name) for name in _KEPT}
    spare = {"channels": first.spare.channels, "storage": first.spare.storage}
    rest = other.model_copy(
        update={
            "zones": first.zones,
            "recording": other.recording.model_copy(update=recording),
            "spare": other.spare.model_copy(update=spare),
        }
    )
    if rest != first:
        return False
    was = {zone.id: zone for zone in first.views}
    order = [zone.id for zone in other.views]
    if order != [i for i in was if i in set(order)]:
        return False
    if not {zone.route for zone in other.views} <= {zone.route for zone in first.views}:
        return False
    there = {zone.id: zone for zone in other.views}
    heard = {point.zone for point in first.audio.points}
    # Sound is stored with the pictures of its zone, or as long as everything.
    kept = not first.audio.points or _stored(first) == _stored(other)
    return kept and all(there.get(i) == was[i] for i in heard if i in was)


def _stored(site: Site) -> tuple[object, ...]:
    return (*(getattr(site.recording, name) for name in _KEPT), site.spare.storage)


def _asked(site: Site, zone: Zone) -> tuple[object, ...]:
    """All that the table of a zone hangs on and that may differ, but for its names."""
    recording = site.recording
    asked = zone.model_copy(update={"id": "", "name": ""})
    days = site.retention_days(zone)
    return asked, days, recording.activity, recording.reserve, site.spare.storage


@dataclass
class _Merging:
    """A table that takes up what changes admit.

    Attributes
    ----------
    options : dict
        Item, level and frame rate to the view, what is asked, and the changes that admit it.
    """

    table: ZoneTable
    shifts: list[Shift] = field(default_factory=list)
    options: dict[tuple[Item, Level, object], tuple[View, Zone, set[str]]] = field(
        default_factory=dict
    )

    def add(self, table: ZoneTable, changes: Collection[str]) -> None:
        for candidate in table.candidates:
            for level in candidate.levels:
                key = (_item(candidate), level, table.zone.frame_rate)
                known = self.options.setdefault(key, (candidate.view, table.zone, set()))
                known[2].update(changes)

    def merged(self, maker: ZoneMaker) -> ZoneTable:
        if not self.shifts:
            return self.table
        views: dict[Item, View] = {}
        for (item, _, _), (view, _, _) in self.options.items():
            views.setdefault(item, view)
        numbers = {item: number for number, item in enumerate(views)}
        paths, profiles, of_camera = maker.wire(self.table.zone, list(views.values()), None)
        levels: dict[Item, list[Level]] = {}
        choices = []
        for (item, level, _), (_, asked, changes) in self.options.items():
            levels.setdefault(item, []).append(level)
            choices.append(Choice(numbers[item], level, asked, frozenset(changes)))
        candidates = tuple(
            Candidate(view, tuple(levels[item]), of_camera[view.camera.id])
            for item, view in views.items()
        )
        return replace(
            self.table,
            candidates=candidates,
            profiles=tuple(profiles),
            paths=paths,
            shifts=tuple(self.shifts),
            choices=tuple(choices),
        )


def changes(
    first: Site,
    tables: Sequence[ZoneTable],
    others: Mapping[str, Site],
    fresh: Collection[str],
    maker: Callable[[Site], ZoneMaker],
) -> tuple[list[ZoneTable], list[Change]]:
    """Tables and changes of other sites that are :func:`expressible`.

    Parameters
    ----------
    tables : sequence of ZoneTable
        Of the first site.
    others : mapping of str to Site
        By the name of the change.
    fresh : collection of str
        Changes of which only those kits matter that are none of the first site. Where a single
        zone asks for something else, it then has only what the first site refuses.
    maker : callable
        Makes the tables of a site.

    Returns
    -------
    list of ZoneTable
        All tables: those of the first site with what changes admit, then those of changes.
    list of Change
        In the order of `others`.
    """
    table_of = {zone.id: index for index, table in enumerate(tables) for zone in table.zones}
    merging = [_Merging(table) for table in tables]
    for one in merging:
        one.add(one.table, [""])
    apart: list[ZoneTable] = []
    made: list[Change] = []
    known: dict[object, ZoneTable] = {}
    for name, other in others.items():
        gone: dict[int, int] = {}
        groups: dict[tuple[int, object], list[Zone]] = {}
        there = {zone.id: zone for zone in other.views}
        for zone in first.views:
            index, now = table_of[zone.id], there.get(zone.id)
            if now is None:
                gone[index] = gone.get(index, 0) + 1
            elif _asked(other, now) != _asked(first, zone):
                groups.setdefault((index, _asked(other, now)), []).append(now)
        spare = other.spare.channels - first.spare.channels
        inside = name in fresh and not gone and not spare
        single = inside and sum(len(zones) for zones in groups.values()) == 1
        of_tables: dict[int, list[ZoneTable]] = {}
        for (index, key), members in groups.items():
            if key not in known:
                known[key] = maker(other).table(members[:1], None)
            of_tables.setdefault(index, []).append(replace(known[key], zones=tuple(members)))
        numbers = []
        for index, new in of_tables.items():
            count = sum(len(table.zones) for table in new)
            if len(new) == 1 and _wired_alike(new[0], tables[index]):
                merging[index].shifts.append(Shift(name, count))
                old = _options(tables[index]) if single else set()
                merging[index].add(_without(new[0], old), [name])
                continue
            gone[index] = gone.get(index, 0) + count
            for table in new:
                numbers.append(len(tables) + len(apart))
                apart.append(_named(table, name))
        made.append(Change(name, gone, tuple(numbers), spare, inside and not gone))
    return [*(one.merged(maker(first)) for one in merging), *apart], made


def merged(instance: Instance) -> tuple[Instance, dict[str, str]]:
    """The instance with one of all changes that admit the same.

    A narrower view and a coarser detail may let the same cameras in: their prices are the same.

    Returns
    -------
    Instance
        With the first of each kind of change.
    dict of str to str
        Each change to the one that stands for it.
    """
    shifted: dict[str, set[tuple[int, int]]] = {c.name: set() for c in instance.changes}
    admitted: dict[str, set[tuple[int, int]]] = {c.name: set() for c in instance.changes}
    for index, table in enumerate(instance.zones):
        for shift in table.shifts:
            shifted[shift.change].add((index, shift.zones))
        for number, choice in enumerate(table.choices):
            for name in choice.changes - {""}:
                admitted[name].add((index, number))
    first: dict[object, str] = {}
    stands: dict[str, str] = {}
    for change in instance.changes:
        name = change.name
        effect = (
            frozenset(change.gone.items()), change.tables, change.spare, change.fresh,
            frozenset(shifted[name]), frozenset(admitted[name]),
        )  # fmt: skip
        # The first site itself stands for no other: it is nothing that is asked about.
        stands[name] = first.setdefault(effect, name) if name else name
    kept = set(stands.values())
    zones = [
        replace(
            table,
            shifts=tuple(s for s in table.shifts if s.change in kept),
            choices=tuple(c._replace(changes=c.changes & {"", *kept}) for c in table.choices),
        )
        for table in instance.zones
    ]
    changes = tuple(c for c in instance.changes if c.name in kept)
    return replace(instance, zones=tuple(zones), changes=changes), stands


def stricter(instance: Instance) -> set[str]:
    """Changes of which every kit is one of the site without a change: nothing new is admitted."""
    admitting = {
        name for table in instance.zones for c in table.choices if "" not in c.changes
        for name in c.changes
    }  # fmt: skip
    return {
        change.name
        for change in instance.changes
        if not change.gone and not change.tables and change.spare >= 0
    } - admitting


def _item(candidate: Candidate) -> Item:
    return candidate.view.camera.id, candidate.view.count


def _wired_alike(now: ZoneTable, then: ZoneTable) -> bool:
    alike = place_of(now.zone) == place_of(then.zone) and now.zone.steerable == then.zone.steerable
    return alike and then.sound is None


def _options(table: ZoneTable) -> set[tuple[Item, Level, object]]:
    return {
        (_item(c), level, table.zone.frame_rate) for c in table.candidates for level in c.levels
    }


def _without(table: ZoneTable, old: Collection[tuple[Item, Level, object]]) -> ZoneTable:
    """A table without some of its cameras and ways to record them."""
    kept = []
    for one in table.candidates:
        levels = tuple(
            level for level in one.levels if (_item(one), level, table.zone.frame_rate) not in old
        )
        if levels:
            kept.append(replace(one, levels=levels))
    return replace(table, candidates=tuple(kept))


def _named(table: ZoneTable, change: str) -> ZoneTable:
    """The same under names that no other table has."""
    zones = tuple(z.model_copy(update={"id": f"{z.id}~{change}"}) for z in table.zones)
    return replace(table, zones=zones)


__all__ = ["changes", "expressible", "merged", "stricter"]
