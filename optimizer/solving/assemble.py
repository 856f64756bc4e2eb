"""From a solution of the program to a design as plain data."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from optimizer import design as plain
from optimizer.engineering.optics import view_angle
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
from optimizer.instance.recorders import RecorderFit, parity, port_power
from optimizer.instance.streams import Stream, audio_bytes
from optimizer.model.draft import Draft
from optimizer.pricebook.schema import Connector, Injector, Switch, Tool
from optimizer.solving.choices import CameraChoice, SoundChoice, choose
from optimizer.solving.layout import Layout, RecorderUnit
from optimizer.solving.purchase import (
    bill_lines,
    labour_of_parts,
    pulling,
    purchases,
    reduction_lines,
    reductions,
    tax_on,
)
from optimizer.solving.wording import because, line_because
from optimizer.units import money_text


def assemble(draft: Draft, values: Sequence[int], layout: Layout) -> plain.Design:
    """Make the design of a laid-out solution.

    Raises
    ------
    Defect
        If its bill, added up by itself, differs from the program's objective.
    """
    return _Assembler(draft, values, layout).design()


class _Assembler:
    def __init__(self, draft: Draft, values: Sequence[int], layout: Layout) -> None:
        self.draft, self.values, self.layout = draft, values, layout
        self.instance = draft.instance
        self.site = draft.instance.site
        self.items = draft.instance.book.items
        self.fits = {f.item: f for f in self.instance.recorders}
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

    def design(self) -> plain.Design:
        """The whole design."""
        cameras, sounds = choose(self.draft, self.values)
        self._units()
        self._recorders_open()
        self._small_parts()
        made = [self._camera(c) for c in cameras]
        heard = [self._sound(s, made) for s in sounds]
        recorders = self._recorders(cameras, made, heard)
        numbered = self._channels(made)
        heard = self._inputs(heard)
        self._count(made, heard, recorders)
        bare = plain.Design(
            bill=(),
            net="0.00",
            tax="0.00",
            total="0.00",
            currency=self.site.money.currency,
            cameras=tuple(numbered),
            audio=tuple(heard),
            recorders=tuple(recorders),
            runs=tuple(self.runs),
            boxes=tuple(self.boxes.values()),
            supplies=tuple(self.supplies),
            switches=tuple(self.switches),
            injectors=tuple(self.injectors),
            parts=tuple(self.parts),
        )
        return self._priced(bare)

    # Units

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
        length = next(
            cm for c in self.instance.cables.values() for i, cm in c.boxes if i == item
        )
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

    def _slot(self, use: Use) -> tuple[str, int]:
        if not self.slots.get(use):
            raise Defect(f"nothing is left for {use}")
        return self.slots[use].pop(0)

    # Runs

    def _run(self, place: str, option: Option, medium: plain.Wired, run: Fraction) -> str:
        name = f"run-{len(self.runs) + 1}"
        cut = next((u for u, _ in option.uses if isinstance(u, Cut)), None)
        box = None
        items: tuple[str, ...] = ()
        if cut is not None:
            box, _ = self._slot(cut)
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
            self.labour += pulling(policy.rate, policy.pulling, run)  # type: ignore[arg-type]
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

    def _medium(self, camera: CameraChoice) -> plain.Wired:
        path = camera.path
        assert path is not None
        kind = path.option.kind
        if kind in ("V5", "D3"):
            return "lead"
        if kind == "V3":
            assert path.option.existing is not None
            return camera.zone.existing[path.option.existing].medium
        return {"V1": "coax_power", "V2": "coax"}.get(kind, "category")  # type: ignore[return-value]

    # Cameras

    def _camera(self, choice: CameraChoice) -> plain.Camera:
        feeding, path = choice.feeding, choice.path
        assert feeding is not None
        assert path is not None
        run = choice.zone.run
        runs = [self._run(choice.place, path.option, self._medium(choice), run)]  # type: ignore[arg-type]
        if path.option.balun:
            self.used[path.option.balun] += 2
        if feeding.option.kind == "F2":
            runs.append(self._run(choice.place, feeding.option, "power_pair", run))  # type: ignore[arg-type]
        if choice.control is not None:
            runs.append(self._run(choice.place, choice.control, "control_pair", run))  # type: ignore[arg-type]
        recorder = self.on[choice.stream].pop(0)
        camera = choice.candidate.view.camera
        power, port = self._power(choice.place, feeding.option, camera.family, recorder)
        focal = choice.candidate.view.focal
        reach = Fraction(camera.sensor_width) * Fraction(choice.zone.distance)
        self.used[camera.id] += 1
        return plain.Camera(
            zone=choice.zone.id,
            number=choice.number,
            item=camera.id,
            focal_mm=_down_to(focal, 3),
            view_angle_deg=round(view_angle(float(camera.sensor_width), float(focal)), 1),
            px_per_m=round(float(choice.level.picture.width * focal / reach), 2),
            picture=str(choice.level.picture),
            recorder=recorder,
            channel=0,
            bit_rate=math.ceil(choice.level.rate),
            storage_bytes=math.ceil(choice.level.stored),
            path=path.option.kind,  # type: ignore[arg-type]
            runs=tuple(runs),
            balun=path.option.balun,
            power=power,
            data_port=port,
            control=choice.steered_by,  # type: ignore[arg-type]
            bracket=self._bracket(camera.bracket),
        )

    def _bracket(self, pattern: str | None) -> str | None:
        if pattern is None:
            return None
        role = f"bracket/{pattern}"
        if role not in self.spot:
            self.spot[role] = [
                p.item for p in self.parts if p.role == role for _ in range(p.pieces)
            ]
        return self.spot[role].pop(0)

    def _power(
        self, place: str, option: Option, family: str, recorder: str
    ) -> tuple[plain.FedFrom, str | None]:
        """Where a load is fed from, and the plain switch port that goes with it."""
        port = None
        plain_port = family == "network" and option.kind not in ("F4 switch", "F4 recorder")
        if plain_port:
            port, _ = self._slot(PlainPort())
        kind = option.kind.split()[0]
        volts = None if option.volts is None else round(option.volts, 3)
        if kind == "F4":
            return self._poe(place, option, recorder), port
        if kind == "F3":
            return self._local(place, option), port
        use = next(u for u, _ in option.uses if isinstance(u, Output))
        unit, output = self._slot(use)
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

    def _poe(self, place: str, option: Option, recorder: str) -> plain.FedFrom:
        if option.kind == "F4 recorder":
            return plain.FedFrom(way="poe", unit=recorder, output=None, watts=option.watts)
        use = next(u for u, _ in option.uses if isinstance(u, PoweredPort | Injected))
        if isinstance(use, PoweredPort):
            unit, output = self._slot(use)
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

    # Sound

    def _sound(self, choice: SoundChoice, cameras: list[plain.Camera]) -> plain.Sound:
        point = choice.table.point
        runs = []
        power = plain.FedFrom(way="none")
        option = choice.option
        if choice.signal is not None:
            runs.append(self._run(point.id, choice.signal, "audio_pair", point.run))  # type: ignore[arg-type]
        if option is not None:
            if choice.way == "A1":
                runs.append(self._run(point.id, option, "power_pair", point.run))  # type: ignore[arg-type]
            elif choice.way == "A3":
                runs.append(self._run(point.id, option, "lead", point.run))  # type: ignore[arg-type]
            power, _ = self._power(point.id, option, "audio", "")
            if choice.way == "A1":
                power = power.model_copy(update={"way": "separate_pair"})
        elif choice.way in ("A5", "A6"):
            power = plain.FedFrom(way="camera")
        if choice.microphone:
            self.used[choice.microphone] += 1
        if choice.camera is not None:
            made = next(
                c
                for c in cameras
                if c.zone == choice.camera.zone.id and c.number == choice.camera.number
            )
            recorder = made.recorder
        else:
            assert choice.stream is not None
            recorder = self.on[choice.stream].pop(0)
        return plain.Sound(
            point=point.id,
            way=choice.way,  # type: ignore[arg-type]
            microphone=choice.microphone,
            camera=None if choice.camera is None else choice.camera.place,
            runs=tuple(runs),
            recorder=recorder,
            input=None if choice.way == "A7" else 0,
            power=power,
            storage_bytes=math.ceil(audio_bytes(self.site, point)),
        )

    # Recorders

    def _recorders(
        self,
        choices: list[CameraChoice],
        cameras: list[plain.Camera],
        heard: list[plain.Sound],
    ) -> list[plain.Recorder]:
        writers = [p.item for p in self.parts if p.role == "optical_writer" for _ in range(p.pieces)]
        out = []
        for number, unit in enumerate(self.layout.recorders, 1):
            name = f"recorder-{number}"
            fit = self.fits[unit.item]
            out.append(
                plain.Recorder(
                    id=name,
                    item=unit.item,
                    array=unit.array,  # type: ignore[arg-type]
                    drives=tuple(
                        plain.DriveSet(item=i, count=n) for i, n in sorted(unit.drives.items())
                    ),
                    optical_writer=writers.pop(0) if fit.writer else None,
                    usable_gb=usable(fit, unit),
                    stored_gb=sum(s.gigabytes * n for s, n in unit.streams.items()),
                    kbit_s=sum(s.kbit * n for s, n in unit.streams.items()),
                    encode_kpx_s=sum(s.kilopixels * n for s, n in unit.streams.items()),
                    channels_used=sum(n for s, n in unit.streams.items() if s.family),
                    channels=fit.channels,
                    audio_inputs_used=sum(s.audio_inputs * n for s, n in unit.streams.items()),
                )
            )
        return out

    def _channels(self, cameras: list[plain.Camera]) -> list[plain.Camera]:
        """Number channels and powered recorder ports in the order of the cameras."""
        channels: Counter[str] = Counter()
        ports: Counter[str] = Counter()
        out = []
        for camera in cameras:
            channels[camera.recorder] += 1
            update: dict[str, object] = {"channel": channels[camera.recorder]}
            if camera.power.unit == camera.recorder:
                ports[camera.recorder] += 1
                update["power"] = camera.power.model_copy(
                    update={"output": ports[camera.recorder]}
                )
            out.append(camera.model_copy(update=update))
        return out

    @staticmethod
    def _inputs(heard: list[plain.Sound]) -> list[plain.Sound]:
        inputs: Counter[str] = Counter()
        out = []
        for sound in heard:
            if sound.input is None:
                out.append(sound)
                continue
            inputs[sound.recorder] += 1
            out.append(sound.model_copy(update={"input": inputs[sound.recorder]}))
        return out

    # Bill

    def _count(
        self,
        cameras: list[plain.Camera],
        heard: list[plain.Sound],
        recorders: list[plain.Recorder],
    ) -> None:
        """Pieces that do a job and are not counted yet: recorders, drives, tools, extras."""
        for recorder in recorders:
            self.used[recorder.item] += 1
            for drives in recorder.drives:
                self.used[drives.item] += drives.count
        needed = {
            item.tool
            for part in self.parts
            if isinstance(item := self.items[part.item], Connector) and item.tool
        }
        asked = self.draft.asked
        for item_id, item in self.items.items():
            if isinstance(item, Tool):
                have = next(
                    (
                        self.values[i]
                        for i, n in enumerate(self.draft.program.names)
                        if n == f"tool/{item_id}"
                    ),
                    0,
                )
                if have and needed & set(item.types):
                    self.used[item_id] = max(1, asked.get(item_id, 0))
                    self.parts.append(
                        plain.PartUse(item=item_id, role="tool", pieces=self.used[item_id])
                    )
            elif item.kind == "extra" and item_id in asked:
                self.used[item_id] = asked[item_id]

    def _priced(self, bare: plain.Design) -> plain.Design:
        bought = purchases(self.draft, self.values)
        reasons = because(self.site, self.items, bare)
        lines = bill_lines(self.items, bought, self.used, reasons)
        lines = tuple(
            line.model_copy(
                update={
                    "because": line_because(
                        line.because,
                        line.quantity,
                        line.used,
                        line.from_stock,
                        getattr(self.items[line.item], "pack", 1),
                    )
                }
            )
            for line in lines
        )
        found = reductions(self.items, self.instance.book.book.offers, bought)
        goods = sum(round(100 * Fraction(line.line_total)) for line in lines)
        off = min(goods, sum(amount for _, amount in found))
        pieces: Counter[str] = Counter()
        for part in bare.parts:
            pieces[part.item] += part.pieces
        rate = self.site.policy.labour.rate
        labour = self.labour + labour_of_parts(self.items, rate, pieces)
        net = goods - off + labour
        expected = self.draft.program.value(self.values)
        if net != expected:
            raise Defect(f"the bill adds up to {net}, the program's objective is {expected}")
        tax = tax_on(net, self.site.money.tax)
        return bare.model_copy(
            update={
                "bill": lines,
                "reductions": reduction_lines(found),
                "labour": money_text(labour),
                "net": money_text(net),
                "tax": money_text(tax),
                "total": money_text(net + tax),
            }
        )


def usable(fit: RecorderFit, unit: RecorderUnit) -> int:
    """Usable capacity of a recorder's drives. [GB]"""
    sizes = {d.item: d.gigabytes for d in fit.drives}
    total = sum(sizes[i] * n for i, n in unit.drives.items())
    if unit.array in ("mirror", "10"):
        return total // 2
    if unit.array in ("5", "6"):
        item = next(iter(unit.drives))
        return total - parity(unit.array) * sizes[item]
    return total


def _injector_load(item: object) -> int:
    assert isinstance(item, Injector)
    return port_power(item.poe_class)


def _down_to(value: Fraction, digits: int) -> float:
    """Round a focal length down, so that the width is surely shown."""
    return math.floor(value * 10**digits) / 10**digits


