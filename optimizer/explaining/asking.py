"""Putting questions about changed sites, each at most once.

What is remembered is a pair of bounds for each site: no kit costs less than `low`, and an audited
design costs `high`. Who asks may know bounds beforehand from a neighbour: a relaxation costs no
more than what it relaxes, and its design is a design of it. See :func:`monotone` for where that
holds: "a recorder in use has a camera" and "so many pieces are used" are rules under which asking
for less can cost more.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from decimal import Decimal
from threading import Lock

from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.carrying import carried
from optimizer.explaining.sameness import canonical, fingerprint
from optimizer.instance import Instance, Memory, build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.requirements import Requirement
from optimizer.site.schema import Site
from optimizer.solving import cpsat
from optimizer.solving.assemble import assemble
from optimizer.solving.layout import lay_out
from optimizer.solving.purchase import tax_on
from optimizer.solving.pursue import Pursuit, pursue
from optimizer.solving.reasons import reasons
from optimizer.solving.search import Found
from optimizer.units import money

Progress = Callable[[str], None]
_CONFIRM_SECONDS = 2.0
"""Least time given to confirm that a site is unmeetable. [s]"""

_SMALL = 1500
"""Variables up to which CP-SAT is asked about a program as a whole, before it is split up."""

_PAIRED = 20_000
"""Variables up to which two questions are worked on at a time; beyond, one by two threads."""

_CORES = 2
_BATCH = 8

_SLICE = 0.2
"""Share of the whole time that one question may take, so that a hard one leaves some to others."""

_SMALL_WORK = 0.5
"""Its limit, in deterministic units, so that answers do not hang on the machine."""


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


class Asker:
    """Answers questions about sites that differ little from one another.

    Parameters
    ----------
    book : LoadedBook
        What can be bought.
    deadline : float
        On the clock of ``time.monotonic``; after it nothing new is sought. [s]
    say : callable
        Told what is being done.
    """

    def __init__(self, book: LoadedBook, deadline: float, say: Progress) -> None:
        self.book, self.deadline, self.say = book, deadline, say
        self.known: dict[str, Known] = {}
        self.designs: dict[str, Have] = {}
        # The site is kept beside its text, so that its id is not given to another.
        self.marks: dict[int, tuple[Site, str]] = {}
        self.floors: dict[bytes, int] = {}
        self.first: Have | None = None
        self.memory = Memory()
        self.solves = 0
        self.largest = 0
        self.slice = max(deadline - time.monotonic(), 0.0) * _SLICE
        self.lock = Lock()

    @property
    def out_of_time(self) -> bool:
        """Whether the time given is used up."""
        return time.monotonic() >= self.deadline

    def _mark(self, site: Site) -> str:
        """What a site asks, as text; made once for each object."""
        held = self.marks.get(id(site))
        if held is None:
            held = self.marks[id(site)] = (site, canonical(site))
        return held[1]

    def tell(self, site: Site, design: Design, proven: bool) -> Known:
        """Take up a design that was found and audited elsewhere."""
        have = Have(site, design)
        self.first = self.first or have
        known = self.so_far(site)
        low = max(known.low, have.total) if proven else known.low
        return self._keep(site, replace(known, low=low), have)

    def so_far(self, site: Site) -> Known:
        """What is known without asking."""
        return self.known.get(self._mark(site), Known())

    def design(self, site: Site) -> Have | None:
        """The cheapest design known of a site, made for it or for one that asks for the same."""
        return self.designs.get(self._mark(site))

    def at_least(self, site: Site, low: int) -> Known:
        """Note that no kit for a site costs less than this. [hundredth, with tax]"""
        known = self.so_far(site)
        if known.unmeetable:
            return known
        return self._keep(site, replace(known, low=max(known.low, low)), None)

    def at_most(self, site: Site, total: int, bought: dict[str, int]) -> Known:
        """Note that a design of a tighter site, audited there, serves this one.

        Parameters
        ----------
        total : int
            With tax. [hundredth]
        """
        known = self.so_far(site)
        if known.high is None or total < known.high:
            known = replace(known, high=total, bought=bought)
        return self._keep(site, known, None)

    def unmeetable(self, site: Site, because: str) -> Known:
        """Note that a site is unmeetable because a looser one is proven to be."""
        known = replace(self.so_far(site), unmeetable=True, because=because)
        return self._keep(site, known, None)

    def carry(self, site: Site, have: Have) -> Have | None:
        """A design of another site as one of this, where the audit lets it pass."""
        design = carried(site, self.book, have.design)
        if design is None:
            return None
        moved = Have(site, design)
        self._keep(site, self.so_far(site), moved)
        return moved

    def cheapest(self, site: Site) -> Known:
        """The cheapest total of a site, proven, or as far as time allows."""
        known = self.so_far(site)
        if known.settled or self.out_of_time:
            return known
        return self._search(site, known, known.high)

    def together(self, sites: Iterable[Site]) -> None:
        """Ask for the cheapest totals of several sites, two at a time where that pays.

        They are taken up in batches. What is known at the start of one is all that any of it may
        use, so the answers do not hang on which is first; and no site of a later batch is made
        once time has run out. Large programs are worked on by two threads each anyway.
        """
        waiting: list[Site] = []
        seen: set[str] = set()
        for site in sites:
            if self.out_of_time:
                return
            mark = self._mark(site)
            if mark not in seen and not self.so_far(site).settled:
                seen.add(mark)
                waiting.append(site)
            if len(waiting) == _BATCH:
                self._each(waiting)
                waiting = []
        self._each(waiting)

    def _each(self, waiting: list[Site]) -> None:
        while waiting and not 0 < self.largest <= _PAIRED:
            self.cheapest(waiting.pop(0))
        with ThreadPoolExecutor(_CORES) as pool:
            list(pool.map(self.cheapest, waiting))

    def reached(self, site: Site, total: int) -> bool | None:
        """Whether some kit costs no more than a total; None where time ran out.

        Parameters
        ----------
        total : int
            With tax. [hundredth]
        """
        known = self.so_far(site)
        if not (known.unmeetable or known.low > total or self._within(known, total)):
            if self.out_of_time:
                return None
            known = self._search(site, known, total + 1)
        if known.unmeetable or known.low > total:
            return False
        return True if self._within(known, total) else None

    def saves(self, site: Site, total: int) -> bool | None:
        """Whether some kit costs less than a total; None where time ran out. [hundredth]"""
        return self.reached(site, total - 1)

    def meetable(self, site: Site) -> bool | None:
        """Whether there is any kit at all; None where time ran out."""
        known = self.so_far(site)
        if known.high is None and not known.unmeetable and not self.out_of_time:
            known = self._search(site, known, None)
        if known.unmeetable:
            return False
        return True if known.high is not None else None

    @staticmethod
    def _within(known: Known, total: int) -> bool:
        return known.high is not None and known.high <= total

    def _search(self, site: Site, known: Known, below: int | None) -> Known:
        """Search for a kit, of a total below a limit if there is one."""
        if known.high is None and self.first is not None:
            self.carry(site, self.first)
            known = self.so_far(site)
            if known.settled or (below is not None and self._within(known, below - 1)):
                return known
            below = known.high if below is None else below
        instance = build_instance(site, self.book, memory=self.memory)
        if not instance.recorders or any(not z.candidates for z in instance.zones):
            return self._nothing(site, known, below, _nothing_left(instance))
        rate = site.money.tax
        limit = None if below is None else least_net(below, rate)
        draft = build(instance)
        self.largest = max(self.largest, len(draft.program.names))
        mark = fingerprint(draft.program)
        if limit is not None and self.floors.get(mark, 0) >= limit:
            return self._nothing(site, known, below, "")
        result = self._at_once(draft, limit) or self._pursued(
            draft, limit, least_net(known.low, rate)
        )
        found = result.found
        if found.status == "infeasible":
            if below is None and not self._confirmed(result):
                return self._keep(site, known, None)
            if limit is not None and fingerprint(result.draft.program) == mark:
                self.floors[mark] = limit
            return self._nothing(site, known, below, "")
        bound = found.bound if found.status != "optimal" else found.objective
        low = 0 if bound is None else bound + tax_on(bound, rate)
        if below is not None:
            low = min(low, below)
        known = replace(known, low=max(known.low, low))
        if found.values is None or result.layout is None:
            return self._keep(site, known, None)
        design = assemble(result.draft, found.values, result.layout)
        faults = audit_design(site, self.book.items, self.book.book.offers, design)
        if faults:
            raise Defect(f"the audit refuses a design: {faults[0]}")
        return self._keep(site, known, Have(site, design))

    def _pursued(self, draft: Draft, limit: int | None, least: int) -> Pursuit:
        self._count()
        until = min(self.deadline, time.monotonic() + self.slice)
        return pursue(
            draft.instance, until, _quiet, below=limit, ties=False, draft=draft, least=least
        )

    def _count(self) -> None:
        with self.lock:
            self.solves += 1

    def _at_once(self, draft: Draft, limit: int | None) -> Pursuit | None:
        """A program so small that CP-SAT settles it whole; None where that comes to nothing.

        It is pooled, so its optimum is that of the site only if it can be laid out; that it has
        no solution below a limit holds for the site in any case.
        """
        program = draft.program
        if len(program.names) > _SMALL:
            return None
        self._count()
        model = cpsat.CpSat(program)
        if limit is not None:
            model.add_row(model.cost, hi=limit - 1)
        seconds = max(self.deadline - time.monotonic(), 0.1)
        outcome = model.solve(seconds, work=_SMALL_WORK)
        found = Found(outcome.status, outcome.values, outcome.objective, outcome.bound)
        if outcome.status == "infeasible" and limit is not None:
            return Pursuit(draft, found, None)
        if outcome.status != "optimal" or outcome.values is None:
            return None
        layout = lay_out(draft, outcome.values)
        return None if layout.failed else Pursuit(draft, found, layout)

    def _nothing(self, site: Site, known: Known, below: int | None, words: str) -> Known:
        """No kit below the limit; with no limit, and none known, no kit at all."""
        if words or below is None:
            if known.high is not None:
                raise Defect("a site with a design is called unmeetable")
            return self._keep(site, replace(known, unmeetable=True, because=words), None)
        return self._keep(site, replace(known, low=max(known.low, below)), None)

    def _confirmed(self, result: Pursuit) -> bool:
        """Whether CP-SAT alone proves too that there is no kit; the search rests on HiGHS."""
        seconds = max(self.deadline - time.monotonic(), _CONFIRM_SECONDS)
        outcome = cpsat.CpSat(result.draft.program).solve(seconds, first=True)
        if outcome.values is not None:
            raise Defect("the search proves a site unmeetable, CP-SAT finds a design")
        return outcome.status == "infeasible"

    def _keep(self, site: Site, known: Known, have: Have | None) -> Known:
        key = self._mark(site)
        if have is not None and (known.high is None or have.total < known.high):
            known = replace(known, high=have.total, bought=have.bought)
            self.designs[key] = have
        if known.high is not None and known.low > known.high:
            raise Defect(
                f"a kit at {known.high} contradicts the proof that none is below {known.low}"
            )
        self.known[key] = known
        return known


def _nothing_left(instance: Instance) -> str:
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


_FEWER_PIECES = ("detail", "width", "steerable")


def monotone(site: Site, book: LoadedBook, requirements: Iterable[Requirement]) -> bool:
    """Whether easing these requirements surely costs no more, and tightening them no less.

    With fewer cameras or microphones a recorder, supply or switch may be left with nothing to do
    (RULES.md 2.3 and 3); then pieces that must be used, channels that must stay free and audio
    inputs can cost more than before. Where nothing of the kind is asked, a design of the tighter
    site is a design of the looser one, or becomes one by taking pieces away.

    """
    wanted = {r.item for r in site.policy.require} | {o.item for o in site.owned if o.pinned}
    jobs = {i for i in wanted if book.items[i].kind != "extra"}
    counted = bool(jobs) or site.spare.channels > 0 or len(site.audio.points) > 1
    for one in requirements:
        if one.quantity in _FEWER_PIECES or one.quantity == "":
            # Sound alone takes no camera away.
            if one.place.startswith("audio.") and not jobs:
                continue
            if counted:
                return False
        elif one.id == "audio/points" or one.id == "recording/export.optical":
            if jobs:
                return False
        elif one.id.startswith("policy/require.") or one.quantity == "pinned":
            item = one.quantity.removeprefix("require.")
            item = one.place.removeprefix("owned.") if one.quantity == "pinned" else item
            if book.items[item].kind == "camera":
                return False
    return True


__all__ = ["Asker", "Have", "Known", "Progress", "least_net", "monotone"]
