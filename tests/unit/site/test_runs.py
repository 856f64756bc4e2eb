"""Run lengths along cable routes, summed on paper and compared with shortest paths of scipy."""

from __future__ import annotations

import random
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from optimizer.errors import InputError
from optimizer.site.runs import ways
from tests.unit.site.plans import edited, loaded

TRAY = "  - {id: tray, line: [[1, 7], [11, 7]]}"
PLAIN = ("plan:\n", "plan:\n  allowance: 0 %\n")


def test_a_run_summed_on_paper(tmp_path: Path) -> None:
    found = ways(loaded(tmp_path).site)
    # corner at (0, 0): 7.0711 m to the tray's near end (1, 7), where the room is: 0 m along it.
    # Mount and tray are 3 m up; 1.5 m down to the room. (7.0711 + 1.5) x 1.05 = 8.99964 m.
    assert found["corner"].run == Decimal("9.00")
    assert not found["corner"].stated
    assert found["corner"].legs == (("", ((0.0, 0.0), (1.0, 7.0))),)
    # Stated: nothing is added.
    assert (found["middle"].run, found["middle"].stated) == (20, True)


def test_the_way_turns_where_routes_meet(tmp_path: Path) -> None:
    text = edited(
        PLAIN,
        (TRAY, TRAY + "\n  - {id: spur, line: [[11, 1], [11, 7.005]]}"),
        ("at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg", "at: [10, 2], height: 2 m"),
    )
    way = ways(loaded(tmp_path, text).site)["corner"]
    # 1 m to the spur at (11, 2), 5 m up to the tray, 10 m along it; 1 m up to the routes' 3 m and
    # 1.5 m down to the room.
    assert way.run == Decimal("18.50")
    assert way.legs == (("", ((10.0, 2.0), (11.0, 2.0), (11.0, 7.0), (1.0, 7.0))),)


def test_a_stated_length_of_a_route_stands_for_the_drawn_one(tmp_path: Path) -> None:
    text = edited(
        PLAIN,
        (TRAY, "  - {id: tray, line: [[1, 7], [11, 7]], length: 25 m}"),
        ("at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg", "at: [5, 7], height: 3 m"),
    )
    # 4 of 10 drawn metres are 10 of 25; 1.5 m down to the room.
    assert ways(loaded(tmp_path, text).site)["corner"].run == Decimal("11.50")


def test_a_riser_adds_the_height_between_floors(tmp_path: Path) -> None:
    text = edited(
        ("plan:\n", "plan:\n  allowance: 0 %\n  levels: {ground: 0 m, loft: 4.5 m}\n"),
        (
            TRAY,
            TRAY + "\n  - {id: top, line: [[11, 7], [11, 1]], level: loft}\n"
            "  risers:\n  - {id: shaft, at: [11, 7]}",
        ),
        (
            "at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg",
            "at: [11, 2], level: loft, height: 2.5 m",
        ),
    )
    way = ways(loaded(tmp_path, text).site)["corner"]
    # 5 m along the upper route, 4.5 m down the riser, 10 m along the tray; 0.5 m up to the route,
    # 1.5 m down to the room. A riser asks for riser cable.
    assert way.run == Decimal("21.50")
    assert way.route == "riser"
    assert [level for level, _ in way.legs] == ["loft", "ground"]


@pytest.mark.parametrize(
    ("kinds", "stated", "route"),
    [
        (("indoor", "indoor"), None, "indoor"),
        (("indoor", "plenum"), None, "plenum"),
        (("outdoor", "outdoor"), None, "outdoor"),
        (("outdoor", "indoor"), "outdoor", "outdoor"),
    ],
)
def test_what_the_cable_must_be_made_for(
    tmp_path: Path, kinds: tuple[str, str], stated: str | None, route: str
) -> None:
    first, second = kinds
    text = edited(
        (
            TRAY,
            f"  - {{id: tray, line: [[1, 7], [11, 7]], route: {first}}}\n"
            f"  - {{id: spur, line: [[11, 1], [11, 7]], route: {second}}}",
        ),
        (
            "at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg",
            "at: [10, 2], height: 2 m" + (f", route: {stated}" if stated else ""),
        ),
    )
    assert ways(loaded(tmp_path, text).site)["corner"].route == route


def test_a_way_through_two_surroundings_must_be_stated(tmp_path: Path) -> None:
    text = edited(
        (
            TRAY,
            "  - {id: tray, line: [[1, 7], [11, 7]], route: outdoor}\n"
            "  - {id: spur, line: [[11, 1], [11, 7]]}",
        ),
        ("at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg", "at: [10, 2], height: 2 m"),
    )
    with pytest.raises(InputError) as refused:
        loaded(tmp_path, text)
    (trouble,) = refused.value.troubles
    assert trouble.what == (
        'the way of mount "corner" passes indoor, outdoor: no one kind of cable is meant'
    )
    assert (trouble.field, trouble.line) == ("mounts[0]", 18)


@pytest.mark.parametrize(
    ("routes", "what"),
    [
        (
            "  - {id: tray, line: [[1, 7], [11, 7]]}\n  risers: [{id: shaft, at: [5, 5]}]",
            'riser "shaft" joins fewer than two levels',
        ),
        (
            "  - {id: tray, line: [[1, 7], [5, 7]]}\n  - {id: far, line: [[5.02, 7], [11, 7]]}",
            'cable route "far" does not lead to the room',
        ),
    ],
)
def test_networks_that_do_not_hold_together(tmp_path: Path, routes: str, what: str) -> None:
    with pytest.raises(InputError) as refused:
        loaded(tmp_path, edited((TRAY, routes)))
    assert [t.what for t in refused.value.troubles] == [what]


def test_a_riser_that_meets_no_route(tmp_path: Path) -> None:
    text = edited(
        ("plan:\n", "plan:\n  levels: {ground: 0 m, loft: 4 m}\n"),
        (
            TRAY,
            TRAY + "\n  - {id: top, line: [[2, 3], [9, 3]], level: loft}\n"
            "  risers: [{id: shaft, at: [11, 7]}]",
        ),
    )
    with pytest.raises(InputError) as refused:
        loaded(tmp_path, text)
    assert [t.what for t in refused.value.troubles] == [
        'riser "shaft" meets no cable route on level "loft"'
    ]


@pytest.mark.parametrize("seed", range(6))
def test_shortest_paths_on_random_grids(tmp_path: Path, seed: int) -> None:
    """A grid of trays with some bays missing, against scipy's Dijkstra on its knots."""
    chance = random.Random(seed)
    wide, high = 5, 4
    bays = [((x, y), (x + 1, y)) for x in range(wide - 1) for y in range(high)]
    bays += [((x, y), (x, y + 1)) for x in range(wide) for y in range(high - 1)]
    kept = [bay for bay in bays if chance.random() < 0.8]
    knots = sorted({knot for bay in kept for knot in bay})
    number = {knot: i for i, knot in enumerate(knots)}
    lengths = np.zeros((len(knots), len(knots)))
    for a, b in kept:
        lengths[number[a], number[b]] = lengths[number[b], number[a]] = 2.0
    away = dijkstra(csr_matrix(lengths), indices=number[knots[0]])
    there = [knot for knot in knots if np.isfinite(away[number[knot]])]

    def at(knot: tuple[int, int]) -> str:
        return f"[{1 + 2 * knot[0]}, {1 + 2 * knot[1]}]"

    routes = [
        f"  - {{id: r{i}, line: [{at(a)}, {at(b)}]}}" for i, (a, b) in enumerate(kept) if a in there
    ]
    mounts = "\n".join(f"- {{id: m{i}, at: {at(k)}, height: 3 m}}" for i, k in enumerate(there))
    text = f"""\
leastkit: site/1
name: Grid
money: {{currency: EUR}}
plan:
  outline: [[0, 0], [12, 0], [12, 10], [0, 10]]
  allowance: 0 %
  room: {{at: {at(there[0])}, height: 3 m}}
  routes:
{chr(10).join(routes)}
mounts:
{mounts}
zones:
- {{id: gate, distance: 5 m, width: 3 m, detail: observe, frame_rate: 6 fps, run: 12 m}}
recording: {{retention: 7 days}}
"""
    found = ways(loaded(tmp_path, text).site)
    expected = [round(float(away[number[knot]]), 2) for knot in there]
    assert [float(found[f"m{i}"].run) for i in range(len(there))] == expected
