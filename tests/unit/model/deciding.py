"""For each constraint of the model a small case that it decides.

After a change of the model run ``python -m tests.unit.model.deciding`` and paste what it prints: it
tells which constraints no case of the corpus decides. Such a constraint needs a case by hand below,
or is an aid: then it belongs into :data:`AIDS`, with the reason why it changes no optimum.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from optimizer.model.draft import Draft
from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from tests.optimality.generator import free_case, tiny_case
from tests.optimality.plain_kit import book, site
from tests.unit.model.tracing import optimum, traced, without

AIDS = {
    "linking family/{family}/recorder": "a family in use has a recorder by its streams",
    "linking family/{family}/{number}": "says what the flag of a family means",
    "linking {name}.{step} [totals]": "the sum of what streams and storage rows ask, rounded",
    "linking {pack.name}/open{number} [box]": "a cut has a box by the pool or the unit rows",
    "linking {pack.name}/open{number} [supply]": "a load has a supply by the same rows",
    "linking {pack.name}/open{number} [switch]": "a port has a switch by the same rows",
    "packs {pack.name}/pool{number}.{dim}.{step} [box 0 rounded]": "rounded from step 1",
    "packs {pack.name}/pool{number}.{dim}.{step} [supply 1 rounded]": "rounded from step 1",
    "packs {pack.name}/pool{number}.{dim}.{step} [switch 2 rounded]": "rounded from step 1",
    "packs {pack.name}/{one.item}.{unit}.order [box]": "units of one item are alike",
    "packs {pack.name}/{one.item}.{unit}.order [supply]": "units of one item are alike",
    "packs {pack.name}/{one.item}.{unit}.order [switch]": "units of one item are alike",
    "packs {pack.name}/{one.item}.{unit}.{index}.open [box]": "follows from the load",
    "packs {pack.name}/{one.item}.{unit}.{index}.open [supply]": "follows from the load",
    "packs {pack.name}/{one.item}.{unit}.{index}.open [switch]": "follows from the load",
    "parts tool/{role}/open{number}": "a connector in use has a tool by its own row",
    "recording on/{name}/{number}": "a stream on no unit breaks a limit of the units",
    "recording recorder/{name}.order": "units of one item are alike",
    "money stock/{item.id}": "no more can be used than is in stock where nothing is bought",
    "sound existing/{sound.point.id}/{entry}": "a point lays one audio pair and one power pair",
}


class Decided(NamedTuple):
    """A case of the corpus: kind, seed, and whether all packs are spelt out."""

    kind: str
    seed: int
    spelt: bool = False


def rising_breaks(_: int) -> tuple[Site, Book]:
    """Three signs at 13.00 each; 12.00 at two, 10.00 at one: mixing the tiers would be cheaper."""
    sign = {
        "kind": "extra",
        "price": "10.00",
        "breaks": [{"at_least": 2, "price": "12.00"}, {"at_least": 3, "price": "13.00"}],
    }
    needed = {"require": [{"item": "sign", "quantity": 3}]}
    return site(policy=needed), book(sign=sign)


def with_asked(seed: int) -> tuple[Site, Book]:
    """A drawn case that wants some boxes, supplies, switches or recorders used."""
    drawn, prices = free_case(seed)
    rng = random.Random(seed)
    kinds = rng.choice((("cable",), ("supply",), ("switch",), ("recorder",)))
    items = [i.id for i in prices.items if i.kind in kinds and i.id not in drawn.policy.forbid]
    chosen = rng.sample(items, min(len(items), rng.choice((1, 1, 2))))
    needed = tuple({"item": i, "quantity": rng.choice((1, 2, 3))} for i in chosen)
    policy = type(drawn.policy).model_validate(
        drawn.policy.model_dump(mode="json") | {"require": needed}
    )
    return drawn.model_copy(update={"policy": policy}), prices


KINDS = {"tiny": tiny_case, "free": free_case, "asked": with_asked, "breaks": rising_breaks}


def posed(case: Decided) -> tuple[Draft, list[str]] | None:
    """The program of a case without the aids, and the labels of its rows."""
    found = traced(*KINDS[case.kind](case.seed), case.spelt)
    if found is None:
        return None
    draft, labels = found
    kept = [(r, own) for r, own in zip(draft.program.rows, labels, strict=True) if own not in AIDS]
    draft.program = replace(draft.program, rows=[r for r, _ in kept])
    return draft, [own for _, own in kept]


def decides(case: Decided, label: str) -> bool:
    """Whether the optimum is another one without the rows of a label."""
    found = posed(case)
    assert found is not None, case
    draft, labels = found
    assert label in labels, (case, label)
    return optimum(without(draft, labels, label)) != optimum(draft.program)


def corpus() -> Iterator[Decided]:
    """Cases to look through, small ones first."""
    yield Decided("breaks", 0)
    for seed in range(120):
        yield Decided("tiny", seed)
        yield Decided("tiny", seed, True)
    for seed in range(800):
        yield Decided("free", seed)
    for seed in range(1200):
        yield Decided("asked", seed)
        if seed < 300:
            yield Decided("asked", seed, True)


def search(wanted: set[str] | None = None) -> tuple[dict[str, Decided], set[str]]:
    """For each constraint the first case that it decides, and every label that was met."""
    found: dict[str, Decided] = {}
    met: set[str] = set()
    for case in corpus():
        drawn = posed(case)
        if drawn is None:
            continue
        draft, labels = drawn
        met |= set(labels)
        open_ = [x for x in dict.fromkeys(labels) if x not in found]
        if wanted is not None:
            open_ = [x for x in open_ if x in wanted]
        if open_:
            best = optimum(draft.program)
            found |= {x: case for x in open_ if optimum(without(draft, labels, x)) != best}
    return found, met


if __name__ == "__main__":
    decided, every = search()
    for name in sorted(decided):
        print(f"    {name!r}: Decided{tuple(decided[name])},")  # noqa: T201
    print("undecided:", sorted(every - set(decided)))  # noqa: T201
