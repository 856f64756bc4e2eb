"""What a heap of pieces costs, by trying every number that could be bought: RULES 5.1 to 5.3."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from math import ceil, floor
from typing import Any

from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site


class Prices:
    """Exact price of the pieces used, and a floor under it that only grows with more pieces."""

    def __init__(self, site: Site, book: Book, items: dict[str, Any]) -> None:
        self.items = items
        self.offers = book.offers
        self.stock: dict[str, int] = {}
        for own in site.owned:
            self.stock[own.item] = self.stock.get(own.item, 0) + own.quantity
        self.linked = [
            i
            for i in items
            if any(i in o.on or any(i in c.items for c in o.when) for o in book.offers)
        ]
        self.off = sum(o.off or 0 for o in book.offers)
        self.lowest = cache(self._lowest)
        self.plain = cache(self._plain)
        self.together = cache(self._together)

    def packs(self, item: str, pieces: int) -> int:
        """Fewest packs that leave enough pieces with those in stock."""
        return max(
            0, ceil((pieces - self.stock.get(item, 0)) / getattr(self.items[item], "pack", 1))
        )

    def unit(self, item: str, number: int) -> int:
        price = self.items[item].price
        for step in self.items[item].breaks:
            if number >= step.at_least:
                price = step.price
        return int(price)

    def numbers(self, item: str, pieces: int) -> list[int]:
        """What could be worth buying: what is needed, or as many as a break or an offer asks."""
        least = self.packs(item, pieces)
        asked = [b.at_least for b in self.items[item].breaks]
        asked += [c.at_least for o in self.offers for c in o.when if item in c.items]
        return list(range(least, max([least, *asked]) + 1))

    def _given(self, item: str) -> int:
        return sum(self._cut(o, item) for o in self.offers if item in o.on)

    def _cut(self, offer: Any, item: str) -> int:
        return floor(self.items[item].price * Fraction(offer.percent))

    def _lowest(self, item: str, pieces: int) -> int:
        return min(n * (self.unit(item, n) - self._given(item)) for n in self.numbers(item, pieces))

    def _plain(self, item: str, pieces: int) -> int:
        return min(n * self.unit(item, n) for n in self.numbers(item, pieces))

    def least(self, pieces: dict[str, int]) -> int:
        return max(0, sum(self.lowest(i, n) for i, n in pieces.items()) - self.off)

    def net(self, pieces: dict[str, int]) -> int:
        """Price of everything that is used, less reductions."""
        alone = sum(self.plain(i, n) for i, n in pieces.items() if i not in self.linked)
        return self.together(alone, tuple(pieces.get(i, 0) for i in self.linked))

    def _together(self, alone: int, pieces: tuple[int, ...]) -> int:
        found: list[int] = []

        def buy(index: int, paid: int, bought: dict[str, int]) -> None:
            if index == len(self.linked):
                found.append(max(0, paid - sum(self._reduction(o, bought) for o in self.offers)))
                return
            item = self.linked[index]
            conditioned = any(item in c.items for o in self.offers for c in o.when)
            choices = self.numbers(item, pieces[index])
            if not conditioned:
                # Only a break makes more than the need worth buying.
                starts = {b.at_least for b in self.items[item].breaks}
                choices = [n for n in choices if n == choices[0] or n in starts]
            for number in choices:
                buy(index + 1, paid + number * self.unit(item, number), {**bought, item: number})

        buy(0, alone, {})
        return min(found)

    def _reduction(self, offer: Any, bought: dict[str, int]) -> int:
        for condition in offer.when:
            if sum(bought.get(i, 0) for i in condition.items) < condition.at_least:
                return 0
        if offer.off is not None:
            return int(offer.off)
        dear = sorted((i for i in offer.on if i in self.items), key=lambda i: -self.items[i].price)
        cuts = [self._cut(offer, i) for i in dear for _ in range(bought.get(i, 0))]
        return sum(cuts if offer.most is None else cuts[: offer.most])


__all__ = ["Prices"]
