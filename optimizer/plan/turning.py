"""All useful pans of a lens at one focal length and tilt, without a step.

Seen from the mount a point lies at a distance p in plan and a bearing t, and g below the lens.
Panned d off that bearing, its distance along the axis is z = p cos(tilt) cos(d) + g sin(tilt), it
lies p sin(d) across and g cos(tilt) - p sin(tilt) cos(d) down. So each limit (two sides, lower
edge, upper edge, density) reads A cos(d) + B sin(d) + C >= 0, and holds on an arc of pans that is
known in closed form. A picture in enough detail is convex, so a cell is seen at a pan exactly if
all its corners are at its lowest and its highest height.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from optimizer.plan.pinhole import Floats
from optimizer.plan.prepared import Flags, Ints

_WIDER = 1e-10
"""Arcs are made wider by this, so that limits that meet exactly are not lost. [rad]"""


@dataclass(frozen=True, eq=False)
class Corners:
    """Corners of some bodies (cells at their lowest and highest height), from one mount.

    Attributes
    ----------
    away : ndarray, shape (n,)
        Distance in plan. [m]
    bearing : ndarray, shape (n,)
        Continuous over the corners of one body. [rad]
    below : ndarray, shape (n,)
        How far below the lens. [m]
    first : ndarray of int, shape (m,)
        Index of the first corner of each body; the corners of one body follow each other.
    """

    away: Floats
    bearing: Floats
    below: Floats
    first: Ints


@dataclass(frozen=True, eq=False)
class Arcs:
    """Arcs of pans, each of one body; a body may have none or several.

    Attributes
    ----------
    low, high : ndarray, shape (k,)
        low <= high; may lie beyond a full turn. [rad]
    body : ndarray of int, shape (k,)
    """

    low: Floats
    high: Floats
    body: Ints


def seen_at(
    corners: Corners, tilt: Floats, half_wide: Floats, half_high: Floats, limit_m: Floats
) -> Arcs:
    """Pans at which all corners of a body are in the picture in enough detail.

    Only pans within 90 degrees of the bearing of each corner are looked at.

    Parameters
    ----------
    corners : Corners
        k corners of n bodies.
    tilt : ndarray, shape (k,) or ()
        The same for all corners of a body; so are the next. [rad]
    half_wide, half_high : ndarray, shape (k,) or ()
        Half the sensor over the focal length.
    limit_m : ndarray, shape (k,)
        Greatest distance along the axis, of each corner. [m]

    Returns
    -------
    Arcs

    References
    ----------
    .. [1] Plane trigonometry, by hand; tested against projecting the corners at each pan.
    """
    beyond, within = off_bearing(corners, tilt, half_wide, half_high, limit_m)
    return arcs_of(corners, beyond, within)


def off_bearing(
    corners: Corners, tilt: Floats, half_wide: Floats, half_high: Floats, limit_m: Floats
) -> tuple[Floats, Floats]:
    """From and up to how far off its bearing a pan shows each corner as asked.

    Parameters
    ----------
    corners : Corners
        Neither their bearings nor to which bodies they belong is looked at.
    tilt, half_wide, half_high, limit_m
        As for :func:`seen_at`, of each corner.

    Returns
    -------
    tuple of two ndarray, shape (k,)
        Up to below 0: never. [rad]
    """
    away, below = corners.away, corners.below
    cos, sin = np.cos(tilt), np.sin(tilt)
    within = np.minimum(between_sides(corners, tilt, half_wide), math.pi / 2)
    beyond = np.zeros_like(away)
    for near, far in (
        limits_ahead(away * (half_high * cos + sin), below * (half_high * sin - cos)),
        limits_ahead(away * (half_high * cos - sin), below * (half_high * sin + cos)),
        limits_ahead(-away * cos, limit_m - below * sin),
    ):
        beyond = np.maximum(beyond, near)
        within = np.minimum(within, far)
    return beyond, within


def arcs_of(corners: Corners, beyond: Floats, within: Floats) -> Arcs:
    """Pans at which all corners of a body are shown, from the limits of each corner. [rad]"""
    low = np.maximum.reduceat(corners.bearing - within, corners.first) - _WIDER
    high = np.minimum.reduceat(corners.bearing + within, corners.first) + _WIDER
    never = np.maximum.reduceat(np.where(within < 0, 1.0, 0.0), corners.first) > 0
    low, high = np.where(never, np.inf, low), np.where(never, -np.inf, high)
    return without_holes(low, high, corners, beyond)


def without_holes(low: Floats, high: Floats, corners: Corners, beyond: Floats) -> Arcs:
    """One arc a body, less the holes about the bearings of its corners.

    Parameters
    ----------
    low, high : ndarray, shape (m,)
        From where to where each body is seen, holes apart; low > high for never. [rad]
    corners : Corners
        k corners of m bodies.
    beyond : ndarray, shape (k,)
        Half the width of each corner's hole; 0 for none. [rad]
    """
    count = np.diff(np.append(corners.first, len(corners.away)))
    holed = beyond > 0
    body = np.repeat(np.arange(len(low), dtype=np.int32), count)[holed]
    start = corners.bearing[holed] - beyond[holed] + _WIDER
    end = corners.bearing[holed] + beyond[holed] - _WIDER
    # One hole often leaves nothing of a body: then its other holes are of no interest.
    gone = np.zeros(len(low), dtype=bool)
    gone[body[(start < low[body]) & (end > high[body])]] = True
    kept = ~gone[body]
    body, start, end = body[kept], start[kept], end[kept]
    order = np.lexsort((start, body))
    body, start, end = body[order], start[order], end[order]
    # The running maximum within each body: of ranks, so that it is exact.
    rising = np.argsort(end)
    rank = np.empty(len(end), dtype=np.int64)
    rank[rising] = np.arange(len(end))
    most = np.maximum.accumulate(body * np.int64(len(end)) + rank) % max(1, len(end))
    covered = end[rising][most]
    bodies = np.arange(len(low), dtype=np.int32)
    opening = np.append(True, body[1:] != body[:-1])[: len(body)]
    closing = np.append(body[1:] != body[:-1], True)[: len(body)]
    # Before each hole: from the body's own start, or from where the holes so far end.
    before = np.where(opening, low[body], np.maximum(np.roll(covered, 1), low[body]))
    plain = np.ones(len(low), dtype=bool)
    plain[body] = False
    plain &= ~gone
    lows = [low[plain], before, np.maximum(covered, low[body])[closing]]
    highs = [high[plain], np.minimum(start, high[body]), high[body][closing]]
    owners = [bodies[plain], body, body[closing]]
    found = Arcs(np.concatenate(lows), np.concatenate(highs), np.concatenate(owners))
    good = found.low <= found.high
    return Arcs(found.low[good], found.high[good], found.body[good])


def between_sides(
    corners: Corners, tilt: Floats, half_wide: Floats, slack: Floats | None = None
) -> Floats:
    """How far off its bearing each corner keeps within both sides; -1 for never. [rad]

    Parameters
    ----------
    slack : ndarray, shape (k,), optional
        A corner keeps within if any spot so near to it in plan does. [m]
    """
    away, below, cos, sin = corners.away, corners.below, np.cos(tilt), np.sin(tilt)
    size = away * np.hypot(half_wide * cos, 1)
    lean = np.arctan2(1, half_wide * cos)
    ratio = np.divide(-half_wide * sin * below, size, out=np.full_like(away, 2.0), where=size > 0)
    if slack is not None:
        # Both sides are as steep over the ground as `size` is for a metre of distance.
        ratio = np.where(away > 0, ratio - slack / np.maximum(away, _WIDER), -1.0)
    reach = np.arccos(np.clip(ratio, -1, 1)) - lean
    return np.where((ratio > 1 + 1e-12) | (reach < -_WIDER), -1.0, np.maximum(reach, 0))


def limits_ahead(factor: Floats, constant: Floats) -> tuple[Floats, Floats]:
    """From and up to how far off the bearing factor cos(d) + constant >= 0 holds; up to -1: never.

    Within 90 degrees, where cos(d) falls from 1 to 0: a limit from above if the factor is
    positive, a hole about the bearing if it is negative.

    Parameters
    ----------
    factor, constant : ndarray, shape (k,)
        [m]

    Returns
    -------
    tuple of two ndarray, shape (k,)
        [rad]
    """
    right = math.pi / 2
    ratio = np.divide(-constant, factor, out=np.where(constant >= 0, -2.0, 2.0), where=factor != 0)
    angle = np.arccos(np.clip(ratio, 0, 1))
    kept = factor >= 0
    never = np.where(kept, ratio > 1 + 1e-12, ratio < 0)
    near = np.where(kept, 0.0, np.where(ratio >= 1, 0.0, angle))
    far = np.where(never, -1.0, np.where(kept, angle, right))
    return near, far


def kept_within(arcs: Arcs, low: float, high: float) -> Arcs:
    """Arcs cut down to one arc from `low` to `high`, at most a full turn long. [rad]"""
    found = []
    base = np.floor((arcs.low - low) / math.tau) * math.tau
    for turn in (0.0, math.tau):
        start = np.maximum(arcs.low - base, low + turn)
        end = np.minimum(arcs.high - base, high + turn)
        good = start <= end
        found.append((start[good], end[good], arcs.body[good]))
    return Arcs(*(np.concatenate(part) for part in zip(*found, strict=True)))


def parted(arcs: Arcs, bodies: int, groups: int) -> list[Arcs]:
    """Arcs of bodies that stand in groups of so many, group by group, bodies counted anew."""
    group = arcs.body // bodies
    order = np.argsort(group, kind="stable")
    ends = np.searchsorted(group[order], np.arange(1, groups))
    parts = np.split(order, ends)
    return [Arcs(arcs.low[p], arcs.high[p], arcs.body[p] % bodies) for p in parts]


def best_pans(arcs: Arcs) -> Floats:
    """Pans at which no body can be added without losing another: one of each such set.

    Going round, what is seen can only be of that kind between a pan at which something comes in
    and the next event, if that is something going out. The middle of each such stretch is given:
    every pan sees no more than one of these does.

    Parameters
    ----------
    arcs : Arcs

    Returns
    -------
    ndarray
        In rising order, from 0 up to a full turn. [rad]
    """
    if not len(arcs.low):
        return np.zeros(0)
    start, length = arcs.low % math.tau, arcs.high - arcs.low
    angle = np.concatenate([start, (start + length) % math.tau])
    going = np.concatenate([np.zeros(len(start), dtype=int), np.ones(len(start), dtype=int)])
    order = np.lexsort([going, angle])
    angle, going = angle[order], going[order]
    following = np.roll(angle, -1)
    following[-1] += math.tau
    # An arc that starts and ends at one spot of the circle comes in first there.
    peak = (going == 0) & (np.roll(going, -1) == 1)
    return np.sort(rounded(angle[peak], following[peak]) % math.tau)


def rounded(low: Floats, high: Floats) -> Floats:
    """An angle of each stretch with as few decimals in degrees as its length allows.

    Parameters
    ----------
    low, high : ndarray, shape (n,)
        low <= high. [rad]

    Returns
    -------
    ndarray, shape (n,)
        The middle, rounded to 1, 2 or 3 decimals in degrees where that keeps within. [rad]
    """
    middle = (low + high) / 2
    found = middle.copy()
    for decimals in (3, 2, 1):
        near = np.radians(np.round(np.degrees(middle), decimals))
        found = np.where((near >= low) & (near <= high), near, found)
    return found


def bodies_at(arcs: Arcs, pans: Floats, bodies: int) -> Flags:
    """Which bodies are seen at which pan, from 0 up to a full turn; shape (pans, bodies)."""
    order = np.argsort(pans, kind="stable")
    rising = pans[order]
    start = arcs.low % math.tau
    end = start + (arcs.high - arcs.low)
    # How many arcs of each body begin, less those that end, between one pan and the next.
    change = np.zeros((len(pans) + 1, bodies), dtype=np.int16)
    for turn in (-math.tau, 0.0, math.tau):
        # A pan just below an arc's start by rounding counts as on it.
        first = np.searchsorted(rising, start + turn - _WIDER)
        last = np.searchsorted(rising, end + turn, side="right")
        met = first < last
        np.add.at(change, (first[met], arcs.body[met]), 1)
        np.add.at(change, (last[met], arcs.body[met]), -1)
    seen = np.zeros((len(pans), bodies), dtype=bool)
    seen[order] = np.cumsum(change[:-1], axis=0, dtype=np.int16) > 0
    return seen
