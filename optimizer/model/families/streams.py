"""Streams: every camera is recorded at one of its levels.

With s the cameras of a candidate on a level, by whether the recorder's own port feeds them and
whether they bring sound:

    sum of s of a candidate = n_c y_tc
    sum over a profile's candidates of s fed by the recorder = its feeds of that kind
"""

from __future__ import annotations

from optimizer.instance.recorders import RecorderFit
from optimizer.instance.streams import Stream, stream_of
from optimizer.instance.tables import Candidate, ZoneTable
from optimizer.model.draft import Draft, StreamChoice, Terms


def write(draft: Draft) -> None:
    """Add the streams of all cameras."""
    by_port: dict[tuple[int, int], Terms] = {}
    for place, profile, feeding, var in draft.feedings:
        if feeding.option.kind == "F4 recorder":
            by_port.setdefault((place, profile), []).append((var, -1))
    for index, table in enumerate(draft.instance.zones):
        ported: dict[int, Terms] = {}
        for number, candidate in enumerate(table.candidates):
            _candidate(draft, index, number, table, candidate, ported)
        for number in range(len(table.profiles)):
            feeds = by_port.get((index, number))
            if feeds:
                draft.program.equal(
                    f"stream/{table.name}/{number}.ports",
                    table.tags("run"),
                    [*ported.get(number, []), *feeds],
                )


def _candidate(
    draft: Draft,
    index: int,
    number: int,
    table: ZoneTable,
    candidate: Candidate,
    ported: dict[int, Terms],
) -> None:
    program = draft.program
    camera = candidate.view.camera
    most = candidate.view.count * len(table.zones)
    profile = table.profiles[candidate.profile]
    # A mount may have the same camera several times, to look or to record in different ways.
    own = f"{camera.id}x{candidate.view.count}" + (f".{number}" if table.optional else "")
    powers = {0}
    for feeding in profile.feedings:
        if feeding.option.kind == "F4 recorder":
            powers.add(round((feeding.option.watts or 0) * 100))
    tied = table.sound is not None and table.sound.tied
    sounds = ["none"]
    if tied:
        sounds.append("stream" if camera.family == "network" else "input")
    total: Terms = []
    for level, asked in table.ways(number):
        for power in sorted(powers):
            for sound in sounds:
                point = table.sound.point if table.sound and sound != "none" else None
                stream = stream_of(
                    draft.instance.site,
                    asked,
                    camera,
                    level,
                    port=power,
                    sound=point,
                    in_stream=sound == "stream",
                )
                stream = _narrowed(stream, draft.instance.recorders)
                if not stream.recorders:
                    continue
                var = program.var(f"stream/{table.name}/{own}.{len(total)}", most)
                cap = max(c.view.count for c in table.candidates) * len(table.zones)
                draft.own(var, ("stream", index), cap)
                total.append((var, 1))
                draft.streams[stream].append((var, 1))
                draft.stream_choices.append(
                    StreamChoice(index, candidate, level, stream, sound, var, asked)
                )
                if power:
                    ported.setdefault(candidate.profile, []).append((var, 1))
    program.equal(
        f"stream/{table.name}/{own}",
        table.tags("seen"),
        [*total, (draft.cameras[index, number], -candidate.view.count)],
    )


def _narrowed(stream: Stream, recorders: tuple[RecorderFit, ...]) -> Stream:
    return stream._replace(recorders=tuple(f.item for f in recorders if f.takes(stream)))
