"""The audit of a bill alone, such as one typed by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from optimizer.audit import bill_laying, bill_pictures, bill_power, bill_sound
from optimizer.audit.finding import Fault, Finding, figure
from optimizer.audit.kit import BillRule, Kit
from optimizer.audit.money import goods_less_offers, tax_on
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.site.schema import Site
from optimizer.units import money_text


def forbidden(kit: Kit) -> Iterator[Fault]:
    """1.7: no item that the policy forbids is bought (necessary)."""
    for item in kit.site.policy.forbid:
        n = kit.bought.get(item, 0)
        if n:
            yield Fault(item, "limit", f"bought: {n}, but the policy forbids it", n, 0)


def required(kit: Kit) -> Iterator[Fault]:
    """5.6: required items are there (necessary; whether they do a job needs the wiring)."""
    for line in kit.site.policy.require:
        there = kit.pieces.get(line.item, 0)
        if there < line.quantity:
            text = f"required: {figure(line.quantity)}, the kit holds {figure(there)}"
            yield Fault(line.item, "missing", text, there, line.quantity)


def idle_extras(kit: Kit) -> Iterator[Fault]:
    """5.6: extras that nobody requires."""
    wanted = {r.item: r.quantity for r in kit.site.policy.require}
    for item, _ in kit.of(book.Extra):
        n, least = kit.bought.get(item.id, 0), wanted.get(item.id, 0)
        if n > least:
            text = f"bought: {n}, the site requires {least}"
            yield Fault(item.id, "surplus", text, n, least)


def budget(kit: Kit) -> Iterator[Fault]:
    """5.5: the items after reductions, without any labour, stay within the budget (necessary)."""
    terms = kit.site.money
    net = goods_less_offers(kit.items, kit.offers, kit.bought)
    cost = net + tax_on(net, Fraction(terms.tax)) if terms.budget_includes_tax else net
    if terms.budget is not None and cost > terms.budget:
        text = f"the items cost {money_text(cost)}, the budget is {money_text(terms.budget)}"
        yield Fault("budget", "limit", text, Fraction(cost, 100), Fraction(terms.budget, 100))


BILL_RULES: tuple[BillRule, ...] = (
    BillRule("1.7 forbidden items", forbidden),
    *bill_pictures.RULES,
    *bill_laying.RULES,
    *bill_power.RULES,
    *bill_sound.RULES,
    BillRule("5.5 budget", budget),
    BillRule("5.6 required items", required),
    BillRule("5.6 idle extras", idle_extras),
)
"""Every check of a bill alone, in the order in which findings are listed."""


def audit_bill(
    site: Site,
    items: Mapping[str, AnyItem],
    offers: Sequence[Offer],
    bill: Sequence[tuple[str, int]],
) -> list[Finding]:
    """Check what can be checked of a bill without knowing how its pieces are used.

    Findings of kind "missing" and "limit" are necessary conditions: no wiring could save a bill
    that has one. A bill without findings is not thereby proven complete. Findings of kind
    "surplus" name bought pieces that can do no job on this site. What the site owns counts as
    part of the kit.

    Parameters
    ----------
    site : Site
        What is asked.
    items : mapping
        Item by id.
    offers : sequence of Offer
        All offers of the price book; they can only lower the price held against the budget.
    bill : sequence of (str, int)
        Item and quantity bought, packs where sold in packs.

    Returns
    -------
    list of Finding
        Lines that cannot be used (unknown, repeated, not positive) first.
    """
    lines = [fault.under("5.1 bill lines") for fault in _lines(items, bill)]
    bought: Counter[str] = Counter()
    for item, quantity in bill:
        if item in items and quantity > 0:
            bought[item] += quantity
    kit = Kit(site, items, tuple(offers), dict(bought))
    return lines + [f.under(rule.name) for rule in BILL_RULES for f in rule.check(kit)]


def _lines(items: Mapping[str, AnyItem], bill: Sequence[tuple[str, int]]) -> Iterator[Fault]:
    for item, times in Counter(item for item, _ in bill).items():
        if item not in items:
            yield Fault(item, "mismatch", "is not in the price book")
        if times > 1:
            yield Fault(item, "mismatch", f"stands in {times} lines of the bill", times, 1)
    for item, quantity in bill:
        if quantity < 1:
            yield Fault(item, "mismatch", f"quantity {quantity} is not a number of pieces")
