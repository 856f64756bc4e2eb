"""The commented site files that ``leastkit start`` writes."""

from __future__ import annotations

from pathlib import Path

STARTER = Path(__file__).with_name("starter.yaml")
STARTER_PLAN = Path(__file__).with_name("starter_plan.yaml")


def starter_text(plan: bool = False) -> str:
    """A site file with comments that can be solved as it stands.

    Parameters
    ----------
    plan : bool
        True for one with a plan, which uses every field of plans; False for one without, which
        uses every other field.
    """
    return (STARTER_PLAN if plan else STARTER).read_text(encoding="utf-8")
