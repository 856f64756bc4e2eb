"""Variants for every way of sound; see :mod:`tests.unit.audit.small`."""

from __future__ import annotations

from tests.unit.audit.small import Variant
from tests.unit.audit.variants_wiring import d2_recorder, v1_own_pair, v5_joined

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
