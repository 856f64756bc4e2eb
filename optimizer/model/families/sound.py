"""Audio points: every one is recorded.

For a point: the ways that stand alone (A1, A3, A4) and those tied to a camera of its zone (A5 to
A8) sum to one. Ways whose sound comes over an audio pair (A1, A4, A6, A8 without a lead) take one.
"""

from __future__ import annotations

from optimizer.instance.amounts import GB, up
from optimizer.instance.sound import SoundTable
from optimizer.instance.streams import Stream, audio_bytes
from optimizer.model.draft import Draft, Terms


def write(draft: Draft) -> None:
    """Add the audio points."""
    for index, sound in enumerate(draft.instance.sounds):
        _point(draft, index, sound)
        for entry, cable in enumerate(sound.point.existing):
            terms = draft.kept.get((f"sound{index}", entry))
            if terms:
                draft.program.row(
                    f"existing/{sound.point.id}/{entry}",
                    [f"audio.{sound.point.id}/existing"],
                    terms,
                    hi=cable.count,
                )


def _point(draft: Draft, index: int, sound: SoundTable) -> None:
    program = draft.program
    name = sound.point.id
    tags = [f"audio.{name}/recorded"]
    ways: Terms = []
    paired: Terms = []
    alone: Terms = []
    for way, microphone, option in sound.alone:
        var = program.var(f"sound/{name}/{way}.{len(ways)}", 1)
        draft.own(var, ("sound", index), 1)
        draft.take(f"sound{index}", option, var)
        draft.used[microphone].append((var, 1))
        draft.sounds.append((index, way, microphone, option, var))
        ways.append((var, 1))
        alone.append((var, 1))
        if way != "A3":
            paired.append((var, 1))
    tied, tied_pairs = _tied(draft, index, sound)
    # The sound of a zone that is left out goes with it.
    gone = None if sound.zone is None else draft.gone.get(sound.zone.id)
    left_out = [] if gone is None else [(gone, 1)]
    program.equal(f"sound/{name}", tags, [*ways, *tied, *left_out], 1)
    paired += tied_pairs
    pairs: Terms = []
    for number, option in enumerate(sound.signals):
        var = program.var(f"sound/{name}/pair.{number}", 1)
        draft.own(var, ("signal", index), 1)
        draft.take(f"sound{index}", option, var)
        draft.signals.append((index, option, var))
        pairs.append((var, 1))
    program.equal(f"sound/{name}/pair", tags, [*pairs, *((c, -k) for c, k in paired)])
    if alone:
        site = draft.instance.site
        inputs = tuple(f.item for f in draft.instance.recorders if f.recorder.audio_inputs > 0)
        stream = Stream(None, 0, up(audio_bytes(site, sound.point) / GB), 0, 1, 0, 0, False, inputs)
        var = program.var(f"sound/{name}/stream", 1)
        draft.sound_streams.append((index, stream, var))
        draft.streams[stream].append((var, 1))
        program.equal(f"sound/{name}/stream", tags, [*alone, (var, -1)])


def _tied(draft: Draft, index: int, sound: SoundTable) -> tuple[Terms, Terms]:
    """Terms of all ways tied to a camera, and of those that need an audio pair."""
    if not sound.tied:
        return [], []
    number, table = next((i, t) for i, t in enumerate(draft.instance.zones) if t.sound is sound)
    program = draft.program
    name = sound.point.id
    tags = [f"audio.{name}/recorded"]
    ways: Terms = []
    pairs: Terms = []
    audio_leads: Terms = []
    for place, profile_number, feeding, var in draft.feedings:
        if place != number:
            continue
        profile = table.profiles[profile_number]
        path = None if feeding.path is None else table.paths[profile.family][feeding.path]
        over_lead = path is not None and path.audio
        if feeding.microphone is None:
            if over_lead:
                audio_leads.append((var, 1))
            continue
        ways.append((var, 1))
        if not over_lead:
            pairs.append((var, 1))
    by_lead: Terms = []
    for candidate_number, candidate in enumerate(table.candidates):
        camera = candidate.view.camera
        seen = draft.cameras[number, candidate_number]
        for way, microphone in _of_camera(sound, camera.family, camera.audio):
            var = program.var(f"sound/{name}/{way}.{camera.id}.{microphone or 'own'}", 1)
            program.row(
                f"sound/{name}/{way}.{camera.id}.{microphone or 'own'}",
                tags,
                [(seen, candidate.view.count), (var, -1)],
                lo=0,
            )
            ways.append((var, 1))
            draft.sounds.append((index, way, microphone, None, var))
            if microphone:
                draft.used[microphone].append((var, 1))
            if way == "A8 pair":
                pairs.append((var, 1))
            elif way == "A8 lead":
                by_lead.append((var, 1))
    if by_lead:
        program.row(
            f"sound/{name}/leads", tags, [*audio_leads, *((c, -k) for c, k in by_lead)], lo=0
        )
    _tied_streams(draft, number, ways, tags)
    return ways, pairs


def _of_camera(sound: SoundTable, family: str, audio: str) -> list[tuple[str, str | None]]:
    """Ways that rest on what the camera itself has."""
    if family == "network":
        if audio == "built_in":
            return [("A7", None)]
        return [("A7", m.id) for m in sound.plug_in] if audio == "input" else []
    return [("A8 pair", None), ("A8 lead", None)] if audio == "built_in" else []


def _tied_streams(draft: Draft, number: int, ways: Terms, tags: list[str]) -> None:
    """As many streams with sound as ways tied to a camera, on the camera that is chosen."""
    with_sound = [
        (s.var, -1) for s in draft.stream_choices if s.table == number and s.sound != "none"
    ]
    name = draft.instance.zones[number].name
    draft.program.equal(f"sound/{name}/tied", tags, [*ways, *with_sound])
