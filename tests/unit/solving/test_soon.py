"""A first kit for settled views: one that can be laid out, no cheaper than the cheapest."""

from __future__ import annotations

import time
from functools import cache

import pytest

from optimizer.audit import audit_design
from optimizer.instance import Instance, build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.solving import partly, soon
from optimizer.solving.aimed import pursue_aimed
from optimizer.solving.assemble import assemble
from optimizer.solving.cpsat import CpSat
from optimizer.solving.greedy import Greedy
from optimizer.solving.placing import choose, narrowed_to, on_mounts
from tests.optimality import rooms
from tests.optimality.plans import drawn

SEEDS = range(200, 208)


@cache
def settled(seed: int) -> Draft | None:
    """The program of a drawn site with the fewest cameras chosen; None where none do."""
    site, book = drawn(seed)
    one = build_instance(site, book)
    chosen = choose(one, dict.fromkeys(on_mounts(one), 1), 20).aims
    return build(narrowed_to(one, chosen)) if chosen else None


def late() -> float:
    return time.monotonic() + 60


def test_a_kit_that_the_audit_passes_and_none_cheaper_than_the_least() -> None:
    tried = 0
    for seed in SEEDS:
        draft = settled(seed)
        if draft is None:
            continue
        least = CpSat(draft.program).solve(60)
        kit = soon.soon(draft, late())
        assert kit is not None
        assert kit.layout is not None
        values, net = kit.found.values, kit.found.objective
        assert values is not None
        assert net is not None
        assert not kit.draft.program.broken(values)
        assert kit.draft.program.value(values) == net
        assert least.status == "optimal"
        assert net >= (least.objective or 0)
        # Nothing is proven of it.
        assert (kit.found.status, kit.found.bound) == ("feasible", 0)
        site, book = drawn(seed)
        design = assemble(kit.draft, values, kit.layout)
        assert not audit_design(site, book.items, book.book.offers, design)
        tried += 1
    assert tried >= 3


def test_only_cheaper_ones_than_a_limit() -> None:
    tried = 0
    for seed in SEEDS:
        draft = settled(seed)
        kit = None if draft is None else soon.soon(draft, late())
        if draft is None or kit is None:
            continue
        net = kit.found.objective
        assert net is not None
        least = CpSat(draft.program).solve(60).objective
        assert least is not None
        assert soon.soon(draft, late(), least) is None
        again = soon.soon(draft, late(), net + 1)
        assert again is not None
        assert (again.found.objective or 0) <= net
        tried += 1
    assert tried >= 3


def test_every_set_of_families_is_tried_once() -> None:
    sets = list(soon._sets([4, 7]))
    assert sets == [
        {4: (1, 1), 7: (0, 0)},
        {4: (0, 0), 7: (1, 1)},
        {4: (1, 1), 7: (1, 1)},
    ]
    assert list(soon._sets([])) == [{}]


def room(share: str = "90 %") -> Instance:
    """A long room, a mount every 3 m on both sides."""
    mounts = [rooms.mount(f"m{i}", 3 * (i // 2), 6 * (i % 2), height="2.5 m") for i in range(8)]
    zone = rooms.zone(rooms.box(1, 1, 8, 5), "60 px/m", share=share)
    return build_instance(rooms.site(rooms.box(0, 0, 9, 6), [zone], mounts), rooms.book())


def test_a_kit_is_found_though_no_time_is_left() -> None:
    """The limit is passed when the search begins: a first kit is owed nevertheless."""
    found = pursue_aimed(room(), time.monotonic() - 1, lambda _: None, None, False, 0)
    assert found.found.values is not None
    assert found.layout is not None
    assert (found.found.bound or 0) <= (found.found.objective or 0)


def test_a_choice_is_found_where_the_first_one_leads_nowhere(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without a choice aim by aim, and in no time, the solver is asked for any choice at all."""
    monkeypatch.setattr(Greedy, "choose", lambda *_: None)
    one = room()
    assert one.viewing is not None
    assert any(s.units is not None for s in one.viewing.zones)
    costs = [1] * len(one.viewing.aims)
    found = partly.least_choice(one, one.viewing, costs, 0.0)
    assert found.values is not None
