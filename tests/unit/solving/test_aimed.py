"""Choices of views, floors, restricted programs and steps, on rooms small enough to try all.

`by_trying_all` goes through every choice of at most one aim a mount and adds up cells by itself.
"""

from __future__ import annotations

import time
from functools import cache
from itertools import product

import numpy as np
import pytest

from optimizer.instance import Instance, build_instance
from optimizer.model import build
from optimizer.solving import aimed, stepping
from optimizer.solving.cpsat import CpSat
from optimizer.solving.greedy import Greedy
from optimizer.solving.layout import lay_out
from optimizer.solving.placing import (
    CAMERAS,
    Floor,
    choose,
    narrowed_to,
    on_mounts,
    place_of,
    restricted,
    weight_of,
    with_floors,
)
from optimizer.solving.pursue import pursue
from optimizer.solving.shrinking import Grid
from optimizer.solving.stepping import pooled, stepped
from tests.optimality import rooms
from tests.optimality.plans import drawn

SEEDS = range(200, 208)


@cache
def instance(seed: int) -> Instance:
    site, book = drawn(seed)
    return build_instance(site, book)


def weight(one: Instance, weights: dict[tuple[int, int], int], chosen: tuple[int, ...]) -> int:
    """The least that the cameras for some aims weigh."""
    assert one.viewing is not None
    total = 0
    for number in chosen:
        index, lens, duty = place_of(one.viewing.aims[number])
        total += min(
            weights[index, n]
            for n, c in enumerate(one.zones[index].candidates)
            if (c.lens, c.duty) == (lens, duty)
        )
    return total


def does(one: Instance, chosen: tuple[int, ...]) -> bool:
    """Whether some aims see what every zone asks, by cells."""
    assert one.viewing is not None
    cells = one.viewing.prepared.cells
    mounts = [one.viewing.aims[a].table for a in chosen]
    for seen in one.viewing.zones:
        need, have, whole = seen.zone.cameras, 0.0, 0.0
        # All groups, those of cells left out too, are within these.
        for group in seen.groups:
            area = sum(cells[c].area_m2 for c in group.cells)
            looking = [m for a, m in zip(chosen, mounts, strict=True) if a in group.aims]
            close = set(group.close)
            fits = _some(looking, close, need)
            have += area if fits else 0.0
            whole += area
        if seen.units is None:
            if have < whole:
                return False
        else:
            every = sum(c.area_m2 for c in cells if c.area_id == seen.zone.id)
            if have < every * float(seen.zone.share) * (1 + 1e-6):
                return False
    return True


def _some(looking: list[int], close: set[tuple[int, int]], need: int) -> bool:
    if need == 0:
        return True
    for place, one in enumerate(looking):
        rest = [o for o in looking[place + 1 :] if (one, o) not in close and (o, one) not in close]
        if _some(rest, close, need - 1):
            return True
    return False


def by_trying_all(one: Instance, weights: dict[tuple[int, int], int]) -> int | None:
    assert one.viewing is not None
    of_mount: dict[int, list[int | None]] = {}
    for number, a in enumerate(one.viewing.aims):
        of_mount.setdefault(a.table, [None]).append(number)
    best: int | None = None
    for some in product(*of_mount.values()):
        chosen = tuple(a for a in some if a is not None)
        cost = weight(one, weights, chosen)
        if (best is None or cost < best) and does(one, chosen):
            best = cost
    return best


def few(one: Instance) -> bool:
    assert one.viewing is not None
    sizes: dict[int, int] = {}
    for a in one.viewing.aims:
        sizes[a.table] = sizes.get(a.table, 1) + 1
    return bool(np.prod(list(sizes.values())) < 4_000) if sizes else False


@pytest.mark.parametrize("kind", ["ones", "prices", "mixed"])
def test_the_least_choice_and_its_bound_as_by_trying_all(kind: str) -> None:
    tried = 0
    for seed in SEEDS:
        one = instance(seed)
        if not few(one):
            continue
        keys = on_mounts(one)
        weights = {
            "ones": dict.fromkeys(keys, 1),
            "prices": {k: weight_of(one, k) for k in keys},
            "mixed": {k: 10 + 7 * k[0] + 3 * k[1] for k in keys},
        }[kind]
        least = by_trying_all(one, weights)
        found = choose(one, weights, 30)
        if least is None:
            assert found.status == "infeasible"
            continue
        tried += 1
        assert (found.status, found.bound) == ("optimal", least)
        assert weight(one, weights, found.aims) == least
        assert does(one, found.aims)
    assert tried >= 3


def test_greedy_choices_do_and_none_of_their_aims_is_needless() -> None:
    tried = 0
    for seed in SEEDS:
        one = instance(seed)
        assert one.viewing is not None
        costs = [1] * len(one.viewing.aims)
        chosen = Greedy(one.viewing, one.viewing.aims, costs).choose(time.monotonic() + 10)
        if chosen is None:
            continue
        tried += 1
        assert does(one, tuple(chosen))
        assert not any(does(one, tuple(chosen - {a})) for a in chosen)
    assert tried >= 3


def test_a_restricted_program_is_that_of_the_restricted_instance() -> None:
    tried = 0
    for seed in SEEDS:
        one = instance(seed)
        found = choose(one, dict.fromkeys(on_mounts(one), 1), 10)
        if not found.aims:
            continue
        tried += 1
        draft = build(one)
        same = restricted(draft, found.aims)
        assert same.program.names == draft.program.names
        least = CpSat(same.program).solve(20)
        other = CpSat(build(narrowed_to(one, found.aims)).program).solve(20)
        assert (least.status, least.objective) == ("optimal", other.objective)
        assert least.values is not None
        assert not draft.program.broken(least.values)
    assert tried >= 3


def test_a_floor_too_high_is_felt() -> None:
    """The room of two corners takes two cameras, 260.00; a floor of three leaves no kit."""
    mounts = [rooms.mount("near", 0, 0), rooms.mount("far", 6, 6)]
    zone = rooms.zone(rooms.box(1, 1, 5, 5), "160 px/m")
    one = build_instance(rooms.site(rooms.square(6), [zone], mounts), rooms.book())
    ones = dict.fromkeys(on_mounts(one), 1)
    for least, status in ((2, "optimal"), (3, "infeasible")):
        draft = with_floors(build(one), [Floor(CAMERAS, ones, least)])
        found = CpSat(draft.program).solve(20)
        assert found.status == status
        assert found.objective == (260_00 if least == 2 else None)


def many_mounts() -> Instance:
    """A long room, a mount every 3 m on both sides."""
    mounts = [rooms.mount(f"m{i}", 3 * (i // 2), 6 * (i % 2), height="2.5 m") for i in range(14)]
    outline = rooms.box(0, 0, 18, 6)
    zone = rooms.zone(rooms.box(1, 1, 17, 5), "60 px/m", share="90 %")
    return build_instance(rooms.site(outline, [zone], mounts), rooms.book())


def test_steps_lead_to_a_cheaper_kit_that_keeps_every_row(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One camera on every mount that has one at all is a kit, and far from the cheapest."""
    monkeypatch.setattr(stepping, "_MOST", 8)
    one = many_mounts()
    draft = build(one)
    grid = Grid(draft.program)
    model = CpSat(draft.program)
    model.minimise(dict.fromkeys(draft.cameras.values(), -1))
    dear = model.solve(20)
    assert dear.values is not None
    liked = np.zeros(len(dear.values))
    found = stepped(draft, grid, liked, dear.values, time.monotonic() + 300)
    assert found
    assert not any(draft.program.broken(one) for one in found)
    assert draft.program.value(found[0]) < draft.program.value(dear.values) - 100_00
    assert not lay_out(draft, found[-1]).failed
    assert found == stepped(draft, grid, liked, dear.values, time.monotonic() + 300)


def test_a_kit_with_packs_spelt_out_is_one_of_the_whole_program() -> None:
    one = many_mounts()
    draft = build(one)
    assert draft.packs
    spelt = build(one, draft.packs)
    found = CpSat(spelt.program).solve(20)
    assert found.values is not None
    same = pooled(draft, Grid(draft.program), spelt, found.values)
    assert same is not None
    assert not draft.program.broken(same)
    assert draft.program.value(same) <= spelt.program.value(found.values)


def test_optimum_without_each_aid(monkeypatch: pytest.MonkeyPatch) -> None:
    """Floors, steps, the priced choice and the relaxation of the whole: with none the same."""

    seeds = SEEDS[:3]

    def nets() -> list[int | None]:
        found = []
        for seed in seeds:
            got = pursue(instance(seed), time.monotonic() + 60, lambda _: None).found
            assert got.status in ("optimal", "infeasible")
            found.append(got.objective)
        return found

    helped = nets()
    assert len({h for h in helped if h is not None}) > 1
    with monkeypatch.context() as patch:
        patch.setattr(aimed, "with_floors", lambda draft, _: draft)
        patch.setattr(aimed, "stepped", lambda *_: [])
        assert nets() == helped
    with monkeypatch.context() as patch:
        patch.setattr(aimed, "opened", lambda *_: None)
        assert nets() == helped
    with monkeypatch.context() as patch:
        # Without the whole program only the easier one is left: never a wrong proof.
        patch.setattr(aimed, "_MOST_TERMS", 0)
        for seed, net in zip(seeds, helped, strict=True):
            got = pursue(instance(seed), time.monotonic() + 20, lambda _: None).found
            if got.status == "optimal":
                assert got.objective == net
            if net is not None:
                assert got.bound is not None
                assert got.bound <= net
