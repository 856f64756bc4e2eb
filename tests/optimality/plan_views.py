"""Prepared plans against the judge of single spots: sound both ways, and no pan left out.

``python -m tests.optimality.plan_views START STOP`` runs the random plans from START up to STOP;
the suite runs a small share of them. It stops with an error at the first plan that fails.
"""

import math
import sys

import numpy as np

from optimizer.plan.prepare import prepare
from optimizer.plan.prepared import Effort
from tests.optimality import spots
from tests.optimality.random_scenes import LENSES, drawn, spots_in


def sound(seed):
    """No spot of a sure cell is unseen; none outside the possible cells is seen, however aimed.

    Returns how many spots were judged on either side.
    """
    scene = drawn(seed)
    area = scene.areas[0]
    prepared = prepare(scene, {mount.id: LENSES for mount in scene.mounts}, 60, Effort(3, 3))
    rng = np.random.default_rng(seed)
    mounts = {mount.id: mount for mount in scene.mounts}
    by_key = {lens.key: lens for lens in LENSES}
    seen = unseen = 0
    for index in rng.permutation(len(prepared.views))[:20].tolist():
        view = prepared.views[index]
        lens, aim = by_key[view.lens_key], (view.focal_mm, view.pan_deg, view.tilt_deg)
        for cell in rng.permutation(view.cells)[:4].tolist():
            # A micrometre along the edge is not asked after.
            inner = prepared.cells[cell].polygon.buffer(-1e-5)
            for spot in [] if inner.is_empty else list(inner.exterior.coords)[:-1]:
                assert spots.seen(scene, mounts[view.mount_id], lens, aim, area, spot), seed
                seen += 1
    for mount in scene.mounts:
        for lens in LENSES:
            possible = set(prepared.may[mount.id, lens.key].tolist())
            others = [i for i in range(len(prepared.cells)) if i not in possible]
            for cell in rng.permutation(others)[:12].tolist():
                for spot in spots_in(prepared.cells[cell].polygon, 2, rng):
                    for aim in _aims_at(mount, lens, spot, rng):
                        assert not spots.seen(scene, mount, lens, aim, area, spot), seed
                        unseen += 1
    return seen, unseen


def _aims_at(mount, lens, spot, rng):
    """Random aims that have a spot somewhere in the picture, or nearly."""
    bearing = math.degrees(math.atan2(spot[1] - mount.at[1], spot[0] - mount.at[0]))
    fall = math.degrees(math.atan2(mount.height_m - 1, math.dist(mount.at, spot)))
    for _ in range(8):
        between = float(rng.uniform(lens.focal_min_mm, lens.focal_max_mm))
        focal = float(rng.choice([lens.focal_min_mm, lens.focal_max_mm, between]))
        yield focal, bearing + float(rng.uniform(-40, 40)), fall + float(rng.uniform(-25, 25))


def complete(seed):
    """At a listed focal length and tilt, no pan whatever shows cells that no view shows all of.

    Returns how many pans showed anything.
    """
    scene = drawn(seed, mounts=1)
    (mount,), area, lens = scene.mounts, scene.areas[0], LENSES[0]
    prepared = prepare(scene, {mount.id: [lens]}, 60, Effort(3, 3))
    rng = np.random.default_rng(seed)
    best = [view.sure for view in prepared.views]
    tried = 0
    for tilt in sorted({view.tilt_deg for view in prepared.views}):
        for pan in rng.uniform(0, 360, 12).tolist():
            if abs((pan - mount.facing_deg + 180) % 360 - 180) > mount.swing_deg / 2:
                continue
            aim = (lens.focal_min_mm, pan, tilt)

            def all_seen(places, aim=aim):
                return all(spots.seen(scene, mount, lens, aim, area, spot) for spot in places)

            cells = [cell.polygon for cell in prepared.cells]
            shown = {index for index, cell in enumerate(cells) if all_seen(_whole(cell))}
            if not any(shown <= view for view in best):
                # A small shadow inside a cell escapes so few spots.
                shown = {index for index in shown if all_seen(spots_in(cells[index], 4000, rng))}
            assert not shown or any(shown <= view for view in best), seed
            tried += bool(shown)
    return tried


def _whole(polygon):
    """Spots that stand for a cell: its corners, points along its border, and one inside."""
    ring = list(polygon.segmentize(0.4).exterior.coords)[:-1]
    return [tuple(polygon.representative_point().coords[0]), *ring]


def main(start, stop):
    """Run the plans and say how much was judged."""
    total = np.zeros(3, dtype=int)
    for seed in range(start, stop):
        total += (*sound(seed), complete(seed))
    seen, unseen, pans = total.tolist()
    sys.stdout.write(
        f"plans {start} to {stop - 1}: {seen} spots surely seen and {unseen} possible sights of "
        f"spots out of reach judged, {pans} pans tried; no difference\n"
    )


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]))
