"""Zones that may be left out, as long as those that are kept weigh enough."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Leaving:
    """What makes every zone a matter of choice.

    Attributes
    ----------
    weights : dict of str to int
        Zone id to its weight, 1 or more.
    least : int
        What the zones that are kept must weigh together.
    """

    weights: Mapping[str, int]
    least: int


__all__ = ["Leaving"]
