"""Faults against section 3: wiring, feeding, ports, parts."""

from __future__ import annotations

from tests.unit.audit.spoiling import (
    GATE,
    HALL,
    Case,
    box,
    camera,
    every,
    feed,
    item,
    part,
    run,
    site,
    sound_feed,
    supply,
    swapped,
    switch,
    with_one,
    without,
    zone,
)

CASES: list[Case] = [
    # section 3
    ("run lengthened", run(0, length_cm=4400), "3 lengths", "mismatch", "run-1"),
    ("run longer on the site", zone(GATE, run="40.001 m"), "3 lengths", "mismatch", "run-1"),
    # 2 x (47.1 + 3) = 100.2 m of a box of 100 m.
    ("box over-cut", zone(HALL, run="47.1 m"), "3 boxes", "limit", "box-2"),
    ("box shorter than said", item("cat", box="99 m"), "3 boxes", "mismatch", "box-2"),
    ("rest of a box misstated", box(0, left_cm=5800), "3 boxes", "mismatch", "box-1"),
    ("indoor cable outdoors", every(
        run(0, items=["coax-pair-in"]), box(0, item="coax-pair-in")),
     "3 routes", "limit", "run-1"),
    ("route of the point", lambda t: t.site["audio"]["points"][0].update(route="plenum"),
     "3 routes", "limit", "run-4"),
    ("path that is not the cable's", camera(GATE, path="V2"), "3 paths", "mismatch", "gate/1"),
    ("path of another family", camera(HALL, path="V4"), "3 paths", "mismatch", "hall/1"),
    ("run missing", every(camera(HALL, runs=[]), without("runs", 1),
                          box(1, cuts=["run-3"], left_cm=6700)),
     "3 paths", "missing", "hall/1"),
    # hd_coax over rg59 reaches 250 m by default, less where the book says so.
    ("beyond the default reach", zone(GATE, run="248 m"), "3 signal reach", "limit", "gate/1"),
    ("beyond the cable's reach", item("coax-pair", reach={"hd_coax": "42.99 m"}),
     "3 signal reach", "limit", "gate/1"),
    ("data beyond 100 m", zone(HALL, run="97.01 m"), "3 signal reach", "limit", "hall/1"),
    ("baluns without need", every(camera(GATE, balun="bal"), lambda t: t.book.append({
        "id": "bal", "kind": "balun", "name": "b", "price": "3.00", "families": ["hd_coax"],
        "reach": "200 m"})), "3 baluns", "mismatch", "gate/1"),
    ("feed that the path has not", feed(HALL, way="own_pair", unit="supply-1"),
     "3 feeds", "mismatch", "hall/1"),
    ("no feed", feed(HALL, way="none"), "3 feeds", "missing", "hall/1"),
    ("feed of another kind", item("ps-4", feed="24 V AC"), "3 feeds", "limit", "gate/1"),
    ("microphone on AC", item("ps-4", feed="24 V AC"), "3 feeds", "limit", "desk"),
    ("no PoE class", every(
        lambda t: t.item("cam-ip").pop("poe_class"),
        item("cam-ip", feeds=[{"feed": "12 V DC", "watts": "5 W", "volts": "10 to 14 V"}])),
     "3 feeds", "limit", "hall/1"),
    # 11.019 V are left.
    ("too little voltage", lambda t: t.item("cam-hd")["feeds"][0].update(volts="11.1 to 13.2 V"),
     "3 volts", "limit", "gate/1"),
    ("too much voltage unloaded", swapped("supplies", 0, "ps-4", "ps-high"),
     "3 volts", "limit", "gate/1"),
    # 144 < 4 x 21 x 1.80153 = 151.3.
    ("no steady voltage", lambda t: t.item("cam-hd")["feeds"][0].update(watts="21 W"),
     "3 volts", "limit", "gate/1"),
    ("microphone's voltage", item("mic", volts="11.96 to 15 V"), "3 volts", "limit", "desk"),
    ("hot conductors", site("assumptions", conductor_temperature="75 C"),
     "3 load figures", "mismatch", "gate/1"),
    ("volts misstated", feed(GATE, volts_at_load=11.12), "3 load figures", "mismatch", "gate/1"),
    ("volts not stated", feed(GATE, volts_at_load=None), "3 load figures", "mismatch", "gate/1"),
    ("milliamps misstated", feed(GATE, milliamps=544), "3 load figures", "mismatch", "gate/1"),
    ("watts misstated", feed(GATE, watts=5.0), "3 load figures", "mismatch", "gate/1"),
    # 545 mA of 0.8 x 0.6 A = 480 mA.
    ("smaller supply, output", swapped("supplies", 0, "ps-4", "ps-small"),
     "3 output current", "limit", "gate/1"),
    # 596 mA of 0.8 x 0.7 A = 560 mA.
    ("smaller supply, total", swapped("supplies", 0, "ps-4", "ps-small"),
     "3 supply current", "limit", "supply-1"),
    # 545 mA of (1 - 0.5) x 1 A = 500 mA.
    ("more spare asked", site("spare", supply="50 %"), "3 output current", "limit", "gate/1"),
    ("load misstated", supply(load=595), "3 supply current", "mismatch", "supply-1"),
    ("limit misstated", supply(limit=4000), "3 supply current", "mismatch", "supply-1"),
    ("output used twice", sound_feed(output=1), "3 outputs", "limit", "supply-1"),
    ("output that is not there", sound_feed(output=5), "3 outputs", "mismatch", "supply-1"),
    ("outputs misstated", supply(outputs_used=3), "3 outputs", "mismatch", "supply-1"),
    ("supply that feeds nothing", with_one("supplies", {
        "id": "supply-2", "item": "ps-4", "outputs_used": 0, "outputs": 4, "load": 0,
        "limit": 3200}), "3 outputs", "surplus", "supply-2"),
    ("volts of PoE", feed(HALL, volts_at_load=48.0), "3 shared figures", "mismatch", "hall/1"),
    ("switch elsewhere", switch(place="hall/1"), "3 places", "mismatch", "switch-1"),
    ("supply elsewhere", supply(place="gate/1"), "3 places", "mismatch", "gate/1"),
    ("port too weak", lambda t: t.item("sw-6")["poe"].update(poe_class="1"),
     "3 PoE class", "limit", "hall/1"),
    ("class power misstated", feed(HALL, watts=6.49), "3 PoE class", "mismatch", "hall/1"),
    ("switch without powered ports", lambda t: t.item("sw-6").pop("poe"),
     "3 PoE class", "limit", "hall/1"),
    ("powered ports too few", lambda t: t.item("sw-6")["poe"].update(ports="1"),
     "3 powered ports", "limit", "switch-1"),
    ("powered port used twice", feed(2, output=1), "3 powered ports", "limit", "switch-1"),
    ("powered port that is not there", feed(2, output=5),
     "3 powered ports", "mismatch", "switch-1"),
    # 2 x 7.0 W.
    ("PoE budget too small", lambda t: t.item("sw-6")["poe"].update(budget="13.9 W"),
     "3 powered ports", "limit", "switch-1"),
    ("PoE load misstated", switch(load=1300), "3 switches", "mismatch", "switch-1"),
    ("PoE budget misstated", switch(limit=6000), "3 switches", "mismatch", "switch-1"),
    ("ports misstated", switch(outputs_used=1), "3 switches", "mismatch", "switch-1"),
    ("ports too few", every(
        lambda t: t.item("sw-6").update(ports="1"),
        lambda t: t.item("sw-6")["poe"].update(ports="1")), "3 switches", "limit", "switch-1"),
    ("switch that joins nothing", with_one("switches", {
        "id": "switch-2", "item": "sw-6", "outputs_used": 0, "outputs": 6, "load": 0,
        "limit": 3000}), "3 switches", "surplus", "switch-2"),
    ("two ports for one camera", camera(HALL, data_port="switch-1"),
     "3 data ports", "mismatch", "hall/1"),
    ("port for a coax camera", camera(GATE, data_port="switch-1"),
     "3 data ports", "mismatch", "gate/1"),
    ("one connector fewer", part("bnc", pieces=1), "3 connectors", "missing", "bnc/rg59"),
    ("one connector too many", part("rj45", pieces=5), "3 connectors", "mismatch", "rj45/cat5e"),
    ("connectors of another fit", part("bnc", role="bnc/rg6"),
     "3 connectors", "missing", "bnc/rg59"),
    ("connectors that do not fit", part("rj45", role="rj45/cat6"),
     "3 connectors", "mismatch", "rj45"),
    ("audio connectors missing", without("parts", 2), "3 connectors", "missing", "rca/audio"),
    ("method not allowed", part("bnc", item="bnc-twist"), "3 connectors", "limit", "bnc-twist"),
    ("tool missing", without("parts", 4), "3 tools", "missing", "press"),
    ("tool without need", part("bnc", item="bnc-twist"), "3 tools", "mismatch", "tool-press"),
    ("pigtail missing", part("tail-m", pieces=1), "3 pigtails", "missing", "male"),
    ("pigtail under another name", part("tail-m", role="pigtail/female"),
     "3 pigtails", "mismatch", "tail-m"),
    # Barrel ends at the supply take a female pigtail for each pair.
    ("plugs at the supply", item("ps-4", form="multiway", ends="barrel"),
     "3 pigtails", "missing", "female"),
    # A camera with terminals needs no male one.
    ("terminals at the camera", item("cam-hd", power_plug="terminals"),
     "3 pigtails", "mismatch", "male"),
    ("couplers without need", every(
        lambda t: t.book.append(
            {"id": "cpl", "kind": "coupler", "name": "c", "price": "1.00", "type": "bnc"}),
        with_one("parts", {"item": "cpl", "role": "coupler/bnc", "pieces": 1})),
     "3 couplers", "mismatch", "bnc"),
    ("splitter without need", every(
        lambda t: t.book.append(
            {"id": "spl", "kind": "splitter", "name": "s", "price": "1.00"}),
        with_one("parts", {"item": "spl", "role": "splitter", "pieces": 1})),
     "4 splitters", "mismatch", "splitter"),
    ("rack link missing", without("parts", 7), "3 rack links", "missing", "rack link"),
    ("rack link too short", part("patch-2", item="patch-05"),
     "3 rack links", "limit", "patch-05"),
    ("lead with no job", part("patch-2", role="spare"), "3 rack links", "mismatch", "patch-2"),
    ("bracket counted otherwise in parts", with_one(
        "parts", {"item": "arm-1", "role": "bracket/arm", "pieces": 2}),
     "0 parts listed twice", "mismatch", "arm-1"),
]  # fmt: skip
