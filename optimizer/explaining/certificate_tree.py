"""Looking for a proof that a program has no solution: cases, bounds that follow, closing sums.

In each case bounds are carried from row to row, the linear relaxation is solved, what it makes
too dear is taken out, and promising branches are tried on both sides: where one side closes, the
other is a bound. Only then is the case split. The limit on the price is fixed from the start, so
the order in which cases are worked on changes nothing of what has to be proven.
"""

from __future__ import annotations

import math
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from optimizer.explaining.certificate_lp import Relaxed, View
from optimizer.explaining.certificate_rows import Bound, Ints, Rows, Step, Sum
from optimizer.model.program import Program

_CORES = 2
_TRIED = 40
_PATIENCE = 12
_STEPS = 100
_RELIABLE = 2
_WHOLE = 1e-6
_SHRUNK_FRESH = 0.9
_SHRUNK_LATER = 0.5
_LEAST_GAIN = 1e-3


@dataclass
class Case:
    """A case of the proof: bounds that follow, then a closing sum or two further cases.

    Attributes
    ----------
    split : tuple or None
        Variable and value: at most that in `low`, more in `high`.
    """

    steps: list[Step] = field(default_factory=list)
    closing: Sum | None = None
    split: tuple[int, int] | None = None
    low: Case | None = None
    high: Case | None = None


class Met(Exception):  # noqa: N818 - not an error: there is nothing to prove
    """The program has a solution: these values."""

    def __init__(self, values: tuple[int, ...]) -> None:
        super().__init__("the program has a solution")
        self.values = values


@dataclass
class _Gains:
    """How much the bound rose for each unit by which a variable was pushed off its fraction."""

    seen: dict[tuple[int, bool], tuple[float, int]] = field(default_factory=dict)
    new: list[tuple[int, bool, float]] = field(default_factory=list)

    def add(self, var: int, up: bool, gain: float) -> None:
        """Take note of a gain."""
        total, times = self.seen.get((var, up), (0.0, 0))
        self.seen[var, up] = total + gain, times + 1
        self.new.append((var, up, gain))

    def known(self, var: int) -> int:
        """How often both sides were tried."""
        return min(self.seen.get((var, up), (0.0, 0))[1] for up in (False, True))

    def score(self, var: int, part: float) -> float:
        """What a split promises; 0 if it was never tried."""
        if not self.known(var):
            return 0.0
        (low, lows), (high, highs) = self.seen[var, False], self.seen[var, True]
        return max(low / lows * part, _LEAST_GAIN) * max(high / highs * (1 - part), _LEAST_GAIN)


@dataclass
class _Space:
    """What is left of the program in a case, its relaxations (one a core), and what was learned."""

    rows: Rows
    relaxed: list[Relaxed]
    gains: _Gains = field(default_factory=_Gains)


@dataclass
class _Job:
    """A case to be worked on; `choices` are splits to be made before anything else."""

    case: Case
    lower: Ints
    upper: Ints
    space: _Space | None = None
    basis: Any = None
    choices: tuple[int, ...] = ()
    gains: _Gains = field(default_factory=_Gains)


class Search:
    """Looks for a proof.

    Parameters
    ----------
    program : Program
        Its rows already hold every limit, also that on the price.
    cap : int or None
        Number of the row that limits the price, if one does.
    most_cases : int
        Cases after which the search gives up.
    """

    def __init__(self, program: Program, cap: int | None, most_cases: int) -> None:
        self.program, self.cap, self.most_cases = program, cap, most_cases
        self.limit = math.inf if cap is None else float(program.rows[cap].hi)
        self.rows = Rows(program)
        self.cost = np.abs(np.array(program.cost, dtype=float))
        self.cases, self.end = 0, math.inf

    def run(self, seconds: float) -> Case | None:
        """The proof, or None if it was not found in time.

        Raises
        ------
        Met
            If the program has a solution.
        """
        self.end = time.monotonic() + seconds
        root = Case()
        # Cases without a whole signal family are much smaller, and their bounds much better.
        names = self.program.names
        families = tuple(i for i, n in enumerate(names) if n.startswith("family/"))
        lower = np.array(self.program.lower, dtype=np.int64)
        upper = np.array(self.program.upper, dtype=np.int64)
        jobs = [_Job(root, lower, upper, choices=families)]
        with ThreadPoolExecutor(_CORES) as pool:
            while jobs:
                if time.monotonic() > self.end or self.cases > self.most_cases:
                    return None
                batch = [jobs.pop() for _ in range(min(_CORES, len(jobs)))]
                for job in batch:
                    if job.space is not None:
                        job.gains = _Gains(dict(job.space.gains.seen))
                works = [pool.submit(self._work, job, core) for core, job in enumerate(batch)]
                for job, work in zip(batch, works, strict=True):
                    jobs += work.result()
                    # In the order of the batch, so that the proof does not hang on the threads.
                    if job.space is not None:
                        for gain in job.gains.new:
                            job.space.gains.add(*gain)
                self.cases += len(batch)
        return root

    def _work(self, job: _Job, core: int) -> list[_Job]:
        """Close a case or split it."""
        case, lower, upper = job.case, job.lower, job.upper
        fresh = job.space is None
        if job.space is None:
            case.closing = self.rows.carry(lower, upper, case.steps)
            if case.closing is not None:
                return []
            for place, var in enumerate(job.choices):
                if lower[var] < upper[var]:
                    return _split(job, var, int(lower[var]), job.choices[place + 1 :])
            job.space = self._space(lower, upper)
        while True:
            settling = _Settling(self, job, job.space.relaxed[core])
            chosen = settling.settle()
            if chosen is None:
                return []
            most = (_SHRUNK_FRESH if fresh else _SHRUNK_LATER) * len(settling.relaxed.free)
            if np.count_nonzero(lower < upper) > most or time.monotonic() > self.end:
                return _split(job, *chosen)
            job.space, job.basis = self._space(lower, upper), None

    def _space(self, lower: Ints, upper: Ints) -> _Space:
        rows = self.rows.restricted(lower, upper)
        cost = self.program.cost
        return _Space(rows, [Relaxed(rows, lower, upper, cost, self.cap) for _ in range(_CORES)])


def _split(job: _Job, var: int, value: int, choices: tuple[int, ...] = ()) -> list[_Job]:
    case = job.case
    case.split = var, value
    case.low, case.high = Case(), Case()
    upper, lower = job.upper.copy(), job.lower.copy()
    upper[var], lower[var] = value, value + 1
    return [
        _Job(case.low, job.lower.copy(), upper, job.space, job.basis, choices),
        _Job(case.high, lower, job.upper.copy(), job.space, job.basis, choices),
    ]


class _Settling:
    """Work on one case with one relaxation, until it closes or nothing more follows."""

    def __init__(self, search: Search, job: _Job, relaxed: Relaxed) -> None:
        self.search, self.job, self.relaxed = search, job, relaxed
        self.lower, self.upper = job.lower, job.upper
        self.steps, self.gains = job.case.steps, job.gains

    def settle(self) -> tuple[int, int] | None:
        """Where to split; None if the case is closed."""
        while True:
            closing = self.relaxed.rows.carry(self.lower, self.upper, self.steps)
            if closing is not None:
                self.job.case.closing = closing
                return None
            if not np.any(self.lower < self.upper):
                self._solved(self.lower)
                continue
            if time.monotonic() > self.search.end:
                return self._anywhere()
            view = self.relaxed.solve(self.lower, self.upper, self.job.basis)
            self.job.case.closing = self._closing(view, self.lower, self.upper)
            if self.job.case.closing is not None:
                return None
            if math.isinf(view.value) or not view.exact:
                return self._anywhere()
            self.job.basis = view.basis
            fixed = self.relaxed.fixings(view, self.lower, self.upper)
            if fixed is not None:
                self.steps.append(fixed)
            open_ = self._fractions(view)
            if not open_:
                self._whole(view)
                return self._anywhere()
            chosen = self._choose(view, open_)
            if self.job.case.closing is not None:
                return None
            if chosen is not None:
                return chosen

    def _closing(self, view: View, lower: Ints, upper: Ints) -> Sum | None:
        return self.relaxed.closing(view, lower, upper, self.search.limit)

    def _anywhere(self) -> tuple[int, int]:
        """A split by which at least something gets smaller."""
        free = self.lower < self.upper
        var = int(np.argmax(np.where(free, self.search.cost + 1, 0)))
        return var, int(self.lower[var] + self.upper[var]) // 2

    def _fractions(self, view: View) -> list[tuple[int, float]]:
        free, floor = self.relaxed.free, np.floor(view.primal)
        part = view.primal - floor
        inside = (floor >= self.lower[free]) & (floor < self.upper[free])
        places = np.nonzero((part > _WHOLE) & (part < 1 - _WHOLE) & inside)[0]
        return [(int(self.relaxed.free[i]), float(view.primal[i])) for i in places]

    def _whole(self, view: View) -> None:
        values = self.lower.copy()
        values[self.relaxed.free] = np.rint(view.primal).astype(np.int64)
        self._solved(values)

    def _solved(self, values: Ints) -> None:
        """End the search if these are a solution."""
        solution = tuple(int(v) for v in values)
        if not self.search.program.broken(solution):
            raise Met(solution)

    def _choose(self, view: View, open_: list[tuple[int, float]]) -> tuple[int, int] | None:
        """The most promising split; None if trying closed a side, so that a bound follows."""
        gains, cost = self.gains, self.search.cost

        def promise(entry: tuple[int, float]) -> tuple[bool, float]:
            var, value = entry
            part = value - math.floor(value)
            if gains.known(var):
                return False, gains.score(var, part)
            return True, min(part, 1 - part) * (1 + float(cost[var]))

        open_ = sorted(open_, key=promise, reverse=True)
        best, chosen, vain = -1.0, open_[0], 0
        for var, value in open_[:_TRIED]:
            part = value - math.floor(value)
            if gains.known(var) < _RELIABLE:
                closed = [self._try(view, var, value, up) for up in (False, True)]
                if any(closed):
                    return None
            score = gains.score(var, part)
            if score > best:
                best, chosen, vain = score, (var, value), 0
            else:
                vain += 1
                if vain > _PATIENCE:
                    break
        return chosen[0], math.floor(chosen[1])

    def _try(self, view: View, var: int, value: float, up: bool) -> bool:
        """Try one side of a split; where it closes, the other side is a bound that follows."""
        low, high = self.lower, self.upper
        floor = math.floor(value)
        if up:
            low = low.copy()
            low[var] = floor + 1
        else:
            high = high.copy()
            high[var] = floor
        seen = self.relaxed.solve(low, high, view.basis, _STEPS)
        part = value - floor
        rise = max(min(seen.value, self._most(view)) - view.value, 0.0)
        self.gains.add(var, up, rise / ((1 - part) if up else part))
        why = self._closing(seen, low, high)
        if why is None:
            return False
        if up:
            if self.lower[var] > floor:
                # The lower side has closed just before: nothing is left of the case.
                self.job.case.closing = why
                return True
            self.upper[var] = floor
        else:
            self.lower[var] = floor + 1
        bound = Bound(var, up, floor if up else floor + 1)
        self.steps.append(Step(why, (bound,), tried=True))
        return True

    def _most(self, view: View) -> float:
        """What a closed side counts as in the gains."""
        limit = self.search.limit
        return limit if math.isfinite(limit) else 2 * abs(view.value) + 1
