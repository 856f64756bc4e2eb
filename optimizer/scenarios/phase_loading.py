"""Reading a phases file, and the site that stands at the end of each phase."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from optimizer.errors import InputError, Trouble, listed, quoted
from optimizer.reading import Source, read_source, validate
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath, dotted
from optimizer.scenarios.phase_schema import Phases
from optimizer.site import LoadedSite, Site
from optimizer.site.changes import changed
from optimizer.site.wishes import still_asked

_SETTABLE = (
    "recording/retention", "recording/drive_failures", "recording/codec", "recording/activity",
    "recording/reserve", "recording/export", "recording/export.usb", "recording/export.network",
    "recording/export.optical", "recording/displays.hdmi", "recording/displays.vga",
    "recording/displays.composite", "spare/channels", "spare/storage",
)  # fmt: skip
"""What may change from phase to phase: it bears on recorders and drives, on nothing installed."""


@dataclass(frozen=True)
class LoadedPhases:
    """Phases and where they were read."""

    phases: Phases
    source: Source


def load_phases(path: str | Path) -> LoadedPhases:
    """Read and check a phases file, apart from the site that it is about.

    Raises
    ------
    InputError
        With one trouble for each thing wrong.
    """
    source = read_source(path, "phases file")
    return LoadedPhases(validate(Phases, source, also=_together), source)


def _together(source: Source) -> list[Trouble]:
    entries = source.data.get("phases")
    rows = [e if isinstance(e, dict) else {} for e in entries] if isinstance(entries, list) else []
    return list(_ids(source, rows))


def _ids(source: Source, rows: list[dict[str, Any]]) -> Iterator[Trouble]:
    first: dict[str, int | None] = {}
    for index, row in enumerate(rows):
        name, path = row.get("id"), ("phases", index, "id")
        if not isinstance(name, str):
            continue
        if name in first:
            yield Trouble(
                f"{quoted(name)} stands twice in phases, first in line {first[name]}",
                source.name,
                source.line_of(path),
                dotted(path),
                name,
                "each one once",
                "rename or remove one of the two",
            )
        first.setdefault(name, source.line_of(path))


def sites_of(asked: LoadedSite, loaded: LoadedPhases) -> tuple[Site, ...]:
    """The site at the end of each phase: its own places and those of the phases before.

    Wishes and a budget of the site are left out of account: phases have budgets of their own.

    Raises
    ------
    InputError
        With one trouble for each thing wrong: a place that the site has not (with a suggestion),
        that comes twice or not at all, an id or a value that cannot be set.
    """
    troubles = [*_places(asked.site, loaded), *_set(loaded)]
    if troubles:
        raise InputError(*sorted(troubles, key=lambda t: t.line or 0))
    base = asked.site.model_copy(
        update={
            "wishes": {},
            "untouchable": (),
            "money": asked.site.money.model_copy(update={"budget": None}),
        }
    )
    sites: list[Site] = []
    zones: set[str] = set()
    points: set[str] = set()
    values: dict[str, str | None] = {}
    for index, phase in enumerate(loaded.phases.phases):
        zones |= set(phase.zones)
        points |= set(phase.audio)
        values |= phase.set
        site = _with_places(base, zones, points)
        try:
            sites.append(still_asked(changed(site, values)) if values else site)
        except InputError as error:
            raise InputError(*(_placed(loaded, index, t) for t in error.troubles)) from None
    return tuple(sites)


def _with_places(base: Site, zones: set[str], points: set[str]) -> Site:
    heard = tuple(p for p in base.audio.points if (p.zone in zones if p.zone else p.id in points))
    return base.model_copy(
        update={
            "zones": tuple(z for z in base.zones if z.id in zones),
            "audio": base.audio.model_copy(update={"points": heard}),
        }
    )


def _places(site: Site, loaded: LoadedPhases) -> Iterator[Trouble]:
    known = {
        "zones": [z.id for z in site.zones],
        "audio": [p.id for p in site.audio.points if p.zone is None],
    }
    tied = {p.id: p.zone for p in site.audio.points if p.zone is not None}
    words = {"zones": "zone", "audio": "audio point"}
    first: dict[tuple[str, str], str] = {}
    for index, phase in enumerate(loaded.phases.phases):
        for group, ids in known.items():
            for place, one in enumerate(getattr(phase, group)):
                at = ("phases", index, group, place)
                if group == "audio" and one in tied:
                    yield _trouble(
                        loaded, at, one, f"{one} comes with its zone, {tied[one]}",
                        "audio points without a zone", "remove it here",
                    )  # fmt: skip
                elif one not in ids:
                    yield _trouble(
                        loaded, at, one, f"the site has no {words[group]} {quoted(one)}",
                        listed(ids) or f"nothing: the site has no such {words[group]}",
                        suggest(one, ids, f"name a {words[group]} of the site"),
                    )  # fmt: skip
                elif (group, one) in first:
                    yield _trouble(
                        loaded, at, one,
                        f"{quoted(one)} comes twice, first in phase {first[group, one]}",
                        "each place in one phase: it stays from then on", "remove one of the two",
                    )  # fmt: skip
                else:
                    first[group, one] = phase.id
    for group, ids in known.items():
        left = [one for one in ids if (group, one) not in first]
        if left:
            yield _trouble(
                loaded, ("phases",), None,
                f"no phase brings {words[group]}{'s' if len(left) > 1 else ''} {listed(left)}",
                "every zone and every audio point of the site in one phase",
                "add what is missing to a phase, or take it out of the site",
            )  # fmt: skip
    if not loaded.phases.phases[0].zones:
        yield _trouble(
            loaded, ("phases", 0), None, "the first phase brings no zone",
            "at least one zone", "a site without one asks for nothing",
        )  # fmt: skip


def _set(loaded: LoadedPhases) -> Iterator[Trouble]:
    for index, phase in enumerate(loaded.phases.phases):
        for name, value in phase.set.items():
            if name not in _SETTABLE:
                yield _trouble(
                    loaded, ("phases", index, "set", name), value,
                    "this does not change from phase to phase", listed(_SETTABLE),
                    suggest(name, _SETTABLE, "what is installed stays; ask for it in the site"),
                )  # fmt: skip


def _placed(loaded: LoadedPhases, index: int, found: Trouble) -> Trouble:
    """A trouble where the file asks for it: in this phase, or in the one that set the value."""
    given: Mapping[str, str] = loaded.phases.phases[index].set
    at: FieldPath = ("phases", index, "set")
    if found.field in given:
        at = (*at, found.field)
    return _trouble(loaded, at, found.value, found.what, found.accepted, found.hint)


def _trouble(
    loaded: LoadedPhases, at: FieldPath, value: str | None, what: str, accepted: str, hint: str
) -> Trouble:
    source = loaded.source
    return Trouble(what, source.name, source.line_of(at), dotted(at), value, accepted, hint)


__all__ = ["LoadedPhases", "load_phases", "sites_of"]
