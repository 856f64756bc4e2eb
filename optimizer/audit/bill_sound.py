"""A bill alone: microphones, audio inputs and audio cable (section 4 of the rules).

Every "missing" and "limit" here is a necessary condition; see :mod:`optimizer.audit.kit`.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from optimizer.audit.figures import down
from optimizer.audit.finding import Fault, counted, figure
from optimizer.audit.flow import shortage
from optimizer.audit.kit import BillRule, Choice, Kit, compare
from optimizer.audit.sound import WAYS
from optimizer.audit.structure import cut_length_cm
from optimizer.pricebook import schema as book
from optimizer.site.schema import AudioPoint


def _choices(kit: Kit, point: AudioPoint) -> list[Choice]:
    """Cameras that may carry a point: of its zone, where its power lets a camera."""
    if point.zone is None or "A7" not in WAYS[point.power]:
        return []
    return kit.choices.get(point.zone, [])


def _in_stream(kit: Kit, point: AudioPoint) -> bool:
    """Whether a point may travel in a network camera's stream (A7)."""
    return any(
        c.camera.family == "network" and c.camera.audio != "none" for c in _choices(kit, point)
    )


def _hears_by_itself(kit: Kit, point: AudioPoint) -> bool:
    """Whether a camera's own microphone may serve a point (A7, A8)."""
    return any(c.camera.audio == "built_in" for c in _choices(kit, point))


def _outdoors(kit: Kit, point: AudioPoint) -> bool:
    zones = {z.id: z for z in kit.site.views}
    zone = zones.get(point.zone or "")
    return point.place == "outdoors" or (zone is not None and zone.place == "outdoors")


def microphones(kit: Kit) -> Iterator[Fault]:
    """A microphone for each point that no camera hears by itself (necessary)."""
    demands: list[tuple[int, frozenset[str]]] = []
    names: list[str] = []
    for point in kit.site.audio.points:
        if _hears_by_itself(kit, point):
            continue
        able = frozenset(
            m.id
            for m, _ in kit.of(book.Microphone)
            if (m.outdoors or not _outdoors(kit, point))
            and (m.volts is not None or (m.plug_in and _in_stream(kit, point)))
        )
        demands.append((1, able))
        names.append(point.id)
    short = shortage(demands, kit.pieces)
    if short is not None:
        points = ", ".join(names[i] for i in short.demands)
        text = (
            f"{counted(short.wanted, 'microphone')} needed (points: {points}), the kit holds "
            f"{short.there} to suit"
        )
        yield Fault("microphones", "missing", text, short.there, short.wanted)


def audio_inputs(kit: Kit) -> Iterator[Fault]:
    """An audio input for each point that no stream can carry (necessary)."""
    wired = sum(1 for p in kit.site.audio.points if not _in_stream(kit, p))
    there = sum(n * r.audio_inputs for r, n in kit.recorders)
    yield from compare("recorders", "audio inputs", there, wired)


def audio_wires(kit: Kit) -> Iterator[Fault]:
    """An audio lead, a cut audio pair or an existing one for each wired point (necessary)."""
    leads = sum(n for x, n in kit.of(book.Lead) if "audio" in x.carries)
    allowance = Fraction(kit.site.assumptions.end_allowance)
    cuts = sorted(
        cut_length_cm(Fraction(p.run), allowance)
        for p in kit.site.audio.points
        if not _in_stream(kit, p) and not any(e.medium == "audio_pair" for e in p.existing)
    )
    boxes = [
        n * down(Fraction(c.box) * 100) for c, n in kit.of(book.Cable) if c.medium == "audio_pair"
    ]
    if not boxes:
        yield from compare("audio leads", "leads that carry sound", leads, len(cuts))
        return
    needed, there = sum(cuts[: max(0, len(cuts) - leads)]), sum(boxes)
    if there < needed:
        text = (
            f"at least {figure(Fraction(needed, 100))} m of audio pair are cut, the boxes hold "
            f"{figure(Fraction(there, 100))} m"
        )
        yield Fault("audio cable", "missing", text, Fraction(there, 100), Fraction(needed, 100))


def audio_connectors(kit: Kit) -> Iterator[Fault]:
    """Two connectors for each audio pair that must be cut (necessary)."""
    leads = sum(n for x, n in kit.of(book.Lead) if "audio" in x.carries)
    points = sum(
        1
        for p in kit.site.audio.points
        if not _in_stream(kit, p) and not any(e.medium == "audio_pair" for e in p.existing)
    )
    there = sum(n for c, n in kit.of(book.Connector) if c.type == "rca")
    runs = max(0, points - leads)
    yield from compare("rca", f"rca connectors for {counted(runs, 'audio pair')}", there, 2 * runs)


def idle_microphones(kit: Kit) -> Iterator[Fault]:
    """Bought microphones beyond the audio points."""
    points = len(kit.site.audio.points)
    total = sum(kit.bought.get(m.id, 0) for m, _ in kit.of(book.Microphone))
    if total > points:
        text = f"{total} bought, the site has {counted(points, 'audio point')}"
        yield Fault("microphones", "surplus", text, total, points)


RULES = (
    BillRule("4 microphones", microphones),
    BillRule("4 audio inputs", audio_inputs),
    BillRule("4 audio wires", audio_wires),
    BillRule("4 audio connectors", audio_connectors),
    BillRule("4 idle microphones", idle_microphones),
)
