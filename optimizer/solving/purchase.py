"""The bill: what is bought at what price, recomputed apart from the program's objective."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from optimizer.design import BillLine, Reduction
from optimizer.instance.amounts import labour_price, pieces_reduction
from optimizer.model.draft import Draft
from optimizer.pricebook.schema import AnyItem, Connector, Offer, Packed, Pigtail
from optimizer.units import money_text


def unit_price(item: AnyItem, bought: int) -> int:
    """Price of each piece when so many are bought, in hundredths."""
    price = item.price
    for one in item.breaks:
        if bought >= one.at_least:
            price = one.price
    return price


def purchases(draft: Draft, values: Sequence[int]) -> dict[str, int]:
    """Packs bought of each item."""
    return {
        item: n
        for item, terms in draft.bought.items()
        if (n := sum(k * values[c] for c, k in terms)) > 0
    }


def bill_lines(
    items: Mapping[str, AnyItem],
    bought: Mapping[str, int],
    used: Mapping[str, int],
    because: Mapping[str, str],
) -> tuple[BillLine, ...]:
    """Lines in catalogue order, one for each item that is bought or used."""
    lines = []
    for item_id, item in items.items():
        count, pieces = bought.get(item_id, 0), used.get(item_id, 0)
        if not count and not pieces:
            continue
        pack = item.pack if isinstance(item, Packed) else 1
        price = unit_price(item, count)
        lines.append(
            BillLine(
                item=item_id,
                kind=item.kind,
                quantity=count,
                unit_price=money_text(price),
                line_total=money_text(price * count),
                used=pieces,
                from_stock=max(0, pieces - pack * count),
                because=because.get(item_id, ""),
            )
        )
    return tuple(lines)


def reductions(
    items: Mapping[str, AnyItem], offers: Sequence[Offer], bought: Mapping[str, int]
) -> tuple[tuple[Offer, int], ...]:
    """Offers whose conditions hold, with what they take off in hundredths."""
    out = []
    for offer in offers:
        if all(sum(bought.get(i, 0) for i in c.items) >= c.at_least for c in offer.when):
            out.append((offer, _taken_off(items, offer, bought)))
    return tuple(out)


def _taken_off(items: Mapping[str, AnyItem], offer: Offer, bought: Mapping[str, int]) -> int:
    if offer.off is not None:
        return offer.off
    assert offer.percent is not None
    each = [
        pieces_reduction(items[i].price, offer.percent)
        for i in offer.on
        for _ in range(bought.get(i, 0))
    ]
    each.sort(reverse=True)
    return sum(each[: offer.most])


def reduction_lines(found: Sequence[tuple[Offer, int]]) -> tuple[Reduction, ...]:
    """Offers as they stand on the bill."""
    return tuple(
        Reduction(offer=offer.id, amount=money_text(amount), because=offer.name)
        for offer, amount in found
    )


def labour_of_parts(items: Mapping[str, AnyItem], rate: int, pieces: Mapping[str, int]) -> int:
    """Price of fitting connectors and pigtails, in hundredths."""
    total = 0
    for item_id, count in pieces.items():
        item = items[item_id]
        if isinstance(item, Connector | Pigtail):
            total += count * labour_price(rate, item.minutes)
    return total


def pulling(rate: int, pace: Decimal, run: Decimal) -> int:
    """Price of laying one cable along a run, in hundredths."""
    return labour_price(rate, Fraction(pace) * Fraction(run))


def tax_on(net: int, rate: Decimal) -> int:
    """Tax on a net amount, in hundredths, rounded half up."""
    return int((Decimal(net) * rate).quantize(Decimal(1), rounding=ROUND_HALF_UP))
