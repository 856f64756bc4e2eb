"""A small site, a small price book and a design, every figure derived by hand.

Nothing here was copied from a program's output: the sums stand beside the figures. Resistance of
copper at 20 C: 18 AWG has 6.385 ohm per 1000 ft (NBS Handbook 100, through a secondary table),
which is 6.385 x 3.28084 = 20.948 ohm/km one way.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

from pydantic import TypeAdapter

from optimizer.audit import Finding, audit_design
from optimizer.design import Design
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.site.schema import Site

Data = dict[str, Any]
ITEM: TypeAdapter[AnyItem] = TypeAdapter(AnyItem)

SITE: Data = {
    "leastkit": "site/1",
    "name": "worked example",
    "money": {"currency": "EUR", "tax": "20 %", "budget": "800.00"},
    "zones": [
        {
            "id": "gate", "distance": "10 m", "width": "12 m", "detail": "125 px/m",
            "frame_rate": "15 fps", "place": "outdoors", "ingress": "IP65", "impact": "IK07",
            "temperature": "-10 to 40 C", "night": "dark", "run": "40 m", "route": "outdoor",
        },
        {
            "id": "hall", "distance": "8 m", "width": "16 m", "detail": "observe",
            "frame_rate": "10 fps", "run": "30 m", "discreet": "true",
        },
    ],
    "recording": {
        "retention": "10 days", "activity": "low", "reserve": "10 %", "export": ["usb"],
        "displays": {"hdmi": "1"},
    },
    "audio": {"points": [{"id": "desk", "run": "20 m"}]},
    "spare": {"channels": "4", "supply": "20 %"},
    "owned": [{"item": "mains-c13", "quantity": "1", "pinned": "true"}],
    "policy": {
        "labour": {"rate": "61.00", "pulling": "0.1 min/m"},
        "require": [{"item": "sign", "quantity": "2"}, {"item": "tool-8p8c"}],
        "forbid": ["cam-old"],
        "connectors": {"bnc": ["compression"]},
        "most_camera_models": "2",
    },
    "assumptions": {"conductor_temperature": "20 C", "end_allowance": "1.5 m"},
}  # fmt: skip

BOOK: list[Data] = [
    {
        "id": "cam-hd", "kind": "camera", "name": "coax", "price": "50.00", "family": "hd_coax",
        "picture": "1920x1080", "frame_rate": "25 fps", "sensor_width": "4.8 mm",
        "sensor_height": "2.7 mm", "focal": "2.8 to 12 mm", "outdoors": "true",
        "ingress": "IP66", "impact": "IK08", "temperature": "-30 to 50 C", "infrared": "30 m",
        "lux_colour": "0.5 lx", "bracket": "arm",
        "feeds": [{"feed": "12 V DC", "watts": "6 W", "volts": "10.8 to 13.2 V"}],
    },
    {
        "id": "cam-ip", "kind": "camera", "name": "network", "price": "40.00",
        "breaks": [{"at_least": "2", "price": "36.00"}], "family": "network",
        "picture": "1280x720", "frame_rate": "25 fps", "sensor_width": "4.8 mm",
        "sensor_height": "2.7 mm", "focal": "4 mm", "discreet": "true",
        "temperature": "0 to 40 C", "lux_colour": "0.5 lx", "poe_class": "2",
        "codecs": ["H.264"],
    },
    {
        "id": "cam-old", "kind": "camera", "name": "forbidden", "price": "20.00",
        "family": "composite", "picture": "720x576", "frame_rate": "25 fps",
        "sensor_width": "4.8 mm", "sensor_height": "3.6 mm", "focal": "4 mm",
        "temperature": "0 to 40 C", "lux_colour": "0.5 lx",
        "feeds": [{"feed": "24 V AC", "watts": "4 W", "volts": "21 to 27 V"}],
    },
    {
        "id": "rec-8", "kind": "recorder", "name": "hybrid", "price": "200.00",
        "inputs": [
            {"families": ["composite", "hd_coax"], "count": "4", "picture": "1920x1080"},
            {"families": ["network"], "count": "4", "picture": "2560x1440"},
        ],
        "encode_rate": "120 Mpx/s", "ingest": "40 Mbit/s", "codecs": ["H.264"],
        "audio_inputs": "2", "bays": "2", "largest_drive": "4 TB", "export": ["usb"],
        "displays": {"hdmi": "1"}, "mains_lead": "c13",
    },
    {"id": "drive-200", "kind": "drive", "name": "d", "price": "30.00", "capacity": "200 GB"},
    {"id": "drive-150", "kind": "drive", "name": "d", "price": "25.00", "capacity": "150 GB"},
    {"id": "drive-8t", "kind": "drive", "name": "d", "price": "190.00", "capacity": "8 TB"},
    {
        "id": "coax-pair", "kind": "cable", "name": "combined", "price": "60.00",
        "medium": "coax_power", "construction": "cp", "box": "100 m", "gauge": "18 AWG",
        "fit": "rg59", "outdoor": "true",
    },
    {
        "id": "coax-pair-in", "kind": "cable", "name": "combined, indoors", "price": "50.00",
        "medium": "coax_power", "construction": "cpi", "box": "100 m", "gauge": "18 AWG",
        "fit": "rg59",
    },
    {
        "id": "cat", "kind": "cable", "name": "category", "price": "25.00",
        "medium": "category", "construction": "cat", "box": "100 m", "gauge": "24 AWG",
        "fit": "cat5e",
    },
    {
        "id": "audio", "kind": "cable", "name": "audio", "price": "12.00",
        "medium": "audio_pair", "construction": "au", "box": "50 m", "fit": "audio",
    },
    {
        "id": "pair", "kind": "cable", "name": "power", "price": "10.00",
        "medium": "power_pair", "construction": "pp", "box": "50 m", "gauge": "18 AWG",
    },
    {
        "id": "mic", "kind": "microphone", "name": "mic", "price": "15.00", "watts": "0.6 W",
        "volts": "9 to 15 V",
    },
    {
        "id": "ps-4", "kind": "supply", "name": "box", "price": "35.00",
        "form": "distribution", "feed": "12 V DC", "volts": "12 V", "outputs": "4",
        "output_amps": "1 A", "total_amps": "4 A", "ends": "screw", "mains_lead": "c13",
    },
    {
        "id": "ps-small", "kind": "supply", "name": "small box", "price": "20.00",
        "form": "distribution", "feed": "12 V DC", "volts": "12 V", "outputs": "2",
        "output_amps": "0.6 A", "total_amps": "0.7 A", "ends": "screw", "mains_lead": "c13",
    },
    {
        "id": "ps-high", "kind": "supply", "name": "high", "price": "35.00",
        "form": "distribution", "feed": "12 V DC", "volts": "13.5 V", "outputs": "4",
        "output_amps": "1 A", "total_amps": "4 A", "ends": "screw", "mains_lead": "c13",
    },
    {
        "id": "sw-6", "kind": "switch", "name": "switch", "price": "45.00", "ports": "6",
        "poe": {"ports": "4", "poe_class": "3", "budget": "30 W"}, "mains_lead": "c13",
    },
    {
        "id": "bnc", "kind": "connector", "name": "bnc", "price": "8.00", "pack": "10",
        "minutes": "3 min", "type": "bnc", "fits": ["rg59", "rg6"], "method": "compression",
        "tool": "press",
    },
    {
        "id": "bnc-twist", "kind": "connector", "name": "bnc", "price": "1.00",
        "minutes": "3 min", "type": "bnc", "fits": ["rg59"], "method": "twist_on",
    },
    {
        "id": "rj45", "kind": "connector", "name": "rj45", "price": "5.00", "pack": "10",
        "minutes": "2 min", "type": "rj45", "fits": ["cat5e"], "method": "crimp",
        "tool": "crimp-8p8c",
    },
    {
        "id": "rca", "kind": "connector", "name": "rca", "price": "3.00", "pack": "2",
        "minutes": "5 min", "type": "rca", "fits": ["audio"], "method": "solder",
    },
    {
        "id": "tail-m", "kind": "pigtail", "name": "male", "price": "0.80",
        "minutes": "1 min", "gender": "male",
    },
    {"id": "tool-press", "kind": "tool", "name": "t", "price": "22.00", "types": ["press"]},
    {"id": "tool-8p8c", "kind": "tool", "name": "t", "price": "18.00", "types": ["crimp-8p8c"]},
    {"id": "mains-c13", "kind": "mains_lead", "name": "m", "price": "2.50", "type": "c13"},
    {
        "id": "patch-2", "kind": "lead", "name": "patch", "price": "3.00", "carries": ["data"],
        "length": "2 m", "series": "patch",
    },
    {
        "id": "patch-05", "kind": "lead", "name": "patch", "price": "2.00", "carries": ["data"],
        "length": "0.5 m", "series": "patch",
    },
    {"id": "arm-1", "kind": "bracket", "name": "b", "price": "6.00", "fits": ["arm"]},
    {"id": "box-1", "kind": "bracket", "name": "b", "price": "6.00", "fits": ["box"]},
    {"id": "sign", "kind": "extra", "name": "sign", "price": "1.20"},
    {"id": "writer", "kind": "optical_writer", "name": "w", "price": "20.00"},
]  # fmt: skip

OFFERS: list[Data] = [
    {
        "id": "bundle", "name": "two network cameras with a recorder", "off": "10.00",
        "when": [
            {"items": ["cam-ip"], "at_least": "2"}, {"items": ["rec-8"], "at_least": "1"},
        ],
    },
    {
        # 5 % of one piece of cam-hd (50.00) or a drive (30.00): the dearest first, so 2.50.
        "id": "one-off", "name": "5 % off one", "percent": "5 %", "most": "1",
        "on": ["drive-200", "cam-hd"], "when": [{"items": ["rec-8"], "at_least": "1"}],
    },
    {
        "id": "many", "name": "needs three recorders", "off": "50.00",
        "when": [{"items": ["rec-8"], "at_least": "3"}],
    },
]  # fmt: skip


def line(
    item: str, kind: str, quantity: int, price: str, total: str, used: int, stock: int = 0
) -> Data:
    return {
        "item": item, "kind": kind, "quantity": quantity, "unit_price": price,
        "line_total": total, "used": used, "from_stock": stock, "because": "worked by hand",
    }  # fmt: skip


# hd: f = min(12, 4.8 x 10 / 12) = 4 mm; 1920 x 4 / (4.8 x 10) = 160 px/m; 2 atan(4.8 / 8) is
# 61.93 deg.
# Rate 1920 x 1080 x 15 x 0.03 = 933,120 bit/s. Storage of 1 bit/s in 10 days with 10 % reserve:
# 864,000 s / 8 / 0.9 = 120,000 byte; 933,120 x 120,000 = 111,974,400,000 byte, 112 GB.
# Pictures: 1920 x 1080 x 15 = 31,104 kpx/s.
# Feed: cut 40 + 2 x 1.5 = 43 m, R = 2 x 43 x 0.020948 = 1.80153 ohm;
# V = (12 + sqrt(144 - 4 x 6 x 1.80153)) / 2 = (12 + sqrt(100.7633)) / 2 = (12 + 10.03809) / 2
# = 11.0190 V; 6 / 11.0190 = 0.54451 A, 545 mA.
GATE: Data = {
    "zone": "gate", "number": 1, "item": "cam-hd", "focal_mm": 4.0, "view_angle_deg": 61.93,
    "px_per_m": 160.0, "picture": "1920x1080", "recorder": "recorder-1", "channel": 1,
    "bit_rate": 933_120, "storage_bytes": 111_974_400_000, "path": "V1",
    "runs": ["run-1"], "bracket": "arm-1",
    "power": {
        "way": "own_pair", "unit": "supply-1", "output": 1, "volts_at_load": 11.02,
        "milliamps": 545, "watts": 6.0,
    },
}  # fmt: skip


# ip: two side by side show 8 m each; f = min(4, 4.8 x 8 / 8) = 4 mm shows 9.6 m. One alone would
# need 4.8 x 8 / 16 = 2.4 mm. 1280 x 4 / (4.8 x 8) = 133.33 px/m (62.5 asked). 1280 x 720 x 10 x
# 0.03 = 276,480 bit/s (277 kbit/s) and x 120,000 = 33,177,600,000 byte (34 GB).
# PoE class 2: 7.0 W at the source.
def hall(number: int) -> Data:
    return {
        "zone": "hall", "number": number, "item": "cam-ip", "focal_mm": 4.0,
        "view_angle_deg": 61.93, "px_per_m": 133.33, "picture": "1280x720",
        "recorder": "recorder-1", "channel": number + 1, "bit_rate": 276_480,
        "storage_bytes": 33_177_600_000, "path": "D1", "runs": [f"run-{number + 1}"],
        "power": {"way": "poe", "unit": "switch-1", "output": number, "watts": 7.0},
    }  # fmt: skip


def cut(run: str, place: str, medium: str, item: str, box: str, length_cm: int) -> Data:
    return {
        "id": run, "place": place, "medium": medium, "items": [item], "length_cm": length_cm,
        "box": box,
    }  # fmt: skip


DESIGN: Data = {
    # Labour at 61.00 an hour, each piece rounded up: 3 min 3.05 x 2 bnc, 2 min 2.0333 = 2.04 x 4
    # rj45, 5 min 5.0833 = 5.09 x 2 rca, 1 min 1.0167 = 1.02 x 2 pigtails: 6.10 + 8.16 + 10.18 +
    # 2.04 = 26.48. Pulling 0.1 min/m: 40 m 4 min 4.0667 = 4.07; 30 m 3 min 3.05 x 2; 20 m 2 min
    # 2.04 x 2: 4.07 + 6.10 + 4.08 = 14.25. Together 40.73.
    # Goods 50 + 2 x 36 + 200 + 30 + 60 + 25 + 12 + 10 + 15 + 35 + 45 + 8 + 5 + 3 + 2 x 0.80 + 22
    # + 18 + 2 x 2.50 + 3 + 6 + 2 x 1.20 = 628.00. Reductions 12.50. Net 628.00 - 12.50 + 40.73 =
    # 656.23; tax 131.246 = 131.25; total 787.48.
    "bill": [
        line("cam-hd", "camera", 1, "50.00", "50.00", 1),
        line("cam-ip", "camera", 2, "36.00", "72.00", 2),
        line("rec-8", "recorder", 1, "200.00", "200.00", 1),
        line("drive-200", "drive", 1, "30.00", "30.00", 1),
        line("coax-pair", "cable", 1, "60.00", "60.00", 1),
        line("cat", "cable", 1, "25.00", "25.00", 1),
        line("audio", "cable", 1, "12.00", "12.00", 1),
        line("pair", "cable", 1, "10.00", "10.00", 1),
        line("mic", "microphone", 1, "15.00", "15.00", 1),
        line("ps-4", "supply", 1, "35.00", "35.00", 1),
        line("sw-6", "switch", 1, "45.00", "45.00", 1),
        line("bnc", "connector", 1, "8.00", "8.00", 2),
        line("rj45", "connector", 1, "5.00", "5.00", 4),
        line("rca", "connector", 1, "3.00", "3.00", 2),
        line("tail-m", "pigtail", 2, "0.80", "1.60", 2),
        line("tool-press", "tool", 1, "22.00", "22.00", 1),
        line("tool-8p8c", "tool", 1, "18.00", "18.00", 1),
        line("mains-c13", "mains_lead", 2, "2.50", "5.00", 3, 1),
        line("patch-2", "lead", 1, "3.00", "3.00", 1),
        line("arm-1", "bracket", 1, "6.00", "6.00", 1),
        line("sign", "extra", 2, "1.20", "2.40", 2),
    ],
    "reductions": [
        {"offer": "bundle", "amount": "10.00", "because": "both conditions hold"},
        {"offer": "one-off", "amount": "2.50", "because": "5 % of 50.00"},
    ],
    "labour": "40.73", "net": "656.23", "tax": "131.25", "total": "787.48", "currency": "EUR",
    "cameras": [GATE, hall(1), hall(2)],
    # Sound 64,000 bit/s x 120,000 = 7,680,000,000 byte, 8 GB. Feed: cut 23 m, R = 2 x 23 x
    # 0.020948 = 0.96361 ohm; V = (12 + sqrt(144 - 4 x 0.6 x 0.96361)) / 2 = (12 + sqrt(141.68734))
    # / 2 = (12 + 11.90325) / 2 = 11.9516 V; 0.6 / 11.9516 = 0.050202 A, 51 mA.
    "audio": [
        {
            "point": "desk", "way": "A1", "microphone": "mic", "runs": ["run-4", "run-5"],
            "recorder": "recorder-1", "input": 1, "storage_bytes": 7_680_000_000,
            "power": {
                "way": "separate_pair", "unit": "supply-1", "output": 2, "volts_at_load": 11.95,
                "milliamps": 51, "watts": 0.6,
            },
        },
    ],
    # 112 + 2 x 34 + 8 = 188 GB; 2 x 277 = 554 kbit/s.
    "recorders": [
        {
            "id": "recorder-1", "item": "rec-8", "array": "single",
            "drives": [{"item": "drive-200", "count": 1}], "usable_gb": 200, "stored_gb": 188,
            "kbit_s": 554, "encode_kpx_s": 31_104, "channels_used": 3, "channels": 8,
            "audio_inputs_used": 1,
        },
    ],
    # Cut lengths 40 + 3 = 43 m, 30 + 3 = 33 m, 20 + 3 = 23 m.
    "runs": [
        cut("run-1", "gate/1", "coax_power", "coax-pair", "box-1", 4300),
        cut("run-2", "hall/1", "category", "cat", "box-2", 3300),
        cut("run-3", "hall/2", "category", "cat", "box-2", 3300),
        cut("run-4", "desk", "audio_pair", "audio", "box-3", 2300),
        cut("run-5", "desk", "power_pair", "pair", "box-4", 2300),
    ],
    "boxes": [
        {"id": "box-1", "item": "coax-pair", "length_cm": 10000, "cuts": ["run-1"],
         "left_cm": 5700},
        {"id": "box-2", "item": "cat", "length_cm": 10000, "cuts": ["run-2", "run-3"],
         "left_cm": 3400},
        {"id": "box-3", "item": "audio", "length_cm": 5000, "cuts": ["run-4"], "left_cm": 2700},
        {"id": "box-4", "item": "pair", "length_cm": 5000, "cuts": ["run-5"], "left_cm": 2700},
    ],
    # 545 + 51 = 596 mA of (1 - 0.2) x 4 A = 3200 mA.
    "supplies": [
        {"id": "supply-1", "item": "ps-4", "outputs_used": 2, "outputs": 4, "load": 596,
         "limit": 3200},
    ],
    # 2 x 7.0 W of 30 W, in 10 mW.
    "switches": [
        {"id": "switch-1", "item": "sw-6", "outputs_used": 2, "outputs": 6, "load": 1400,
         "limit": 3000},
    ],
    "parts": [
        {"item": "bnc", "role": "bnc/rg59", "pieces": 2},
        {"item": "rj45", "role": "rj45/cat5e", "pieces": 4},
        {"item": "rca", "role": "rca/audio", "pieces": 2},
        {"item": "tail-m", "role": "pigtail/male", "pieces": 2},
        {"item": "tool-press", "role": "tool/press", "pieces": 1},
        {"item": "tool-8p8c", "role": "tool/crimp-8p8c", "pieces": 1},
        {"item": "mains-c13", "role": "mains_lead/c13", "pieces": 3},
        {"item": "patch-2", "role": "rack_link", "pieces": 1},
    ],
}  # fmt: skip


class Trial:
    """The worked example, free to be spoilt: plain data of site, book and design."""

    def __init__(self) -> None:
        self.site: Data = copy.deepcopy(SITE)
        self.book: list[Data] = copy.deepcopy(BOOK)
        self.offers: list[Data] = copy.deepcopy(OFFERS)
        self.design: Data = copy.deepcopy(DESIGN)

    def item(self, item_id: str) -> Data:
        return next(i for i in self.book if i["id"] == item_id)

    def bill(self, item_id: str) -> Data:
        return next(i for i in self.design["bill"] if i["item"] == item_id)

    def part(self, item_id: str) -> Data:
        return next(i for i in self.design["parts"] if i["item"] == item_id)

    def built(self) -> tuple[Site, dict[str, AnyItem], list[Offer], Design]:
        items = {i["id"]: ITEM.validate_python(i) for i in self.book}
        return (
            Site.model_validate(self.site),
            items,
            [Offer.model_validate(o) for o in self.offers],
            Design.model_validate(self.design),
        )

    def findings(self) -> list[Finding]:
        return audit_design(*self.built())


Spoil = Callable[[Trial], object]
