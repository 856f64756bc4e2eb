"""One question about one site, answered from nothing but what comes with it."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple, Protocol

from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.beyond import restrict
from optimizer.explaining.carrying import carried
from optimizer.explaining.nearby import nearby
from optimizer.explaining.sameness import fingerprint
from optimizer.instance import Instance, Memory, build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site
from optimizer.solving import cpsat
from optimizer.solving.assemble import assemble
from optimizer.solving.glance import Glance
from optimizer.solving.layout import Layout, lay_out
from optimizer.solving.purchase import tax_on
from optimizer.solving.pursue import Pursuit, pursue
from optimizer.solving.reasons import reasons
from optimizer.solving.search import Found
from optimizer.units import money

if TYPE_CHECKING:
    from optimizer.explaining.seeking_plan import Sighted

_CONFIRM_SECONDS = 2.0
"""Least time given to confirm that a site is unmeetable. [s]"""

_SMALL_WORK = 0.3
"""Effort for a program as a whole, in deterministic units: no answer hangs on the machine."""


@dataclass(frozen=True)
class Known:
    """What is proven about the cheapest kit of a site; totals with tax. [hundredth]

    Attributes
    ----------
    low : int
        No kit costs less.
    high : int or None
        Total of an audited design.
    bought : dict of str to int or None
        What that design buys.
    unmeetable : bool
        Proven: there is no kit.
    because : str
        Why not, where that can be said in a few words.
    """

    low: int = 0
    high: int | None = None
    bought: dict[str, int] | None = None
    unmeetable: bool = False
    because: str = ""

    @property
    def settled(self) -> bool:
        """Whether the cheapest total is known, or that there is none."""
        return self.unmeetable or self.low == self.high


@dataclass(frozen=True)
class Have:
    """An audited design and the site it was made for."""

    site: Site
    design: Design

    @property
    def total(self) -> int:
        """With tax. [hundredth]"""
        return money(self.design.total)

    @property
    def bought(self) -> dict[str, int]:
        """Packs bought of each item."""
        return {line.item: line.quantity for line in self.design.bill if line.quantity}


@dataclass(frozen=True)
class Question:
    """What is to be found out.

    Attributes
    ----------
    known : Known
        About this site, beforehand.
    below : int or None
        Only kits of a lower total are of interest. [hundredth, with tax]
    first : Have or None
        A design of a site much like it, to be tried on this one.
    proven : bool
        Whether that design is proven the cheapest of its site.
    any_will_do : bool
        Any kit of interest is enough; it need not be the cheapest.
    seconds : float
        Time limit.
    """

    site: Site
    known: Known
    below: int | None
    first: Have | None
    seconds: float
    proven: bool = False
    any_will_do: bool = False

    def answered(self, seeker: Seeker) -> list[Sought]:
        """What is found out, as the only entry."""
        return [seeker.seek(self)]


@dataclass(frozen=True)
class Sought:
    """What was found out, the design if there is a new one, and what it took.

    Attributes
    ----------
    alone : bool
        A search for many came upon a kit that was not laid out: the site is to be asked by itself.
    """

    known: Known
    have: Have | None = None
    solves: int = 0
    size: int = 0
    alone: bool = False


class Asked(Protocol):
    """What can be answered from nothing but what comes with it."""

    def answered(self, seeker: Seeker) -> list[Sought]:
        """What is found out of each site that it is about."""


class Tried(NamedTuple):
    """A design of another site as one of the site that is asked about, and what that says.

    Attributes
    ----------
    have : Have or None
        The design, where it does.
    below : int or None
        Only kits of a lower total are of interest from now on. [hundredth, with tax]
    enough : bool
        Whether that answers the question.
    """

    have: Have | None
    known: Known
    below: int | None
    enough: bool


def tried(question: Question, book: LoadedBook) -> Tried:
    """Try the design that comes with a question on its site, where none is known of it."""
    known, below, first = question.known, question.below, question.first
    design = None
    if known.high is None and first is not None:
        design = carried(question.site, book, first.design)
    if design is None:
        return Tried(None, known, below, False)
    have = Have(question.site, design)
    known = replace(known, high=have.total, bought=have.bought)
    enough = known.settled or (below is not None and have.total < below)
    return Tried(have, known, have.total if below is None else below, enough)


class Seeker:
    """Answers questions for one price book; what holds for several sites is worked out once."""

    def __init__(self, book: LoadedBook) -> None:
        self.book = book
        self.memory = Memory()
        self.floors: dict[bytes, int] = {}
        self.placed: dict[object, Sighted] = {}
        self.by_cells: dict[int, tuple[Have, bool]] = {}

    def seek(self, question: Question) -> Sought:
        """Search for a kit."""
        site = question.site
        if site.areas:
            # Geometry is loaded for sites with a plan only.
            from optimizer.explaining.seeking_plan import seek_on_plan

            return seek_on_plan(self, question)
        end = time.monotonic() + question.seconds
        have, known, below, enough = tried(question, self.book)
        if enough:
            return Sought(known, have)
        instance = build_instance(site, self.book, memory=self.memory)
        if not instance.recorders or any(not z.candidates for z in instance.zones):
            return Sought(nothing(known, below, nothing_left(instance)), have)
        draft = build(instance)
        size = len(draft.program.names)
        refused = _beaten(question, below)
        if refused is not None and not restrict(draft, refused):
            return Sought(nothing(known, below, ""), have, 0, size)
        rate, mark = site.money.tax, fingerprint(draft.program)
        limit = None if below is None else least_net(below, rate)
        if limit is not None and self.floors.get(mark, 0) >= limit:
            return Sought(nothing(known, below, ""), have, 0, size)
        seen = Glance(draft.program, limit)
        if seen.refuted and limit is not None:
            return Sought(nothing(known, below, ""), have, 0, size)
        small = at_once(draft, seen, limit, end) if limit is not None else None
        if small is None or small.found.status == "unknown":
            near = self._nearby(draft, question.first, limit, end)
            if near is not None:
                have, below, limit = near, near.total, least_net(near.total, rate)
                known = replace(known, high=near.total, bought=near.bought)
            if known.settled or (near and question.any_will_do) or time.monotonic() >= end:
                return Sought(raised(known, seen.bound, rate), have, 2, size)
            if small is None or near is not None:
                small = at_once(draft, seen, limit, end)
        before = Sought(known, have, 2, size)
        if small.found.status == "unknown" and time.monotonic() < end:
            least = least_net(known.low, rate)
            small = pursue(instance, end, _quiet, below=limit, ties=False, draft=draft, least=least)
            before = replace(before, solves=3)
        return self._found(small, before, below, mark, end)

    def _nearby(
        self, draft: Draft, first: Have | None, limit: int | None, end: float
    ) -> Have | None:
        if first is None:
            return None
        seconds = max(end - time.monotonic(), 0.1)
        found = nearby(draft, first.site, first.design, limit, seconds)
        return None if found is None else self.audited(draft, *found)

    def _found(
        self, result: Pursuit, before: Sought, below: int | None, mark: bytes, end: float
    ) -> Sought:
        """What a search comes to, beside what was known before it."""
        rate, found = result.draft.instance.site.money.tax, result.found
        if found.status == "infeasible":
            if below is None and not _confirmed(result, end):
                return before
            if below is not None and fingerprint(result.draft.program) == mark:
                self.floors[mark] = least_net(below, rate)
            return replace(before, known=nothing(before.known, below, ""))
        bound = found.bound if found.status != "optimal" else found.objective
        if bound is not None and below is not None:
            bound = min(bound, least_net(below, rate))
        after = replace(before, known=raised(before.known, bound, rate))
        if found.values is None or result.layout is None:
            return after
        return replace(after, have=self.audited(result.draft, found.values, result.layout))

    def audited(self, draft: Draft, values: tuple[int, ...], layout: Layout) -> Have:
        """A solution as a design; Defect if the audit refuses it."""
        site = draft.instance.site
        design = assemble(draft, values, layout)
        faults = audit_design(site, self.book.items, self.book.book.offers, design)
        if faults:
            raise Defect(f"the audit refuses a design: {faults[0]}")
        return Have(site, design)


def at_once(draft: Draft, seen: Glance, limit: int | None, end: float) -> Pursuit:
    """A program that little effort settles whole; its status is unknown where that fails.

    It is pooled, so its optimum is that of the site only if it can be laid out; that it has no
    solution below a limit holds for the site in any case.
    """
    outcome = seen.settle(limit, max(end - time.monotonic(), 0.1), _SMALL_WORK)
    found = Found(outcome.status, outcome.values, outcome.objective, outcome.bound)
    if outcome.status == "infeasible" and limit is not None:
        return Pursuit(draft, found, None)
    if outcome.status == "optimal" and outcome.values is not None:
        layout = lay_out(draft, outcome.values)
        if not layout.failed:
            return Pursuit(draft, found, layout)
    return Pursuit(draft, Found("unknown", None, None, outcome.bound), None)


def raised(known: Known, bound: int | None, rate: Decimal) -> Known:
    """With what no kit costs less than, if that is more than was known. [hundredth, net]"""
    low = 0 if bound is None else bound + tax_on(bound, rate)
    if known.high is not None:
        low = min(low, known.high)
    return replace(known, low=max(known.low, low))


def _beaten(question: Question, below: int | None) -> Site | None:
    """The site of a design proven cheapest, if only kits that cost less are of interest."""
    first = question.first
    if not question.proven or first is None or below is None or below > first.total:
        return None
    return first.site


def nothing(known: Known, below: int | None, words: str) -> Known:
    """No kit below the limit; with no limit, and none known, no kit at all."""
    if words or below is None:
        if known.high is not None:
            raise Defect("a site with a design is called unmeetable")
        return replace(known, unmeetable=True, because=words)
    return replace(known, low=max(known.low, below))


def _confirmed(result: Pursuit, end: float) -> bool:
    """Whether CP-SAT alone proves too that there is no kit; the search rests on HiGHS."""
    seconds = max(end - time.monotonic(), _CONFIRM_SECONDS)
    outcome = cpsat.CpSat(result.draft.program).solve(seconds, first=True)
    if outcome.values is not None:
        raise Defect("the search proves a site unmeetable, CP-SAT finds a design")
    return outcome.status == "infeasible"


def nothing_left(instance: Instance) -> str:
    """Which limit took out the last cameras of a zone, or the last recorders."""
    if not instance.recorders:
        if not instance.recorder_refusals:
            return "the price book has no recorder"
        # The rarest limit is the one that few were left to meet.
        words, _ = Counter(instance.recorder_refusals.values()).most_common()[-1]
        return f"no recorder is left; the last: {words}"
    first = reasons(instance)[0]
    zone = first.place.partition("/")[0].removeprefix("zones.")
    return f"no camera is left for {zone}; the last: {first.limit.partition(': ')[2]}"


def _quiet(_: str) -> None:
    """Progress of a single question is not told."""


def lower(one: int | None, two: int | None) -> int | None:
    """The lower of two amounts, of which either may be unknown. [hundredth]"""
    return min((n for n in (one, two) if n is not None), default=None)


def least_net(total: int, rate: Decimal) -> int:
    """The least net whose total with tax is no less than this. [hundredth]"""
    low, high = 0, total
    while low < high:
        middle = (low + high) // 2
        if middle + tax_on(middle, rate) >= total:
            high = middle
        else:
            low = middle + 1
    return low
