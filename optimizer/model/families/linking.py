"""Rows that change no solution but bring the linear bound up: whoever uses a thing opens it.

For zone table t and pack p: cameras of t that use p <= (most cameras of t) x (bins of p). Without
them a camera pays for a fraction of a box or supply in the linear relaxation; on small sites, where
a box or supply serves few cameras, most of the bound is made here.
"""

from __future__ import annotations

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
