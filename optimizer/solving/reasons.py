"""Plain reasons, found while the tables were built, why something cannot be had."""

from __future__ import annotations

from collections import Counter

from optimizer.instance import Instance, ZoneTable
from optimizer.instance.optics import Refusal
from optimizer.instance.sound import SoundTable
from optimizer.solving.answer import Reason


def reasons(instance: Instance) -> tuple[Reason, ...]:
    """What has no candidate left, and which limits took the last ones out."""
    found: list[Reason] = []
    for table in instance.zones:
        if not table.candidates:
            found += _zone(table)
    for sound in instance.sounds:
        if _silent(instance, sound):
            found.append(
                Reason(
                    place=f"audio.{sound.point.id}/recorded",
                    limit="no microphone, audio cable and feed in the price book reach this point",
                )
            )
    if not instance.recorders:
        limits = Counter(instance.recorder_refusals.values())
        found += [
            Reason(place="recording/recorder", limit=f"no recorder is left: {words}", taken_out=n)
            for words, n in limits.most_common()
        ]
    return tuple(found)


def _zone(table: ZoneTable) -> list[Reason]:
    """The limits that took cameras out, by how many each took, last limits first."""
    by_quantity: dict[str, list[tuple[str, Refusal]]] = {}
    for item, refusal in table.refusals:
        by_quantity.setdefault(refusal.quantity, []).append((item, refusal))
    ranked = sorted(
        by_quantity.items(), key=lambda kv: _LAST.index(kv[0]) if kv[0] in _LAST else 99
    )
    out = []
    for zone in table.zones:
        for quantity, out_of_it in ranked:
            out.append(
                Reason(
                    place=f"zones.{zone.id}/{quantity}",
                    limit=_limit(out_of_it),
                    taken_out=len(out_of_it),
                )
            )
    return out


def _limit(out_of_it: list[tuple[str, Refusal]]) -> str:
    """What the cameras fall to: the one that comes nearest, or what most of them lack."""
    count = len(out_of_it)
    cameras = "1 camera item is" if count == 1 else f"{count} camera items are"
    measured = [(r.figure, item, r.limit) for item, r in out_of_it if r.figure is not None]
    if measured:
        _, item, words = max(measured, key=lambda m: m[0])
        return f"{cameras} out; the one that comes nearest is {item}: {words}"
    words, times = Counter(r.limit for _, r in out_of_it).most_common(1)[0]
    share = "all" if times == count else f"{times} of them"
    return f"{cameras} out; {share}: {words}"


_LAST = ("run", "detail", "width", "recorder", "night", "frame_rate")
"""Limits in the reverse of the order in which they are looked at: the first that is named took
out cameras that had passed everything else."""


def _silent(instance: Instance, sound: SoundTable) -> bool:
    """Whether no way at all is left for an audio point."""
    if sound.alone and any(o for *_, o in sound.alone):
        return False
    table = next((t for t in instance.zones if t.sound is sound), None)
    if table is None:
        return True
    return not any(f.microphone for p in table.profiles for f in p.feedings) and not any(
        c.view.camera.audio != "none" for c in table.candidates
    )
