"""Ways to record sound at an audio point."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import NamedTuple

from optimizer.instance.feeding import Load
from optimizer.instance.options import Conductor, Option, Part, Path, Piece
from optimizer.instance.wiring import Place, Wirer
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Camera, Microphone
from optimizer.site.schema import AudioPoint, Site, Zone

_FEED = "12 V DC"


@dataclass(frozen=True)
class SoundTable:
    """What an audio point can be met with.

    Attributes
    ----------
    alone : tuple of (way, microphone, option)
        A1, A3 and A4: not tied to a camera.
    signals : tuple of Option
        Audio pairs over the point's run, for A1, A4, A6 and A8.
    wired : tuple of Microphone
        Microphones that may share a camera's feed.
    plug_in : tuple of Microphone
        Microphones that a camera's microphone input feeds.
    tied : bool
        Whether a camera of its zone may serve it.
    """

    point: AudioPoint
    zone: Zone | None
    alone: tuple[tuple[str, str, Option], ...]
    signals: tuple[Option, ...]
    wired: tuple[Microphone, ...]
    plug_in: tuple[Microphone, ...]
    tied: bool


class Heard(NamedTuple):
    """Ways of an audio point that hang on its place alone."""

    alone: tuple[tuple[str, str, Option], ...]
    signals: tuple[Option, ...]


def sound_table(
    site: Site,
    book: LoadedBook,
    wirer: Wirer,
    point: AudioPoint,
    zone: Zone | None,
    heard: dict[object, Heard],
) -> SoundTable:
    """All ways of one audio point.

    Parameters
    ----------
    heard : dict
        What is known of places already; what is found out is added.
    """
    outdoors = point.place == "outdoors" or (zone is not None and zone.place == "outdoors")
    usable = [
        m
        for m in book.by_kind(Microphone)
        if m.id not in site.policy.forbid and (m.outdoors or not outdoors)
    ]
    fed = tuple(m for m in usable if m.volts is not None)
    place = Place(point.run, point.route, point.mains, point.existing)
    tied = zone is not None and point.power in ("any", "camera")
    key = (place, point.power, outdoors)
    if key not in heard:
        heard[key] = Heard(tuple(_alone(wirer, place, point, fed)), tuple(_signals(wirer, place)))
    return SoundTable(
        point=point,
        zone=zone,
        alone=heard[key].alone,
        signals=heard[key].signals,
        wired=fed if tied else (),
        plug_in=tuple(m for m in usable if m.plug_in) if tied else (),
        tied=tied,
    )


def _signals(wirer: Wirer, place: Place) -> Iterator[Option]:
    for option in wirer.laid("audio_pair", place):
        old = option.existing is not None and place.existing[option.existing].terminated
        yield option if old else replace(option, uses=(*option.uses, (Part("rca/audio"), 2)))


def _alone(
    wirer: Wirer, place: Place, point: AudioPoint, microphones: tuple[Microphone, ...]
) -> Iterator[tuple[str, str, Option]]:
    for microphone in microphones:
        loads = [microphone_load(microphone)]
        if point.power in ("any", "room"):
            for option in wirer.pair_feeds(place, loads, "barrel"):
                yield "A1", microphone.id, option
            for found in wirer.shelf.runs(frozenset({"power", "audio"}), place.run, place.route):
                leads = wirer.lead_option("A3", found, place)
                own = Conductor(int(found.lead.gauge or 0), leads.length_cm, fitted=True)
                for feed in wirer.own_feeds(Path(leads, own), loads, "barrel"):
                    joined = replace(
                        feed,
                        kind="A3",
                        uses=(*leads.uses, *feed.uses),
                        labour=leads.labour,
                        pieces=leads.pieces,
                        length_cm=leads.length_cm,
                    )
                    yield "A3", microphone.id, joined
        if point.power in ("any", "local"):
            for option in wirer.local_feeds(place, loads, "barrel"):
                yield "A4", microphone.id, option


def microphone_load(microphone: Microphone) -> Load:
    """The load of a microphone that is fed with low voltage."""
    assert microphone.volts is not None
    return Load(_FEED, float(microphone.watts), microphone.volts.low, microphone.volts.high)


def shared_loads(camera: Camera, microphone: Microphone) -> list[Load]:
    """The 12 V DC load of a camera and a microphone on one feed."""
    own = microphone_load(microphone)
    loads = []
    for feed in camera.feeds:
        low, high = max(feed.volts.low, own.low), min(feed.volts.high, own.high)
        if feed.feed == _FEED and low <= high:
            loads.append(Load(_FEED, float(feed.watts + Decimal(microphone.watts)), low, high))
    return loads


def sharing(option: Option, microphone: str, plug: str) -> Option:
    """A feed made for a barrel end, with the splitter and what hangs behind it."""
    uses = [*option.uses, (Part("splitter"), 1), (Piece(microphone), 1)]
    if plug == "terminals":
        uses.append((Part("pigtail/female"), 1))
    return replace(option, uses=tuple(uses))
