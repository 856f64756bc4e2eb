"""What the best within a budget says, as plain data.

Totals are with tax, written as in an answer ("1843.20"); a budget, and what is beyond it, with or
without tax, as the site's budget is meant.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimizer.reading.fields import Base
from optimizer.solving.answer import Answer, Status
from optimizer.solving.explanation import Change, FigureStatus

Verdict = Literal["kept", "lowered", "left out", "gone with it"]


class WishTold(Base):
    """What became of a wish."""

    requirement: str
    text: str
    rank: int
    weight: int
    asked: str
    got: str | None = Field(description="its value in the kit; none where it is left out")
    kept: int = Field(description="natural steps that are kept")
    of: int = Field(description="natural steps from its least to the asked value")
    verdict: Verdict = Field(description="gone with it: with the place that was left out")


class RankTold(Base):
    """The score of a rank: weight times steps kept, over its wishes."""

    rank: int
    kept: int
    most: int = Field(description="no plan that does as well before has more; kept, where proven")
    of: int


class MoneyFor(Base):
    """What more money buys."""

    changes: tuple[Change, ...] = Field(description="from the plan to what the money buys")
    status: FigureStatus
    budget: str | None = Field(default=None, description="the budget that it takes")
    more: str | None = Field(default=None, description="beyond the budget given")
    low: str | None = Field(default=None, description="it takes a budget of at least this")
    high: str | None = Field(default=None, description="a budget of this is known to do")
    because: str = ""


class Within(Base):
    """The best that a budget buys: every must, then wishes rank by rank, then the least spent.

    Status: optimal (proven best, and the cheapest that is as good), feasible (a kit within the
    budget; the open ranks say what a better one could reach at most), unmeetable (the musts do not
    fit; the answer says why), undecided.
    """

    schema_: Literal["leastkit/within/1"] = Field(default="leastkit/within/1", alias="schema")
    site: str
    currency: str
    budget: str
    includes_tax: bool
    tax: str | None = Field(default=None, description="rate in totals; none if not stated")
    status: Status
    changes: tuple[Change, ...] = Field(
        default=(), description="what makes the site file one whose cheapest kit is this answer"
    )
    spent: str | None = Field(default=None, description="of the budget, with or without tax as it")
    left: str | None = Field(default=None, description="of the budget")
    least_spent: str | None = Field(
        default=None, description="no plan as good as this spends less; spent, where proven"
    )
    ranks: tuple[RankTold, ...] = ()
    wishes: tuple[WishTold, ...] = ()
    next_money: MoneyFor | None = Field(
        default=None,
        description="the least budget with which a better plan fits, and that plan; where the "
        "musts do not fit, what they take with every wish given up",
    )
    one_step: tuple[MoneyFor, ...] = Field(
        default=(), description="each wish one step better, all others as they are"
    )
    solves: int
    answer: Answer = Field(
        description="the kit; where the musts do not fit, why not, about the musts alone"
    )


__all__ = ["MoneyFor", "RankTold", "Verdict", "WishTold", "Within"]
