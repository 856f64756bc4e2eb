"""What is said of a site that cannot be met, as plain data: the proof, the conflicts, the ways out.

Totals are with tax, written as in an answer ("1843.20"). Whatever is called proven rests on an
audited design, on two different solvers, or on a certificate that anybody can check.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimizer.reading.fields import Base
from optimizer.solving.explanation import Change

Settled = Literal["yes", "no", "open"]


class ConflictMember(Base):
    """One requirement of a conflict."""

    requirement: str
    line: int | None = Field(default=None, description="line in the site file")
    text: str = Field(description="the requirement in words")
    asked: str
    needed: bool = Field(
        description="proven: without it the other members can be met; false where time ran out"
    )
    total_without: str | None = Field(
        default=None,
        description="total of an audited design that meets the other members of this conflict "
        "and nothing else that the site asks: no price of the site, for which see ways_out",
    )


class Conflict(Base):
    """Requirements that cannot hold together, each of which is needed for that.

    Every other requirement of the site is left out, so nothing else has a part in it.
    """

    members: tuple[ConflictMember, ...] = Field(min_length=1)
    confirmed: tuple[str, ...] = Field(
        description="who proved that they cannot hold together, each independently of the others"
    )
    independent: bool = Field(description="it shares no member with a conflict named before it")

    @property
    def ids(self) -> tuple[str, ...]:
        """Ids of its members."""
        return tuple(member.requirement for member in self.members)

    @property
    def smallest(self) -> bool:
        """Whether each member is proven to be needed."""
        return all(member.needed for member in self.members)


class WayOut(Base):
    """Changes after which the site is met, as few and as small as they can be.

    The steps are natural steps of each requirement; one that is dropped counts one step more than
    its ladder has.
    """

    changes: tuple[Change, ...] = Field(min_length=1)
    steps: int = Field(description="natural steps in all")
    total: str = Field(description="total of an audited design of the changed site")
    cheapest: bool = Field(description="proven: no design of the changed site costs less")
    smallest: bool = Field(
        description="proven: no part of the changes and no step less of any of them is enough"
    )
    more_budget: str | None = Field(default=None, description="what is added to the budget, if so")


class BudgetAlone(Base):
    """What lifting the budget alone would do; it is always tried."""

    budget: str
    enough: Settled
    total: str | None = Field(default=None, description="of the cheapest kit known without it")
    more: str | None = Field(default=None, description="what that is above the budget")
    tax: str | None = Field(default=None, description="rate in the total; none if not stated")
    lower_bound: str | None = Field(default=None, description="no kit without a budget costs less")


class WaysOut(Base):
    """Ways out: fewest requirements touched first, then fewest steps, then lowest total."""

    found: tuple[WayOut, ...] = ()
    longest: int = Field(description="most requirements that a way out was allowed to touch")
    complete: bool = Field(
        description="proven: no other set of up to that many requirements is a way out"
    )
    untouchable: tuple[str, ...] = Field(
        default=(), description="musts of the site file, which no way out touches"
    )
    others: int = Field(default=0, description="ways out that were found and are not listed")
    budget: BudgetAlone | None = None


class ArgumentStep(Base):
    """One step: a requirement, a fact that it meets, or a sum of them."""

    text: str
    requirements: tuple[str, ...] = ()
    origin: str = Field(description="where the figures are from: site file, book: item, arithmetic")


class Argument(Base):
    """A conflict told so that it can be followed with pencil and paper."""

    conflict: tuple[str, ...]
    steps: tuple[ArgumentStep, ...]
    closed: bool = Field(
        description="the steps alone prove the conflict; else the rest is left to the solvers, "
        "and to the certificate where there is one"
    )


class Lacking(Base):
    """What an item outside the price book would have to do to settle a conflict.

    Tried: with such an item in the book, at the price of the one it is like, the conflict is gone.
    """

    conflict: tuple[str, ...]
    kind: str
    like: str = Field(description="item of the book that it would be like, but for these")
    needs: tuple[str, ...] = Field(min_length=1)
    site_met: bool = Field(description="the whole site is met with it, by an audited design")


class CertificateMade(Base):
    """The certificate that was found, in figures."""

    claim: str
    sums: int = Field(description="weighted sums of rows in it")
    cases: int = Field(description="cases it tells apart; 1 is a proof without cases")
    bytes: int
    program_sha256: str
    folder: str | None = Field(default=None, description="where it was written, if it was")


class CostOf(Base):
    """What one requirement adds to the price, where it is the budget that is too low."""

    requirement: str
    text: str
    saving: str = Field(description="proven: what is saved when it alone is not asked")


class Proof(Base):
    """How the verdict is proven, and what that proves."""

    verdict: Literal["met", "unmeetable", "undecided"]
    words: str
    by: tuple[str, ...] = Field(default=(), description="solvers that proved it, one by one")
    certificate: CertificateMade | None = None
    limits: tuple[str, ...] = Field(description="what the proof does not cover")
    costs: tuple[CostOf, ...] = Field(
        default=(), description="what each requirement costs, largest first; see `CostOf`"
    )
    lacking: tuple[Lacking, ...] = ()
    all_conflicts: bool = Field(default=False, description="proven: there is no other conflict")
    left_open: tuple[str, ...] = ()


__all__ = [
    "Argument",
    "ArgumentStep",
    "BudgetAlone",
    "CertificateMade",
    "Conflict",
    "ConflictMember",
    "CostOf",
    "Lacking",
    "Proof",
    "WayOut",
    "WaysOut",
]
