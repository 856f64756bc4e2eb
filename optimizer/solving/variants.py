"""What-ifs, second-best designs and the reason of each line, as plain data.

Every total is with tax, written as in an answer. A `status` of ``proven`` rests on designs that are
proven cheapest and have passed the audit.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimizer.design import Design
from optimizer.reading.fields import Base
from optimizer.solving.explanation import Change, FigureStatus, Step


class LineChange(Base):
    """A bill line that differs between two designs."""

    item: str
    what: Literal["added", "removed", "changed"]
    before: int = Field(description="bought")
    after: int
    amount: str = Field(description="line total after less before, without tax")


class BillDifference(Base):
    """Two bills compared: the lines and the sums below them add up to the total."""

    lines: tuple[LineChange, ...] = ()
    goods: str = Field(description="sum of the amounts of the lines")
    reductions: str = Field(
        description="what offers take off, after less before; it lowers the total"
    )
    labour: str
    tax: str
    total: str


Beside = Literal["", "before", "after"]


class WhatIf(Base):
    """What a changed question costs beside the question of the site file."""

    changes: tuple[Change, ...]
    status: FigureStatus
    before: str | None = Field(default=None, description="total as the site stands")
    after: str | None = Field(default=None, description="total with the changes")
    difference: str | None = Field(
        default=None, description="after less before, proven; with a plan, as far as `over` says"
    )
    low: str | None = Field(default=None, description="the difference is at least this")
    high: str | None = Field(default=None, description="the difference is at most this")
    beside: Beside = Field(
        default="",
        exclude_if=lambda which: not which,
        description="on a plan: the kit before, or the one after, which does for the other site "
        "too and costs less than any that was looked at there",
    )
    over: str = Field(
        default="",
        exclude_if=lambda words: not words,
        description="with a plan: over what the two totals, and so the difference, are proven",
    )
    bills: BillDifference | None = None


class Kinds(Base):
    """What makes a design another kind of design."""

    families: tuple[str, ...]
    cameras: tuple[str, ...] = Field(description="camera models")
    recorders: tuple[str, ...] = Field(description="recorder models")
    cabling: tuple[str, ...] = Field(
        description="leads, combined, coax, pairs, network, existing: see the manual"
    )


class Variant(Base):
    """The cheapest design of some kind."""

    name: str
    status: Literal["optimal", "feasible", "unmeetable", "undecided"]
    total: str | None = None
    lower_bound: str | None = None
    difference: str | None = Field(default=None, description="from the cheapest design of all")
    kinds: Kinds | None = None
    because: str = Field(default="", description="why there is none, where that is plain")
    bills: BillDifference | None = Field(default=None, description="from the cheapest of all")
    design: Design | None = None


class Alternatives(Base):
    """The cheapest design of each kind, and the cheapest designs that differ in kind.

    Each of `ranked` lacks a camera model, a recorder model or a cabling of every one before it,
    and none that does so is cheaper.
    """

    families: tuple[Variant, ...] = ()
    cabling: tuple[Variant, ...] = ()
    ranked: tuple[Variant, ...] = ()
    complete: bool = Field(description="every design and every lack of one is proven")
    note: str = Field(default="", description="what was left open, or why there are not more")


class OtherItem(Base):
    """A cheaper item for the same job, and the one limit that takes it out by itself."""

    item: str
    price: str = Field(description="list price of what would stand there instead")
    place: str = Field(default="", description="where, if the line stands in several places")
    limit: str = Field(description="in one sentence, with figures")
    demand: str = Field(default="", description="requirement id behind the limit; empty for facts")


class Why(Base):
    """Why a line is in the bill."""

    item: str
    because: str = Field(description="why this quantity")
    demands: tuple[str, ...] = Field(description="ids of the requirements it serves")
    others: tuple[OtherItem, ...] = Field(
        default=(), description="cheaper items that a limit takes out, dearest first"
    )
    would_do: tuple[str, ...] = Field(
        default=(),
        description="cheaper items that no single limit takes out: by themselves they would do, "
        "but the kit as a whole is not cheaper with them",
    )
    without: Step | None = Field(
        default=None, description="the proven price of doing without this item"
    )


__all__ = [
    "Alternatives",
    "BillDifference",
    "Kinds",
    "LineChange",
    "OtherItem",
    "Variant",
    "WhatIf",
    "Why",
]
