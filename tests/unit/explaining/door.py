"""One door, two cameras and two recorders to choose from: small enough to price by hand.

Net prices without tax, each with drive-1tb 40, sm-12 15 and the sign 5 that the site requires:

=============================  =====================================  =======
kind                           camera + recorder + cabling            net
=============================  =====================================  =======
HD over coax, leads            40 + 100 + lead 10                     210.00
composite, leads               30 + 120 + lead 10                     220.00
HD over coax, coax with power  40 + 100 + box 30 + 2 BNC + 2 pigtails 234.00
composite, coax with power     30 + 120 + box 30 + 2 BNC + 2 pigtails 244.00
=============================  =====================================  =======

A pair on a barrel supply and a barrel camera takes a pigtail at each end, 1.00 each, as do the BNC.
Tax is 10 %: 231.00, 242.00, 257.40 and 268.40 in all.

Storage a day: 1920 x 1080 x 10 fps x 0.06 bit / 8 x 86,400 s / 0.95 = 14.144 GB for HD over coax,
960 x 576 x 10 x 0.06 / 8 x 86,400 / 0.95 = 3.772 GB for composite. So 1 TB is 70 days of HD over
coax (990.1 GB) but not 71 (1,004.2 GB), which need drive-2tb, 15.00 more; composite needs 268 GB.
"""

from __future__ import annotations

from typing import Any

from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Book
from optimizer.reading import Source
from optimizer.site import LoadedSite
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from optimizer.solving.answer import Answer

SITE: dict[str, Any] = {
    "leastkit": "site/1",
    "name": "Side door",
    "money": {"currency": "EUR", "tax": "10 %"},
    "zones": [
        {
            "id": "door",
            "distance": "5 m",
            "width": "3 m",
            "detail": "recognise",
            "frame_rate": "10 fps",
            "run": "10 m",
        }
    ],
    "recording": {"retention": "7 days"},
    "policy": {"families": ["composite", "hd_coax"], "require": [{"item": "sign"}]},
}

_CAMERA: dict[str, Any] = {
    "kind": "camera",
    "frame_rate": "25 fps",
    "sensor_width": "5.6 mm",
    "sensor_height": "3.15 mm",
    "focal": "2.8 to 12 mm",
    "temperature": "-10 to 45 C",
    "lux_colour": "0.1 lx",
    "feeds": [{"feed": "12 V DC", "watts": "5 W", "volts": "10.8 to 13.2 V"}],
}


def _camera(name: str, price: str, family: str, picture: str) -> dict[str, Any]:
    return {**_CAMERA, "id": name, "name": name, "price": price, "family": family,
            "picture": picture}  # fmt: skip


def _recorder(name: str, price: str, family: str) -> dict[str, Any]:
    inputs = [{"families": [family], "count": 4, "picture": "1920x1080"}]
    return {"id": name, "kind": "recorder", "name": name, "price": price, "inputs": inputs,
            "encode_rate": "200 Mpx/s", "codecs": ["H.264"], "bays": 1,
            "largest_drive": "8 TB"}  # fmt: skip


BOOK: dict[str, Any] = {
    "leastkit": "book/1",
    "name": "door book",
    "currency": "EUR",
    "items": [
        _camera("cam-hd", "40.00", "hd_coax", "1920x1080"),
        _camera("cam-comp", "30.00", "composite", "960x576"),
        _recorder("rec-hd", "100.00", "hd_coax"),
        _recorder("rec-comp", "120.00", "composite"),
        {"id": "drive-1tb", "kind": "drive", "name": "drive", "price": "40.00", "capacity": "1 TB"},
        {"id": "drive-2tb", "kind": "drive", "name": "drive", "price": "55.00", "capacity": "2 TB"},
        {"id": "lead-20", "kind": "lead", "name": "lead", "price": "10.00",
         "carries": ["video", "power"], "length": "20 m", "series": "vp", "gauge": "18 AWG",
         "fit": "rg59"},
        {"id": "cp59-50", "kind": "cable", "name": "coax with pair", "price": "30.00",
         "medium": "coax_power", "construction": "cp59", "box": "50 m", "gauge": "18 AWG",
         "fit": "rg59"},
        {"id": "bnc", "kind": "connector", "name": "BNC", "price": "1.00", "type": "bnc",
         "fits": ["rg59"], "method": "crimp"},
        {"id": "tail-m", "kind": "pigtail", "name": "plug", "price": "1.00", "gender": "male"},
        {"id": "tail-f", "kind": "pigtail", "name": "socket", "price": "1.00", "gender": "female"},
        {"id": "sm-12", "kind": "supply", "name": "supply", "price": "15.00", "form": "multiway",
         "feed": "12 V DC", "volts": "12 V", "outputs": 2, "output_amps": "1 A",
         "total_amps": "2 A", "ends": "barrel"},
        {"id": "sign", "kind": "extra", "name": "sign", "price": "5.00"},
    ],
}  # fmt: skip


def book() -> LoadedBook:
    """The price book."""
    whole = Book.model_validate(BOOK)
    items = {item.id: item for item in whole.items}
    return LoadedBook(whole, items, Source("door book", BOOK, {}, "b" * 64), "b" * 64)


def asked(**fields: Any) -> LoadedSite:
    """The site, with some of its fields changed."""
    data = {**SITE, **fields}
    return LoadedSite(Site.model_validate(data), Source("door", data, {}, "5" * 64))


def answer(site: LoadedSite | None = None) -> Answer:
    """The proven answer."""
    return solve_site((site or asked()).site, book(), seconds=60, site_sha256="5" * 64)
