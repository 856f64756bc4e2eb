"""The covering core against brute force, against cap sets, and against open instances.

The open instances are research data of others and not carried here. Where the environment names
their folder (LEASTKIT_OPEN_DATA, holding best_known.csv), a share of them is run as well; all of
them by ``python -m tests.optimality.covers FOLDER``.
"""

from __future__ import annotations

import os
import random
from itertools import combinations, product
from pathlib import Path

import pytest

from optimizer.instance.covering import Cover, reduce
from optimizer.solving.covering import least_cover, relax
from tests.optimality import covers

SMALL = ("scp41", "scp42", "scp47", "scp55", "scp56", "scpe1", "data.9", "data.15", "data.27")


def by_trying_all(cover: Cover) -> int | None:
    """Least cost over all choices of columns."""
    best: int | None = None
    columns = range(len(cover.costs))
    for size in range(len(cover.costs) + 1):
        for chosen in combinations(columns, size):
            groups = [cover.groups[c] if cover.groups else c for c in chosen]
            if len(set(groups)) < len(groups):
                continue
            needs = cover.needs or (1,) * len(cover.rows)
            if any(
                len(set(row) & set(chosen)) < need
                for row, need in zip(cover.rows, needs, strict=True)
            ):
                continue
            cost = sum(cover.costs[c] for c in chosen)
            best = cost if best is None else min(best, cost)
    return best


def drawn(seed: int) -> Cover:
    rng = random.Random(seed)
    columns, rows = rng.randint(3, 9), rng.randint(1, 8)
    density = rng.choice((0.25, 0.4, 0.6))
    sets = tuple(tuple(c for c in range(columns) if rng.random() < density) for _ in range(rows))
    needs = tuple(rng.choice((1, 1, 1, 2)) for _ in range(rows)) if rng.random() < 0.5 else ()
    groups: tuple[int, ...] = ()
    if rng.random() < 0.6:
        groups = tuple(rng.randint(0, columns - 2) for _ in range(columns))
    costs = tuple(rng.choice((0, 1, 2, 3, 5, 8)) for _ in range(columns))
    return Cover(costs, sets, needs, groups)


@pytest.mark.parametrize("seed", range(300))
def test_reduced_and_solved_as_by_trying_all(seed: int) -> None:
    cover = drawn(seed)
    least = by_trying_all(cover)
    found = least_cover(cover, 5.0)
    assert found.cost == least
    assert found.status == ("infeasible" if least is None else "optimal")
    reduced = reduce(cover)
    if least is None:
        return
    assert reduced is not None
    fixed = sum(cover.costs[c] for c in reduced.fixed)
    rest = by_trying_all(reduced.cover) if reduced.cover.rows else 0
    assert fixed + (rest or 0) == least
    assert found.chosen is not None
    assert cover.covers(found.chosen)
    assert relax(cover).bound <= least


def lines(dimension: int) -> Cover:
    """Points of the affine space over three elements, to hit each of its lines.

    Three different points are a line exactly if they add up to nothing, coordinate by coordinate.
    """
    points = list(product(range(3), repeat=dimension))
    number = {p: i for i, p in enumerate(points)}
    rows = set()
    for a, b in combinations(points, 2):
        c = tuple((-x - y) % 3 for x, y in zip(a, b, strict=True))
        rows.add(tuple(sorted((number[a], number[b], number[c]))))
    return Cover((1,) * len(points), tuple(sorted(rows)))


@pytest.mark.parametrize(("dimension", "largest_cap"), [(2, 4), (3, 9)])
def test_hitting_all_lines_leaves_a_largest_cap(dimension: int, largest_cap: int) -> None:
    """What hits no line in full is a cap set: the largest have 2, 4, 9, 20, 45 points.

    OEIS A090245 (from memory); for dimensions 2 and 3 these are the Steiner triple coverings of 9
    and 27 points of Fulkerson, Nemhauser and Trotter, 1974, whose optima are 5 and 18.
    """
    cover = lines(dimension)
    assert len(cover.rows) == {2: 12, 3: 117}[dimension]
    found = least_cover(cover, 20.0)
    assert (found.status, found.cost) == ("optimal", 3**dimension - largest_cap)


def test_a_view_of_each_mount_at_most() -> None:
    """Two ways to aim one camera do not make two cameras.

    Cells a and b; mount 1 sees a or b for 1 each, mount 2 sees b for 5. Without groups the two
    ways of mount 1 would do for 2; with them it takes 1 + 5 = 6.
    """
    rows = ((0,), (1, 2))
    assert least_cover(Cover((1, 1, 5), rows), 5.0).cost == 2
    assert least_cover(Cover((1, 1, 5), rows, groups=(1, 1, 2)), 5.0).cost == 6


def test_two_cameras_for_a_cell() -> None:
    """A cell that two cameras must see: the two cheapest mounts, 2 + 3; the dear third is left."""
    found = least_cover(Cover((2, 7, 3), ((0, 1, 2),), needs=(2,)), 5.0)
    assert (found.cost, found.chosen) == (5, (0, 2))


FOLDER = os.environ.get("LEASTKIT_OPEN_DATA")
OPEN = [
    one
    for one in (covers.published(Path(FOLDER)) if FOLDER else [])
    if one.name.split("/")[1] in SMALL
]


@pytest.mark.parametrize("number", range(1 + len(OPEN)))
def test_open_instances(number: int) -> None:
    """The published optimum is reached; the first case needs no file (see the test above)."""
    if number == 0:
        cover, optimum = lines(2), 5
    else:
        one = OPEN[number - 1]
        assert FOLDER is not None
        cover, optimum = covers.read(Path(FOLDER), one), one.value
        found = least_cover(cover, 30.0)
        assert covers.check(one, cover, found) == ""
    assert least_cover(cover, 30.0).cost == optimum
