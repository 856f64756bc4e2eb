"""Changes: an instance that stands for several sites is any one of them at a time.

With r_d = 1 for the change that is made (see :mod:`optimizer.model.families.coverage`), table t of
m zones of which k_td ask for something else under d, and s the cameras of a candidate, n_c of them
side by side, that are recorded in one way:

    what the first site refuses, for each set D of changes that admit the same:
        sum of s / n_c <= sum over d of D of k_td r_d
    what change d refuses:  sum of s / n_c <= m - k_td r_d
    what the first site refuses, all d of a table together:
        sum of s / n_c <= sum over d of k_td r_d
    where only kits matter that the first site does not admit, over all tables:
        sum of s that d admits and the first site refuses >= r_d

Each of the k zones then has a way that d admits and each other zone one that the first site admits,
since a way is admitted by both, or counted in one of the rows. Rows are multiplied by the least
common multiple of the n_c. They stand for no requirement: their tag is "changes".
"""

from __future__ import annotations

import math

from optimizer.instance.tables import Choice, ZoneTable
from optimizer.model.draft import Draft, Terms

_TAGS = ("changes",)


def write(draft: Draft) -> None:
    """Add what each change admits."""
    new: dict[str, Terms] = {c.name: [] for c in draft.instance.changes if c.fresh}
    for index, table in enumerate(draft.instance.zones):
        if table.shifts:
            _table(draft, index, table, new)
    for name, terms in new.items():
        made = (draft.changed[name], -1)
        draft.program.row(f"change//{name}", _TAGS, [*terms, made], lo=0)


def _table(draft: Draft, index: int, table: ZoneTable, new: dict[str, Terms]) -> None:
    program = draft.program
    whole = math.lcm(*(c.view.count for c in table.candidates))
    choices = {(c.candidate, c.level, c.asked.frame_rate): c for c in table.choices}
    numbers = {id(c): n for n, c in enumerate(table.candidates)}
    terms: list[tuple[Choice, tuple[int, int]]] = []
    for one in draft.stream_choices:
        if one.table == index:
            key = (numbers[id(one.candidate)], one.level, one.asked.frame_rate)
            terms.append((choices[key], (one.var, whole // one.candidate.view.count)))
    zones = dict(table.shifts)

    def made(names: frozenset[str]) -> Terms:
        return [(draft.changed[d], -whole * zones[d]) for d in zones if d in names]

    fresh: dict[frozenset[str], Terms] = {}
    for choice, term in terms:
        if "" not in choice.changes:
            fresh.setdefault(choice.changes, []).append(term)
            for name in choice.changes & new.keys():
                new[name].append((term[0], 1))
    for number, (names, uses) in enumerate(fresh.items()):
        program.row(f"change/{table.name}/{number}", _TAGS, [*uses, *made(names)], hi=0)
    if len(fresh) > 1:
        uses = [term for terms_ in fresh.values() for term in terms_]
        program.row(f"change/{table.name}", _TAGS, [*uses, *made(frozenset(zones))], hi=0)
    for name, count in table.shifts:
        refused = [term for choice, term in terms if name not in choice.changes]
        if refused:
            program.row(
                f"change/{table.name}.{name}",
                _TAGS,
                [*refused, (draft.changed[name], whole * count)],
                hi=whole * len(table.zones),
            )
