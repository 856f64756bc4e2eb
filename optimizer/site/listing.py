"""One requirement of a site, and how it is read off the site's data.

The values are the file's own words where the site was read from one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from optimizer.reading.source import FieldPath
from optimizer.site import ladders
from optimizer.site.ladders import Ladder
from optimizer.site.loading import LoadedSite
from optimizer.site.schema import Site


@dataclass(frozen=True)
class Requirement:
    """One thing that the site asks.

    Attributes
    ----------
    id : str
        ``place/quantity``, such as ``zones.gate/detail``.
    value : str
        As it stands in the file, or as a file would have it.
    unit : str
        Unit of a value that is a plain quantity, for a number given without one; else empty.
    text : str
        The requirement in words.
    path : FieldPath
        Where it stands in the site's data.
    line : int or None
        Line of the file, where the site was read from one.
    ladder : Ladder
        Natural steps.
    loosest : str or None
        Value that stands for "dropped"; None where the entry itself is taken out.
    dropping : str
        What dropping means, in words; empty where it cannot be dropped.
    kept : str
        Why it cannot be dropped, where it cannot.
    counted : bool
        Whether it has a headroom: a number that can be tightened step by step.
    fact : bool
        A fact, listed for its headroom alone.
    asked : bool
        False where the value asks for nothing ("0 spare channels"): listed for its headroom alone.
    """

    id: str
    value: str
    text: str
    path: FieldPath
    ladder: Ladder
    unit: str = ""
    line: int | None = None
    loosest: str | None = None
    dropping: str = ""
    kept: str = ""
    counted: bool = False
    fact: bool = False
    asked: bool = True

    @property
    def place(self) -> str:
        """The part of the id before the stroke: zones.gate, recording, money."""
        return self.id.partition("/")[0]

    @property
    def quantity(self) -> str:
        """The part of the id after the stroke; empty for a zone or an audio point itself."""
        return self.id.partition("/")[2]

    @property
    def can_be_dropped(self) -> bool:
        """Whether leaving it out leaves a site."""
        return bool(self.dropping)

    def easier(self, value: str | None = None) -> str | None:
        """One natural step easier than a value (its own if left out); None if there is none."""
        return self.ladder.easier(self.value if value is None else value)

    def harder(self, value: str | None = None) -> str | None:
        """One natural step harder than a value (its own if left out); None if there is none."""
        return self.ladder.harder(self.value if value is None else value)


class Reader:
    """Makes requirements of what stands in a site."""

    def __init__(self, site: Site | LoadedSite) -> None:
        self.loaded = site if isinstance(site, LoadedSite) else None
        self.site = site.site if isinstance(site, LoadedSite) else site
        self.data: dict[str, Any] = self.site.model_dump(mode="json")

    def written(self, path: FieldPath) -> str:
        """The value in the file's own words where it is read from one and stands there."""
        for data in (self.loaded.source.data if self.loaded else None, self.data):
            found: Any = data
            for step in path:
                try:
                    found = found[step]
                except (KeyError, IndexError, TypeError):
                    found = None
                    break
            if isinstance(found, bool):
                return str(found).lower()
            if isinstance(found, str | int):
                return str(found).strip()
        raise KeyError(path)

    def _line(self, path: FieldPath) -> int | None:
        return self.loaded.source.line_of(path) if self.loaded else None

    def one(
        self,
        name: str,
        path: FieldPath,
        ladder: Ladder,
        text: str,
        *,
        unit: str = "",
        loosest: str | None = None,
        dropping: str = "",
        kept: str = "",
        counted: bool = False,
        fact: bool = False,
        asked: bool = True,
        value: str | None = None,
    ) -> Requirement:
        written = self.written(path) if value is None else value
        return Requirement(
            id=name,
            value=written,
            text=text.format(written),
            path=path,
            ladder=ladder,
            unit=unit,
            line=self._line(path),
            loosest=loosest,
            dropping=dropping,
            kept=kept,
            counted=counted,
            fact=fact,
            asked=asked,
        )

    def yes(self, name: str, path: FieldPath, text: str, dropping: str) -> Requirement:
        return self.one(
            name,
            path,
            ladders.Fixed(),
            text,
            value="true",
            loosest="false",
            dropping=dropping,
        )

    def run(self, name: str, path: FieldPath, place: str) -> Requirement:
        return self.one(
            name,
            path,
            ladders.Amount("length", {"m": "1", "ft": "3"}, "0 m", "2 km"),
            f"{place}: its cable runs {{}}",
            unit="m",
            kept="the length of a run is a fact",
            counted=True,
            fact=True,
        )

    def retention(self, name: str, path: FieldPath, what: str) -> Requirement:
        return self.one(
            name,
            path,
            ladders.Amount("duration", {"days": "1"}, "1 day", "3660 days"),
            f"{what} are kept for {{}}",
            unit="days",
            loosest="1 h",
            dropping="kept for an hour",
            counted=True,
        )


__all__ = ["Reader", "Requirement"]
