"""What a design buys beyond its use, and why: information, never a breach of a rule."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil

from optimizer import design as plain
from optimizer.audit.case import Case
from optimizer.audit.finding import Fault, Finding, figure
from optimizer.audit.money import bought, goods_less_offers, pack_of
from optimizer.audit.parts import used
from optimizer.audit.structure import resolve
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.site.schema import Site
from optimizer.units import money_text

RULE = "5.1 surplus"


def surplus(
    site: Site, items: Mapping[str, AnyItem], offers: Sequence[Offer], design: plain.Design
) -> list[Finding]:
    """Items of which more is bought than a design uses, with no price reason for it.

    A line is surplus if buying only what its used pieces need (whole packs, after the stock) costs
    less, all else equal; a fuller pack, a price break or an offer that pays for the extra pieces
    is no surplus.

    Parameters
    ----------
    site, items, offers, design
        As for :func:`optimizer.audit.audit_design`.

    Returns
    -------
    list of Finding
        Of kind surplus, amount and limit in packs or pieces bought. Empty for a design whose
        references cannot be followed.
    """
    case, _ = resolve(site, items, offers, design)
    if case is None:
        return []
    return [fault.under(RULE) for line in design.bill if (fault := _line(case, line)) is not None]


def _line(case: Case, line: plain.BillLine) -> Fault | None:
    item = case.items[line.item]
    needed = used(case)[line.item]
    if isinstance(item, book.Extra):
        wanted = [r.quantity for r in case.site.policy.require if r.item == line.item]
        needed = max(wanted, default=0)
    stock = sum(o.quantity for o in case.site.owned if o.item == line.item)
    enough = ceil(max(0, needed - stock) / pack_of(item))
    if line.quantity <= enough:
        return None
    basket = bought(case)
    costs = goods_less_offers(case.items, case.offers, basket)
    fewer = goods_less_offers(case.items, case.offers, {**basket, line.item: enough})
    if fewer >= costs:
        return None
    word = "packs" if pack_of(item) > 1 else "pieces"
    text = (
        f"{figure(line.quantity)} {word} are bought where {figure(enough)} do, which costs "
        f"{money_text(costs - fewer)} more"
    )
    return Fault(line.item, "surplus", text, line.quantity, enough)
