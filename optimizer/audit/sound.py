"""Section 4 of the rules: audio points."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from optimizer.audit.case import Case, Fitted, Heard
from optimizer.audit.feeding import MICROPHONE_FEED
from optimizer.audit.finding import Fault, Rule

WAYS: dict[str, tuple[str, ...]] = {
    "any": ("A1", "A3", "A4", "A5", "A6", "A7", "A8"),
    "room": ("A1", "A3"),
    "local": ("A4",),
    "camera": ("A5", "A6", "A7", "A8"),
}
"""Ways that an audio point's `power` leaves open."""

FED: dict[str, str] = {
    "A1": "separate_pair",
    "A3": "own_pair",
    "A4": "local",
    "A5": "camera",
    "A6": "camera",
    "A7": "none",
    "A8": "none",
}
"""How the microphone of each way is fed."""

OWN_RUNS: dict[str, tuple[tuple[str, ...], ...]] = {
    "A1": (("audio_pair", "power_pair"),),
    "A3": (("lead",),),
    "A4": (("audio_pair",),),
    "A5": ((),),
    "A6": (("audio_pair",),),
    "A7": ((),),
    "A8": (("audio_pair",), ()),
}
"""Media of a point's own runs; A8 has none where its camera's leads carry the sound."""

TIED = ("A5", "A6", "A7", "A8")
VOLTS_NEEDED = ("A1", "A3", "A4", "A5", "A6")


def points(case: Case) -> Iterator[Fault]:
    """Each audio point is met."""
    met = {s.place for s in case.sounds}
    for point in case.site.audio.points:
        if point.id not in met:
            yield Fault(point.id, "missing", "no microphone records this point", 0, 1)


def ways(case: Case) -> Iterator[Fault]:
    """The way is one that the point's power allows, and its runs are those of the way."""
    for sound in case.sounds:
        way, power = sound.stated.way, sound.point.power
        if way not in WAYS[power]:
            text = f"way {way} is not for power: {power} ({', '.join(WAYS[power])})"
            yield Fault(sound.place, "limit", text)
        media = tuple(sorted(r.medium for r in sound.runs))
        if media not in OWN_RUNS[way]:
            words = " or ".join(" + ".join(m) or "no run" for m in OWN_RUNS[way])
            given = ", ".join(media) or "none"
            text = f"way {way} has {words} of its own, the design gives {given}"
            fewer = len(media) < min(len(m) for m in OWN_RUNS[way])
            yield Fault(sound.place, "missing" if fewer else "mismatch", text)
        lead = sound.run("lead")
        leads = () if lead is None else lead.leads
        if way == "A3" and not all(set(x.carries) == {"power", "audio"} for x in leads):
            yield Fault(sound.place, "limit", "its leads do not carry power and audio")
        if way == "A4" and not sound.point.mains:
            yield Fault(sound.place, "limit", "there is no mains at the point")
        if sound.stated.power.way != FED[way]:
            text = f"way {way} is fed by {FED[way]}, the design says {sound.stated.power.way}"
            yield Fault(sound.place, "mismatch", text)


def microphones(case: Case) -> Iterator[Fault]:
    """The microphone suits the way and the place; a camera's own replaces it."""
    for sound in case.sounds:
        way, microphone = sound.stated.way, sound.microphone
        built_in = way == "A8" or (
            way == "A7" and sound.camera is not None and sound.camera.item.audio == "built_in"
        )
        if built_in:
            if microphone is not None:
                text = f"the camera hears by itself, {microphone.id} has no job"
                yield Fault(sound.place, "mismatch", text)
            continue
        if microphone is None:
            yield Fault(sound.place, "missing", f"way {way} has no microphone", 0, 1)
            continue
        if way in VOLTS_NEEDED and microphone.volts is None:
            yield Fault(sound.place, "limit", f"{microphone.id} takes no supply")
        if way == "A7" and not microphone.plug_in:
            yield Fault(sound.place, "limit", f"{microphone.id} does not plug into a camera")
        outdoors = sound.point.place == "outdoors" or (
            sound.zone is not None and sound.zone.place == "outdoors"
        )
        if outdoors and not microphone.outdoors:
            yield Fault(sound.place, "limit", f"{microphone.id} is not made for outdoors")


def ties(case: Case) -> Iterator[Fault]:
    """A5 to A8 go with one camera of the point's zone, on its recorder; others with none."""
    for sound in case.sounds:
        way, camera = sound.stated.way, sound.camera
        if way not in TIED:
            if camera is not None:
                text = f"way {way} needs no camera, yet is tied to {camera.place}"
                yield Fault(sound.place, "mismatch", text)
            continue
        if camera is None:
            yield Fault(sound.place, "missing", f"way {way} needs a camera of its zone", 0, 1)
            continue
        if sound.zone is None or camera.zone.id != sound.zone.id:
            zone = "no zone" if sound.zone is None else sound.zone.id
            text = f"belongs to {zone}, {camera.place} looks at {camera.zone.id}"
            yield Fault(sound.place, "mismatch", text)
        if sound.recorder.id != camera.recorder.id:
            text = (
                f"is recorded on {sound.recorder.id}, its camera {camera.place} on "
                f"{camera.recorder.id}"
            )
            yield Fault(sound.place, "mismatch", text)
        yield from _camera_suits(case, sound, camera)
    for place, times in Counter(s.stated.camera for s in case.sounds if s.stated.camera).items():
        if times > 1:
            yield Fault(str(place), "limit", f"carries {times} audio points", times, 1)


def _camera_suits(case: Case, sound: Heard, camera: Fitted) -> Iterator[Fault]:
    way, item = sound.stated.way, camera.item
    wired = item.family != "network"
    audio_leads = bool(camera.path.leads) and all("audio" in x.carries for x in camera.path.leads)
    if way == "A5" and not (camera.stated.path == "V5" and audio_leads):
        yield Fault(sound.place, "limit", f"{camera.place} has no leads that carry audio")
    if way in ("A5", "A6"):
        if not wired:
            yield Fault(sound.place, "limit", f"way {way} needs composite or hd_coax")
        yield from _shared_feed(case, sound, camera)
    if way == "A7" and (wired or item.audio == "none"):
        text = f"{item.id} ({item.family}, audio: {item.audio}) carries no sound in its stream"
        yield Fault(sound.place, "limit", text)
    if way == "A8":
        if not wired or item.audio != "built_in":
            text = f"{item.id} ({item.family}, audio: {item.audio}) has no microphone with a wire"
            yield Fault(sound.place, "limit", text)
        if not sound.runs and not (camera.stated.path == "V5" and audio_leads):
            yield Fault(sound.place, "missing", "has no audio pair and no leads that carry audio")


def _shared_feed(case: Case, sound: Heard, camera: Fitted) -> Iterator[Fault]:
    power = camera.stated.power
    if power.way not in ("own_pair", "separate_pair"):
        text = f"{camera.place} is fed by {power.way}, which a microphone cannot share"
        yield Fault(sound.place, "limit", text)
        return
    supply = case.supplies[power.unit or ""][1]
    if supply.feed != MICROPHONE_FEED:
        text = f"{camera.place} is fed with {supply.feed}, a microphone takes {MICROPHONE_FEED}"
        yield Fault(sound.place, "limit", text)


RULES = (
    Rule("4 points", points),
    Rule("4 ways", ways),
    Rule("4 microphones", microphones),
    Rule("4 cameras", ties),
)
