"""The answer: status, design, bound, explanation, assumptions, cautions, provenance."""

from __future__ import annotations

import json
from typing import Any, Literal

from pydantic import Field

from optimizer.design import (
    BillLine,
    Box,
    Camera,
    Design,
    PartUse,
    PowerUnit,
    Recorder,
    Reduction,
    Run,
    Seen,
    Sound,
)
from optimizer.reading.fields import Base
from optimizer.solving.explanation import Binding, Headroom, JointlyBinding, NextSaving
from optimizer.solving.proof import Argument, Conflict, Proof, WaysOut
from optimizer.solving.variants import Alternatives, WhatIf, Why
from optimizer.units import money_text

SCHEMA = "leastkit/answer/1"
Status = Literal["optimal", "feasible", "unmeetable", "undecided"]


class Reason(Base):
    """Why something cannot be had, as found while the tables were built."""

    place: str = Field(description="requirement id, such as zones.gate/detail")
    limit: str = Field(description="what took out the last candidates, in one sentence")
    taken_out: int = Field(default=0, description="candidates this limit took out")


class Assumption(Base):
    """A default or estimate that decides the answer."""

    name: str
    value: str
    origin: str = Field(description="site file, price book, a standard, common practice, or memory")


class Caution(Base):
    """Something that can hurt people or break the law."""

    about: str
    text: str
    strong: bool = False


class Provenance(Base):
    """What the answer was made from."""

    site_sha256: str
    book_sha256: str
    version: str
    solver: str = Field(description="who proved it, and who confirmed it")
    ties: str = Field(default="", description="whether ties were settled to the end")


Undecided = Literal["", "time", "cells", "settings"]


class Answer(Base):
    """Everything that is known about the question asked.

    The design's parts stand at the top level, so that a reader with this file, the site and the
    price book can redo every sum.
    """

    schema_: Literal["leastkit/answer/1"] = Field(default="leastkit/answer/1", alias="schema")
    site: str
    status: Status
    total: str | None = None
    net: str | None = None
    tax: str | None = None
    labour: str | None = None
    currency: str
    lower_bound: str | None = Field(default=None, description="no design has a lower total")
    gap: float | None = Field(default=None, description="(total - lower bound) / total")
    bill: tuple[BillLine, ...] = ()
    reductions: tuple[Reduction, ...] = ()
    cameras: tuple[Camera, ...] = ()
    audio: tuple[Sound, ...] = ()
    recorders: tuple[Recorder, ...] = ()
    runs: tuple[Run, ...] = ()
    boxes: tuple[Box, ...] = ()
    supplies: tuple[PowerUnit, ...] = ()
    switches: tuple[PowerUnit, ...] = ()
    injectors: tuple[PowerUnit, ...] = ()
    parts: tuple[PartUse, ...] = ()
    seen: tuple[Seen, ...] = Field(default=(), exclude_if=lambda seen: not seen)
    over: str = Field(
        default="",
        exclude_if=lambda words: not words,
        description="with a plan: over what set of aims the design is cheapest",
    )
    bound_by_shapes: str | None = Field(
        default=None,
        exclude_if=lambda bound: bound is None,
        description="with a plan: by exact shapes no kit costs less, at the focal lengths and "
        "tilts that were looked at and at any pan; lower_bound is of whole cells",
    )
    figures_over: str = Field(
        default="",
        exclude_if=lambda words: not words,
        description="with a plan: over what the figures of the explanation are proven",
    )
    undecided_by: Undecided = Field(
        default="",
        exclude_if=lambda why: not why,
        description="why it is undecided: time ran out; or on a plan, where more time does not "
        "help: cells are too large to tell, or no kit does at the focal lengths and tilts looked "
        "at and another might",
    )
    reasons: tuple[Reason, ...] = ()
    headline: str = Field(
        default="", description="what drives the price most, in one sentence with figures"
    )
    binding: tuple[Binding, ...] = Field(
        default=(), description="what each requirement does to the price, largest saving first"
    )
    headroom: tuple[Headroom, ...] = Field(
        default=(), description="how far each reaches at this price, and its next price step"
    )
    joint: tuple[JointlyBinding, ...] = ()
    next_saving: NextSaving | None = None
    left_open: tuple[str, ...] = Field(
        default=(), description="what the explanation did not settle in the time given"
    )
    why: tuple[Why, ...] = Field(default=(), description="the reasons of each bill line")
    what_if: WhatIf | None = Field(
        default=None, description="where a changed site is answered: the changes and their cost"
    )
    alternatives: Alternatives | None = None
    conflict: tuple[Conflict, ...] = Field(
        default=(), description="requirements that cannot hold together, where none can be met"
    )
    ways_out: WaysOut | None = None
    argument: tuple[Argument, ...] = Field(
        default=(), description="each conflict told so that it can be followed by hand"
    )
    proof: Proof | None = Field(
        default=None, description="how the verdict is proven, where that was asked"
    )
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()
    provenance: Provenance

    @property
    def met(self) -> bool:
        """Whether there is a design."""
        return self.total is not None

    def design(self) -> Design:
        """The design of an answer that has one.

        Raises
        ------
        ValueError
            If the status is unmeetable or undecided.
        """
        if self.total is None:
            raise ValueError(f"the answer is {self.status}: there is no design")
        return Design.model_validate({k: getattr(self, k) for k in Design.model_fields})

    def as_data(self) -> dict[str, Any]:
        """The answer as plain data, in the order of the schema."""
        return self.model_dump(mode="json", by_alias=True)

    def as_json(self) -> str:
        """The answer as JSON text, the same bytes for the same answer."""
        return json.dumps(self.as_data(), indent=1, ensure_ascii=False) + "\n"


def proven_to(low: int, total: int) -> dict[str, Any]:
    """Status, bound and gap of an answer where no kit costs less than `low`. [hundredth]"""
    return {
        "status": "optimal" if low == total else "feasible",
        "lower_bound": money_text(low),
        "gap": 0.0 if low == total else round((total - low) / max(total, 1), 6),
    }
