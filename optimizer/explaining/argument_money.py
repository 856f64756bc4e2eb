"""Why a budget is too low, as far as a sum of the cheapest parts can show it."""

from __future__ import annotations

from fractions import Fraction
from math import floor

from optimizer.explaining.usable import least_stored, usable_recorders
from optimizer.instance import Instance
from optimizer.pricebook.schema import AnyItem
from optimizer.solving.proof import ArgumentStep
from optimizer.solving.purchase import tax_on
from optimizer.units import money_text


def lowest_price(instance: Instance, item: AnyItem) -> Fraction:
    """The least that a piece can cost after breaks and offers; nothing if some are there already.

    Sums that come off the whole bill are not in it. [hundredth]
    """
    if any(o.item == item.id for o in instance.site.owned):
        return Fraction(0)
    least = min([item.price, *(b.price for b in item.breaks)])
    off = sum(
        (
            item.price * Fraction(o.percent)
            for o in instance.book.book.offers
            if o.percent is not None and item.id in o.on
        ),
        Fraction(0),
    )
    return max(Fraction(least) - off, Fraction(0))


def money_steps(instance: Instance) -> tuple[list[ArgumentStep], bool]:
    """Sums of the cheapest parts against the budget, and whether they are beyond it.

    Cables, feeds and small parts are left out, so a kit costs more than that.
    """
    terms = instance.site.money
    if terms.budget is None:
        return [], False
    parts: list[Fraction] = []
    steps: list[ArgumentStep] = []
    items = instance.book.items
    for table in instance.zones:
        least, number, camera = min(
            (c.view.count * lowest_price(instance, c.view.camera), c.view.count, c.view.camera.id)
            for c in table.candidates
        )
        parts.append(least)
        words = f"{number} x {camera}" if number > 1 else camera
        steps.append(_step(f"{table.name}: cheapest camera {words}, {_cents(least)}.", camera))
    fits = usable_recorders(instance)
    if fits:
        least, unit = min((lowest_price(instance, items[f.item]), f.item) for f in fits)
        parts.append(least)
        steps.append(_step(f"A recorder: cheapest {unit}, {_cents(least)}.", unit))
        stored = [least_stored(instance, table) for table in instance.zones]
        total = sum(one.gigabytes for one in stored if one is not None)
        rates = [
            (lowest_price(instance, items[d.item]) / d.gigabytes, d.item, d.gigabytes)
            for f in fits
            for d in f.drives
        ]
        rate, drive, size = min(rates)
        least = rate * total
        parts.append(least)
        steps.append(
            _step(
                f"At least {total:,} GB to keep: the cheapest GB is that of {drive}, "
                f"{total:,} / {size:,} x {_cents(rate * size)} = {_cents(least)}.",
                drive,
            )
        )
    off = sum(o.off for o in instance.book.book.offers if o.off is not None)
    net = max(floor(sum(parts, Fraction(0))) - off, 0)
    total = net + tax_on(net, terms.tax) if terms.budget_includes_tax else net
    words = f"Together at least {money_text(net)}"
    if off:
        words += f" after all offers, {money_text(off)} together"
    if terms.budget_includes_tax and terms.tax:
        words += f", with tax {money_text(total)}"
    closed = total > terms.budget
    words += f"; the budget is {money_text(terms.budget)}."
    if not closed:
        words += (
            " These parts alone do not exceed it: cables, feeds and whole pieces do, and that is "
            "left to the solvers."
        )
    origin = "arithmetic"
    steps.append(ArgumentStep(text=words, requirements=("budget",), origin=origin))
    return steps, closed


def _step(text: str, item: str) -> ArgumentStep:
    return ArgumentStep(text=text, origin=f"book: {item}")


def _cents(amount: Fraction) -> str:
    return money_text(floor(amount))


__all__ = ["lowest_price", "money_steps"]
