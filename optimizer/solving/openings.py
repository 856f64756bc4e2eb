"""Rows that keep the linear relaxation from buying at prices that it has not opened.

A price tier that starts at twelve pieces is opened by a flag, and the relaxation opens a twelfth of
it for one piece. For an item with tiers t, flags f_t, packs bought b_t of P pieces each, stock S,
and places z that use u_z <= U_z pieces of it, any set F of tiers and any set Z of places give

    P sum over t not in F of b_t + S >= sum over z in Z of (u_z - U_z sum over t in F of f_t)

since with every flag of F down, all that is used comes from elsewhere, and with one up the right
side is not positive. The set Z that a fractional point breaks most is found place by place.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from optimizer.model.draft import Draft, Terms
from optimizer.model.program import FREE, Row
from optimizer.pricebook.schema import Packed

_BROKEN = 1e-3


@dataclass(frozen=True)
class _Purchase:
    """An item that is bought: tiers as (packs, flag), places as (most pieces, terms)."""

    item: str
    pack: int
    stock: int
    tiers: tuple[tuple[int, int], ...]
    places: tuple[tuple[int, Terms], ...]


class Openings:
    """Finds rows of the form above that a point breaks."""

    def __init__(self, draft: Draft) -> None:
        stock = {o.item: o.quantity for o in draft.instance.site.owned}
        items = draft.instance.book.items
        flags = {n: i for i, n in enumerate(draft.program.names) if n.endswith(".tier")}
        self.purchases: list[_Purchase] = []
        for item, terms in draft.bought.items():
            one = items[item]
            tiers = tuple((c, flags.get(f"{draft.program.names[c]}.tier", c)) for c, _ in terms)
            pack = one.pack if isinstance(one, Packed) else 1
            places = tuple(_places(draft, draft.used.get(item, [])))
            self.purchases.append(_Purchase(item, pack, stock.get(item, 0), tiers, places))

    def broken(self, point: NDArray[np.float64]) -> list[Row]:
        """Rows that a point of the relaxation breaks.

        Parameters
        ----------
        point : array, shape (n_variables,)
            One value for each variable of the whole program.
        """
        return [row for one in self.purchases for row in _broken(one, point)]


def _places(draft: Draft, terms: Terms) -> Iterator[tuple[int, Terms]]:
    """Uses of an item, place by place, with the most that a place can use."""
    places: dict[object, Terms] = {}
    for col, coef in terms:
        places.setdefault(draft.owners.get(col, col), []).append((col, coef))
    for mine in places.values():
        yield draft.largest(mine), mine


def _broken(one: _Purchase, point: NDArray[np.float64]) -> Iterator[Row]:
    used = [(most, terms, sum(k * point[c] for c, k in terms)) for most, terms in one.places]
    for closed in _sets(len(one.tiers)):
        opened = [one.tiers[t][1] for t in closed]
        rest = [c for t, (c, _) in enumerate(one.tiers) if t not in closed]
        share = sum(point[f] for f in opened)
        lacking = [(most, terms) for most, terms, use in used if use > most * share + 1e-7]
        if not lacking:
            continue
        # Without other tiers and stock each place gives a row of its own; all follow from those.
        groups = [lacking] if rest or one.stock else [[place] for place in lacking]
        for group in groups:
            terms = [(c, one.pack) for c in rest]
            for most, uses in group:
                terms += [*((f, most) for f in opened), *((c, -k) for c, k in uses)]
            if sum(k * point[c] for c, k in terms) < -one.stock - _BROKEN:
                yield _row(one, closed, terms)


def _sets(tiers: int) -> list[tuple[int, ...]]:
    """Sets of tiers thought closed: each by itself, and each with all that follow."""
    tails = [tuple(range(t, tiers)) for t in range(tiers)]
    return tails + [(t,) for t in range(tiers - 1)]


def _row(one: _Purchase, closed: tuple[int, ...], terms: Terms) -> Row:
    sums: dict[int, int] = {}
    for col, coef in terms:
        sums[col] = sums.get(col, 0) + coef
    cols = tuple(c for c, k in sums.items() if k)
    name = f"opening/{one.item}.{'.'.join(map(str, closed))}"
    return Row(name, ("fact/price",), cols, tuple(sums[c] for c in cols), -one.stock, FREE)
