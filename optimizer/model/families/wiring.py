"""Paths, feeds and steering of cameras.

With N_p the cameras of profile p (sum over its candidates of n_c y_tc), f_pi its feeds and q_j the
paths of a family that do not feed the camera themselves:

    sum over i of f_pi = N_p
    sum over j of q_j = sum over the family's profiles of the feeds that bring no path
    existing cable e: its uses <= count x m
    steering by RS-485: pairs laid + free pairs of category cable >= cameras so steered
    steering up the coax: such cameras take no path over category cable
"""

from __future__ import annotations

from optimizer.instance.tables import ZoneTable
from optimizer.model.draft import Draft, Terms


def write(draft: Draft) -> None:
    """Add paths, feeds, steering and existing cable."""
    for index, table in enumerate(draft.instance.zones):
        if table.candidates:
            _zone(draft, index, table)
        for entry, cable in enumerate(table.zone.existing):
            terms = draft.kept.get((f"zone{index}", entry))
            if terms:
                left = [
                    (draft.changed[c.name], cable.count * c.gone[index])
                    for c in draft.instance.changes
                    if index in c.gone
                ]
                draft.program.row(
                    f"existing/{table.name}/{entry}",
                    table.tags("existing"),
                    [*terms, *left],
                    hi=cable.count * len(table.zones),
                )


def most_cameras(table: ZoneTable) -> int:
    """Most cameras that the zones of a table can have together."""
    return max(c.view.count for c in table.candidates) * len(table.zones)


def _zone(draft: Draft, index: int, table: ZoneTable) -> None:
    program = draft.program
    tags = table.tags("run")
    count = len(table.zones)
    cap = most_cameras(table)
    cameras: dict[int, Terms] = {}
    for number, candidate in enumerate(table.candidates):
        var = draft.cameras[index, number]
        cameras.setdefault(candidate.profile, []).append((var, candidate.view.count))
    bare_feeds: dict[str, Terms] = {}
    bare_up: dict[str, Terms] = {}
    steering: dict[str, Terms] = {}
    for number, terms in cameras.items():
        profile = table.profiles[number]
        most = max(k for _, k in terms) * count
        feeds: Terms = []
        for feeding in profile.feedings:
            kind = feeding.option.kind.replace(" ", "_")
            var = program.var(f"feed/{table.name}/{number}/{kind}.{len(feeds)}", most)
            draft.own(var, ("feed", index), cap)
            feeds.append((var, 1))
            draft.feedings.append((index, number, feeding, var))
            draft.take(f"zone{index}", feeding.option, var)
            if feeding.path is None:
                bare_feeds.setdefault(profile.family, []).append((var, 1))
                if profile.control == "coax":
                    bare_up.setdefault(profile.family, []).append((var, 1))
                continue
            path = table.paths[profile.family][feeding.path]
            draft.take(f"zone{index}", path.option, var)
            if profile.control == "rs485" and path.steers:
                steering.setdefault(profile.family, []).append((var, 1))
        program.equal(f"fed/{table.name}/{number}", tags, [*feeds, *((c, -k) for c, k in terms)])
        if profile.control == "rs485":
            steering.setdefault(profile.family, []).extend((c, -k) for c, k in terms)
    for family, feeds in bare_feeds.items():
        _bare_paths(draft, index, table, family, feeds, bare_up.get(family, []), steering)
    for family, terms in steering.items():
        _steer(draft, index, table, family, terms)


def _bare_paths(
    draft: Draft,
    index: int,
    table: ZoneTable,
    family: str,
    feeds: Terms,
    up_the_coax: Terms,
    steering: dict[str, Terms],
) -> None:
    program = draft.program
    tags = table.tags("run")
    most = min(draft.largest(feeds), most_cameras(table))
    laid: Terms = []
    coax: Terms = []
    for number, path in enumerate(table.paths[family]):
        if path.own is not None:
            continue
        var = program.var(f"path/{table.name}/{path.option.kind}.{family}.{number}", most)
        draft.own(var, ("path", index), most_cameras(table))
        draft.paths.append((index, family, number, var))
        draft.take(f"zone{index}", path.option, var)
        laid.append((var, 1))
        if path.up_the_coax:
            coax.append((var, 1))
        if path.steers and family in steering:
            steering[family].append((var, 1))
    program.equal(f"path/{table.name}/{family}", tags, [*laid, *((c, -k) for c, k in feeds)])
    if up_the_coax:
        program.row(
            f"path/{table.name}/{family}.coax",
            table.tags("steerable"),
            [*coax, *((c, -k) for c, k in up_the_coax)],
            lo=0,
        )


def _steer(draft: Draft, index: int, table: ZoneTable, family: str, terms: Terms) -> None:
    program = draft.program
    most = most_cameras(table)
    pairs: Terms = []
    for number, option in enumerate(table.control):
        var = program.var(f"steer/{table.name}/{family}.{number}", most)
        draft.own(var, ("steer", index), most)
        draft.control.append((index, family, option, var))
        draft.take(f"zone{index}", option, var)
        pairs.append((var, 1))
    program.row(
        f"steer/{table.name}/{family}",
        table.tags("steerable"),
        [*pairs, *terms],
        lo=0,
    )
