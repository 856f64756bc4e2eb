"""What a comparison of scenarios and a frontier say, as plain data.

Every total is with tax, written as in an answer ("1843.20").
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimizer.reading.fields import Base
from optimizer.solving.answer import Answer, Status
from optimizer.solving.explanation import ItemChange
from optimizer.solving.variants import BillDifference

NOT_THERE = "not there"
"""Value of a demand on a place, or price of an item, that a column has not."""


class Compared(Base):
    """One scenario with its answer; the first of a comparison is the site as it stands.

    `difference` is given where both totals are proven; else the difference lies from
    `difference_low` to `difference_high`, each missing where nothing is known.
    """

    id: str
    name: str
    builds_on: str = Field(description="the scenario that it changes; empty for the base")
    status: Status
    total: str | None = None
    lower_bound: str | None = None
    gap: float | None = None
    difference: str | None = Field(default=None, description="total less that of the base")
    difference_low: str | None = None
    difference_high: str | None = None
    because: str = Field(default="", description="why it cannot be met, or is not decided")
    bills: BillDifference | None = Field(default=None, description="from the bill of the base")
    answer: Answer


class DemandRow(Base):
    """A requirement or fact, and its value in each scenario."""

    id: str
    values: tuple[str, ...] = Field(description="one for each scenario, in their order")
    differs: bool


class ItemRow(Base):
    """An item, and how many are bought in each scenario; none where there is no kit."""

    item: str
    quantities: tuple[int | None, ...]
    differs: bool


class Comparison(Base):
    """Scenarios side by side."""

    schema_: Literal["leastkit/comparison/1"] = Field(
        default="leastkit/comparison/1", alias="schema"
    )
    site: str
    currency: str
    tax: str | None = Field(
        default=None, description="rate in the total of the first; none if not stated"
    )
    scenarios: tuple[Compared, ...] = Field(min_length=1)
    demands: tuple[DemandRow, ...]
    items: tuple[ItemRow, ...]


class FrontierPoint(Base):
    """A value and a total such that no kit is better in one and no worse in the other."""

    value: str
    number: str = Field(description="the same as a plain number, for a plot")
    total: str
    difference: str | None = Field(default=None, description="from the point before")
    items: tuple[ItemChange, ...] = Field(
        default=(), description="items bought in another number than at the point before"
    )
    because: str = Field(default="", description="what else is to be known, such as the budget")
    answer: Answer = Field(description="the cheapest kit, proven and audited")


class OpenStretch(Base):
    """Values of which it is not known whether they hold a point; totals from low to high."""

    first: str
    last: str
    low: str | None = None
    high: str | None = None


class BarredStretch(Base):
    """Values that no kit meets, proven."""

    first: str
    last: str
    because: str = ""


class Frontier(Base):
    """All pairs of a requirement's value and a total that no other pair beats.

    The values are the natural steps from the first of the range on. A budget of the site is left
    out of account.
    """

    schema_: Literal["leastkit/frontier/1"] = Field(default="leastkit/frontier/1", alias="schema")
    site: str
    requirement: str
    text: str
    asked: str
    unit: str
    currency: str
    tax: str | None = Field(default=None, description="rate in the totals; none if not stated")
    points: tuple[FrontierPoint, ...]
    open: tuple[OpenStretch, ...] = ()
    barred: tuple[BarredStretch, ...] = ()
    complete: bool = Field(description="proven: there is no other point in the range")
    over: str = Field(
        default="",
        exclude_if=lambda words: not words,
        description="with a plan: over what the totals are proven",
    )
    solves: int


__all__ = [
    "NOT_THERE",
    "BarredStretch",
    "Compared",
    "Comparison",
    "DemandRow",
    "Frontier",
    "FrontierPoint",
    "ItemRow",
    "OpenStretch",
]
