"""Rows that change no solution but bring the linear bound up: whoever uses a thing opens it.

For zone table t and pack p: cameras of t that use p <= (most cameras of t) x (bins of p). Without
them a camera pays for a fraction of a box or supply in the linear relaxation; on small sites, where
a box or supply serves few cameras, most of the bound is made here.
"""

from __future__ import annotations

from collections.abc import Callable

from optimizer.instance.amounts import GB, up
from optimizer.instance.streams import Level
from optimizer.instance.tables import Candidate, Change, ZoneTable
from optimizer.model.draft import Draft, Terms


def write(draft: Draft) -> None:
    """Add the rows for every pack and owner."""
    program = draft.program
    for pack in draft.packs.values():
        bins = {b.item: b for b in pack.bins}
        by_owner: dict[object, Terms] = {}
        for demand in pack.demands:
            for col, coef in demand.terms:
                if col in draft.owners:
                    by_owner.setdefault(draft.owners[col], []).append((col, coef))
        for number, (owner, terms) in enumerate(by_owner.items()):
            cap = owner[1]  # type: ignore[index]
            program.row(
                f"{pack.name}/open{number}",
                pack.tags,
                [*((b.var, cap) for b in bins.values()), *((c, -1) for c, _ in terms)],
                lo=0,
            )


def write_totals(draft: Draft) -> None:
    """Whole-site needs, each piece counted for no more than the need.

    With N the fewest cameras, S the spare channels, K_r the channels of recorder r and D = N + S:
    sum of min(K_r, D) n_r >= D. With G the least storage: sum of min(C_d, G) drives_d >= G, where
    drives stand singly. Where one of several changes is made, D and G are those of the site with
    that change, and pieces count for no more than the largest of them. Where zones may be left out,
    nothing of the kind is known.
    """
    if draft.instance.leaving is not None:
        return
    _cover(draft, "totals/channels", "spare/channels", _channels(draft), _needed(draft))
    if draft.instance.site.recording.drive_failures == 0:
        sizes = {d.item: d.gigabytes for f in draft.instance.recorders for d in f.drives}
        _cover(
            draft,
            "totals/storage",
            "recording/retention",
            [(var, sizes[item]) for _, _, item, var in draft.drives],
            _totals(draft, 0, _least_storage, lambda _: 0),
        )


def write_least(draft: Draft, mounts: int) -> None:
    """The row of channels again, where it is proven how many cameras there are on mounts at least.

    With N as before and M the cameras on mounts, D = N + M + S.
    """
    if draft.instance.leaving is None and mounts > 0:
        needs = {var: need + mounts for var, need in _needed(draft).items()}
        _cover(draft, "totals/mounts", "fact/views", _channels(draft), needs)


def _channels(draft: Draft) -> Terms:
    channels = {f.item: f.channels for f in draft.instance.recorders}
    return [(var, channels[item]) for item, var in draft.recorders.items()]


def _needed(draft: Draft) -> dict[int | None, int]:
    """Channels that surveyed views and the spare ones take."""
    spare = draft.instance.site.spare.channels
    return _totals(draft, spare, _fewest_cameras, lambda change: change.spare)


def _fewest_cameras(candidate: Candidate, _level: Level) -> int:
    return candidate.view.count


def _least_storage(candidate: Candidate, level: Level) -> int:
    """Of one zone. [GB]"""
    return candidate.view.count * up(level.stored / GB)


def _totals(
    draft: Draft,
    start: int,
    each: Callable[[Candidate, Level], int],
    more: Callable[[Change], int],
) -> dict[int | None, int]:
    """What the site needs in all, under None; and under each change's variable, with the change."""
    instance = draft.instance
    instead = instance.instead
    found: dict[int | None, int] = {None: start}
    shifted: dict[str, int] = {}
    needs: dict[int, int] = {}
    for index, table in enumerate(instance.zones):
        if not table.candidates or table.optional:
            continue
        least = needs[index] = _least(table, each, "")
        if index not in instead:
            found[None] += len(table.zones) * least
        for name, count in table.shifts:
            less = least - _least(table, each, name)
            shifted[name] = shifted.get(name, 0) + count * less
    for change in instance.changes:
        less = sum(count * needs.get(i, 0) for i, count in change.gone.items())
        new = sum(len(instance.zones[i].zones) * needs.get(i, 0) for i in change.tables)
        need = found[None] - less + new - shifted.get(change.name, 0) + more(change)
        found[draft.changed[change.name]] = need
    return found


def _least(table: ZoneTable, each: Callable[[Candidate, Level], int], change: str) -> int:
    """Least need of one zone of a table, as it is asked under a change; 0 if it has no camera."""
    if table.shifts:
        ways = [(c.candidate, c.level) for c in table.choices if change in c.changes]
    else:
        ways = [(n, level) for n, c in enumerate(table.candidates) for level in c.levels]
    return min((each(table.candidates[n], level) for n, level in ways), default=0)


def _cover(draft: Draft, name: str, tag: str, terms: Terms, needs: dict[int | None, int]) -> None:
    """sum of amounts x >= need, as it stands and rounded up in steps of each amount."""
    most = max(needs.values())
    for step in [1, *sorted({k for _, k in terms if 1 < k < most})]:
        whole = {var: -(-need // step) for var, need in needs.items()}
        top, base = max(whole.values()), whole[None]
        rounded = [(c, min(-(-k // step), top)) for c, k in terms]
        less = [(var, base - need) for var, need in whole.items() if var is not None]
        draft.program.row(f"{name}.{step}", [tag], [*rounded, *less], lo=base)


def write_families(draft: Draft) -> None:
    """Whether a signal family is used at all: the question that splits the search best.

    y_tc <= m used_f for candidates of family f; sum of recorders that take f >= used_f.
    """
    program = draft.program
    by_family: dict[str, list[tuple[int, Terms]]] = {}
    for index, table in enumerate(draft.instance.zones):
        mine: dict[str, Terms] = {}
        for number, candidate in enumerate(table.candidates):
            name = candidate.view.camera.family
            mine.setdefault(name, []).append((draft.cameras[index, number], 1))
        for family, terms in mine.items():
            by_family.setdefault(family, []).append((len(table.zones), terms))
    fits = {f.item: f for f in draft.instance.recorders}
    for family, groups in by_family.items():
        used = program.var(f"family/{family}", 1)
        for number, (count, terms) in enumerate(groups):
            program.row(
                f"family/{family}/{number}",
                ["policy/families"],
                [(used, count), *((c, -k) for c, k in terms)],
                lo=0,
            )
        units = [(v, 1) for i, v in draft.recorders.items() if fits[i].group_count(family)]
        program.row(f"family/{family}/recorder", ["policy/families"], [*units, (used, -1)], lo=0)
