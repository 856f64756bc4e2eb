"""What an order costs, by the rules alone, and the cheapest one by trying every number of packs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import product
from math import ceil, floor

from optimizer.pricebook.schema import Book


def price_of(prices: Book, bought: Mapping[str, int]) -> int:
    """RULES.md 5.2 and 5.3, written once more. [hundredth]"""
    items = {item.id: item for item in prices.items}
    total = off = 0
    for name, count in bought.items():
        each = items[name].price
        for step in sorted(items[name].breaks, key=lambda b: b.at_least):
            each = step.price if count >= step.at_least else each
        total += each * count
    for offer in prices.offers:
        if any(sum(bought[i] for i in c.items) < c.at_least for c in offer.when):
            continue
        if offer.percent is None:
            off += offer.off or 0
            continue
        share = Fraction(offer.percent)
        cuts = [floor(items[i].price * share) for i in offer.on for _ in range(bought[i])]
        off += sum(sorted(cuts, reverse=True)[: offer.most])
    return max(0, total - off)


def cheapest(prices: Book, need: Mapping[str, int], most: int) -> int:
    """The least price over all numbers of packs up to a most. [hundredth]"""
    rows = []
    for item in prices.items:
        pack = getattr(item, "pack", 1)
        rows.append(range(ceil(need.get(item.id, 0) / pack), most + 1))
    names = [item.id for item in prices.items]
    return min(price_of(prices, dict(zip(names, some, strict=True))) for some in product(*rows))


def most_of(prices: Book, kits: Sequence[Mapping[str, int]]) -> int:
    """More of an item than this never pays: no break or offer begins beyond it."""
    steps = [b.at_least for item in prices.items for b in item.breaks]
    steps += [c.at_least for o in prices.offers for c in o.when]
    needs = [sum(kit.get(item.id, 0) for kit in kits) for item in prices.items]
    return max(*steps, *needs, 0)


__all__ = ["cheapest", "most_of", "price_of"]
