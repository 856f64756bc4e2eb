"""One search for several sites: each comes to the price that it has by itself.

The plain kit for two zones costs 528.00 (see `plain_kit`): two cameras at 100.00. The coarse camera
at 80.00 shows 106.7 px/m at 10 m, so a zone that asks for 100 px/m saves 20.00 with it, and one
that asks for 150 px/m cannot have it. The finest at 300.00, of 8 mm, shows
1920 x 8 / (4.8 x 10) = 320 px/m.
"""

from __future__ import annotations

import time
from decimal import Decimal

import pytest

from optimizer.explaining.batch import Batch, batches
from optimizer.explaining.seeking import Have, Known, Seeker
from optimizer.instance import build_instance
from optimizer.instance.changing import expressible, merged, stricter
from optimizer.model import build
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from optimizer.solving.several import settle
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import TWO, book, camera, site, zone

COARSE = camera(price="80.00", picture="1280x720")
FINEST = camera(price="300.00", focal="8 mm")
PRICES = book(coarse=COARSE, finest=FINEST)


def asking(gate: str = "150 px/m", yard: str = "150 px/m", **more: object) -> Site:
    return site(zone("gate", detail=gate), zone("yard", detail=yard, run="20 m"), **more)


BASE = asking()
SITES = {
    "easy gate": asking(gate="100 px/m"),
    "easy yard": asking(yard="100 px/m"),
    "both": asking("100 px/m", "100 px/m"),
    "fine": asking(gate="300 px/m"),
    "alone": site(zone("gate", detail="150 px/m")),
    "spare": asking(spare={"channels": 3}),
    "finest": asking(gate="400 px/m"),
}
COSTS = {
    "easy gate": TWO - 2000,
    "easy yard": TWO - 2000,
    "both": TWO - 4000,
    "fine": TWO + 20000,
    # A camera 100.00, two BNC and a pigtail less.
    "alone": TWO - 10400,
    # Five channels on recorders of four: a second one and its drive.
    "spare": TWO + 25000,
}


def settled(names: list[str], known: dict[str, int | None]) -> dict[str, tuple[int, int]]:
    others = {"": BASE, **{name: SITES[name] for name in names}}
    fresh = [n for n in names if known[n] == TWO]
    draft = build(build_instance(BASE, loaded(PRICES), others=others, fresh=fresh))
    found = settle(draft, known, 30.0)
    return {n: (found.least[n], found.prices[n]) for n in names}


def test_every_change_comes_to_its_own_price() -> None:
    names = [n for n in SITES if n in COSTS]
    known: dict[str, int | None] = dict.fromkeys(names, 200000)
    assert settled(names, known) == {n: (COSTS[n], COSTS[n]) for n in names}


def test_only_what_is_new_is_looked_at() -> None:
    names = ["easy gate", "easy yard", "both"]
    assert settled(names, dict.fromkeys(names, TWO)) == {n: (COSTS[n], COSTS[n]) for n in names}


def test_what_is_not_below_the_price_to_beat_is_not_told() -> None:
    assert settled(["fine"], {"fine": TWO + 20000}) == {"fine": (TWO + 20000, TWO + 20000)}
    assert settled(["fine"], {"fine": TWO + 100}) == {"fine": (TWO + 100, TWO + 100)}


def test_without_a_first_kit_nothing_is_claimed() -> None:
    # No kit is named to begin near, so that a change without a price is not looked into.
    assert settled(["easy gate", "fine"], {"easy gate": TWO, "fine": None}) == {
        "easy gate": (TWO - 2000, TWO - 2000),
        "fine": (0, pytest.approx(0, abs=10**9)),
    }


def test_nothing_is_claimed_of_what_no_camera_does() -> None:
    # 400 px/m are more than the finest camera shows: no kit is below any price.
    assert settled(["finest"], {"finest": 10**6}) == {"finest": (10**6, 10**6)}


def test_what_is_stricter() -> None:
    others = {"": BASE, **SITES}
    instance = build_instance(BASE, loaded(PRICES), others=others)
    # The finest camera is never worth its price for 150 px/m, so it is new where 300 are asked.
    assert stricter(instance) == {"", "spare", "finest"}


def test_changes_that_admit_the_same_are_one() -> None:
    """100 and 106 px/m let in the coarse camera of 106.7 px/m, 149 does not; 300 takes the finest.

    Gate and yard ask for the same, so it does not matter which of them eases. A view of 7 m changes
    nothing: every picture is 12 m wide there. Nor does 149 px/m, but the first site stands for
    itself only.
    """
    narrow = site(zone("gate", detail="150 px/m", width="7 m"), *BASE.zones[1:])
    others = {
        "": BASE, "100": asking("100 px/m"), "106": asking("106 px/m"), "149": asking("149 px/m"),
        "yard": asking(yard="100 px/m"), "300": asking("300 px/m"), "narrow": narrow,
    }  # fmt: skip
    instance, stands = merged(build_instance(BASE, loaded(PRICES), others=others))
    assert stands == {
        "": "", "100": "100", "106": "100", "149": "149", "yard": "100", "300": "300",
        "narrow": "149",
    }  # fmt: skip
    assert [c.name for c in instance.changes] == ["", "100", "149", "300"]
    left = {"", "100", "149", "300"}
    assert all(c.changes <= left for table in instance.zones for c in table.choices)


def test_a_batch_tells_alike_changes_the_same() -> None:
    """The gate at 100 and at 106 px/m: 20.00 less with the coarse camera; each audited."""
    sites = (asking("100 px/m"), asking("106 px/m"), asking(yard="100 px/m"))
    batch = Batch(first(), sites, (Known(high=TWO),) * 3, None, 30.0)
    found = batch.answered(Seeker(loaded(PRICES)))
    assert [one.known.low for one in found] == [TWO - 2000] * 3
    assert [one.have.total for one in found if one.have is not None] == [TWO - 2000] * 3
    for asked, one in zip(sites, found, strict=True):
        assert one.have is not None
        assert one.have.site == asked


def first() -> Have:
    return Have(BASE, solve_site(BASE, loaded(PRICES)).design())


def test_a_batch_gives_audited_designs() -> None:
    have = first()
    assert have.total == TWO
    names = ["easy gate", "both", "fine", "alone", "spare"]
    known = [Known(high=TWO), Known(high=TWO), Known(), Known(), Known()]
    sites = tuple(SITES[n] for n in names)
    batch = Batch(have, sites, tuple(known), None, 30.0)
    found = batch.answered(Seeker(loaded(PRICES)))
    for name, sought in zip(names, found, strict=True):
        assert sought.known.low == COSTS[name], name
        assert sought.have is not None, name
        assert (sought.have.total, sought.have.site) == (COSTS[name], SITES[name]), name


def test_a_batch_without_time_claims_nothing() -> None:
    known = Known(low=100, high=TWO)
    batch = Batch(first(), (SITES["easy gate"], SITES["both"]), (known, known), None, -1.0)
    begun = time.monotonic()
    for name, sought in zip(
        ("easy gate", "both"), batch.answered(Seeker(loaded(PRICES))), strict=True
    ):
        assert sought.known.low <= COSTS[name]
    assert time.monotonic() - begun < 20


def changed(**update: object) -> Site:
    gate, yard = BASE.views
    return BASE.model_copy(update={"zones": (gate.model_copy(update=update), yard)})


@pytest.mark.parametrize(
    "other",
    [
        asking(policy={"forbid": ["coarse"]}),
        asking(recording={"retention": "7 days", "drive_failures": 1}),
        asking(spare={"supply": "30 %"}),
        site(zone("yard", run="20 m"), zone("gate")),
        changed(route="outdoor"),
    ],
    ids=["policy", "array", "supply", "order", "route"],
)
def test_what_cannot_stand_beside_the_first_site(other: Site) -> None:
    assert not expressible(BASE, other)


@pytest.mark.parametrize(
    "other",
    [
        asking(recording={"retention": "8 days"}),
        asking(spare={"storage": "10 %"}),
        changed(run="30 m"),
        changed(frame_rate="5 fps"),
        *SITES.values(),
    ],
)
def test_what_can(other: Site) -> None:
    assert expressible(BASE, other)


def test_a_zone_with_sound_does_not_change() -> None:
    point = {"id": "ear", "zone": "gate", "run": "20 m"}
    heard = asking(audio={"points": [point], "consent": "posted"})
    gate, yard = heard.views
    louder = heard.model_copy(
        update={"zones": (gate.model_copy(update={"detail": "100 px/m"}), yard)}
    )
    other = heard.model_copy(
        update={"zones": (gate, yard.model_copy(update={"detail": "100 px/m"}))}
    )
    assert not expressible(heard, louder)
    assert expressible(heard, other)


def test_batches_are_of_one_kind() -> None:
    sites = [SITES[n] for n in ("easy gate", "easy yard", "alone", "fine", "spare")]
    sites.append(changed(frame_rate="5 fps"))
    sites.append(asking(policy={"forbid": ["coarse"]}))
    # What is left by itself in its kind, or cannot stand beside the first site, is asked alone.
    assert batches(BASE, sites, [False, False, False, True, True, False, False]) == [[0, 1]]


def test_what_the_first_site_admits_counts_where_less_is_kept_spare() -> None:
    # Three spare channels take a second recorder and drive, 250.00; without them the plain cameras
    # do, and the coarse one, dearer here, is of no use.
    dear = loaded(book(coarse=camera(price="150.00", picture="1280x720")))
    begun = asking(spare={"channels": 3})
    other = asking(gate="100 px/m")
    draft = build(build_instance(begun, dear, others={"": begun, "x": other}, fresh=["x"]))
    found = settle(draft, {"x": TWO + 25000}, 30.0)
    assert (found.least["x"], found.prices["x"]) == (TWO, TWO)


def test_a_figure_written_otherwise_is_no_change() -> None:
    gate, yard = BASE.views
    same = gate.model_copy(update={"recorded": Decimal("1.00")})
    other = BASE.model_copy(
        update={"zones": (same, yard), "spare": BASE.spare.model_copy(update={"channels": 1})}
    )
    instance = build_instance(BASE, loaded(PRICES), others={"": BASE, "x": other})
    assert not any(table.shifts for table in instance.zones)
