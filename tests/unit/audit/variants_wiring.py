"""Variants for every path, feed, control and array; see :mod:`tests.unit.audit.small`."""

from __future__ import annotations

from tests.unit.audit.small import Variant
from tests.unit.audit.worked import Data

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
