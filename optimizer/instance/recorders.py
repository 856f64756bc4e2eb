"""Recorders and drives that the site's recording allows, as integers."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from optimizer.engineering.poe import source_watts
from optimizer.engineering.storage import array_survives
from optimizer.instance.amounts import GB, down
from optimizer.instance.streams import Stream
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Drive, OpticalWriter, Recorder
from optimizer.site.schema import Site


@dataclass(frozen=True)
class DriveFit:
    """A drive item that fits a recorder; capacity in GB, rounded down."""

    item: str
    gigabytes: int


@dataclass(frozen=True)
class RecorderFit:
    """A recorder item that the site can use, with its limits as integers.

    Attributes
    ----------
    arrays : tuple of str
        "single", or the arrays that survive the failures asked for.
    ports, port_load, port_budget : int
        Powered ports: number, most power of one, of all. [10 mW]
    """

    item: str
    recorder: Recorder
    arrays: tuple[str, ...]
    drives: tuple[DriveFit, ...]
    bays: int
    channels: int
    kilopixels: int
    kbit: int
    eighths: int
    ports: int
    port_load: int
    port_budget: int
    writer: bool

    def group_count(self, family: str) -> int:
        """Inputs that take a signal family."""
        return sum(g.count for g in self.recorder.inputs if family in g.families)

    @property
    def most_gigabytes(self) -> int:
        """Most usable capacity of one unit."""
        largest = max(drive.gigabytes for drive in self.drives)
        return max(usable_drives(array, self.bays) for array in self.arrays) * largest

    def takes(self, stream: Stream) -> bool:
        """Whether one unit has what a single such stream needs."""
        control = self.recorder.control
        return (
            self.item in stream.recorders
            and (stream.family is None or self.group_count(stream.family) > 0)
            and stream.kbit <= self.kbit
            and stream.kilopixels <= self.kilopixels
            and stream.gigabytes <= self.most_gigabytes
            and stream.audio_inputs <= self.recorder.audio_inputs
            and (not stream.eighths or ("rs485" in control and stream.eighths <= self.eighths))
            and (not stream.up_the_coax or "coax" in control)
            and (not stream.port or (self.ports > 0 and stream.port <= self.port_load))
        )


def port_power(poe_class: int) -> int:
    """Source power of a PoE class. [10 mW]"""
    return round(source_watts(poe_class) * 100)


def recorder_fits(site: Site, book: LoadedBook) -> tuple[list[RecorderFit], dict[str, str]]:
    """Recorder items in reach of the site, and why each other one is not."""
    drives = [d for d in book.by_kind(Drive) if d.id not in site.policy.forbid]
    writers = [w for w in book.by_kind(OpticalWriter) if w.id not in site.policy.forbid]
    fits, refused = [], {}
    for recorder in book.by_kind(Recorder):
        limit = _refusal(site, recorder, bool(writers))
        fit = None if limit else _fit(site, recorder, drives)
        if fit is None:
            refused[recorder.id] = limit or "no drive or array it takes gives what is asked"
        else:
            fits.append(fit)
    return fits, refused


def _refusal(site: Site, recorder: Recorder, writers: bool) -> str:
    asked = site.recording
    if recorder.id in site.policy.forbid:
        return "it is forbidden"
    if asked.codec not in recorder.codecs:
        return f"it does not record {asked.codec}"
    for way in asked.export:
        if way == "optical":
            if recorder.optical == "none" or (recorder.optical != "built_in" and not writers):
                return "it takes no optical writer"
        elif way not in recorder.export:
            return f"it has no {way} export"
    have: dict[str, int] = {str(k): v for k, v in recorder.displays.items()}
    for output, count in asked.displays.model_dump().items():
        if have.get(output, 0) < count:
            return f"it has {have.get(output, 0)} {output} outputs, {count} are asked"
    if asked.drive_failures and not _arrays(site, recorder):
        drives = "a drive" if asked.drive_failures == 1 else f"{asked.drive_failures} drives"
        return f"no array of it survives the failure of {drives}"
    return ""


def _arrays(site: Site, recorder: Recorder) -> tuple[str, ...]:
    failures = site.recording.drive_failures
    if failures == 0:
        return ("single",)
    return tuple(a for a in recorder.arrays if array_survives(a) >= failures)


def _fit(site: Site, recorder: Recorder, drives: list[Drive]) -> RecorderFit | None:
    optical = "optical" in site.recording.export
    bays = recorder.bays - (1 if optical and recorder.optical == "drive_bay" else 0)
    arrays = tuple(a for a in _arrays(site, recorder) if least_drives(a) <= bays)
    fitting = tuple(
        DriveFit(d.id, down(d.capacity / GB))
        for d in drives
        if d.capacity <= recorder.largest_drive
    )
    if not arrays or not fitting or bays < 1:
        return None
    poe = recorder.poe
    total = sum(g.count for g in recorder.inputs)
    return RecorderFit(
        item=recorder.id,
        recorder=recorder,
        arrays=arrays,
        drives=fitting,
        bays=bays,
        channels=recorder.channels or total,
        kilopixels=down(Fraction(recorder.encode_rate or 0) / 1000),
        kbit=down(Fraction(recorder.ingest or 0) / 1000),
        eighths=8 * recorder.unit_loads,
        ports=poe.ports if poe else 0,
        port_load=port_power(poe.poe_class) if poe else 0,
        port_budget=down(poe.budget * 100) if poe else 0,
        writer=optical and recorder.optical in ("own_bay", "drive_bay"),
    )


def least_drives(array: str) -> int:
    """Fewest drives of an array as the model uses it."""
    return {"single": 1, "mirror": 2, "5": 3, "6": 4, "10": 4}[array]


def usable_drives(array: str, bays: int) -> int:
    """Drives of a full array whose capacity counts."""
    if array == "single":
        return bays
    return bays // 2 if array in ("mirror", "10") else bays - parity(array)


def parity(array: str) -> int:
    """Drives of an array whose capacity is not usable, for arrays that are not pairs."""
    return {"5": 1, "6": 2}[array]
