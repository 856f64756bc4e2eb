"""The optimum by a second road: one literal integer program a case, solved by HiGHS.

Written from ``optimizer/RULES.md`` and the schemas alone. Every camera is a named slot of its
zone (``gate`` slot 1, 2, ...). Every recorder, supply, switch and box is named after the first
slot or point that it serves, so a unit in use always serves somebody, and no two namings of one
design exist. Nothing is grouped, dominated or relaxed: it is meant to be read beside the rules.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from tests.optimality import readings
from tests.optimality.linear import Program, Terms
from tests.optimality.second_money import settle
from tests.optimality.second_recording import record
from tests.optimality.second_sound import hear
from tests.optimality.second_views import Slot, see
from tests.optimality.second_wiring import Shared, wire


@dataclass
class Kit:
    """The program of one case and what its parts share."""

    site: Site
    items: dict[str, Any]
    program: Program = field(default_factory=Program)
    slots: list[Slot] = field(default_factory=list)
    choice: dict[str, dict[tuple[str, str], Terms]] = field(default_factory=dict)
    heard: dict[str, dict[tuple[str, str], tuple[Terms, Terms]]] = field(default_factory=dict)
    use: dict[str, Terms] = field(default_factory=dict)
    labour: Terms = field(default_factory=list)
    cuts: dict[str, dict[str, Terms]] = field(default_factory=dict)
    loads: dict[str, dict[str, dict[int, Terms]]] = field(default_factory=dict)
    old: dict[tuple[str, int], Terms] = field(default_factory=dict)
    ends: dict[tuple[str, str], Terms] = field(default_factory=dict)
    tails: dict[str, Terms] = field(default_factory=dict)
    joints: dict[str, Terms] = field(default_factory=dict)
    plugs: dict[str, Terms] = field(default_factory=dict)
    splits: Terms = field(default_factory=list)
    racks: Terms = field(default_factory=list)
    shared: dict[str, list[tuple[str, Shared, Terms]]] = field(default_factory=dict)
    sounding: dict[str, Terms] = field(default_factory=dict)
    plain: dict[str, Terms] = field(default_factory=dict)
    powered: dict[str, dict[str, dict[int, Terms]]] = field(default_factory=dict)
    full: dict[str, Terms] = field(default_factory=dict)
    seen: dict[str, Terms] = field(default_factory=dict)

    def kind(self, *kinds: str) -> list[Any]:
        return [item for item in self.items.values() if item.kind in kinds]

    def uses(self, item: str, terms: Terms) -> None:
        """These pieces of an item do a job."""
        self.use.setdefault(item, []).extend(terms)

    def note(self, feature: str, terms: Terms) -> None:
        """Remember that these variables stand for a feature of a design."""
        self.seen.setdefault(feature, []).extend(terms)


@dataclass(frozen=True)
class Opinion:
    """Cheapest net in hundredths, how often each feature stands in the design, what is used."""

    net: int
    features: dict[str, int]
    used: dict[str, int]


def second_opinion(site: Site, book: Book) -> int | None:
    """Cheapest net in hundredths; None where no kit meets the site within its budget."""
    found = second_design(site, book)
    return None if found is None else found.net


def second_design(site: Site, book: Book, seconds: float = 120.0) -> Opinion | None:
    """As `second_opinion`, with what the design holds."""
    forbidden = set(site.policy.forbid)
    kit = Kit(site, {item.id: item for item in book.items if item.id not in forbidden})
    demanded = [(o.item, o.quantity) for o in site.owned if o.pinned]
    demanded += [(r.item, r.quantity) for r in site.policy.require]
    if any(item not in kit.items for item, _ in demanded):
        return None
    if not see(kit):
        return None
    record(kit)
    wire(kit)
    hear(kit)
    settle(kit, book)
    values = kit.program.solve(seconds)
    if values is None:
        return None
    net = kit.program.value(values)
    if not readings.within_budget(site, net):
        return None

    def count(terms: Terms) -> int:
        return sum(factor * values[index] for factor, index in terms)

    features = {name: count(terms) for name, terms in sorted(kit.seen.items())}
    used = {item: count(terms) for item, terms in sorted(kit.use.items())}
    return Opinion(
        net, {k: v for k, v in features.items() if v}, {k: v for k, v in used.items() if v}
    )


__all__ = ["Kit", "Opinion", "second_design", "second_opinion"]
