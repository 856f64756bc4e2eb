"""Cameras: every zone is seen.

For zone table t with m zones alike, candidates c with n_c cameras side by side, y_tc zones that
use c:

    sum over c of y_tc = m                          (zones.<id>/seen)
    on a mount, with candidates c for each lens and duty:  sum over c of y_tc <= 1
    where zones may be left out, with g_t = 1 for one that is, w_t its weight:
    sum over c of y_tc + g_t = 1, sum of w_t g_t <= all weights less what is to be kept
    most_camera_models: y_tc <= m a_item, sum of a_item <= limit
"""

from __future__ import annotations

from optimizer.model.draft import Draft, Terms


def write(draft: Draft) -> None:
    """Add the cameras' variables and rows."""
    program, leaving = draft.program, draft.instance.leaving
    by_item: dict[str, Terms] = {}
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
        program.equal(f"seen/{table.name}", table.tags("seen"), whole, count)
    if leaving is not None:
        terms = [(var, leaving.weights[name]) for name, var in draft.gone.items()]
        program.row("gone", ["zones"], terms, hi=sum(leaving.weights.values()) - leaving.least)
    _models(draft, by_item)


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
