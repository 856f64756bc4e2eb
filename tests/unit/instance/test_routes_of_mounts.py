"""Cable that only the mounts of a plan need is not left out, nor the cautions that go with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from optimizer.instance import build_instance
from optimizer.pricebook import load_book
from optimizer.solving.cautions import cautions
from tests.unit.site.plans import edited, loaded

BOOK = load_book(None)


@pytest.mark.parametrize("route", ["indoor", "riser", "plenum", "buried"])
def test_each_route_has_cable_for_its_mount(tmp_path: Path, route: str) -> None:
    """The book has category cable for each of these, and a camera on a 20 m run takes it."""
    text = edited(
        ("run: 20 m, place: outdoors, ingress: IP65", f"run: 20 m, route: {route}"),
        (", cameras: 2, apart: 30 deg, faces: true", ""),
        ("recording:", "policy: {families: [network]}\nrecording:"),
    )
    instance = build_instance(loaded(tmp_path, text).site, BOOK)
    table = next(table for table in instance.zones if table.name == "middle")
    assert table.paths["network"]
    assert table.candidates


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
