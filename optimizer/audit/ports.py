"""Section 3 of the rules: PoE, switches and injectors."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from optimizer import design as plain
from optimizer.audit.case import Case, Fitted
from optimizer.audit.feeding import WATT_DECIMALS
from optimizer.audit.figures import down, prints_as, up
from optimizer.audit.finding import Fault, Rule, counted, figure
from optimizer.engineering.poe import source_watts
from optimizer.pricebook import schema as book


def ten_mw(poe_class: int) -> int:
    """Source power of a class in the sums. [10 mW, rounded up]"""
    return up(Fraction(repr(source_watts(poe_class))) * 100)


def budget_ten_mw(poe: book.PoePorts) -> int:
    """Power of all ports together in the sums. [10 mW, rounded down]"""
    return down(Fraction(poe.budget) * 100)


def _fed_by(case: Case, unit_id: str) -> list[Fitted]:
    return [
        c for c in case.cameras
        if c.stated.power.way == "poe" and c.stated.power.unit == unit_id
        and c.item.poe_class is not None
    ]  # fmt: skip


def _port_class(case: Case, camera: Fitted) -> int | None:
    """Highest class of the port that feeds a camera; None where there is no powered port."""
    unit_id = camera.stated.power.unit or ""
    if unit_id in case.injectors:
        return case.injectors[unit_id][1].poe_class
    source: book.Switch | book.Recorder
    if unit_id in case.switches:
        source = case.switches[unit_id][1]
    else:
        source = next(item for unit, item in case.recorders if unit.id == unit_id)
    return None if source.poe is None else source.poe.poe_class


def poe_class(case: Case) -> Iterator[Fault]:
    """The port or injector gives at least the source watts of the camera's class."""
    for camera in case.cameras:
        power, needed = camera.stated.power, camera.item.poe_class
        if power.way != "poe" or needed is None:
            continue
        given = _port_class(case, camera)
        if given is None:
            yield Fault(camera.place, "limit", f"{power.unit} has no powered ports")
            continue
        watts, asked = source_watts(given), source_watts(needed)
        if watts < asked:
            text = (
                f"class {needed} asks {figure(asked)} W, {power.unit} gives {figure(watts)} W "
                f"(class {given})"
            )
            yield Fault(camera.place, "limit", text, watts, asked)
        if power.watts is None or not prints_as(power.watts, asked, WATT_DECIMALS):
            text = f"class {needed} counts {figure(asked)} W, the design says {power.watts} W"
            yield Fault(camera.place, "mismatch", text, power.watts, asked)


def own_recorder(case: Case) -> Iterator[Fault]:
    """A recorder's powered ports feed cameras recorded on that unit alone."""
    recorders = {unit.id for unit, _ in case.recorders}
    for camera in case.cameras:
        unit = camera.stated.power.unit
        if camera.stated.power.way == "poe" and unit in recorders and unit != camera.recorder.id:
            text = f"is fed by {unit}, but recorded on {camera.recorder.id}"
            yield Fault(camera.place, "mismatch", text)


def powered_ports(case: Case) -> Iterator[Fault]:
    """Powered ports exist, feed one camera each, and stay within number and budget."""
    sources: list[tuple[str, book.PoePorts | None]] = [
        (unit.id, item.poe) for unit, item in case.recorders
    ]
    sources += [(unit.id, item.poe) for unit, item in case.switches.values()]
    for unit_id, poe in sources:
        fed = _fed_by(case, unit_id)
        if poe is None:
            continue
        if len(fed) > poe.ports:
            text = f"{counted(len(fed), 'camera')} on {counted(poe.ports, 'powered port')}"
            yield Fault(unit_id, "limit", text, len(fed), poe.ports)
        for port, times in Counter(c.stated.power.output for c in fed).items():
            if port is None or not 1 <= port <= poe.ports:
                text = f"there is no powered port {port}, only 1 to {poe.ports}"
                yield Fault(unit_id, "mismatch", text)
            elif times > 1:
                yield Fault(unit_id, "limit", f"port {port} feeds {times} cameras", times, 1)
        total = sum(ten_mw(c.item.poe_class or 0) for c in fed)
        most = budget_ten_mw(poe)
        if total > most:
            text = (
                f"its cameras' classes add up to {figure(Fraction(total, 100))} W, it gives "
                f"{figure(Fraction(most, 100))} W"
            )
            yield Fault(unit_id, "limit", text, Fraction(total, 100), Fraction(most, 100))


def data_ports(case: Case) -> Iterator[Fault]:
    """A network camera not fed by its switch or recorder takes a plain port of a switch."""
    recorders = {unit.id for unit, _ in case.recorders}
    for camera in case.cameras:
        power, port = camera.stated.power, camera.stated.data_port
        by_port = power.way == "poe" and power.unit in {*recorders, *case.switches}
        if camera.item.family != "network":
            if port is not None:
                yield Fault(camera.place, "mismatch", f"needs no port, yet takes one of {port}")
        elif by_port and port is not None:
            text = f"is joined to {power.unit} already, yet takes a port of {port}"
            yield Fault(camera.place, "mismatch", text)
        elif not by_port and port is None:
            yield Fault(camera.place, "missing", "has no port of a switch for its data", 0, 1)


def switches(case: Case) -> Iterator[Fault]:
    """All ports in use fit the switch, it has a camera, and its figures agree."""
    for unit, item in case.switches.values():
        fed = _fed_by(case, unit.id)
        data = [c for c in case.cameras if c.stated.data_port == unit.id]
        n = len(fed) + len(data)
        if n == 0:
            yield Fault(unit.id, "surplus", "joins no camera", 0, 1)
        if n > item.ports:
            yield Fault(
                unit.id,
                "limit",
                f"{counted(n, 'camera')} on {counted(item.ports, 'port')}",
                n,
                item.ports,
            )
        # Either all its ports or its powered ones may be stated.
        pairs = [(n, item.ports)]
        if item.poe is not None:
            pairs.append((len(fed), item.poe.ports))
        load = sum(ten_mw(c.item.poe_class or 0) for c in fed)
        limit = 0 if item.poe is None else budget_ten_mw(item.poe)
        yield from _figures(unit, pairs, load, limit)


def injectors(case: Case) -> Iterator[Fault]:
    """Each injector feeds exactly one camera, and its figures agree."""
    for unit, item in case.injectors.values():
        fed = _fed_by(case, unit.id)
        if not fed:
            yield Fault(unit.id, "surplus", "feeds no camera", 0, 1)
            continue
        if len(fed) > 1:
            yield Fault(unit.id, "limit", f"feeds {len(fed)} cameras, it can 1", len(fed), 1)
        for camera in fed:
            output = camera.stated.power.output
            if output not in (None, 1):
                yield Fault(unit.id, "mismatch", f"there is no port {output}, only 1")
        load = sum(ten_mw(c.item.poe_class or 0) for c in fed)
        yield from _figures(unit, [(len(fed), 1)], load, ten_mw(item.poe_class))


def _figures(
    unit: plain.PowerUnit, ports: list[tuple[int, int]], load: int, limit: int
) -> Iterator[Fault]:
    if (unit.outputs_used, unit.outputs) not in ports:
        n, count = ports[0]
        text = (
            f"ports in use: {n} of {count}, the design says {unit.outputs_used} of {unit.outputs}"
        )
        yield Fault(unit.id, "mismatch", text, unit.outputs_used, n)
    for what, stated, exact in (("feeds", unit.load, load), ("may feed", unit.limit, limit)):
        if stated != exact:
            watts, said = figure(Fraction(exact, 100)), figure(Fraction(stated, 100))
            text = f"{what} {watts} W, the design says {said} W"
            yield Fault(unit.id, "mismatch", text, Fraction(stated, 100), Fraction(exact, 100))


RULES = (
    Rule("3 PoE class", poe_class),
    Rule("3 PoE from own recorder", own_recorder),
    Rule("3 powered ports", powered_ports),
    Rule("3 data ports", data_ports),
    Rule("3 switches", switches),
    Rule("3 injectors", injectors),
)
