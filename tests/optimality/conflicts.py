"""Conflicts and ways out of random unmeetable sites, against exhaustive enumeration.

``python -m tests.optimality.conflicts 0 300`` runs 300 sites and tells what differs. The second
formulation (:mod:`tests.optimality.second`) says for every set of requirements whether it can hold
together; all smallest conflicts and all smallest sets to leave out follow from that by definition.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations, count

from optimizer.errors import Defect, InputError
from optimizer.explaining.asking import Asker
from optimizer.explaining.conflicts import Quarrels, several
from optimizer.explaining.holding import Holding, Memory
from optimizer.explaining.inquiry import without_budget
from optimizer.explaining.ways_out import budget_alone, sets_of, ways_out
from optimizer.pricebook.schema import Book
from optimizer.site.changes import changed
from optimizer.site.requirements import requirements
from optimizer.site.schema import Site
from optimizer.solving.explanation import Change
from optimizer.solving.proof import WayOut, WaysOut
from optimizer.units import money
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.generator import tiny_case
from tests.optimality.readings import total_of
from tests.optimality.second import second_opinion

MOST = 9
"""Requirements of a site: there are 512 sets of them."""
LONGEST = 2
SECONDS = 600.0


def droppable(site: Site) -> tuple[str, ...]:
    """Requirements of which sets are made: those that ask for something.

    All audio points together are the single ones.
    """
    return tuple(
        r.id
        for r in requirements(site)
        if r.can_be_dropped and r.id != "audio/points" and changed(site, {r.id: None}) != site
    )


def unmeetable_case(number: int) -> tuple[Site, Book]:
    """The first tiny case from eight times a number on that can be made unmeetable."""
    for seed in count(8 * number):
        site, book = tiny_case(seed)
        if second_opinion(site, book) is None:
            continue
        rng = random.Random(f"unmeetable {seed}")
        for _ in range(6):
            asked = _few(rng, _harder(rng, site, book))
            if asked is not None and second_opinion(asked, book) is None:
                return asked, book
    raise AssertionError("unreachable")


def _harder(rng: random.Random, site: Site, book: Book) -> Site:
    """The site with one or two things asked that may be too much."""
    for _ in range(rng.choice((1, 2, 2, 3))):
        zone = rng.choice(site.zones).id
        field_, value = rng.choice(
            (
                (f"zones.{zone}/detail", rng.choice(("800 px/m", "2000 px/m"))),
                (f"zones.{zone}/frame_rate", "61 fps"),
                (f"zones.{zone}/steerable", "true"),
                (f"zones.{zone}/discreet", "true"),
                (f"zones.{zone}/impact", "IK11"),
                ("recording/retention", rng.choice(("900 days", "3000 days"))),
                ("recording/drive_failures", "2"),
                ("policy/families", rng.choice(("composite", "network", "hd_coax"))),
                ("budget", ""),
                ("budget", ""),
            )
        )
        if field_ == "budget":
            net = second_opinion(without_budget(site), book)
            if net is None:
                continue
            value = f"{total_of(site, net) * rng.uniform(0.6, 0.999) / 100:.2f}"
            terms = site.money.model_copy(update={"budget_includes_tax": True})
            site = site.model_copy(update={"money": terms})
        try:
            site = changed(site, {field_: value})
        except InputError:
            continue
    return site


def _few(rng: random.Random, site: Site) -> Site | None:
    """The site with no more requirements than can be enumerated."""
    while len(ids := droppable(site)) > MOST:
        rest = [i for i in ids if i != "budget" and "/" in i]
        if not rest:
            return None
        site = changed(site, {rng.choice(rest): None})
    return site


@dataclass
class Brute:
    """What the second formulation says of sets of requirements, and of changes.

    A set that asks for less than one that can be met can be met, and the other way round: sets are
    solved one by one only where that does not settle them.
    """

    site: Site
    book: Book
    ids: tuple[str, ...] = ()
    yes: list[frozenset[str]] = field(default_factory=list)
    no: list[frozenset[str]] = field(default_factory=list)
    solved: int = 0

    def __post_init__(self) -> None:
        self.ids = droppable(self.site)

    def met(self, kept: frozenset[str]) -> bool:
        """Whether these can hold together: with a zone left out, it may be seen or not."""
        if any(kept <= one for one in self.yes):
            return True
        if any(kept >= one for one in self.no):
            return False
        verdict = any(
            second_opinion(site, self.book) is not None for site in self._sites(kept)
        ) or self._nothing(kept)
        (self.yes if verdict else self.no).append(kept)
        return verdict

    def _sites(self, kept: frozenset[str]) -> Iterator[Site]:
        self.solved += 1
        zones = [f"zones.{z.id}" for z in self.site.zones]
        out = [z for z in zones if z in self.ids and z not in kept]
        for number in range(len(out) + 1):
            for seen in combinations(out, number):
                gone = set(out) - set(seen)
                if len(gone) < len(zones):
                    yield self._dropped(kept, gone, set(seen))

    def _dropped(self, kept: frozenset[str], gone: set[str], seen: set[str]) -> Site:
        """Dropped one by one; what a dropped place asked is gone with it."""
        site = self.site
        for one in (*gone, *(i for i in self.ids if i not in kept and i not in gone | seen)):
            place = one.partition("/")[0]
            # Of a zone that may be seen or not nothing is asked, whatever was.
            if place in gone and one != place:
                continue
            if one in {r.id for r in requirements(site)}:
                site = changed(site, {one: None})
        for zone in seen:
            for r in requirements(site):
                if r.id.startswith(f"{zone}/") and r.can_be_dropped:
                    site = changed(site, {r.id: None})
        return site

    def _nothing(self, kept: frozenset[str]) -> bool:
        zones = [f"zones.{z.id}" for z in self.site.zones]
        if any(z not in self.ids or z in kept for z in zones):
            return False
        if any(p.zone is None and (f"audio.{p.id}" in kept or f"audio.{p.id}" not in self.ids)
               for p in self.site.audio.points):  # fmt: skip
            return False
        used = ("spare/channels", "policy/require.", "owned.")
        return not any(i.startswith(used) for i in kept)

    def conflicts(self) -> set[frozenset[str]]:
        """Every smallest set that cannot hold together."""
        found: set[frozenset[str]] = set()
        for one in self.ids:
            self.met(frozenset(self.ids) - {one})
        for size in range(1, len(self.ids) + 1):
            for some in combinations(self.ids, size):
                chosen = frozenset(some)
                if not any(c <= chosen for c in found) and not self.met(chosen):
                    found.add(chosen)
        return found

    def ways(self, longest: int) -> set[frozenset[str]]:
        """Every smallest set to leave out, up to a length; a site has at least one zone."""
        found: set[frozenset[str]] = set()
        zones = {f"zones.{z.id}" for z in self.site.zones}
        for size in range(1, longest + 1):
            for some in combinations(self.ids, size):
                chosen = frozenset(some)
                if chosen >= zones or any(w <= chosen for w in found):
                    continue
                if self.total(dict.fromkeys(chosen)) is not None:
                    found.add(chosen)
        return found

    def total(self, values: Mapping[str, str | None]) -> int | None:
        """Cheapest total with tax of the changed site; None where it cannot be met."""
        places = {i for i in values if "/" not in i and i != "budget"}
        # With a zone its sound is gone, and with either what was asked of it.
        gone = {f"audio.{p.id}" for p in self.site.audio.points if f"zones.{p.zone}" in places}
        kept = {
            i: v
            for i, v in values.items()
            if i not in gone and (i in places or i.partition("/")[0] not in places | gone)
        }
        site = changed(self.site, kept)
        net = second_opinion(site, self.book)
        return None if net is None else total_of(site, net)


def told(site: Site, book: Book) -> tuple[Holding, Quarrels, WaysOut]:
    """What the program finds."""
    end = time.monotonic() + SECONDS
    asker = Asker(loaded(book), end, lambda _: None)
    holding = Holding(unread(site), loaded(book), asker)
    memory = Memory(holding)
    quarrels = several(holding, memory, 3, end, lambda: end)
    conflicts = [c.ids for c in quarrels.conflicts]
    sets = sets_of(holding, memory, conflicts, 1000, LONGEST, lambda: True)
    ways = ways_out(holding, sets, 1000, budget_alone(holding), end)
    asker.close()
    return holding, quarrels, ways


def differences(site: Site, book: Book) -> tuple[list[str], list[int], list[int]]:
    """What is wrong, and how many members each conflict and each way out has."""
    brute = Brute(site, book)
    holding, quarrels, ways = told(site, book)
    wrong = [f"left open: {one}" for one in quarrels.open]
    every = brute.conflicts()
    if not quarrels.conflicts:
        wrong.append(f"no conflict is told, there are {len(every)}")
    for conflict in quarrels.conflicts:
        if frozenset(conflict.ids) not in every:
            wrong.append(f"{conflict.ids} is none of the {len(every)} smallest conflicts")
        if not conflict.smallest:
            wrong.append(f"{conflict.ids} is not proven smallest")
    if not ways.complete:
        wrong.append("the ways out are not complete")
    sets = {frozenset(c.requirement for c in way.changes) for way in ways.found}
    if sets != brute.ways(LONGEST):
        wrong.append(f"ways out {sorted(map(sorted, sets))}, "
                     f"are {sorted(map(sorted, brute.ways(LONGEST)))}")  # fmt: skip
    for way in ways.found:
        wrong += _way(brute, holding, way)
    sizes = [len(c.ids) for c in quarrels.conflicts], [len(w.changes) for w in ways.found]
    return wrong, *sizes


def _way(brute: Brute, holding: Holding, way: WayOut) -> Iterator[str]:
    """A way out leads to a site that is met at its total, and no smaller change does."""
    values = {c.requirement: _to(c) for c in way.changes}
    total = brute.total(values)
    if total != money(way.total):
        yield f"{values}: the second formulation says {total}, told {way.total}"
    if not (way.smallest and way.cheapest):
        yield f"{values} is not proven smallest, or not cheapest"
    for change in way.changes:
        before = _before(holding, change)
        again = {**values, change.requirement: before}
        if before is None:
            again.pop(change.requirement)
        if brute.total(again) is not None:
            yield f"{values}: {change.requirement} at {before} is enough"


def _to(change: Change) -> str | None:
    return None if change.to == "not asked" else change.to


def _before(holding: Holding, change: Change) -> str | None:
    """The value one natural step harder than what is told; None for what is asked."""
    if change.requirement == "budget":
        return f"{(money(change.to) - 1) / 100:.2f}"
    r = holding.listed[change.requirement]
    value, previous = r.easier(), None
    while value is not None and value != change.to:
        previous, value = value, r.easier(value)
    return previous


def main(first: int, last: int) -> int:
    """Compare cases first to last - 1, and say how much agrees."""
    failed = conflicts = ways = 0
    started = time.monotonic()
    for number in range(first, last):
        begun = time.monotonic()
        try:
            wrong, some, more = differences(*unmeetable_case(number))
        except Defect as defect:
            # Told as a difference: a crash on one site must not hide the others.
            wrong, some, more = [f"Defect: {defect}"], [], []
        conflicts, ways = conflicts + len(some), ways + len(more)
        failed += bool(wrong)
        sys.stdout.write(
            f"{number}: conflicts of {some}, ways out of {more}, {time.monotonic() - begun:.1f} s\n"
        )
        for line in wrong:
            sys.stdout.write(f"  {line}\n")
        sys.stdout.flush()
    sys.stdout.write(
        f"{last - first} sites, {conflicts} conflicts, {ways} ways out, {failed} sites with a "
        f"difference, {time.monotonic() - started:.0f} s\n"
    )
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
