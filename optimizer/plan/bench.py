"""One lens on one mount: which aims are useful, and what each surely sees."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from optimizer.plan import aiming, keeping_out
from optimizer.plan.dominating import undominated
from optimizer.plan.pinhole import NEAR_M, Floats, planes
from optimizer.plan.prepared import Effort, Flags, Ints, View
from optimizer.plan.scene import Lens, Mount, Scene
from optimizer.plan.sight import Edges
from optimizer.plan.sighting import (
    Ground,
    Sighting,
    best_slant,
    corners_of,
    gathered,
    sighted,
    spots_of,
)
from optimizer.plan.turning import (
    Arcs,
    Corners,
    arcs_of,
    best_pans,
    bodies_at,
    kept_within,
    off_bearing,
    parted,
)


@dataclass(frozen=True, eq=False)
class _Chosen:
    """A lens with the cells it may be aimed at on one mount; see `Sighting`, `spots_of`."""

    lens: Lens
    cells: Ints
    corners: Corners
    spots: tuple[Ints, Ints]
    near: Floats
    far: Floats
    px_m: Floats


class Bench:
    """One mount at work: what does not depend on the lens is worked out once."""

    def __init__(
        self,
        scene: Scene,
        ground: Ground,
        mount: Mount,
        lenses: Sequence[Lens],
        hiding: Edges,
        effort: Effort,
    ) -> None:
        self.scene, self.ground, self.mount, self.effort = scene, ground, mount, effort
        self.sighting: Sighting = sighted(scene, ground, mount, lenses, hiding)
        self.kept_out = None
        if len(self.sighting.cells):
            self.kept_out = keeping_out.pieces(scene, mount, hiding)

    def _of_areas(self, values: Sequence[float], cells: Ints) -> Floats:
        return np.asarray(values, dtype=float)[self.ground.area[cells]]

    def possible(self, lens: Lens) -> Ints:
        """Cells of which the lens might show some spot, in whatever way it is set."""
        seen = self.sighting
        best = self._of_areas([best_slant(area, lens) for area in self.scene.areas], seen.cells)
        diagonal = math.hypot(lens.sensor_width_mm, lens.sensor_height_mm)
        widest = 2 * math.atan(diagonal / (2 * lens.focal_min_mm))
        spans = [
            np.arctan2(seen.foot, away) - np.arctan2(seen.top, away)
            for away in (seen.near, seen.far)
        ]
        # From the foot outwards the span rises once and falls once: it is least at an end.
        fits = np.minimum(*spans) <= widest + 1e-9
        cells: Ints = seen.cells[(seen.least_slant() <= best) & fits]
        return cells

    def views(self, lens: Lens) -> list[View]:
        """The useful ways of aiming a lens here."""
        good = self._good(lens)
        if not good.any():
            return []
        chosen = self._chosen(lens, good)
        aims, flags = self._aims(chosen, self._settings(chosen, good))
        return self._kept(chosen, aims, flags)

    def settings(self, lens: Lens) -> list[tuple[float, float]]:
        """The focal lengths and tilts that are looked at. [mm, deg]"""
        good = self._good(lens)
        return self._settings(self._chosen(lens, good), good) if good.any() else []

    def _good(self, lens: Lens) -> Flags:
        """Of the cells sighted, those that are surely within the reach of the lens."""
        seen, reach = self.sighting, dict(lens.reaches)
        ends = self._of_areas(
            [reach.get(area.id, math.inf) for area in self.scene.areas], seen.cells
        )
        return np.asarray(seen.sure & (seen.slant() <= ends + NEAR_M) & (ends > 0))

    def _chosen(self, lens: Lens, good: Flags) -> _Chosen:
        seen = self.sighting
        cells = seen.cells[good]
        return _Chosen(
            lens,
            cells,
            corners_of(self.ground, cells, self.mount, seen.foot[good], seen.top[good]),
            spots_of(self.ground, cells),
            seen.near[good],
            seen.far[good],
            self._of_areas([area.px_m for area in self.scene.areas], cells),
        )

    def _settings(self, chosen: _Chosen, good: Flags) -> list[tuple[float, float]]:
        """Focal lengths and tilts worth a look. [mm, deg]"""
        seen, lens, corners = self.sighting, chosen.lens, chosen.corners
        slant, top, foot = seen.slant()[good], seen.top[good], seen.foot[good]
        diagonal = math.hypot(lens.sensor_width_mm, lens.sensor_height_mm)
        needed = chosen.px_m * lens.sensor_width_mm * slant / lens.width_px
        spans = _spans(corners, self.ground.area[chosen.cells])
        settings: list[tuple[float, float]] = []
        for focal in aiming.focal_lengths(lens, needed, spans, self.effort.focal_lengths):
            # Cells whose detail is met anywhere in the picture decide the tilt, or, where there are
            # none, those whose detail is met in its corners.
            some = needed <= focal * (1 + 1e-9)
            if not some.any():
                some = needed <= math.hypot(focal, diagonal / 2)
            near, far, tops, feet = (v[some] for v in (chosen.near, chosen.far, top, foot))
            tilts = aiming.tilts(lens, focal, (near, far), (tops, feet), self.effort.tilts)
            # Others whose detail is met in some part of the picture ask for tilts of their own.
            limits = focal / (chosen.px_m * lens.sensor_width_mm / lens.width_px)
            sharper = aiming.sharper_tilts(
                lens,
                focal,
                (chosen.near, chosen.far),
                (top, foot),
                limits,
                tilts,
                self.effort.sharper_tilts,
            )
            settings.extend((focal, tilt) for tilt in sorted({*tilts, *sharper}))
        return settings

    def _aims(self, chosen: _Chosen, settings: list[tuple[float, float]]) -> tuple[Floats, Flags]:
        """Aims worth a look, as rows of focal length, tilt and pan, with what each sees."""
        if not settings:
            return np.zeros((0, 3)), np.zeros((0, len(chosen.cells)), dtype=bool)
        lens = chosen.lens
        aims: list[Floats] = []
        flags: list[Flags] = []
        for setting, arcs in zip(settings, _arcs(chosen, settings), strict=True):
            pans = self._pans(lens, setting[0], arcs, math.radians(setting[1]))
            aims.append(np.column_stack([np.tile(setting, (len(pans), 1)), np.degrees(pans)]))
            flags.append(bodies_at(arcs, pans, len(chosen.cells)))
        return np.concatenate(aims), np.concatenate(flags)

    def _pans(self, lens: Lens, focal: float, arcs: Arcs, tilt: float) -> Floats:
        """Pans worth a look at one focal length and tilt; keep-outs are judged later on."""
        half_wide = lens.sensor_width_mm / (2 * focal)
        if self.mount.swing_deg < 360:
            facing = math.radians(self.mount.facing_deg)
            half = math.radians(self.mount.swing_deg) / 2
            arcs = kept_within(arcs, facing - half, facing + half)
        found = [best_pans(arcs)]
        for pieces in self._to_avoid(lens, focal):
            for stretch in keeping_out.sideways(pieces, tilt, half_wide):
                found.append(best_pans(kept_within(arcs, *stretch)))
        return np.unique(np.concatenate(found))

    def _to_avoid(self, lens: Lens, focal: float) -> list[keeping_out.Pieces]:
        """Keep-outs that a view might have to turn away from: without and with those masked."""
        if self.kept_out is None:
            return []
        near = keeping_out.in_reach(self.kept_out, lens, focal)
        strict = near & ~self.kept_out.mask
        sets = [strict, near] if bool((near & self.kept_out.mask).any()) else [strict]
        return [self.kept_out.some(flags) for flags in sets if bool(flags.any())]

    def _kept(self, chosen: _Chosen, aims: Floats, flags: Flags) -> list[View]:
        """Views for the aims that keep-outs allow and no other aim makes needless."""
        forbidden, lost = self._kept_from(chosen, aims)
        flags = flags & ~lost
        rows = np.nonzero(~forbidden)[0]
        rows = rows[undominated(flags[rows])]
        aims, flags = aims[rows], flags[rows]
        flags |= self._close_by(chosen, aims) & ~lost[rows]
        numbers = self.ground.area[chosen.cells]
        first = np.flatnonzero(np.append(True, numbers[1:] != numbers[:-1]))
        served = np.logical_or.reduceat(flags, first, axis=1)
        names = [self.scene.areas[n].id for n in numbers[first].tolist()]
        # Few sets of areas are served by many views: these share their names.
        shared: dict[bytes, tuple[str, ...]] = {}

        def areas(one: Flags) -> tuple[str, ...]:
            key = one.tobytes()
            if key not in shared:
                shared[key] = tuple(names[n] for n in np.flatnonzero(one).tolist())
            return shared[key]

        return [
            View(
                self.mount.id,
                chosen.lens.key,
                round(focal, 9),
                round(pan % 360, 9) % 360,
                round(tilt, 9),
                chosen.cells[flags[row]],
                areas(served[row]),
            )
            for row, (focal, tilt, pan) in enumerate(aims.tolist())
        ]

    def _kept_from(self, chosen: _Chosen, aims: Floats) -> tuple[Flags, Flags]:
        """Which aims a keep-out forbids, and which cells masks take from the others."""
        forbidden = np.zeros(len(aims), dtype=bool)
        lost = np.zeros((len(aims), len(chosen.cells)), dtype=bool)
        if self.kept_out is None:
            return forbidden, lost
        focal, tilt, pan = aims.T
        sides = planes(chosen.lens, focal, pan, tilt)
        shown = keeping_out.shown(self.kept_out, chosen.lens, focal, sides)
        masked = self.kept_out.mask
        if masked.any():
            hidden = keeping_out.veiled(
                self.kept_out.some(masked), chosen.corners, chosen.near, chosen.far
            )
            lost = shown[:, masked].astype(np.float32) @ hidden.astype(np.float32) > 0
        forbidden = np.asarray(shown[:, ~masked].any(axis=1))
        return forbidden, lost

    def _close_by(self, chosen: _Chosen, aims: Floats) -> Flags:
        """Which cells near the foot of the mount each aim shows in enough detail.

        They may lie ahead of and behind the lens at once, where `off_bearing` does not look.
        """
        lens, corners = chosen.lens, chosen.corners
        low, high = (f.reduceat(corners.bearing, corners.first) for f in (np.minimum, np.maximum))
        seen = np.zeros((len(aims), len(chosen.cells)), dtype=bool)
        wide = np.flatnonzero((high - low > math.pi / 2) | (chosen.near <= NEAR_M))
        if not len(wide):
            return seen
        focal, tilt, pan = aims.T
        sides = planes(lens, focal, pan, tilt)
        points, first = gathered(self.ground, chosen.cells[wide])
        flat = np.repeat(points - np.array(self.mount.at), 2, axis=0)
        ends = np.append(corners.first, len(corners.away))
        below = np.concatenate([corners.below[ends[n] : ends[n + 1]] for n in wide.tolist()])
        inwards = sides @ np.column_stack([flat, -below]).T
        least = np.minimum.reduceat(inwards[:, :4].min(axis=1), 2 * first, axis=1)
        deepest = np.maximum.reduceat(inwards[:, 4], 2 * first, axis=1)
        far = lens.width_px / lens.sensor_width_mm * focal[:, None] / chosen.px_m[None, wide]
        seen[:, wide] = (least >= -NEAR_M) & (deepest <= far + NEAR_M)
        return seen


def _arcs(chosen: _Chosen, settings: list[tuple[float, float]]) -> list[Arcs]:
    """For each focal length and tilt the pans at which each cell is seen, all at once."""
    corners, lens, size = chosen.corners, chosen.lens, len(chosen.corners.away)
    times, (one, kind) = len(settings), chosen.spots
    focal, tilt = (np.repeat(values, len(one)) for values in zip(*settings, strict=True))
    per_cell = np.diff(np.append(corners.first, size))
    px_m = np.tile(np.repeat(chosen.px_m, per_cell)[one], times)
    beyond, within = off_bearing(
        _repeated(corners, one, times),
        np.radians(tilt),
        lens.sensor_width_mm / (2 * focal),
        lens.sensor_height_mm / (2 * focal),
        lens.width_px * focal / (lens.sensor_width_mm * px_m),
    )
    each = np.arange(times)[:, None]
    place = (kind[None, :] + len(one) * each).ravel()
    everyone = replace(
        _repeated(corners, slice(None), times),
        first=(corners.first[None, :] + size * each).ravel().astype(np.int32),
    )
    found = arcs_of(everyone, beyond[place], within[place])
    return parted(found, len(chosen.cells), times)


def _repeated(corners: Corners, some: Ints | slice, times: int) -> Corners:
    """Some corners one after the other, so many times; to which bodies they belong is left open."""
    parts = (corners.away, corners.bearing, corners.below)
    away, bearing, below = (np.tile(part[some], times) for part in parts)
    return Corners(away, bearing, below, np.zeros(0, dtype=np.int32))


def _spans(corners: Corners, areas: Ints) -> list[float]:
    """For each area, the angle in plan that its cells take up. [rad]"""
    per_cell = np.diff(np.append(corners.first, len(corners.away)))
    owner = np.repeat(areas, per_cell)
    found = []
    for area in np.unique(areas):
        bearing = np.sort(corners.bearing[owner == area] % math.tau)
        gaps = np.diff(np.append(bearing, bearing[0] + math.tau))
        found.append(math.tau - float(gaps.max()))
    return found
