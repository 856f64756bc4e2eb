"""Putting questions about changed sites, each at most once.

What is remembered is a pair of bounds for each site: no kit costs less than `low`, and an audited
design costs `high`. Who asks may know bounds beforehand from a neighbour: a relaxation costs no
more than what it relaxes, and its design is a design of it. See :mod:`.monotony` for where that
holds: "a recorder in use has a camera" and "so many pieces are used" are rules under which asking
for less can cost more.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from threading import Lock
from typing import TypeVar

from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.explaining.batch import Batch, batches
from optimizer.explaining.carrying import carried
from optimizer.explaining.crew import Crew
from optimizer.explaining.sameness import canonical
from optimizer.explaining.seeking import (
    Asked,
    Have,
    Known,
    Question,
    Seeker,
    Sought,
    least_net,
    lower,
)
from optimizer.instance import Memory
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site

Progress = Callable[[str], None]
T = TypeVar("T")
_PAIRED = 20_000
"""Variables up to which two questions are worked on at a time; beyond, one by two threads."""

_WORTH = 6_000
"""Variables, over all questions at hand, from which on it pays to start processes for them."""

_CORES = 2
_BATCH = 8

_MANY = 40
"""Sites asked about at once from which on processes are started without a first look."""

_ZONES = 12
"""Zones up to which two searches for many run beside each other; each takes both cores by turns."""

_BATCH_SHARE = 0.7
"""Share of the time left that one search for several sites may take."""

_SLICE = 0.1
"""Share of the whole time that one question may take, so that a hard one leaves some to others."""


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
        self.first: Have | None = None
        self.proven = False
        self.seeker = Seeker(book)
        self.crew: Crew | None = None
        self.solves = 0
        self.largest = 0
        self.slice = max(deadline - time.monotonic(), 0.0) * _SLICE
        # Sites, by their marks, that a search for many does not settle.
        self.alone: set[str] = set()
        self.lock = Lock()

    @property
    def memory(self) -> Memory:
        """What was worked out for one site and holds for others."""
        return self.seeker.memory

    def close(self) -> None:
        """End the processes, if there are any."""
        if self.crew is not None:
            self.crew.close()

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
        if self.first is None:
            self.first, self.proven = have, proven
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

    def closed(self, site: Site) -> Known:
        """What is known, when nothing more will be asked."""
        return self.so_far(site)

    def carry(self, site: Site, have: Have) -> Have | None:
        """A design of another site as one of this, where the audit lets it pass."""
        design = carried(site, self.book, have.design)
        if design is None:
            return None
        moved = Have(site, design)
        self._keep(site, self.so_far(site), moved)
        return moved

    def cheapest(self, site: Site, share: float = 1.0) -> Known:
        """The cheapest total of a site, proven, or as far as time allows.

        Parameters
        ----------
        share : float
            Of the time that one question may take.
        """
        known = self.so_far(site)
        if known.settled or self.out_of_time:
            return known
        return self._search(site, known, known.high, share)

    @property
    def paired(self) -> bool:
        """Whether two questions at a time pay, by the size of those so far."""
        return _WORTH < _CORES * self.largest < _CORES * _PAIRED

    def together(self, sites: Iterable[Site], share: float = 1.0, below: int | None = None) -> None:
        """Ask for the cheapest totals of several sites.

        Those whose changes can stand side by side are asked about by one search for many; the rest
        one by one, two at a time where that pays. What is known at the start of a search is all
        that it may use, so the answers do not hang on which is first; and no further site is made
        once time has run out. Large programs are worked on by two threads each anyway.

        Parameters
        ----------
        share : float
            Of the time that one question may take.
        below : int, optional
            Only kits of a lower total are of interest. [hundredth, with tax]
        """
        alone = self.at_once(sites, below)
        for start in range(0, len(alone), _BATCH):
            some = alone[start : start + _BATCH]
            self._paired([partial(self._ask, site, share, below) for site in some])

    def at_once(self, sites: Iterable[Site], below: int | None = None) -> list[Site]:
        """Ask about several sites by one search for many; those that are left to be asked alone."""
        waiting: dict[str, Site] = {}
        for site in sites:
            if self.out_of_time:
                break
            if self._open(self.so_far(site), below):
                waiting.setdefault(self._mark(site), site)
        left = [site for mark, site in waiting.items() if mark in self.alone]
        some = [site for mark, site in waiting.items() if mark not in self.alone]
        if not self.proven or self.first is None:
            return [*some, *left]
        groups = batches(self.first.site, some, [self._harder(site) for site in some])
        tasks: list[Callable[[], None]] = [
            partial(self._batch, [some[n] for n in g], below) for g in groups
        ]
        if len(self.first.site.zones) > _ZONES:
            for task in tasks:
                task()
        else:
            if len(groups) > 1 and len(some) >= _MANY:
                self.largest = max(self.largest, _WORTH // _CORES + 1)
            self._paired(tasks)
        asked = {n for group in groups for n in group}
        # A batch looks no further into a site for which it has no first kit.
        left += [s for n, s in enumerate(some) if n not in asked or self._by_itself(s, below)]
        return left

    def _by_itself(self, site: Site, below: int | None) -> bool:
        """Whether a site that was asked about among many is still to be asked by itself."""
        known = self.so_far(site)
        return self._open(known, below) and (known.high is None or self._mark(site) in self.alone)

    def _harder(self, site: Site) -> bool:
        """Whether the first site's cheapest kit is not known to do for a site."""
        assert self.first is not None
        known = self.so_far(site)
        if known.high is None and known.low < self.first.total:
            self.carry(site, self.first)
            known = self.so_far(site)
        return known.high is None or known.high > self.first.total

    @staticmethod
    def _open(known: Known, below: int | None) -> bool:
        return not (known.settled or (below is not None and known.low >= below))

    def _ask(self, site: Site, share: float, below: int | None) -> None:
        known = self.so_far(site)
        if self._open(known, below) and not self.out_of_time:
            self._search(site, known, lower(known.high, below), share)

    def _batch(self, sites: list[Site], below: int | None) -> None:
        assert self.first is not None
        seconds = _BATCH_SHARE * (self.deadline - time.monotonic())
        if seconds <= 0:
            return
        known = tuple(self.so_far(site) for site in sites)
        batch = Batch(self.first, tuple(sites), known, below, seconds)
        for site, sought in zip(sites, self._answered(batch), strict=True):
            self._merge(site, sought)
            if sought.alone:
                self.alone.add(self._mark(site))

    def put(self, questions: Iterable[tuple[Site, Asked]]) -> None:
        """Have questions about a site each answered, two at a time where that pays."""
        self._paired([partial(self._put, site, question) for site, question in questions])

    def _put(self, site: Site, question: Asked) -> None:
        if not self.out_of_time:
            self._merge(site, *self._answered(question))

    def _answered(self, question: Asked) -> list[Sought]:
        # Once there are processes, threads that wait for them do not stand in each other's way.
        return question.answered(self.seeker) if self.crew is None else self.crew.ask(question)

    def all_save(self, sites: Sequence[Site], total: int, share: float = 1.0) -> list[bool | None]:
        """As :meth:`saves` for several sites, two at a time where that pays. [hundredth]"""
        return self._paired([partial(self.saves, site, total, share) for site in sites])

    def _paired(self, tasks: list[Callable[[], T]]) -> list[T]:
        done = []
        while tasks and not _WORTH < self.largest * len(tasks) < _PAIRED * len(tasks):
            done.append(tasks.pop(0)())
        if tasks:
            self.crew = self.crew or Crew(self.book, _CORES)
            done += self.beside(tasks)
        return done

    def beside(self, tasks: Iterable[Callable[[], T]]) -> list[T]:
        """Do several things that put questions to the processes, beside each other."""
        with ThreadPoolExecutor(_CORES) as pool:
            try:
                return list(pool.map(lambda task: task(), tasks))
            except BaseException:
                # Threads that wait for a process would be waited for until it has its answer.
                self.close()
                raise

    def reached(self, site: Site, total: int, share: float = 1.0) -> bool | None:
        """Whether some kit costs no more than a total; None where time ran out.

        Parameters
        ----------
        total : int
            With tax. [hundredth]
        share : float
            Of the time that one question may take.
        """
        known = self.so_far(site)
        if not (known.unmeetable or known.low > total or self._within(known, total)):
            if self.out_of_time:
                return None
            known = self._search(site, known, total + 1, share, any_will_do=True)
        if known.unmeetable or known.low > total:
            return False
        return True if self._within(known, total) else None

    def saves(self, site: Site, total: int, share: float = 1.0) -> bool | None:
        """Whether some kit costs less than a total; None where time ran out. [hundredth]"""
        return self.reached(site, total - 1, share)

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

    def _search(
        self,
        site: Site,
        known: Known,
        below: int | None,
        share: float = 1.0,
        *,
        any_will_do: bool = False,
    ) -> Known:
        """Search for a kit, of a total below a limit if there is one."""
        seconds = min(self.deadline - time.monotonic(), share * self.slice)
        question = Question(site, known, below, self.first, seconds, self.proven, any_will_do)
        return self._merge(site, *self._answered(question))

    def _merge(self, site: Site, sought: Sought) -> Known:
        with self.lock:
            self.solves += sought.solves
            self.largest = max(self.largest, sought.size)
        return self._keep(site, sought.known, sought.have)

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


__all__ = ["Asker", "Have", "Known", "Progress", "least_net"]
