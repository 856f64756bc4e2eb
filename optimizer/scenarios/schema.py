"""What a scenarios file says: named changes to one base site."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from optimizer.reading.fields import AsWritten, Base, Ident, Money, Prose, Title
from optimizer.reading.readers import FieldReader, line, refuse
from optimizer.site.schema import AnyZone, AudioPoint, Policy

BASE = "base"
"""What the site as its file stands is called among its scenarios."""

BUILTIN = "builtin"
"""What the book that comes with the program is called where a scenario names a book."""

MOST_SCENARIOS = 200

RequirementId = Annotated[str, line(200)]


_CHANGE_ACCEPTED = "a change in percent with its sign, from -99 % to +1000 %"
_LEAST, _MOST = Decimal("-0.99"), Decimal(10)


def _change(text: str) -> Decimal:
    match = re.fullmatch(r"([+-]) ?([0-9]{1,4}(?:\.[0-9]{1,4})?) ?%", text.strip())
    if match is None:
        raise refuse(
            "this is not a change in percent",
            _CHANGE_ACCEPTED,
            "write +10 % for a tenth more, -10 % for a tenth less",
        )
    share = Decimal(match[1] + match[2]) / 100
    if not _LEAST <= share <= _MOST:
        raise refuse(
            "this change is outside the range that is believable here",
            _CHANGE_ACCEPTED,
            "check the number",
        )
    return share


def change_written(share: Decimal) -> str:
    """A change in percent as it is read: "+10 %"."""
    return f"{'-' if share < 0 else '+'}{(abs(share) * 100).normalize():f} %"


PriceChange = Annotated[
    Decimal,
    FieldReader(
        Decimal,
        _change,
        _CHANGE_ACCEPTED,
        "+10 %",
        {
            "type": "string",
            "pattern": r"^\s*[+-] ?[0-9]{1,4}(\.[0-9]{1,4})? ?%\s*$",
            "description": _CHANGE_ACCEPTED,
            "examples": ["+10 %", "-5 %"],
        },
        change_written,
    ),
]


class Added(Base):
    """Places that the base has not."""

    zones: tuple[AnyZone, ...] = ()
    audio: tuple[AudioPoint, ...] = ()


class Dropped(Base):
    """Places that are left out; the audio point of a zone goes with it."""

    zones: tuple[Ident, ...] = ()
    audio: tuple[Ident, ...] = ()


class Scenario(Base):
    """Named changes, made in the order of the fields: drop, add, policy, set, book, price_changes,
    prices.
    """

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
    price_changes: dict[Ident, PriceChange] = Field(
        default_factory=dict,
        description="item id, kind of item such as recorder, or all, to a change in percent of "
        "list price and breaks; the nearest to the item holds",
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


__all__ = [
    "BASE",
    "BUILTIN",
    "MOST_SCENARIOS",
    "Added",
    "Dropped",
    "Scenario",
    "Scenarios",
    "change_written",
]
