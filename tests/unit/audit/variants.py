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


# -- paths and feeds -------------------------------------------------------------------------------
# 23 m of 18 AWG: R = 2 x 23 x 0.020948 = 0.96361 ohm; 6 W from 12 V: (12 + sqrt(144 - 24 x
# 0.96361)) / 2 = (12 + sqrt(120.8734)) / 2 = (12 + 10.99424) / 2 = 11.4971 V, 521.87 mA: 522.
# Leads of 25 m: 1.04740 ohm, sqrt(118.8624) = 10.90240, 11.4512 V, 523.96 mA: 524.


def v1_own_pair() -> Variant:
    """V1 F1 from screw terminals to a barrel: one male pigtail."""
    v = Variant("coax", "V1")
    v.run("z/1", "coax_power", 2300, "siam")
    v.supply("s1", "box", 1, 522)
    v.fed("own_pair", "s1", 11.50, 522)
    v.part("bnc", "bnc/rg59", 2)
    v.part("male", "pigtail/male", 1)
    return v


def v2_separate_pair() -> Variant:
    """V2 F2 from a plug at the supply to terminals: one female pigtail at the supply."""
    v = Variant("coax-t", "V2")
    v.run("z/1", "coax", 2300, "rg59")
    v.run("z/1", "power_pair", 2300, "pair")
    v.supply("s1", "tails", 1, 522)
    v.fed("separate_pair", "s1", 11.50, 522)
    v.part("bnc", "bnc/rg59", 2)
    v.part("female", "pigtail/female", 1)
    return v


def v2_local() -> Variant:
    """V2 F3: 6 W / 12 V = 500 mA from an adapter at the camera; a barrel needs nothing."""
    v = Variant("coax", "V2", mains="true")
    v.run("z/1", "coax", 2300, "rg59")
    v.supply("s1", "plug", 1, 500, place="z/1")
    v.fed("local", "s1", 12.0, 500)
    v.part("bnc", "bnc/rg59", 2)
    return v


def v2_local_terminals() -> Variant:
    """V2 F3 to terminals: one female pigtail."""
    v = v2_local()
    v.camera["item"] = "coax-t"
    v.use.update({"coax": -1, "coax-t": 1})
    v.use = +v.use
    v.part("female", "pigtail/female", 1)
    return v


OLD_SIAM: Data = {
    "medium": "coax_power", "length": "30 m", "gauge": "18 AWG", "fit": "rg59",
    "terminated": "true",
}  # fmt: skip


def v3_own_pair() -> Variant:
    """V3 F1 over existing cable with its connectors: 30 m, R = 1.25688 ohm; sqrt(144 - 24 x
    1.25688) = sqrt(113.8349) = 10.66934; 11.3347 V; 529.35 mA: 530. An adapter in the room has a
    barrel: male at the camera, female at the supply."""
    v = Variant("coax", "V3", existing=[OLD_SIAM])
    v.run("z/1", "coax_power", 3000, existing=0)
    v.supply("s1", "plug", 1, 530)
    v.fed("own_pair", "s1", 11.33, 530)
    v.part("male", "pigtail/male", 1)
    v.part("female", "pigtail/female", 1)
    return v


def v3_separate_existing() -> Variant:
    """V3 F2, coax without connectors (two bnc) beside an existing pair of 25 m."""
    old = [
        {"medium": "coax", "length": "30 m", "fit": "rg59"},
        {"medium": "power_pair", "length": "25 m", "gauge": "18 AWG"},
    ]
    v = Variant("coax", "V3", existing=old)
    v.run("z/1", "coax", 3000, existing=0)
    v.run("z/1", "power_pair", 2500, existing=1)
    v.supply("s1", "box", 1, 524)
    v.fed("separate_pair", "s1", 11.45, 524)
    v.part("bnc", "bnc/rg59", 2)
    v.part("male", "pigtail/male", 1)
    return v


def v4_own_pair() -> Variant:
    """V4 F1 over two pairs of 24 AWG: R = 2 x 23 x 0.0842126 / 2 = 1.93689 ohm; sqrt(144 - 24 x
    1.93689) = sqrt(97.5146) = 9.87495; 10.9375 V; 548.57 mA: 549."""
    v = Variant("coax", "V4")
    v.run("z/1", "category", 2300, "cat")
    v.camera["balun"] = "bal"
    v.use["bal"] = 2
    v.supply("s1", "box", 1, 549)
    v.fed("own_pair", "s1", 10.94, 549)
    v.part("male", "pigtail/male", 1)
    return v


def v4_powered_balun() -> Variant:
    """V4 F1 with 0.5 W in the balun over three pairs: R = 2 x 23 x 0.0842126 / 3 = 1.29126 ohm;
    P = 6.5; sqrt(144 - 26 x 1.29126) = sqrt(110.4272) = 10.50844; 11.2542 V; 577.56 mA: 578."""
    v = Variant("coax", "V4")
    v.run("z/1", "category", 2300, "cat")
    v.camera["balun"] = "bal-w"
    v.use["bal-w"] = 2
    v.supply("s1", "box", 1, 578)
    v.fed("own_pair", "s1", 11.25, 578, 6.5)
    v.part("male", "pigtail/male", 1)
    return v


def v4_existing_separate() -> Variant:
    """V4 over existing category cable, baluns without power, F2: no connectors at all."""
    old = {"medium": "category", "length": "40 m", "gauge": "24 AWG", "fit": "cat5e"}
    v = Variant("coax", "V4", existing=[old])
    v.run("z/1", "category", 4000, existing=0)
    v.run("z/1", "power_pair", 2300, "pair")
    v.camera["balun"] = "bal-0"
    v.use["bal-0"] = 2
    v.supply("s1", "box", 1, 522)
    v.fed("separate_pair", "s1", 11.50, 522)
    v.part("male", "pigtail/male", 1)
    return v


def v5_joined(item: str = "coax", *leads: str) -> Variant:
    """V5 F1, 15 + 10 m joined with one coupler, plugged into a multiway supply: no pigtail."""
    v = Variant(item, "V5")
    v.run("z/1", "lead", 2500, *(leads or ("vp-15", "vp-10")))
    v.supply("s1", "tails", 1, 524)
    v.fed("own_pair", "s1", 11.45, 524)
    v.part("cpl", "coupler/bnc", 1)
    return v


def v5_screw_to_terminals() -> Variant:
    """V5 F1 from screw terminals (one male) to terminals (one female)."""
    v = v5_joined("coax-t")
    v.design["supplies"][0]["item"] = "box"
    v.use.update({"tails": -1, "box": 1})
    v.use = +v.use
    v.part("male", "pigtail/male", 1)
    v.part("female", "pigtail/female", 1)
    return v


def _poe(v: Variant, unit: str, section: str, item: str, **figures: int) -> Variant:
    v.camera["power"] = {"way": "poe", "unit": unit, "output": 1, "watts": 15.4}
    if section:
        v.use[item] += 1
        v.design[section].append({"id": unit, "item": item, **figures})
    return v


def d1_switch() -> Variant:
    """D1 F4 from a switch: class 3, 15.4 W of 20 W; its powered port may be counted alone."""
    v = Variant("net", "D1")
    v.run("z/1", "category", 2300, "cat")
    v.part("rj45", "rj45/cat5e", 2)
    v.part("data-1", "rack_link", 1)
    return _poe(v, "w1", "switches", "sw", outputs_used=1, outputs=2, load=1540, limit=2000)


def d2_recorder() -> Variant:
    """D2 F4 from the recorder's own port: no switch; cable without connectors takes two."""
    old = {"medium": "category", "length": "40 m", "gauge": "24 AWG", "fit": "cat5e"}
    v = Variant("net", "D2", existing=[old])
    v.run("z/1", "category", 4000, existing=0)
    v.part("rj45", "rj45/cat5e", 2)
    return _poe(v, "r1", "", "")


def d3_injector() -> Variant:
    """D3 F4 from an injector of class 4 (30 W) beside a port of a switch."""
    v = Variant("net", "D3")
    v.run("z/1", "lead", 2500, "data-25")
    v.camera["data_port"] = "w1"
    v.use["sw-0"] += 1
    v.design["switches"].append(
        {"id": "w1", "item": "sw-0", "outputs_used": 1, "outputs": 4, "load": 0, "limit": 0}
    )
    v.part("data-1", "rack_link", 1)
    v.part("mains", "mains_lead/c13", 1)
    return _poe(v, "i1", "injectors", "inj", outputs_used=1, outputs=1, load=1540, limit=3000)


def d1_separate_pair() -> Variant:
    """D1 F2 with a plain port of a switch."""
    v = Variant("net", "D1")
    v.run("z/1", "category", 2300, "cat")
    v.run("z/1", "power_pair", 2300, "pair")
    v.supply("s1", "box", 1, 522)
    v.fed("separate_pair", "s1", 11.50, 522)
    v.camera["data_port"] = "w1"
    v.use["sw"] += 1
    v.design["switches"].append(
        {"id": "w1", "item": "sw", "outputs_used": 1, "outputs": 4, "load": 0, "limit": 2000}
    )
    v.part("rj45", "rj45/cat5e", 2)
    v.part("data-1", "rack_link", 1)
    v.part("male", "pigtail/male", 1)
    return v


def d3_local() -> Variant:
    """D3 F3 with a plain port of a switch."""
    v = Variant("net", "D3", mains="true")
    v.run("z/1", "lead", 2500, "data-25")
    v.supply("s1", "plug", 1, 500, place="z/1")
    v.fed("local", "s1", 12.0, 500)
    v.camera["data_port"] = "w1"
    v.use["sw-0"] += 1
    v.design["switches"].append(
        {"id": "w1", "item": "sw-0", "outputs_used": 1, "outputs": 4, "load": 0, "limit": 0}
    )
    v.part("data-1", "rack_link", 1)
    return v


# -- control ---------------------------------------------------------------------------------------


def _steered(v: Variant, item: str, old: str, control: str) -> Variant:
    v.site["zones"][0]["steerable"] = "true"
    v.camera.update(item=item, control=control)
    v.use.update({old: -1, item: 1})
    v.use = +v.use
    return v


def rs485_pair() -> Variant:
    v = _steered(v1_own_pair(), "coax-485", "coax", "pair")
    v.run("z/1", "control_pair", 2300, "bus")
    return v


def rs485_category() -> Variant:
    """One pair for the picture, two for power, one for control: four of four."""
    return _steered(v4_own_pair(), "coax-485", "coax", "category")


def coax_control() -> Variant:
    return _steered(v1_own_pair(), "coax-c", "coax", "coax")


def network_control() -> Variant:
    return _steered(d2_recorder(), "net-n", "net", "network")


# -- arrays ----------------------------------------------------------------------------------------


def _array(level: str, failures: int, usable: int, **drives: int) -> Variant:
    v = v1_own_pair()
    v.site["recording"]["drive_failures"] = str(failures)
    v.recorder.update(
        array=level, usable_gb=usable,
        drives=[{"item": i.replace("_", "-"), "count": n} for i, n in drives.items()],
    )  # fmt: skip
    v.use.pop("drive")
    v.use.update({i.replace("_", "-"): n for i, n in drives.items()})
    return v


def single_mix() -> Variant:
    """100 + 2 x 60 GB."""
    return _array("single", 0, 220, drive=1, drive_60=2)


def mirror_of_two_pairs() -> Variant:
    """Half of 2 x 100 + 2 x 60 GB."""
    return _array("mirror", 1, 160, drive=2, drive_60=2)


def array_5() -> Variant:
    return _array("5", 1, 200, drive=3)


def array_10() -> Variant:
    return _array("10", 1, 200, drive=4)


def array_6_for_one() -> Variant:
    return _array("6", 1, 200, drive=4)


def array_6_for_two() -> Variant:
    return _array("6", 2, 300, drive=5)


def with_writer() -> Variant:
    """Five drives beside the writer in the sixth bay."""
    v = _array("6", 2, 300, drive=5)
    v.site["recording"]["export"] = ["optical"]
    v.recorder["optical_writer"] = "writer"
    v.use["writer"] += 1
    return v


# -- sound -----------------------------------------------------------------------------------------
# A microphone of 0.6 W alone over 23 m: sqrt(144 - 2.4 x 0.96361) = sqrt(141.6873) = 11.90325;
# 11.9516 V; 50.20 mA: 51. Over 25 m: sqrt(144 - 2.4 x 1.04740) = sqrt(141.4862) = 11.89480;
# 11.9474 V; 50.22 mA: 51. At an adapter 0.6 / 12 = 50 mA.


def a1() -> Variant:
    """A1 from a multiway supply: male at the microphone, female at the supply; two rca. The
    camera's own pair ends in a plug at the supply too: one more male, one more female."""
    v = v1_own_pair()
    v.design["supplies"][0].update(item="tails", outputs_used=2, load=522 + 51)
    v.use.update({"box": -1, "tails": 1})
    v.use = +v.use
    sound = v.point("A1", microphone="mic")
    sound["runs"] = [
        v.run("p", "audio_pair", 2300, "audio"), v.run("p", "power_pair", 2300, "pair")
    ]  # fmt: skip
    sound["power"] = {"way": "separate_pair", "unit": "s1", "output": 2, "volts_at_load": 11.95,
                      "milliamps": 51, "watts": 0.6}  # fmt: skip
    v.part("rca", "rca/audio", 2)
    v.part("male", "pigtail/male", 1)
    v.part("female", "pigtail/female", 2)
    return v


def a1_existing() -> Variant:
    """A1 over existing pairs, the audio one with its connectors: no rca; no zone needed."""
    v = v1_own_pair()
    v.design["supplies"][0].update(outputs_used=2, load=522 + 51)
    sound = v.point("A1", microphone="mic")
    v.site["audio"]["points"][0]["existing"] = [
        {"medium": "audio_pair", "length": "40 m", "fit": "audio", "terminated": "true"},
        {"medium": "power_pair", "length": "25 m", "gauge": "18 AWG"},
    ]
    v.site["audio"]["points"][0].update(zone=None, power="room")
    sound["runs"] = [
        v.run("p", "audio_pair", 4000, existing=0), v.run("p", "power_pair", 2500, existing=1)
    ]  # fmt: skip
    sound["power"] = {"way": "separate_pair", "unit": "s1", "output": 2, "volts_at_load": 11.95,
                      "milliamps": 51, "watts": 0.6}  # fmt: skip
    v.part("male", "pigtail/male", 1)
    return v


def a3() -> Variant:
    """A3: one lead of 25 m from a screw supply (one male there)."""
    v = v1_own_pair()
    v.design["supplies"][0].update(outputs_used=2, load=522 + 51)
    sound = v.point("A3", microphone="mic")
    sound["runs"] = [v.run("p", "lead", 2500, "pa-25")]
    sound["power"] = {"way": "own_pair", "unit": "s1", "output": 2, "volts_at_load": 11.95,
                      "milliamps": 51, "watts": 0.6}  # fmt: skip
    v.part("male", "pigtail/male", 1)
    return v


def a4() -> Variant:
    """A4: an adapter at the point, 50 mA; two rca, no pigtail."""
    v = v1_own_pair()
    v.supply("s2", "plug", 1, 50, place="p")
    sound = v.point("A4", microphone="mic")
    v.site["audio"]["points"][0].update(mains="true", power="local")
    sound["runs"] = [v.run("p", "audio_pair", 2300, "audio")]
    sound["power"] = {"way": "local", "unit": "s2", "output": 1, "volts_at_load": 12.0,
                      "milliamps": 50, "watts": 0.6}  # fmt: skip
    v.part("rca", "rca/audio", 2)
    return v


def a5() -> Variant:
    """A5: camera and microphone on leads of 15 + 10 m, 6.6 W: sqrt(144 - 26.4 x 1.04740) =
    sqrt(116.3486) = 10.78650; 11.3933 V; 579.29 mA: 580. One splitter, no pigtail."""
    v = v5_joined("coax", "vpa-15", "vpa-10")
    v.design["supplies"][0]["load"] = 580
    v.fed("own_pair", "s1", 11.39, 580, 6.6)
    v.point("A5", microphone="mic", camera="z/1", power={"way": "camera"})
    v.part("split", "splitter", 1)
    return v


def a5_terminals() -> Variant:
    """A5 with a camera that has terminals: one female behind the splitter. The design may name
    the camera's leads as the sound's."""
    v = a5()
    v.camera["item"] = "coax-t"
    v.use.update({"coax": -1, "coax-t": 1})
    v.use = +v.use
    v.part("female", "pigtail/female", 1)
    v.design["audio"][0]["runs"] = v.camera["runs"]
    v.design["audio"][0]["power"].update(
        unit="s1", output=1, volts_at_load=11.39, milliamps=53, watts=0.6
    )
    return v


def a6() -> Variant:
    """A6: V1 with the microphone on its feed over 23 m, 6.6 W: sqrt(144 - 26.4 x 0.96361) =
    sqrt(118.5607) = 10.88856; 11.4443 V; 576.71 mA: 577. The pair ends in one male, splitter."""
    v = v1_own_pair()
    v.design["supplies"][0]["load"] = 577
    v.fed("own_pair", "s1", 11.44, 577, 6.6)
    sound = v.point("A6", microphone="mic", camera="z/1", power={"way": "camera"})
    v.site["audio"]["points"][0]["power"] = "camera"
    sound["runs"] = [v.run("p", "audio_pair", 2300, "audio")]
    v.part("split", "splitter", 1)
    v.part("rca", "rca/audio", 2)
    return v


def a6_terminals() -> Variant:
    """A6 with terminals: male at the pair, splitter, then one female."""
    v = a6()
    v.camera["item"] = "coax-t"
    v.use.update({"coax": -1, "coax-t": 1})
    v.use = +v.use
    v.part("female", "pigtail/female", 1)
    return v


def a7_built_in() -> Variant:
    """A7: the stream carries 64 kbit/s more; no audio input."""
    v = d2_recorder()
    v.camera["item"] = "net-hears"
    v.use.update({"net": -1, "net-hears": 1})
    v.use = +v.use
    v.point("A7", camera="z/1", input=None)
    v.recorder["kbit_s"] += 64
    return v


def a7_plug_in() -> Variant:
    """A7 with a microphone at the camera's audio input."""
    v = d2_recorder()
    v.camera["item"] = "net-in"
    v.use.update({"net": -1, "net-in": 1})
    v.use = +v.use
    v.point("A7", camera="z/1", input=None, microphone="mic-plug")
    v.recorder["kbit_s"] += 64
    return v


def a8_leads() -> Variant:
    """A8 in the camera's own leads."""
    v = v5_joined("coax-hears", "vpa-15", "vpa-10")
    v.point("A8", camera="z/1")
    return v


def a8_pair() -> Variant:
    """A8 over an audio pair of the point."""
    v = v1_own_pair()
    v.camera["item"] = "coax-hears"
    v.use.update({"coax": -1, "coax-hears": 1})
    v.use = +v.use
    sound = v.point("A8", camera="z/1")
    sound["runs"] = [v.run("p", "audio_pair", 2300, "audio")]
    v.part("rca", "rca/audio", 2)
    return v


ALL = (
    v1_own_pair, v2_separate_pair, v2_local, v2_local_terminals, v3_own_pair,
    v3_separate_existing, v4_own_pair, v4_powered_balun, v4_existing_separate, v5_joined,
    v5_screw_to_terminals, d1_switch, d2_recorder, d3_injector, d1_separate_pair, d3_local,
    rs485_pair, rs485_category, coax_control, network_control, single_mix, mirror_of_two_pairs,
    array_5, array_10, array_6_for_one, array_6_for_two, with_writer, a1, a1_existing, a3, a4, a5,
    a5_terminals, a6, a6_terminals, a7_built_in, a7_plug_in, a8_leads, a8_pair,
)  # fmt: skip
