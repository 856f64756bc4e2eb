"""An answer worked out by hand, so that reporting is tested without a solver.

Optics: each camera has 1920 px over 5.6 mm. till shows 3 m at 4 m: f = 5.6 x 4 / 3 = 7.4667 mm and
1920 / 3 = 640 px/m. gate shows 15.36 m with two cameras, 7.68 m each, at 12 m: f = 5.6 x 12 / 7.68
= 8.75 mm and 1920 / 7.68 = 250 px/m. store shows 4 m at 5 m: f = 7 mm and 480 px/m. View angle
2 atan(5.6 / 2f): 41.1, 35.5 and 43.6 degrees.

Streams: 1920 x 1080 x 12 fps x 0.06 bit = 1,492,992 bit/s; over 31 days and with 5 % kept free
1,492,992 / 8 x 86,400 x 31 / 0.95 = 526,161,812,211 byte, so 527 GB each, four of them 2,108 GB.
Sound 64,000 / 8 x 86,400 x 31 / 0.95 = 22,554,947,369 byte, so 23 GB. Together 2,131 GB. Encoding
1920 x 1080 x 12 = 24,884 kpx/s each, 99,536 in all.

Power: gate 43 m of 18 AWG, 20.95 mohm/m x 1.0786 at 40 C, loop 1.943 ohm; 5 W from 12 V leaves
(12 + sqrt(144 - 4 x 5 x 1.943)) / 2 = 11.13 V, 450 mA. till 25 m of 20 AWG, 33.31 mohm/m x 1.0786,
loop 1.796 ohm; 3.3 W leaves 11.48 V, 288 mA. store: adapter at the camera, 12 V, 417 mA.

Money: goods 3 x 60 + 45 + 150 + 80 + 18 + 20 + 70 + 12 + 3 x 0.90 + 2.50 + 25 + 36 + 8 + 2 x 3.10
+ 2 x 4.50 = 664.40, less 10.00. Labour at 40.00 an hour: 6 connectors x 2 min = 6 x 1.34, 3
pigtails x 1 min = 3 x 0.67, pulling 0.5 min/m: gate 40 m 2 x 13.34, till 18 m 6.00; in all 42.73.
Net 697.13, tax 19 % 132.45, total 829.58; the budget of 900.00 leaves 70.42.
"""

from __future__ import annotations

from pathlib import Path

from optimizer.design import (
    BillLine,
    Box,
    Camera,
    Design,
    DriveSet,
    FedFrom,
    PartUse,
    PowerUnit,
    Recorder,
    Reduction,
    Run,
    Sound,
)
from optimizer.pricebook import load_book
from optimizer.site import load_site
from optimizer.solving.answer import Answer, Provenance
from optimizer.solving.assumptions import assumptions
from optimizer.solving.cautions import cautions

HERE = Path(__file__).parent
SITE_FILE = HERE / "handmade_site.yaml"
BOOK_FILE = HERE / "handmade_book.yaml"
SITE = load_site(SITE_FILE).site
BOOK = load_book(BOOK_FILE)

RATE = 1_492_992
STORED = 526_161_812_211


def camera(zone: str, number: int, item: str, channel: int, **more: object) -> Camera:
    """One camera with what all of them share."""
    shared: dict[str, object] = {
        "picture": "1920x1080",
        "recorder": "recorder-1",
        "bit_rate": RATE,
        "storage_bytes": STORED,
    }
    own = {"zone": zone, "number": number, "item": item, "channel": channel}
    return Camera.model_validate({**shared, **own, **more})


CAMERAS = (
    camera(
        "till",
        1,
        "cam-dome",
        1,
        focal_mm=7.4667,
        view_angle_deg=41.1,
        px_per_m=640.0,
        path="V5",
        runs=("run-1",),
        power=FedFrom(
            way="own_pair", unit="supply-1", output=1, volts_at_load=11.48, milliamps=288, watts=3.3
        ),
    ),
    *(
        camera(
            "gate",
            number,
            "cam-bullet",
            number + 1,
            focal_mm=8.75,
            view_angle_deg=35.5,
            px_per_m=250.0,
            path="V1",
            runs=(f"run-{number + 1}",),
            power=FedFrom(
                way="own_pair",
                unit="supply-1",
                output=number + 1,
                volts_at_load=11.13,
                milliamps=450,
                watts=5.0,
            ),
        )
        for number in (1, 2)
    ),
    camera(
        "store",
        1,
        "cam-bullet",
        4,
        focal_mm=7.0,
        view_angle_deg=43.6,
        px_per_m=480.0,
        path="V3",
        runs=("run-4",),
        power=FedFrom(
            way="local", unit="supply-2", output=1, volts_at_load=12.0, milliamps=417, watts=5.0
        ),
    ),
)

DESIGN = Design(
    bill=(),
    net="697.13",
    tax="132.45",
    total="829.58",
    labour="42.73",
    currency="EUR",
    reductions=(
        Reduction(offer="recorder-drive", amount="10.00", because="recorder with a drive"),
    ),
    cameras=CAMERAS,
    audio=(
        Sound(
            point="till-voice",
            way="A5",
            microphone="mic-12",
            camera="till/1",
            recorder="recorder-1",
            input=1,
            power=FedFrom(way="camera", volts_at_load=11.48, watts=0.3),
            storage_bytes=22_554_947_369,
        ),
    ),
    recorders=(
        Recorder(
            id="recorder-1",
            item="rec-8",
            array="single",
            drives=(DriveSet(item="drive-4tb", count=1),),
            usable_gb=4000,
            stored_gb=2131,
            kbit_s=0,
            encode_kpx_s=99_536,
            channels_used=4,
            channels=8,
            audio_inputs_used=1,
        ),
    ),
    runs=(
        Run(id="run-1", place="till/1", medium="lead", items=("lead-vpa-25",), length_cm=2500),
        *(
            Run(
                id=f"run-{number + 1}",
                place=f"gate/{number}",
                medium="coax_power",
                items=("cp59-18-100",),
                length_cm=4300,
                box="box-1",
            )
            for number in (1, 2)
        ),
        Run(id="run-4", place="store/1", medium="coax", existing=0, length_cm=2200),
    ),
    boxes=(
        Box(
            id="box-1",
            item="cp59-18-100",
            length_cm=10_000,
            cuts=("run-2", "run-3"),
            left_cm=1400,
        ),
    ),
    supplies=(
        PowerUnit(id="supply-1", item="sd-4", outputs_used=3, outputs=4, load=1188, limit=3200),
        PowerUnit(
            id="supply-2",
            item="sa-1",
            place="store/1",
            outputs_used=1,
            outputs=1,
            load=417,
            limit=800,
        ),
    ),
    parts=(
        PartUse(item="bnc-59-10", role="bnc/rg59", pieces=6),
        PartUse(item="pigtail-male", role="pigtail/male", pieces=3),
        PartUse(item="splitter-dc", role="splitter", pieces=1),
        PartUse(item="tool-compression", role="tool/compression", pieces=1),
        PartUse(item="mains-c13", role="mains_lead/c13", pieces=2),
    ),
)

REASONS = {
    "cam-bullet": "cameras at gate (2), store",
    "cam-dome": "camera at till",
    "rec-8": "holds 2,131 of 4,000 GB, 4 of 8 channels",
    "drive-4tb": "in recorder-1: 2,131 of 4,000 GB",
    "mic-12": "sound at till-voice",
    "lead-vpa-25": "to till/1",
    "cp59-18-100": "2 runs, 86.0 m of 100.0 m cut",
    "bnc-59-10": "3 coax runs x 2 ends",
    "pigtail-male": "barrel plug on 3 power ends",
    "splitter-dc": "1 microphone on the feed of a camera",
    "tool-compression": "for 6 compression BNC connectors",
    # 450 + 450 + 288 mA of 80 % of 4 A.
    "sd-4": "feeds 3 cameras, 1.2 of 3.2 A",
    "sa-1": "from the mains at store/1",
    "mains-c13": "mains for 1 recorder and 1 supply",
    "sign": "the site requires 2",
}
"""By hand, in catalogue order."""

_BOUGHT = {
    "cam-bullet": (3, "60.00", "180.00", 3),
    "cam-dome": (1, "45.00", "45.00", 1),
    "rec-8": (1, "150.00", "150.00", 1),
    "drive-4tb": (1, "80.00", "80.00", 1),
    "mic-12": (1, "18.00", "18.00", 1),
    "lead-vpa-25": (1, "20.00", "20.00", 1),
    "cp59-18-100": (1, "70.00", "70.00", 1),
    "bnc-59-10": (1, "12.00", "12.00", 6),
    "pigtail-male": (3, "0.90", "2.70", 3),
    "splitter-dc": (1, "2.50", "2.50", 1),
    "tool-compression": (1, "25.00", "25.00", 1),
    "sd-4": (1, "36.00", "36.00", 1),
    "sa-1": (1, "8.00", "8.00", 1),
    "mains-c13": (2, "3.10", "6.20", 2),
    "sign": (2, "4.50", "9.00", 2),
}

BILL = tuple(
    BillLine(
        item=item,
        kind=BOOK.items[item].kind,
        quantity=quantity,
        unit_price=price,
        line_total=total,
        used=used,
        because=REASONS[item] + ("; 6 used of 10" if item == "bnc-59-10" else ""),
    )
    for item, (quantity, price, total, used) in _BOUGHT.items()
)

PROVENANCE = Provenance(
    site_sha256="5" * 64,
    book_sha256="b" * 64,
    version="0.1.0",
    solver="CP-SAT 9.15, confirmed by HiGHS 1.16",
    ties="settled to the end",
)


def answer(**changes: object) -> Answer:
    """The whole answer, proven cheapest, with changes."""
    whole = {name: getattr(DESIGN, name) for name in Design.model_fields}
    whole.update(
        site=SITE.name,
        status="optimal",
        bill=BILL,
        lower_bound="829.58",
        gap=0.0,
        assumptions=assumptions(SITE, BOOK, DESIGN),
        cautions=cautions(SITE, BOOK.items, DESIGN),
        provenance=PROVENANCE,
    )
    return Answer.model_validate({**whole, **changes})


def without_kit(status: str, **changes: object) -> Answer:
    """An answer that holds no kit."""
    return Answer.model_validate(
        {
            "site": SITE.name,
            "status": status,
            "currency": "EUR",
            "assumptions": assumptions(SITE, BOOK),
            "cautions": cautions(SITE, BOOK.items),
            "provenance": PROVENANCE,
            **changes,
        }
    )
