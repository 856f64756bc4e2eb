"""Ways to aim with whatever they might show: no spot that is seen lies in a cell left out."""

import math

import numpy as np
import pytest
import shapely

from optimizer.plan.bench import Bench
from optimizer.plan.glimpsing import glimpsed, might_see
from optimizer.plan.prepare import prepare
from optimizer.plan.scene import Area, Lens, Mount, Scene
from optimizer.plan.sight import edges
from optimizer.plan.sighting import grounded
from optimizer.plan.turning import Corners
from tests.optimality import spots
from tests.optimality.random_scenes import LENSES, drawn, spots_in


@pytest.mark.parametrize("seed", range(40, 46))
def test_cells_of_spots_that_are_seen_are_in_one_view(seed: int) -> None:
    """At a listed focal length and tilt and any pan, by the judge of single spots."""
    scene = drawn(seed)
    [area] = scene.areas
    prepared = prepare(scene, {m.id: list(LENSES) for m in scene.mounts}, 60)
    found = glimpsed(prepared, prepared.cells)
    rng = np.random.default_rng(seed)
    whole = shapely.union_all([c.polygon for c in prepared.cells])
    tried = spots_in(whole, 150, rng)
    tree = shapely.STRtree([c.polygon for c in prepared.cells])
    cell_of = [int(tree.nearest(shapely.Point(spot))) for spot in tried]
    shown = 0
    for mount in scene.mounts:
        ground, hiding = grounded(scene, prepared.cells), edges(scene, mount.level)
        bench = Bench(scene, ground, mount, LENSES, hiding, prepared.effort)
        for lens in LENSES:
            views = [v for v in found.views if (v.mount_id, v.lens_key) == (mount.id, lens.key)]
            for focal, tilt in bench.settings(lens)[::3]:
                pan = mount.facing_deg + (rng.uniform() - 0.5) * mount.swing_deg
                aim = (focal, pan, tilt)
                seen = {
                    cell
                    for cell, spot in zip(cell_of, tried, strict=True)
                    if spots.seen(scene, mount, lens, aim, area, spot)
                }
                shown += len(seen)
                assert not seen or any(seen <= v.sure for v in views), (mount.id, lens.key, aim)
    assert shown > 20


def test_a_disc_beside_the_picture() -> None:
    """Level, 90 deg wide, the lens at the height of what it looks at.

    A disc of 1 m, 10 m away, takes up asin(1 / 10) = 5.74 deg to each side, so some spot of it is
    in the picture up to 45 + 5.74 = 50.74 deg off its middle. At 960 / 9.5 = 101.05 px/m what is
    seen ends 9.5 m along the axis: the disc's nearest spots are at 10 cos d - 1, so it is seen from
    d = 0 on; at 960 / 8.5 px/m only from acos(9.5 / 10) = 18.19 deg off.
    """
    lens = Lens("wide", 1920, 4.8, 4.8, 2.4, 2.4)
    middle = Corners(np.full(2, 10.0), np.zeros(2), np.zeros(2), np.zeros(1, dtype=np.int32))
    for far, turned in ((9.5, None), (8.5, math.degrees(math.acos(0.95)))):
        arcs = might_see(middle, np.array([1.0]), 0.0, lens, 2.4, np.array([960 / far]))
        ends = sorted(np.degrees(np.concatenate([arcs.low, arcs.high])).tolist())
        side = 45 + math.degrees(math.asin(0.1))
        inner = [] if turned is None else [-turned, turned]
        assert ends == pytest.approx(sorted([-side, side, *inner]), abs=1e-5)


def test_what_is_under_the_lens_counts_at_every_pan() -> None:
    mount = Mount("m", (5.0, 5.0), 3.0)
    square = ((4.5, 4.5), (5.5, 4.5), (5.5, 5.5), (4.5, 5.5))
    area = Area("a", square, 50.0, low_m=0.0, high_m=1.0)
    scene = Scene(
        ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)), mounts=(mount,), areas=(area,)
    )
    lens = Lens("wide", 1920, 4.8, 4.8, 2.4, 2.4)
    prepared = prepare(scene, {"m": [lens]}, 9)
    found = glimpsed(prepared, prepared.cells)
    under = next(
        n for n, c in enumerate(prepared.cells) if c.polygon.covers(shapely.Point(5.0, 5.0))
    )
    assert found.views
    assert all(under in view.sure for view in found.views)
