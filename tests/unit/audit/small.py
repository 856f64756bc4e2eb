"""Small designs by hand for every path, feed, way of sound, array and control.

One zone "z" 10 m away, 12 m wide, 100 px/m, 15 fps, run 20 m, so a cut length of 23 m; one day of
recording, no reserve; everything costs nothing, so that only the engineering speaks. Conductors
at 20 C: 18 AWG 20.948 ohm/km; 24 AWG 25.67 ohm per 1000 ft = 84.22 ohm/km (both from the
published table of ohm per 1000 ft; the formula gives 84.21).

Every camera: f = 4.8 x 10 / 12 = 4 mm, 160 px/m, 61.93 deg, 1920 x 1080 x 15 x 0.03 = 933,120
bit/s (934 kbit/s), x 86,400 / 8 = 10,077,696,000 byte (11 GB), 31,104 kpx/s.
Sound: 64,000 x 10,800 = 691,200,000 byte (1 GB), 64 kbit/s.
"""

from __future__ import annotations

import copy
from collections import Counter
from typing import Any

from optimizer.audit import Finding, audit_design
from optimizer.design import Design
from optimizer.pricebook.schema import AnyItem
from optimizer.site.schema import Site
from tests.unit.audit.worked import ITEM, Data


def _camera(item_id: str, family: str, **more: Any) -> Data:
    return {
        "id": item_id, "kind": "camera", "name": "c", "price": "0", "family": family,
        "picture": "1920x1080", "frame_rate": "25 fps", "sensor_width": "4.8 mm",
        "sensor_height": "2.7 mm", "focal": "4 mm", "temperature": "-20 to 50 C",
        "lux_colour": "0.5 lx", "steerable": "true",
        "feeds": [{"feed": "12 V DC", "watts": "6 W", "volts": "10.8 to 13.2 V"}], **more,
    }  # fmt: skip


def _item(item_id: str, kind: str, **more: Any) -> Data:
    return {"id": item_id, "kind": kind, "name": "x", "price": "0", **more}


def _cable(item_id: str, medium: str, **more: Any) -> Data:
    return _item(item_id, "cable", medium=medium, construction=item_id, box="100 m", **more)


def _lead(item_id: str, length: str, *carries: str, **more: Any) -> Data:
    series = "-".join(carries)
    return _item(item_id, "lead", length=length, carries=list(carries), series=series, **more)


def _supply(item_id: str, form: str, outputs: int, ends: str) -> Data:
    return _item(
        item_id, "supply", form=form, feed="12 V DC", volts="12 V", outputs=str(outputs),
        output_amps="1 A", total_amps="2 A", ends=ends,
    )  # fmt: skip


JOINED: Data = {"gauge": "18 AWG", "joinable": "true", "coupler": "bnc"}
BOOK: list[Data] = [
    _camera("coax", "hd_coax"),
    _camera("coax-t", "hd_coax", power_plug="terminals"),
    _camera("coax-hears", "hd_coax", audio="built_in"),
    _camera("coax-485", "hd_coax", control="rs485", unit_load="0.125"),
    _camera("coax-c", "hd_coax", control="coax"),
    _camera("net", "network", codecs=["H.264"], poe_class="3"),
    _camera("net-n", "network", codecs=["H.264"], poe_class="3", control="network"),
    _camera("net-hears", "network", codecs=["H.264"], poe_class="3", audio="built_in"),
    _camera("net-in", "network", codecs=["H.264"], poe_class="3", audio="input"),
    _item(
        "rec", "recorder",
        inputs=[
            {"families": ["hd_coax"], "count": "4", "picture": "1920x1080"},
            {"families": ["network"], "count": "4", "picture": "1920x1080"},
        ],
        encode_rate="200 Mpx/s", ingest="40 Mbit/s", codecs=["H.264"], audio_inputs="2",
        bays="6", largest_drive="1 TB", arrays=["mirror", "5", "6", "10"],
        control=["rs485", "coax"], unit_loads="1",
        poe={"ports": "2", "poe_class": "3", "budget": "30.8 W"}, optical="drive_bay",
    ),
    _item("drive", "drive", capacity="100 GB"),
    _item("drive-60", "drive", capacity="60 GB"),
    _item("writer", "optical_writer"),
    _cable("siam", "coax_power", gauge="18 AWG", fit="rg59"),
    _cable("rg59", "coax", fit="rg59"),
    _cable("cat", "category", gauge="24 AWG", fit="cat5e"),
    _cable("pair", "power_pair", gauge="18 AWG"),
    _cable("audio", "audio_pair", fit="audio"),
    _cable("bus", "control_pair"),
    _lead("vp-10", "10 m", "video", "power", fit="rg59", **JOINED),
    _lead("vp-15", "15 m", "video", "power", fit="rg59", **JOINED),
    _lead("vpa-10", "10 m", "video", "power", "audio", fit="rg59", **JOINED),
    _lead("vpa-15", "15 m", "video", "power", "audio", fit="rg59", **JOINED),
    _lead("pa-25", "25 m", "power", "audio", gauge="18 AWG"),
    _lead("data-25", "25 m", "data"),
    _lead("data-1", "1 m", "data"),
    _item("bal", "balun", families=["hd_coax"], reach="200 m", power_pairs="2"),
    _item("bal-0", "balun", families=["hd_coax"], reach="200 m"),
    _item("bal-w", "balun", families=["hd_coax"], reach="200 m", power_pairs="3", watts="0.5 W"),
    _supply("box", "distribution", 4, "screw"),
    _supply("tails", "multiway", 4, "barrel"),
    _supply("plug", "adapter", 1, "barrel"),
    _item("sw", "switch", ports="4", poe={"ports": "2", "poe_class": "3", "budget": "20 W"}),
    _item("sw-0", "switch", ports="4"),
    _item("inj", "injector", poe_class="4", mains_lead="c13"),
    _item("mains", "mains_lead", type="c13"),
    _item("mic", "microphone", watts="0.6 W", volts="9 to 15 V"),
    _item("mic-plug", "microphone", plug_in="true"),
    _item("bnc", "connector", type="bnc", fits=["rg59"], method="twist_on"),
    _item("rj45", "connector", type="rj45", fits=["cat5e"], method="crimp"),
    _item("rca", "connector", type="rca", fits=["audio"], method="solder"),
    _item("male", "pigtail", gender="male"),
    _item("female", "pigtail", gender="female"),
    _item("cpl", "coupler", type="bnc"),
    _item("split", "splitter"),
]  # fmt: skip

SITE: Data = {
    "leastkit": "site/1",
    "name": "variants",
    "money": {"currency": "EUR"},
    "zones": [
        {"id": "z", "distance": "10 m", "width": "12 m", "detail": "100 px/m",
         "frame_rate": "15 fps", "run": "20 m"},
    ],
    "recording": {"retention": "1 day", "activity": "low", "reserve": "0 %"},
    "assumptions": {"conductor_temperature": "20 C"},
}  # fmt: skip

KINDS = {i["id"]: i["kind"] for i in BOOK}


class Variant:
    """A site and a design of one zone, put together piece by piece.

    The bill is written from ``use``: what the author of a variant says is in use.
    """

    def __init__(self, item: str, path: str, **zone: Any) -> None:
        self.site = copy.deepcopy(SITE)
        self.site["zones"][0].update(zone)
        self.book = copy.deepcopy(BOOK)
        self.use: Counter[str] = Counter({item: 1, "rec": 1, "drive": 1})
        network = item.startswith("net")
        self.camera: Data = {
            "zone": "z", "number": 1, "item": item, "focal_mm": 4.0, "view_angle_deg": 61.93,
            "px_per_m": 160.0, "picture": "1920x1080", "recorder": "r1", "channel": 1,
            "bit_rate": 933_120, "storage_bytes": 10_077_696_000, "path": path, "runs": [],
            "power": {"way": "none"},
        }  # fmt: skip
        self.recorder: Data = {
            "id": "r1", "item": "rec", "array": "single",
            "drives": [{"item": "drive", "count": 1}], "usable_gb": 100, "stored_gb": 11,
            "kbit_s": 934 if network else 0, "encode_kpx_s": 0 if network else 31_104,
            "channels_used": 1, "channels": 8,
        }  # fmt: skip
        self.design: Data = {
            "bill": [], "net": "0.00", "tax": "0.00", "total": "0.00", "currency": "EUR",
            "cameras": [self.camera], "audio": [], "recorders": [self.recorder], "runs": [],
            "boxes": [], "supplies": [], "switches": [], "injectors": [], "parts": [],
        }  # fmt: skip

    def run(self, place: str, medium: str, length_cm: int, *items: str, **more: Any) -> str:
        """Add a run; a cut one gets a box of 100 m of its own."""
        run_id = f"n{len(self.design['runs']) + 1}"
        entry = {"id": run_id, "place": place, "medium": medium, "items": list(items),
                 "length_cm": length_cm, **more}  # fmt: skip
        if items and medium != "lead":
            entry["box"] = f"b-{run_id}"
            self.design["boxes"].append(
                {"id": f"b-{run_id}", "item": items[0], "length_cm": 10000, "cuts": [run_id],
                 "left_cm": 10000 - length_cm}
            )  # fmt: skip
        self.use.update(items)
        self.design["runs"].append(entry)
        if place == "z/1":
            self.camera["runs"].append(run_id)
        return run_id

    def supply(self, unit: str, item: str, loads: int, milliamps: int, **more: Any) -> None:
        """A supply: 0.8 x 2 A = 1600 mA may be drawn of each."""
        outputs = 1 if item == "plug" else 4
        self.use[item] += 1
        self.design["supplies"].append(
            {"id": unit, "item": item, "outputs_used": loads, "outputs": outputs,
             "load": milliamps, "limit": 1600, **more}
        )  # fmt: skip

    def fed(self, way: str, unit: str, volts: float, milliamps: int, watts: float = 6.0) -> None:
        self.camera["power"] = {
            "way": way, "unit": unit, "output": 1, "volts_at_load": volts,
            "milliamps": milliamps, "watts": watts,
        }  # fmt: skip

    def part(self, item: str, role: str, pieces: int) -> None:
        self.use[item] += pieces
        self.design["parts"].append({"item": item, "role": role, "pieces": pieces})

    def point(self, way: str, **more: Any) -> Data:
        """An audio point "p" in the zone, met by a way; 1 GB more to store."""
        self.site["audio"] = {"points": [{"id": "p", "zone": "z", "run": "20 m"}]}
        sound: Data = {
            "point": "p", "way": way, "microphone": None, "recorder": "r1", "input": 1,
            "power": {"way": "none"}, "storage_bytes": 691_200_000, "runs": [], **more,
        }  # fmt: skip
        if sound["microphone"] is not None:
            self.use[sound["microphone"]] += 1
        self.recorder["stored_gb"] += 1
        self.recorder["audio_inputs_used"] = 0 if sound["input"] is None else 1
        self.design["audio"].append(sound)
        return sound

    def written(self) -> Design:
        self.design["bill"] = [
            {"item": i, "kind": KINDS[i], "quantity": n, "unit_price": "0.00",
             "line_total": "0.00", "used": n, "because": "by hand"}
            for i, n in self.use.items()
        ]  # fmt: skip
        return Design.model_validate(self.design)

    def items(self) -> dict[str, AnyItem]:
        return {i["id"]: ITEM.validate_python(i) for i in self.book}

    def findings(self) -> list[Finding]:
        return audit_design(Site.model_validate(self.site), self.items(), (), self.written())
