"""The most that wiring one more camera can cost: everything bought for it alone.

An upper bound, used to compare cameras that cannot take each other's wiring: whatever the rest of
the kit looks like, a camera can be wired with pieces of its own, at list price.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from optimizer.instance.amounts import labour_price
from optimizer.instance.cables import Construction
from optimizer.instance.feeding import SupplyFit
from optimizer.instance.options import (
    Cut,
    Injected,
    LocalAdapter,
    Option,
    Output,
    Part,
    Path,
    Piece,
    PlainPort,
    PoweredPort,
    Use,
)
from optimizer.instance.recorders import port_power
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import (
    AnyItem,
    Connector,
    Coupler,
    Injector,
    Lead,
    MainsLead,
    Pigtail,
    Switch,
    Tool,
)
from optimizer.site.schema import Site

NEVER = 10**12
_LINK_M = 1


class Alone:
    """Prices of uses that share nothing, in hundredths; NEVER or more where there is none."""

    def __init__(
        self,
        site: Site,
        book: LoadedBook,
        cables: dict[str, Construction],
        supplies: Sequence[SupplyFit],
    ) -> None:
        self.site, self.book, self.cables, self.supplies = site, book, cables, supplies
        self.rate = site.policy.labour.rate
        self.known: dict[Use, int] = {}

    def cheapest(self, ways: Iterable[tuple[Option, Path | None]], bare: Iterable[Path]) -> int:
        """Cheapest of some feeds; one that brings no path takes the cheapest of the bare paths."""
        path = min((self._option(p.option) for p in bare), default=NEVER)
        return min(
            (
                self._option(feed) + (path if own is None else self._option(own.option))
                for feed, own in ways
            ),
            default=NEVER,
        )

    def _option(self, option: Option) -> int:
        total = option.labour
        for use, amount in option.uses:
            if use not in self.known:
                self.known[use] = self._use(use)
            total += amount * self.known[use]
        return total

    def _use(self, use: Use) -> int:
        if isinstance(use, Cut):
            boxes = self.cables[use.construction].boxes
            return min((self._one(i) for i, cm in boxes if cm >= use.length_cm), default=NEVER)
        if isinstance(use, Output):
            return self._supply(
                f for f in self.supplies if f.group == use.group and f.output_limit >= use.milliamps
            )
        if isinstance(use, LocalAdapter):
            return self._supply(
                f
                for f in self.supplies
                if f.adapter
                and (f.group.feed, f.group.millivolts) == (use.feed, use.millivolts)
                and f.output_limit >= use.milliamps
            )
        if isinstance(use, Piece):
            return self._one(use.item)
        if isinstance(use, Part):
            return self._part(use.role)
        return self._port(use)

    def _port(self, use: Use) -> int:
        if isinstance(use, PlainPort):
            return self._switch(0)
        if isinstance(use, PoweredPort):
            return self._switch(use.load)
        if isinstance(use, Injected):
            return min(
                (
                    self._price(i) + self._mains(i.mains_lead)
                    for i in self.book.by_kind(Injector)
                    if port_power(i.poe_class) >= use.load
                ),
                default=NEVER,
            )
        return NEVER

    def _one(self, item: str) -> int:
        return self._price(self.book.items[item])

    def _price(self, item: AnyItem) -> int:
        """Most that one more of an item can cost: its list price, if no break is dearer."""
        prices = [item.price, *(b.price for b in item.breaks)]
        if item.id in self.site.policy.forbid or prices != sorted(prices, reverse=True):
            return NEVER
        return item.price

    def _supply(self, fits: Iterable[SupplyFit]) -> int:
        return min((self._one(f.item) + self._mains(f.mains_lead) for f in fits), default=NEVER)

    def _switch(self, load: int) -> int:
        costs = [
            self._price(s) + self._mains(s.mains_lead)
            for s in self.book.by_kind(Switch)
            if s.ports > 0
            and (
                load == 0
                or (
                    s.poe is not None
                    and s.poe.ports > 0
                    and port_power(s.poe.poe_class) >= load
                    and s.poe.budget * 100 >= load
                )
            )
        ]
        links = [
            self._price(lead)
            for lead in self.book.by_kind(Lead)
            if lead.carries == ("data",) and lead.length >= _LINK_M
        ]
        return min(costs, default=NEVER) + min(links, default=NEVER)

    def _mains(self, kind: str | None) -> int:
        if kind is None:
            return 0
        leads = [self._price(m) for m in self.book.by_kind(MainsLead) if m.type == kind]
        return min(leads, default=NEVER)

    def _part(self, role: str) -> int:
        kind, _, what = role.partition("/")
        if kind == "pigtail":
            return min(
                (self._fitted(p) for p in self.book.by_kind(Pigtail) if p.gender == what),
                default=NEVER,
            )
        if kind == "coupler":
            return min(
                (self._price(c) for c in self.book.by_kind(Coupler) if c.type == what),
                default=NEVER,
            )
        return min(
            (
                self._fitted(c) + self._tool(c.tool)
                for c in self.book.by_kind(Connector)
                if c.type == kind and what in c.fits and self._allowed(c)
            ),
            default=NEVER,
        )

    def _allowed(self, connector: Connector) -> bool:
        methods = self.site.policy.connectors.get(connector.type)
        return methods is None or connector.method in methods

    def _fitted(self, item: Connector | Pigtail) -> int:
        return self._price(item) + labour_price(self.rate, item.minutes)

    def _tool(self, kind: str | None) -> int:
        if kind is None:
            return 0
        tools = [self._price(t) for t in self.book.by_kind(Tool) if kind in t.types]
        return min(tools, default=NEVER)
