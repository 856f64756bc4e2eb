"""Cameras: every zone is seen.

For zone table t with m zones alike, candidates c with n_c cameras side by side, y_tc zones that
use c:

    sum over c of y_tc = m                          (zones.<id>/seen)
    on a mount, with candidates c for each lens and duty:  sum over c of y_tc <= 1
    where zones may be left out, with g_t = 1 for one that is, w_t its weight:
    sum over c of y_tc + g_t = 1, sum of w_t g_t <= all weights less what is to be kept
    where one of several changes d is made, with r_d = 1 for that one, k_td zones of t that are left
    out or stand in another table, and tables u of d:
    sum over c of y_tc + sum over d of k_td r_d = m, sum over c of y_uc = m_u r_d, sum of r_d = 1
    most_camera_models: y_tc <= m a_item, sum of a_item <= limit
"""

from __future__ import annotations

from optimizer.model.draft import Draft, Terms


def write(draft: Draft) -> None:
    """Add the cameras' variables and rows."""
    program, leaving = draft.program, draft.instance.leaving
    by_item: dict[str, Terms] = {}
    instead = _changes(draft)
    for index, table in enumerate(draft.instance.zones):
        count = len(table.zones)
        whole: Terms = []
        for number, candidate in enumerate(table.candidates):
            camera = candidate.view.camera
            name = f"seen/{table.name}/{camera.id}x{candidate.view.count}"
            if table.optional:
                name = f"{name}.{number}"
            var = program.var(name, count)
            draft.own(var, ("seen", index), count)
            draft.cameras[index, number] = var
            whole.append((var, 1))
            by_item.setdefault(camera.id, []).append((var, 1))
            draft.used[camera.id].append((var, candidate.view.count))
            if camera.bracket:
                draft.need(f"bracket/{camera.bracket}", [(var, candidate.view.count)])
        if table.optional:
            if len(whole) > 1:
                program.row(f"mount/{table.name}", [f"fact/{table.name}"], whole, hi=1)
            continue
        if leaving is not None:
            draft.gone[table.name] = program.var(f"gone/{table.name}", 1)
            whole.append((draft.gone[table.name], 1))
        if index in instead:
            whole.append((draft.changed[instead[index]], -count))
            program.equal(f"seen/{table.name}", table.tags("seen"), whole)
            continue
        for change in draft.instance.changes:
            if index in change.gone:
                whole.append((draft.changed[change.name], change.gone[index]))
        program.equal(f"seen/{table.name}", table.tags("seen"), whole, count)
    if leaving is not None:
        terms = [(var, leaving.weights[name]) for name, var in draft.gone.items()]
        program.row("gone", ["zones"], terms, hi=sum(leaving.weights.values()) - leaving.least)
    _models(draft, by_item)


def _changes(draft: Draft) -> dict[int, str]:
    """Add the question which change is made; says which tables belong to one."""
    instance, program = draft.instance, draft.program
    for change in instance.changes:
        draft.changed[change.name] = program.var(f"change/{change.name}", 1)
    if instance.changes:
        program.equal("change", ["changes"], [(var, 1) for var in draft.changed.values()], 1)
    return instance.instead


def _models(draft: Draft, by_item: dict[str, Terms]) -> None:
    most = draft.instance.site.policy.most_camera_models
    if most is None or most >= len(by_item):
        return
    program = draft.program
    chosen = []
    for item, terms in by_item.items():
        flag = program.var(f"models/{item}", 1)
        chosen.append((flag, 1))
        for var, _ in terms:
            program.row(
                f"models/{item}/{program.names[var]}",
                ["policy/most_camera_models"],
                [(var, 1), (flag, -program.upper[var])],
                hi=0,
            )
    program.row("models", ["policy/most_camera_models"], chosen, hi=most)
