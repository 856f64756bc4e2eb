"""Pans without a step: arcs in closed form against projecting corners at many pans."""

import math

import numpy as np
import pytest

from optimizer.plan import turning
from optimizer.plan.pinhole import planes
from optimizer.plan.scene import Lens
from optimizer.plan.turning import Arcs, Corners

LENS = Lens("l", 1920, 4.8, 3.6, 2.0, 20.0)


def draw(rng):
    """Bodies of one to four corners, as offsets and as a mount sees them."""
    bodies, first, points = 6, [], []
    for _ in range(bodies):
        first.append(len(points))
        centre = rng.uniform(-15, 15, 2)
        points.extend(
            [*(centre + rng.uniform(-1, 1, 2)), rng.uniform(-3.5, 1)]
            for _ in range(rng.integers(1, 5))
        )
    offsets = np.array(points)
    bearing = np.arctan2(offsets[:, 1], offsets[:, 0])
    ahead = np.repeat(bearing[first], np.diff([*first, len(points)]))
    bearing = ahead + (bearing - ahead + math.pi) % math.tau - math.pi
    away = np.hypot(offsets[:, 0], offsets[:, 1])
    return offsets, Corners(away, bearing, -offsets[:, 2], np.array(first, dtype=np.int32))


def truly_seen(offsets, first, focal, tilt, limit, pans):
    """At each pan, whether all corners of each body pass the four planes and the distance."""
    sides = planes(LENS, np.full(len(pans), focal), np.degrees(pans), np.full(len(pans), tilt))
    inwards = sides @ offsets.T
    good = (inwards[:, :4] >= 0).all(axis=1) & (inwards[:, 4] <= limit)
    return np.logical_and.reduceat(good, first, axis=1)


def test_arcs_are_what_projecting_says():
    rng = np.random.default_rng(1)
    right = exact = 0
    for _ in range(300):
        offsets, corners = draw(rng)
        focal, tilt = float(rng.choice([2, 3, 4, 8, 20])), float(rng.uniform(-20, 80))
        limit = float(rng.uniform(2, 25))
        arcs = turning.seen_at(
            corners,
            np.radians(tilt),
            np.array(2.4 / focal),
            np.array(1.8 / focal),
            np.full(len(offsets), limit),
        )
        pans = rng.uniform(0, math.tau, 200)
        told = turning.bodies_at(arcs, pans, len(corners.first))
        true = truly_seen(offsets, corners.first, focal, tilt, limit, pans)
        assert not (told & ~true).any()
        right += int(told.sum())
        # Nothing is missed either, within 90 degrees of each corner.
        off = np.abs((pans[:, None] - corners.bearing + math.pi) % math.tau - math.pi)
        ahead = np.logical_and.reduceat(off < math.pi / 2, corners.first, axis=1)
        assert not (true & ~told & ahead).any()
        exact += int((true & ahead).sum())
    assert right > 8000
    assert exact > 8000


def test_every_pan_sees_no_more_than_one_of_the_best_pans():
    rng = np.random.default_rng(2)
    for _ in range(120):
        offsets, corners = draw(rng)
        arcs = turning.seen_at(
            corners,
            np.radians(rng.uniform(0, 50)),
            np.array(1.2),
            np.array(0.9),
            np.full(len(offsets), 14.0),
        )
        best = turning.bodies_at(arcs, turning.best_pans(arcs), len(corners.first))
        tried = turning.bodies_at(arcs, rng.uniform(0, math.tau, 500), len(corners.first))
        for row in tried[tried.any(axis=1)]:
            assert (best | ~row).all(axis=1).any()


@pytest.mark.parametrize(
    ("spans", "expected"),
    [
        # One arc: its middle. Two that overlap: the middle of the overlap.
        ([(10, 20)], [15]),
        ([(10, 20), (14, 30)], [17]),
        # Two apart: one pan each.
        ([(10, 20), (40, 50)], [15, 45]),
        # a holds b, then c begins after b ended: {a, b} at 24, {a, c} at 36.
        ([(10, 40), (20, 28), (32, 50)], [24, 36]),
        # Across 0 degrees.
        ([(350, 370), (358, 380)], [4]),
        # An arc without length, such as a lens exactly as wide as a room.
        ([(45, 45)], [45]),
        # Together: as long as the first starts where the other ends, both are seen there.
        ([(10, 20), (20, 30)], [20]),
        # Middles are rounded to tenths where there is room, to hundredths where there is not.
        ([(10.02, 10.77)], [10.4]),
        ([(10.02, 10.045)], [10.03]),
    ],
)
def test_best_pans_by_hand(spans, expected):
    low, high = (np.radians([span[end] for span in spans]) for end in (0, 1))
    arcs = Arcs(low, high, np.arange(len(spans), dtype=np.int32))
    assert np.degrees(turning.best_pans(arcs)) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("limit", "expected"),
    [
        ((0, 90), [(10, 40), (80, 90)]),
        ((350, 380), [(370, 380)]),  # 10 to 20
        ((20, 380), [(80, 120), (370, 380), (380, 400)]),  # a full turn, parted at its start
    ],
)
def test_arcs_kept_within_an_arc(limit, expected):
    arcs = Arcs(np.radians([10, 80]), np.radians([40, 120]), np.array([0, 1], dtype=np.int32))
    kept = turning.kept_within(arcs, *np.radians(limit))
    found = sorted(zip(np.degrees(kept.low), np.degrees(kept.high), strict=True))
    assert np.array(found) == pytest.approx(np.array(expected))
