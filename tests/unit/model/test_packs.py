"""Packs: pooled rows lose no packing, and the spelt form has exactly the packings.

Tiny packings are tried one by one: every number of bins, every number of things.
"""

from __future__ import annotations

from functools import cache
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.model.packs import Bin, Demand, Pack, write_pooled, write_spelt
from optimizer.model.program import Program
from optimizer.solving.cpsat import CpSat

Shape = tuple[tuple[int, ...], tuple[int, ...]]
"""What a bin holds, and the most that a single thing in it may take."""

MOST_BINS, MOST_THINGS = 2, 3
LAW = settings(derandomize=True, deadline=None, database=None, max_examples=40)


@st.composite
def boxes(draw: st.DrawFn) -> tuple[list[Shape], list[tuple[int, ...]]]:
    """One dimension, lengths near halves and thirds of each other."""
    lengths = draw(st.lists(st.integers(5, 30), min_size=1, max_size=2, unique=True))
    cuts = draw(st.lists(st.integers(1, 30), min_size=1, max_size=3, unique=True))
    return [((n,), (n,)) for n in lengths], [(c,) for c in cuts]


@st.composite
def supplies(draw: st.DrawFn) -> tuple[list[Shape], list[tuple[int, ...]]]:
    """Outputs and load, with a limit for each output."""
    shapes = []
    for _ in range(draw(st.integers(1, 2))):
        outputs, total = draw(st.integers(1, 3)), draw(st.integers(4, 20))
        shapes.append(((outputs, total), (1, draw(st.integers(2, total)))))
    loads = draw(st.lists(st.integers(1, 12), min_size=1, max_size=3, unique=True))
    return shapes, [(1, load) for load in loads]


@st.composite
def switches(draw: st.DrawFn) -> tuple[list[Shape], list[tuple[int, ...]]]:
    """Ports, powered ports and power; one kind of thing takes a plain port."""
    shapes = []
    for _ in range(draw(st.integers(1, 2))):
        ports = draw(st.integers(1, 4))
        powered, power = draw(st.integers(0, ports)), draw(st.integers(3, 20))
        holds = (ports, powered, power if powered else 0)
        limits = (1, 1, draw(st.integers(2, power))) if powered else (1, 0, 0)
        shapes.append((holds, limits))
    loads = draw(st.lists(st.integers(1, 12), min_size=1, max_size=2, unique=True))
    return shapes, [(1, 0, 0), *((1, 1, load) for load in loads)]


PACKS = st.one_of(boxes(), supplies(), switches())


def written(shapes: list[Shape], amounts: list[tuple[int, ...]]) -> tuple[Program, Pack]:
    """A program whose first variables count the bins and whose next count the things."""
    program = Program()
    bins = tuple(
        Bin(f"b{i}", holds, limits, program.var(f"b{i}", MOST_BINS))
        for i, (holds, limits) in enumerate(shapes)
    )
    demands = tuple(
        Demand(i, a, [(program.var(f"d{i}", MOST_THINGS), 1)]) for i, a in enumerate(amounts)
    )
    return program, Pack("pack", ("tag",), demands, bins)


def packs(
    shapes: list[Shape],
    counts: tuple[int, ...],
    things: list[tuple[int, ...]],
    busy: frozenset[int],
) -> bool:
    """Whether things go into bins, by trying; every unit of the bins in `busy` must have some."""
    units = [i for i, n in enumerate(counts) for _ in range(n)]

    @cache
    def place(left: tuple[tuple[int, ...], ...], rooms: tuple[tuple[int, ...], ...]) -> bool:
        if not left:
            return all(
                i not in busy or room != shapes[i][0] for i, room in zip(units, rooms, strict=True)
            )
        thing, rest = left[0], left[1:]
        for number, room in enumerate(rooms):
            limits = shapes[units[number]][1]
            after = tuple(r - a for r, a in zip(room, thing, strict=True))
            fits = min(after) >= 0 and all(a <= m for a, m in zip(thing, limits, strict=True))
            if fits and place(rest, (*rooms[:number], after, *rooms[number + 1 :])):
                return True
        return False

    return place(tuple(things), tuple(shapes[i][0] for i in units))


def every_count(
    shapes: list[Shape], amounts: list[tuple[int, ...]]
) -> list[tuple[tuple[int, ...], tuple[int, ...], list[tuple[int, ...]]]]:
    """Numbers of bins, numbers of things, and the things."""
    return [
        (bins, counts, [a for a, n in zip(amounts, counts, strict=True) for _ in range(n)])
        for bins in product(range(MOST_BINS + 1), repeat=len(shapes))
        for counts in product(range(MOST_THINGS + 1), repeat=len(amounts))
        if sum(counts) <= 6
    ]


@LAW
@given(PACKS)
def test_pooled_rows_hold_for_every_packing(
    case: tuple[list[Shape], list[tuple[int, ...]]],
) -> None:
    shapes, amounts = case
    program, pack = written(shapes, amounts)
    write_pooled(program, pack, ())
    for bins, counts, things in every_count(shapes, amounts):
        if packs(shapes, bins, things, frozenset()):
            assert program.broken([*bins, *counts]) == [], (bins, counts)


@LAW
@given(PACKS)
def test_pooled_rows_hold_for_every_packing_without_idle_units_where_one_is_asked_for(
    case: tuple[list[Shape], list[tuple[int, ...]]],
) -> None:
    shapes, amounts = case
    program, pack = written(shapes, amounts)
    write_pooled(program, pack, ("b0",))
    everyone = frozenset(range(len(shapes)))
    for bins, counts, things in every_count(shapes, amounts):
        if packs(shapes, bins, things, everyone):
            assert program.broken([*bins, *counts]) == [], (bins, counts)


@settings(derandomize=True, deadline=None, database=None, max_examples=12)
@given(PACKS, st.integers(0, 10**6))
def test_the_spelt_form_has_the_packings_without_idle_units_and_no_others(
    case: tuple[list[Shape], list[tuple[int, ...]]], pick: int
) -> None:
    shapes, amounts = case
    counted = every_count(shapes, amounts)
    everyone = frozenset(range(len(shapes)))
    for turn in range(12):
        bins, counts, things = counted[(pick + turn * 37) % len(counted)]
        program, pack = written(shapes, amounts)
        write_spelt(program, pack, MOST_BINS)
        for var, value in enumerate([*bins, *counts]):
            program.lower[var] = program.upper[var] = value
        found = CpSat(program).solve(10.0, first=True).values is not None
        assert found == packs(shapes, bins, things, everyone), (bins, counts)


def test_rounding_bites_where_sums_alone_do_not() -> None:
    # Three cuts of 60 m in boxes of 100 m: 180 <= 200, but no box takes two of them.
    program, pack = written([((100,), (100,))], [(60,)])
    write_pooled(program, pack, ())
    assert program.broken([2, 3]) == ["pack/pool0.0.60"]
    assert program.broken([2, 2]) == []


def test_a_thing_that_fits_one_bin_alone_is_bound_to_it() -> None:
    # 30 m of room in short boxes is no help to a cut of 80 m.
    program, pack = written([((30,), (30,)), ((100,), (100,))], [(80,), (20,)])
    write_pooled(program, pack, ())
    assert program.broken([2, 0, 1, 0]) != []
    assert program.broken([0, 1, 1, 1]) == []
    # The large output of one unit does not add up with that of another.
    program, pack = written([((4, 9), (1, 3)), ((1, 9), (1, 9))], [(1, 5)])
    write_pooled(program, pack, ())
    assert program.broken([2, 1, 2]) != []
    assert program.broken([0, 2, 2]) == []
