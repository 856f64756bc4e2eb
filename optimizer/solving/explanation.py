"""What an explanation says, as plain data: what drives the price and how far each demand reaches.

Every total is with tax, written as in an answer ("1843.20"). A figure whose `status` is ``proven``
rests on a design that is proven cheapest and has passed the audit. Where time ran out, the status
is ``between`` and `low` and `high` enclose the truth; nothing is ever guessed.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimizer.reading.fields import Base
from optimizer.units import money

FigureStatus = Literal["proven", "between", "unmeetable", "refused"]

COSTS, LEAVING_OUT, REACHES = "what it costs", "what leaving it out saves", "how far it reaches"
BEYOND = "what the step beyond its reach costs"
"""What may be left open of a demand, in words."""


class ItemChange(Base):
    """How many of an item are bought, before and after a change."""

    item: str
    before: int
    after: int


class Change(Base):
    """One requirement taken from one value to another."""

    requirement: str = Field(description="id, such as recording/retention")
    asked: str = Field(description="value as asked, in the reader's units, such as 31 days")
    to: str = Field(description="value instead, in the same units; 'not asked' where dropped")
    steps: int | None = Field(
        default=None, description="natural steps from asked to to; none where dropped altogether"
    )


class Step(Base):
    """What the kit costs when one requirement, or a few of them, are changed.

    `status` is ``proven`` (`after` is the proven total), ``between`` (time ran out: the total is
    from `low` to `high`, and `low` or `high` is missing where nothing is known), ``unmeetable``
    (proven: no kit does it) or ``refused`` (the changed site is not a site that can be asked for).
    """

    changes: tuple[Change, ...] = Field(min_length=1)
    status: FigureStatus
    before: str = Field(description="total with tax as the site stands")
    after: str | None = Field(default=None, description="proven total with tax after the change")
    low: str | None = Field(default=None, description="no kit costs less than this")
    high: str | None = Field(default=None, description="a kit at this total is known")
    difference: str | None = Field(
        default=None, description="after less before; negative where it saves"
    )
    items: tuple[ItemChange, ...] = Field(
        default=(), description="items bought in another number, in catalogue order"
    )
    because: str = Field(default="", description="why it cannot be met or asked, where it cannot")

    @property
    def may_save(self) -> bool:
        """Whether it is open what the change saves; a range from the price upward saves nothing."""
        if self.status != "between":
            return False
        return self.low is None or money(self.low) < money(self.before)

    @property
    def may_cost_the_same(self) -> bool:
        """Whether it is open if the change costs anything; a range from above the price does."""
        if self.status != "between":
            return False
        return self.low is None or money(self.low) <= money(self.before)


class Binding(Base):
    """What one requirement does to the price."""

    requirement: str
    line: int | None = Field(default=None, description="line in the site file")
    text: str = Field(description="the requirement in words")
    asked: str = Field(description="its value in the reader's units")
    binds: bool | None = Field(
        description="whether easing it by one natural step alone lowers the proven total; "
        "none where time ran out"
    )
    eased: Step | None = Field(
        default=None, description="one natural step easier; none where there is no such step"
    )
    dropped: Step | None = Field(
        default=None, description="not asked at all; none where it cannot be dropped"
    )
    first_saving: Step | None = Field(
        default=None,
        description="where one step saves nothing: the fewest natural steps that save something; "
        "none where no easing of it alone does, or where it was not looked for",
    )
    dropping_means: str = Field(default="", description="what 'dropped' means for it")


class Headroom(Base):
    """How far a requirement can be tightened at the same total."""

    requirement: str
    line: int | None = None
    text: str
    asked: str
    reaches: str = Field(description="the tightest value proven to cost no more")
    steps: int = Field(description="natural steps from asked to there")
    endless: bool = Field(
        default=False, description="there is no tighter value left to ask for beyond it"
    )
    proven: bool = Field(
        default=True, description="that the value beyond costs more, or cannot be met, is proven"
    )
    next: Step | None = Field(
        default=None, description="the first tightening that costs more or cannot be met"
    )


class JointlyBinding(Base):
    """Requirements of which no single one lowers the price by its step, but all of them together.

    No smaller part of the set does.
    """

    requirements: tuple[str, ...] = Field(min_length=2)
    how: Literal["eased", "dropped"] = Field(
        description="eased by one natural step each, or not asked at all"
    )
    step: Step


class NextSaving(Base):
    """The smallest relaxation that lowers the price at all.

    Fewest requirements touched, then fewest natural steps, then the larger saving, then the order
    of the site file.
    """

    step: Step


class PriceLevel(Base):
    """A stretch of values of a requirement over which the total is the same."""

    first: str = Field(description="first value of the stretch, in the reader's units")
    last: str
    first_number: str = Field(description="the same as a plain number, for a plot")
    last_number: str
    unit: str
    status: FigureStatus
    total: str | None = None
    low: str | None = None
    high: str | None = None
    difference: str | None = Field(default=None, description="from the stretch before it")
    items: tuple[ItemChange, ...] = Field(
        default=(), description="items bought in another number than in the stretch before"
    )
    because: str = ""
    certificate: str | None = Field(
        default=None, description="folder of a proof that no kit costs less from its first value on"
    )


class PriceCurve(Base):
    """The exact step function of the total over values of one requirement."""

    requirement: str
    text: str
    asked: str
    currency: str
    tax: str | None = Field(default=None, description="rate in the totals; none if not stated")
    levels: tuple[PriceLevel, ...]
    complete: bool = Field(description="every stretch is proven")
    over: str = Field(
        default="",
        exclude_if=lambda words: not words,
        description="with a plan: over what the figures are proven",
    )
    solves: int = Field(default=0, description="how often a cheapest kit or a proof was sought")


class Explanation(Base):
    """What drives the price of a design that is proven cheapest.

    `binding` is sorted by the saving of one step, then by that of dropping, largest first; what
    does not bind stands at the end with `binds` false.
    """

    total: str = Field(description="with tax")
    currency: str
    binding: tuple[Binding, ...] = ()
    headroom: tuple[Headroom, ...] = ()
    joint: tuple[JointlyBinding, ...] = ()
    next_saving: NextSaving | None = None
    over: str = Field(
        default="",
        exclude_if=lambda words: not words,
        description="with a plan: over what the figures are proven",
    )
    complete: bool = Field(default=True, description="every question was settled in the time given")
    left_open: tuple[str, ...] = Field(
        default=(), description="what was not settled in time, in words"
    )


__all__ = [
    "BEYOND",
    "COSTS",
    "LEAVING_OUT",
    "REACHES",
    "Binding",
    "Change",
    "Explanation",
    "FigureStatus",
    "Headroom",
    "ItemChange",
    "JointlyBinding",
    "NextSaving",
    "PriceCurve",
    "PriceLevel",
    "Step",
]
