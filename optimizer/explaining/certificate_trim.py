"""Leaving out of a proof what nothing in it rests on, and writing it down.

A closing sum needs only some of the bounds of its case. A bound or a split whose outcome is
needed nowhere below it is left out; most bounds that were carried from row to row go this way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optimizer.errors import Defect
from optimizer.explaining.certificate_rows import Bound, Step, Sum
from optimizer.explaining.certificate_tree import Case
from optimizer.model.program import Row

Needs = set[int]


@dataclass
class _Bounds:
    """Bounds of every variable as they came about: values with the number of who set them.

    Number 0 is the program itself, or a side that is only tried.
    """

    low: list[list[tuple[int, int]]]
    high: list[list[tuple[int, int]]]

    def push(self, bound: Bound, who: int) -> None:
        """A tighter bound."""
        (self.high if bound.above else self.low)[bound.var].append((bound.value, who))

    def pop(self, bound: Bound) -> None:
        """Take back the last one."""
        (self.high if bound.above else self.low)[bound.var].pop()


@dataclass
class Trimming:
    """Trims a proof; rows and bounds are those of the program it is about."""

    rows: Sequence[Row]
    lower: Sequence[int]
    upper: Sequence[int]
    _number: int = 0

    def trim(self, root: Case) -> Case:
        """The proof without what it does not need.

        Raises
        ------
        Defect
            If a sum does not prove what it is said to: then it was no proof.
        """
        bounds = _Bounds([[(v, 0)] for v in self.lower], [[(v, 0)] for v in self.upper])
        return self._trimmed(root, bounds)[0]

    def _trimmed(self, case: Case, bounds: _Bounds) -> tuple[Case, Needs]:
        first = []
        for step in case.steps:
            first.append(self._number + 1)
            for bound in step.bounds:
                self._number += 1
                bounds.push(bound, self._number)
        end, needs = self._end(case, bounds)
        kept: list[Step] = []
        for number, step in zip(reversed(first), reversed(case.steps), strict=True):
            for bound in reversed(step.bounds):
                bounds.pop(bound)
            needed = tuple(b for i, b in enumerate(step.bounds, number) if i in needs)
            if not needed:
                continue
            needs.difference_update(range(number, number + len(step.bounds)))
            needs |= (
                self._tried(step, bounds) if step.tried else self._follows(step.why, needed, bounds)
            )
            kept.append(step)
        kept.reverse()
        end.steps = [*kept, *end.steps]
        return end, needs

    def _end(self, case: Case, bounds: _Bounds) -> tuple[Case, Needs]:
        """The end of a case, as a case without the steps before it."""
        if case.closing is not None:
            return Case(closing=case.closing), self._closes(case.closing, bounds)
        if case.split is None or case.low is None or case.high is None:
            raise Defect("a case of a proof is neither closed nor split")
        var, value = case.split
        self._number += 1
        mine = self._number
        found = []
        for side, bound in (
            (case.low, Bound(var, True, value)),
            (case.high, Bound(var, False, value + 1)),
        ):
            bounds.push(bound, mine)
            below, needs = self._trimmed(side, bounds)
            bounds.pop(bound)
            if mine not in needs:
                return below, needs
            needs.discard(mine)
            found.append((below, needs))
        (low, first), (high, second) = found
        return Case(split=case.split, low=low, high=high), first | second

    def _tried(self, step: Step, bounds: _Bounds) -> Needs:
        """Needs of a step whose other side is closed by a sum."""
        other = other_side(step.bounds[0])
        bounds.push(other, 0)
        needs = self._closes(step.why, bounds)
        bounds.pop(other)
        return needs

    def _closes(self, why: Sum, bounds: _Bounds) -> Needs:
        column, room = self._reached(why, bounds)
        if room >= 0:
            raise Defect("a sum of a proof does not close its case")
        return self._needed(column, -1 - room, bounds)

    def _follows(self, why: Sum, found: Sequence[Bound], bounds: _Bounds) -> Needs:
        column, room = self._reached(why, bounds)
        extra = []
        for bound in found:
            size = abs(column[bound.var])
            if bound.above:
                steps = bound.value - bounds.low[bound.var][-1][0]
            else:
                steps = bounds.high[bound.var][-1][0] - bound.value
            extra.append(size * (steps + 1) - 1 - room)
        if min(extra) < 0:
            raise Defect("a bound of a proof does not follow from its sum")
        return self._needed(column, min(extra), bounds)

    def _reached(self, why: Sum, bounds: _Bounds) -> tuple[dict[int, int], int]:
        """Coefficients of a sum, and by how much it can exceed what it must be."""
        column, least = added(self.rows, why)
        most = sum(k * (bounds.high if k > 0 else bounds.low)[v][-1][0] for v, k in column.items())
        return column, most - least

    @staticmethod
    def _needed(column: dict[int, int], room: int, bounds: _Bounds) -> Needs:
        """Who set the bounds that a sum cannot do without, if it may lose some room."""
        needs: Needs = set()
        now = {}
        for var, k in column.items():
            history = (bounds.high if k > 0 else bounds.low)[var]
            if len(history) > 1:
                now[var] = history
        # Bounds that cost least to do without go first.
        price = sorted((column[v] * (h[0][0] - h[-1][0]), v) for v, h in now.items())
        for cost, var in price:
            if cost <= room:
                room -= cost
                continue
            for value, who in now[var]:
                less = column[var] * (value - now[var][-1][0])
                if less <= room:
                    room -= less
                    needs.add(who)
                    break
        needs.discard(0)
        return needs


def other_side(bound: Bound) -> Bound:
    """What is left out by a bound."""
    value = bound.value + 1 if bound.above else bound.value - 1
    return Bound(bound.var, not bound.above, value)


def added(rows: Sequence[Row], why: Sum) -> tuple[dict[int, int], int]:
    """Coefficients of a sum of rows, and the least that a solution makes of it."""
    column: dict[int, int] = {}
    least = 0
    for number, times in why.parts:
        row = rows[number]
        least += times * (row.lo if times > 0 else row.hi)
        for var, coef in zip(row.cols, row.coefs, strict=True):
            column[var] = column.get(var, 0) + times * coef
    return {v: k for v, k in column.items() if k}, least


def written(case: Case) -> Iterator[str]:
    """The lines of a proof, in the form that the checker reads."""
    for step in case.steps:
        if step.tried:
            other = other_side(step.bounds[0])
            yield f"if {other.var} {'<=' if other.above else '>='} {other.value}"
        yield _line("by" if step.tried else "so", step.why)
    if case.closing is not None:
        yield _line("by", case.closing)
    elif case.split is not None and case.low is not None and case.high is not None:
        yield f"if {case.split[0]} <= {case.split[1]}"
        yield from written(case.low)
        yield from written(case.high)


def _line(word: str, why: Sum) -> str:
    return " ".join([word, *(f"{row}:{times}" for row, times in why.parts)])
