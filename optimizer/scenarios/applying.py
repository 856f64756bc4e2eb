"""From scenarios to the sites and price books that they stand for.

Each site so made is what a site file edited by hand would say, and passes the same checks; what
is refused is told with the line of the scenarios file that asks for it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TypeVar

from optimizer.errors import InputError, Trouble, listed, quoted
from optimizer.pricebook import LoadedBook, load_book
from optimizer.pricebook.repricing import repriced, shifted
from optimizer.reading import Source, validate
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath, dotted
from optimizer.scenarios.loading import LoadedScenarios
from optimizer.scenarios.schema import BASE, BUILTIN, Scenario, change_written
from optimizer.site import LoadedSite, check_currency, check_references
from optimizer.site.changes import changed
from optimizer.site.consistency import consistency
from optimizer.site.loading import check_plan
from optimizer.site.putting import Data
from optimizer.site.schema import AnyZone, AudioPoint, Site
from optimizer.site.unstated import unstated
from optimizer.site.wishes import still_asked

T = TypeVar("T")


@dataclass(frozen=True)
class Case:
    """One column of a comparison: a site and the book it is bought from.

    Attributes
    ----------
    on : str
        Id of the case that it builds on; empty for the base.
    named : tuple of str
        Ids that were set on the way from the base to here.
    priced : tuple of str
        Items whose price was set on the way.
    shifted : tuple of (str, str)
        What prices were changed by on the way: an item, a kind or all, and the percentage.
    """

    id: str
    name: str
    on: str
    asked: LoadedSite
    book: LoadedBook
    named: tuple[str, ...] = ()
    priced: tuple[str, ...] = ()
    shifted: tuple[tuple[str, str], ...] = ()


def cases(asked: LoadedSite, book: LoadedBook, loaded: LoadedScenarios) -> tuple[Case, ...]:
    """The base and every scenario, in the order of the file.

    Parameters
    ----------
    asked, book
        Site and price book as they stand; checked to go together.

    Raises
    ------
    InputError
        With one trouble for each thing that is refused: an unknown id (with a suggestion), a value
        that the schema refuses, a site that does not hold together, an item or a book that is not
        there. What builds on a refused scenario is not looked at.
    """
    made = _Maker(asked, book, loaded)
    for one in loaded.scenarios.scenarios:
        made.case(one.id)
    if made.troubles:
        raise InputError(*sorted(made.troubles, key=lambda t: t.line or 0))
    found = [made.case(one.id) for one in loaded.scenarios.scenarios]
    return (made.base, *(case for case in found if case is not None))


class _Maker:
    """Makes each case once, after the one that it builds on."""

    def __init__(self, asked: LoadedSite, book: LoadedBook, loaded: LoadedScenarios) -> None:
        self.loaded = loaded
        self.base = Case(BASE, asked.site.name, "", asked, book)
        self.made: dict[str, Case | None] = {BASE: self.base}
        self.books: dict[str, LoadedBook] = {}
        self.troubles: list[Trouble] = []
        self.places = {one.id: i for i, one in enumerate(loaded.scenarios.scenarios)}

    def case(self, name: str) -> Case | None:
        """The case of an id; None where it, or what it builds on, is refused."""
        if name not in self.made:
            scenario = self.loaded.scenarios.scenarios[self.places[name]]
            before = self.case(scenario.builds_on)
            try:
                self.made[name] = None if before is None else self._after(before, scenario)
            except InputError as error:
                self.troubles += error.troubles
                self.made[name] = None
        return self.made[name]

    def _after(self, before: Case, scenario: Scenario) -> Case:
        at = _Place(self.loaded.source, self.places[scenario.id], scenario)
        site = at.placed(lambda: _site(before.asked.site, scenario, at))
        book, priced, moved = before.book, before.priced, before.shifted
        if scenario.book is not None:
            book, priced, moved = self._book(scenario.book, at), (), ()
        if scenario.price_changes:
            changes = scenario.price_changes
            book = at.placed(partial(shifted, book, changes), "price_changes")
            moved = (*moved, *((key, change_written(share)) for key, share in changes.items()))
        if scenario.prices:
            prices = scenario.prices
            book = at.placed(partial(repriced, book, prices), "prices")
            priced = tuple(dict.fromkeys((*priced, *prices)))
        loaded = as_read(site, f"{self.base.asked.source.name}, scenario {scenario.id}")
        at.placed(lambda: check_currency(loaded, book.book.currency))
        at.placed(lambda: check_references(loaded, book.items, book.book.name))
        named = tuple(dict.fromkeys((*before.named, *scenario.set)))
        return Case(scenario.id, scenario.name, before.id, loaded, book, named, priced, moved)

    def _book(self, name: str, at: _Place) -> LoadedBook:
        path = None if name == BUILTIN else str(self.loaded.folder / name)
        if name not in self.books:
            if path is not None and not Path(path).exists():
                raise InputError(
                    at.trouble(
                        f"there is no price book {quoted(name)}",
                        ("book",),
                        name,
                        f"{BUILTIN}, or a file named from the folder of the scenarios file",
                        "check the name",
                    )
                )
            self.books[name] = load_book(path)
        return self.books[name]


@dataclass(frozen=True)
class _Place:
    """Where a scenario stands, for messages."""

    source: Source
    index: int
    scenario: Scenario

    def trouble(
        self, what: str, steps: FieldPath, value: str | None, accepted: str, hint: str
    ) -> Trouble:
        path = ("scenarios", self.index, *steps)
        line = self.source.line_of(path)
        return Trouble(what, self.source.name, line, dotted(path), value, accepted, hint)

    def placed(self, make: Callable[[], T], section: str = "set") -> T:
        """What is made, or the troubles of making it where the file asks for it."""
        try:
            return make()
        except InputError as error:
            raise InputError(*(self._placed(t, section) for t in error.troubles)) from None

    def _placed(self, found: Trouble, section: str) -> Trouble:
        if found.file == self.source.name and found.line is not None:
            return found
        given: Mapping[str, object] = getattr(self.scenario, section)
        named = [name for name in given if name == found.field]
        # An item that the price book has not is told by its value, not by the id that names it.
        named += [name for name in given if found.value and name.endswith(f".{found.value}")]
        steps: FieldPath = (section, named[0]) if named else ()
        accepted = found.accepted or "changes after which the site still holds together"
        return self.trouble(found.what, steps, found.value, accepted, found.hint)


def _site(before: Site, scenario: Scenario, at: _Place) -> Site:
    data: Data = before.model_dump(mode="json")
    troubles = [*_dropped(data, scenario, at), *_added(data, scenario, at)]
    if troubles:
        raise InputError(*troubles)
    if scenario.policy is not None:
        given = scenario.policy.model_dump(mode="json")
        data["policy"].update({f: given[f] for f in scenario.policy.model_fields_set})
    source = Source("", data, {}, "")
    site = validate(Site, source, also=consistency)
    check_plan(site, source)
    site = unstated(site, before)
    if scenario.set:
        site = changed(site, scenario.set)
    return still_asked(site)


def left_out(site: Site, zones: Sequence[str]) -> Site:
    """A site without some of its zones, and without their sound.

    Raises
    ------
    InputError
        If the site has no such zone, or none would be left.
    """
    scenario = Scenario.model_validate({"id": "less", "drop": {"zones": list(zones)}})
    return _site(site, scenario, _Place(Source("", None, {}, ""), 0, scenario))


def _dropped(data: Data, scenario: Scenario, at: _Place) -> Iterator[Trouble]:
    """Take places out of the data; what is not there is told."""
    points = data["audio"]["points"]
    known = {"zones": [z["id"] for z in data["zones"]], "audio": [p["id"] for p in points]}
    for group, word in (("zones", "zone"), ("audio", "audio point")):
        for place, one in enumerate(getattr(scenario.drop, group)):
            if one not in known[group]:
                yield at.trouble(
                    f"the site has no {word} {quoted(one)}",
                    ("drop", group, place),
                    one,
                    listed(known[group]) or f"nothing: the site has no {word}",
                    suggest(one, known[group], f"name a {word} of the site, or remove the line"),
                )
    gone = scenario.drop
    data["zones"] = [z for z in data["zones"] if z["id"] not in gone.zones]
    data["audio"]["points"] = [
        p for p in points if p["id"] not in gone.audio and p["zone"] not in gone.zones
    ]
    if not data["zones"] and not scenario.add.zones:
        yield at.trouble(
            "no zone would be left",
            ("drop", "zones"),
            None,
            "at least one zone that is kept or added",
            "keep a zone: a site without one asks for nothing",
        )


def _added(data: Data, scenario: Scenario, at: _Place) -> Iterator[Trouble]:
    """Put new places into the data; what is there already is told."""
    heard = {p["zone"]: p["id"] for p in data["audio"]["points"] if p["zone"]}
    for place, point in enumerate(scenario.add.audio):
        if point.zone in heard:
            yield at.trouble(
                f"zone {quoted(point.zone or '')} has an audio point already, {heard[point.zone]}",
                ("add", "audio", place, "zone"),
                point.zone,
                "a zone without another audio point",
                "leave zone out for a second microphone there",
            )
        elif point.zone is not None:
            heard[point.zone] = point.id
    groups: tuple[tuple[str, str, list[Data], Sequence[AnyZone | AudioPoint]], ...] = (
        ("zones", "zone", data["zones"], scenario.add.zones),
        ("audio", "audio point", data["audio"]["points"], scenario.add.audio),
    )
    for group, word, rows, new in groups:
        known = {row["id"] for row in rows}
        for place, one in enumerate(new):
            if one.id in known:
                yield at.trouble(
                    f"{quoted(one.id)} is one of the site's {word}s already",
                    ("add", group, place, "id"),
                    one.id,
                    "an id that the site has not",
                    f"rename it, or change the {word} that is there with set",
                )
            known.add(one.id)
            rows.append(one.model_dump(mode="json"))


def as_read(site: Site, name: str) -> LoadedSite:
    """A changed site as if it had been read from a file of its own, with its own checksum."""
    data = site.model_dump(mode="json")
    text = json.dumps(data, indent=1, ensure_ascii=False) + "\n"
    return LoadedSite(site, Source(name, data, {}, hashlib.sha256(text.encode()).hexdigest()))


__all__ = ["Case", "as_read", "cases", "left_out"]
