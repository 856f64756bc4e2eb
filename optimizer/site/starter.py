"""The commented site file that ``leastkit start`` writes."""

from __future__ import annotations

from pathlib import Path

STARTER = Path(__file__).with_name("starter.yaml")


def starter_text() -> str:
    """A site file with comments that uses every field and can be solved as it stands."""
    return STARTER.read_text(encoding="utf-8")
