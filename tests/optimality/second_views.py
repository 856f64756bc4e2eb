"""Which camera item, how many of it, in which zone: RULES 1 and 5.7.

A number of cameras may stand where it is the least that keeps the detail for the picture of some
recorder that the site can use; of an item that the site wants used, any larger number may.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from optimizer.pricebook.schema import Camera, Recorder
from optimizer.site.schema import Zone
from tests.optimality.linear import Terms
from tests.optimality.readings import (
    bays,
    camera_suits,
    detail_met,
    group_of,
    recorder_suits,
    takes_writer,
)

if TYPE_CHECKING:
    from tests.optimality.second import Kit


@dataclass
class Slot:
    """One possible camera of a zone.

    Attributes
    ----------
    on : dict
        By camera item: terms that sum to 1 where this slot holds that item.
    good : dict
        By camera and recorder item: terms that sum to 1 where the slot holds the camera and the
        number of cameras in the zone is enough for the picture that this recorder keeps.
    at : dict
        By recorder unit: terms that sum to 1 where this slot is recorded there.
    """

    zone: Zone
    number: int
    place: str
    on: dict[str, Terms] = field(default_factory=dict)
    good: dict[tuple[str, str], Terms] = field(default_factory=dict)
    at: dict[tuple[str, str], Terms] = field(default_factory=dict)

    def active(self) -> Terms:
        return [term for terms in self.on.values() for term in terms]


def see(kit: Kit) -> bool:
    """One camera item and one number for each zone; False where a zone has no candidate."""
    recorders = [r for r in kit.kind("recorder") if isinstance(r, Recorder) and _usable(kit, r)]
    wanted = {need.item for need in kit.site.policy.require}
    wanted |= {own.item for own in kit.site.owned if own.pinned}
    models: dict[str, list[int]] = {}
    for zone in kit.site.zones:
        ways: list[tuple[Camera, int, int, set[str]]] = []
        for camera in kit.kind("camera"):
            if not isinstance(camera, Camera) or not camera_suits(kit.site, zone, camera):
                continue
            met: set[str] = set()
            for count in range(1, zone.most_cameras + 1):
                before = met
                met = {
                    recorder.id
                    for recorder in recorders
                    if (group := group_of(recorder, camera.family)) is not None
                    and detail_met(kit.site, zone, camera, count, group)
                }
                # The least number for a recorder is the one at which it begins to do.
                if met - before or (met and camera.id in wanted):
                    ways.append((camera, count, kit.program.var(), met))
        if not ways:
            return False
        kit.program.row([(1, way) for _, _, way, _ in ways], 1, 1)
        for number in range(1, max(count for _, count, _, _ in ways) + 1):
            slot = Slot(zone, number, f"{zone.id}/{number}")
            for camera, count, way, met in ways:
                if count >= number:
                    slot.on.setdefault(camera.id, []).append((1, way))
                    for recorder_id in met:
                        slot.good.setdefault((camera.id, recorder_id), []).append((1, way))
            kit.slots.append(slot)
            for camera_id, terms in slot.on.items():
                kit.uses(camera_id, terms)
        for camera, count, way, _ in ways:
            models.setdefault(camera.id, []).append(way)
            kit.note(f"split/{count}", [(1, way)])
            kit.note(f"family/{camera.family}", [(1, way)])
    _limit_models(kit, models)
    _brackets(kit)
    return True


def _usable(kit: Kit, recorder: Recorder) -> bool:
    """RULES 2.3 to 2.5, as far as 1.1 asks: codec, export, displays, a drive and an array."""
    least = {
        0: [1],
        1: [{"mirror": 2, "5": 3, "10": 4, "6": 4}[array] for array in recorder.arrays],
        2: [4] if "6" in recorder.arrays else [],
    }[kit.site.recording.drive_failures]
    return (
        recorder_suits(kit.site, recorder)
        and (not takes_writer(kit.site, recorder) or bool(kit.kind("optical_writer")))
        and any(d.capacity <= recorder.largest_drive for d in kit.kind("drive"))
        and any(number <= bays(kit.site, recorder) for number in least)
    )


def _limit_models(kit: Kit, models: dict[str, list[int]]) -> None:
    most = kit.site.policy.most_camera_models
    if most is None:
        return
    used: Terms = []
    for ways in models.values():
        one = kit.program.var()
        used.append((1, one))
        for way in ways:
            kit.program.at_most([(1, way)], [(1, one)])
    kit.program.row(used, high=most)


def _brackets(kit: Kit) -> None:
    patterns: dict[str, Terms] = {}
    for slot in kit.slots:
        for camera_id, terms in slot.on.items():
            pattern = kit.items[camera_id].bracket
            if pattern is not None:
                patterns.setdefault(pattern, []).extend(terms)
    for pattern, terms in patterns.items():
        choice = []
        for item in kit.kind("bracket"):
            if pattern in item.fits:
                taken = [(1, kit.program.var(len(kit.slots)))]
                kit.uses(item.id, taken)
                choice += taken
        kit.program.equal(terms, choice)
        kit.note("bracket", terms)
