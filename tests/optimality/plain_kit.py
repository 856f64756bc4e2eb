"""The plain kit that the cases derived by hand start from: one camera, round prices.

One camera costs 100, its recorder 200, its drive 50, a box of combined coax and power 40, two BNC
connectors 1 each, one male pigtail 2 and a supply 30: 424.00 together.

Its camera shows 1920 x 4 / (4.8 x D) px/m at D metres and 4.8 x D / 4 metres of scene: 160 px/m
and 12 m at 10 m. Recorded at 10 fps it gives 1920 x 1080 x 10 = 20 736 000 px/s, coded with
0.06 bit/px (H.264, medium) 1 244 160 bit/s, which is 1 244 160 / 8 x 86 400 = 13.436 928 GB a day.
"""

from __future__ import annotations

from typing import Any

from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site

Row = dict[str, Any]

PLAIN = 42400
"""What the plain kit costs. [hundredth]"""

TWO = 52800
"""The plain kit with two cameras on runs of 20 m: 424 + 100 + two BNC 2 + one pigtail 2."""

_CAMERA: Row = {
    "kind": "camera",
    "family": "hd_coax",
    "price": "100.00",
    "picture": "1920x1080",
    "frame_rate": "25 fps",
    "sensor_width": "4.8 mm",
    "sensor_height": "2.7 mm",
    "focal": "4 mm",
    "temperature": "-10 to 40 C",
    "lux_colour": "0.5 lx",
    "feeds": [{"feed": "12 V DC", "watts": "6 W", "volts": "10.8 to 13.2 V"}],
}
_ITEMS: dict[str, Row] = {
    "cam": _CAMERA,
    "rec": {
        "kind": "recorder",
        "price": "200.00",
        "inputs": [{"families": ["hd_coax"], "count": 4, "picture": "1920x1080"}],
        "encode_rate": "200 Mpx/s",
        "codecs": ["H.264"],
        "bays": 4,
        "largest_drive": "4 TB",
    },
    "disk": {"kind": "drive", "price": "50.00", "capacity": "1 TB"},
    "siamese": {
        "kind": "cable",
        "price": "40.00",
        "medium": "coax_power",
        "construction": "siamese",
        "box": "100 m",
        "gauge": "18 AWG",
        "fit": "rg59",
    },
    "bnc": {
        "kind": "connector",
        "price": "1.00",
        "type": "bnc",
        "fits": ["rg59"],
        "method": "twist_on",
    },
    "male": {"kind": "pigtail", "price": "2.00", "gender": "male"},
    "female": {"kind": "pigtail", "price": "3.00", "gender": "female"},
    "supply": {
        "kind": "supply",
        "price": "30.00",
        "form": "distribution",
        "feed": "12 V DC",
        "volts": "12 V",
        "outputs": 4,
        "output_amps": "1 A",
        "total_amps": "4 A",
        "ends": "screw",
    },
}


def camera(**what: Any) -> Row:
    """The plain camera with changes."""
    return {**_CAMERA, **what}


RECORDER = _ITEMS["rec"]
SUPPLY = _ITEMS["supply"]
PAIR: Row = {
    "kind": "cable",
    "price": "10.00",
    "medium": "power_pair",
    "construction": "pair",
    "box": "100 m",
    "gauge": "16 AWG",
}
ADAPTER: Row = {
    **SUPPLY,
    "form": "adapter",
    "price": "12.00",
    "outputs": 1,
    "output_amps": "0.5 A",
    "total_amps": "0.5 A",
    "ends": "barrel",
}


def book(offers: list[Row] | None = None, without: tuple[str, ...] = (), **changes: Row) -> Book:
    """The plain book; a change of an item that it has is laid over it, any other is added.

    Underscores in names stand for hyphens.
    """
    items = {name: dict(row) for name, row in _ITEMS.items() if name not in without}
    for name, row in changes.items():
        key = name.replace("_", "-")
        items[key] = {**items.get(key, {}), **row}
    rows = [{"id": key, "name": key, **row} for key, row in items.items()]
    return Book.model_validate(
        {
            "leastkit": "book/1",
            "name": "by hand",
            "currency": "EUR",
            "items": rows,
            "offers": offers or [],
        }
    )


def zone(name: str = "a", **what: Any) -> Row:
    """A zone that the plain camera sees with room to spare."""
    return {
        "id": name,
        "distance": "10 m",
        "width": "5 m",
        "detail": "100 px/m",
        "frame_rate": "10 fps",
        "run": "20 m",
        "most_cameras": 1,
        **what,
    }


def site(*zones: Row, **what: Any) -> Site:
    """A site of these zones (one plain zone if none), without reserves; parts laid over."""
    parts: Row = {
        "money": {"currency": "EUR"},
        "recording": {"retention": "10 days", "reserve": "0 %"},
        "spare": {"supply": "0 %"},
        "assumptions": {"conductor_temperature": "20 C", "end_allowance": "0 m"},
    }
    for key, value in what.items():
        parts[key] = {**parts.get(key, {}), **value} if isinstance(value, dict) else value
    return Site.model_validate(
        {"leastkit": "site/1", "name": "by hand", "zones": list(zones) or [zone()], **parts}
    )
