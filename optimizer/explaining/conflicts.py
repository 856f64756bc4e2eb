"""The conflicts of a site: found, each half proven, and confirmed before anybody reads of them."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from optimizer.errors import Defect
from optimizer.explaining import conflict as plain
from optimizer.explaining.confirming import Confirmed, confirm
from optimizer.explaining.evidence import narrowed
from optimizer.explaining.holding import BUDGET, Holding, Memory
from optimizer.site.schema import Site
from optimizer.solving.demands import in_few_words
from optimizer.solving.proof import Conflict, ConflictMember
from optimizer.units import money_text

GoOn = Callable[[], bool]


@dataclass(frozen=True)
class Quarrels:
    """Conflicts, and what is known of others.

    Attributes
    ----------
    conflicts : tuple of Conflict
        Those that share no member with an earlier one first.
    open : tuple of str
        What was not settled.
    sites : tuple of Site
        For each, a site that asks for its members alone.
    """

    conflicts: tuple[Conflict, ...]
    open: tuple[str, ...]
    sites: tuple[Site, ...]


def settled(holding: Holding, members: tuple[str, ...], deadline: float) -> tuple[str, ...] | None:
    """A conflict's members with each half asked anew, and nothing taken from what is remembered.

    Where fewer cameras can be harder to do with than more, what is inferred from other sets may be
    wrong; what is asked here is not.

    Returns
    -------
    tuple of str or None
        Members without those proven superfluous; None if they are not proven to conflict.
    """
    kept = list(members)
    if holding.verdict(frozenset(kept)) != "no":
        return None
    for one in reversed(members):
        if time.monotonic() > deadline:
            break
        rest = frozenset(kept) - {one}
        if rest and holding.verdict(rest) == "no":
            kept.remove(one)
    return tuple(kept)


def proven(
    holding: Holding, members: tuple[str, ...], deadline: float, earlier: set[str]
) -> tuple[Conflict, Site] | None:
    """A conflict with both halves proven, or None where its first half is not confirmed."""
    confirmed: tuple[str, ...] | None = None
    first: Site | None = None
    ids = frozenset(members)
    for site in holding.sites(ids):
        checked = confirm(_priced(holding, site, ids), holding.book, deadline)
        if not checked.enough:
            return None
        confirmed = checked.by if confirmed is None else _both(confirmed, checked)
        first = first or site
    if confirmed is None or first is None:
        raise Defect("a conflict without a site that asks for it")
    told = tuple(_member(holding, ids, one) for one in members)
    found = Conflict(members=told, confirmed=confirmed, independent=earlier.isdisjoint(members))
    return found, _priced(holding, first, ids)


def _both(one: tuple[str, ...], two: Confirmed) -> tuple[str, ...]:
    return tuple(name for name in one if name in two.by)


def _priced(holding: Holding, site: Site, ids: frozenset[str]) -> Site:
    """The site with the budget, where that is a member."""
    if BUDGET not in ids:
        return site
    return site.model_copy(update={"money": holding.asked.site.money})


def _member(holding: Holding, ids: frozenset[str], one: str) -> ConflictMember:
    # Where a lone zone is not asked for, nothing need be bought.
    verdict, total = ("yes", 0) if one == holding.lone else holding.met(ids - {one})
    r = holding.listed[one]
    return ConflictMember(
        requirement=one,
        line=r.line,
        text=r.text,
        asked=r.value,
        needed=verdict == "yes",
        total_without=None if verdict != "yes" or total is None else money_text(total),
    )


def several(
    holding: Holding,
    memory: Memory,
    most: int,
    deadline: float,
    share: Callable[[], float],
    needed: frozenset[str] = frozenset(),
) -> Quarrels:
    """Conflicts of a site that is unmeetable: at least one, independent ones first.

    Parameters
    ----------
    most : int
        Most conflicts sought.
    needed : frozenset of str
        Requirements each of which is a way out by itself, and so a member of every conflict.
    deadline : float
        For all of it. [s]
    share : callable
        Time until which another conflict may still be begun. [s]
    """
    found: list[Conflict] = []
    sites: list[Site] = []
    open_: list[str] = []
    seen: set[str] = set()
    rest = list(holding.order)
    while rest and len(found) < most and (not found or time.monotonic() < share()):
        members = _next(holding, memory, rest, open_, needed)
        if members is None:
            break
        sure = settled(holding, members, deadline)
        shown = None if sure is None else proven(holding, sure, deadline, seen)
        if sure is None or shown is None:
            open_.append(
                f"whether {in_few_words(members, [*holding.listed])} can hold together: that they "
                "cannot was found by one solver, not confirmed by another"
            )
            break
        found.append(shown[0])
        sites.append(shown[1])
        seen.update(sure)
        # What facts alone rule out leaves nothing to look for.
        rest = [] if sure == (holding.lone,) else [i for i in rest if i not in seen]
    return Quarrels(tuple(found), tuple(open_), tuple(sites))


def further(
    holding: Holding,
    quarrels: Quarrels,
    others: Sequence[tuple[str, ...]],
    most: int,
    deadline: float,
) -> Quarrels:
    """The same with conflicts that were met on the way to the ways out, each proven like the rest.

    Parameters
    ----------
    others : sequence of tuple of str
        Members of conflicts, those known among them.
    """
    found, sites = list(quarrels.conflicts), list(quarrels.sites)
    known = {frozenset(c.ids) for c in found}
    seen = {i for c in found for i in c.ids}
    for members in others:
        if len(found) >= most or time.monotonic() > deadline:
            break
        sure = None if frozenset(members) in known else settled(holding, members, deadline)
        shown = None if sure is None else proven(holding, sure, deadline, seen)
        if sure is None or shown is None or frozenset(sure) in known:
            continue
        found.append(shown[0])
        sites.append(shown[1])
        known.add(frozenset(sure))
        seen.update(sure)
    return Quarrels(tuple(found), quarrels.open, tuple(sites))


def with_known(holding: Holding, quarrels: Quarrels) -> Quarrels:
    """The same with the totals of what was found since: the kit without a budget may serve."""
    have = holding.asker.design(holding.free)
    if have is None:
        return quarrels
    told: list[Conflict] = []
    for conflict in quarrels.conflicts:
        ids = frozenset(conflict.ids)
        for one in conflict.ids:
            for site in holding.sites(ids - {one}):
                known = holding.asker.so_far(site).high
                if known is not None and have.total < known:
                    holding.asker.carry(site, have)
        members = tuple(_member(holding, ids, one) for one in conflict.ids)
        told.append(conflict.model_copy(update={"members": members}))
    return Quarrels(tuple(told), quarrels.open, quarrels.sites)


def _next(
    holding: Holding, memory: Memory, rest: list[str], open_: list[str], needed: frozenset[str]
) -> tuple[str, ...] | None:
    """Members of a conflict among some requirements; None where there is none left."""
    verdict = memory(frozenset(rest))
    if verdict != "no":
        if verdict == "unknown":
            open_.append("whether there is a further conflict")
        return None
    return among(holding, memory, rest, needed)


def among(
    holding: Holding,
    memory: Memory,
    rest: Sequence[str],
    needed: frozenset[str] = frozenset(),
) -> tuple[str, ...]:
    """Members of a conflict among requirements that cannot hold together.

    A first proof says where to look; there the user's order decides.

    Parameters
    ----------
    needed : frozenset of str
        Known to be in every conflict.
    """
    if holding.lone is not None and memory(frozenset()) == "no":
        # Nothing that is asked of it has a part in it: facts alone stand against the zone.
        return (holding.lone,)
    if needed:
        if memory(needed) == "no":
            return tuple(i for i in rest if i in needed)
        fewer = [i for i in rest if i not in needed]
    else:
        core = narrowed(holding, memory, frozenset(rest))
        fewer = [i for i in rest if i in core]
    found = plain.quickxplain(fewer, memory, needed)
    if found is None:
        raise Defect("the requirements conflict and then they do not")
    members = needed.union(found.members)
    return tuple(i for i in rest if i in members)


__all__ = ["Quarrels", "among", "further", "proven", "settled", "several", "with_known"]
