"""The aids of the search are aids: with each of them off, status and optimum are the same.

An aid leaves out what cannot be cheapest, counts what is alike, or adds rows and hints that change
no design. Each is taken off for whole solves, audit included. Every test also counts the cases in
which its aid had something to do, so that an aid that is never at work cannot pass.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import pytest

from optimizer.instance import Instance, build_instance
from optimizer.model import build, packs
from optimizer.model.draft import Draft
from optimizer.model.families import linking
from optimizer.model.families.recording import PACK
from optimizer.pricebook.schema import Book, Bracket, Cable, Camera
from optimizer.site.schema import Site
from optimizer.solving import pursue, solve
from optimizer.solving.cpsat import CpSat
from optimizer.solving.search import minimise
from tests.optimality.asking import loaded, program_net
from tests.optimality.generator import free_case, random_case, tiny_case
from tests.properties.cases import again

Case = tuple[Site, Book]
SEEDS = range(7000, 7016)
SECONDS = 60.0


def both(
    cases: list[Case], patch: pytest.MonkeyPatch, off: Callable[[pytest.MonkeyPatch], None]
) -> tuple[list[int | None], list[int | None]]:
    """Nets with the aid and without it; None where the site is proven unmeetable."""
    helped = [program_net(*one) for one in cases]
    with patch.context() as without:
        off(without)
        return helped, [program_net(*one) for one in cases]


def size(instance: Instance) -> tuple[int, int]:
    """Cameras to choose from, and cables."""
    return sum(len(t.candidates) for t in instance.zones), len(instance.cables)


def drafts(cases: list[Case]) -> list[Draft]:
    """Programs of the cases that the tables alone do not settle."""
    instances = [build_instance(site, loaded(book)) for site, book in cases]
    return [build(i) for i in instances if i.recorders and all(t.candidates for t in i.zones)]


def rounded(draft: Draft) -> int:
    """Rows of packs and totals that are there only because they are rounded."""
    names = [row.name for row in draft.program.rows]
    return sum("/pool" in n and n.rpartition(".")[2] != "1" for n in names)


def with_rivals(seed: int) -> Case:
    """A drawn case with a second, cheaper or dearer make of every camera and cable of its book.

    A rival differs in one thing that costs elsewhere (plug, bracket, watts, picture, length), and
    in price by about what such a thing costs. So one often beats the other, or just fails to.
    """
    site, book = free_case(seed)
    rng = random.Random(seed)
    patterns = [None, *{p for i in book.items if isinstance(i, Bracket) for p in i.fits}]
    rivals: list[Any] = []
    for item in book.items:
        changes: dict[str, Any] = {}
        if isinstance(item, Camera):
            feeds = item.model_dump(mode="json")["feeds"]
            changes = rng.choice(
                [
                    {"power_plug": "terminals" if item.power_plug == "barrel" else "barrel"},
                    {"bracket": rng.choice(patterns)},
                    {"picture": rng.choice(["1280x720", "1920x1080", "2560x1440"])},
                    {"feeds": [{**f, "watts": f"{rng.randint(2, 9)} W"} for f in feeds]},
                    {},
                ]
            )
        elif isinstance(item, Cable):
            changes = {
                "construction": f"{item.construction}-b",
                "box": f"{rng.choice((60, 90, 120, 200))} m",
            }
        else:
            continue
        data = item.model_dump(mode="json", exclude_defaults=True)
        less = rng.choice((-30, 20, 80, 250, 700, 1500))
        price = f"{max(item.price - less, 1) / 100:.2f}"
        rivals.append({**data, "kind": item.kind, **changes, "id": f"{item.id}-b", "price": price})
    data = book.model_dump(mode="json", exclude_defaults=True)
    items = [{**d, "kind": i.kind} for d, i in zip(data["items"], book.items, strict=True)]
    return site, Book.model_validate({**data, "leastkit": "book/1", "items": [*items, *rivals]})


def test_leaving_out_what_is_never_cheapest(monkeypatch: pytest.MonkeyPatch) -> None:
    everything = partial(build_instance, reduce=False)

    def shorter(case: Case) -> bool:
        site, book = case[0], loaded(case[1])
        return size(build_instance(site, book)) != size(everything(site, book))

    cases = [case for case in map(with_rivals, range(70_000, 70_060)) if shorter(case)]
    assert len(cases) >= 20
    helped, plain = both(
        cases, monkeypatch, lambda patch: patch.setattr(solve, "build_instance", everything)
    )
    assert sum(net is not None for net in helped) >= 12
    assert helped == plain


def twins(case: Case) -> Case:
    """The site with its first zone three times: three zones that ask for the same thing."""
    site, book = case
    first, *others = site.zones
    copies = [first.model_copy(update={"id": f"{first.id}-{n}", "name": ""}) for n in (2, 3)]
    return again(site.model_copy(update={"zones": (first, *copies, *others[:1])})), book


def test_counting_zones_that_are_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    cases = []
    for seed in SEEDS:
        site, book = random_case(seed)
        kept = {z.id for z in (site.zones[0], *site.zones[1:2])}
        if all(p.zone is None or p.zone in kept for p in site.audio.points):
            cases.append(twins((site, book)))
    named = partial(build_instance, group=False)
    fewer = [
        len(build_instance(s, loaded(b)).zones) < len(named(s, loaded(b)).zones) for s, b in cases
    ]
    assert sum(fewer) >= 4
    helped, plain = both(
        cases, monkeypatch, lambda patch: patch.setattr(solve, "build_instance", named)
    )
    assert helped == plain


def test_rows_that_lift_the_linear_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    cases = [random_case(seed) for seed in SEEDS]
    bare = partial(build, linked=False)
    for draft in drafts(cases):
        assert len(bare(draft.instance).program.rows) < len(draft.program.rows)
    helped, plain = both(cases, monkeypatch, lambda patch: patch.setattr(pursue, "build", bare))
    assert helped == plain


def test_rounded_rows_of_the_packs(monkeypatch: pytest.MonkeyPatch) -> None:
    cases = [random_case(seed) for seed in SEEDS]

    def off(patch: pytest.MonkeyPatch) -> None:
        patch.setattr(packs, "_steps", lambda *_: [])
        patch.setattr(linking, "_cover", lambda *_: None)
        assert sum(rounded(draft) for draft in drafts(cases)) == 0

    assert sum(rounded(draft) > 0 for draft in drafts(cases)) >= 4
    helped, plain = both(cases, monkeypatch, off)
    assert helped == plain


def test_hints(monkeypatch: pytest.MonkeyPatch) -> None:
    cases = [random_case(seed) for seed in SEEDS]
    told: list[int] = []
    hint = CpSat.hint

    def counted(self: CpSat, values: list[int] | None) -> None:
        told.append(0 if values is None else len(values))
        hint(self, values)

    monkeypatch.setattr(CpSat, "hint", counted)
    helped, plain = both(
        cases, monkeypatch, lambda patch: patch.setattr(CpSat, "hint", lambda *_: None)
    )
    assert any(told)
    assert helped == plain


def least(draft: Draft) -> int | None:
    """Proven optimum of a program, None where it is proven to have none."""
    found = minimise(draft, SECONDS, lambda _: None)
    assert found.status in ("optimal", "infeasible"), found.status
    return found.objective


def test_the_order_of_units_that_are_alike() -> None:
    """Spelt out, the units of one item are opened in order, which takes out their symmetry."""
    ordered = 0
    for seed in range(7000, 7010):
        for draft in drafts([tiny_case(seed)]):
            spelt = build(draft.instance, {*draft.packs, PACK})
            kept = [row for row in spelt.program.rows if not row.name.endswith(".order")]
            ordered += len(kept) < len(spelt.program.rows)
            free = replace(spelt, program=replace(spelt.program, rows=kept))
            assert least(free) == least(spelt), seed
    assert ordered >= 4
