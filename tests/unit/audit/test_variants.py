"""Every path, feed, control, array and way of sound has a design that keeps the rules, and
spoilt copies that do not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from optimizer.audit import RULES, plan
from tests.unit.audit import variants as v
from tests.unit.audit.small import Variant
from tests.unit.audit.test_mutations import CASES as WORKED_CASES


@pytest.mark.parametrize("make", v.ALL, ids=[m.__name__ for m in v.ALL])
def test_the_variant_keeps_every_rule(make):
    assert [str(f) for f in make().findings()] == []


def test_the_variants_cover_every_path_feed_and_way():
    designs = [make().written() for make in v.ALL]
    cameras = [c for d in designs for c in d.cameras]
    assert {c.path for c in cameras} == {"V1", "V2", "V3", "V4", "V5", "D1", "D2", "D3"}
    assert {c.power.way for c in cameras} == {"own_pair", "separate_pair", "local", "poe"}
    assert {c.control for c in cameras} == {"none", "pair", "category", "coax", "network"}
    assert {r.array for d in designs for r in d.recorders} == {"single", "mirror", "5", "6", "10"}
    ways = {s.way for d in designs for s in d.audio}
    assert ways == {"A1", "A3", "A4", "A5", "A6", "A7", "A8"}
    sources = {"switches": 0, "injectors": 0}
    for d in designs:
        for c in d.cameras:
            for section in sources:
                sources[section] += c.power.unit in [u.id for u in getattr(d, section)]
    assert all(sources.values())


Spoil = Callable[[Variant], Any]


def camera(**changes: Any) -> Spoil:
    return lambda t: t.camera.update(changes)


def zone(**changes: Any) -> Spoil:
    return lambda t: t.site["zones"][0].update(changes)


def point(**changes: Any) -> Spoil:
    return lambda t: t.site["audio"]["points"][0].update(changes)


def sound(**changes: Any) -> Spoil:
    return lambda t: t.design["audio"][0].update(changes)


def item(item_id: str, **changes: Any) -> Spoil:
    return lambda t: next(i for i in t.book if i["id"] == item_id).update(changes)


def policy(**changes: Any) -> Spoil:
    return lambda t: t.site.setdefault("policy", {}).update(changes)


def run(index: int, **changes: Any) -> Spoil:
    return lambda t: t.design["runs"][index].update(changes)


def part(item_id: str, pieces: int) -> Spoil:
    def change(t: Variant) -> None:
        mine = [p for p in t.design["parts"] if p["item"] == item_id]
        for one in mine:
            one["pieces"] = pieces
        if not pieces:
            t.design["parts"] = [p for p in t.design["parts"] if p["item"] != item_id]

    return change


def every(*spoils: Spoil) -> Spoil:
    def all_of(t: Variant) -> None:
        for spoil in spoils:
            spoil(t)

    return all_of


def second_lead(t: Variant) -> None:
    """A third lead in the run: two joints."""
    t.design["runs"][0].update(items=["vp-10", "vp-10", "vp-10"], length_cm=3000)


def second_recorder(t: Variant) -> None:
    t.design["recorders"].append(
        {**t.recorder, "id": "r2", "stored_gb": 0, "channels_used": 0, "kbit_s": 0,
         "encode_kpx_s": 0, "audio_inputs_used": 0}
    )  # fmt: skip


def second_camera(t: Variant) -> None:
    """Another camera of the zone, its run the same one existing cable."""
    t.design["runs"].append({**t.design["runs"][0], "id": "n9", "place": "z/2"})
    power = {**t.camera["power"], "output": 2}
    t.design["cameras"].append({**t.camera, "number": 2, "runs": ["n9"], "power": power})


def no_second_run(t: Variant) -> None:
    t.design["runs"].pop(1)
    t.design["boxes"].pop(1)


def second_injector_load(t: Variant) -> None:
    t.design["runs"].append({**t.design["runs"][0], "id": "n9", "place": "z/2"})
    t.design["cameras"].append({**t.camera, "number": 2, "runs": ["n9"]})


CASES: list[tuple[str, Callable[[], Variant], Spoil, str, str, str]] = [
    # paths
    ("V2 over cable with power", v.v1_own_pair, camera(path="V2"), "3 paths", "mismatch", "z/1"),
    ("V1 over existing", v.v3_own_pair, camera(path="V1"), "3 paths", "mismatch", "z/1"),
    ("V3 over new", v.v1_own_pair, camera(path="V3"), "3 paths", "mismatch", "z/1"),
    ("network camera over coax", v.v2_separate_pair, every(
        camera(item="net"), lambda t: t.use.update({"coax-t": -1, "net": 1})),
     "3 paths", "mismatch", "z/1"),
    ("V4 over coax", v.v2_separate_pair, camera(path="V4"), "3 paths", "mismatch", "z/1"),
    ("V5 over data leads", v.v5_joined, run(0, items=["data-25"]), "3 paths", "mismatch", "z/1"),
    ("D1 over existing", v.d2_recorder, camera(path="D1"), "3 paths", "mismatch", "z/1"),
    ("D2 over new", v.d1_switch, camera(path="D2"), "3 paths", "mismatch", "z/1"),
    ("D3 over category", v.d1_switch, camera(path="D3"), "3 paths", "mismatch", "z/1"),
    ("pair missing", v.v2_separate_pair, camera(runs=["n1"]), "3 paths", "missing", "z/1"),
    ("pair without need", v.v2_separate_pair, lambda t: t.camera["power"].update(way="own_pair"),
     "3 paths", "mismatch", "z/1"),
    # leads: the run is 20 m
    ("leads too short", v.v5_joined, run(0, items=["vp-15"], length_cm=1500),
     "3 leads", "limit", "n1"),
    ("one joint too many", v.v5_joined, second_lead, "3 leads", "limit", "n1"),
    ("joints forbidden", v.v5_joined, policy(most_joints="0"), "3 leads", "limit", "n1"),
    ("leads of two series", v.v5_joined, run(0, items=["vp-15", "vpa-10"]),
     "3 leads", "mismatch", "n1"),
    ("leads that do not join", v.v5_joined, item("vp-10", joinable="false"),
     "3 leads", "limit", "n1"),
    ("coupler missing", v.v5_joined, part("cpl", 0), "3 couplers", "missing", "bnc"),
    ("lead on the wrong route", v.v5_joined, zone(route="riser"), "3 routes", "limit", "n1"),
    ("leads beyond their reach", v.v5_joined, every(
        item("vp-15", reach={"hd_coax": "24.9 m"}), item("vp-10", reach={"hd_coax": "24.9 m"})),
     "3 signal reach", "limit", "z/1"),
    # existing cable
    ("existing coax too long", v.v3_own_pair, every(
        zone(existing=[{**v.OLD_SIAM, "length": "251 m"}]), run(0, length_cm=25100)),
     "3 signal reach", "limit", "z/1"),
    ("existing length misstated", v.v3_own_pair, run(0, length_cm=2900),
     "3 lengths", "mismatch", "n1"),
    ("existing cable used twice", v.v3_own_pair, second_camera, "3 existing cable", "limit", "z"),
    ("existing without connectors", v.v3_own_pair,
     zone(existing=[{**v.OLD_SIAM, "terminated": "false"}]),
     "3 connectors", "missing", "bnc/rg59"),
    ("existing coax has no pair", v.v3_separate_existing, every(
        camera(runs=["n1"]), lambda t: t.camera["power"].update(way="own_pair"),
        lambda t: t.design["runs"].pop(1)), "3 feeds", "limit", "z/1"),
    ("existing and new at once", v.v3_own_pair, run(0, items=["siam"]),
     "3 runs", "mismatch", "n1"),
    ("existing of another medium", v.v3_own_pair, run(0, medium="coax"),
     "3 runs", "mismatch", "n1"),
    # baluns
    ("baluns missing", v.v4_own_pair, camera(balun=None), "3 baluns", "missing", "z/1"),
    ("baluns of another family", v.v4_own_pair, item("bal", families=["composite"]),
     "3 baluns", "limit", "z/1"),
    ("beyond the baluns", v.v4_own_pair, item("bal", reach="22.99 m"),
     "3 signal reach", "limit", "z/1"),
    ("baluns without power", v.v4_own_pair, item("bal", power_pairs="0"),
     "3 feeds", "limit", "z/1"),
    # One pair instead of two: 3.874 ohm; 144 - 24 x 3.874 = 51.03; 9.57 V.
    ("one pair for power", v.v4_own_pair, item("bal", power_pairs="1"), "3 volts", "limit", "z/1"),
    ("balun's own power left out", v.v4_powered_balun, lambda t: t.camera["power"].update(
        watts=6.0), "3 load figures", "mismatch", "z/1"),
    ("one balun only", v.v4_own_pair, lambda t: t.use.update({"bal": -1}),
     "5.1 pieces", "missing", "bal"),
    ("powered balun beside a pair of its own", v.v4_existing_separate, item(
        "bal-0", power_pairs="1", watts="0.5 W"), "3 feeds", "limit", "z/1"),
    ("powered balun beside an adapter", v.v4_powered_balun, every(
        zone(mains="true"), lambda t: t.camera["power"].update(way="local")),
     "3 feeds", "limit", "z/1"),
    # feeds
    ("no mains at the camera", v.v2_local, zone(mains="false"), "3 feeds", "limit", "z/1"),
    ("adapter in the room for F3", v.v2_local, lambda t: t.design["supplies"][0].update(
        place="room"), "3 places", "mismatch", "z/1"),
    ("no adapter for F3", v.v2_local, every(
        lambda t: t.design["supplies"][0].update(item="tails", outputs=4),
        lambda t: t.use.update({"plug": -1, "tails": 1})), "3 places", "limit", "z/1"),
    ("adapter too weak", v.v2_local, item("plug", output_amps="0.62 A"),
     "3 output current", "limit", "z/1"),
    ("F3 over a V5 path", v.v5_joined, every(
        zone(mains="true"), lambda t: t.camera["power"].update(way="local")),
     "3 feeds", "mismatch", "z/1"),
    ("terminals without a pigtail", v.v2_local_terminals, part("female", 0),
     "3 pigtails", "missing", "female"),
    ("lead on screws without a pigtail", v.v5_screw_to_terminals, part("male", 0),
     "3 pigtails", "missing", "male"),
    ("injector too weak", v.d3_injector, item("inj", poe_class="2"),
     "3 PoE class", "limit", "z/1"),
    ("injector feeds two", v.d3_injector, second_injector_load, "3 injectors", "limit", "i1"),
    ("injector without a camera", v.d3_injector, lambda t: t.camera["power"].update(
        unit="r1"), "3 injectors", "surplus", "i1"),
    ("injector misstated", v.d3_injector, lambda t: t.design["injectors"][0].update(limit=1540),
     "3 injectors", "mismatch", "i1"),
    ("second port of an injector", v.d3_injector, lambda t: t.camera["power"].update(output=2),
     "3 injectors", "mismatch", "i1"),
    ("injector without a port", v.d3_injector, camera(data_port=None),
     "3 data ports", "missing", "z/1"),
    ("injector without its mains lead", v.d3_injector, part("mains", 0),
     "2.7 mains leads", "missing", "c13"),
    ("port of another recorder", v.d2_recorder, every(
        second_recorder, lambda t: t.camera["power"].update(unit="r2")),
     "3 PoE from own recorder", "mismatch", "z/1"),
    ("recorder port used by number 3", v.d2_recorder, lambda t: t.camera["power"].update(
        output=3), "3 powered ports", "mismatch", "r1"),
    ("recorder's PoE budget", v.d2_recorder, item(
        "rec", poe={"ports": "2", "poe_class": "3", "budget": "15.3 W"}),
     "3 powered ports", "limit", "r1"),
    ("no rack link", v.d3_local, part("data-1", 0), "3 rack links", "missing", "rack link"),
    # control
    ("steering forgotten", v.rs485_pair, every(
        camera(control="none", runs=["n1"]), no_second_run), "3 steering", "missing", "z/1"),
    ("steering not asked", v.rs485_category, zone(steerable="false"),
     "3 steering", "mismatch", "z/1"),
    ("recorder without the bus", v.rs485_pair, item("rec", control=["coax"]),
     "3 steering", "limit", "z/1"),
    ("recorder without control over coax", v.coax_control, item("rec", control=["rs485"]),
     "3 steering", "limit", "z/1"),
    ("bus too long", v.rs485_pair, zone(run="1200.01 m"), "3 steering", "limit", "z/1"),
    # 1 + 3 + 1 pairs of 4.
    ("no pair left for control", v.rs485_category, item("bal", power_pairs="3"),
     "3 steering", "limit", "z/1"),
    ("category control over coax", v.rs485_pair, every(
        camera(control="category", runs=["n1"]), no_second_run), "3 steering", "limit", "z/1"),
    ("control over coax on baluns", v.rs485_category, every(
        item("coax-485", control="coax"), camera(control="coax")),
     "3 steering", "limit", "z/1"),
    ("network control on coax", v.coax_control, every(
        item("coax-c", control="network"), camera(control="network")),
     "3 steering", "limit", "z/1"),
    # One camera of a whole unit load and one more eighth would be too much for 1; here 0 is.
    ("too many unit loads", v.rs485_pair, item("rec", unit_loads="0"),
     "3 unit loads", "limit", "r1"),
    # arrays
    ("mirror of unlike drives", v.mirror_of_two_pairs, lambda t: t.recorder.update(drives=[
        {"item": "drive", "count": 1}, {"item": "drive-60", "count": 1}]),
     "2.4 arrays", "limit", "r1"),
    ("array 5 of unlike drives", v.array_5, lambda t: t.recorder.update(drives=[
        {"item": "drive", "count": 2}, {"item": "drive-60", "count": 1}]),
     "2.4 arrays", "limit", "r1"),
    ("array 10 of five", v.array_10, lambda t: t.recorder.update(drives=[
        {"item": "drive", "count": 5}]), "2.4 arrays", "limit", "r1"),
    ("array 6 of three", v.array_6_for_two, lambda t: t.recorder.update(drives=[
        {"item": "drive", "count": 3}]), "2.4 arrays", "missing", "r1"),
    ("array 6 counted as 5", v.array_6_for_one, lambda t: t.recorder.update(usable_gb=300),
     "2.3 storage", "mismatch", "r1"),
    ("six drives and a writer", v.with_writer, lambda t: t.recorder.update(drives=[
        {"item": "drive", "count": 6}]), "2.4 drives", "limit", "r1"),
    # sound
    ("A3 over data leads", v.a3, run(1, items=["data-25"]), "4 ways", "limit", "p"),
    ("A4 without mains", v.a4, point(mains="false"), "4 ways", "limit", "p"),
    ("A4 fed from elsewhere", v.a4, lambda t: t.design["supplies"][1].update(place="room"),
     "3 places", "mismatch", "p"),
    ("A4 fed as A1", v.a4, lambda t: t.design["audio"][0]["power"].update(way="own_pair"),
     "4 ways", "mismatch", "p"),
    ("A1 without its power pair", v.a1, every(
        sound(runs=["n2"]), lambda t: t.design["runs"].pop(2),
        lambda t: t.design["boxes"].pop(2)), "4 ways", "missing", "p"),
    ("A1 at a point for the camera", v.a1, point(power="camera"), "4 ways", "limit", "p"),
    ("A5 at a point for the room", v.a5, point(power="room"), "4 ways", "limit", "p"),
    ("A5 over leads without sound", v.a5, run(0, items=["vp-15", "vp-10"]),
     "4 cameras", "limit", "p"),
    ("A5 without its splitter", v.a5, part("split", 0), "4 splitters", "missing", "splitter"),
    ("A5 without the microphone's power", v.a5, lambda t: t.camera["power"].update(
        watts=6.0), "3 load figures", "mismatch", "z/1"),
    ("A5 with other volts than its camera", v.a5_terminals,
     lambda t: t.design["audio"][0]["power"].update(volts_at_load=12.0),
     "3 shared figures", "mismatch", "p"),
    ("A5 with its camera's watts", v.a5, lambda t: t.design["audio"][0]["power"].update(
        watts=6.6), "3 shared figures", "mismatch", "p"),
    # 0.6 / 11.3933 = 52.66 mA: 53; the camera's own figure, 580, may stand there too.
    ("A5 with another current", v.a5, lambda t: t.design["audio"][0]["power"].update(
        milliamps=52), "3 shared figures", "mismatch", "p"),
    ("A5 at another output", v.a5, lambda t: t.design["audio"][0]["power"].update(output=2),
     "3 shared figures", "mismatch", "p"),
    ("A8 with watts", v.a8_pair, lambda t: t.design["audio"][0]["power"].update(watts=0.6),
     "3 shared figures", "mismatch", "p"),
    # 60.6 W over 25 m: 144 < 4 x 60.6 x 1.0474 = 253.9.
    ("A5 without a steady voltage", v.a5_terminals, item("coax-t", feeds=[
        {"feed": "12 V DC", "watts": "60 W", "volts": "10.8 to 13.2 V"}]),
     "3 volts", "limit", "z/1"),
    # 11.3933 V are left.
    ("A5 with too little for the microphone", v.a5, item("mic", volts="11.4 to 15 V"),
     "3 volts", "limit", "z/1"),
    ("A6 with too much for the microphone", v.a6, item("mic", volts="9 to 11.9 V"),
     "3 volts", "limit", "z/1"),
    ("A6 on AC", v.a6, every(
        item("box", feed="24 V AC"), item("coax", feeds=[
            {"feed": "24 V AC", "watts": "6 W", "volts": "10.8 to 26 V"}])),
     "4 cameras", "limit", "p"),
    ("A6 on a local feed", v.a6, every(
        zone(mains="true"), lambda t: t.camera["power"].update(way="local")),
     "4 cameras", "limit", "p"),
    ("A6 with terminals and no pigtail", v.a6_terminals, part("female", 0),
     "3 pigtails", "missing", "female"),
    ("A6 at a network camera", v.a7_built_in, sound(way="A6"), "4 cameras", "limit", "p"),
    ("A7 at a coax camera", v.a8_leads, sound(way="A7", input=None),
     "4 cameras", "limit", "p"),
    ("A7 at a deaf camera", v.a7_built_in, item("net-hears", audio="none"),
     "4 cameras", "limit", "p"),
    ("A7 at an audio input", v.a7_built_in, sound(input=1), "2.3 audio inputs", "mismatch", "p"),
    ("A7 left out of the ingest", v.a7_built_in, lambda t: t.recorder.update(kbit_s=934),
     "2.3 ingest", "mismatch", "r1"),
    ("A7 without a microphone", v.a7_plug_in, sound(microphone=None),
     "4 microphones", "missing", "p"),
    ("A7 with a microphone that does not plug in", v.a7_plug_in, item(
        "mic-plug", plug_in="false", volts="9 to 15 V"), "4 microphones", "limit", "p"),
    ("A7 with two microphones", v.a7_built_in, sound(microphone="mic-plug"),
     "4 microphones", "mismatch", "p"),
    ("A7 outdoors", v.a7_plug_in, zone(place="outdoors"), "4 microphones", "limit", "p"),
    ("A8 at a deaf camera", v.a8_pair, item("coax-hears", audio="none"),
     "4 cameras", "limit", "p"),
    ("A8 without a wire", v.a8_pair, every(
        sound(runs=[]), lambda t: t.design["runs"].pop(1),
        lambda t: t.design["boxes"].pop(1)), "4 cameras", "missing", "p"),
    ("A8 with a microphone", v.a8_pair, sound(microphone="mic"),
     "4 microphones", "mismatch", "p"),
    ("A8 of another zone", v.a8_pair, point(zone=None), "4 cameras", "mismatch", "p"),
    ("sound on another recorder", v.a8_pair, every(second_recorder, sound(recorder="r2")),
     "4 cameras", "mismatch", "p"),
    ("one camera, two points", v.a8_pair, every(
        lambda t: t.site["audio"]["points"].append({"id": "q", "run": "20 m"}),
        lambda t: t.design["audio"].append(
            {**t.design["audio"][0], "point": "q", "runs": [], "input": 2})),
     "4 cameras", "limit", "z/1"),
    ("audio input used twice", v.a8_pair, every(
        lambda t: t.site["audio"]["points"].append({"id": "q", "run": "20 m"}),
        lambda t: t.design["audio"].append({**t.design["audio"][0], "point": "q", "runs": []})),
     "2.3 audio inputs", "mismatch", "r1"),
    ("audio pair not terminated", v.a1_existing, lambda t: t.site["audio"]["points"][0][
        "existing"][0].update(terminated="false"), "3 connectors", "missing", "rca/audio"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("make", "spoil", "rule", "kind", "place"), [c[1:] for c in CASES], ids=[c[0] for c in CASES]
)
def test_the_fault_is_caught_by_its_rule(make, spoil, rule, kind, place):
    variant = make()
    spoil(variant)
    found = variant.findings()
    assert (rule, kind, place) in [(f.rule, f.kind, f.place) for f in found], [
        str(f) for f in found
    ]


def test_every_rule_has_a_fault_that_it_catches():
    caught = {case[2] for case in WORKED_CASES} | {case[3] for case in CASES}
    # Rules of section 7 have their faults in test_plan.
    on_plans = {rule.name for rule in plan.RULES}
    assert {rule.name for rule in RULES} - on_plans - caught == set()


def test_every_rule_says_what_it_checks():
    assert [r.name for r in RULES if not (r.check.__doc__ or "").strip()] == []
    assert len({r.name for r in RULES}) == len(RULES)
