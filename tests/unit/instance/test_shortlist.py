"""The order in which lenses are looked at."""

from __future__ import annotations

from optimizer.instance.shortlist import Offer, ranked
from optimizer.plan.scene import Area, Lens, Scene

SQUARE = ((0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0))
WIDE = Lens("wide", 1920, 4.8, 2.7, 4.0, 4.0)
BLIND = Lens("blind", 1920, 4.8, 2.7, 4.0, 4.0, reaches=(("floor", 0.0),))
"""It sees nothing of the zone in the dark."""

DEAR = Lens("dear", 3840, 4.8, 2.7, 4.0, 4.0)


def test_every_lens_stands_once_the_most_ground_for_its_price_first() -> None:
    scene = Scene(SQUARE, (), (), (), (Area("floor", SQUARE, 50.0),))
    # Cameras of two families have the blind lens: it is of no use to either, and comes last once.
    offers = [
        Offer(DEAR, "network", 90000.0),
        Offer(BLIND, "composite", 2000.0),
        Offer(BLIND, "hd_coax", 3000.0),
        Offer(WIDE, "network", 5000.0),
    ]
    assert ranked(scene, offers) == ["wide", "dear", "blind"]
