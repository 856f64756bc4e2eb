"""Which of a site's requirements can hold together: the questions behind conflicts and ways out.

A requirement that is left out is not asked; a zone that is left out may be seen or not. Most often
seeing less is easier. Where recorders, audio inputs or used pieces are counted, a camera more can
help (a recorder needs a camera): then sites with such zones, asking nothing of them, are tried
too. Where nothing at all is left to do, nothing need be bought.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from optimizer.errors import InputError
from optimizer.explaining.asking import Asker
from optimizer.explaining.conflict import Asking, Verdict
from optimizer.explaining.deciding import Decider
from optimizer.explaining.inquiry import without_budget
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.changes import changed
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import Requirement, reaches, requirements
from optimizer.site.schema import MoneyTerms, Site
from optimizer.solving.purchase import tax_on

BUDGET = "budget"
_MOST_TRIED = 3
"""Zones left out of which every choice is tried as seen, where that may help."""


class Holding:
    """A site taken apart into its requirements.

    Parameters
    ----------
    asked : LoadedSite
        The site.
    asker : Asker
        Answers about whole sites, each at most once.

    Attributes
    ----------
    order : tuple of str
        The user's order of priority: what must not be touched, then as in the site file, and the
        budget last: where a conflict stands without it, money is not what is lacking.
    """

    def __init__(self, asked: LoadedSite, book: LoadedBook, asker: Asker) -> None:
        self.asked, self.book, self.asker = asked, book, asker
        self.decider = Decider(asker)
        self.free = without_budget(asked.site)
        self.limit = limit_of(asked.site.money)
        listed = requirements(asked)
        self.listed = {r.id: r for r in listed}
        self.known = {r.id: r for r in (*listed, *reaches(asked))}
        self.untouchable = tuple(i for i in self.listed if i in asked.site.untouchable)
        self.zones = tuple(f"zones.{z.id}" for z in self.free.zones)
        # All points together are the sum of the single ones.
        single = [r for r in listed if r.can_be_dropped and r.id != "audio/points"]
        ids = [r.id for r in single]
        first = [i for i in ids if i in self.untouchable and i != BUDGET]
        last = [i for i in ids if i == BUDGET]
        rest = [i for i in ids if i not in self.untouchable and i != BUDGET]
        self.order = (*first, *rest, *last)
        self.points = {f"audio.{p.id}": p.zone for p in self.free.audio.points}
        # What is gone with a zone or an audio point need not be asked of it.
        self.parts: dict[str, list[str]] = {i: [] for i in (*self.zones, *self.points)}
        for one in self.order:
            place = one.partition("/")[0]
            if place in self.parts and one != place:
                self.parts[place].append(one)
        for point, zone in self.points.items():
            if zone is not None and f"zones.{zone}" in self.parts:
                self.parts[f"zones.{zone}"] += [point, *self.parts[point]]

    @property
    def lone(self) -> str | None:
        """The zone of a site that has no other: it is always asked for."""
        return self.zones[0] if len(self.zones) == 1 else None

    def normal(self, ids: Iterable[str]) -> frozenset[str]:
        """The same requirements without those of zones and points that are left out."""
        kept = set(ids)
        for place, parts in self.parts.items():
            if place not in kept and place in self.order:
                kept.difference_update(parts)
        return frozenset(kept)

    def changes(self, ids: Iterable[str], seen: Iterable[str] = ()) -> dict[str, str | None]:
        """What is dropped so that just these are asked; zones named in `seen` are kept in place."""
        kept, gone = self.normal(ids), set[str]()
        dropped: dict[str, str | None] = {}
        for place in (*self.zones, *self.points):
            if place in kept or place in seen or place in gone or place not in self.order:
                continue
            dropped[place] = None
            gone.update(self.parts[place])
        for one in self.order:
            if one not in kept and one not in gone and one not in dropped and one != BUDGET:
                if one in seen:
                    continue
                dropped[one] = None
        return dropped

    def sites(self, ids: frozenset[str]) -> Iterator[Site]:
        """Sites that ask just for these, without a budget; one is enough."""
        kept = self.normal(ids)
        out = [z for z in self.zones if z in self.order and z not in kept]
        choices: list[tuple[str, ...]] = [()]
        if out and self.counts(kept):
            some = range(1, len(out) + 1) if len(out) <= _MOST_TRIED else (1, len(out))
            choices += [c for n in some for c in combinations(out, n)][: 2**_MOST_TRIED]
        for seen in choices:
            if len(out) - len(seen) < len(self.zones):
                yield changed(self.free, self.changes(kept, seen), self.known)

    def all_tried(self, ids: frozenset[str]) -> bool:
        """Whether :meth:`sites` gives every site that asks just for these."""
        kept = self.normal(ids)
        out = [z for z in self.zones if z in self.order and z not in kept]
        return len(out) <= _MOST_TRIED or not self.counts(kept)

    def counts(self, kept: frozenset[str]) -> bool:
        """Whether a camera that nobody asks for could help to meet these."""
        heard = sum(i in kept for i in self.points)
        # A point that is no requirement of its own is always asked.
        heard += sum(i not in self.order for i in self.points)
        return heard > 0 or any(self.counted(i) for i in kept)

    def counted(self, one: str) -> bool:
        """Whether pieces or channels are counted, so that a camera more can help to meet it."""
        place, _, quantity = one.partition("/")
        if place == "policy" and quantity.startswith("require."):
            return self.book.items[quantity.removeprefix("require.")].kind != "extra"
        return one == "spare/channels" or place.startswith("owned.")

    def nothing(self, kept: frozenset[str]) -> bool:
        """Whether nothing is to be seen, heard or used any more."""
        return all(z in self.order and z not in kept for z in self.zones) and not self.counts(kept)

    def verdict(self, ids: frozenset[str]) -> Verdict:
        """Whether these can hold together."""
        return self.met(ids)[0]

    def met(self, ids: frozenset[str]) -> tuple[Verdict, int | None]:
        """Whether these can hold together, and the total of an audited design if so."""
        if self.nothing(self.normal(ids)):
            return "yes", 0
        open_ = not self.all_tried(ids)
        for site in self.sites(ids):
            verdict = self.within(site, BUDGET in ids)
            if verdict:
                return "yes", self.asker.so_far(site).high
            open_ = open_ or verdict is None
        return ("unknown" if open_ else "no"), None

    def within(self, site: Site, budget: bool) -> bool | None:
        """Whether a site, which has no budget of its own, can be met; within the budget asked.

        None where that was not found out in the time given.
        """
        limit = self.limit if budget else None
        known = self.asker.so_far(site)
        if known.unmeetable or (limit is not None and known.low > limit):
            return False
        if known.high is not None and (limit is None or known.high <= limit):
            return True
        return None if self.asker.out_of_time else self.decider.decide(site, limit)

    def any(self, site: Site) -> bool | None:
        """Whether there is any design of a site; the first one found will do."""
        return self.within(site, False)

    def stands(self, conflict: Iterable[str], changes: Mapping[str, str | None]) -> bool:
        """Whether it is known that changes do not help where a conflict is.

        Asked is all that is asked at its places and of the whole site, and nothing elsewhere:
        where nothing is counted, the whole site is no easier to meet. False where that is not so.
        """
        kept = self.normal(conflict)
        places = {i.partition("/")[0] for i in kept if at_place(i)}
        near = frozenset(i for i in self.order if not at_place(i) or i.partition("/")[0] in places)
        near = frozenset(i for i in near if i != BUDGET and not self.counted(i))
        left = {i: v for i, v in changes.items() if i in near}
        if self.counts(near) or any(i in (*self.zones, *self.points) for i in changes):
            return False
        try:
            site = changed(self.free, {**self.changes(near), **left}, self.known)
        except InputError:
            return False
        return self.within(site, False) is False

    def relaxed(self, changes: Mapping[str, str | None]) -> Site | None:
        """The site with values changed, without a budget; None where such a site is refused."""
        values = {i: v for i, v in changes.items() if i != BUDGET}
        for place, parts in self.parts.items():
            if place in values:
                values = {i: v for i, v in values.items() if i not in parts}
        try:
            return changed(self.free, values, self.known)
        except InputError:
            return None


class Memory(Asking):
    """The oracle with its memory, for requirements of which some fall away with others."""

    def __init__(self, holding: Holding) -> None:
        super().__init__(holding.verdict)
        self.holding = holding

    def __call__(self, ids: frozenset[str]) -> Verdict:
        """Whether these can hold together."""
        return super().__call__(self.holding.normal(ids))


def at_place(one: str) -> bool:
    """Whether a requirement is asked of a zone or an audio point, or is that it be there."""
    return one.startswith(("zones.", "audio."))


def limit_of(money: MoneyTerms) -> int | None:
    """Largest total with tax that keeps the budget. [hundredth]"""
    if money.budget is None:
        return None
    if money.budget_includes_tax:
        return money.budget
    return money.budget + tax_on(money.budget, money.tax)


def rungs(r: Requirement) -> list[str | None]:
    """Every easier value, step by step, and None for dropped at the end."""
    found: list[str | None] = []
    value = r.easier()
    while value is not None:
        found.append(value)
        value = r.easier(value)
    return [*found, None] if r.can_be_dropped else found


__all__ = ["BUDGET", "Holding", "Memory", "at_place", "limit_of", "rungs"]
