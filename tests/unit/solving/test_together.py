"""Several kits in one order: sums on paper, and random baskets against trying every number."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from itertools import chain, combinations
from typing import Any

import pytest

from optimizer.pricebook.schema import Book
from optimizer.solving.together import Basket, Order, order
from tests.optimality.asking import loaded
from tests.optimality.orders import cheapest, most_of, price_of
from tests.optimality.plain_kit import book, site

SITE = site()
KIT = {"cam": 1, "rec": 1, "disk": 1, "siamese": 1, "bnc": 2, "male": 1, "supply": 1}
TWO = {**KIT, "cam": 2, "bnc": 4, "male": 2}
OFF = {
    "id": "o", "name": "o", "when": [{"items": ["rec"], "at_least": 1}], "off": "20.00"
}  # fmt: skip


def test_packs_breaks_and_offers_on_paper() -> None:
    # Connectors in tens at 8.00: each kit takes a pack, all three together one: 16 less. Four
    # cameras at 90 in place of 100: 40 less. The offer comes once in place of three times: 40
    # more. By themselves 424 + 6 - 20 twice and 528 + 4 - 20 once: a pack is 8 in place of 2 or 4.
    prices = loaded(
        book(
            [OFF], bnc={"pack": 10, "price": "8.00"},
            cam={"breaks": [{"at_least": 4, "price": "90.00"}]},
        )
    )  # fmt: skip
    kits = [Basket("a", KIT, 410_00), Basket("b", TWO, 512_00), Basket("c", KIT, 410_00)]
    apart = 2 * 410_00 + 512_00
    found = order(SITE, prices, kits, whole=True)
    assert found.net == apart - 16_00
    assert found.bought == {**dict.fromkeys(KIT, 3), "cam": 4, "bnc": 1, "male": 4}
    assert found.taken_off == (("o", 20_00),)
    assert found.proven
    # Without c, three cameras reach no break, one pack is saved and one offer lost: dearer.
    some = order(SITE, prices, kits, whole=False)
    assert (some.net, some.others) == (found.net, ())


def test_an_offer_that_comes_once_can_make_one_order_the_dearer_way() -> None:
    prices = loaded(book([OFF]))
    kits = [Basket(name, KIT, 404_00) for name in "abc"]
    assert order(SITE, prices, kits, whole=True).net == 3 * 424_00 - 20_00
    some = order(SITE, prices, kits, whole=False)
    # Nothing is gained together: each loses its offer, so at most one is in the order.
    assert some.net == 3 * 404_00
    assert len(some.others) == 2


def test_only_some_together() -> None:
    # b and c share a pack of ten connectors, 8 in place of 16; a may join or not, at 200 - 20.
    prices = loaded(book([OFF], bnc={"pack": 10, "price": "8.00"}))
    kits = [Basket("a", {"rec": 1}, 180_00), *(Basket(n, {"bnc": 2}, 8_00) for n in "bc")]
    assert order(SITE, prices, kits, whole=False).net == 188_00
    # A second one with a recorder would lose its offer in the order and gain nothing: it stays out.
    kits.append(Basket("d", {"rec": 1}, 180_00))
    assert order(SITE, prices, kits, whole=True).net == 388_00
    some = order(SITE, prices, kits, whole=False)
    assert some.net == 368_00
    assert len(some.others) == 1
    assert some.others[0] in ("a", "d")


def test_more_is_bought_where_that_is_cheaper_but_not_what_all_forbid() -> None:
    # Ten pigtails at 1 cost less than nine at 2, also for nobody's use.
    prices = loaded(
        book(
            [{"id": "o", "name": "o", "when": [{"items": ["female"], "at_least": 1}],
              "off": "9.00"}],
            male={"breaks": [{"at_least": 10, "price": "1.00"}]},
        )
    )  # fmt: skip
    kits = [Basket("a", {"male": 5}, 10_00), Basket("b", {"male": 4}, 8_00)]
    # A female pigtail at 3 opens 9 off.
    found = order(SITE, prices, kits, whole=True)
    assert (found.bought, found.net) == ({"male": 10, "female": 1}, 10_00 + 3_00 - 9_00)
    none = frozenset({"female"})
    barred = [Basket(b.name, b.pieces, b.alone, none) for b in kits]
    found = order(SITE, prices, barred, whole=True)
    assert (found.bought, found.net) == ({"male": 10}, 10_00)
    # Where one site may buy it, it may stand in the order.
    barred[0] = kits[0]
    assert order(SITE, prices, barred, whole=True).net == 4_00


def test_a_tie_goes_to_the_order_and_to_fewer_pieces() -> None:
    prices = loaded(book(male={"price": "2.00", "breaks": [{"at_least": 4, "price": "1.50"}]}))
    kits = [Basket("a", {"male": 2}, 4_00), Basket("b", {"male": 1}, 2_00)]
    # Three at 2.00 and four at 1.50 are 6.00, as apart.
    found = order(SITE, prices, kits, whole=False)
    assert (found.net, found.bought, found.others) == (6_00, {"male": 3}, ())


def drawn(number: int) -> tuple[Book, list[dict[str, int]]]:
    """Three kinds of item with breaks, packs and offers, and what two to four kits take."""
    rng = random.Random(number)
    kept = ("male", "bnc", "disk")
    without = tuple(i for i in (*KIT, "female") if i not in kept)
    changes: dict[str, dict[str, Any]] = {}
    for name in kept:
        price = rng.randint(200, 900)
        steps = sorted(rng.sample(range(2, 9), rng.randint(0, 2)))
        lower = sorted((rng.randint(100, price) for _ in steps), reverse=True)
        changes[name] = {
            "price": f"{price / 100:.2f}",
            "breaks": [
                {"at_least": n, "price": f"{p / 100:.2f}"}
                for n, p in zip(steps, lower, strict=True)
            ],
        }
    changes["bnc"]["pack"] = rng.choice((1, 3))
    offers: list[dict[str, Any]] = []
    for count in range(rng.randint(0, 2)):
        items = rng.sample(kept, rng.randint(1, 2))
        when = [{"items": items, "at_least": rng.randint(1, 6)}]
        offer: dict[str, Any] = {"id": f"o{count}", "name": "o", "when": when}
        if rng.random() < 0.5:
            offer["off"] = f"{rng.randint(50, 700) / 100:.2f}"
        else:
            offer |= {"percent": "10 %", "on": rng.sample(kept, 2), "most": rng.randint(1, 4)}
        offers.append(offer)
    kits = [{i: rng.randint(1, 2) for i in rng.sample(kept, 2)} for _ in range(rng.randint(2, 4))]
    return book(offers, without, **changes), kits


def subsets(names: Sequence[int]) -> Iterator[tuple[int, ...]]:
    return chain.from_iterable(combinations(names, n) for n in range(len(names) + 1))


@pytest.mark.parametrize("number", range(30))
def test_random_orders_against_trying_every_number(number: int) -> None:
    prices, kits = drawn(number)
    most = most_of(prices, kits)
    alone = [cheapest(prices, kit, most) for kit in kits]

    def together(members: Sequence[int]) -> int:
        need = {i: sum(kits[m].get(i, 0) for m in members) for i in KIT}
        return cheapest(prices, need, most) if members else 0

    baskets = [Basket(str(n), kit, alone[n]) for n, kit in enumerate(kits)]
    every = range(len(kits))
    whole: Order = order(SITE, loaded(prices), baskets, whole=True)
    assert whole.net == together(every)
    assert price_of(prices, {i.id: whole.bought.get(i.id, 0) for i in prices.items}) == whole.net
    some = order(SITE, loaded(prices), baskets, whole=False)
    assert some.proven
    best = min(together(s) + sum(alone[n] for n in every if n not in s) for s in subsets(every))
    assert some.net == best
    # Never dearer than all in one order, nor than each by itself.
    assert some.net <= min(whole.net, sum(alone))
