"""Limits of units and ways to group, for the brute force."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import floor
from typing import Any

from optimizer.engineering import poe

Pieces = dict[str, int]


class Unit:
    """A recorder unit while it fills."""

    def __init__(self, item: Any) -> None:
        self.item = item
        self.groups: Counter[int] = Counter()
        self.kpx = self.kbit = self.gb = self.loads = self.inputs = 0
        self.powered: list[int] = []


def plus(pieces: Pieces, more: Any) -> Pieces:
    total = dict(pieces)
    for item, number in more:
        total[item] = total.get(item, 0) + number
    return total


def by_item(pairs: Iterable[tuple[str, int]]) -> list[tuple[str, tuple[int, ...]]]:
    grouped: dict[str, list[int]] = {}
    for item, number in pairs:
        grouped.setdefault(item, []).append(number)
    return [(item, tuple(numbers)) for item, numbers in grouped.items()]


def groupings(things: tuple[int, ...]) -> Iterator[list[list[int]]]:
    """Every way to put the things in groups."""
    if not things:
        yield []
        return
    head, *tail = things
    for groups in groupings(tuple(tail)):
        yield [[head], *groups]
        for i in range(len(groups)):
            yield [*groups[:i], [head, *groups[i]], *groups[i + 1 :]]


def switched(switch: Any, watts: list[int]) -> bool:
    if len(watts) > switch.ports:
        return False
    powered = [w for w in watts if w]
    if not powered:
        return True
    if switch.poe is None or len(powered) > switch.poe.ports:
        return False
    best = round(poe.source_watts(switch.poe.poe_class) * 100)
    return max(powered) <= best and sum(powered) <= floor(Fraction(switch.poe.budget) * 100)


def channels(recorder: Any) -> int:
    return (
        recorder.channels
        if recorder.channels is not None
        else sum(g.count for g in recorder.inputs)
    )


def bears(unit: Unit) -> bool:
    item = unit.item
    if any(n > item.inputs[g].count for g, n in unit.groups.items()) or sum(
        unit.groups.values()
    ) > channels(item):
        return False
    if unit.kpx and unit.kpx > floor(Fraction(item.encode_rate) / 1000):
        return False
    if unit.kbit and unit.kbit > floor(Fraction(item.ingest) / 1000):
        return False
    if unit.loads > 8 * item.unit_loads or unit.inputs > item.audio_inputs:
        return False
    if unit.powered:
        if item.poe is None or len(unit.powered) > item.poe.ports:
            return False
        if max(unit.powered) > round(poe.source_watts(item.poe.poe_class) * 100):
            return False
        if sum(unit.powered) > floor(Fraction(item.poe.budget) * 100):
            return False
    return True
