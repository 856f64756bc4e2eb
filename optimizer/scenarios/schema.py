"""What a scenarios file says: named changes to one base site."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from optimizer.reading.fields import Base, Ident, Money, Prose, Title
from optimizer.reading.readers import FieldReader, line
from optimizer.site.schema import AnyZone, AudioPoint, Policy

BASE = "base"
"""What the site as its file stands is called among its scenarios."""

BUILTIN = "builtin"
"""What the book that comes with the program is called where a scenario names a book."""

MOST_SCENARIOS = 200

RequirementId = Annotated[str, line(200)]
_LINE = line(500)
AsWritten = Annotated[
    str,
    FieldReader(
        str,
        _LINE,
        _LINE.accepted,
        "31 days",
        {
            "type": ["string", "number", "boolean"],
            "maxLength": 500,
            "description": "a value as a site file would have it, or none",
        },
    ),
]
"""Numbers and truth values are read as they are written, like any other."""


class Added(Base):
    """Places that the base has not."""

    zones: tuple[AnyZone, ...] = ()
    audio: tuple[AudioPoint, ...] = ()


class Dropped(Base):
    """Places that are left out; the audio point of a zone goes with it."""

    zones: tuple[Ident, ...] = ()
    audio: tuple[Ident, ...] = ()


class Scenario(Base):
    """Named changes, made in the order of the fields: drop, add, policy, set, book, prices."""

    id: Ident
    name: Title = ""
    note: Prose = ""
    builds_on: Ident = Field(
        default=BASE, description="the scenario that is changed here; base is the site itself"
    )
    drop: Dropped = Dropped()
    add: Added = Added()
    policy: Policy | None = Field(
        default=None, description="each field given stands in place of that of the base"
    )
    set: dict[RequirementId, AsWritten] = Field(
        default_factory=dict,
        description="requirement id to its value, as a site file would have it; none drops it",
    )
    book: Title | None = Field(
        default=None,
        description="another price book, named from the folder of this file, or builtin; it has "
        "its own prices, not those of the scenario built on",
    )
    prices: dict[Ident, Money] = Field(
        default_factory=dict,
        description="item id to a unit price for any number, in place of list price and breaks",
    )


class Scenarios(Base):
    """A scenarios file."""

    leastkit: Literal["scenarios/1"]
    name: Title = ""
    note: Prose = ""
    scenarios: tuple[Scenario, ...] = Field(min_length=1, max_length=MOST_SCENARIOS)


__all__ = ["BASE", "BUILTIN", "MOST_SCENARIOS", "Added", "Dropped", "Scenario", "Scenarios"]
