"""A bill alone: what is surely missing, out of limits, or without a job."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from optimizer.audit import BILL_RULES, Finding, audit_bill
from optimizer.site.schema import Site
from tests.unit.audit import variants as v
from tests.unit.audit.worked import Trial


class BillTrial(Trial):
    """The bill of the worked design, free to be spoilt; ``lines`` are item and quantity."""

    def __init__(self) -> None:
        super().__init__()
        self.lines = [(one["item"], one["quantity"]) for one in self.design["bill"]]

    def audited(self) -> list[Finding]:
        site, items, offers, _ = self.built()
        return audit_bill(site, items, offers, self.lines)


Spoil = Callable[[BillTrial], Any]


def quantity(item: str, number: int) -> Spoil:
    """So many of an item; none at all if 0, a new line if it was not there."""

    def change(t: BillTrial) -> None:
        t.lines = [one for one in t.lines if one[0] != item]
        if number:
            t.lines.append((item, number))

    return change


def item(item_id: str, **changes: Any) -> Spoil:
    return lambda t: t.item(item_id).update(changes)


def new(**fields: Any) -> Spoil:
    """A new item in the book, and one of it in the bill."""

    def add(t: BillTrial) -> None:
        t.book.append({"name": "x", "price": "0", **fields})
        t.lines.append((fields["id"], 1))

    return add


def site(section: str, **changes: Any) -> Spoil:
    return lambda t: t.site[section].update(changes)


def inputs(index: int, **changes: Any) -> Spoil:
    return lambda t: t.item("rec-8")["inputs"][index].update(changes)


def every(*spoils: Spoil) -> Spoil:
    def all_of(t: BillTrial) -> None:
        for spoil in spoils:
            spoil(t)

    return all_of


def small_recorder(t: BillTrial) -> None:
    """A recorder in the book, not in the bill, that keeps half the width."""
    group = {"families": ["hd_coax"], "count": "4", "picture": "960x1080"}
    t.book.append({**t.item("rec-8"), "id": "rec-small", "inputs": [group]})


Case = tuple[str, Spoil, str, str, str, Any, Any]
CASES: list[Case] = [
    ("unknown item", lambda t: t.lines.append(("cam-none", 1)),
     "5.1 bill lines", "mismatch", "cam-none", None, None),
    ("item twice", lambda t: t.lines.append(("mic", 1)),
     "5.1 bill lines", "mismatch", "mic", 2, 1),
    ("no pieces", lambda t: t.lines.append(("ps-small", 0)),
     "5.1 bill lines", "mismatch", "ps-small", None, None),
    ("forbidden item", quantity("cam-old", 1), "1.7 forbidden items", "limit", "cam-old", 1, 0),
    # cameras
    ("no camera for the gate", quantity("cam-hd", 0),
     "1 cameras that suit", "missing", "gate", 0, 1),
    # cam-ip shows 9.6 m at its only focal length, so the hall's 16 m take two.
    ("one camera for a hall that takes two", quantity("cam-ip", 1),
     "1.1 cameras of a zone", "missing", "cameras", 1, 2),
    ("a hall where one alone is allowed", lambda t: t.site["zones"][1].update(
        most_cameras="1"), "1 cameras that suit", "missing", "hall", 0, 1),
    ("a camera too many", quantity("cam-ip", 3), "1 idle cameras", "surplus", "cameras", 4, 3),
    # The hall needs 2, and no camera is added that the picture does not need.
    ("more than a zone needs", quantity("cam-ip", 3),
     "1 idle cameras", "surplus", "cam-ip", 3, 2),
    # Of an item that the site wants used it takes 8 at most (the site's default).
    ("more than a zone takes of a wanted item", every(
        lambda t: t.site["policy"]["require"].append({"item": "cam-ip", "quantity": "3"}),
        quantity("cam-ip", 9)), "1 idle cameras", "surplus", "cam-ip", 9, 8),
    # Recorded as it is, the gate's camera needs 125 x 4.8 x 10 / 1920 = 3.125 mm, which shows
    # 48 / 3.125 = 15.4 m of the 12 m. Recorded 960 px wide it needs 6.25 mm, which shows 7.7 m:
    # two cameras, once the book holds a recorder like that.
    ("two cameras where one does", quantity("cam-hd", 2),
     "1 idle cameras", "surplus", "cam-hd", 2, 1),
    ("three cameras where two do at the most", every(small_recorder, quantity("cam-hd", 3)),
     "1 idle cameras", "surplus", "cam-hd", 3, 2),
    ("a camera that suits nothing", every(site("policy", forbid=[]), quantity("cam-old", 1)),
     "1 idle cameras", "surplus", "cam-old", 1, 0),
    ("no bracket", quantity("arm-1", 0), "1.9 brackets", "missing", "arm", 0, 1),
    ("a bracket that fits nothing", quantity("box-1", 1),
     "1.9 brackets", "surplus", "box-1", 1, 0),
    ("two zones, one model allowed", site("policy", most_camera_models="1"),
     "5.7 camera models", "limit", "cameras", 2, 1),
    # recorders and drives
    ("recorder for another codec", item("rec-8", codecs=["H.265"]),
     "2 useful recorders", "surplus", "rec-8", 1, 0),
    ("recorder without export", item("rec-8", export=[]),
     "2 useful recorders", "surplus", "rec-8", 1, 0),
    ("recorder without a display", item("rec-8", displays={}),
     "2 useful recorders", "surplus", "rec-8", 1, 0),
    ("recorder without an array", site("recording", drive_failures="1"),
     "2 useful recorders", "surplus", "rec-8", 1, 0),
    ("recorder without an allowed family", every(site("policy", families=["network"]),
     lambda t: t.item("rec-8")["inputs"].pop(1)),
     "2 useful recorders", "surplus", "rec-8", 1, 0),
    # 3 cameras and 4 spare channels.
    ("no recorder", quantity("rec-8", 0), "2.3 channels", "missing", "recorders", 0, 7),
    ("spare channels", site("spare", channels="6"), "2.3 channels", "missing", "recorders", 8, 9),
    ("inputs of a family", inputs(1, count="1"), "2.3 channels", "missing", "recorders", 1, 2),
    ("ingest", item("rec-8", ingest="553 kbit/s"),
     "2.3 rates", "missing", "recorders", 553, 554),
    ("encode rate", item("rec-8", encode_rate="31103 kpx/s"),
     "2.3 rates", "missing", "recorders", 31_103, 31_104),
    ("storage", every(quantity("drive-200", 0), quantity("drive-150", 1)),
     "2.3 storage", "missing", "drives", 150, 188),
    # Two drives of 200 GB in the mirror hold half: 200 GB, of 188 needed; of 150 GB only 150.
    ("storage in the mirror", every(
        site("recording", drive_failures="1"), item("rec-8", arrays=["mirror"]),
        quantity("drive-200", 0), quantity("drive-150", 2)),
     "2.3 storage", "missing", "drives", 150, 188),
    # Three drives in two bays count as the two largest; array 5 needs three.
    ("storage in too few bays", every(
        site("recording", drive_failures="1"), item("rec-8", arrays=["5"]),
        quantity("drive-200", 0), quantity("drive-150", 3)),
     "2.3 storage", "missing", "drives", 150, 188),
    # Array 6 of 150, 30, 30, 30 GB loses at least the two smallest: 180 GB at most.
    ("storage in array 6", every(
        site("recording", drive_failures="2"), item("rec-8", arrays=["6"], bays="4"),
        quantity("drive-200", 3), quantity("drive-150", 1), item("drive-200", capacity="30 GB")),
     "2.3 storage", "missing", "drives", 180, 188),
    ("drives for the array", every(
        site("recording", drive_failures="2"), item("rec-8", arrays=["6"], bays="4"),
        quantity("drive-200", 3)), "2.4 drives", "missing", "drives", 3, 4),
    ("no drive", quantity("drive-200", 0), "2.4 drives", "missing", "drives", 0, 1),
    ("drive too large", quantity("drive-8t", 1),
     "2.4 idle drives", "surplus", "drive-8t", 8000, 4000),
    ("more drives than bays", quantity("drive-200", 3),
     "2.4 idle drives", "surplus", "drives", 3, 2),
    ("writer without need", quantity("writer", 1), "2.5 export", "surplus", "writer", 1, 0),
    ("writer missing", every(site("recording", export=["optical"]),
     item("rec-8", optical="own_bay")), "2.5 export", "missing", "optical writers", 0, 1),
    # cable: cuts of 43 m and 2 x 33 m
    ("no coax", quantity("coax-pair", 0), "3 paths", "missing", "gate", 0, 1),
    ("box shorter than the cut", item("coax-pair", box="42.99 m"),
     "3 paths", "missing", "gate", 0, 1),
    ("cable for the wrong route", item("coax-pair", outdoor="false"),
     "3 paths", "missing", "gate", 0, 1),
    ("beyond the reach", item("coax-pair", reach={"hd_coax": "42 m"}),
     "3 paths", "missing", "gate", 0, 1),
    ("boxes too short together", every(item("cat", box="33 m"), item("coax-pair", box="75 m")),
     "3 cable length", "missing", "cable", 108, 109),
    ("no coax connectors", quantity("bnc", 0), "3 connectors", "missing", "bnc", 0, 2),
    ("network connectors", item("rj45", pack="3"), "3 connectors", "missing", "rj45", 3, 4),
    ("connectors for another cable", item("bnc", fits=["rg6"]),
     "3 connectors", "missing", "bnc", 0, 2),
    ("no tool", quantity("tool-press", 0), "3 connectors", "missing", "tools", 0, 2),
    ("connectors that nothing takes", item("bnc", fits=["rg6"]),
     "3 idle connectors", "surplus", "bnc", 10, 0),
    ("connectors of a method not allowed", quantity("bnc-twist", 4),
     "3 idle connectors", "surplus", "bnc-twist", 4, 0),
    ("connectors without a tool", quantity("tool-press", 0),
     "3 idle connectors", "surplus", "bnc", 10, 0),
    ("tool without connectors", quantity("bnc", 0),
     "3 idle connectors", "surplus", "tool-press", 1, 0),
    ("an odd balun", new(id="bal", kind="balun", families=["hd_coax"], reach="9 m"),
     "3 baluns", "surplus", "bal", 1, 0),
    ("no pigtail", quantity("tail-m", 0), "3 pigtails", "missing", "pigtails", 0, 1),
    # power
    ("no supply", quantity("ps-4", 0), "3 outputs", "missing", "supplies", 0, 1),
    ("no powered port", quantity("sw-6", 0), "3 outputs", "missing", "PoE", 0, 2),
    # 6 W / 12 V = 500 mA nominal of 0.1 x 4 A.
    ("too little current", site("spare", supply="90 %"),
     "3 supply current", "missing", "supplies", 400, 500),
    ("too little PoE", lambda t: t.item("sw-6")["poe"].update(budget="13.9 W"),
     "3 powered ports", "missing", "PoE", 13.9, 14),
    ("no ports", quantity("sw-6", 0), "3 switches", "missing", "switches", 0, 2),
    ("no rack link", quantity("patch-2", 0), "3 switches", "missing", "rack links", 0, 1),
    ("rack link too short", every(quantity("patch-2", 0), quantity("patch-05", 1)),
     "3 switches", "missing", "rack links", 0, 1),
    # Recorder, supply and switch; one lead is owned.
    ("mains leads", quantity("mains-c13", 1), "2.7 mains leads", "missing", "c13", 2, 3),
    ("mains lead of another type", new(id="mains-c7", kind="mains_lead", type="c7"),
     "2.7 mains leads", "surplus", "mains-c7", 1, 0),
    ("supply that feeds nothing", new(
        id="ps-ac", kind="supply", form="distribution", feed="24 V AC", volts="24 V",
        outputs="4", output_amps="1 A", total_amps="4 A", ends="screw"),
     "3 idle supplies", "surplus", "ps-ac", 1, 0),
    # sound
    ("no microphone", quantity("mic", 0), "4 microphones", "missing", "microphones", 0, 1),
    ("microphone for indoors", lambda t: t.site["audio"]["points"][0].update(
        place="outdoors"), "4 microphones", "missing", "microphones", 0, 1),
    ("microphone too many", quantity("mic", 2),
     "4 idle microphones", "surplus", "microphones", 2, 1),
    ("no audio input", item("rec-8", audio_inputs="0"),
     "4 audio inputs", "missing", "recorders", 0, 1),
    ("no audio cable", quantity("audio", 0),
     "4 audio wires", "missing", "audio leads", 0, 1),
    ("audio box too short", item("audio", box="22 m"),
     "4 audio wires", "missing", "audio cable", 22, 23),
    ("no audio connectors", quantity("rca", 0),
     "4 audio connectors", "missing", "rca", 0, 2),
    # money: 628.00 - 12.50 = 615.50, with 20 % tax 738.60
    ("over the budget", site("money", budget="738.59"),
     "5.5 budget", "limit", "budget", 738.6, 738.59),
    ("required item", quantity("sign", 1), "5.6 required items", "missing", "sign", 1, 2),
    ("extra without need", quantity("sign", 3), "5.6 idle extras", "surplus", "sign", 3, 2),
]  # fmt: skip


@pytest.mark.parametrize(
    ("spoil", "rule", "kind", "place", "amount", "limit"),
    [c[1:] for c in CASES],
    ids=[c[0] for c in CASES],
)
def test_the_fault_of_the_bill_is_found(spoil, rule, kind, place, amount, limit):
    trial = BillTrial()
    spoil(trial)
    found = trial.audited()
    matching = [f for f in found if (f.rule, f.kind, f.place) == (rule, kind, place)]
    assert matching, [str(f) for f in found]
    assert (amount, limit) in [(f.amount, f.limit) for f in matching]
    assert all(f.text for f in matching)


def test_every_rule_of_bills_has_a_fault_that_it_finds():
    assert {r.name for r in BILL_RULES} - {c[2] for c in CASES} == set()
    assert [r.name for r in BILL_RULES if not (r.check.__doc__ or "").strip()] == []


def test_the_worked_bill_has_no_findings():
    assert [str(f) for f in BillTrial().audited()] == []


@pytest.mark.parametrize("make", v.ALL, ids=[m.__name__ for m in v.ALL])
def test_no_bill_of_a_sound_design_lacks_anything(make):
    """The conditions are necessary: a bill that some wiring serves passes them."""
    variant = make()
    bill = [(one.item, one.quantity) for one in variant.written().bill]
    found = audit_bill(Site.model_validate(variant.site), variant.items(), (), bill)
    assert [str(f) for f in found] == []


def test_what_is_owned_counts_as_part_of_the_kit():
    trial = BillTrial()
    quantity("ps-4", 0)(trial)
    trial.site["owned"].append({"item": "ps-4", "quantity": "1"})
    assert [f for f in trial.audited() if f.rule == "3 outputs"] == []


def test_leads_join_up_as_far_as_the_policy_lets_them():
    """15 + 10 m cover 20 m with one joint, not with none."""
    for joints, missing in (("1", False), ("0", True)):
        variant = v.v5_joined()
        variant.site["policy"] = {"most_joints": joints}
        bill = [(one.item, one.quantity) for one in variant.written().bill]
        found = audit_bill(Site.model_validate(variant.site), variant.items(), (), bill)
        assert ("3 paths" in [f.rule for f in found]) is missing


@pytest.mark.parametrize(
    ("spoil", "reason"),
    [
        # The first rule that cam-ip breaks at the gate.
        (quantity("cam-hd", 0), "cam-ip is not made for outdoors"),
        # cam-hd at its longest 12 mm: 1920 x 12 / (4.8 x 10) = 480 px/m.
        (lambda t: t.site["zones"][0].update(detail="481 px/m"), "does not give 481 px/m"),
        (lambda t: t.site["zones"][0].update(width="200 m"), "takes 14 side by side"),
        # Recorded 500 px across: 125 px/m at the longest focal length, 160 px/m asked.
        (
            every(
                inputs(0, picture="500x500"),
                lambda t: t.site["zones"][0].update(detail="160 px/m"),
            ),
            "recorded with too small a one",
        ),
    ],
)
def test_the_reasons_why_no_camera_suits_are_given(spoil, reason):
    """125 px/m take 125 x 4.8 x 10 / 1920 = 3.125 mm, which shows 48 / 3.125 = 15.36 m: 200 m
    need 14 side by side, 8 are allowed."""
    trial = BillTrial()
    spoil(trial)
    found = [f for f in trial.audited() if f.rule == "1 cameras that suit"]
    assert [f.place for f in found] == ["gate"]
    assert reason in found[0].text


def test_a_zone_that_existing_cable_serves_needs_no_new_one():
    variant = v.v3_own_pair()
    bill = [(one.item, one.quantity) for one in variant.written().bill]
    site = Site.model_validate(variant.site)
    assert [f for f in audit_bill(site, variant.items(), (), bill) if f.rule == "3 paths"] == []
    variant.site["zones"][0]["existing"] = []
    found = audit_bill(Site.model_validate(variant.site), variant.items(), (), bill)
    assert [(f.place, f.kind) for f in found if f.rule == "3 paths"] == [("z", "missing")]
