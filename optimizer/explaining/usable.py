"""Outer limits of what a site can have, taken from its tables: sums that can be done by hand."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from optimizer.instance import Instance, ZoneTable
from optimizer.instance.amounts import GB, up
from optimizer.instance.recorders import RecorderFit, parity, usable_drives


@dataclass(frozen=True)
class Stored:
    """The least that a zone has to keep.

    Attributes
    ----------
    words : str
        The sum.
    gigabytes : int
    camera : str
        Item that brings it down to that.
    """

    zone: str
    gigabytes: int
    camera: str
    words: str


def most_cameras(instance: Instance) -> int:
    """Cameras that there can be at most."""
    return sum(
        max((c.view.count for c in t.candidates), default=0) * len(t.zones) for t in instance.zones
    )


def usable_recorders(instance: Instance) -> list[RecorderFit]:
    """Recorders that can take at least one camera of the site."""
    named = {
        item
        for table in instance.zones
        for candidate in table.candidates
        for level in candidate.levels
        for item in level.recorders
    }
    return [fit for fit in instance.recorders if fit.item in named]


def best_usable(fit: RecorderFit) -> tuple[int, str]:
    """Most capacity of one unit, with the sum. [GB]"""
    largest = max(drive.gigabytes for drive in fit.drives)
    found: list[tuple[int, str]] = []
    for array in fit.arrays:
        drives = usable_drives(array, fit.bays)
        if array == "single":
            words = f"{fit.bays} x {largest:,} GB"
        elif array in ("mirror", "10"):
            words = f"half of {2 * drives} drives in mirrored pairs, {drives} x {largest:,} GB"
        else:
            lost = parity(array)
            words = (
                f"an array of level {array} uses {lost} of {fit.bays} drives for safety, "
                f"{drives} x {largest:,} GB"
            )
        found.append((drives * largest, f"{words} = {drives * largest:,} GB"))
    return max(found)


def least_stored(instance: Instance, table: ZoneTable) -> Stored | None:
    """The least that a zone's cameras have to keep; None where it has none."""
    site, zone = instance.site, table.zone
    found = [
        (c.view.count * up(level.stored / GB), c.view.count, c.view.camera.id, level)
        for c in table.candidates
        for level in c.levels
    ]
    if not found:
        return None
    gigabytes, number, camera, level = min(found, key=lambda one: (one[0], one[2]))
    days, share = site.retention_days(zone), Fraction(zone.recorded)
    hours = float(share * 24)
    factors = [f"{float(level.rate) / 1e6:.3f} Mbit/s / 8 x {hours:g} x 3,600 s x {days:f} days"]
    if site.spare.storage:
        factors.append(f"x {float(1 + site.spare.storage):g} to spare")
    if site.recording.reserve:
        factors.append(f"/ {float(1 - site.recording.reserve):g} to keep free")
    many = f"{number} cameras, each " if number > 1 else ""
    return Stored(
        zone.id,
        gigabytes,
        camera,
        f"{zone.id} has to keep at least, with {camera}: {many}{' '.join(factors)} = "
        f"{up(level.stored / GB):,} GB" + (f", together {gigabytes:,} GB." if number > 1 else "."),
    )


def inputs_needed(instance: Instance) -> list[str]:
    """Audio points that no network camera can record in its stream."""
    needed = []
    for sound in instance.sounds:
        table = next((t for t in instance.zones if t.sound is sound), None)
        streamed = table is not None and any(
            c.view.camera.family == "network" and c.view.camera.audio != "none"
            for c in table.candidates
        )
        if not streamed:
            needed.append(sound.point.id)
    return needed


__all__ = [
    "Stored",
    "best_usable",
    "inputs_needed",
    "least_stored",
    "most_cameras",
    "usable_recorders",
]
