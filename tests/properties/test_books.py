"""What a price book may have beside the point: items nobody uses, another order, other ids."""

from __future__ import annotations

import random
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st

from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from optimizer.solving.answer import Answer
from optimizer.units import money
from tests.optimality.asking import loaded
from tests.properties.cases import (
    SEEDS,
    again,
    again_book,
    case,
    law,
    met,
    named,
    net,
    unasked,
    with_items,
)


def in_hand(answer: Answer) -> set[str]:
    """Items that a design uses or buys."""
    return {line.item for line in answer.bill}


@law(20)
@given(SEEDS)
def test_the_book_without_all_that_is_idle_gives_the_same_total(seed: int) -> None:
    # What must be used is left out: there a recorder that is not in the design can still allow
    # a larger number of cameras side by side (RULES.md 1.1).
    site, book = case(seed)
    site = unasked(site)
    answer = solve_site(site, loaded(book))
    assume(answer.met)
    kept = in_hand(answer) | named(site, book)
    less = with_items(book, [i for i in book.items if i.id in kept])
    assert len(less.items) < len(book.items)
    assert net(site, less) == money(answer.net or "")


@law(20)
@given(SEEDS, st.integers(0, 99))
def test_one_idle_item_less_gives_the_same_total(seed: int, pick: int) -> None:
    site, book = case(seed)
    answer = solve_site(site, loaded(book))
    assume(answer.met)
    kept = in_hand(answer) | named(site, book)
    # A recorder that stands idle can still allow more cameras side by side: see above.
    idle = [i for i in book.items if i.id not in kept and i.kind != "recorder"]
    gone = idle[pick % len(idle)]
    less = with_items(book, [i for i in book.items if i is not gone])
    assert net(site, less) == money(answer.net or "")


@law(12)
@given(SEEDS, st.integers(0, 99))
def test_the_order_of_the_book_is_no_matter_of_price(seed: int, turn: int) -> None:
    site, book = case(seed)
    before = met(site, book)
    items, offers = list(book.items), list(book.offers)
    random.Random(turn).shuffle(items)
    random.Random(turn).shuffle(offers)
    assert net(site, with_items(book, items).model_copy(update={"offers": tuple(offers)})) == before


@law(12)
@given(SEEDS)
def test_the_order_of_the_zones_is_no_matter_of_price(seed: int) -> None:
    site, book = case(seed, lambda s, _: len(s.zones) > 1)
    before = met(site, book)
    turned = site.model_copy(update={"zones": tuple(reversed(site.zones))})
    assert net(turned, book) == before


def renamed(data: Any, names: dict[str, str]) -> Any:
    """Plain data with every id replaced, as a value, in a list, or as a key."""
    if isinstance(data, dict):
        return {names.get(k, k): renamed(v, names) for k, v in data.items()}
    if isinstance(data, list):
        return [renamed(v, names) for v in data]
    return names.get(data, data) if isinstance(data, str) else data


def with_other_ids(site: Site, book: Book) -> tuple[Site, Book]:
    """The case with new ids for items, offers, zones, points, series and constructions."""
    data = book.model_dump(mode="json")
    for item in data["items"]:
        for key in ("series", "construction"):
            # Marked, since some of these names are also words of the schema.
            if key in item:
                item[key] = f"own-{item[key]}"
    old = [i["id"] for i in data["items"]] + [o["id"] for o in data["offers"]]
    old += [i[k] for i in data["items"] for k in ("series", "construction") if k in i]
    old += [z.id for z in site.zones] + [p.id for p in site.audio.points]
    # Backwards, so that the order of the alphabet turns round.
    names = {one: f"q{9000 - n}-k" for n, one in enumerate(dict.fromkeys(old))}
    return (
        Site.model_validate(renamed(site.model_dump(mode="json"), names)),
        Book.model_validate(renamed(data, names)),
    )


@law(12)
@given(SEEDS)
def test_other_ids_give_the_same_total(seed: int) -> None:
    site, book = case(seed)
    before = met(site, book)
    site_2, book_2 = with_other_ids(site, book)
    assert not {i.id for i in book.items} & {i.id for i in book_2.items}
    assert net(site_2, book_2) == before


@law(8)
@given(SEEDS)
def test_a_site_and_book_written_out_and_read_give_the_same_answer(seed: int) -> None:
    site, book = case(seed)
    first = solve_site(site, loaded(book))
    second = solve_site(again(site), loaded(again_book(book)))
    # Written out, every default counts as stated; nothing else may differ.
    assert second.model_copy(update={"assumptions": first.assumptions}) == first


@law(8)
@given(SEEDS)
def test_every_item_twice_gives_the_same_total(seed: int) -> None:
    """A second of each item that no offer or site names, with the same data under another id."""
    site, book = case(seed)
    # Twice the items make a proof many times as long: small sites show the same.
    assume(len(site.zones) + len(site.audio.points) <= 4)
    before = met(site, book)
    special = named(site, book)
    twins = [i.model_copy(update={"id": f"{i.id}-b"}) for i in book.items if i.id not in special]
    # Two ids never buy what one does not: each counts its own pieces towards a price break.
    assert net(site, with_items(book, [*book.items, *twins])) == before
