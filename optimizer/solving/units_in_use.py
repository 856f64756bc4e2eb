"""Units in use, and what hangs on each: boxes and cuts, supplies and outputs, ports, parts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from decimal import Decimal

from optimizer import design as plain
from optimizer.errors import Defect
from optimizer.instance.amounts import down
from optimizer.instance.feeding import SupplyFit
from optimizer.instance.options import (
    Cut,
    Injected,
    LocalAdapter,
    Option,
    Output,
    PlainPort,
    PoweredPort,
    Use,
)
from optimizer.instance.recorders import port_power
from optimizer.instance.streams import Stream
from optimizer.model.draft import Draft
from optimizer.pricebook.schema import Injector, Switch
from optimizer.solving.layout import Layout
from optimizer.solving.purchase import pulling


class UnitPlan:
    """Numbered units with free slots that cameras and audio points take one by one.

    Attributes
    ----------
    used : Counter
        Item to pieces doing a job, as far as they are known.
    labour : int
        Price of the cables laid so far, in hundredths.
    on : dict
        Stream to the recorder units that still have room for one.
    """

    def __init__(self, draft: Draft, values: Sequence[int], layout: Layout) -> None:
        self.draft, self.values, self.layout = draft, values, layout
        self.instance = draft.instance
        self.site = draft.instance.site
        self.items = draft.instance.book.items
        self.supply_fits = {f.item: f for f in self.instance.supplies}
        self.runs: list[plain.Run] = []
        self.labour = 0
        self.slots: dict[Use, list[tuple[str, int]]] = {}
        self.supplies: list[plain.PowerUnit] = []
        self.switches: list[plain.PowerUnit] = []
        self.injectors: list[plain.PowerUnit] = []
        self.boxes: dict[str, plain.Box] = {}
        self.on: dict[Stream, list[str]] = {}
        self.used: Counter[str] = Counter()
        self.parts: list[plain.PartUse] = []
        self.spot: dict[str, list[str]] = {}
        self._units()
        self._recorders_open()
        self._small_parts()

    def _units(self) -> None:
        for name, units in self.layout.packs.items():
            for unit in units:
                self.used[unit.item] += 1
                if name.startswith("box/"):
                    self._box(unit.item, unit.inside)
                elif name.startswith("supply/"):
                    self._supply(unit.item, unit.inside)
                else:
                    self._switch(unit.item, unit.inside)

    def _box(self, item: str, inside: list[object]) -> None:
        number = f"box-{len(self.boxes) + 1}"
        length = next(cm for c in self.instance.cables.values() for i, cm in c.boxes if i == item)
        self.boxes[number] = plain.Box(
            id=number, item=item, length_cm=length, cuts=(), left_cm=length
        )
        for cut in inside:
            assert isinstance(cut, Cut)
            self.slots.setdefault(cut, []).append((number, 0))

    def _supply(self, item: str, inside: list[object]) -> None:
        fit = self.supply_fits[item]
        load = 0
        name = f"supply-{len(self.supplies) + 1}"
        for output, use in enumerate(inside, 1):
            assert isinstance(use, Output)
            load += use.milliamps
            self.slots.setdefault(use, []).append((name, output))
        self.supplies.append(
            plain.PowerUnit(
                id=name,
                item=item,
                outputs_used=len(inside),
                outputs=fit.outputs,
                load=load,
                limit=fit.total_limit,
            )
        )

    def _switch(self, item: str, inside: list[object]) -> None:
        switch = self.items[item]
        assert isinstance(switch, Switch)
        name = f"switch-{len(self.switches) + 1}"
        powered = 0
        load = 0
        for use in inside:
            assert isinstance(use, PoweredPort | PlainPort)
            if isinstance(use, PoweredPort):
                powered += 1
                load += use.load
            self.slots.setdefault(use, []).append((name, powered))
        self.switches.append(
            plain.PowerUnit(
                id=name,
                item=item,
                outputs_used=len(inside),
                outputs=switch.ports,
                load=load,
                limit=down(switch.poe.budget * 100) if switch.poe else 0,
            )
        )

    def _recorders_open(self) -> None:
        for number, unit in enumerate(self.layout.recorders, 1):
            for stream, count in unit.streams.items():
                self.on.setdefault(stream, []).extend([f"recorder-{number}"] * count)

    def _small_parts(self) -> None:
        for item, role, var in self.draft.parts:
            pieces = self.values[var]
            if not pieces:
                continue
            self.used[item] += pieces
            kind = role.partition("/")[0]
            if kind in ("local", "injector"):
                self.spot.setdefault(role, []).extend([item] * pieces)
            else:
                self.parts.append(plain.PartUse(item=item, role=role, pieces=pieces))

    def slot(self, use: Use) -> tuple[str, int]:
        if not self.slots.get(use):
            raise Defect(f"nothing is left for {use}")
        return self.slots[use].pop(0)

    def run(self, place: str, option: Option, medium: plain.Wired, run: Decimal) -> str:
        name = f"run-{len(self.runs) + 1}"
        cut = next((u for u, _ in option.uses if isinstance(u, Cut)), None)
        box = None
        items: tuple[str, ...] = ()
        if cut is not None:
            box, _ = self.slot(cut)
            full = self.boxes[box]
            items = (full.item,)
            self.boxes[box] = full.model_copy(
                update={
                    "cuts": (*full.cuts, name),
                    "left_cm": full.left_cm - cut.length_cm,
                }
            )
        elif medium == "lead":
            items = option.pieces
            self.used.update(items)
        if option.existing is None:
            policy = self.site.policy.labour
            self.labour += pulling(policy.rate, policy.pulling, run)
        self.runs.append(
            plain.Run(
                id=name,
                place=place,
                medium=medium,
                items=items,
                existing=option.existing,
                length_cm=option.length_cm,
                box=box,
            )
        )
        return name

    def bracket(self, pattern: str | None) -> str | None:
        if pattern is None:
            return None
        role = f"bracket/{pattern}"
        if role not in self.spot:
            self.spot[role] = [
                p.item for p in self.parts if p.role == role for _ in range(p.pieces)
            ]
        return self.spot[role].pop(0)

    def power(
        self, place: str, option: Option, family: str, recorder: str
    ) -> tuple[plain.FedFrom, str | None]:
        """Where a load is fed from, and the plain switch port that goes with it."""
        port = None
        plain_port = family == "network" and option.kind not in ("F4 switch", "F4 recorder")
        if plain_port:
            port, _ = self.slot(PlainPort())
        kind = option.kind.split()[0]
        volts = None if option.volts is None else round(option.volts, 3)
        if kind == "F4":
            return self._poe(option, recorder), port
        if kind == "F3":
            return self._local(place, option), port
        use = next(u for u, _ in option.uses if isinstance(u, Output))
        unit, output = self.slot(use)
        way = "separate_pair" if kind in ("F2", "A1") else "own_pair"
        fed = plain.FedFrom(
            way=way,
            unit=unit,
            output=output,
            volts_at_load=volts,
            milliamps=option.milliamps,
            watts=option.watts,
        )
        return fed, port

    def _poe(self, option: Option, recorder: str) -> plain.FedFrom:
        if option.kind == "F4 recorder":
            return plain.FedFrom(way="poe", unit=recorder, output=None, watts=option.watts)
        use = next(u for u, _ in option.uses if isinstance(u, PoweredPort | Injected))
        if isinstance(use, PoweredPort):
            unit, output = self.slot(use)
            return plain.FedFrom(way="poe", unit=unit, output=output, watts=option.watts)
        pool = self.spot["injector/poe"]
        item = min(
            (i for i in pool if _injector_load(self.items[i]) >= use.load),
            key=lambda i: _injector_load(self.items[i]),
        )
        pool.remove(item)
        name = f"injector-{len(self.injectors) + 1}"
        limit = _injector_load(self.items[item])
        self.injectors.append(
            plain.PowerUnit(
                id=name,
                item=item,
                place="room",
                outputs_used=1,
                outputs=1,
                load=use.load,
                limit=limit,
            )
        )
        return plain.FedFrom(way="poe", unit=name, output=1, watts=option.watts)

    def _local(self, place: str, option: Option) -> plain.FedFrom:
        use = next(u for u, _ in option.uses if isinstance(u, LocalAdapter))
        pool = self.spot[f"local/{use.feed}.{use.millivolts}"]
        item = min(
            (i for i in pool if self.supply_fits[i].output_limit >= use.milliamps),
            key=lambda i: self.supply_fits[i].output_limit,
        )
        pool.remove(item)
        fit: SupplyFit = self.supply_fits[item]
        name = f"supply-{len(self.supplies) + 1}"
        self.supplies.append(
            plain.PowerUnit(
                id=name,
                item=item,
                place=place,
                outputs_used=1,
                outputs=1,
                load=use.milliamps,
                limit=fit.output_limit,
            )
        )
        return plain.FedFrom(
            way="local",
            unit=name,
            output=1,
            volts_at_load=None if option.volts is None else round(option.volts, 3),
            milliamps=option.milliamps,
            watts=option.watts,
        )


def _injector_load(item: object) -> int:
    assert isinstance(item, Injector)
    return port_power(item.poe_class)
