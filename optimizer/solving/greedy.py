"""A first choice of views: aim by aim, the most of what is lacking for its weight."""

from __future__ import annotations

import time
from collections.abc import Collection, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from optimizer.instance.tables import Aim, Viewing

_ATTEMPTS, _SURE = 24, 12
"""Attempts in all, and those that are made however late it is: each is quick."""

_HEAVIER = 3.0

Flags = NDArray[np.bool_]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Greedy:
    """Chooses among aims until every zone has what it asks.

    Parameters
    ----------
    viewing : Viewing
        Over the aims.
    costs : sequence of int
        Weight of each aim.
    """

    def __init__(self, viewing: Viewing, aims: Sequence[Aim], costs: Sequence[int]) -> None:
        self.viewing = viewing
        self.mount: Ints = np.array([a.table for a in aims], dtype=np.int64)
        self.costs: Floats = np.maximum(np.array(costs, dtype=float), 1.0)
        groups = [(n, g) for n, seen in enumerate(viewing.zones) for g in seen.groups]
        self.zone: Ints = np.array([n for n, _ in groups], dtype=np.int64)
        self.units: Ints = np.array([g.units for _, g in groups], dtype=np.int64)
        self.needs: Ints = np.array([s.zone.cameras for s in viewing.zones], dtype=np.int64)
        self.close = [frozenset(g.close) for _, g in groups]
        # Entry k says that aim[k] counts for group[k].
        self.group: Ints = np.repeat(np.arange(len(groups)), [len(g.aims) for _, g in groups])
        self.aim: Ints = np.concatenate([np.zeros(0, dtype=np.int64), *(g.aims for _, g in groups)])
        order = np.argsort(self.aim, kind="stable")
        ends = np.searchsorted(self.aim[order], np.arange(len(aims) + 1))
        self.entries = [order[a:b] for a, b in pairwise(ends)]

    def choose(self, end: float) -> set[int] | None:
        """Aims that do, none of them needless; None if no attempt led there in time.

        Zones that were left short weigh more in the next attempt.

        Parameters
        ----------
        end : float
            On the clock of ``time.monotonic``. [s]
        """
        weights = np.ones(len(self.viewing.zones))
        everyone = range(len(self.costs))
        for attempt in range(_ATTEMPTS):
            if attempt >= _SURE and time.monotonic() > end:
                return None
            chosen, short = self._attempt(everyone, weights)
            if not short:
                return self._pruned(chosen, weights)
            weights[short] *= _HEAVIER
        return None

    def _pruned(self, chosen: set[int], weights: Floats) -> set[int]:
        for one in sorted(chosen, key=lambda a: (-self.costs[a], a)):
            rest, short = self._attempt(sorted(chosen - {one}), weights)
            if not short:
                chosen = rest
        return chosen

    def _attempt(self, among: Collection[int], weights: Floats) -> tuple[set[int], list[int]]:
        """Aims chosen one by one, and the zones that lack something when no other one helps."""
        free = np.zeros(len(self.costs), dtype=bool)
        free[list(among)] = True
        # What each zone lacks: units of its area, or, where all is asked, groups of cells.
        left = np.array([len(s.groups) if s.units is None else s.units for s in self.viewing.zones])
        worth = weights[self.zone] * (self.units + 1)
        lacking = self.needs[self.zone].copy()
        counts = np.ones(len(self.aim), dtype=bool)
        looking: dict[int, list[int]] = {}
        chosen: set[int] = set()
        while (left > 0).any():
            open_ = (lacking > 0) & (left[self.zone] > 0)
            gains = np.bincount(
                self.aim, (worth * open_)[self.group] * counts, minlength=len(self.costs)
            )
            score = np.where(free, gains / self.costs, 0.0)
            best = int(np.argmax(score)) if len(score) else 0
            if not len(score) or score[best] <= 0:
                break
            news = self.group[self.entries[best][counts[self.entries[best]]]]
            for group in news[open_[news]].tolist():
                lacking[group] -= 1
                if self.close[group]:
                    looking.setdefault(group, []).append(int(self.mount[best]))
                if not lacking[group]:
                    seen = self.viewing.zones[self.zone[group]]
                    left[self.zone[group]] -= 1 if seen.units is None else self.units[group]
            self._block(counts, looking)
            chosen.add(best)
            free &= self.mount != self.mount[best]
        return chosen, np.flatnonzero(left > 0).tolist()

    def _block(self, counts: Flags, looking: dict[int, list[int]]) -> None:
        """Take out entries of mounts too close in direction to one that counts already."""
        for group, mounts in looking.items():
            near = {
                other
                for pair in self.close[group]
                for one, other in (pair, pair[::-1])
                if one in mounts
            }
            if near:
                low, high = np.searchsorted(self.group, [group, group + 1])
                counts[low:high] &= ~np.isin(self.mount[self.aim[low:high]], sorted(near))
        looking.clear()


__all__ = ["Greedy"]
