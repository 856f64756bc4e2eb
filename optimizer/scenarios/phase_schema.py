"""What a phases file says: in which order a site is bought, and for how much each time."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from optimizer.reading.fields import AsWritten, Base, Ident, Money, Prose, Title
from optimizer.scenarios.schema import RequirementId

MOST_PHASES = 12


class Phase(Base):
    """One purchase: the places that come with it, and what is asked of the site from then on."""

    id: Ident
    name: Title = ""
    note: Prose = ""
    zones: tuple[Ident, ...] = Field(
        default=(), description="zones that come with this phase, each with its audio point"
    )
    audio: tuple[Ident, ...] = Field(
        default=(), description="audio points without a zone that come with this phase"
    )
    set: dict[RequirementId, AsWritten] = Field(
        default_factory=dict,
        description="recording/... , spare/channels or spare/storage to its value from this phase "
        "on, as a site file would have it",
    )
    budget: Money | None = Field(
        default=None,
        description="of this phase alone, with or without tax as money.budget_includes_tax of the "
        "site says",
    )


class Phases(Base):
    """A phases file. Every zone of the site comes with exactly one phase."""

    leastkit: Literal["phases/1"]
    name: Title = ""
    note: Prose = ""
    phases: tuple[Phase, ...] = Field(min_length=1, max_length=MOST_PHASES)


__all__ = ["MOST_PHASES", "Phase", "Phases"]
