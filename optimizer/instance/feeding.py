"""Low voltage: which supplies can feed a load over some copper, and at what current."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from optimizer.engineering.copper import loop_resistance, voltage_at_load
from optimizer.instance.amounts import CM_PER_M, down, up_float
from optimizer.instance.options import Conductor, SupplyGroup
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Supply
from optimizer.site.schema import Site


@dataclass(frozen=True)
class SupplyFit:
    """A supply item under the stated load share. [mA]"""

    item: str
    group: SupplyGroup
    adapter: bool
    outputs: int
    output_limit: int
    total_limit: int
    mains_lead: str | None


@dataclass(frozen=True)
class Load:
    """What hangs at the end of a feed.

    Attributes
    ----------
    feed : str
    watts : float
        At the load, all parts together.
    low, high : Decimal
        Voltage that every part of the load accepts. [V]
    """

    feed: str
    watts: float
    low: Decimal
    high: Decimal


@dataclass(frozen=True)
class Fed:
    """A load on a supply group: voltage at the load and current, rounded up."""

    group: SupplyGroup
    volts: float
    milliamps: int


def supply_fits(site: Site, book: LoadedBook) -> list[SupplyFit]:
    """All supplies that may be used, with their limits under the load share."""
    share = 1 - Fraction(site.spare.supply)
    out = []
    for supply in book.by_kind(Supply):
        if supply.id in site.policy.forbid:
            continue
        total = down(share * Fraction(supply.total_amps) * 1000)
        each = down(share * Fraction(supply.output_amps) * 1000)
        out.append(
            SupplyFit(
                item=supply.id,
                group=SupplyGroup(supply.feed, down(supply.volts * 1000), supply.ends),
                adapter=supply.form == "adapter",
                outputs=supply.outputs,
                output_limit=min(each, total),
                total_limit=total,
                mains_lead=supply.mains_lead,
            )
        )
    return out


class Feeder:
    """Answers which groups can feed a load; remembers what it computed."""

    def __init__(self, site: Site, supplies: Sequence[SupplyFit]) -> None:
        self.celsius = float(site.assumptions.conductor_temperature)
        self.room: dict[SupplyGroup, int] = {}
        self.local: dict[SupplyGroup, int] = {}
        for fit in supplies:
            self.room[fit.group] = max(self.room.get(fit.group, 0), fit.output_limit)
            if fit.adapter:
                self.local[fit.group] = max(self.local.get(fit.group, 0), fit.output_limit)

    def over(self, load: Load, conductor: Conductor) -> list[Fed]:
        """Room supplies that can feed the load over the conductors."""
        ohm = _loop(conductor, self.celsius)
        return [fed for g, most in self.room.items() if (fed := _feed(load, g, ohm, most))]

    def at_the_spot(self, load: Load) -> list[Fed]:
        """Adapters beside the load."""
        return [fed for g, most in self.local.items() if (fed := _feed(load, g, 0.0, most))]


@lru_cache(maxsize=65536)
def _loop(conductor: Conductor, celsius: float) -> float:
    length = conductor.length_cm / CM_PER_M
    return loop_resistance(conductor.gauge, length, celsius) / conductor.pairs


@lru_cache(maxsize=262144)
def _feed(load: Load, group: SupplyGroup, ohm: float, most: int) -> Fed | None:
    supply = Decimal(group.millivolts) / 1000
    if group.feed != load.feed or supply > load.high:
        return None
    volts = voltage_at_load(float(supply), load.watts, ohm)
    if volts is None or volts < float(load.low) * (1 - 1e-12):
        return None
    milliamps = up_float(load.watts / volts * 1000)
    return Fed(group, volts, milliamps) if milliamps <= most else None
