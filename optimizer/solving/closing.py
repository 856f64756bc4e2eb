"""What no kit on a plan costs less than by exact shapes, and kits that cells alone do not show.

A way to aim counts here for every cell that it might show a spot of, as
:mod:`optimizer.plan.glimpsing` says: no kit at the listed focal lengths and tilts, at whatever pan,
costs less than the cheapest of such choices. That one is looked at by exact shapes. If it does, or
with aims nearby, it is the cheapest kit; if it does not, the cells that it was wrongly given are
cut along what its cameras see, and the question is put again: until both sides meet, or time is
out.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from optimizer.instance import Instance, Memory, build_instance
from optimizer.instance.tables import Viewing
from optimizer.model import build
from optimizer.plan.glimpsing import glimpsed
from optimizer.plan.judging import Judge
from optimizer.plan.prepared import Cell
from optimizer.plan.refining import cut_along
from optimizer.solving.glance import Glance
from optimizer.solving.placing import place, seeing_all, with_floors
from optimizer.solving.pursue import NOT_BETWEEN, Pursuit, pursue
from optimizer.solving.search import Found
from optimizer.solving.shapes import Aims, Shapes, used

Progress = Callable[[str], None]

Open = Literal["", "time", "cells"]

_ROUNDS = 8
_CUT = 80
"""Cells that are cut at a time, at most: those first of which most is wrongly counted."""

_LEAST_SECONDS = 1.0
_AIMS_A_SECOND = 250
"""Ways to aim that are surely looked at anew in a second: what is begun is not broken off."""

_LARGE, _FLOOR_SECONDS = 3000, 3.0
"""Ways to aim from which on a bound is enough, and the time for what it rests on. [s]"""


@dataclass(frozen=True)
class Closed:
    """How near both sides came.

    Attributes
    ----------
    best : Pursuit or None
        The cheapest kit known; None where there is none.
    bound : int or None
        No kit at the listed focal lengths and tilts costs less, by exact shapes; 0 where nothing
        is known, None where it is proven that there is none at all. [hundredth, net]
    open : str
        Why both sides do not meet: "time" ran out, or "cells" cannot be cut far enough; empty where
        they do, or where it is proven that there is no kit at these focal lengths and tilts.
    """

    best: Pursuit | None
    bound: int | None
    open: Open = ""


def close(shapes: Shapes, best: Pursuit | None, memory: Memory, until: float) -> Closed:
    """Bring the price of a kit and the price that none is below together.

    Parameters
    ----------
    shapes : Shapes
        Of the instance in which only surely seen cells count.
    best : Pursuit or None
        The cheapest kit known.
    memory : Memory
        What was worked out for the site.
    until : float
        On the clock of ``time.monotonic``. [s]
    """
    listed, say = shapes.viewing.prepared, shapes.say
    site, book = shapes.instance.site, shapes.instance.book
    cells: tuple[Cell, ...] = listed.cells
    price = None if best is None else best.found.objective
    needed = max(_LEAST_SECONDS, len(shapes.viewing.aims) / _AIMS_A_SECOND)
    if price is not None and len(shapes.viewing.aims) > _LARGE:
        # To settle so many takes far longer than is left. A bound is what there is: that for lenses
        # set and aimed in any way whatever is found sooner, and holds for those listed too.
        if until - time.monotonic() < _FLOOR_SECONDS + needed:
            return Closed(best, 0, "time")
        anyhow = build_instance(site, book, memory=memory, sure=False)
        return Closed(best, _floor(anyhow, price), "time")
    bound = 0
    why: Open = "cells"
    for _ in range(_ROUNDS):
        if until - time.monotonic() < needed:
            why = "time"
            break
        say("looking at what exact shapes might save")
        below = None if best is None else best.found.objective
        seen = glimpsed(listed, cells)
        instance = build_instance(site, book, memory=memory, sure=False, glimpsed=seen)
        if time.monotonic() > until:
            why = "time"
            break
        found = pursue(instance, until, say, below=below, ties=False)
        if found.found.status == "infeasible":
            return Closed(best, below)
        bound = max(bound, found.found.bound or 0)
        if found.found.values is None:
            why = "time"
            break
        look, aims = Shapes(instance, say, shapes.judge), used(found)
        does = look.mended(aims, until)
        if does is not None:
            bought = look.bought(does, until, below)
            best = best if bought is None else bought
            if bought is not None and (bought.found.objective or 0) <= bound:
                return Closed(best, bought.found.objective)
        assert instance.viewing is not None
        finer = cut_along(*_wrong(shapes.judge, look, instance.viewing, aims), _CUT)
        if len(finer) == len(cells):
            break
        cells = finer
    price = None if best is None else best.found.objective
    if price is not None and bound >= price:
        return Closed(best, price)
    return Closed(best, bound, why)


def _floor(instance: Instance, below: int) -> int:
    """What no kit costs less than, with little effort; at most a limit. [hundredth, net]

    The fewest cameras, and the least that they can cost wired by themselves, are rows of the
    program in which a camera sees at once whatever it might see in all of its aims.
    """
    placed = place(instance, _FLOOR_SECONDS)
    if not placed.possible:
        return below
    draft = with_floors(build(seeing_all(instance)), placed.floors)
    glance = Glance(draft.program, below)
    return below if glance.refuted else min(below, glance.bound or 0)


def joined(result: Pursuit, closed: Closed) -> Pursuit:
    """What a search by cells came to, with the kit and the price below which there is none.

    Parameters
    ----------
    result : Pursuit
        What was proven by cells: the cheapest kit, or that there is none.
    closed : Closed
    """
    best = closed.best
    if best is None:
        return result
    cost, low = best.found.objective or 0, closed.bound or 0
    if result.found.values is not None:
        low = cost if result.found.status == "optimal" else max(low, result.found.bound or 0)
    status = "optimal" if low >= cost else "feasible"
    found = Found(status, best.found.values, cost, min(low, cost))
    return Pursuit(best.draft, found, best.layout, NOT_BETWEEN)


def _wrong(
    judge: Judge, look: Shapes, viewing: Viewing, aims: Aims
) -> tuple[tuple[Cell, ...], list[int], dict[str, tuple[object, list[object]]]]:
    """The cells, those that a choice counts for, and of each area what it sees of it, by camera."""
    cells = viewing.prepared.cells
    times = Counter(cell for aim in aims for cell in aim.cells.tolist())
    asked = {area.id: area.cameras for area in judge.scene.areas}
    counted = [c for c, often in sorted(times.items()) if often >= asked[cells[c].area_id]]
    cameras = [look.aimed(aim) for aim in aims]
    sees: dict[str, tuple[object, list[object]]] = {}
    for area in judge.scene.areas:
        each = [judge.ground(camera, area) for camera in cameras if area.id in camera.serves]
        sees[area.id] = (judge.seen(cameras, area), each)
    return cells, counted, sees


__all__ = ["Closed", "close", "joined"]
