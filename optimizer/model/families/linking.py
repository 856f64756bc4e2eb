"""Rows that change no solution but bring the linear bound up: whoever uses a thing opens it.

For zone table t and pack p: cameras of t that use p <= (most cameras of t) x (bins of p). Without
them a camera pays for a fraction of a box or supply in the linear relaxation; on small sites, where
a box or supply serves few cameras, most of the bound is made here.
"""

from __future__ import annotations

from optimizer.instance.amounts import GB, up
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
    drives stand singly. Where zones may be left out, nothing of the kind is known.
    """
    if draft.instance.leaving is not None:
        return
    site = draft.instance.site
    tables = [t for t in draft.instance.zones if t.candidates and not t.optional]
    _cover(draft, "totals/channels", "spare/channels", _channels(draft), _need(draft))
    if site.recording.drive_failures == 0:
        stored = sum(
            len(t.zones)
            * min(c.view.count * min(up(lv.stored / GB) for lv in c.levels) for c in t.candidates)
            for t in tables
        )
        sizes = {d.item: d.gigabytes for f in draft.instance.recorders for d in f.drives}
        _cover(
            draft,
            "totals/storage",
            "recording/retention",
            [(var, sizes[item]) for _, _, item, var in draft.drives],
            stored,
        )


def write_least(draft: Draft, mounts: int) -> None:
    """The row of channels again, where it is proven how many cameras there are on mounts at least.

    With N as before and M the cameras on mounts, D = N + M + S.
    """
    if draft.instance.leaving is None and mounts > 0:
        need = _need(draft) + mounts
        _cover(draft, "totals/mounts", "fact/views", _channels(draft), need)


def _channels(draft: Draft) -> Terms:
    channels = {f.item: f.channels for f in draft.instance.recorders}
    return [(var, channels[item]) for item, var in draft.recorders.items()]


def _need(draft: Draft) -> int:
    """Channels that surveyed views and the spare ones take."""
    tables = [t for t in draft.instance.zones if t.candidates and not t.optional]
    cameras = sum(len(t.zones) * min(c.view.count for c in t.candidates) for t in tables)
    return cameras + draft.instance.site.spare.channels


def _cover(draft: Draft, name: str, tag: str, terms: Terms, need: int) -> None:
    """sum of amounts x >= need, as it stands and rounded up in steps of each amount."""
    for step in [1, *sorted({k for _, k in terms if 1 < k < need})]:
        whole = -(-need // step)
        rounded = [(c, min(-(-k // step), whole)) for c, k in terms]
        draft.program.row(f"{name}.{step}", [tag], rounded, lo=whole)


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
