"""Section 5 of the rules: the bill, offers, labour, tax, budget, and what policy requires.

All amounts are whole hundredths of the currency unit; nothing passes through a binary float.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from optimizer.audit.case import Case
from optimizer.audit.finding import Fault, Rule, counted, figure
from optimizer.audit.parts import stated_parts, used
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.units import money_text

_AMOUNT = re.compile(r"(-?)([0-9]{1,15})\.([0-9]{2})")


def amount(text: str) -> int | None:
    """Hundredths of an amount such as "1843.20"; None if it is not written like that."""
    match = _AMOUNT.fullmatch(text)
    if match is None:
        return None
    sign, whole, part = match.groups()
    return (-1 if sign else 1) * (int(whole) * 100 + int(part))


def unit_price(item: book.Item, quantity: int) -> int:
    """Price of each piece or pack when so many are bought. [hundredths]"""
    reached = [b for b in item.breaks if b.at_least <= quantity]
    return max(reached, key=lambda b: b.at_least).price if reached else item.price


def goods(items: Mapping[str, AnyItem], bought: Mapping[str, int]) -> int:
    """Price of all items before reductions. [hundredths]"""
    return sum(n * unit_price(items[i], n) for i, n in bought.items())


def reduction(items: Mapping[str, AnyItem], offer: Offer, bought: Mapping[str, int]) -> int | None:
    """What an offer takes off; None where a condition does not hold. [hundredths]"""
    for condition in offer.when:
        if sum(bought.get(i, 0) for i in set(condition.items)) < condition.at_least:
            return None
    if offer.off is not None:
        return offer.off
    percent = Fraction(offer.percent or 0)
    prices = sorted(
        (items[i].price for i in set(offer.on) if i in items for _ in range(bought.get(i, 0))),
        reverse=True,
    )
    return sum(math.floor(price * percent) for price in prices[: offer.most])


def goods_less_offers(
    items: Mapping[str, AnyItem], offers: Sequence[Offer], bought: Mapping[str, int]
) -> int:
    """Price of all items after reductions, never below 0. [hundredths]"""
    off = sum(reduction(items, offer, bought) or 0 for offer in offers)
    return max(0, goods(items, bought) - off)


def tax_on(net: int, share: Fraction) -> int:
    """Tax, rounded half up. [hundredths]"""
    return math.floor(net * share + Fraction(1, 2))


def pack_of(item: book.Item) -> int:
    """Pieces that come for one price."""
    return item.pack if isinstance(item, book.Packed) else 1


def bought(case: Case) -> dict[str, int]:
    """Quantity bought of each item, packs where sold in packs."""
    counted: Counter[str] = Counter()
    for line in case.design.bill:
        counted[line.item] += line.quantity
    return dict(counted)


def owned(case: Case) -> dict[str, int]:
    """Pieces of each item that are there already."""
    return {o.item: o.quantity for o in case.site.owned}


def bill_lines(case: Case) -> Iterator[Fault]:
    """5.1: one line for each item."""
    for item, times in Counter(line.item for line in case.design.bill).items():
        if times > 1:
            yield Fault(item, "mismatch", f"stands in {times} lines of the bill", times, 1)


def pieces(case: Case) -> Iterator[Fault]:
    """5.1: pieces in use are bought or taken from stock, and the bill counts them rightly."""
    doing = used(case)
    lines = {line.item: line for line in case.design.bill}
    for item in sorted(set(doing) - set(lines)):
        text = f"in use: {doing[item]}, but the bill has no line for it"
        yield Fault(item, "missing", text, 0, doing[item])
    for item, line in lines.items():
        kind = case.items[item]
        there = line.quantity * pack_of(kind) + line.from_stock
        n = line.used if isinstance(kind, book.Extra) else doing[item]
        if there < n:
            text = (
                f"in use: {figure(n)}, bought: {figure(line.quantity * pack_of(kind))}, from "
                f"stock: {figure(line.from_stock)}"
            )
            yield Fault(item, "missing", text, there, n)
        if line.used != n:
            text = f"in use: {figure(n)}, the bill says {figure(line.used)}"
            yield Fault(item, "mismatch", text, line.used, n)


def stock(case: Case) -> Iterator[Fault]:
    """5.1: no more is taken from stock than is owned."""
    there = owned(case)
    for line in case.design.bill:
        has = there.get(line.item, 0)
        if line.from_stock > has:
            text = f"taken from stock: {figure(line.from_stock)}, owned: {figure(has)}"
            yield Fault(line.item, "limit", text, line.from_stock, has)


def _differs(place: str, what: str, stated: str, exact: int) -> Iterator[Fault]:
    if amount(stated) != exact:
        text = f"{what} {money_text(exact)}, the design says {stated}"
        said = amount(stated)
        yield Fault(
            place, "mismatch", text,
            None if said is None else Fraction(said, 100), Fraction(exact, 100),
        )  # fmt: skip


def prices(case: Case) -> Iterator[Fault]:
    """5.2: the highest break reached holds for all pieces of a line."""
    for line in case.design.bill:
        price = unit_price(case.items[line.item], line.quantity)
        if line.quantity:
            yield from _differs(line.item, "its unit price is", line.unit_price, price)
        yield from _differs(line.item, "its line total is", line.line_total, price * line.quantity)


def offers(case: Case) -> Iterator[Fault]:
    """5.3: each offer applies once, exactly when its conditions hold, with its own amount.

    Where all reductions together exceed the goods, the design may state them in full or cut
    down to what the goods cost.
    """
    basket = bought(case)
    due = {
        offer.id: off for offer in case.offers
        if (off := reduction(case.items, offer, basket)) is not None
    }  # fmt: skip
    stated: dict[str, int | None] = {}
    for line in case.design.reductions:
        if line.offer in stated:
            yield Fault(line.offer, "mismatch", "is applied more than once")
        if line.offer not in due:
            yield Fault(line.offer, "mismatch", f"does not apply, yet takes off {line.amount}")
        stated[line.offer] = amount(line.amount)
    capped = sum(due.values()) > goods(case.items, basket)
    for offer, exact in due.items():
        if exact and offer not in stated:
            text = f"applies and takes off {money_text(exact)}, the design leaves it out"
            yield Fault(offer, "missing", text, 0, Fraction(exact, 100))
        said = stated.get(offer)
        if offer in stated and said != exact and not (capped and said is not None and said < exact):
            words = "no amount" if said is None else money_text(said)
            text = f"takes off {money_text(exact)}, the design says {words}"
            yield Fault(
                offer,
                "mismatch",
                text,
                None if said is None else Fraction(said, 100),
                Fraction(exact, 100),
            )


def labour_cost(case: Case) -> int:
    """Connectors and pigtails fitted, new cable and leads laid, each rounded up. [hundredths]"""
    labour = case.site.policy.labour
    total = 0
    fitted = [(item.minutes, n) for item, _, n in stated_parts(case, book.Connector)]
    fitted += [(item.minutes, n) for item, _, n in stated_parts(case, book.Pigtail)]
    for minutes, n in fitted:
        total += n * math.ceil(labour.rate * Fraction(minutes) / 60)
    for run in case.runs.values():
        if run.new:
            laying = Fraction(labour.pulling) * Fraction(run.owner.run)
            total += math.ceil(labour.rate * laying / 60)
    return total


def labour(case: Case) -> Iterator[Fault]:
    """5.4: labour."""
    yield from _differs("labour", "comes to", case.design.labour, labour_cost(case))


def totals(case: Case) -> Iterator[Fault]:
    """5.5: net = items - reductions + labour; tax rounded half up; total = net + tax."""
    net = goods_less_offers(case.items, case.offers, bought(case)) + labour_cost(case)
    tax = tax_on(net, Fraction(case.site.money.tax))
    yield from _differs("net", "comes to", case.design.net, net)
    yield from _differs("tax", "comes to", case.design.tax, tax)
    yield from _differs("total", "comes to", case.design.total, net + tax)
    if case.design.currency != case.site.money.currency:
        text = f"the site is in {case.site.money.currency}, the design in {case.design.currency}"
        yield Fault("currency", "mismatch", text)


def budget(case: Case) -> Iterator[Fault]:
    """5.5: total, or net where the budget leaves tax out, stays within the budget."""
    net = goods_less_offers(case.items, case.offers, bought(case)) + labour_cost(case)
    terms = case.site.money
    cost = net + tax_on(net, Fraction(terms.tax)) if terms.budget_includes_tax else net
    if terms.budget is not None and cost > terms.budget:
        word = "total" if terms.budget_includes_tax else "net"
        text = f"{word} {money_text(cost)}, the budget is {money_text(terms.budget)}"
        yield Fault("budget", "limit", text, Fraction(cost, 100), Fraction(terms.budget, 100))


def required(case: Case) -> Iterator[Fault]:
    """5.6: required and pinned items do a job; an extra is simply in the kit."""
    doing = used(case)
    for line in case.design.bill:
        if isinstance(case.items[line.item], book.Extra):
            doing[line.item] = line.quantity + line.from_stock
    wanted = [("required", r.item, r.quantity) for r in case.site.policy.require]
    wanted += [("pinned", o.item, o.quantity) for o in case.site.owned if o.pinned]
    for word, item, least in wanted:
        if doing[item] < least:
            text = f"{word}: {figure(least)}, in use: {figure(doing[item])}"
            yield Fault(item, "missing", text, doing[item], least)


def forbidden(case: Case) -> Iterator[Fault]:
    """1.7: no item that the policy forbids is bought or used."""
    there = {*used(case), *(line.item for line in case.design.bill)}
    for item in case.site.policy.forbid:
        if item in there:
            yield Fault(item, "limit", "is in the kit, the policy forbids it")


def camera_models(case: Case) -> Iterator[Fault]:
    """5.7: no more different camera items than the policy allows."""
    models = sorted({c.item.id for c in case.cameras})
    most = case.site.policy.most_camera_models
    if most is not None and len(models) > most:
        text = (
            f"{counted(len(models), 'camera item')} ({', '.join(models)}), the policy allows {most}"
        )
        yield Fault("cameras", "limit", text, len(models), most)


RULES = (
    Rule("1.7 forbidden items", forbidden),
    Rule("5.1 bill lines", bill_lines),
    Rule("5.1 pieces", pieces),
    Rule("5.1 stock", stock),
    Rule("5.2 prices", prices),
    Rule("5.3 offers", offers),
    Rule("5.4 labour", labour),
    Rule("5.5 totals", totals),
    Rule("5.5 budget", budget),
    Rule("5.6 required items", required),
    Rule("5.7 camera models", camera_models),
)
