"""Kits on a plan judged by exact shapes, where whole cells say less than is so.

By cells a choice of views does only if each cell is surely seen whole by one of them. Here the
cameras of a kit are looked at by the polygons of what they see: without each, with a cheaper one in
its place, with an aim nearby. Where such a choice does, the rest is bought for it by the usual
program, its views fixed, and the audit judges it like any other kit.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from optimizer.audit import audit_design
from optimizer.instance import Instance
from optimizer.instance.tables import Aim, Viewing, ZoneTable
from optimizer.model import build
from optimizer.plan.judging import Judge
from optimizer.plan.shares import Aimed
from optimizer.solving.assemble import assemble
from optimizer.solving.pairs import pairs
from optimizer.solving.placing import on_mounts, place_of, weight_of
from optimizer.solving.pursue import Pursuit, pursued
from optimizer.solving.soon import soon

Progress = Callable[[str], None]
Aims = tuple[Aim, ...]

BY_SHAPES = (
    "; where a kit so found does by exact shapes with fewer or cheaper cameras on the same mounts, "
    "turned, tilted or set a little otherwise where need be, that one is taken"
)

_ALL_SUBSETS = 9
"""Cameras up to which every part of a choice is looked at; of more, one is left out at a time."""

_NEARLY, _PAIR = 0.03, 0.1
"""Share that may lack for aims nearby to be tried; of two that were chosen for each other."""

_LISTED = 8
"""Ways to aim that are tried in the place of one, those that see most of what it sees."""

_TURNS = (0.2, -0.2, 0.6, -0.6, 1.5, -1.5, 4.0, -4.0)
"""How far a camera is turned or tilted from where it points. [deg]"""

_ZOOMS = (1.01, 0.99, 1.03, 0.97, 1.1, 0.9)
"""What the focal length of one that can be set is multiplied by."""

_PASSES = 3
_MENDS, _WORTH = 6, 0.7
"""Times that all cameras are aimed anew, while each leaves no more than this part of the lack."""

_BOUGHT = 8
"""Choices of views for which a kit is bought, at most."""

_LOOK = 0.5
"""Share of the time in which choices are looked for, before kits are bought for them."""

_PATCH_M2 = 1e-4
"""Ground of which it is worth saying that a camera serves it; the audit takes less for none."""


def exactly(total: str, least: str | None) -> str:
    """What is known of the price by exact shapes, to be put after what it is least over.

    Parameters
    ----------
    total : str
        Price found.
    least : str or None
        No kit over the listed focal lengths and tilts costs less; None where it was not looked at.
    """
    if least is None:
        return "; time ran out before it was looked at what exact shapes might save"
    if least == total:
        return (
            "; by exact shapes, too, no kit at these focal lengths and tilts costs less, however "
            "small the cells"
        )
    return (
        f"; by exact shapes no kit at these focal lengths and tilts costs less than {least}; "
        f"whether one costs less than {total} is open, and hangs on how small the cells are"
    )


class Shapes:
    """Looks at choices of views by exact shapes.

    Parameters
    ----------
    instance : Instance
        With plan zones; ways to aim are its own.
    say : callable
        Told what is being done.
    judge : Judge, optional
        Of the same scene: what it has worked out already is used.
    """

    def __init__(self, instance: Instance, say: Progress, judge: Judge | None = None) -> None:
        assert instance.viewing is not None
        self.instance, self.say = instance, say
        self.viewing: Viewing = instance.viewing
        prepared = self.viewing.prepared
        self.judge = judge or Judge(prepared.scene)
        self.lenses = {(m, x.key): x for m, some in prepared.lenses.items() for x in some}
        self.weights: dict[tuple[int, str, int], int] = {}
        for key in on_mounts(instance):
            candidate = instance.zones[key[0]].candidates[key[1]]
            assert candidate.duty is not None
            place, weight = (key[0], candidate.lens, candidate.duty), weight_of(instance, key)
            self.weights[place] = min(weight, self.weights.get(place, weight))
        self.of_mount: dict[int, list[Aim]] = {}
        for aim in self.viewing.aims:
            if place_of(aim) in self.weights:
                self.of_mount.setdefault(aim.table, []).append(aim)

    def lighter(self, known: Pursuit, until: float) -> Pursuit | None:
        """A cheaper kit than a known one, of fewer or cheaper cameras on the same mounts.

        Parameters
        ----------
        known : Pursuit
            Laid out.
        until : float
            On the clock of ``time.monotonic``. [s]
        """
        chosen = used(known)
        self.say("looking at exact shapes")
        below = known.found.objective
        # What wiring and feeding a camera costs is no part of its weight: some choices are bought,
        # each with little effort at first.
        choices = self._lighter(chosen, time.monotonic() + _LOOK * (until - time.monotonic()))
        quick: list[tuple[int, Aims]] = []
        best: Pursuit | None = None
        for aims in choices:
            if time.monotonic() > until:
                break
            draft = build(self.fixed(aims))
            found = soon(draft, until, None, needed=False)
            if found is None or found.found.objective is None:
                continue
            quick.append((found.found.objective, aims))
            if (below is None or found.found.objective < below) and self._passes(found):
                best, below = found, found.found.objective
        left = [aims for _, aims in sorted(quick, key=lambda one: one[0])]
        for aims in left + [aims for aims in choices if aims not in left]:
            if time.monotonic() > until:
                break
            found = self.bought(aims, until, below)
            if found is not None:
                best, below = found, found.found.objective
        return best

    def bought(self, aims: Aims, until: float, below: int | None) -> Pursuit | None:
        """The cheapest kit with these views, if it passes the audit; None where it does not.

        Parameters
        ----------
        below : int or None
            Only a lower net price is of interest. [hundredth]
        """
        fixed = self.fixed(aims)
        found = pursued(fixed, until, self.say, below, ties=True)
        return found if self._passes(found) else None

    def _passes(self, found: Pursuit) -> bool:
        """Whether there is a kit that the audit passes."""
        if found.found.values is None or found.layout is None:
            return False
        design = assemble(found.draft, found.found.values, found.layout)
        site, book = self.instance.site, self.instance.book
        return not audit_design(site, book.items, book.book.offers, design)

    def fixed(self, aims: Aims) -> Instance:
        """The instance with these views and no others, each of them used."""
        places = {place_of(aim) for aim in aims}
        tables: list[ZoneTable] = []
        for index, table in enumerate(self.instance.zones):
            if table.optional:
                kept = tuple(c for c in table.candidates if (index, c.lens, c.duty) in places)
                table = replace(table, candidates=kept)
            tables.append(table)
        views = tuple(self._serving(aim) for aim in aims)
        viewing = replace(self.viewing, aims=views, zones=(), sure=True, fixed=True)
        return replace(self.instance, zones=tuple(tables), viewing=viewing)

    def _serving(self, aim: Aim) -> Aim:
        """The aim with the areas of which it sees some ground."""
        camera = self.aimed(aim)
        areas = tuple(
            area.id
            for area in self.judge.scene.areas
            if area.id in camera.serves and self.judge.ground(camera, area).area > _PATCH_M2
        )
        return replace(aim, view=replace(aim.view, areas=areas))

    def aimed(self, aim: Aim) -> Aimed:
        """A way to aim as the judge knows it."""
        view, duty = aim.view, self.instance.zones[aim.table].duties[aim.duty]
        lens = self.lenses[view.mount_id, view.lens_key]
        serves = tuple(a.id for a in self.judge.scene.areas if a.id in duty.zones)
        return Aimed(view.mount_id, lens, view.focal_mm, view.pan_deg, view.tilt_deg, serves)

    def lacking(self, aims: Sequence[Aim]) -> float:
        """Sum of the shares that are asked and not seen."""
        return self.judge.lacking([self.aimed(aim) for aim in aims])

    def weight(self, aims: Sequence[Aim]) -> int:
        """About what the cameras cost. [hundredth]"""
        return sum(self.weights[place_of(aim)] for aim in aims)

    def _lighter(self, chosen: Aims, until: float) -> list[Aims]:
        """Some choices that do and have fewer or cheaper cameras, the lightest first."""
        found = {self._mark(one): one for one in self._fewer(chosen, until)}
        for start in sorted(found.values(), key=self.weight)[:_BOUGHT] or [chosen]:
            for _ in range(_PASSES):
                better = self._cheaper(start, until) or self._two_cheaper(start, until)
                if better is None:
                    break
                found[self._mark(better)] = start = better
        return sorted(found.values(), key=self.weight)[:_BOUGHT]

    def _mark(self, aims: Aims) -> frozenset[tuple[int, str, int]]:
        return frozenset(place_of(aim) for aim in aims)

    def _fewer(self, chosen: Aims, until: float) -> list[Aims]:
        """Parts of a choice that do, be it with aims nearby, of which no part does."""
        if len(chosen) > _ALL_SUBSETS:
            left = chosen
            for aim in sorted(chosen, key=lambda a: -self.weights[place_of(a)]):
                rest = tuple(one for one in left if one is not aim)
                if time.monotonic() < until and self.lacking(rest) == 0:
                    left = rest
            return [left] if len(left) < len(chosen) else []
        found: dict[frozenset[int], Aims] = {}
        for size in range(1, len(chosen)):
            for some in combinations(chosen, size):
                tables = frozenset(aim.table for aim in some)
                if time.monotonic() > until:
                    break
                if any(less <= tables for less in found):
                    continue
                near = self.mended(some, until)
                if near is not None:
                    found[tables] = near
        return list(found.values())

    def _cheaper(self, chosen: Aims, until: float) -> Aims | None:
        """The same with one camera replaced by a cheaper one on its mount."""
        for aim in sorted(chosen, key=lambda a: -self.weights[place_of(a)]):
            rest = tuple(one for one in chosen if one is not aim)
            own = self.weights[place_of(aim)]
            others = [a for a in self.of_mount[aim.table] if self.weights[place_of(a)] < own]
            for other in self._alike(aim, others):
                if time.monotonic() > until:
                    return None
                found = self.mended((*rest, other), until)
                if found is not None:
                    return found
        return None

    def _two_cheaper(self, chosen: Aims, until: float) -> Aims | None:
        """The same with two cameras replaced by cheaper ones on their mounts."""
        cells = self.viewing.prepared.cells
        for two in combinations(sorted(chosen, key=lambda a: -self.weights[place_of(a)]), 2):
            rest = tuple(one for one in chosen if one not in two)
            seen = {cell for aim in rest for cell in aim.cells.tolist()}
            ones, others = (self.of_mount[aim.table] for aim in two)
            for pair in pairs(ones, others, cells, seen, self.weight, self.weight(two)):
                if time.monotonic() > until:
                    return None
                found = self.mended((*rest, *pair), until, _PAIR)
                if found is not None:
                    return found
        return None

    def mended(self, aims: Aims, until: float, nearly: float = _NEARLY) -> Aims | None:
        """A choice that does: this one, or one with the same cameras aimed nearby.

        Parameters
        ----------
        aims : tuple of Aim
            At most one for each mount.
        until : float
            On the clock of ``time.monotonic``. [s]
        nearly : float
            Share that may lack at first.
        """
        best, lack = aims, self.lacking(aims)
        if lack > nearly:
            return None
        for _ in range(_MENDS):
            before = lack
            for place, aim in enumerate(best):
                for other in self._near(aim):
                    if lack == 0 or time.monotonic() > until:
                        return best if lack == 0 else None
                    some = (*best[:place], other, *best[place + 1 :])
                    less = self.lacking(some)
                    if less < lack:
                        best, lack = some, less
            if lack > _WORTH * before:
                break
        return best if lack == 0 else None

    def _near(self, aim: Aim) -> Iterator[Aim]:
        """Ways to aim the same camera nearby: those listed, and turned, tilted or set a little."""
        same = [a for a in self.of_mount[aim.table] if place_of(a) == place_of(aim) and a != aim]
        yield from self._alike(aim, same)
        view, lens = aim.view, self.lenses[aim.view.mount_id, aim.view.lens_key]
        views = [replace(view, pan_deg=round((view.pan_deg + t) % 360, 9) % 360) for t in _TURNS]
        # Where a limit of the picture binds, tenths and hundredths are what an installer can set.
        tilts = {round(view.tilt_deg + turn, 1): None for turn in _TURNS}
        views += [
            replace(view, tilt_deg=tilt)
            for tilt in tilts
            if lens.tilt_min_deg <= tilt <= lens.tilt_max_deg
        ]
        half = math.atan(lens.sensor_height_mm / (2 * view.focal_mm))
        for focal in {round(view.focal_mm * zoom, 2): None for zoom in _ZOOMS}:
            if lens.focal_min_mm <= focal <= lens.focal_max_mm:
                # The upper edge of the picture, where the far end is, may have to stay.
                kept = math.degrees(math.atan(lens.sensor_height_mm / (2 * focal)) - half)
                views.append(replace(view, focal_mm=focal))
                tilt = round(view.tilt_deg + kept, 1)
                if lens.tilt_min_deg <= tilt <= lens.tilt_max_deg:
                    views.append(replace(view, focal_mm=focal, tilt_deg=tilt))
        for one in views:
            other = replace(aim, view=one)
            if one != view and self.judge.allowed(self.aimed(other)):
                yield other

    def _alike(self, aim: Aim, others: Sequence[Aim]) -> list[Aim]:
        """Those of some ways to aim that see most of the cells that one sees."""
        own = set(aim.cells.tolist())
        return sorted(others, key=lambda a: -len(own.intersection(a.cells.tolist())))[:_LISTED]


def used(pursuit: Pursuit) -> Aims:
    """The ways to aim that a kit uses."""
    values = pursuit.found.values
    assert values is not None
    return tuple(aim for aim, var in pursuit.draft.aims if values[var])


__all__ = ["BY_SHAPES", "Shapes", "exactly", "used"]
