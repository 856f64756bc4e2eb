"""A site with something changed: one requirement eased, tightened, dropped, or set to a value.

Every changed site passes through the schema and the checks of what must go together, exactly as a
site file does, and is refused in the same words.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from optimizer.errors import InputError, Trouble
from optimizer.reading import Source, validate
from optimizer.reading.source import dotted
from optimizer.site.consistency import consistency
from optimizer.site.loading import LoadedSite, check_plan
from optimizer.site.putting import Data, put, unknown
from optimizer.site.requirements import NOT_ASKED, Requirement, reaches, requirements
from optimizer.site.schema import Site
from optimizer.site.unstated import unstated

_FORM = "ID=VALUE, such as recording/retention=45 days"
_WORDS_OF_DROPPING = (NOT_ASKED, "none")

_UNITS = {
    "detail": "px/m",
    "width": "m",
    "distance": "m",
    "run": "m",
    "frame_rate": "fps",
    "retention": "days",
    "night": "lx",
    "recorded": "h",
    "storage": "%",
    "supply": "%",
    "reserve": "%",
    "tax": "%",
    "end_allowance": "m",
    "share": "%",
    "apart": "deg",
    "most_tilt": "deg",
    "face_tilt": "deg",
    "conductor_temperature": "C",
}
"""Unit of a number that is given without one."""


class Change(NamedTuple):
    """What is changed, and to what, as given: ("recording/retention", "45 days")."""

    id: str
    value: str


def parse_change(text: str, site: Site | LoadedSite | None = None) -> Change:
    """Read a change such as ``recording/retention=45 days``.

    Parameters
    ----------
    text : str
        An id and a value as it would stand in the site file. A number without a unit is taken in
        the unit in which findings are told (days, m, px/m, fps, h a day, %, lx); ``none`` drops
        the requirement.
    site : Site or LoadedSite, optional
        With it, id and value are checked at once.

    Raises
    ------
    InputError
        If it has not this form; with a site, if the id is not known there (with a suggestion) or
        the schema refuses the value.
    """
    name, sign, value = text.partition("=")
    name, value = name.strip(), value.strip()
    if not sign or not name or not value:
        raise InputError(
            Trouble(
                "this is not a change",
                field=name,
                value=text,
                accepted=_FORM,
                hint="write the id, an equals sign and the value, in quotes if it has blanks",
            )
        )
    change = Change(name, value)
    if site is not None:
        changed(site, dict([change]))
    return change


def changed(
    site: Site | LoadedSite,
    changes: Mapping[str, str | None],
    known: Mapping[str, Requirement] | None = None,
) -> Site:
    """The site with some of its quantities changed.

    Parameters
    ----------
    changes : mapping of id to text
        Values as a site file would have them; None (or ``none``) drops what can be dropped.
    known : mapping, optional
        What the site asks, by id, where somebody has listed it already.

    Raises
    ------
    InputError
        For an unknown id (with a suggestion), for a value that the schema refuses, or if the
        site does not hold together any more.
    """
    plain = site.site if isinstance(site, LoadedSite) else site
    data: Data = plain.model_dump(mode="json")
    paths: dict[str, str] = {}
    for name, value in changes.items():
        wanted = value
        if wanted is None or wanted in _WORDS_OF_DROPPING:
            if known is None:
                known = {r.id: r for r in (*requirements(plain), *reaches(plain))}
            wanted = _loosest(known, name)
        else:
            wanted = with_unit(name, wanted)
        paths[dotted(put(data, plain, name, wanted))] = name
    return unstated(_again(data, paths), plain)


def dropped(site: Site | LoadedSite, name: str) -> Site:
    """The site without a requirement; what that means is its `dropping`.

    Raises
    ------
    InputError
        If there is no such requirement, or it cannot be dropped.
    """
    return changed(site, {name: None})


def eased(site: Site | LoadedSite, name: str) -> Site:
    """The site with a requirement one natural step easier.

    Raises
    ------
    InputError
        If there is no such requirement or no easier step.
    """
    return _stepped(site, name, Requirement.easier, "easier")


def tightened(site: Site | LoadedSite, name: str) -> Site:
    """The site with a requirement one natural step harder.

    Raises
    ------
    InputError
        If there is no such requirement or no harder step.
    """
    return _stepped(site, name, Requirement.harder, "harder")


def find(site: Site | LoadedSite, name: str) -> Requirement:
    """The requirement (or run) of an id.

    Raises
    ------
    InputError
        If there is none, with a suggestion.
    """
    known = {r.id: r for r in (*requirements(site), *reaches(site))}
    if name not in known:
        raise unknown(name, known)
    return known[name]


def _stepped(
    site: Site | LoadedSite, name: str, step: Callable[[Requirement], str | None], word: str
) -> Site:
    requirement = find(site, name)
    value = step(requirement)
    if value is None:
        raise InputError(
            Trouble(
                f"there is no {word} step",
                field=name,
                value=requirement.value,
                hint=f"name the value: {name}=...",
            )
        )
    return changed(site, {name: value})


def _loosest(by_id: Mapping[str, Requirement], name: str) -> str | None:
    if name not in by_id:
        raise unknown(name, by_id)
    requirement = by_id[name]
    if not requirement.can_be_dropped:
        raise InputError(
            Trouble(
                "this cannot be dropped",
                field=name,
                value=requirement.value,
                accepted=f"a value: {requirement.kept or 'it stands in every site'}",
                hint=f"name a value: {name}={requirement.value}",
            )
        )
    return requirement.loosest


def with_unit(name: str, value: str) -> str:
    """A value as a site file would have it: a bare number gets the unit of its requirement."""
    unit = _UNITS.get(name.partition("/")[2])
    bare = value.removeprefix("-").replace(".", "", 1).isdigit()
    return f"{value} {unit}" if unit and bare else value


def _again(data: Data, paths: Mapping[str, str]) -> Site:
    source = Source("", data, {}, "")
    try:
        site = validate(Site, source, also=consistency)
        if any(name.startswith("mounts.") for name in paths.values()):
            check_plan(site, source)
        return site
    except InputError as error:
        raise InputError(*(_renamed(t, paths) for t in error.troubles)) from None


def _renamed(trouble: Trouble, paths: Mapping[str, str]) -> Trouble:
    """The trouble under the id that was given, where a changed value is to blame."""
    return Trouble(
        trouble.what,
        field=paths.get(trouble.field, trouble.field),
        value=trouble.value,
        accepted=trouble.accepted,
        hint=trouble.hint,
    )


__all__ = [
    "Change",
    "changed",
    "dropped",
    "eased",
    "find",
    "parse_change",
    "tightened",
    "with_unit",
]
