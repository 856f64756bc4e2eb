"""Which focal lengths and tilts are tried: those that meet a limit exactly, thinned evenly."""

from __future__ import annotations

import math

import numpy as np

from optimizer.plan.pinhole import Floats
from optimizer.plan.scene import Lens
from optimizer.plan.turning import rounded

_SAME = 1e-9


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
    """Tilts worth setting at one focal length.

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
    half = math.atan(lens.sensor_height_mm / (2 * focal_mm))
    outer = 1 / math.hypot(1, lens.sensor_width_mm / (2 * focal_mm))
    (near, far), (top, foot) = away, below
    starts: list[Floats] = []
    ends: list[Floats] = []
    for column in (1.0, outer):
        # The steepest sight to a foot and the flattest one to a head, over the cell.
        steep = np.maximum(np.arctan2(foot, near * column), np.arctan2(foot, far * column))
        flat = np.minimum(np.arctan2(top, near * column), np.arctan2(top, far * column))
        starts.append(steep - half)
        ends.append(flat + half)
    low, high = math.radians(lens.tilt_min_deg), math.radians(lens.tilt_max_deg)
    start, end = np.maximum(*starts), np.minimum(*ends)
    # Where no tilt serves all columns, the middle one alone decides.
    start, end = np.where(start <= end, start, starts[0]), np.where(start <= end, end, ends[0])
    start, end = np.maximum(start, low), np.minimum(end, high)
    good = start <= end
    start, end = start[good], end[good]
    if not len(start):
        return []
    angle = np.concatenate([start, end])
    going = np.repeat([0, 1], len(start))
    order = np.lexsort([going, angle])
    angle, going = angle[order], going[order]
    peak = np.nonzero((going[:-1] == 0) & (going[1:] == 1))[0]
    from_, to = angle[peak], angle[peak + 1]
    # Ends are moved inwards to a tenth of a degree where there is room.
    tenth = math.radians(0.1)
    flattest = np.minimum(np.ceil(from_ / tenth) * tenth, to)
    steepest = np.maximum(np.floor(to / tenth) * tenth, from_)
    parts = [flattest, rounded(from_, to), steepest]
    each, found = most // len(peak), parts[1]
    if each == 2:
        found = np.concatenate([flattest, steepest])
    elif each > 2:
        found = np.concatenate(parts)
    found = np.sort(found)
    chosen = _thinned(found, most)
    if len(chosen) < len(found):
        holds = (start[None, :] <= found[:, None]) & (found[:, None] <= end[None, :])
        fullest = float(found[np.argmax(holds.sum(axis=1))])
        if fullest not in chosen:
            chosen = sorted([fullest, *_thinned(found, most - 1)]) if most > 1 else [fullest]
    return _apart([math.degrees(tilt) for tilt in chosen])


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
