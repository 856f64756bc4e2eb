"""A case of the search: the site with some signal families and no others.

Before its tree is opened, a case is made small: cuts lift its linear bound, and what would cost
more than the cheapest design known is taken out, by reduced costs and by probing counts that are
not whole, as long as that takes out much or lifts the bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

from optimizer.model.program import Program, Row
from optimizer.solving.openings import Openings
from optimizer.solving.relaxing import Point, whole
from optimizer.solving.rounding import CUT, Rounding, fractional
from optimizer.solving.shrinking import Grid, Shrunk, shrink
from optimizer.solving.tree import Fixed, Node, Tree

_ROUNDS = 6
_LIFT = 1e-3
_WORTH = 0.9
_SLACK = 1e-6
_MOST_SHARE = 0.2


@dataclass
class Case:
    """What is left of the program in a case, and its tree.

    Attributes
    ----------
    shrunk : Shrunk
        With the cuts among the rows of its program.
    trees : list of Tree
        The first, and a copy for each further node that is worked on at the same time.
    share : float
        A node goes to CP-SAT when its room is this share of the price. Learned on the way.
    """

    shrunk: Shrunk
    trees: list[Tree]
    root: Node
    point: Point
    share: float = 0.02
    worked: int = 0

    @property
    def bound(self) -> float:
        """Proven for the whole case, in prices of the whole program."""
        return self.root.bound + self.shrunk.offset

    @cached_property
    def grid(self) -> Grid:
        """The rows of its program, cuts apart."""
        program = self.shrunk.program
        return Grid(replace(program, rows=[row for row in program.rows if row.name != CUT]))

    def tree(self, slot: int) -> Tree:
        """A tree of its own for each node that is worked on at the same time."""
        while len(self.trees) <= slot:
            self.trees.append(Tree(self.shrunk.program))
        return self.trees[slot]

    def place(self, var: int) -> int | None:
        """Number here of a variable of the whole program; None where it is settled."""
        places = (self.shrunk.columns == var).nonzero()[0]
        return int(places[0]) if len(places) else None

    def may_take(self, var: int, fixed: Fixed | None = None) -> bool:
        """Whether a variable of the whole program may be other than nothing, under some bounds."""
        place = self.place(var)
        if place is None:
            return bool(self.shrunk.settled[var])
        return fixed is None or place not in fixed or fixed[place][1] > 0

    def reprice(self, var: int, more: int) -> None:
        """Let a variable of the whole program, at most 1, cost more. [hundredth]"""
        place = self.place(var)
        if place is not None:
            self.shrunk.program.cost[place] += more
            for tree in self.trees:
                tree.relaxer.reprice(place, self.shrunk.program.cost[place])
        elif self.shrunk.settled[var]:
            self.shrunk = replace(self.shrunk, offset=self.shrunk.offset + more)

    def learn(self, closed: bool) -> None:
        """Take up whether CP-SAT could close a node."""
        self.share = min(self.share * (1.1 if closed else 0.8), _MOST_SHARE)


def by_families(program: Program) -> list[Fixed]:
    """Each choice of the signal families that are used, most of them first, as bounds.

    A single choice without bounds where a program has none.
    """
    families = [var for var, name in enumerate(program.names) if name.startswith("family/")]
    choices = product((1, 0), repeat=len(families))
    return [
        {f: (c, c) for f, c in zip(families, choice, strict=True)}
        for choice in choices
        if any(choice) or not families
    ]


def opened(shrunk: Shrunk, seconds: float = math.inf) -> Case | None:
    """A case with its relaxation solved; None if that has no solution.

    Parameters
    ----------
    seconds : float
        Time limit; the point of the case is not exact where it was too short.
    """
    tree = Tree(shrunk.program)
    return _rooted(shrunk, tree, tree.relaxer.solve_within(seconds))


def with_rows(case: Case, rows: Sequence[Row]) -> Case | None:
    """The case with some more rows, given over what is left; None if they leave no solution."""
    program = replace(case.shrunk.program, rows=[*case.shrunk.program.rows, *rows])
    tree = case.trees[0]
    tree.relaxer.add(rows)
    return _rooted(replace(case.shrunk, program=program), tree, tree.relaxer.solve({}))


def _rooted(shrunk: Shrunk, tree: Tree, point: Point) -> Case | None:
    if math.isinf(point.value):
        return None
    bound = whole(point.value) if point.exact else -math.inf
    return Case(shrunk, [tree], Node({}, bound, point.basis), point)


def lifted(case: Case, openings: Openings, cutoff: float) -> Case | None:
    """The case with cuts; None if no solution of it costs less than the cutoff.

    Parameters
    ----------
    cutoff : float
        In prices of the whole program. [hundredth]
    """
    shrunk, tree, point = case.shrunk, case.trees[0], case.point
    limit = cutoff - shrunk.offset
    rows = list(shrunk.program.rows)
    for _ in range(_ROUNDS):
        if not point.exact or whole(point.value) >= limit:
            break
        before = point.value
        cuts = _openings(shrunk, openings, point)
        places = fractional(point.primal, tree.relaxer.basic())
        tableau = [tree.relaxer.tableau(place) for place in places]
        cuts += Rounding(replace(shrunk.program, rows=rows)).cuts(point.primal, tableau)
        if not cuts:
            break
        tree.relaxer.add(cuts)
        # The order of rows must stay that of the relaxation while the tableau is read.
        rows += cuts
        point = tree.relaxer.solve({})
        if point.value < before + _LIFT * abs(before):
            break
    program = replace(shrunk.program, rows=rows)
    found = _rooted(replace(shrunk, program=program), tree, point)
    return None if found is None or found.bound >= cutoff else found


def _openings(shrunk: Shrunk, openings: Openings, point: Point) -> list[Row]:
    full = shrunk.settled.astype(float)
    full[shrunk.columns] = point.primal
    return [shrunk.projected(row) for row in openings.broken(full)]


def narrowed(case: Case, openings: Openings, cutoff: float) -> Case | None:
    """The case without what would cost the cutoff or more; None if nothing is left."""
    while True:
        if math.isinf(cutoff) or not case.point.exact:
            return case
        limit = int(cutoff) - case.shrunk.offset
        fixed = case.trees[0].tightened({}, case.point, limit, every=True)
        fixed = case.trees[0].probed(fixed, case.point, limit)
        again = shrink(Grid(_purged(case)), fixed)
        if again is None:
            return None
        size = len(case.shrunk.columns)
        smaller = opened(again.within(case.shrunk))
        found = None if smaller is None else lifted(smaller, openings, cutoff)
        if found is None:
            return None
        smaller_by_much = len(found.shrunk.columns) <= _WORTH * size
        if not smaller_by_much and found.bound < case.bound + _LIFT * abs(case.bound):
            return found
        case = found


def _purged(case: Case) -> Program:
    """The program without the cuts that do nothing at the root."""
    program, point = case.shrunk.program, case.point.primal
    kept = []
    for row in program.rows:
        if row.name == CUT:
            activity = sum(k * point[c] for c, k in zip(row.cols, row.coefs, strict=True))
            if row.hi - activity > _SLACK * max(1.0, abs(row.hi)):
                continue
        kept.append(row)
    return replace(program, rows=kept)
