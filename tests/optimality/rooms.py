"""Small plans to price by hand, with one camera item and the price book of one door.

The camera is fixed: picture 2000 x 1125 on a sensor of 6 x 3.375 mm at 2.5 mm, so half the
picture is 1.2 wide and 0.675 high at depth 1, and density is 2000 / (2.4 x depth) px/m.

One camera in all costs 210.00 net: camera 40, recorder 100, drive 40, lead 10, supply 15, the
sign 5 that the site requires. Each further one costs 50.00 more (camera 40, lead 10), up to two
on a supply and four on a recorder; the third takes a second supply, 15.00.
"""

from __future__ import annotations

from typing import Any

from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Book
from optimizer.reading import Source
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from optimizer.solving.answer import Answer

CAMERA: dict[str, Any] = {
    "id": "cam",
    "kind": "camera",
    "name": "camera",
    "price": "40.00",
    "family": "hd_coax",
    "picture": "2000x1125",
    "frame_rate": "25 fps",
    "sensor_width": "6 mm",
    "sensor_height": "3.375 mm",
    "focal": "2.5 mm",
    "temperature": "-10 to 45 C",
    "infrared": "20 m",
    "lux_colour": "0.1 lx",
    "feeds": [{"feed": "12 V DC", "watts": "5 W", "volts": "10.8 to 13.2 V"}],
}

_BOOK: dict[str, Any] = {
    "leastkit": "book/1",
    "name": "room book",
    "currency": "EUR",
    "items": [
        CAMERA,
        {"id": "rec", "kind": "recorder", "name": "recorder", "price": "100.00",
         "inputs": [{"families": ["hd_coax"], "count": 4, "picture": "3840x2160"}],
         "encode_rate": "900 Mpx/s", "codecs": ["H.264"], "bays": 1, "largest_drive": "8 TB"},
        {"id": "drive-1tb", "kind": "drive", "name": "drive", "price": "40.00", "capacity": "1 TB"},
        {"id": "lead-20", "kind": "lead", "name": "lead", "price": "10.00",
         "carries": ["video", "power"], "length": "20 m", "series": "vp", "gauge": "18 AWG",
         "fit": "rg59"},
        {"id": "sm-12", "kind": "supply", "name": "supply", "price": "15.00", "form": "multiway",
         "feed": "12 V DC", "volts": "12 V", "outputs": 2, "output_amps": "1 A",
         "total_amps": "2 A", "ends": "barrel"},
        {"id": "sign", "kind": "extra", "name": "sign", "price": "5.00"},
    ],
}  # fmt: skip


def square(side: float) -> list[list[str]]:
    """Corners of a square room."""
    s = f"{side:g}"
    return [["0", "0"], [s, "0"], [s, s], ["0", s]]


def box(left: float, low: float, right: float, high: float) -> list[list[str]]:
    """Corners of a rectangle."""
    a, b, c, d = (f"{v:g}" for v in (left, low, right, high))
    return [[a, b], [c, b], [c, d], [a, d]]


def mount(name: str, x: float, y: float, **fields: Any) -> dict[str, Any]:
    """A mount 2 m up, with 10 m of run."""
    return {"id": name, "at": [f"{x:g}", f"{y:g}"], "height": "2 m", "run": "10 m", **fields}


def zone(area: list[list[str]], detail: str, **fields: Any) -> dict[str, Any]:
    """A zone whose targets are 1 to 1.8 m high."""
    return {"id": "floor", "area": area, "detail": detail, "heights": "1 to 1.8 m",
            "frame_rate": "5 fps", **fields}  # fmt: skip


def site(
    outline: list[list[str]], zones: list[dict[str, Any]], mounts: list[dict[str, Any]], **plan: Any
) -> Site:
    """A site with a plan."""
    return Site.model_validate(
        {
            "leastkit": "site/1",
            "name": "Room",
            "money": {"currency": "EUR", "tax": "0 %"},
            "plan": {"outline": outline, **plan},
            "zones": zones,
            "mounts": mounts,
            "recording": {"retention": "2 days"},
            "policy": {"require": [{"item": "sign"}]},
        }
    )


def book(*items: dict[str, Any]) -> LoadedBook:
    """The price book, with some more items."""
    data = {**_BOOK, "items": [*_BOOK["items"], *items]}
    whole = Book.model_validate(data)
    return LoadedBook(
        whole, {i.id: i for i in whole.items}, Source("rooms", data, {}, "b" * 64), "b" * 64
    )


def answer(asked: Site, *items: dict[str, Any]) -> Answer:
    """The audited answer."""
    return solve_site(asked, book(*items), seconds=60, site_sha256="5" * 64)
