"""Checks of a site file that need more than one field.

They look at the plain data, before and apart from the schema, so that a file is told everything
that is wrong with it at once; what has not the shape that the schema asks is passed over here,
because the schema has already refused it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import Any

from optimizer.engineering.detail import DETAIL_LEVELS
from optimizer.errors import Trouble, listed, quoted
from optimizer.reading import Source
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath, dotted
from optimizer.site.schema import LEVEL_NAMES, STANDARDS

_MOST_GUESSED = 20  # unknown zones whose likely meaning is looked for: thousands would take long


def consistency(source: Source) -> list[Trouble]:
    """Everything in a site file that does not go together.

    Parameters
    ----------
    source : Source
        What was read as a site.

    Returns
    -------
    list of Trouble
        Ids that stand twice, levels of another edition, audio points at no zone, items that are
        both asked for and forbidden.
    """
    return [
        *_twins(source),
        *_levels(source),
        *_audio(source),
        *_forbidden(source),
        *_plan(source),
    ]


def _at(data: Any, path: FieldPath) -> Any:
    for step in path:
        data = data.get(step) if isinstance(data, dict) else None
    return data


def _texts(source: Source, path: FieldPath, key: str | None) -> list[tuple[FieldPath, str]]:
    """Path and text of a field in each entry of a list, or of each entry itself."""
    entries = _at(source.data, path)
    found = []
    for index, entry in enumerate(entries if isinstance(entries, list) else ()):
        at: FieldPath = (*path, index) if key is None else (*path, index, key)
        text = entry if key is None else _at(entry, (key,))
        if isinstance(text, str):
            found.append((at, text))
    return found


def _trouble(
    source: Source, path: FieldPath, value: str | None, what: str, accepted: str, hint: str
) -> Trouble:
    return Trouble(what, source.name, source.line_of(path), dotted(path), value, accepted, hint)


def _twins(source: Source) -> Iterator[Trouble]:
    lists: tuple[tuple[FieldPath, str | None], ...] = (
        (("zones",), "id"),
        (("mounts",), "id"),
        (("plan", "walls"), "id"),
        (("plan", "obstacles"), "id"),
        (("plan", "routes"), "id"),
        (("plan", "risers"), "id"),
        (("plan", "keep_outs"), "id"),
        (("audio", "points"), "id"),
        (("owned",), "item"),
        (("policy", "require"), "item"),
        (("policy", "forbid"), None),
        (("policy", "families"), None),
        (("recording", "export"), None),
    )
    for path, key in lists:
        first: dict[str, FieldPath] = {}
        for at, text in _texts(source, path, key):
            if text in first:
                yield _trouble(
                    source,
                    at,
                    text,
                    f"{quoted(text)} stands twice in {dotted(path)}, "
                    f"first in line {source.line_of(first[text])}",
                    "each one once",
                    "rename or remove one of the two" if key == "id" else "remove one of the two",
                )
            first.setdefault(text, at)


def _levels(source: Source) -> Iterator[Trouble]:
    standard = source.data.get("standard", STANDARDS[0])
    if standard not in STANDARDS:
        return
    levels = DETAIL_LEVELS[standard[-4:]]
    stated = (_texts(source, path, "detail") for path in (("zones",), ("plan", "keep_outs")))
    for at, text in chain.from_iterable(stated):
        level = text.strip()
        if level in LEVEL_NAMES and level not in levels:
            other = next(s for s in STANDARDS if level in DETAIL_LEVELS[s[-4:]])
            yield _trouble(
                source,
                at,
                text,
                f'"{level}" is not a level of {standard}',
                f"{', '.join(levels)}, or a density such as 250 px/m",
                f"use one of these, or add a line 'standard: {other}' at the top level",
            )


def _audio(source: Source) -> Iterator[Trouble]:
    on_plan = {text for at, text in _texts(source, ("zones",), "id") if _on_plan(source, at)}
    every = dict.fromkeys(text for _, text in _texts(source, ("zones",), "id"))
    zones = {text: None for text in every if text not in on_plan}
    unknown = 0
    taken: dict[str, FieldPath] = {}
    points = _at(source.data, ("audio", "points"))
    for index, point in enumerate(points if isinstance(points, list) else ()):
        if not isinstance(point, dict):
            continue
        zone, here = point.get("zone"), ("audio", "points", index)
        if zone is None and point.get("power") == "camera":
            yield _trouble(
                source,
                (*here, "power"),
                "camera",
                "power from the camera needs the zone whose camera is at this spot",
                "a zone beside power: camera",
                "add a line 'zone: ...' to this audio point, or let power be any, room or local",
            )
        if not isinstance(zone, str):
            continue
        if zone in on_plan:
            yield _trouble(
                source,
                (*here, "zone"),
                zone,
                f"zone {quoted(zone)} is an area on the plan: it has no camera point of its own",
                listed(zones) or "no zone: all are areas on the plan",
                "leave zone out; the microphone then has a run of its own",
            )
        elif zone not in zones:
            yield _trouble(
                source,
                (*here, "zone"),
                zone,
                f"there is no zone {quoted(zone)}",
                listed(zones) or "no zone: the site has none that can be read",
                suggest(
                    zone,
                    zones if unknown < _MOST_GUESSED else (),
                    "name one of the zones, or leave zone out",
                ),
            )
            unknown += 1
        elif zone in taken:
            yield _trouble(
                source,
                (*here, "zone"),
                zone,
                f"zone {quoted(zone)} has an audio point already, "
                f"in line {source.line_of(taken[zone])}",
                "a zone without another audio point",
                "leave zone out for a second microphone there",
            )
        taken.setdefault(zone, (*here, "zone"))


def _forbidden(source: Source) -> Iterator[Trouble]:
    forbidden = {text: at for at, text in reversed(_texts(source, ("policy", "forbid"), None))}
    for at, text in _texts(source, ("policy", "require"), "item"):
        if text in forbidden:
            yield _trouble(
                source,
                at,
                text,
                f"{quoted(text)} is required, and forbidden in line "
                f"{source.line_of(forbidden[text])}",
                "items that policy.forbid does not name",
                "remove it from policy.require or from policy.forbid",
            )
    for at, text in _texts(source, ("owned",), "item"):
        pinned = _at(_at(source.data, ("owned",))[at[1]], ("pinned",))
        # The words that the schema reads as true.
        if text in forbidden and str(pinned).lower() in ("true", "yes", "on", "1", "t", "y"):
            yield _trouble(
                source,
                at,
                text,
                f"{quoted(text)} must be used (pinned), and is forbidden in line "
                f"{source.line_of(forbidden[text])}",
                "pinned items that policy.forbid does not name",
                "remove 'pinned: true', or the item from policy.forbid",
            )


def _on_plan(source: Source, at: FieldPath) -> bool:
    """Whether the entry around a field is a zone on the plan."""
    return "area" in _at(source.data, ("zones",))[at[1]]


def _plan(source: Source) -> Iterator[Trouble]:
    plan = source.data.get("plan")
    areas = [at for at, _ in _texts(source, ("zones",), "id") if _on_plan(source, at)]
    if areas and plan is None:
        yield _trouble(
            source,
            (*areas[0][:-1], "area"),
            None,
            "an area needs the plan that it lies on",
            "plan and mounts at the top level",
            "add a block 'plan:', or give distance, width and run in place of area",
        )
    elif areas and not source.data.get("mounts"):
        yield _trouble(
            source,
            ("mounts",),
            None,
            "the site has zones on its plan and no mount that could see them",
            "at least one mount",
            "add a list 'mounts:' with each place where a camera can be fixed",
        )
    elif plan is None and source.data.get("mounts"):
        what = "mounts need the plan that they stand on"
        hint = "add a block 'plan:', or remove the mounts"
        yield _trouble(source, ("mounts",), None, what, "plan at the top level", hint)
    taken = {text: at for at, text in _texts(source, ("zones",), "id")}
    taken.update({text: at for at, text in _texts(source, ("audio", "points"), "id")})
    for at, text in _texts(source, ("mounts",), "id"):
        if text in taken:
            yield _trouble(
                source,
                at,
                text,
                f"{quoted(text)} is also the id of {dotted(taken[text][:-1])}",
                "ids of mounts that no zone and no audio point has: answers name places by them",
                "rename one of the two",
            )
    yield from _on_levels(source, plan if isinstance(plan, dict) else {})


_LEVELLED: tuple[FieldPath, ...] = (
    ("zones",),
    ("mounts",),
    ("plan", "walls"),
    ("plan", "obstacles"),
    ("plan", "routes"),
    ("plan", "keep_outs"),
)


def _on_levels(source: Source, plan: dict[str, Any]) -> Iterator[Trouble]:
    stated = plan.get("levels")
    levels = dict.fromkeys(stated if isinstance(stated, dict) else ())
    named = [one for path in _LEVELLED for one in _texts(source, path, "level")]
    room = _at(plan, ("room", "level"))
    if isinstance(room, str):
        named.append((("plan", "room", "level"), room))
    risers = plan.get("risers")
    for index, riser in enumerate(risers if isinstance(risers, list) else ()):
        listed_there = _at(riser, ("levels",))
        for number, level in enumerate(listed_there if isinstance(listed_there, list) else ()):
            if isinstance(level, str):
                named.append((("plan", "risers", index, "levels", number), level))
    for at, level in named:
        if level not in levels:
            yield _trouble(
                source,
                at,
                level,
                f"the plan has no level {quoted(level)}",
                listed(levels) or "no level: plan.levels is not given",
                suggest(level, levels, f"add a line '{level}: 0 m' to plan.levels"),
            )
