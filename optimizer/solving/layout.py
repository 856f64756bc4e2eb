"""From counts to places: which demand goes into which bin, which stream onto which recorder.

The program may have been solved with its packs pooled. Here every unit is filled by itself; where
that cannot be done with the units that were bought, the pack is named, and is to be spelt out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from optimizer.errors import Defect
from optimizer.instance import Instance
from optimizer.instance.streams import Stream
from optimizer.model.draft import Draft
from optimizer.model.families import recording
from optimizer.model.packs import Bin, Demand, Pack, write_spelt
from optimizer.model.program import Program
from optimizer.solving.cpsat import CpSat

_SECONDS = 5.0
_SPREAD = {"linearization_level": 0}
"""Spreading streams asks for any solution: propagation alone finds one far sooner than the LP."""


@dataclass
class Unit:
    """One bin in use, and the keys of what is in it."""

    item: str
    inside: list[object] = field(default_factory=list)


@dataclass
class RecorderUnit:
    """One recorder in use.

    Attributes
    ----------
    streams : dict
        Stream to how many of them.
    drives : dict
        Drive item to pieces.
    """

    item: str
    array: str
    streams: dict[Stream, int] = field(default_factory=dict)
    drives: dict[str, int] = field(default_factory=dict)


@dataclass
class Layout:
    """All units, or the names of the packs that could not be laid out."""

    packs: dict[str, list[Unit]] = field(default_factory=dict)
    recorders: list[RecorderUnit] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)


def lay_out(draft: Draft, values: Sequence[int]) -> Layout:
    """Fill every unit that a solution uses."""
    layout = Layout()
    for pack in draft.packs.values():
        units = _fill(pack, values)
        if units is None:
            layout.failed.append(pack.name)
        else:
            layout.packs[pack.name] = units
    recorders = _record(draft, values)
    if recorders is None:
        layout.failed.append(recording.PACK)
    else:
        layout.recorders = recorders
    return layout


def _fill(pack: Pack, values: Sequence[int]) -> list[Unit] | None:
    """Units of a pack, each with something in it: what hangs on a unit was counted for all."""
    demands = [(d, n) for d in pack.demands if (n := sum(k * values[c] for c, k in d.terms)) > 0]
    bins = [(b, values[b.var]) for b in pack.bins if values[b.var] > 0]
    units = _greedily(demands, bins)
    if units is not None and len(units) == sum(n for _, n in bins):
        return units
    return _exactly(pack, demands, bins)


def _greedily(demands: list[tuple[Demand, int]], bins: list[tuple[Bin, int]]) -> list[Unit] | None:
    """Largest first, each into the bin that it fills best."""
    units = [(b, list(b.holds), Unit(b.item)) for b, n in bins for _ in range(n)]
    ranked = sorted(demands, key=lambda d: tuple(reversed(d[0].amounts)), reverse=True)
    for demand, count in ranked:
        for _ in range(count):
            fitting = [
                (sum(r - a for r, a in zip(room, demand.amounts, strict=True)), i)
                for i, (b, room, _) in enumerate(units)
                if b.takes(demand)
                and all(a <= r for a, r in zip(demand.amounts, room, strict=True))
            ]
            if not fitting:
                return None
            _, room, unit = units[min(fitting)[1]]
            for dim, amount in enumerate(demand.amounts):
                room[dim] -= amount
            unit.inside.append(demand.key)
    return [u for _, _, u in units if u.inside]


def grow(pack: Pack, values: Sequence[int], price: Callable[[str], int]) -> dict[str, int]:
    """Bins enough for the demands of a solution: its own, and the cheapest that helps, one by one.

    Parameters
    ----------
    price : callable
        Price of a bin item.
    """
    demands = [(d, n) for d in pack.demands if (n := sum(k * values[c] for c, k in d.terms)) > 0]
    counts = {b.item: values[b.var] for b in pack.bins if values[b.var] > 0}
    by_item = {b.item: b for b in pack.bins}
    for _ in range(sum(n for _, n in demands)):
        units = _greedily(demands, [(by_item[i], n) for i, n in counts.items()])
        if units is not None:
            return dict(Counter(u.item for u in units))
        largest = max(demands, key=lambda d: tuple(reversed(d[0].amounts)))[0]
        more = min((b.item for b in pack.bins if b.takes(largest)), key=price)
        counts[more] = counts.get(more, 0) + 1
    raise Defect(f"{pack.name} cannot be packed however many bins there are")


def _exactly(
    pack: Pack, demands: list[tuple[Demand, int]], bins: list[tuple[Bin, int]]
) -> list[Unit] | None:
    program = Program()
    fixed = [
        Demand(d.key, d.amounts, [(program.var(f"need/{i}", n, n), 1)])
        for i, (d, n) in enumerate(demands)
    ]
    counted = [Bin(b.item, b.holds, b.limits, program.var(f"bins/{b.item}", n, n)) for b, n in bins]
    small = Pack(pack.name, pack.tags, tuple(fixed), tuple(counted))
    most = max((n for _, n in bins), default=0)
    placed = write_spelt(program, small, most)
    outcome = CpSat(program).solve(_SECONDS, first=True)
    if outcome.values is None:
        return None
    units: dict[tuple[str, int], Unit] = {}
    for (item, number, index), var in placed.items():
        unit = units.setdefault((item, number), Unit(item))
        unit.inside += [fixed[index].key] * outcome.values[var]
    return [u for u in units.values() if u.inside]


def recorded(draft: Draft, values: Sequence[int]) -> tuple[dict[str, int], dict[Stream, int]]:
    """Recorder units by item, and streams to be recorded, of a solution."""
    units = {item: values[var] for item, var in draft.recorders.items() if values[var]}
    streams = {
        s: n for s, terms in draft.streams.items() if (n := sum(k * values[c] for c, k in terms))
    }
    return units, streams


def _record(draft: Draft, values: Sequence[int]) -> list[RecorderUnit] | None:
    """Streams and drives on each recorder unit, with no more of anything than was bought."""
    if recording.PACK in draft.spelt:
        return _recorder_units(draft.instance, draft, values)
    units, counts = recorded(draft, values)
    small = Draft(draft.instance, spelt=frozenset({recording.PACK}), units=units)
    program = small.program
    for number, (stream, count) in enumerate(counts.items()):
        small.streams[stream] = [(program.var(f"need/{number}", count, count), 1)]
    recording.write(small)
    for item, count in units.items():
        program.equal(f"opened/{item}", [], [(small.recorders[item], 1)], count)
    drives: dict[str, int] = {}
    for terms_item in {d[2] for d in draft.drives}:
        drives[terms_item] = sum(k * values[c] for c, k in draft.used[terms_item])
    for item, count in drives.items():
        program.equal(f"bought/{item}", [], small.used.get(item, []), count)
    outcome = CpSat(program).solve(_SECONDS, first=True, search=_SPREAD)
    if outcome.values is None:
        return None
    return _recorder_units(draft.instance, small, outcome.values)


def _recorder_units(instance: Instance, small: Draft, values: Sequence[int]) -> list[RecorderUnit]:
    found: dict[str, RecorderUnit] = {}
    arrays = {f.item: f.arrays[0] for f in instance.recorders}
    for stream, name, var in small.flows:
        if values[var]:
            item = name.rpartition(".")[0]
            unit = found.setdefault(name, RecorderUnit(item, arrays[item]))
            unit.streams[stream] = values[var]
    for name, array, _, var in small.arrays:
        if values[var] and name in found:
            found[name].array = array
    for name, array, drive, var in small.drives:
        if values[var] and name in found:
            pieces = values[var] * (2 if array in ("mirror", "10") else 1)
            found[name].drives[drive] = found[name].drives.get(drive, 0) + pieces
    return [found[name] for name in sorted(found, key=_unit_order)]


def _unit_order(name: str) -> tuple[str, int]:
    item, _, number = name.rpartition(".")
    return item, int(number)
