"""Wishes: which requirements may be given up for want of money, and by which steps.

A wish has values from the asked one down, each one natural step easier than the one before; the
last is its `least`, or that it is dropped. A requirement that is no wish is a must.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from optimizer import units
from optimizer.errors import InputError, Trouble, listed, quoted
from optimizer.reading.hints import suggest
from optimizer.reading.source import dotted
from optimizer.site.changes import changed, with_unit
from optimizer.site.ladders import Fixed, Longer
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import Requirement, requirements
from optimizer.site.schema import Site, Wish

MOST_STEPS = 500
"""Steps of one wish; more of them are a slip of the pen."""


@dataclass(frozen=True)
class Wished:
    """A requirement that is a wish.

    Attributes
    ----------
    values : tuple of (str or None)
        From the asked one down; None: dropped.
    within : tuple of str
        Wishes with which this one goes: the zone that it is about, where that is a wish too.
    """

    requirement: Requirement
    rank: int
    weight: int
    values: tuple[str | None, ...]
    within: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """Id of the requirement."""
        return self.requirement.id

    @property
    def steps(self) -> int:
        """Natural steps from the least to the asked value."""
        return len(self.values) - 1

    def value(self, kept: int) -> str | None:
        """The value at which so many steps are kept."""
        return self.values[self.steps - kept]


def wishes_of(asked: LoadedSite) -> tuple[Wished, ...]:
    """The wishes of a site by rank, those of a rank in the order of the file.

    Parameters
    ----------
    asked : LoadedSite
        Checked by :func:`check_wishes`.
    """
    known = {r.id: r for r in requirements(asked)}
    points = {p.id: p.zone for p in asked.site.audio.points}
    found = [
        Wished(
            known[name],
            wish.rank,
            wish.weight,
            _values(asked.site, known[name], wish),
            tuple(w for w in _above(known[name], points) if w in asked.site.wishes),
        )
        for name, wish in asked.site.wishes.items()
    ]
    return tuple(sorted(found, key=lambda one: one.rank))


def _above(one: Requirement, points: Mapping[str, str | None]) -> Iterator[str]:
    """Ids of what takes a requirement with it when it goes."""
    if one.quantity and one.place.partition(".")[2]:
        yield one.place
    group, _, name = one.place.partition(".")
    if group == "audio" and name:
        yield "audio/points"
        zone = points.get(name)
        if zone is not None:
            yield f"zones.{zone}"


def _values(site: Site, one: Requirement, wish: Wish) -> tuple[str | None, ...]:
    values: list[str | None] = [one.value]
    least = None if wish.least is None else with_unit(one.id, wish.least)
    floor = None if least is None else one.ladder.hardness(least)
    value = one.easier()
    while value is not None and (floor is None or one.ladder.hardness(value) > floor):
        values.append(value)
        if len(values) > MOST_STEPS:
            return tuple(values)
        value = one.easier(value)
    if least is not None:
        # Some values are as hard as others by their place on the ladder, such as IP67 and IP54.
        if changed(site, {one.id: least}) != changed(site, {one.id: values[-1]}):
            values.append(least)
    elif one.can_be_dropped:
        gone = changed(site, {one.id: None})
        last = values[-1]
        if last == one.value or gone != changed(site, {one.id: last}):
            values.append(None)
    return tuple(values)


def still_asked(site: Site) -> Site:
    """A changed site without musts and wishes for what it does not ask any more."""
    ids = {r.id for r in requirements(site)}
    kept = tuple(name for name in site.untouchable if name in ids)
    wished = {name: wish for name, wish in site.wishes.items() if name in ids}
    return site.model_copy(update={"untouchable": kept, "wishes": wished})


def check_wishes(asked: LoadedSite) -> None:
    """Check that every wish of a site is one of its requirements, and can be given up.

    Raises
    ------
    InputError
        With one trouble for each that is not, in the order of the file.
    """
    site = asked.site
    if not site.wishes:
        return
    known = {r.id: r for r in requirements(asked) if r.id != "budget"}
    troubles = [t for name, wish in site.wishes.items() for t in _faults(asked, known, name, wish)]
    if all(f"zones.{zone.id}" in site.wishes for zone in site.zones):
        first = f"zones.{site.zones[0].id}"
        troubles.append(
            _trouble(
                asked,
                (first,),
                None,
                "every zone is a wish",
                "at least one zone that is a must",
                "leave out the zone that matters most: without any zone nothing is asked",
            )
        )
    if troubles:
        raise InputError(*troubles)


def _faults(
    asked: LoadedSite, known: Mapping[str, Requirement], name: str, wish: Wish
) -> Iterator[Trouble]:
    if name not in known:
        yield _trouble(
            asked,
            (name,),
            name,
            "the budget is what wishes give way to"
            if name == "budget"
            else f"the site asks for nothing called {quoted(name)}",
            listed(known),
            "leave it out: it is given to the command"
            if name == "budget"
            else suggest(name, known, "an id is made of place/quantity, as answers show them"),
        )
        return
    one = known[name]
    if name in asked.site.untouchable:
        yield _trouble(
            asked,
            (name,),
            name,
            "this is a wish, and must stand whatever happens (untouchable)",
            "what untouchable does not name",
            "remove it from wishes or from untouchable",
        )
        return
    if wish.least is None:
        if not one.can_be_dropped and one.easier() is None:
            yield _trouble(
                asked, (name,), name, "this cannot be given up", "what can be left out or lowered",
                "leave it out of wishes",
            )  # fmt: skip
            return
    else:
        fault = _least_fault(asked, one, wish.least)
        if fault is not None:
            yield fault
            return
    if len(_values(asked.site, one, wish)) > MOST_STEPS:
        yield _trouble(
            asked,
            (name,),
            one.value,
            f"from here down there are more than {MOST_STEPS} steps",
            f"at most {MOST_STEPS} steps",
            "add a line 'least: ...' with the value below which it is of no use",
        )


def _least_fault(asked: LoadedSite, one: Requirement, least: str) -> Trouble | None:
    at = (one.id, "least")
    accepted = f"a value no harder than what is asked, {one.value}"
    if isinstance(one.ladder, Fixed | Longer):
        return _trouble(
            asked, at, least, "this has no steps: it is asked or it is not",
            "no least", "leave least out",
        )  # fmt: skip
    try:
        changed(asked, {one.id: least})
        hardness = one.ladder.hardness(with_unit(one.id, least))
    except InputError as error:
        first = error.troubles[0]
        return _trouble(asked, at, least, first.what, first.accepted, first.hint)
    except units.UnitError as error:
        return _trouble(asked, at, least, error.what, accepted, error.hint)
    if hardness > one.ladder.hardness(one.value):
        return _trouble(
            asked, at, least, "this is harder than what is asked", accepted,
            "give the value below which it is of no use",
        )  # fmt: skip
    return None


def _trouble(
    asked: LoadedSite, at: tuple[str, ...], value: str | None, what: str, accepted: str, hint: str
) -> Trouble:
    path = ("wishes", *at)
    source = asked.source
    return Trouble(what, source.name, source.line_of(path), dotted(path), value, accepted, hint)


__all__ = ["Wished", "check_wishes", "still_asked", "wishes_of"]
