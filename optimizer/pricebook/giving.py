"""What offers in percent take off an item together: never more than it costs at its lowest.

Otherwise they would pay the buyer for every further piece, and there would be no best number.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import floor
from typing import NamedTuple

from optimizer.pricebook.schema import AnyItem, Offer


class Given(NamedTuple):
    """What is taken off each piece, by which offers, and the lowest unit price. [hundredth]"""

    amount: int
    offers: tuple[Offer, ...]
    least: int

    @property
    def too_much(self) -> bool:
        """Whether a buyer would be paid for a piece."""
        return self.amount > self.least


def given(offers: Iterable[Offer], item: AnyItem) -> Given:
    """What all offers in percent on an item may take off a piece of it."""
    mine = tuple(o for o in offers if o.percent is not None and item.id in o.on)
    amount = sum(floor(item.price * Fraction(o.percent or 0)) for o in mine)
    return Given(amount, mine, min([item.price, *(b.price for b in item.breaks)]))


__all__ = ["Given", "given"]
