"""Corners that cells share, seen from a mount."""

import numpy as np
import pytest

from optimizer.plan.cutting import cut
from optimizer.plan.scene import Area, Mount, Scene
from optimizer.plan.sighting import corners_of, grounded, spots_of

EDGE = ((0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0))
INNER = ((2.0, 2.0), (5.0, 2.0), (5.0, 5.0), (2.0, 5.0))


@pytest.mark.parametrize("turned", [False, True])
def test_corners_of_one_kind_are_seen_alike(turned):
    """Two areas that share ground: of each area a place counts once, low and once high."""
    spin = (
        (lambda x, y: (0.8 * x - 0.6 * y, 0.6 * x + 0.8 * y)) if turned else (lambda x, y: (x, y))
    )
    edge, inner = (tuple(spin(x, y) for x, y in ring) for ring in (EDGE, INNER))
    areas = (Area("hall", edge, 50.0), Area("gate", inner, 200.0))
    mount = Mount("m", spin(1.0, 0.5), 3.0, 90.0, 360.0)
    scene = Scene(edge, (), (), (mount,), areas)
    ground = grounded(scene, cut(scene, 60))
    cells = np.arange(len(ground.area), dtype=np.int32)[1::2]
    low = np.where(ground.area[cells] == 0, 2.5, 2.0)
    corners = corners_of(ground, cells, mount, low, low - 1.0)
    one, kind = spots_of(ground, cells)
    assert kind.shape == corners.away.shape
    assert len(one) < len(kind)
    assert sorted(set(kind.tolist())) == list(range(len(one)))
    owner = np.repeat(ground.area[cells], 2 * ground.count[cells])
    for values in (corners.away, corners.below, owner):
        assert (values[one][kind] == values).all()
    # The bearing is the same but for whole turns, so that kinds are places and not distances.
    turns = (corners.bearing[one][kind] - corners.bearing) / (2 * np.pi)
    assert np.abs(turns - np.round(turns)).max() < 1e-12
