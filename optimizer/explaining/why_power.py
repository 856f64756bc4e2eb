"""Why a supply, a switch or an injector: what one cheaper unit in its place could not feed."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.design import Camera, PowerUnit
from optimizer.explaining.why_kit import Kit, Load, Verdict
from optimizer.instance.amounts import up_float
from optimizer.instance.feeding import SupplyFit
from optimizer.instance.recorders import port_power
from optimizer.pricebook import schema as book
from optimizer.solving.wording import count


def supply_verdicts(kit: Kit, item: book.Supply) -> Iterator[Verdict]:
    """Cheaper supplies in the place of each unit of the item, with that unit's loads."""
    fits = {fit.item: fit for fit in kit.instance.supplies}
    for unit in kit.design.supplies:
        if unit.item != item.id:
            continue
        loads = kit.loads(unit.id)
        place = unit.id if unit.place == "room" else unit.place
        for other in kit.cheaper(item):
            assert isinstance(other, book.Supply)
            banned = kit.forbidden(other, place)
            if banned is not None:
                yield banned
                continue
            limit, demand = _too_weak(kit, unit, loads, other, fits[other.id])
            yield Verdict(other.id, other.price, place, limit, demand)


def _too_weak(
    kit: Kit, unit: PowerUnit, loads: list[Load], other: book.Supply, fit: SupplyFit
) -> tuple[str, str]:
    if unit.place != "room" and not fit.adapter:
        return "it is no adapter for the camera point", ""
    if len(loads) > other.outputs:
        return f"it has {count(other.outputs, 'output')} for {len(loads)} loads", ""
    volts = float(other.volts)
    for load in loads:
        refused = load.refused(other.feed, volts)
        if refused:
            return f"{refused} ({load.words})", ""
    currents = [up_float(load.amps(other.feed, volts) * 1000) for load in loads]
    kept = kit.site.spare.supply
    most = f" at {float(100 * (1 - kept)):g} % of its rating" if kept else ""
    demand = "spare/supply" if kept else ""
    worst = max(range(len(loads)), key=lambda i: currents[i])
    if currents[worst] > fit.output_limit:
        return (
            f"one output gives {fit.output_limit:,} mA{most}, "
            f"{loads[worst].place} draws {currents[worst]:,} mA",
            demand,
        )
    if sum(currents) > fit.total_limit:
        return (
            f"it gives {fit.total_limit:,} mA{most}, the loads draw {sum(currents):,} mA",
            demand,
        )
    return "", ""


def switch_verdicts(kit: Kit, item: book.Switch) -> Iterator[Verdict]:
    """Cheaper switches in the place of each unit of the item, with the ports in use."""
    for unit in kit.design.switches:
        if unit.item != item.id:
            continue
        fed = [c for c in kit.design.cameras if c.power.unit == unit.id]
        plain = [c for c in kit.design.cameras if c.data_port == unit.id]
        for other in kit.cheaper(item):
            assert isinstance(other, book.Switch)
            banned = kit.forbidden(other, unit.id)
            if banned is not None:
                yield banned
            else:
                limit = _too_few(kit, fed, len(plain), other)
                yield Verdict(other.id, other.price, unit.id, limit)


def _too_few(kit: Kit, fed: list[Camera], plain: int, other: book.Switch) -> str:
    if len(fed) + plain > other.ports:
        return f"it has {count(other.ports, 'port')} for {len(fed) + plain} cameras"
    if not fed:
        return ""
    if other.poe is None:
        return f"it powers no cameras, {len(fed)} are fed from here"
    if len(fed) > other.poe.ports:
        return f"it has {count(other.poe.ports, 'powered port')} for {len(fed)} cameras"
    loads = [port_power(kit.camera_item(c).poe_class or 0) for c in fed]
    give = port_power(other.poe.poe_class)
    if max(loads) > give:
        return f"a port gives {give / 100:g} W, {max(loads) / 100:g} W are needed"
    if sum(loads) > other.poe.budget * 100:
        return f"it gives {other.poe.budget:g} W in all, {sum(loads) / 100:g} W are needed"
    return ""


def injector_verdicts(kit: Kit, item: book.Injector) -> Iterator[Verdict]:
    """Cheaper injectors in the place of each of the item."""
    for unit in kit.design.injectors:
        if unit.item != item.id:
            continue
        fed = next(c for c in kit.design.cameras if c.power.unit == unit.id)
        need = port_power(kit.camera_item(fed).poe_class or 0)
        place = f"{fed.zone}/{fed.number}"
        for other in kit.cheaper(item):
            assert isinstance(other, book.Injector)
            banned = kit.forbidden(other, place)
            give = port_power(other.poe_class)
            if banned is not None:
                yield banned
            elif need > give:
                limit = f"it gives {give / 100:g} W, {need / 100:g} W are needed"
                yield Verdict(other.id, other.price, place, limit)
            else:
                yield Verdict(other.id, other.price, place, "")
