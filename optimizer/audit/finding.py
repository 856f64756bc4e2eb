"""What the audit says: findings, and the rules that make them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from typing import TYPE_CHECKING, Literal, NamedTuple

from pydantic import Field

from optimizer.errors import clean
from optimizer.reading.fields import Base

if TYPE_CHECKING:
    from optimizer.audit.case import Case

Kind = Literal["missing", "surplus", "limit", "mismatch"]
Number = int | float | Fraction
MOST_TEXT = 900
"""Longest sentence of a finding: names in it come from files and may be anything. [characters]"""


class Finding(Base):
    """One rule of ``RULES.md`` that is not kept, at one place."""

    rule: str = Field(description="number and name of the rule, such as '3 signal reach'")
    place: str = Field(description="zone, camera (zone/number), audio point, unit or item")
    kind: Kind = Field(
        description="missing: too little is there; surplus: a piece has no job; limit: a piece is "
        "used beyond what it or the site allows; mismatch: a stated figure or choice is wrong"
    )
    text: str = Field(description="one plain sentence with its numbers and units")
    amount: int | float | None = Field(default=None, description="what there is")
    limit: int | float | None = Field(default=None, description="what it may or must be")

    def __str__(self) -> str:
        return f"[{self.rule}] {self.place}: {self.text}"


class Fault(NamedTuple):
    """A finding before it carries the name of its rule."""

    place: str
    kind: Kind
    text: str
    amount: Number | None = None
    limit: Number | None = None

    def under(self, rule: str) -> Finding:
        """The finding of a rule."""
        return Finding(
            rule=rule,
            place=clean(self.place),
            kind=self.kind,
            text=clean(self.text, MOST_TEXT),
            amount=plain(self.amount),
            limit=plain(self.limit),
        )


class Rule(NamedTuple):
    """One rule and the one function that checks it."""

    name: str
    check: Callable[[Case], Iterable[Fault]]


def plain(number: Number | None) -> int | float | None:
    """A number as JSON can hold it: exact where it is whole."""
    if isinstance(number, Fraction):
        return number.numerator if number.denominator == 1 else float(number)
    return number


def figure(number: Number, decimals: int = 3) -> str:
    """A number for a sentence, "5,312" or "11.2", without needless zeros."""
    if isinstance(number, Fraction) and number.denominator == 1:
        number = number.numerator
    if isinstance(number, int):
        return f"{number:,}"
    text = f"{float(number):,.{decimals}f}"
    return text.rstrip("0").rstrip(".")


def counted(number: int, thing: str) -> str:
    """A number of things that take a plain s: "1 drive", "2 drives"."""
    return f"{figure(number)} {thing}" + ("" if number == 1 else "s")
