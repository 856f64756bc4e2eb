"""From a solution of the program to a design as plain data."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from optimizer import design as plain
from optimizer.engineering.optics import view_angle
from optimizer.errors import Defect
from optimizer.instance.recorders import RecorderFit, parity
from optimizer.instance.streams import audio_bytes
from optimizer.model.draft import Draft
from optimizer.pricebook.schema import Connector, Tool
from optimizer.solving.choices import CameraChoice, SoundChoice, choose
from optimizer.solving.layout import Layout, RecorderUnit
from optimizer.solving.purchase import (
    bill_lines,
    labour_of_parts,
    purchases,
    reduction_lines,
    reductions,
    tax_on,
)
from optimizer.solving.units_in_use import UnitPlan
from optimizer.solving.wording import because, line_because
from optimizer.units import money_text, shown_px_m


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
        self.plan = UnitPlan(draft, values, layout)

    def design(self) -> plain.Design:
        """The whole design."""
        cameras, sounds = choose(self.draft, self.values)
        made = [self._camera(c) for c in cameras]
        heard = [self._sound(s, made) for s in sounds]
        recorders = self._recorders()
        numbered = self._channels(made)
        heard = self._inputs(heard)
        self._count(recorders)
        bare = plain.Design(
            bill=(),
            net="0.00",
            tax="0.00",
            total="0.00",
            currency=self.site.money.currency,
            cameras=tuple(numbered),
            audio=tuple(heard),
            recorders=tuple(recorders),
            runs=tuple(self.plan.runs),
            boxes=tuple(self.plan.boxes.values()),
            supplies=tuple(self.plan.supplies),
            switches=tuple(self.plan.switches),
            injectors=tuple(self.plan.injectors),
            parts=tuple(self.plan.parts),
        )
        if self.instance.viewing is not None:
            from optimizer.solving.looking import seen_zones

            looks = seen_zones(self.instance.viewing.prepared, cameras)
            bare = bare.model_copy(update={"seen": looks})
        return self._priced(bare)

    # Cameras

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

    def _camera(self, choice: CameraChoice) -> plain.Camera:
        feeding, path = choice.feeding, choice.path
        assert feeding is not None
        assert path is not None
        run = choice.zone.run
        runs = [self.plan.run(choice.place, path.option, self._medium(choice), run)]
        if path.option.balun:
            self.plan.used[path.option.balun] += 2
        if feeding.option.kind == "F2":
            runs.append(self.plan.run(choice.place, feeding.option, "power_pair", run))
        if choice.control is not None:
            runs.append(self.plan.run(choice.place, choice.control, "control_pair", run))
        recorder = self.plan.on[choice.stream].pop(0)
        camera = choice.candidate.view.camera
        power, port = self.plan.power(choice.place, feeding.option, camera.family, recorder)
        self.plan.used[camera.id] += 1
        focal, density, aim = self._looks(choice)
        printed = _down_to(focal, 3) if aim is None else float(focal)
        return plain.Camera(
            zone=choice.zone.id,
            number=choice.number,
            item=camera.id,
            focal_mm=printed,
            view_angle_deg=round(view_angle(float(camera.sensor_width), float(focal)), 1),
            px_per_m=density,
            picture=str(choice.level.picture),
            recorder=recorder,
            channel=0,
            bit_rate=math.ceil(choice.level.rate),
            storage_bytes=math.ceil(choice.level.stored),
            path=path.option.kind,
            runs=tuple(runs),
            balun=path.option.balun,
            power=power,
            data_port=port,
            control=choice.steered_by,
            bracket=self.plan.bracket(camera.bracket),
            aim=aim,
        )

    def _looks(self, choice: CameraChoice) -> tuple[Fraction, float, plain.Aimed | None]:
        """Focal length, density, and on a mount the aim of a camera."""
        if choice.aim is None:
            camera, focal = choice.candidate.view.camera, choice.candidate.view.focal
            reach = Fraction(camera.sensor_width) * Fraction(choice.zone.distance)
            density = round(float(choice.level.picture.width * focal / reach), 2)
            return focal, density, None
        from optimizer.solving.looking import worst_of

        aim, view = choice.aim, choice.aim.view
        assert self.instance.viewing is not None
        viewing = self.instance.viewing
        served = tuple(
            plain.Served(zone=z, px_per_m=shown_px_m(worst_of(viewing, aim, z), 2))
            for z in choice.serves
        )
        aimed = plain.Aimed(pan_deg=view.pan_deg, tilt_deg=view.tilt_deg, serves=served)
        return Fraction(view.focal_mm), min(s.px_per_m for s in served), aimed

    # Sound

    def _sound(self, choice: SoundChoice, cameras: list[plain.Camera]) -> plain.Sound:
        point = choice.table.point
        runs = []
        power = plain.FedFrom(way="none")
        option = choice.option
        if choice.signal is not None:
            runs.append(self.plan.run(point.id, choice.signal, "audio_pair", point.run))
        if option is not None:
            if choice.way == "A1":
                runs.append(self.plan.run(point.id, option, "power_pair", point.run))
            elif choice.way == "A3":
                runs.append(self.plan.run(point.id, option, "lead", point.run))
            power, _ = self.plan.power(point.id, option, "audio", "")
            if choice.way == "A1":
                power = power.model_copy(update={"way": "separate_pair"})
        elif choice.way in ("A5", "A6"):
            power = plain.FedFrom(way="camera")
        if choice.microphone:
            self.plan.used[choice.microphone] += 1
        if choice.camera is not None:
            made = next(
                c
                for c in cameras
                if c.zone == choice.camera.zone.id and c.number == choice.camera.number
            )
            recorder = made.recorder
        else:
            assert choice.stream is not None
            recorder = self.plan.on[choice.stream].pop(0)
        return plain.Sound(
            point=point.id,
            way=choice.way,
            microphone=choice.microphone,
            camera=None if choice.camera is None else choice.camera.place,
            runs=tuple(runs),
            recorder=recorder,
            input=None if choice.way == "A7" else 0,
            power=power,
            storage_bytes=math.ceil(audio_bytes(self.site, point)),
        )

    # Recorders

    def _recorders(self) -> list[plain.Recorder]:
        writers = [
            p.item for p in self.plan.parts if p.role == "optical_writer" for _ in range(p.pieces)
        ]
        out = []
        for number, unit in enumerate(self.layout.recorders, 1):
            name = f"recorder-{number}"
            fit = self.fits[unit.item]
            out.append(
                plain.Recorder(
                    id=name,
                    item=unit.item,
                    array=unit.array,
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
                update["power"] = camera.power.model_copy(update={"output": ports[camera.recorder]})
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

    def _count(self, recorders: list[plain.Recorder]) -> None:
        """Pieces that do a job and are not counted yet: recorders, drives, tools, extras."""
        for recorder in recorders:
            self.plan.used[recorder.item] += 1
            for drives in recorder.drives:
                self.plan.used[drives.item] += drives.count
        needed = {
            item.tool
            for part in self.plan.parts
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
                    self.plan.used[item_id] = max(1, asked.get(item_id, 0))
                    self.plan.parts.append(
                        plain.PartUse(item=item_id, role="tool", pieces=self.plan.used[item_id])
                    )
            elif item.kind == "extra" and item_id in asked:
                self.plan.used[item_id] = asked[item_id]

    def _priced(self, bare: plain.Design) -> plain.Design:
        bought = purchases(self.draft, self.values)
        reasons = because(self.site, self.items, bare)
        lines = bill_lines(self.items, bought, self.plan.used, reasons)
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
        labour = self.plan.labour + labour_of_parts(self.items, rate, pieces)
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


def _down_to(value: Fraction, digits: int) -> float:
    """Round a focal length down, so that the width is surely shown."""
    return float(Fraction(math.floor(value * 10**digits), 10**digits))
