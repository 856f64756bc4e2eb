"""Several kits bought in one order: packs shared, price breaks and offers on the whole of it.

The kits stay as they are; only what is bought is settled anew, by the same rows as for one kit
(:mod:`optimizer.model.families.money`). A kit may instead be bought by itself, at the price of its
own bill: an offer applies once for each order, so that one order for all can be the dearer way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from optimizer.audit.money import goods, goods_less_offers
from optimizer.errors import Defect
from optimizer.instance import Instance
from optimizer.model.draft import Draft
from optimizer.model.families import money
from optimizer.model.program import Program
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Packed
from optimizer.site.schema import Site
from optimizer.solving.cpsat import CpSat
from optimizer.solving.purchase import purchases, reductions
from optimizer.solving.ties import settle

_WORK = 20.0
"""Deterministic effort: a limit in seconds would make the list hang on how busy the machine is."""

_SECONDS = 120.0


@dataclass(frozen=True)
class Basket:
    """What one kit needs.

    Attributes
    ----------
    pieces : dict of str to int
        Item id to the pieces that do a job and are not there already.
    alone : int
        Goods less reductions of its own bill, without labour and tax. [hundredth]
    forbidden : frozenset of str
        Items that may not be bought for it.
    """

    name: str
    pieces: Mapping[str, int]
    alone: int
    forbidden: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Order:
    """One order, and the kits that are bought by themselves.

    Attributes
    ----------
    members, others : tuple of str
        Names of the kits in the order, and of those bought by themselves.
    bought : dict of str to int
        Packs in the order, items in catalogue order.
    goods : int
        Price of them before reductions. [hundredth]
    taken_off : tuple of (offer id, int)
        Each offer that applies; together they never take off more than the goods. [hundredth]
    net : int
        The order after reductions, and what the others cost by themselves. [hundredth]
    proven : bool
        Whether nothing else over the same kits costs less.
    """

    members: tuple[str, ...]
    others: tuple[str, ...]
    bought: Mapping[str, int]
    goods: int
    taken_off: tuple[tuple[str, int], ...]
    net: int
    proven: bool


def order(site: Site, book: LoadedBook, baskets: Sequence[Basket], *, whole: bool) -> Order:
    """The cheapest order for several kits.

    Parameters
    ----------
    site : Site
        Any of theirs; nothing of it is read but the shape of a site.
    whole : bool
        All kits are in the order; otherwise each is in it or bought by itself, whichever is the
        cheapest together.

    Raises
    ------
    Defect
        If the audit adds up another price, or all kits in one order cannot be proven cheapest.
    """
    draft = _draft(site, book, baskets)
    program = draft.program
    alone, joins = {}, {}
    for basket in baskets:
        alone[basket.name] = program.var(f"alone/{basket.name}", 0 if whole else 1, 0, basket.alone)
        joins[basket.name] = program.var(f"joined/{basket.name}", 1, 1 if whole else 0)
        both = [(alone[basket.name], 1), (joins[basket.name], 1)]
        program.equal(f"once/{basket.name}", ["fact/price"], both, 1)
        for item, pieces in basket.pieces.items():
            draft.used[item].append((joins[basket.name], pieces))
    money.write(draft)
    program.check()
    values, proven = _cheapest(program, list(alone.values()))
    if whole and not proven:
        raise Defect("what several kits cost in one order cannot be settled")
    for var in (*alone.values(), *joins.values()):
        program.lower[var] = program.upper[var] = values[var]
    values = settle(draft, values, _SECONDS).values
    catalogue = purchases(draft, values)
    bought = {item: catalogue[item] for item in book.items if item in catalogue}
    members = tuple(b.name for b in baskets if values[joins[b.name]])
    made = Order(
        members,
        tuple(b.name for b in baskets if b.name not in members),
        bought,
        goods(book.items, bought),
        tuple((o.id, off) for o, off in reductions(book.items, book.book.offers, bought)),
        program.value(values),
        proven,
    )
    _inspect(made, book, baskets)
    return made


def _cheapest(program: Program, alone: Sequence[int]) -> tuple[tuple[int, ...], bool]:
    """The least cost, and among equals as few kits by themselves as can be."""
    model = CpSat(program)
    found = model.solve(_SECONDS, work=_WORK)
    if found.values is None or found.objective is None:
        raise Defect("no order for several kits is found")
    model.add_row({i: k for i, k in enumerate(program.cost) if k}, hi=found.objective)
    model.minimise(dict.fromkeys(alone, 1))
    model.hint(found.values)
    fewest = model.solve(_SECONDS, work=_WORK)
    return fewest.values or found.values, found.status == "optimal"


def _draft(site: Site, book: LoadedBook, baskets: Sequence[Basket]) -> Draft:
    """A program of purchases alone: nobody owns, requires or forbids anything beyond the kits."""
    shared = frozenset.intersection(*(b.forbidden for b in baskets))
    policy = site.policy.model_copy(update={"forbid": tuple(sorted(shared)), "require": ()})
    terms = site.money.model_copy(update={"budget": None})
    bare = site.model_copy(update={"policy": policy, "money": terms, "owned": ()})
    return Draft(Instance(bare, book, (), (), (), (), {}))


def _inspect(made: Order, book: LoadedBook, baskets: Sequence[Basket]) -> None:
    """Recompute the order by the audit's sums, which know nothing of the program."""
    items = book.items
    alone = sum(b.alone for b in baskets if b.name in made.others)
    if alone + goods_less_offers(items, book.book.offers, made.bought) != made.net:
        raise Defect("the audit adds up another price of an order")
    inside = [b for b in baskets if b.name in made.members]
    for item in {i for b in inside for i in b.pieces}:
        one = items[item]
        pack = one.pack if isinstance(one, Packed) else 1
        if pack * made.bought.get(item, 0) < sum(b.pieces.get(item, 0) for b in inside):
            raise Defect(f"an order lacks pieces of {item}")


__all__ = ["Basket", "Order", "order"]
