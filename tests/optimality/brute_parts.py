"""What a way takes, as plain data for the brute force."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

Line = tuple[int, Fraction, int]
"""Gauge, length in metres, pairs in parallel."""


@dataclass(frozen=True)
class Part:
    """What one way takes: pieces, cuts, loads, parts, ports, labour."""

    name: str = ""
    pieces: tuple[tuple[str, int], ...] = ()
    cuts: tuple[tuple[str, int], ...] = ()
    loads: tuple[tuple[str, int], ...] = ()
    ends: tuple[tuple[str, str], ...] = ()
    male: int = 0
    female: int = 0
    joints: tuple[str, ...] = ()
    plugs: tuple[str, ...] = ()
    splitters: int = 0
    plain: bool = False
    powered: tuple[str, int] | None = None
    old: tuple[tuple[str, int], ...] = ()
    labour: int = 0
    point: str = ""
    wants_pair: bool = False

    def __add__(self, other: Part) -> Part:
        return Part(
            f"{self.name}+{other.name}",
            self.pieces + other.pieces,
            self.cuts + other.cuts,
            self.loads + other.loads,
            self.ends + other.ends,
            self.male + other.male,
            self.female + other.female,
            self.joints + other.joints,
            self.plugs + other.plugs,
            self.splitters + other.splitters,
            self.plain or other.plain,
            self.powered or other.powered,
            self.old + other.old,
            self.labour + other.labour,
            self.point or other.point,
            self.wants_pair or other.wants_pair,
        )


@dataclass(frozen=True)
class Way:
    """A path for the picture: its part, its own power conductors, and what hangs on it."""

    kind: str
    part: Part
    line: Line | None = None
    lead: bool = False
    audio: bool = False
    balun: Any = None
