"""What a price book lacks: gaps that make items useless, or designs impossible, in plain words.

A gap is no error. A book may leave a whole trade out on purpose; what then cannot be designed is
said here before anybody wonders.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import (
    Balun,
    Bracket,
    Cable,
    Camera,
    Connector,
    Coupler,
    Drive,
    Injector,
    Item,
    Lead,
    MainsLead,
    Microphone,
    OpticalWriter,
    Pigtail,
    Recorder,
    Splitter,
    Supply,
    Switch,
    Tool,
)

LEAST_OF_STEP = 0.5
"""A break that leaves less than this share of the unit price before it is taken for a slip."""

_ARRAY_BAYS = {"mirror": 2, "5": 3, "6": 4, "10": 4}

# What cannot be designed without a kind of item. Parts that only some items need (brackets,
# tools, couplers, mains leads) are asked for by those items, in the checks further down.
_WITHOUT: tuple[tuple[type[Item], str], ...] = (
    (Camera, "there is no camera: nothing can be designed"),
    (Recorder, "there is no recorder: nothing can be designed"),
    (Drive, "there is no drive: no recorder can keep pictures"),
    (Microphone, "there is no microphone: sound needs cameras with one built in"),
    (Lead, "there is no ready-made lead: runs need cut cable, and switches lack their rack link"),
    (Cable, "there is no cable: runs need ready-made leads or existing cable"),
    (Connector, "there is no connector: new cable needs leads, or pairs with baluns"),
    (Splitter, "there is no splitter: no microphone can share a camera's feed"),
    (Balun, "there is no balun: no composite or HD-coax picture can use category cable"),
    (Supply, "there is no supply: cameras need PoE"),
)


def check_book(loaded: LoadedBook) -> list[str]:
    """List the gaps of a price book.

    Parameters
    ----------
    loaded : LoadedBook
        A book that has been read without error.

    Returns
    -------
    list of str
        A sentence without a full stop for each gap; empty if there is none.
    """
    return [
        *_absent_kinds(loaded),
        *_recording(loaded),
        *_feeding(loaded),
        *_parts(loaded),
        *_prices(loaded),
    ]


def _absent_kinds(book: LoadedBook) -> Iterator[str]:
    for kind, words in _WITHOUT:
        if not book.by_kind(kind):
            yield words
    genders = {pigtail.gender for pigtail in book.by_kind(Pigtail)}
    for gender, use in (
        ("male", "no pair can feed a camera with a barrel plug, and no lead a screw terminal"),
        ("female", "no lead can feed a camera with terminals, and no pair hang on a barrel supply"),
    ):
        if gender not in genders:
            yield f"there is no {gender} pigtail: {use}"


def _recording(book: LoadedBook) -> Iterator[str]:
    """What recorders and cameras ask of each other."""
    recorders = book.by_kind(Recorder)
    smallest = min((drive.capacity for drive in book.by_kind(Drive)), default=None)
    for recorder in recorders:
        if smallest is not None and smallest > recorder.largest_drive:
            yield f"no drive is small enough for recorder {recorder.id}"
        for array in recorder.arrays:
            if _ARRAY_BAYS[array] > recorder.bays:
                yield (
                    f"recorder {recorder.id} lists array {array}, which takes "
                    f"{_ARRAY_BAYS[array]} drives, but has {recorder.bays} bays"
                )
        if recorder.optical in ("own_bay", "drive_bay") and not book.by_kind(OpticalWriter):
            yield f"nobody sells the optical writer that recorder {recorder.id} has a bay for"
    if not recorders:
        return
    families = {f for r in recorders for group in r.inputs for f in group.families}
    codecs = {c for r in recorders if _records(r, "network") for c in r.codecs}
    for camera in book.by_kind(Camera):
        if camera.family not in families:
            yield f"no recorder takes the {camera.family} camera {camera.id}"
            continue
        if camera.family == "network" and not codecs & set(camera.codecs):
            yield f"no recorder takes a codec of camera {camera.id}: {', '.join(camera.codecs)}"
        if camera.control in ("rs485", "coax") and not any(
            camera.control in r.control and _records(r, camera.family) for r in recorders
        ):
            yield f"no recorder steers camera {camera.id} by {camera.control}"


def _records(recorder: Recorder, family: str) -> bool:
    return any(family in group.families for group in recorder.inputs)


def _feeding(book: LoadedBook) -> Iterator[str]:
    """Cameras and microphones that nothing in the book can feed."""
    supplies = book.by_kind(Supply)
    powered: list[Switch | Recorder] = [*book.by_kind(Switch), *book.by_kind(Recorder)]
    ports = [unit.poe.poe_class for unit in powered if unit.poe]
    highest = max([*ports, *(i.poe_class for i in book.by_kind(Injector))], default=-1)
    for camera in book.by_kind(Camera):
        low_voltage = any(
            supply.feed == way.feed and way.volts.low <= supply.volts <= way.volts.high
            for way in camera.feeds
            for supply in supplies
        )
        # Class 0 promises what class 3 does.
        over_data = camera.poe_class is not None and (camera.poe_class or 3) <= (highest or 3)
        if not low_voltage and not over_data:
            yield f"nothing feeds camera {camera.id}: no supply at its volts, no port of its class"
    for microphone in book.by_kind(Microphone):
        volts = microphone.volts
        if volts is None or microphone.plug_in:
            continue
        if not any(s.feed == "12 V DC" and volts.low <= s.volts <= volts.high for s in supplies):
            yield f"nothing feeds microphone {microphone.id}: no 12 V DC supply at its volts"


def _parts(book: LoadedBook) -> Iterator[str]:
    """Parts that an item needs and nobody sells."""
    patterns = {p for bracket in book.by_kind(Bracket) for p in bracket.fits}
    for pattern, needing in _needed(
        (camera.bracket, camera.id) for camera in book.by_kind(Camera)
    ).items():
        if pattern not in patterns:
            yield f"no bracket fits the pattern {pattern} of {needing}"
    connectors = {(c.type, fit) for c in book.by_kind(Connector) for fit in c.fits}
    types = {
        "coax_power": "bnc", "coax": "bnc", "category": "rj45", "audio_pair": "rca",
    }  # fmt: skip
    for kind, fits in (
        (kind, _needed((c.fit, c.id) for c in book.by_kind(Cable) if types.get(c.medium) == kind))
        for kind in ("bnc", "rj45", "rca")
    ):
        for fit, needing in fits.items():
            if (kind, fit) not in connectors:
                yield f"no {kind} connector fits the {fit} of {needing}"
    tools = {t for tool in book.by_kind(Tool) for t in tool.types}
    for tool, needing in _needed((c.tool, c.id) for c in book.by_kind(Connector)).items():
        if tool not in tools:
            yield f"nobody sells the tool {tool} for {needing}"
    couplers = {coupler.type for coupler in book.by_kind(Coupler)}
    for coupler, needing in _needed(
        (lead.coupler, lead.id) for lead in book.by_kind(Lead) if lead.joinable
    ).items():
        if coupler not in couplers:
            yield f"nobody sells the coupler {coupler} for joints of {needing}"
    mains = {lead.type for lead in book.by_kind(MainsLead)}
    units: list[Recorder | Supply | Switch | Injector] = [
        *book.by_kind(Recorder),
        *book.by_kind(Supply),
        *book.by_kind(Switch),
        *book.by_kind(Injector),
    ]
    for lead, needing in _needed((unit.mains_lead, unit.id) for unit in units).items():
        if lead not in mains:
            yield f"nobody sells the mains lead {lead} for {needing}"


def _needed(pairs: Iterable[tuple[str | None, str]]) -> dict[str, str]:
    """What is needed, and the ids that need it in words."""
    by_need: dict[str, list[str]] = {}
    for need, one in pairs:
        if need is not None:
            by_need.setdefault(need, []).append(one)
    return {
        need: ids[0] if len(ids) == 1 else f"{ids[0]} and {len(ids) - 1} more"
        for need, ids in by_need.items()
    }


def _prices(book: LoadedBook) -> Iterator[str]:
    for item in book.items.values():
        before = item.price
        for step in item.breaks:
            if step.price > before:
                yield f"the unit price of {item.id} rises when {step.at_least} are bought"
            elif step.price < LEAST_OF_STEP * before:
                yield (
                    f"the unit price of {item.id} falls by more than half when "
                    f"{step.at_least} are bought"
                )
            before = step.price


__all__ = ["LEAST_OF_STEP", "check_book"]
