"""Which focal lengths and tilts are tried: those that meet a limit exactly, few of many."""

from __future__ import annotations

import math

import numpy as np

from optimizer.plan.pinhole import Floats
from optimizer.plan.prepared import Flags
from optimizer.plan.scene import Lens
from optimizer.plan.turning import rounded

_SAME = 1e-9

_MOST_TRIED = 60
"""Tilts among which the sharper ones are chosen, spread evenly over all there are."""


def focal_lengths(lens: Lens, needed_mm: Floats, spans: list[float], most: int) -> list[float]:
    """Focal lengths worth setting.

    A longer focal length than a cell needs for its density wherever in the picture it is only
    narrows the view, so those that some cell needs are enough, with the shortest one. Besides, for
    each area, the one at which the picture is just as wide as the area appears from the mount.

    Parameters
    ----------
    lens : Lens
    needed_mm : ndarray, shape (n,)
        For each cell, the focal length from which its density is met at any aim:
        px/m x sensor width x distance of its farthest spot / columns. [mm]
    spans : list of float
        For each area, the angle between the directions in plan to its leftmost and rightmost
        spot. [rad]
    most : int
        Greatest number of focal lengths of the first kind, >= 2: where there are more, every so
        many of them in rising order, the shortest and the longest among them.

    Returns
    -------
    list of float
        Longest first. [mm]
    """
    low, high = lens.focal_min_mm, lens.focal_max_mm
    if high <= low:
        return [low]
    # Rounded up, the density is still met, at a hundredth of a millimetre in width.
    needed_mm = np.ceil(needed_mm * 100 - _SAME) / 100
    useful = np.unique(needed_mm[(needed_mm > low) & (needed_mm <= high)])
    if bool((needed_mm > high).any()):
        useful = np.append(useful, high)
    found = [low, *_thinned(useful, most - 1)]
    for span in spans:
        if span < math.pi - _SAME:
            wide = lens.sensor_width_mm / (2 * math.tan(max(span, _SAME) / 2))
            if low < wide < high:
                found.append(wide)
    return _apart(sorted(found, reverse=True))


def tilts(
    lens: Lens,
    focal_mm: float,
    away: tuple[Floats, Floats],
    below: tuple[Floats, Floats],
    most: int,
) -> list[float]:
    """Tilts worth setting at one focal length, where every cell's detail is met at any aim.

    A cell is between the lower and the upper edge of the picture, in its middle column and in its
    outer ones, on one range of tilts. As with pans, only the stretches between a tilt at which a
    cell comes in and the next event, if that is one going out, need be looked at. The middle of
    each is taken; its ends too, where there are few.

    Parameters
    ----------
    lens : Lens
    focal_mm : float
        [mm]
    away : tuple of two ndarray, shape (n,)
        Distance in plan of each cell's nearest and farthest spot. [m]
    below : tuple of two ndarray, shape (n,)
        How far its targets' highest and lowest point are below the lens. [m]
    most : int
        Greatest number, >= 1: where there are more, the one at which most cells fit, and every so
        many of the others in rising order, the flattest and the steepest among them.

    Returns
    -------
    list of float
        Rising, within what the lens can do. [deg]
    """
    start, end = _between_edges(lens, focal_mm, away, below)
    good = start <= end
    start, end = start[good], end[good]
    if not len(start):
        return []
    from_, to = _stretches(start, end)
    flattest, middle, steepest = _inwards(from_, to)
    each, found = most // len(from_), middle
    if each == 2:
        found = np.concatenate([flattest, steepest])
    elif each > 2:
        found = np.concatenate([flattest, middle, steepest])
    found = np.sort(found)
    chosen = _thinned(found, most)
    if len(chosen) < len(found):
        holds = (start[None, :] <= found[:, None]) & (found[:, None] <= end[None, :])
        fullest = float(found[np.argmax(holds.sum(axis=1))])
        if fullest not in chosen:
            chosen = sorted([fullest, *_thinned(found, most - 1)]) if most > 1 else [fullest]
    return _apart([math.degrees(tilt) for tilt in chosen])


def sharper_tilts(
    lens: Lens,
    focal_mm: float,
    away: tuple[Floats, Floats],
    below: tuple[Floats, Floats],
    limit_m: Floats,
    known: list[float],
    most: int,
) -> list[float]:
    """Tilts that bring more cells into detail, since what lies off the axis is shown larger.

    A spot that is g below the lens and p away in plan lies p cos(t) + g sin(t) along the axis: too
    far for its detail while the axis points at it, and near enough once it is some way off. So
    its detail is met from some tilt on, and up to another one.

    Parameters
    ----------
    lens, focal_mm, away, below
        As for :func:`tilts`; of all cells, those too whose detail is not met at every aim.
    limit_m : ndarray, shape (n,)
        Greatest distance along the axis at which each cell's detail is met. [m]
    known : list of float
        Tilts that are looked at anyway. [deg]
    most : int
        Greatest number: those first that bring most cells in which no tilt so far does.

    Returns
    -------
    list of float
        Rising; a limit of detail or an edge of the picture is met at each, to a tenth of a degree.
        [deg]
    """
    outer = 1 / math.hypot(1, lens.sensor_width_mm / (2 * focal_mm))
    first, last = [], []
    # Towards the sides of the picture detail is met sooner, and other edges bind.
    for column in (1.0, (1 + outer) / 2, outer):
        at = (away[0] * column, away[1] * column)
        low, high = _at_column(lens, focal_mm, at, below)
        axis, half = _off_axis(at, below, limit_m)
        flat, steep = (axis - half).min(axis=0), (axis + half).max(axis=0)
        # Where detail is met at any tilt there is one stretch, else one below and one above.
        parted = half.any(axis=0)
        first.append((low, np.where(parted, np.minimum(high, flat), high)))
        last.append((np.where(parted, np.maximum(low, steep), np.inf), high))
    start, end = (np.concatenate(side) for side in zip(*first, *last, strict=True))
    number = len(start) // 2
    which = np.tile(np.arange(number), 2)
    good = start <= end
    start, end, which = start[good], end[good], which[good]
    if not len(start):
        return []
    flattest, _, steepest = _inwards(*_stretches(start, end))
    tried = np.array(_thinned(np.unique(np.concatenate([flattest, steepest])), _MOST_TRIED))

    def held(angles: Floats) -> Flags:
        """Which cells are shown as they should be, in which of the columns."""
        inside = (start <= angles[:, None] + _SAME) & (angles[:, None] <= end + _SAME)
        sees = np.zeros((len(angles), number), dtype=bool)
        rows, stretch = np.nonzero(inside)
        sees[rows, which[stretch]] = True
        return sees

    sees = held(tried)
    reached = held(np.radians(known)).any(axis=0)
    chosen: list[float] = []
    while len(chosen) < most:
        fresh = (sees & ~reached).sum(axis=1)
        best = int(np.argmax(fresh * (number + 1) + sees.sum(axis=1)))
        if not fresh[best]:
            break
        chosen.append(math.degrees(float(tried[best])))
        reached |= sees[best]
    return _apart(sorted(chosen))


def _between_edges(
    lens: Lens, focal_mm: float, away: tuple[Floats, Floats], below: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """From which to which tilt each cell is between the lower and the upper edge. [rad]"""
    outer = 1 / math.hypot(1, lens.sensor_width_mm / (2 * focal_mm))
    (near, far), columns = away, (1.0, outer)
    ranges = [_at_column(lens, focal_mm, (near * c, far * c), below) for c in columns]
    start, end = (np.array(side) for side in zip(*ranges, strict=True))
    # Where no tilt serves all columns, the middle one alone decides.
    all_of = start.max(axis=0), end.min(axis=0)
    some = all_of[0] <= all_of[1]
    return np.where(some, all_of[0], start[0]), np.where(some, all_of[1], end[0])


def _at_column(
    lens: Lens, focal_mm: float, away: tuple[Floats, Floats], below: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """The same in the column of the picture in which the cells lie so far ahead. [rad]"""
    half = math.atan(lens.sensor_height_mm / (2 * focal_mm))
    (near, far), (top, foot) = away, below
    # The steepest sight to a foot and the flattest one to a head, over the cell.
    steep = np.maximum(np.arctan2(foot, near), np.arctan2(foot, far))
    flat = np.minimum(np.arctan2(top, near), np.arctan2(top, far))
    low, high = math.radians(lens.tilt_min_deg), math.radians(lens.tilt_max_deg)
    return np.maximum(steep - half, low), np.minimum(flat + half, high)


def _off_axis(
    away: tuple[Floats, Floats], below: tuple[Floats, Floats], limit_m: Floats
) -> tuple[Floats, Floats]:
    """Tilt of the line to each cell's corners, and how far the axis must be off it. [rad]"""
    flat = np.stack([a for a in away for _ in below])
    fall = np.stack([b for _ in away for b in below])
    length = np.hypot(flat, fall)
    # A spot at the lens itself is near enough at any tilt.
    ratio = np.divide(limit_m, length, out=np.ones_like(length), where=length > 0)
    half = np.arccos(np.minimum(1.0, ratio))
    return np.arctan2(fall, flat), half


def _stretches(start: Floats, end: Floats) -> tuple[Floats, Floats]:
    """Between a tilt at which a cell comes in and the next event, if that is one going out."""
    angle = np.concatenate([start, end])
    going = np.repeat([0, 1], len(start))
    order = np.lexsort([going, angle])
    angle, going = angle[order], going[order]
    peak = np.nonzero((going[:-1] == 0) & (going[1:] == 1))[0]
    return angle[peak], angle[peak + 1]


def _inwards(from_: Floats, to: Floats) -> tuple[Floats, Floats, Floats]:
    """The ends of stretches, moved inwards to a tenth of a degree where there is room; middles."""
    tenth = math.radians(0.1)
    flattest = np.minimum(np.ceil(from_ / tenth) * tenth, to)
    steepest = np.maximum(np.floor(to / tenth) * tenth, from_)
    return flattest, rounded(from_, to), steepest


def _thinned(values: Floats, most: int) -> list[float]:
    """At most so many of some rising values, spread evenly, the last and then the first kept."""
    if len(values) <= most:
        return [float(v) for v in values]
    if most == 1:
        return [float(values[-1])]
    picked = np.unique(np.round(np.linspace(0, len(values) - 1, most)).astype(int))
    return [float(values[i]) for i in picked]


def _apart(values: list[float]) -> list[float]:
    """Values in order, without those that are as good as the one before."""
    found: list[float] = []
    for value in values:
        if not found or abs(value - found[-1]) > _SAME * max(1.0, abs(value)):
            found.append(value)
    return found
