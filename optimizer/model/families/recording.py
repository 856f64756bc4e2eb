"""Recorders, their limits, and the drives in them.

Pooled, for recorder item r with n_r units and g_kr streams k on them:

    sum over r of g_kr = streams k
    inputs, channels, encode rate, ingest, audio inputs, unit loads, ports: sum of g <= limit x n_r
    storage: sum of GB g_kr <= usable capacity of r's drives
    n_r <= sum of g_kr over cameras; spare channels over all units
Spelt out, the same for each unit by itself (see :mod:`optimizer.model.packs` for why both).
"""

from __future__ import annotations

from collections.abc import Callable

from optimizer.instance.recorders import RecorderFit, least_drives, parity
from optimizer.instance.streams import Stream
from optimizer.model.draft import Draft, Terms

PACK = "recorders"


def write(draft: Draft) -> None:
    """Add recorders and drives."""
    program = draft.program
    cameras = draft.largest([t for s, terms in draft.streams.items() if s.family for t in terms])
    spelt = PACK in draft.spelt
    flows: dict[Stream, Terms] = {s: [] for s in draft.streams}
    spare: Terms = []
    for fit in draft.instance.recorders:
        mine = [s for s in draft.streams if fit.item in s.recorders]
        if not any(s.family for s in mine):
            continue
        reachable = draft.largest([t for s in mine if s.family for t in draft.streams[s]])
        most = min(cameras, reachable)
        if draft.units is not None:
            most = min(most, draft.units.get(fit.item, 0))
            if not most:
                continue
        units = program.var(f"recorder/{fit.item}", most)
        draft.recorders[fit.item] = units
        draft.used[fit.item].append((units, 1))
        _attached(draft, fit, units)
        spare.append((units, fit.channels))
        if not spelt:
            flow = _holder(draft, fit, mine, fit.item, units, most)
            for stream, var in flow.items():
                flows[stream].append((var, 1))
            continue
        opened: Terms = []
        for unit in range(most):
            name = f"{fit.item}.{unit}"
            open_ = program.var(f"recorder/{name}", 1)
            if opened:
                program.row(f"recorder/{name}.order", [PACK], [opened[-1], (open_, -1)], lo=0)
            opened.append((open_, 1))
            for stream, var in _holder(draft, fit, mine, name, open_, 1).items():
                flows[stream].append((var, 1))
        program.equal(f"recorder/{fit.item}.units", [PACK], [*opened, (units, -1)])
    for number, (stream, terms) in enumerate(draft.streams.items()):
        program.equal(
            f"recorded/{number}",
            ["recording/retention"],
            [*flows[stream], *((c, -k) for c, k in terms)],
        )
    asked = draft.instance.site.spare.channels
    more = [(draft.changed[c.name], -c.spare) for c in draft.instance.changes if c.spare]
    if asked or more:
        spare += more
        seen = [(c, -k) for s, terms in draft.streams.items() if s.family for c, k in terms]
        program.row("spare/channels", ["spare/channels"], [*spare, *seen], lo=asked)


def _attached(draft: Draft, fit: RecorderFit, units: int) -> None:
    if fit.recorder.mains_lead:
        draft.need(f"mains_lead/{fit.recorder.mains_lead}", [(units, 1)])
    if fit.writer:
        draft.need("optical_writer", [(units, 1)])


def _holder(
    draft: Draft, fit: RecorderFit, mine: list[Stream], name: str, units: int, most: int
) -> dict[Stream, int]:
    """Streams on some units of one recorder item: all of them together, or a single one."""
    program = draft.program
    flow: dict[Stream, int] = {}
    for number, stream in enumerate(mine):
        total = draft.largest(draft.streams[stream])
        each = fit.channels if stream.family else fit.recorder.audio_inputs
        bound = min(total, each * most)
        var = program.var(f"on/{name}/{number}", bound)
        flow[stream] = var
        draft.flows.append((stream, name, var))
        if each < total:
            continue
        program.row(f"on/{name}/{number}", [PACK], [(var, 1), (units, -total)], hi=0)

    def limit(what: str, amount: Callable[[Stream], int], most_each: int) -> None:
        terms = [(v, -amount(s)) for s, v in flow.items() if amount(s)]
        if terms:
            program.row(f"{what}/{name}", [f"fact/{fit.item}"], [(units, most_each), *terms], lo=0)

    for group in fit.recorder.inputs:
        families = group.families
        limit(
            f"inputs.{families[0]}",
            lambda s, families=families: int(s.family in families),  # type: ignore[misc]
            group.count,
        )
    limit("channels", lambda s: int(s.family is not None), fit.channels)
    limit("encode", lambda s: s.kilopixels, fit.kilopixels)
    limit("ingest", lambda s: s.kbit, fit.kbit)
    limit("audio", lambda s: s.audio_inputs, fit.recorder.audio_inputs)
    limit("steering", lambda s: s.eighths, fit.eighths)
    limit("ports", lambda s: int(s.port > 0), fit.ports)
    limit("port_power", lambda s: s.port, fit.port_budget)
    program.row(
        f"busy/{name}",
        [PACK],
        [*((v, 1) for s, v in flow.items() if s.family), (units, -1)],
        lo=0,
    )
    stored = [(v, s.gigabytes) for s, v in flow.items()]
    _storage(draft, fit, name, units, most, stored)
    return flow


def _storage(
    draft: Draft, fit: RecorderFit, name: str, units: int, most: int, stored: Terms
) -> None:
    """Drives of the units: usable capacity covers what is stored."""
    program = draft.program
    tags = ["recording/retention", "recording/drive_failures", f"fact/{fit.item}"]
    usable: Terms = []
    kinds: Terms = []
    kept = _most_stored(draft)
    for array in fit.arrays:
        if array in ("single", "mirror"):
            number = units if fit.arrays == (array,) else program.var(f"array/{name}.{array}", most)
            draft.arrays.append((name, array, "", number))
            kinds.append((number, 1))
            _mixed(draft, fit, name, array, number, most, kept, usable)
            continue
        for drive in fit.drives:
            number = program.var(f"array/{name}.{array}.{drive.item}", most)
            draft.arrays.append((name, array, drive.item, number))
            kinds.append((number, 1))
            pairs = 2 if array == "10" else 1
            least, bays = least_drives(array) // pairs, fit.bays // pairs
            count = program.var(f"drives/{name}.{array}.{drive.item}", bays * most)
            draft.drives.append((name, array, drive.item, count))
            draft.used[drive.item].append((count, pairs))
            program.row(
                f"least/{name}.{array}.{drive.item}", tags, [(count, 1), (number, -least)], lo=0
            )
            program.row(
                f"bays/{name}.{array}.{drive.item}", tags, [(number, bays), (count, -1)], lo=0
            )
            usable.append((count, drive.gigabytes))
            if array != "10":
                usable.append((number, -parity(array) * drive.gigabytes))
    if fit.arrays not in (("single",), ("mirror",)):
        program.equal(f"array/{name}", tags, [*kinds, (units, -1)])
    program.row(f"storage/{name}", tags, [*usable, *((c, -k) for c, k in stored)], lo=0)


def _mixed(
    draft: Draft,
    fit: RecorderFit,
    name: str,
    array: str,
    number: int,
    most: int,
    kept: int,
    usable: Terms,
) -> None:
    """Drives used singly, or in pairs that may differ from each other."""
    program = draft.program
    tags = ["recording/drive_failures", f"fact/{fit.item}"]
    size = 1 if array == "single" else 2
    slots = fit.bays // size
    inside: Terms = []
    for drive in fit.drives:
        # A drive that could be taken out of its unit is never needed, so no optimum has more,
        # unless the site wants so many used.
        enough = kept // drive.gigabytes + most + draft.asked.get(drive.item, 0)
        count = program.var(f"drives/{name}.{array}.{drive.item}", min(slots * most, enough))
        draft.drives.append((name, array, drive.item, count))
        draft.used[drive.item].append((count, size))
        usable.append((count, drive.gigabytes))
        inside.append((count, 1))
    program.row(f"least/{name}.{array}", tags, [*inside, (number, -1)], lo=0)
    program.row(
        f"bays/{name}.{array}", tags, [(number, slots), *((c, -k) for c, k in inside)], lo=0
    )


def _most_stored(draft: Draft) -> int:
    """More than any design has to keep. [GB]"""
    return draft.largest([(c, k * s.gigabytes) for s, t in draft.streams.items() for c, k in t])
