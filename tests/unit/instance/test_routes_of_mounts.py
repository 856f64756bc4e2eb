"""Cable that only the mounts of a plan need is not left out, nor the cautions that go with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from optimizer.engineering.protection import route_ok
from optimizer.instance.cables import constructions
from optimizer.instance.dominance import Prices, best_constructions
from optimizer.pricebook import load_book
from optimizer.solving.cautions import cautions
from tests.unit.site.plans import edited, loaded

BOOK = load_book(None)


@pytest.mark.parametrize("route", ["indoor", "riser", "plenum", "buried"])
def test_each_route_has_cable_for_its_mount(tmp_path: Path, route: str) -> None:
    """The book has category cable for each of these; what may not lie there cannot replace it."""
    text = edited(
        ("run: 20 m, place: outdoors, ingress: IP65", f"run: 20 m, route: {route}"),
        ("recording:", "policy: {families: [network]}\nrecording:"),
    )
    site = loaded(tmp_path, text).site
    kept = best_constructions(site, BOOK, constructions(site, BOOK), Prices(site, BOOK))
    category = [one.cable for one in kept.values() if one.cable.medium == "category"]
    assert any(route_ok(route, c.fire, c.outdoor, c.burial) for c in category)


def test_copper_between_buildings_has_its_caution(tmp_path: Path) -> None:
    """A mount outdoors, or a run in the ground, is enough for the caution against surges."""

    def about(*changes: tuple[str, str]) -> set[str]:
        site = loaded(tmp_path, edited(*changes)).site
        return {caution.about for caution in cautions(site, BOOK.items)}

    indoors = ("place: outdoors, ingress: IP65", "place: indoors")
    assert "outdoor copper" in about()
    assert "outdoor copper" not in about(indoors)
    assert "outdoor copper" in about(indoors, ("run: 20 m,", "run: 20 m, route: buried,"))
    # The run of a mount that is taken from the plan, along a route outdoors.
    away = ("at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg", "at: [9, 2], height: 3 m")
    outside = ("line: [[1, 7], [11, 7]]}", "line: [[1, 7], [11, 7]], route: outdoor}")
    assert "outdoor copper" in about(indoors, away, outside)
