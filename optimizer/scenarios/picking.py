"""Which plan to ask about next: a small integer program over what is known of plans.

A plan says how many steps of each wish are kept. For wish w with n_w steps and a plan v:

    x_wj = 1 when at least j steps of w are kept; x_w(j+1) <= x_wj; x_c1 <= x_p1 for c within p
    score of a rank = sum of weight_w x_wj
    a plan u that is out of the question: not all of v_w >= u_w, where more steps never cost less
    for w, and v_w = u_w elsewhere
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from optimizer.errors import Defect
from optimizer.model.program import FREE, Program
from optimizer.site.wishes import Wished
from optimizer.solving.cpsat import CpSat

Plan = tuple[int, ...]
"""Steps kept of each wish."""

_SECONDS = 30.0


class Picker:
    """Picks plans of the highest score among those that are not out of the question.

    Parameters
    ----------
    wishes : sequence of Wished
        By rank.
    monotone : sequence of bool
        Of each wish, whether keeping more steps of it surely costs no less.
    """

    def __init__(self, wishes: Sequence[Wished], monotone: Sequence[bool]) -> None:
        self.wishes, self.monotone = tuple(wishes), tuple(monotone)
        self.ranks = tuple(dict.fromkeys(one.rank for one in wishes))
        index = {one.id: i for i, one in enumerate(wishes)}
        self.within = tuple(tuple(index[name] for name in one.within) for one in wishes)

    @property
    def top(self) -> Plan:
        """Everything is kept."""
        return tuple(one.steps for one in self.wishes)

    @property
    def bottom(self) -> Plan:
        """Every wish is given up as far as it may be."""
        return (0,) * len(self.wishes)

    def closed(self, plan: Iterable[int]) -> Plan:
        """The plan in which nothing is kept of what goes with something left out."""
        kept = list(plan)
        for i, above in enumerate(self.within):
            if any(not kept[p] for p in above):
                kept[i] = 0
        # A wish two levels down: what is within something within something.
        return tuple(kept) if kept == list(plan) else self.closed(kept)

    def score(self, plan: Plan) -> tuple[int, ...]:
        """Weight times steps kept, summed for each rank."""
        sums = dict.fromkeys(self.ranks, 0)
        for one, kept in zip(self.wishes, plan, strict=True):
            sums[one.rank] += one.weight * kept
        return tuple(sums.values())

    def eases(self, easier: Plan, harder: Plan) -> bool:
        """Whether the first surely costs no more than the second."""
        return all(
            a == b or (a < b and sure)
            for a, b, sure in zip(easier, harder, self.monotone, strict=True)
        )

    def highest(self, out: Sequence[Plan], pinned: Sequence[int] = ()) -> Plan | None:
        """The plan of the highest score, rank by rank; None if there is none.

        Parameters
        ----------
        out : sequence of Plan
            What is out of the question.
        pinned : sequence of int
            Scores of the first ranks, which the plan must have.
        """
        rest = self.ranks[len(pinned) :]
        return self._pick(out, [(s, s) for s in pinned], [self._gain(rank) for rank in rest])

    def foremost(self, out: Sequence[Plan], scores: Sequence[int]) -> Plan | None:
        """Of the plans with these scores the one that keeps most of the wishes named first."""
        aims = [{(i, j): 1 for j in range(1, w.steps + 1)} for i, w in enumerate(self.wishes)]
        return self._pick(out, [(s, s) for s in scores], aims)

    def least(self, out: Sequence[Plan], pinned: Sequence[int], beyond: int) -> Plan | None:
        """A plan that keeps as few steps as may be and beats a score in the next rank.

        Parameters
        ----------
        beyond : int
            Score of the rank after the pinned ones that it must exceed.
        """
        everything = {(i, j): -1 for i, w in enumerate(self.wishes) for j in range(1, w.steps + 1)}
        return self._pick(out, [*((s, s) for s in pinned), (beyond + 1, FREE)], [everything])

    def _gain(self, rank: int) -> dict[tuple[int, int], int]:
        return {
            (i, j): one.weight
            for i, one in enumerate(self.wishes)
            if one.rank == rank
            for j in range(1, one.steps + 1)
        }

    def _pick(
        self,
        out: Sequence[Plan],
        scores: Sequence[tuple[int, int]],
        aims: Sequence[Mapping[tuple[int, int], int]],
    ) -> Plan | None:
        program, var = self._program()
        for number, plan in enumerate(out):
            terms, least = self._shared(plan, var)
            program.row(f"out/{number}", [], terms, hi=least - 1)
        for rank, (low, high) in zip(self.ranks, scores, strict=False):
            terms = [(var[at], k) for at, k in self._gain(rank).items()]
            program.row(f"score/{rank}", [], terms, low, high)
        model = CpSat(program)
        values: tuple[int, ...] | None = None
        for aim in aims or [{}]:
            cost = {var[at]: -k for at, k in aim.items()}
            model.minimise(cost)
            outcome = model.solve(_SECONDS)
            if outcome.status == "infeasible":
                return None
            if outcome.status != "optimal" or outcome.values is None:
                raise Defect("the next plan to ask about was not found in time")
            values = outcome.values
            reached = sum(k * values[c] for c, k in cost.items())
            model.add_row(cost, hi=reached)
        assert values is not None
        return tuple(
            sum(values[var[i, j]] for j in range(1, one.steps + 1))
            for i, one in enumerate(self.wishes)
        )

    def _program(self) -> tuple[Program, dict[tuple[int, int], int]]:
        program = Program()
        var = {
            (i, j): program.var(f"kept/{one.id}.{j}", 1)
            for i, one in enumerate(self.wishes)
            for j in range(1, one.steps + 1)
        }
        for (i, j), col in var.items():
            for above in [var[i, j - 1]] if j > 1 else [var[p, 1] for p in self.within[i]]:
                program.row(f"order/{col}.{above}", [], [(above, 1), (col, -1)], lo=0)
        return program, var

    def _shared(
        self, plan: Plan, var: Mapping[tuple[int, int], int]
    ) -> tuple[list[tuple[int, int]], int]:
        """Terms that reach a number exactly where another plan costs no less than this one."""
        terms: list[tuple[int, int]] = []
        number = 0
        for i, (kept, sure) in enumerate(zip(plan, self.monotone, strict=True)):
            if sure and not kept:
                continue
            number += 1
            if kept:
                terms.append((var[i, kept], 1))
            else:
                number -= 1
            if not sure and (i, kept + 1) in var:
                terms.append((var[i, kept + 1], -1))
        return terms, number


__all__ = ["Picker", "Plan"]
