"""What is said of many sites: each one's answer, their sums, and what is bought together.

Totals are with tax, goods and purchases without; all are written as in an answer ("1843.20").
"""

from __future__ import annotations

import json
from typing import Literal

from pydantic import Field

from optimizer.design import Reduction
from optimizer.reading.fields import Base
from optimizer.solving.answer import Status

Outcome = Status | Literal["fault"]


class SiteAnswer(Base):
    """One site and how it was answered."""

    site: str = Field(description="what it is called here: its file's name, without the ending")
    name: str
    file: str
    status: Outcome
    cameras: int | None = None
    net: str | None = None
    total: str | None = None
    lower_bound: str | None = None
    gap: float | None = None
    because: str = Field(
        default="", description="why it cannot be met or is not decided, or what went wrong"
    )
    answer: str = Field(default="", description="file of the answer, named from the folder")


class PurchaseLine(Base):
    """One item bought for several sites in one order."""

    item: str
    name: str
    quantity: int = Field(description="bought (packs where sold in packs)")
    unit_price: str
    line_total: str
    pieces: int = Field(description="pieces that do a job at the sites")
    over: int = Field(description="pieces left over: of a pack, or bought for a better price")
    apart: int = Field(description="bought where each site buys for itself")
    sites: dict[str, int] = Field(description="site to the pieces it needs")


class Split(Base):
    """Some sites in one order, the others each by themselves, cheaper than all in one order."""

    net: str
    saving: str = Field(description="less than where each site buys for itself")
    alone: tuple[str, ...] = Field(description="sites that buy for themselves")
    proven: bool = Field(description="no other choice of sites for the order is cheaper")


class Purchase(Base):
    """What the kits of several sites take, bought in one order."""

    book: str
    sites: tuple[str, ...]
    lines: tuple[PurchaseLine, ...]
    goods: str
    reductions: tuple[Reduction, ...] = ()
    net: str = Field(description="goods less reductions, without labour and tax; proven least")
    apart: str = Field(description="the same where each site buys for itself")
    saving: str = Field(description="apart less net; negative where one order is the dearer way")
    tax: str | None = Field(default=None, description="rate, where it is the same for all sites")
    saving_with_tax: str | None = Field(
        default=None, description="with the tax of all bills apart and of one bill"
    )
    split: Split | None = None


class PortfolioColumn(Base):
    """All sites as they stand, or under one scenario."""

    id: str
    name: str
    sites: tuple[SiteAnswer, ...] = Field(min_length=1)
    counts: dict[str, int] = Field(description="sites of each status")
    net: str | None = Field(default=None, description="sum over the sites that have a kit")
    total: str | None = None
    lower_bound: str | None = Field(default=None, description="the same sites cost no less")
    purchase: Purchase | None = Field(default=None, description="none where no site has a kit")


class Portfolio(Base):
    """Many sites, each as it stands and under each scenario."""

    schema_: Literal["leastkit/many/1"] = Field(default="leastkit/many/1", alias="schema")
    currency: str
    scenarios: tuple[PortfolioColumn, ...] = Field(min_length=1)

    def as_json(self) -> str:
        """The portfolio as JSON text, the same bytes for the same answers."""
        data = self.model_dump(mode="json", by_alias=True)
        return json.dumps(data, indent=1, ensure_ascii=False) + "\n"


__all__ = [
    "Outcome",
    "Portfolio",
    "PortfolioColumn",
    "Purchase",
    "PurchaseLine",
    "SiteAnswer",
    "Split",
]
