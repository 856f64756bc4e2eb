"""Kits for sites with zones on a plan: views by themselves, kits for those, then the proof.

1. Views alone (:mod:`optimizer.solving.placing`): the fewest cameras, the least weight by the
   prices of cameras, the least weight by the prices that the linear relaxation of the whole puts on
   views. The last holds what wiring, feeding and recording a camera costs as well.
2. A kit for each choice of views that came out; the cheaper one is made cheaper in steps
   (:mod:`optimizer.solving.stepping`).
3. The proof, both at a time: CP-SAT looks for anything cheaper in the whole program, without what
   costs too much by reduced costs; the search takes it case by case. Where the whole is too large
   for that, it bounds the easier program in which a camera sees all its ways at once.

Each proven least weight of views is a row of both programs. Shares of the time left limit each
step, so that there is something to show when time runs out.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from optimizer.instance import Instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.solving.case import Case, opened, with_rows
from optimizer.solving.cpsat import CpSat
from optimizer.solving.layout import lay_out
from optimizer.solving.outcome import Outcome
from optimizer.solving.placing import (
    CAMERAS,
    Floor,
    Weights,
    choose,
    floor_of,
    hopeless,
    narrowed_to,
    restricted,
    seeing_all,
    with_floors,
)
from optimizer.solving.pursue import NOT_BETWEEN, Lighter, Pursuit, pursued, repaired
from optimizer.solving.search import Found, minimise
from optimizer.solving.shrinking import Grid, shrink
from optimizer.solving.soon import soon
from optimizer.solving.stepping import pooled, stepped
from optimizer.solving.weights import ones, prices, worth

Progress = Callable[[str], None]

_COUNT_SHARE = 0.1
_PRICES_SHARE = 0.12
_RELAXING_SHARE = 0.5
_WORTH_SHARE = 0.12
_SOON_SHARE = 0.15
_KIT_SHARE = 0.15
_ANY_SHARE = 0.6
_STEPS_SHARE = 0.3
_SHAPES_SHARE = 0.1
_LEAST_SECONDS = 1.0
_ROUNDS = 2
"""As many times as long as the relaxation took, time must be left for a proof to be begun."""

_MOST_TERMS, _MOST_TREE_TERMS = 1_500_000, 250_000
"""Terms in all rows up to which a program with views is looked at as a whole, and in cases."""


def pursue_aimed(
    instance: Instance,
    deadline: float,
    say: Progress,
    below: int | None,
    ties: bool,
    least: int,
    lighter: Lighter | None = None,
) -> Pursuit:
    """Search until a design is proven cheapest or time runs out; see :func:`pursue`."""
    return _Aimed(instance, deadline, say, below, ties, least, lighter).run()


@dataclass(frozen=True)
class _Whole:
    """The whole program with its linear relaxation; None where that was not solved."""

    draft: Draft
    grid: Grid
    case: Case | None


class _Aimed:
    def __init__(
        self,
        instance: Instance,
        deadline: float,
        say: Progress,
        below: int | None,
        ties: bool,
        least: int,
        lighter: Lighter | None = None,
    ) -> None:
        self.instance, self.deadline, self.say = instance, deadline, say
        self.lighter = lighter
        self.below, self.ties, self.bound = below, ties, least
        self.floors: list[Floor] = []
        self.best: Pursuit | None = None
        self.shaped: Pursuit | None = None
        self.looked_at: list[Pursuit] = []
        self.bought: list[tuple[int, ...]] = []
        self.relaxing = 0.0

    def run(self) -> Pursuit:
        """See :func:`pursue_aimed`."""
        with ThreadPoolExecutor(1) as pool:
            written = pool.submit(self._written)
            relaxed = pool.submit(self._relaxed, written)
            self.say("choosing views: fewest cameras")
            fewest, possible = self._views(CAMERAS, ones(self.instance), _COUNT_SHARE)
            cheap: tuple[int, ...] = ()
            if possible:
                # A kit comes first, and a cheap one: all else is quicker with a price to beat.
                self._soon(fewest, written.result())
                self.say("choosing views: least by the prices of cameras")
                cheap, _ = self._views("price", prices(self.instance), _PRICES_SHARE, fewest)
            whole = relaxed.result()
        if not possible:
            return Pursuit(build(self.instance), Found("infeasible", None, None, None), None)
        if whole is not None:
            whole = self._floored(whole, self.floors)
        worthy: tuple[int, ...] = ()
        if whole is not None and whole.case is not None:
            self.say("choosing views: least by what they are worth")
            before = len(self.floors)
            weights = worth(self.instance, whole.case, self.floors)
            worthy, _ = self._views("worth", weights, _WORTH_SHARE, cheap or fewest)
            whole = self._floored(whole, self.floors[before:])
        draft = None if whole is None else whole.draft
        for chosen in (worthy, cheap):
            self._soon(chosen, draft)
        for chosen in list(dict.fromkeys(c for c in (cheap or fewest, worthy) if c)):
            if self.best is None:
                self._kit(chosen, draft, _ANY_SHARE if self.below is None else _KIT_SHARE)
        if whole is not None:
            self._step(whole)
            self._look_at_shapes()
        proved, shaped = self._proved(whole), self.shaped
        self._look_at_shapes()
        if self.shaped is None or self.shaped is shaped:
            return proved
        # It is cheaper than all that was looked at by cells: what is proven of those holds.
        cost = self.shaped.found.objective or 0
        done = proved.found.status == "optimal"
        return self._answer(cost if done else (proved.found.bound or 0))

    @property
    def _left(self) -> float:
        return self.deadline - time.monotonic()

    @property
    def _limit(self) -> int | None:
        known = self._cheapest
        return self.below if known is None else known.found.objective

    @property
    def _cheapest(self) -> Pursuit | None:
        """The best kit, be it by cells or by exact shapes only."""
        known = [one for one in (self.best, self.shaped) if one is not None]
        return min(known, key=lambda one: one.found.objective or 0, default=None)

    def _look_at_shapes(self, kit: Pursuit | None = None) -> None:
        """A kit made cheaper by exact shapes; its price is the one to beat from then on.

        Parameters
        ----------
        kit : Pursuit, optional
            Left out: the best one.
        """
        kit = kit or self.best
        if self.lighter is None or kit is None or kit in self.looked_at or self._left <= 0:
            return
        self.looked_at.append(kit)
        until = time.monotonic() + max(_SHAPES_SHARE * self._left, _LEAST_SECONDS)
        found = self.lighter(kit, until)
        cost = None if found is None else found.found.objective
        if cost is not None and (self._limit is None or cost < self._limit):
            self.shaped = found

    def _views(
        self, name: str, weights: Weights, share: float, start: tuple[int, ...] = ()
    ) -> tuple[tuple[int, ...], bool]:
        """A good choice of views by some weights, and whether there is any; keeps the floor."""
        found = choose(self.instance, weights, max(share * self._left, _LEAST_SECONDS), start)
        if hopeless(found, weights):
            return (), False
        self.floors += floor_of(name, weights, found)
        return found.aims, True

    def _written(self) -> Draft | None:
        """The whole program, where it is not too large."""
        viewing = self.instance.viewing
        assert viewing is not None
        # What its cells alone come to is known before it is written.
        if sum(len(g.aims) for seen in viewing.zones for g in seen.groups) > _MOST_TERMS:
            return None
        draft = build(self.instance)
        return None if draft.program.terms > _MOST_TERMS else draft

    def _relaxed(self, written: Future[Draft | None]) -> _Whole | None:
        """The whole program with its relaxation."""
        seconds, draft = _RELAXING_SHARE * self._left, written.result()
        if draft is None:
            return None
        grid = Grid(draft.program)
        shrunk = shrink(grid, {})
        begun = time.monotonic()
        case = None if shrunk is None else opened(shrunk, seconds)
        self.relaxing = time.monotonic() - begun
        return _Whole(draft, grid, case if case is not None and case.point.exact else None)

    def _floored(self, whole: _Whole, floors: Sequence[Floor]) -> _Whole:
        """The same with what is proven of every choice of views."""
        first = len(whole.draft.program.rows)
        draft = with_floors(whole.draft, floors)
        case = whole.case
        if case is not None:
            case = with_rows(case, [case.shrunk.projected(r) for r in draft.program.rows[first:]])
        if case is None or not case.point.exact:
            return _Whole(draft, Grid(draft.program), None)
        self.bound = max(self.bound, int(case.bound))
        return _Whole(draft, Grid(draft.program), case)

    def _soon(self, chosen: tuple[int, ...], draft: Draft | None) -> None:
        """A cheap kit for some views, and what exact shapes make of it."""
        if not chosen or chosen in self.bought:
            return
        self.bought.append(chosen)
        self.say("buying for these views")
        if draft is None:
            draft = build(narrowed_to(self.instance, chosen))
        else:
            draft = restricted(draft, chosen)
        until = time.monotonic() + max(_SOON_SHARE * self._left, _LEAST_SECONDS)
        # A dearer kit than the cheapest one may still lead to a cheaper one by its shapes.
        kit = soon(draft, until, self.below, self._cheapest is None)
        self._keep(kit)
        self._look_at_shapes(kit)

    def _kit(self, chosen: tuple[int, ...], draft: Draft | None, share: float) -> None:
        """The cheapest kit for some views, kept if it is the cheapest yet."""
        until = time.monotonic() + max(share * self._left, _LEAST_SECONDS)
        limit = self._limit
        if draft is None:
            narrow = narrowed_to(self.instance, chosen)
            self._keep(pursued(narrow, until, self.say, limit, self.ties))
            return

        def write(spelt: Iterable[str]) -> Draft:
            return restricted(build(self.instance, spelt), chosen)

        first = restricted(draft, chosen)
        self._keep(pursued(self.instance, until, self.say, limit, self.ties, first, write=write))

    def _keep(self, found: Pursuit | None) -> None:
        if found is None or found.layout is None or found.found.objective is None:
            return
        best = self.below if self.best is None else self.best.found.objective
        if best is None or found.found.objective < best:
            self.best = found

    def _step(self, whole: _Whole) -> None:
        """The kit with its views made cheaper step by step."""
        best = self.best
        if best is None or best.found.values is None:
            return
        self.say("choosing cameras near each other anew")
        until = time.monotonic() + _STEPS_SHARE * self._left
        known = pooled(whole.draft, whole.grid, best.draft, best.found.values)
        if known is None:
            return
        liked = np.zeros(len(known))
        if whole.case is not None:
            liked[:] = whole.case.shrunk.settled
            liked[whole.case.shrunk.columns] = whole.case.point.primal
        for values in stepped(whole.draft, whole.grid, liked, known, until):
            limit = self._limit
            if limit is None or whole.draft.program.value(values) < limit:
                self._keep(self._laid(whole.draft, values))

    def _laid(self, draft: Draft, values: tuple[int, ...], bound: int = 0) -> Pursuit | None:
        """A solution laid out, its units chosen anew where that fails."""
        cost = draft.program.value(values)
        found = Found("feasible", values, cost, bound)
        layout = lay_out(draft, values)
        if not layout.failed:
            return Pursuit(draft, found, layout)
        failed = frozenset(layout.failed)
        return repaired(self.instance, draft, found, failed, failed, self.deadline)

    def _proved(self, whole: _Whole | None) -> Pursuit:
        """Whatever is cheaper is looked for until it is found or there is none."""
        if whole is None or whole.case is None or whole.draft.program.terms > _MOST_TREE_TERMS:
            # Relaxations of so large a program take too long for a tree of them.
            bounding = with_floors(build(seeing_all(self.instance)), self.floors)
        else:
            bounding = whole.draft
        limit = self._limit
        exact, tree = self._both(whole, bounding, limit)
        if tree.status == "infeasible" or exact.status == "infeasible":
            if self._cheapest is None:
                return Pursuit(bounding, Found("infeasible", None, None, None), None)
            return self._answer(limit or 0)
        self.bound = max(self.bound, tree.bound or 0, exact.bound or 0)
        if whole is None:
            return self._answer(self.bound, bounding)
        found: list[Outcome | Found] = [exact]
        if bounding is whole.draft:
            found.append(tree)
        for one in found:
            if one.values is not None:
                self._keep(self._laid(whole.draft, one.values, self.bound))
        least = next((one.objective for one in found if one.status == "optimal"), None)
        if least is None:
            return self._answer(self.bound, whole.draft)
        best = self.best
        if best is not None and best.found.objective == least:
            return self._answer(least)
        # The cheapest choice does not pack: packs are spelt out one after the other.
        last = pursued(
            self.instance, self.deadline, self.say, self._limit, False, whole.draft, self.bound
        )
        self._keep(last)
        proven = last.found.status in ("optimal", "infeasible")
        known = self._cheapest
        if known is None:
            return last
        cost = known.found.objective or 0
        return self._answer(cost if proven else max(self.bound, last.found.bound or 0))

    def _both(
        self, whole: _Whole | None, bounding: Draft, limit: int | None
    ) -> tuple[Outcome, Found]:
        """CP-SAT on the whole program beside the search in cases."""
        seconds = max(self._left, _LEAST_SECONDS)
        nothing = Outcome("unknown", None, None, None), Found("unknown", None, None, None)
        known = whole is not None and whole.case is not None and self._cheapest is not None
        rounds = _ROUNDS if whole is not None and bounding is whole.draft else 1
        if known and self._left < rounds * self.relaxing:
            # What is begun with such relaxations is not broken off; what one proves is known.
            return nothing
        self.say("proving: anything cheaper")
        if whole is None:
            tree = minimise(bounding, seconds, self.say, limit, self.bound)
            return Outcome("unknown", None, None, None), tree
        model, lift = _looking(whole, limit)
        if model is None:
            return Outcome("infeasible", None, None, None), Found("unknown", None, None, None)
        with ThreadPoolExecutor(1) as pool:
            asked = pool.submit(model.solve, seconds)
            tree = minimise(bounding, seconds, self.say, limit, self.bound, stop=asked.done)
            if tree.status in ("infeasible", "optimal"):
                model.stop()
            return lift(asked.result()), tree

    def _answer(self, bound: int, draft: Draft | None = None) -> Pursuit:
        """The best kit with what is proven of it."""
        best = self._cheapest
        if best is None:
            assert draft is not None
            return Pursuit(draft, Found("unknown", None, None, bound), None)
        cost = best.found.objective or 0
        status = "optimal" if bound >= cost else "feasible"
        found = Found(status, best.found.values, cost, min(bound, cost))
        return Pursuit(best.draft, found, best.layout, NOT_BETWEEN)


def _looking(whole: _Whole, limit: int | None) -> tuple[CpSat | None, Callable[[Outcome], Outcome]]:
    """The whole program below a limit, made small, for CP-SAT; None if nothing is left of it."""
    shrunk = shrink(whole.grid, {}) if whole.case is None else whole.case.shrunk
    if shrunk is not None and whole.case is not None and limit is not None:
        room = limit - shrunk.offset
        if whole.case.bound >= limit:
            shrunk = None
        else:
            fixed = whole.case.trees[0].tightened({}, whole.case.point, room, every=True)
            again = shrink(Grid(shrunk.program), fixed)
            shrunk = None if again is None else again.within(shrunk)
    if shrunk is None:
        return None, lambda outcome: outcome
    left = shrunk
    model = CpSat(left.program)
    if limit is not None:
        model.add_row(model.cost, hi=limit - 1 - left.offset)

    def lifted(found: Outcome) -> Outcome:
        values = None if found.values is None else left.lifted(found.values)
        cost = None if found.objective is None else found.objective + left.offset
        bound = None if found.bound is None else found.bound + left.offset
        return Outcome(found.status, values, cost, bound)

    return model, lifted
