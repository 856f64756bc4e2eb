"""Each rule taken out of a case by its data, to show on which cases it decides the optimum."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site

Case = tuple[Site, Book]
Loosen = Callable[[Site, Book], Case]
HUGE = Decimal(10) ** 12


def _changed(thing: Any, **what: Any) -> Any:
    return thing.model_copy(update=what)


def _site(**what: Any) -> Loosen:
    return lambda site, book: (_changed(site, **what), book)


def _part(part: str, **what: Any) -> Loosen:
    return lambda site, book: (
        _changed(site, **{part: _changed(getattr(site, part), **what)}),
        book,
    )


def _zones(**what: Any) -> Loosen:
    return lambda site, book: (
        _changed(site, zones=tuple(_changed(z, **what) for z in site.zones)),
        book,
    )


def _runs(**what: Any) -> Loosen:
    """The same for zones and audio points."""

    def loosen(site: Site, book: Book) -> Case:
        points = tuple(_changed(p, **what) for p in site.audio.points)
        zones = tuple(_changed(z, **what) for z in site.zones)
        return _changed(site, zones=zones, audio=_changed(site.audio, points=points)), book

    return loosen


def _items(kind: str, only: Callable[[Any], bool] = lambda _: True, **what: Any) -> Loosen:
    """Change items of a kind; a callable value is given the item."""

    def change(item: Any) -> Any:
        if item.kind != kind or not only(item):
            return item
        return _changed(item, **{k: v(item) if callable(v) else v for k, v in what.items()})

    return lambda site, book: (site, _changed(book, items=tuple(map(change, book.items))))


def _wide_groups(recorder: Any) -> Any:
    return tuple(_changed(g, count=64) for g in recorder.inputs)


def _sharp_groups(recorder: Any) -> Any:
    return tuple(_changed(g, picture=type(g.picture)(9000, 9000)) for g in recorder.inputs)


def _poe(**what: Any) -> Callable[[Any], Any]:
    return lambda item: None if item.poe is None else _changed(item.poe, **what)


def _broad_feeds(camera: Any) -> Any:
    return tuple(_changed(f, volts=type(f.volts)(Decimal(0), Decimal(500))) for f in camera.feeds)


LOOSENED: dict[str, Loosen] = {
    "detail": _zones(detail="1 px/m"),
    "number of cameras": _zones(most_cameras=1),
    "frame rate of the camera": _items("camera", frame_rate=Decimal(240)),
    "outdoors": _items("camera", outdoors=True),
    "ingress": _zones(ingress=None),
    "impact": _zones(impact=None),
    "temperature": _zones(temperature=None),
    "night": _zones(night="lit", night_colour=False),
    "discreet": _zones(discreet=False),
    "steering": _zones(steerable=False),
    "steering: unit loads": _items("recorder", unit_loads=256),
    "steering: recorder": _items("recorder", control=("rs485", "coax")),
    "families": _part("policy", families=("composite", "hd_coax", "network")),
    "forbid": _part("policy", forbid=()),
    "require": _part("policy", require=()),
    "models": _part("policy", most_camera_models=None),
    "methods": _part("policy", connectors={}),
    "joints": _part("policy", most_joints=0),
    "labour": _part("policy", labour=_changed(Site.model_fields["policy"].default.labour)),
    "codec of the recorder": _items("recorder", codecs=("H.264", "H.265", "MJPEG")),
    "codec of the camera": _items("camera", codecs=("H.264", "H.265", "MJPEG")),
    "recorded picture": _items("recorder", inputs=_sharp_groups),
    "inputs": _items("recorder", inputs=_wide_groups, channels=None),
    "channels": _items("recorder", channels=None),
    "encode rate": _items("recorder", encode_rate=HUGE),
    "ingest": _items("recorder", ingest=HUGE),
    "audio inputs": _items("recorder", audio_inputs=8),
    "retention": _part("recording", retention=Decimal(1)),
    "reserve": _part("recording", reserve=Decimal(0)),
    "spare storage": lambda s, b: (_changed(s, spare=_changed(s.spare, storage=Decimal(0))), b),
    "bays": _items("recorder", bays=12),
    "largest drive": _items("recorder", largest_drive=HUGE * 100),
    "drive failures": _part("recording", drive_failures=0),
    "export": _part("recording", export=()),
    "displays": _part(
        "recording",
        displays=Site.model_fields["recording"].annotation.model_fields["displays"].default,
    ),
    "spare channels": lambda s, b: (_changed(s, spare=_changed(s.spare, channels=0)), b),
    "spare supply": lambda s, b: (_changed(s, spare=_changed(s.spare, supply=Decimal(0))), b),
    "end allowance": lambda s, b: (
        _changed(s, assumptions=_changed(s.assumptions, end_allowance=Decimal(0))),
        b,
    ),
    "temperature of the copper": lambda s, b: (
        _changed(s, assumptions=_changed(s.assumptions, conductor_temperature=Decimal(-50))),
        b,
    ),
    "route": _runs(route="indoor"),
    "existing cable": _runs(existing=()),
    "mains": _runs(mains=False),
    "power of the point": lambda s, b: (
        _changed(
            s,
            audio=_changed(s.audio, points=tuple(_changed(p, power="any") for p in s.audio.points)),
        ),
        b,
    ),
    "sound": _part("audio", points=()),
    "sound outdoors": _items("microphone", outdoors=True),
    "box": _items("cable", box=Decimal(5000)),
    "reach of the cable": _items(
        "cable", reach={"composite": Decimal(5000), "hd_coax": Decimal(5000)}
    ),
    "reach of the balun": _items("balun", reach=Decimal(5000)),
    "power over a balun": _items("balun", power_pairs=0, watts=Decimal(0)),
    "watts of a balun": _items("balun", watts=Decimal(0)),
    "gauge": _items("cable", only=lambda i: i.gauge is not None, gauge=Decimal(2)),
    "volts": _items("camera", feeds=_broad_feeds),
    "outputs": _items("supply", only=lambda i: i.form != "adapter", outputs=64),
    "amps of an output": _items("supply", output_amps=Decimal(1000)),
    "amps of a supply": _items("supply", total_amps=Decimal(1000)),
    "barrel or screw": _items("camera", power_plug="terminals"),
    "ports": _items("switch", ports=256),
    "powered ports": _items("switch", poe=_poe(ports=256), ports=256),
    "PoE budget": _items("switch", poe=_poe(budget=Decimal(20000))),
    "PoE class": _items("switch", poe=_poe(poe_class=8)),
    "PoE of a recorder": _items("recorder", poe=None),
    "PoE budget of a recorder": _items("recorder", poe=_poe(budget=Decimal(20000))),
    "mains leads": lambda s, b: _items("supply", mains_lead=None)(
        *_items("recorder", mains_lead=None)(*_items("switch", mains_lead=None)(s, b))
    ),
    "tools": _items("connector", tool=None),
    "packs": lambda s, b: (
        s,
        _changed(b, items=tuple(_changed(i, pack=1) if hasattr(i, "pack") else i for i in b.items)),
    ),
    "brackets": _items("camera", bracket=None),
    "couplers": _items("lead", coupler=None),
    "breaks": lambda s, b: (s, _changed(b, items=tuple(_changed(i, breaks=()) for i in b.items))),
    "offers": lambda s, b: (s, _changed(b, offers=())),
    "most pieces of an offer": lambda s, b: (
        s,
        _changed(b, offers=tuple(_changed(o, most=None) for o in b.offers)),
    ),
    "owned": _site(owned=()),
    "pinned": lambda s, b: (
        _changed(s, owned=tuple(_changed(o, pinned=False) for o in s.owned)),
        b,
    ),
    "budget": _part("money", budget=None),
}
"""Name of what is taken out, and how."""
