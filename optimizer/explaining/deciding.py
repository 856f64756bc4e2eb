"""Yes or no: can a site be met, or be met within a total? Whatever shows it first will do.

A design that is known is carried over; the linear relaxation may already rule every kit out; what
is known of the other places is kept and only the rest is chosen anew; a good design is looked for
near the relaxation. Only what is left goes to a whole search. No optimum is sought, and efforts
are limited in deterministic units, so that the same question is answered in the same way.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass, field, replace

from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.asking import Asker, Have, least_net
from optimizer.instance import Instance, build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.site.schema import Site
from optimizer.solving.assemble import assemble
from optimizer.solving.buying import bought_well
from optimizer.solving.case import Case, lifted, narrowed, opened
from optimizer.solving.cpsat import CpSat
from optimizer.solving.layout import lay_out
from optimizer.solving.openings import Openings
from optimizer.solving.pursue import repaired
from optimizer.solving.search import Found
from optimizer.solving.shrinking import Grid, Shrunk, shrink

_KEPT = 6
"""Designs that are tried on the next question."""

_BESIDE_WORK, _NEAR_WORK, _WHOLE_WORK = 0.2, 0.3, 1.0
"""Efforts of CP-SAT, in deterministic units."""

_TIGHT = 0.93
"""Share of the limit from which on the relaxation leaves little room."""

_SHARE = 0.3
"""Of the time that one question may take, where a price is to be kept."""

_FEW = 20
"""Further items that a solution near the relaxation may use."""

_GAP = 0.08
"""A design so near the cheapest of its kind is good enough."""

_OF_PLACE = ("feed", "path", "seen", "stream", "steer", "sound")


@dataclass
class Effort:
    """What the answers took.

    Attributes
    ----------
    asked : int
        Questions that no known design and no known bound answered.
    solves : int
        Relaxations and searches, each counted once.
    whole : int
        Questions that were left to a whole search.
    largest : int
        Variables of the largest program.
    """

    asked: int = 0
    carried: int = 0
    solves: int = 0
    whole: int = 0
    largest: int = 0


@dataclass
class _Places:
    """What a solution has at each place, and what was asked there."""

    asked: dict[str, object] = field(default_factory=dict)
    used: dict[str, set[str]] = field(default_factory=dict)


class Decider:
    """Answers questions about sites that differ little from one another.

    Parameters
    ----------
    asker : Asker
        Keeps what is found, and has the whole search where nothing less is enough.
    """

    def __init__(self, asker: Asker) -> None:
        self.asker, self.book = asker, asker.book
        self.effort = Effort()
        self._recent: list[Have] = []
        self._places = _Places()

    def size(self, site: Site) -> int:
        """Variables of a site's program."""
        instance = build_instance(site, self.book, memory=self.asker.memory)
        return len(build(instance).program.names)

    def decide(self, site: Site, limit: int | None) -> bool | None:
        """Whether some kit meets a site, at a total of no more than a limit if there is one.

        Parameters
        ----------
        site : Site
            Without a budget of its own.
        limit : int or None
            With tax. [hundredth]

        Returns
        -------
        bool or None
            None if it was not found out in the time given.

        Raises
        ------
        Defect
            If the audit refuses a design.
        """
        for have in self._recent:
            if (limit is None or have.total <= limit) and self.asker.carry(site, have) is not None:
                self.effort.carried += 1
                return True
        self.effort.asked += 1
        instance = build_instance(site, self.book, memory=self.asker.memory)
        if not instance.recorders or any(not z.candidates for z in instance.zones):
            self.asker.unmeetable(site, "tables")
            return False
        draft = build(instance)
        self.effort.largest = max(self.effort.largest, len(draft.program.names))
        cutoff = math.inf if limit is None else float(least_net(limit + 1, site.money.tax))
        verdict = self._at_once(site, draft, cutoff)
        if verdict is None:
            self.effort.whole += 1
            asker = self.asker
            return asker.meetable(site) if limit is None else asker.reached(site, limit, _SHARE)
        if not verdict and limit is None:
            self.asker.unmeetable(site, "")
        elif not verdict and limit is not None:
            self.asker.at_least(site, limit + 1)
        return verdict

    def _at_once(self, site: Site, draft: Draft, cutoff: float) -> bool | None:
        """What can be said without a whole search."""
        grid = Grid(draft.program)
        shrunk = shrink(grid, {})
        if shrunk is None:
            return False
        limitless = math.isinf(cutoff)
        if (
            limitless
            and self._serves(site, draft, self._beside(draft, grid, cutoff), cutoff) is None
        ):
            return True
        self.effort.solves += 1
        case = opened(shrunk)
        if case is None or case.bound >= cutoff:
            return False
        # Where little room is left, there is more often nothing than something to be found.
        roomy = case.bound < _TIGHT * cutoff
        if roomy and (
            (not limitless and self._stays(site, draft, grid, cutoff))
            or self._serves(site, draft, self._near(draft, case, cutoff), cutoff) is None
        ):
            return True
        if math.isfinite(cutoff):
            openings = Openings(draft)
            case = lifted(case, openings, cutoff)
            case = None if case is None else narrowed(case, openings, cutoff)
            if case is None:
                return False
        return self._searched(site, draft, case, cutoff)

    def _stays(self, site: Site, draft: Draft, grid: Grid, cutoff: float) -> bool:
        """Whether what is known of other places will do."""
        return self._serves(site, draft, self._beside(draft, grid, cutoff), cutoff) is None

    def _searched(self, site: Site, draft: Draft, case: Case, cutoff: float) -> bool | None:
        """What CP-SAT says of what is left.

        The pooled program allows more than a kit: what could not be laid out is spelt out.
        """
        spelt = frozenset[str]()
        shrunk: Shrunk | None = replace(case.shrunk, program=case.grid.program)
        while shrunk is not None:
            self.effort.solves += 1
            outcome = _below(shrunk, cutoff).solve(self._left, work=_WHOLE_WORK, first=True)
            if outcome.values is None:
                return False if outcome.status == "infeasible" else None
            failed = self._serves(site, draft, shrunk.lifted(outcome.values), cutoff)
            if failed is None:
                return True
            if failed <= spelt:
                return None
            spelt |= failed
            draft = build(draft.instance, spelt)
            shrunk = shrink(Grid(draft.program), {})
        return False

    def _near(self, draft: Draft, case: Case, cutoff: float) -> tuple[int, ...] | None:
        """A good solution of what the relaxation uses."""
        if not case.point.exact:
            return None
        places = len(draft.instance.zones) + len(draft.instance.sounds)
        fixed = case.trees[0].near({}, case.point, places, _FEW)
        small = shrink(case.grid, fixed)
        if small is None:
            return None
        self.effort.solves += 1
        offset = case.shrunk.offset
        model = _below(small, cutoff - offset)
        found = model.solve(self._left, work=_NEAR_WORK, gap=_GAP)
        return None if found.values is None else case.shrunk.lifted(small.lifted(found.values))

    @property
    def _end(self) -> float:
        return max(self.asker.deadline, time.monotonic() + 0.1)

    @property
    def _left(self) -> float:
        return self._end - time.monotonic()

    def _beside(self, draft: Draft, grid: Grid, cutoff: float) -> tuple[int, ...] | None:
        """A solution that does at each place what the last one did, where the same is asked."""
        if not self._places.used:
            return None
        asked = _asked(draft.instance)
        same = {p for p, what in asked.items() if self._places.asked.get(p) == what}
        fixed = {}
        for var, place in _of_place(draft):
            held = draft.program.names[var] in self._places.used.get(place, ())
            if place in same and not held:
                low = draft.program.lower[var]
                fixed[var] = (low, low)
        shrunk = shrink(grid, fixed)
        if shrunk is None:
            return None
        self.effort.solves += 1
        outcome = _below(shrunk, cutoff).solve(self._left, work=_BESIDE_WORK, gap=_GAP)
        return None if outcome.values is None else shrunk.lifted(outcome.values)

    def _serves(
        self, site: Site, draft: Draft, values: tuple[int, ...] | None, cutoff: float
    ) -> frozenset[str] | None:
        """None if a solution is laid out as a design, which is kept; else what was not laid out."""
        if values is None:
            return frozenset()
        values = bought_well(draft.program, values)
        layout = lay_out(draft, values)
        failed = frozenset(layout.failed)
        if failed:
            found = Found("feasible", values, draft.program.value(values), None)
            mended = repaired(draft.instance, draft, found, draft.spelt | failed, failed)
            if mended is None or mended.layout is None or mended.found.values is None:
                return failed
            draft, values, layout = mended.draft, mended.found.values, mended.layout
        if draft.program.value(values) >= cutoff:
            return failed
        self._keep(site, draft, values, assemble(draft, values, layout))
        return None

    def _keep(self, site: Site, draft: Draft, values: tuple[int, ...], design: Design) -> None:
        faults = audit_design(site, self.book.items, self.book.book.offers, design)
        if faults:
            raise Defect(f"the audit refuses a design: {faults[0]}")
        self.asker.tell(site, design, proven=False)
        self._recent = [Have(site, design), *self._recent][:_KEPT]
        used: dict[str, set[str]] = {}
        for var, place in _of_place(draft):
            held = used.setdefault(place, set())
            if values[var]:
                held.add(draft.program.names[var])
        asked = _asked(draft.instance)
        for place, names in used.items():
            self._places.asked[place], self._places.used[place] = asked[place], names


def _asked(instance: Instance) -> dict[str, object]:
    """What is asked at each place, by the name that variables of the place bear."""
    asked: dict[str, object] = {}
    for table in instance.zones:
        zone = table.zone.model_copy(update={"name": ""})
        sound = None if table.sound is None else table.sound.point
        asked[table.name] = (repr(zone), len(table.zones), repr(sound))
    for sound_table in instance.sounds:
        asked[sound_table.point.id] = repr(sound_table.point)
    return asked


def _of_place(draft: Draft) -> list[tuple[int, str]]:
    """Variables that choose what is done at one place."""
    found = []
    for var, name in enumerate(draft.program.names):
        kind, _, rest = name.partition("/")
        if kind in _OF_PLACE:
            found.append((var, rest.partition("/")[0]))
    return found


def _below(shrunk: Shrunk, cutoff: float) -> CpSat:
    model = CpSat(shrunk.program)
    if math.isfinite(cutoff):
        model.add_row(model.cost, hi=int(cutoff) - 1 - shrunk.offset)
    return model


__all__ = ["Decider", "Effort"]
