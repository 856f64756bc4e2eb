"""The register of rules, one function each, and the audit that runs them all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from optimizer import design as plain
from optimizer.audit import (
    feeding,
    laying,
    money,
    parts,
    plan,
    ports,
    recorders,
    sound,
    wiring,
    zones,
)
from optimizer.audit.finding import Finding, Rule
from optimizer.audit.structure import resolve
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.site.schema import Site

RULES: tuple[Rule, ...] = (
    *zones.RULES,
    *recorders.RULES,
    *laying.RULES,
    *wiring.RULES,
    *feeding.RULES,
    *ports.RULES,
    *parts.RULES,
    *sound.RULES,
    *plan.RULES,
    *money.RULES,
)
"""Every rule that a design is held against, in the order in which findings are listed."""


def audit_design(
    site: Site, items: Mapping[str, AnyItem], offers: Sequence[Offer], design: plain.Design
) -> list[Finding]:
    """Recompute a design from site, price book and engineering functions alone.

    Each rule of sections 1 to 5 and 7 of ``RULES.md`` is checked by one function of :data:`RULES`.
    What the rules round is rounded as they say (integer sums); everything else is exact, or
    compared with a relative tolerance of 1e-9 where it is a floating-point quantity. Section 6
    is not the audit's business.

    Parameters
    ----------
    site : Site
        What is asked.
    items : mapping
        Item by id, of the price book the design was made from.
    offers : sequence of Offer
        All offers of that price book.
    design : Design
        What is judged.

    Returns
    -------
    list of Finding
        Empty if the design keeps every rule. A design with broken references gets those findings
        alone (rules "0 ...", "3 runs", "3 paths"), since nothing else can be judged.
    """
    case, broken = resolve(site, items, offers, design)
    if case is None:
        return broken
    return [fault.under(rule.name) for rule in RULES for fault in rule.check(case)]
