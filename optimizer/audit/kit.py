"""A bill alone, and what each zone could at best make of it.

Checks of a bill never know how the pieces are used. So "missing" and "limit" here are necessary
conditions: they are found only where no wiring whatever could save the bill, every doubt being
resolved in its favour. A bill without findings may still be impossible to wire. "surplus" names
pieces that can do no job on this site, whatever the wiring; a bill with them may still be sound.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import ceil
from typing import NamedTuple, TypeVar

from optimizer.audit import zones
from optimizer.audit.figures import (
    abreast,
    bit_rate,
    gb,
    kbit_s,
    kpx_s,
    picture_bytes,
    recorded_picture,
)
from optimizer.audit.finding import Fault, counted, figure
from optimizer.audit.money import pack_of
from optimizer.audit.recorders import ARRAYS, channel_count, usable
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.reading.fields import PictureSize
from optimizer.site.schema import Site, Zone

_Kind = TypeVar("_Kind", bound=book.Item)


class BillRule(NamedTuple):
    """One rule and the one function that checks a bill against it."""

    name: str
    check: Callable[[Kit], Iterable[Fault]]


class Choice(NamedTuple):
    """A camera item that suits a zone, at its best with the recorders of the kit.

    Attributes
    ----------
    abreast : int
        Fewest cameras that show the width with the detail.
    storage_gb, kbit_s, kpx_s : int
        Least that all of them together store, stream (network) or have encoded (others).
    """

    camera: book.Camera
    abreast: int
    storage_gb: int
    kbit_s: int
    kpx_s: int


@dataclass(frozen=True)
class Kit:
    """A bill on a site.

    Attributes
    ----------
    bought : mapping
        Quantity by item, packs where sold in packs; items of the book only.
    """

    site: Site
    items: Mapping[str, AnyItem]
    offers: tuple[Offer, ...]
    bought: Mapping[str, int]

    @cached_property
    def pieces(self) -> dict[str, int]:
        """Pieces of each item that may be used: bought or owned, and not forbidden."""
        count = Counter({i: n * pack_of(self.items[i]) for i, n in self.bought.items()})
        count.update({o.item: o.quantity for o in self.site.owned if o.item in self.items})
        return {i: n for i, n in count.items() if i not in self.site.policy.forbid}

    def of(self, kind: type[_Kind]) -> list[tuple[_Kind, int]]:
        """Items of a kind with their pieces, in catalogue order."""
        return [(item, n) for item, n in self._held if isinstance(item, kind)]

    @cached_property
    def _held(self) -> list[tuple[AnyItem, int]]:
        there = self.pieces
        return [(item, there[i]) for i, item in self.items.items() if there.get(i, 0) > 0]

    @cached_property
    def recorders(self) -> list[tuple[book.Recorder, int]]:
        """Recorders that can be used on this site."""
        return [(r, n) for r, n in self.of(book.Recorder) if useless(self.site, r) is None]

    @cached_property
    def choices(self) -> dict[str, list[Choice]]:
        """Camera items of the kit that suit each zone."""
        pictures = {c.id: self._pictures(c) for c, _ in self.of(book.Camera)}
        return {
            zone.id: [
                choice
                for camera, _ in self.of(book.Camera)
                if not any(reasons(self.site, zone, camera))
                and (choice := _choice(self.site, zone, camera, pictures[camera.id])) is not None
            ]
            for zone in self.site.views
        }

    def _pictures(self, camera: book.Camera) -> list[PictureSize]:
        """How the recorders of the kit would record a camera; as it is if there is none."""
        groups = [g for r, _ in self.recorders for g in r.inputs if camera.family in g.families]
        return sorted({recorded_picture(camera, g) for g in groups}) or [camera.picture]

    def fewest(self, zone: Zone) -> int:
        """Fewest cameras of a zone; 1 where none suits."""
        return min((c.abreast for c in self.choices[zone.id]), default=1)

    def most(self, zone: Zone, camera: book.Camera) -> int:
        """Most cameras of an item that 1.1 lets stand in a zone, whichever recorder is used."""
        if camera.id in zones.wanted_items(self.site):
            return zone.most_cameras
        numbers = zones.abreast_numbers(self.site, zone, camera, self._usable)
        return max(numbers, default=zone.most_cameras)

    @cached_property
    def _usable(self) -> list[book.Recorder]:
        return usable(self.site, self.items)

    @cached_property
    def all_cameras(self) -> int:
        """Fewest cameras of all zones together."""
        return sum(self.fewest(z) for z in self.site.views)

    def surely(self, test: Callable[[Choice], bool]) -> Iterator[tuple[Zone, int]]:
        """Zones that have choices and where all of them pass a test, with their fewest cameras."""
        for zone in self.site.views:
            options = self.choices[zone.id]
            if options and all(test(c) for c in options):
                yield zone, self.fewest(zone)


def reasons(site: Site, zone: Zone, camera: book.Camera) -> Iterator[str]:
    """Why a camera item cannot serve a zone, optics left out."""
    for found in (
        zones.slow(zone, camera),
        zones.exposed(zone, camera),
        zones.blind(zone, camera),
        zones.unlike(zone, camera),
        zones.wrong_family(site, camera),
        zones.no_codec(site, camera),
    ):
        for text, _, _ in found:
            yield text


def _choice(
    site: Site, zone: Zone, camera: book.Camera, pictures: list[PictureSize]
) -> Choice | None:
    best: Choice | None = None
    for picture in pictures:
        n = abreast(site, zone, camera, picture)
        if n is None or n > zone.most_cameras:
            continue
        rate = bit_rate(site, zone, camera, picture)
        wired = camera.family != "network"
        one = Choice(
            camera,
            n,
            n * gb(picture_bytes(site, zone, rate)),
            0 if wired else n * kbit_s(rate),
            n * kpx_s(zone, picture) if wired else 0,
        )
        # Each figure at its own best, even where no single recorder gives all of them.
        best = one if best is None else Choice(camera, *map(min, best[1:], one[1:]))
    return best


def useless(site: Site, recorder: book.Recorder) -> str | None:
    """Why a recorder can do no job on a site; None if it can."""
    recording = site.recording
    if recording.codec not in recorder.codecs:
        return f"records {', '.join(recorder.codecs)}, not {recording.codec}"
    for way in recording.export:
        able = recorder.optical != "none" if way == "optical" else way in recorder.export
        if not able:
            return f"does not export by {way}"
    outputs = {str(k): n for k, n in recorder.displays.items()}
    for kind, least in recording.displays:
        if outputs.get(kind, 0) < least:
            return f"has {counted(outputs.get(kind, 0), kind + ' output')}, the site asks {least}"
    if recording.drive_failures and not arrays_of(site, recorder):
        return f"has no array that stands {counted(recording.drive_failures, 'drive failure')}"
    if not any(f in site.policy.families for g in recorder.inputs for f in g.families):
        return f"has no inputs for {' or '.join(site.policy.families)}"
    return None


def arrays_of(site: Site, recorder: book.Recorder) -> list[str]:
    """Arrays of a recorder that stand the drive failures asked."""
    able = ARRAYS[site.recording.drive_failures]
    return [a for a in able if a == "single" or a in recorder.arrays]


def least_units(demand: int, capacities: Iterable[tuple[int, int]]) -> int:
    """Fewest units whose capacities reach a demand; all of them if they do not.

    Parameters
    ----------
    demand : int
        What must be reached.
    capacities : iterable of (int, int)
        Capacity of a unit and how many such units there are.
    """
    units = 0
    for capacity, count in sorted(capacities, reverse=True):
        if demand <= 0 or capacity <= 0:
            break
        taken = min(count, ceil(demand / capacity))
        units += taken
        demand -= taken * capacity
    return units


def channels_of(kit: Kit) -> list[tuple[int, int]]:
    """Channels of each usable recorder, with how many of it there are."""
    return [(channel_count(r), n) for r, n in kit.recorders]


def compare(place: str, what: str, has: int, needs: int, dimension: str = "") -> Iterator[Fault]:
    """Missing pieces in one sentence, or nothing."""
    if has < needs:
        text = (
            f"{what}: at least {figure(needs)}{dimension} needed, the kit holds "
            f"{figure(has)}{dimension}"
        )
        yield Fault(place, "missing", text, has, needs)
