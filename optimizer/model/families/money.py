"""What is bought, and what it costs.

For item i with used pieces U_i, stock S_i, pack P_i and bought packs b_i:

    P_i b_i >= U_i - S_i
    price breaks: b_i = sum over tiers of b_it, b_it between the tier's ends if chosen, else 0
    offer o: active only if each of its conditions holds; it takes off a sum, or a share of the
    list price of pieces bought
    budget: net <= the largest net whose total with tax is within the budget
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import ROUND_HALF_UP, Decimal

from optimizer.instance.amounts import pieces_reduction
from optimizer.model.draft import Draft, Terms
from optimizer.pricebook.schema import AnyItem, Connector, Extra, Item, Offer, Packed, Tool
from optimizer.site.schema import MoneyTerms


def write(draft: Draft) -> None:
    """Add purchases, stock, breaks, offers, required and pinned items, and the budget."""
    site = draft.instance.site
    stock = {o.item: o.quantity for o in site.owned}
    asked = draft.asked
    for item in _of_interest(draft, asked):
        _item(draft, item, stock.get(item.id, 0), asked.get(item.id, 0))
    _offers(draft)
    budget = largest_net(site.money)
    if budget is not None:
        program = draft.program
        program.row(
            "budget",
            ["budget"],
            [(i, k) for i, k in enumerate(program.cost) if k],
            hi=budget,
        )


def write_order(draft: Draft, needed: Mapping[str, int]) -> None:
    """Add what one of several orders may buy, its breaks and offers, and what must be used.

    How orders and stock together cover what is used is for who puts the orders together.

    Parameters
    ----------
    needed : mapping of item id to int
        Most pieces that are in use after any of the orders, less stock.
    """
    asked = draft.asked
    for item in _of_interest(draft, asked):
        if asked.get(item.id):
            _required(draft, item, draft.used.get(item.id, []), asked[item.id])
        pack = item.pack if isinstance(item, Packed) else 1
        packs = max(0, -(-needed.get(item.id, 0) // pack))
        starts = _useful_breaks(draft, item, packs)
        most = max([packs, *starts, _offered(draft, item)])
        if most > 0:
            _tiers(draft, item, most, starts)
    _offers(draft)


def _of_interest(draft: Draft, asked: Mapping[str, int]) -> Iterator[AnyItem]:
    """Items that can be used, are asked for, or count for an offer."""
    offers = draft.instance.book.book.offers
    wanted = {i for o in offers for c in o.when for i in c.items} | {
        i for o in offers for i in o.on
    }
    for item_id, item in draft.instance.book.items.items():
        there = item_id in draft.used or item_id in asked or item_id in wanted
        if there and item_id not in draft.instance.site.policy.forbid:
            yield item


def _offers(draft: Draft) -> None:
    cost = draft.program.cost
    goods = [(i, cost[i]) for terms in draft.bought.values() for i, _ in terms if cost[i]]
    reduced: Terms = []
    for offer in draft.instance.book.book.offers:
        reduced += _offer(draft, offer)
    _take_off(draft, goods, reduced)


def largest_net(money: MoneyTerms) -> int | None:
    """Largest net amount that keeps the budget, in hundredths; None without a budget."""
    if money.budget is None:
        return None
    if not money.budget_includes_tax:
        return money.budget
    net = int(Decimal(money.budget) / (1 + money.tax)) + 2
    while net >= 0 and net + tax_on(net, money.tax) > money.budget:
        net -= 1
    return net


def tax_on(net: int, rate: Decimal) -> int:
    """Tax on a net amount, in hundredths, rounded half up."""
    return int((Decimal(net) * rate).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def _item(draft: Draft, item: AnyItem, stock: int, asked: int) -> None:
    program = draft.program
    used = draft.used.get(item.id, [])
    tags = [f"item/{item.id}"]
    if asked:
        _required(draft, item, used, asked)
    pack = item.pack if isinstance(item, Packed) else 1
    need = draft.largest(used)
    if isinstance(item, Extra | Tool):
        need = max(need, asked)
    needed = max(0, -((stock - need) // pack))
    starts = _useful_breaks(draft, item, needed)
    most = max([needed, *starts, _offered(draft, item)])
    if most <= 0:
        program.row(f"stock/{item.id}", tags, used, hi=stock)
        return
    bought = _tiers(draft, item, most, starts)
    program.row(
        f"bought/{item.id}",
        tags,
        [*((c, pack * k) for c, k in bought), *((c, -k) for c, k in used)],
        lo=-stock,
    )
    if isinstance(item, Extra | Tool) and asked:
        program.row(
            f"required/{item.id}.kit",
            ["policy/require"],
            [(c, pack * k) for c, k in bought],
            lo=asked - stock,
        )


def _required(draft: Draft, item: AnyItem, used: Terms, asked: int) -> None:
    if isinstance(item, Extra):
        return
    least = 1 if isinstance(item, Tool) else asked
    terms = used
    if isinstance(item, Tool):
        terms = [(var, 1) for part, var in _fitted(draft) if part.tool in item.types]
    draft.program.row(f"required/{item.id}", ["policy/require"], terms, lo=least)


def _fitted(draft: Draft) -> Iterator[tuple[Connector, int]]:
    """Connectors and the variables that count them."""
    for item_id, _, var in draft.parts:
        item = draft.instance.book.items[item_id]
        if isinstance(item, Connector):
            yield item, var


def _useful_breaks(draft: Draft, item: AnyItem, needed: int) -> list[int]:
    """Breaks that can pay: reached by what is needed, or cheaper than buying just that."""
    useful: list[int] = []
    best = needed * item.price
    for one in item.breaks:
        if one.at_least <= needed:
            best = min(best, needed * one.price)
            useful.append(one.at_least)
        elif one.at_least * one.price <= best or _offered(draft, item) >= one.at_least:
            useful.append(one.at_least)
    return useful


def _offered(draft: Draft, item: Item) -> int:
    """Pieces that an offer could make worth buying."""
    conditions = [c for o in draft.instance.book.book.offers for c in o.when]
    return max((c.at_least for c in conditions if item.id in c.items), default=0)


def _tiers(draft: Draft, item: AnyItem, most: int, useful: list[int]) -> Terms:
    """Packs bought, by price tier; their cost is entered."""
    program = draft.program
    starts = [
        (0, item.price),
        *((b.at_least, b.price) for b in item.breaks if b.at_least in useful),
    ]
    if len(starts) == 1:
        var = program.var(f"buy/{item.id}", most, cost=item.price)
        draft.bought[item.id] = [(var, 1)]
        return draft.bought[item.id]
    terms: Terms = []
    flags: Terms = []
    for number, (start, price) in enumerate(starts):
        end = starts[number + 1][0] - 1 if number + 1 < len(starts) else most
        end = min(end, most)
        if end < start or end <= 0:
            continue
        var = program.var(f"buy/{item.id}.{start}", end, cost=price)
        flag = program.var(f"buy/{item.id}.{start}.tier", 1)
        program.row(f"tier/{item.id}.{start}.end", ["fact/price"], [(var, 1), (flag, -end)], hi=0)
        if start:
            program.row(
                f"tier/{item.id}.{start}.start", ["fact/price"], [(var, 1), (flag, -start)], lo=0
            )
        terms.append((var, 1))
        flags.append((flag, 1))
    program.row(f"tier/{item.id}", ["fact/price"], flags, hi=1)
    draft.bought[item.id] = terms
    return terms


def _offer(draft: Draft, offer: Offer) -> Terms:
    """Add an offer; the terms that add up to what it takes off."""
    program = draft.program
    tags = [f"offer/{offer.id}"]
    counts = [[t for i in c.items for t in draft.bought.get(i, [])] for c in offer.when]
    if not all(counts):
        return []
    taken: Terms = []
    active = program.var(f"offer/{offer.id}", 1)
    draft.offers.append((offer.id, active))
    for number, (condition, terms) in enumerate(zip(offer.when, counts, strict=True)):
        program.row(
            f"offer/{offer.id}.{number}", tags, [*terms, (active, -condition.at_least)], lo=0
        )
    if offer.off is not None:
        return [(active, offer.off)]
    assert offer.percent is not None
    reduced: Terms = []
    for item_id in offer.on:
        bought = draft.bought.get(item_id, [])
        if not bought:
            continue
        most = draft.largest(bought)
        each = pieces_reduction(draft.instance.book.items[item_id].price, offer.percent)
        var = program.var(f"offer/{offer.id}/{item_id}", min(most, offer.most or most))
        taken.append((var, each))
        program.row(f"offer/{offer.id}/{item_id}.bought", tags, [*bought, (var, -1)], lo=0)
        program.row(
            f"offer/{offer.id}/{item_id}.active",
            tags,
            [(active, program.upper[var]), (var, -1)],
            lo=0,
        )
        reduced.append((var, 1))
    if offer.most is not None and reduced:
        program.row(f"offer/{offer.id}.most", tags, reduced, hi=offer.most)
    return taken


def _take_off(draft: Draft, goods: Terms, reduced: Terms) -> None:
    """Reductions come off the goods, but never more than the goods cost."""
    program = draft.program
    most = draft.largest(reduced)
    if not most:
        return
    var = program.var("offers", most, cost=-1)
    program.row("offers/sum", ["fact/price"], [*reduced, (var, -1)], lo=0)
    program.row("offers/goods", ["fact/price"], [*goods, (var, -1)], lo=0)
