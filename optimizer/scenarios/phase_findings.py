"""What a purchase in phases says, as plain data. Totals are with tax unless they say otherwise."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimizer.design import BillLine, Design, Reduction
from optimizer.reading.fields import Base
from optimizer.site.schema import Owned
from optimizer.solving.answer import Assumption, Caution, Provenance, Status
from optimizer.solving.explanation import ItemChange


class Kept(Base):
    """Pieces that are bought for a later phase."""

    item: str
    pieces: int


class PhaseTold(Base):
    """The order of a phase, and the kit that stands at its end."""

    id: str
    name: str
    zones: tuple[str, ...] = Field(description="that come with it")
    bill: tuple[BillLine, ...] = Field(description="what is ordered in this phase")
    reductions: tuple[Reduction, ...] = ()
    labour: str = Field(description="for what is new in this phase")
    net: str
    tax: str
    total: str
    budget: str | None = None
    left: str | None = Field(default=None, description="of the budget")
    for_later: tuple[Kept, ...] = Field(
        default=(), description="pieces that have no job yet and get one in a later phase"
    )
    apart: str | None = Field(
        default=None, description="total of this phase where each is bought by itself"
    )
    items: tuple[ItemChange, ...] = Field(
        default=(), description="ordered in another number than where each is bought by itself"
    )
    owned: tuple[Owned, ...] = Field(
        default=(), description="stock before this phase: the site's, and what was bought earlier"
    )
    kit: Design = Field(
        description="audited; its bill is that of the order, its labour, net, tax and total count "
        "all work up to then once more"
    )


class Apart(Base):
    """Each phase bought by itself: the cheapest for it, with what is there from those before."""

    status: Literal["proven", "between", "stopped"]
    total: str | None = Field(default=None, description="over all phases, as far as it goes")
    stopped_at: str = Field(default="", description="the phase that cannot be met that way")
    because: str = ""


class PhasePlan(Base):
    """The cheapest purchase over all phases, each within its budget."""

    schema_: Literal["leastkit/phase-plan/1"] = Field(
        default="leastkit/phase-plan/1", alias="schema"
    )
    site: str
    currency: str
    includes_tax: bool = Field(description="whether the budgets do")
    tax: str | None = Field(default=None, description="rate in totals; none if not stated")
    status: Status
    total: str | None = None
    net: str | None = Field(default=None, description="over all phases, without tax")
    lower_bound: str | None = Field(default=None, description="no purchase has a lower net")
    gap: float | None = Field(
        default=None,
        description="(net - lower bound) / net; 0 where the "
        "net is the lowest to a hundredth for each order whose tax is rounded",
    )
    phases: tuple[PhaseTold, ...] = ()
    apart: Apart
    saving: str | None = Field(
        default=None, description="total of the phases bought apart, less this total"
    )
    because: str = Field(default="", description="why there is no purchase")
    assumptions: tuple[Assumption, ...] = ()
    cautions: tuple[Caution, ...] = ()
    provenance: Provenance


__all__ = ["Apart", "Kept", "PhasePlan", "PhaseTold"]
