"""Reading a scenarios file, with the checks that need more than one of its fields."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from optimizer.errors import Trouble, listed, quoted
from optimizer.reading import Source, read_source, validate
from optimizer.reading.hints import suggest
from optimizer.reading.source import dotted
from optimizer.scenarios.schema import BASE, Scenarios

_MOST_GUESSED = 20  # unknown ids whose likely meaning is looked for


@dataclass(frozen=True)
class LoadedScenarios:
    """Scenarios and where they were read."""

    scenarios: Scenarios
    source: Source

    @property
    def folder(self) -> Path:
        """Where the price books are that the file names."""
        return Path(self.source.name).parent


def load_scenarios(path: str | Path) -> LoadedScenarios:
    """Read and check a scenarios file, apart from the site that it changes.

    Parameters
    ----------
    path : path
        A YAML or JSON file.

    Raises
    ------
    InputError
        With one trouble for each thing wrong: also for an id that stands twice, a scenario that
        builds on an unknown one (with a suggestion), or on itself by way of others.
    """
    source = read_source(path, "scenarios file")
    return LoadedScenarios(validate(Scenarios, source, also=_together), source)


def _together(source: Source) -> list[Trouble]:
    """Troubles of plain data; what has not the shape that the schema asks is passed over."""
    entries = source.data.get("scenarios")
    rows = [e if isinstance(e, dict) else {} for e in entries] if isinstance(entries, list) else []
    return [*_ids(source, rows), *_bases(source, rows), *_circles(source, rows)]


def _ids(source: Source, rows: list[dict[str, Any]]) -> Iterator[Trouble]:
    first: dict[str, int | None] = {}
    for index, row in enumerate(rows):
        name, path = row.get("id"), ("scenarios", index, "id")
        if not isinstance(name, str):
            continue
        line, field = source.line_of(path), dotted(path)
        if name == BASE:
            yield Trouble(
                f"{quoted(BASE)} is what the site itself is called",
                source.name,
                line,
                field,
                name,
                "any other id",
                "rename the scenario",
            )
        elif name in first:
            yield Trouble(
                f"{quoted(name)} stands twice in scenarios, first in line {first[name]}",
                source.name,
                line,
                field,
                name,
                "each one once",
                "rename or remove one of the two",
            )
        first.setdefault(name, line)


def _bases(source: Source, rows: list[dict[str, Any]]) -> Iterator[Trouble]:
    known = [BASE, *dict.fromkeys(r["id"] for r in rows if isinstance(r.get("id"), str))]
    unknown = 0
    for index, row in enumerate(rows):
        base, path = row.get("builds_on"), ("scenarios", index, "builds_on")
        if isinstance(base, str) and base not in known:
            yield Trouble(
                f"there is no scenario {quoted(base)}",
                source.name,
                source.line_of(path),
                dotted(path),
                base,
                listed(known),
                suggest(
                    base,
                    known if unknown < _MOST_GUESSED else (),
                    "name a scenario of this file, or leave builds_on out",
                ),
            )
            unknown += 1


def _circles(source: Source, rows: list[dict[str, Any]]) -> Iterator[Trouble]:
    """Each circle once, at the first of its scenarios in the file."""
    bases: dict[str, str] = {}
    places: dict[str, int] = {}
    for index, row in enumerate(rows):
        name, base = row.get("id"), row.get("builds_on")
        if isinstance(name, str) and isinstance(base, str) and name not in bases:
            bases[name], places[name] = base, index
    told: set[str] = set()
    for name in bases:
        ring = _ring(bases, name)
        if not ring or told & set(ring):
            continue
        told |= set(ring)
        path = ("scenarios", places[name], "builds_on")
        yield Trouble(
            f"scenarios build on each other in a circle: {listed([*ring, name])}",
            source.name,
            source.line_of(path),
            dotted(path),
            bases[name],
            f"scenarios that lead back to {BASE}, the site itself",
            "let one of them build on another, or leave its builds_on out",
        )


def _ring(bases: Mapping[str, str], name: str) -> list[str]:
    """The circle that leads from a scenario back to itself; empty if there is none."""
    path, one = [name], bases[name]
    while one in bases and one not in path:
        path.append(one)
        one = bases[one]
    return path if one == name else []


__all__ = ["LoadedScenarios", "load_scenarios"]
