"""Following a design's references; what cannot be followed cannot be judged further.

A design whose references are broken (an unknown item, a run that nothing uses, a camera on a
recorder that is not there) gets these findings alone: every later rule would only repeat them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil, isfinite
from typing import TYPE_CHECKING, TypeVar

from optimizer import design as plain
from optimizer.audit.case import SIGNAL_MEDIA, Case, Fitted, Heard, LaidRun
from optimizer.audit.finding import Fault, Finding, counted
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.site.schema import AudioPoint, Mount, PlanZone, Site, Zone

if TYPE_CHECKING:
    from optimizer.site.runs import Way

ITEMS = "0 items"
FIGURES = "0 figures"
REFERENCES = "0 references"
RUNS = "3 runs"
PATHS = "3 paths"

_Item = TypeVar("_Item", bound=book.Item)


def cut_length_cm(run: Fraction, allowance: Fraction) -> int:
    """Length that is cut for a run: run + 2 x end allowance, rounded up. [m, m -> cm]"""
    return ceil((run + 2 * allowance) * 100)


def resolve(
    site: Site, items: Mapping[str, AnyItem], offers: Sequence[Offer], design: plain.Design
) -> tuple[Case | None, list[Finding]]:
    """Follow every reference of a design.

    Returns
    -------
    tuple of Case or None and list of Finding
        The case and no finding, or no case and what is broken.
    """
    resolver = _Resolver(site, items, design)
    case = resolver.case(offers)
    return (None, resolver.findings) if resolver.findings else (case, [])


def mount_as_zone(site: Site, mount: Mount, way: Way, served: Sequence[PlanZone]) -> Zone:
    """A mount in the form of a zone of one camera, which asks what its plan zones ask (7.8).

    Its distance, width and detail say nothing; rules 1.1, 1.2 and 1.5 are not for it.
    """
    return Zone.model_construct(
        id=mount.id,
        name=mount.name,
        distance=Decimal(1),
        width=Decimal(1),
        detail="1 px/m",
        frame_rate=max(z.frame_rate for z in served),
        place=mount.place,
        ingress=mount.ingress,
        impact=mount.impact,
        temperature=mount.temperature,
        discreet=any(z.discreet for z in served),
        recorded=max(z.recorded for z in served),
        retention=max(site.retention_days(z) for z in served),
        run=way.run,
        mains=mount.mains,
        route=way.route,
        existing=mount.existing,
        most_cameras=1,
    )


class _Resolver:
    def __init__(self, site: Site, items: Mapping[str, AnyItem], design: plain.Design) -> None:
        self.site, self.items, self.design = site, items, design
        self.findings: list[Finding] = []
        self.areas = {z.id: z for z in site.areas}
        self.mounts = {m.id: m for m in site.mounts}
        self.zones = {z.id: z for z in site.views} | self.borne()
        self.points = {p.id: p for p in site.audio.points}
        self.owners: dict[str, Zone | AudioPoint] = {
            f"{c.zone}/{c.number}": self.zones[c.zone]
            for c in design.cameras
            if c.zone in self.zones
        }
        self.owners.update(
            (s.point, self.points[s.point]) for s in design.audio if s.point in self.points
        )
        self.users: Counter[str] = Counter()
        self.run_ids = {r.id for r in design.runs}
        self.abreast = Counter(c.zone for c in design.cameras)

    def borne(self) -> dict[str, Zone]:
        """Mounts that bear a camera, each in the form of a zone of one camera (7.8)."""
        if not self.site.areas:
            return {}
        # Networks are loaded for sites with a plan only.
        from optimizer.site.runs import ways

        laid = ways(self.site)
        found = {}
        for camera in self.design.cameras:
            mount = self.mounts.get(camera.zone)
            served = self.served(camera)
            if mount is not None and served:
                found[mount.id] = mount_as_zone(self.site, mount, laid[mount.id], served)
        return found

    def served(self, camera: plain.Camera) -> tuple[PlanZone, ...]:
        """The plan zones that a camera serves, as far as they are there."""
        if camera.aim is None:
            return ()
        return tuple(self.areas[s.zone] for s in camera.aim.serves if s.zone in self.areas)

    def aimed(self, place: str, camera: plain.Camera) -> None:
        """A camera on a mount, and no other, has an aim, and serves plan zones of the site."""
        if camera.zone not in self.mounts:
            if camera.aim is not None:
                self.fault(REFERENCES, place, "has an aim, but is on no mount of the plan")
            return
        if camera.aim is None or not camera.aim.serves:
            self.fault(REFERENCES, place, "is on a mount, but serves no zone of the plan")
            return
        self.finite(place, camera.aim.pan_deg, camera.aim.tilt_deg)
        for name, times in Counter(s.zone for s in camera.aim.serves).items():
            if name not in self.areas:
                self.fault(REFERENCES, place, f'serves "{name}", which is no zone of the plan')
            elif times > 1:
                self.fault(REFERENCES, place, f'serves "{name}" {times} times')

    def fault(self, rule: str, place: str, text: str) -> None:
        self.findings.append(Fault(place, "mismatch", text).under(rule))

    def item(self, kind: type[_Item], item_id: str, place: str) -> _Item | None:
        found = self.items.get(item_id)
        if isinstance(found, kind):
            return found
        word = kind.__name__.lower() if kind is not book.Item else "item"
        if found is None:
            self.fault(ITEMS, place, f'"{item_id}" is not in the price book')
        else:
            self.fault(ITEMS, place, f'"{item_id}" is a {found.kind}, not a {word}')
        return None

    def case(self, offers: Sequence[Offer]) -> Case:
        self.twins()
        recorders = [(r, self.item(book.Recorder, r.item, r.id)) for r in self.design.recorders]
        self.kits = {r.id: (r, i) for r, i in recorders if i is not None}
        self.supplies = self.powered(self.design.supplies, book.Supply)
        self.switches = self.powered(self.design.switches, book.Switch)
        self.injectors = self.powered(self.design.injectors, book.Injector)
        self.laid = {r.id: laid for r in self.design.runs if (laid := self.laid_run(r))}
        self.boxes()
        self.others()
        cameras = [c for one in self.design.cameras if (c := self.camera(one))]
        by_place = {c.place: c for c in cameras}
        sounds = [s for one in self.design.audio if (s := self.sound(one, by_place))]
        self.unused()
        return Case(
            self.site, self.items, offers, self.design, tuple(cameras), tuple(sounds),
            tuple(self.kits.values()), self.laid, self.supplies, self.switches, self.injectors,
        )  # fmt: skip

    def twins(self) -> None:
        design = self.design
        units: Iterable[plain.Recorder | plain.PowerUnit] = (
            *design.recorders, *design.supplies, *design.switches, *design.injectors
        )  # fmt: skip
        for word, ids in (
            ("camera", [f"{c.zone}/{c.number}" for c in design.cameras]),
            ("audio point", [s.point for s in design.audio]),
            ("unit", [u.id for u in units]),
            ("run", [r.id for r in design.runs]),
            ("box", [b.id for b in design.boxes]),
        ):
            for one, times in Counter(ids).items():
                if times > 1:
                    self.fault(REFERENCES, one, f'the {word} "{one}" stands {times} times')

    def powered(
        self, units: Sequence[plain.PowerUnit], kind: type[_Item]
    ) -> dict[str, tuple[plain.PowerUnit, _Item]]:
        return {u.id: (u, i) for u in units if (i := self.item(kind, u.item, u.id)) is not None}

    def others(self) -> None:
        """Items that nothing else refers to through: drives, writers, parts, lines of the bill."""
        for unit in self.design.recorders:
            for drives in unit.drives:
                self.item(book.Drive, drives.item, unit.id)
                if drives.count < 1:
                    self.fault(ITEMS, unit.id, f"{drives.count} drives of {drives.item}")
            if unit.optical_writer is not None:
                self.item(book.OpticalWriter, unit.optical_writer, unit.id)
        for part in self.design.parts:
            self.item(book.Item, part.item, "parts")
            if part.pieces < 1:
                self.fault(ITEMS, part.item, f"{part.pieces} pieces are in use as {part.role}")
        for line in self.design.bill:
            found = self.items.get(line.item)
            if self.item(book.Item, line.item, "bill") and found and found.kind != line.kind:
                self.fault(ITEMS, line.item, f"is a {found.kind}, the bill says {line.kind}")
            if min(line.quantity, line.used, line.from_stock) < 0:
                self.fault(ITEMS, line.item, "a number of pieces in the bill is negative")

    def laid_run(self, run: plain.Run) -> LaidRun | None:
        owner = self.owners.get(run.place)
        if owner is None:
            self.fault(REFERENCES, run.id, f'"{run.place}" is no camera or audio point here')
            return None
        if run.existing is not None:
            return self._existing(run, owner, run.existing)
        if run.medium == "lead":
            leads = [self.item(book.Lead, i, run.id) for i in run.items]
            if not leads or run.box is not None:
                self.fault(RUNS, run.id, "a run of leads needs its leads and has no box")
                return None
            found = tuple(x for x in leads if x is not None)
            length = sum((Fraction(x.length) for x in found), Fraction(0))
            return LaidRun(run, run.place, owner, found, None, None, length)
        if len(run.items) != 1 or run.box is None:
            self.fault(RUNS, run.id, "a cut cable needs its one item and the box it is cut from")
            return None
        cable = self.item(book.Cable, run.items[0], run.id)
        if cable is None:
            return None
        if cable.medium != run.medium:
            self.fault(RUNS, run.id, f"is {run.medium}, but {cable.id} is {cable.medium}")
        allowance = Fraction(self.site.assumptions.end_allowance)
        cut = Fraction(cut_length_cm(Fraction(owner.run), allowance), 100)
        return LaidRun(run, run.place, owner, (), cable, None, cut)

    def _existing(self, run: plain.Run, owner: Zone | AudioPoint, index: int) -> LaidRun | None:
        if run.items or run.box is not None:
            self.fault(RUNS, run.id, "an existing cable takes no item and no box")
        if not 0 <= index < len(owner.existing):
            self.fault(RUNS, run.id, f"{owner.id} has no existing cable number {index}")
            return None
        entry = owner.existing[index]
        if entry.medium != run.medium:
            self.fault(RUNS, run.id, f"is {run.medium}, but the existing cable is {entry.medium}")
        return LaidRun(run, run.place, owner, (), None, entry, Fraction(entry.length))

    def boxes(self) -> None:
        """Runs and boxes name each other, and the same cable."""
        cut_from = {b.id: b for b in self.design.boxes}
        claimed = Counter((b.id, run) for b in self.design.boxes for run in b.cuts)
        wanted = Counter((r.box, r.id) for r in self.design.runs if r.box is not None)
        for box_id, run_id in claimed | wanted:
            times, expected = claimed[box_id, run_id], wanted[box_id, run_id]
            if times != expected:
                self.fault(
                    REFERENCES, run_id,
                    f"box {box_id} lists it {counted(times, 'time')}, the run names the box "
                    f"{counted(expected, 'time')}",
                )  # fmt: skip
        for run in self.design.runs:
            box = cut_from.get(run.box or "")
            if box is not None and (box.item,) != run.items:
                made = " + ".join(run.items) or "nothing"
                self.fault(RUNS, run.id, f"is of {made}, its box {box.id} holds {box.item}")
        for box in self.design.boxes:
            self.item(book.Cable, box.item, box.id)
            if not box.cuts:
                self.fault(REFERENCES, box.id, "nothing is cut from this box")

    def owned_runs(self, place: str, ids: Sequence[str]) -> list[LaidRun]:
        self.users.update(ids)
        for one in ids:
            if one not in self.run_ids:
                self.fault(REFERENCES, place, f'there is no run "{one}"')
        found = [self.laid[i] for i in ids if i in self.laid]
        for run in found:
            if run.place != place:
                self.fault(REFERENCES, place, f"uses run {run.stated.id} of {run.place}")
        return found

    def unused(self) -> None:
        for run in self.design.runs:
            times = self.users[run.id]
            if times != 1:
                self.fault(
                    REFERENCES, run.id, f"the run is used {counted(times, 'time')}, not once"
                )

    def camera(self, stated: plain.Camera) -> Fitted | None:
        place = f"{stated.zone}/{stated.number}"
        zone = self.zones.get(stated.zone)
        self.aimed(place, stated)
        if zone is None and stated.zone not in self.mounts:
            self.fault(REFERENCES, place, f'the site has no zone "{stated.zone}"')
        item = self.item(book.Camera, stated.item, place)
        kit = self.kits.get(stated.recorder)
        if kit is None:
            self.fault(REFERENCES, place, f'there is no recorder "{stated.recorder}"')
        balun = None if stated.balun is None else self.item(book.Balun, stated.balun, place)
        if stated.bracket is not None:
            self.item(book.Bracket, stated.bracket, place)
        self.finite(place, stated.focal_mm, stated.view_angle_deg, stated.px_per_m)
        self.source(place, stated.power)
        if stated.data_port is not None and stated.data_port not in self.switches:
            self.fault(REFERENCES, place, f'there is no switch "{stated.data_port}"')
        runs = self.owned_runs(place, stated.runs)
        path = self.only(place, "path", [r for r in runs if r.medium in SIGNAL_MEDIA], True)
        power = self.only(
            place, "separate power pair", [r for r in runs if r.medium == "power_pair"],
            stated.power.way == "separate_pair",
        )  # fmt: skip
        control = self.only(
            place, "control pair", [r for r in runs if r.medium == "control_pair"],
            stated.control == "pair",
        )  # fmt: skip
        if any(r.medium == "audio_pair" for r in runs):
            self.fault(PATHS, place, "an audio pair belongs to an audio point, not to a camera")
        if zone is None or item is None or kit is None or path is None:
            return None
        abreast = self.abreast[zone.id]
        served, mount = self.served(stated), self.mounts.get(stated.zone)
        return Fitted(stated, zone, abreast, item, *kit, path, power, control, balun, mount, served)

    def only(self, place: str, what: str, runs: Sequence[LaidRun], wanted: bool) -> LaidRun | None:
        if len(runs) != int(wanted):
            needs = "exactly one" if wanted else "no"
            self.findings.append(
                Fault(
                    place, "missing" if wanted and not runs else "mismatch",
                    f"takes {needs} {what}, the design gives {len(runs)}",
                    len(runs), int(wanted),
                ).under(PATHS)
            )  # fmt: skip
        return runs[0] if runs else None

    def finite(self, place: str, *figures: float | None) -> None:
        if not all(isfinite(f) for f in figures if f is not None):
            self.fault(FIGURES, place, "a figure of the design is not a finite number")

    def source(self, place: str, feed: plain.FedFrom) -> None:
        """The unit that feeds a load is there and of the kind that the way needs."""
        self.finite(place, feed.volts_at_load, feed.watts)
        if feed.way in ("camera", "none"):
            return
        if feed.way == "poe":
            able, words = {*self.switches, *self.injectors, *self.kits}, "powered port"
        else:
            able, words = {*self.supplies}, "supply"
        if feed.unit not in able:
            self.fault(REFERENCES, place, f'there is no {words} "{feed.unit}"')

    def sound(self, stated: plain.Sound, cameras: Mapping[str, Fitted]) -> Heard | None:
        place = stated.point
        point = self.points.get(place)
        if point is None:
            self.fault(REFERENCES, place, f'the site has no audio point "{place}"')
        kit = self.kits.get(stated.recorder)
        if kit is None:
            self.fault(REFERENCES, place, f'there is no recorder "{stated.recorder}"')
        microphone = None
        if stated.microphone is not None:
            microphone = self.item(book.Microphone, stated.microphone, place)
        self.source(place, stated.power)
        camera = cameras.get(stated.camera or "")
        if stated.camera is not None and camera is None:
            self.fault(REFERENCES, place, f'there is no camera "{stated.camera}"')
        # Sound in a camera's own leads may name them; the leads remain the camera's.
        shared = [i for i in stated.runs if camera is not None and i == camera.path.stated.id]
        runs = self.owned_runs(place, [i for i in stated.runs if i not in shared])
        if point is None or kit is None:
            return None
        views = {z.id: z for z in self.site.views}
        zone = views.get(point.zone) if point.zone is not None else None
        return Heard(stated, point, zone, microphone, camera, *kit, tuple(runs))
