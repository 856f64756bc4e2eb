"""For each constraint of the model a small case that it decides.

After a change of the model run ``python -m tests.unit.model.deciding`` and paste what it prints: it
tells which constraints no case of the corpus decides. Such a constraint needs a case by hand below,
or is an aid: then it belongs into :data:`AIDS`, with the reason why it changes no optimum.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from optimizer.instance.leaving import Leaving
from optimizer.model.draft import Draft
from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site, Zone
from tests.optimality import rooms
from tests.optimality.generator import free_case, tiny_case
from tests.optimality.plain_kit import ADAPTER, PAIR, SUPPLY, book, camera, site, zone
from tests.unit.model.tracing import Others, optimum, traced, without

AIDS = {
    "linking family/{family}/recorder": "a family in use has a recorder by its streams",
    "linking family/{family}/{number}": "says what the flag of a family means",
    "linking {name}.{step} [totals]": "the sum of what streams and storage rows ask, rounded",
    "linking {pack.name}/open{number} [box]": "a cut has a box by the pool or the unit rows",
    "linking {pack.name}/open{number} [supply]": "a load has a supply by the same rows",
    "linking {pack.name}/open{number} [switch]": "a port has a switch by the same rows",
    "packs {pack.name}/{one.item}.{unit}.order [box]": "units of one item are alike",
    "packs {pack.name}/{one.item}.{unit}.order [supply]": "units of one item are alike",
    "packs {pack.name}/{one.item}.{unit}.order [switch]": "units of one item are alike",
    "packs {pack.name}/{one.item}.{unit}.{index}.open [box]": "follows from the load",
    "packs {pack.name}/{one.item}.{unit}.{index}.open [supply]": "follows from the load",
    "packs {pack.name}/{one.item}.{unit}.{index}.open [switch]": "follows from the load",
    "parts tool/{role}/open{number}": "a connector in use has a tool by its own row",
    "recording on/{name}/{number}": "a stream on no unit breaks a limit of the units",
    "recording recorder/{name}.order": "units of one item are alike",
    "money stock/{item.id}": "no more can be used than is in stock where nothing is bought",
    "sound existing/{sound.point.id}/{entry}": "a point lays one audio pair and one power pair",
}

ROUNDED = {
    "packs {pack.name}/pool{number}.{dim}.{step} [box 0 rounded]",
    "packs {pack.name}/pool{number}.{dim}.{step} [supply 1 rounded]",
    "packs {pack.name}/pool{number}.{dim}.{step} [switch 2 rounded]",
}
"""These forbid sums that no real packing has: the pooled optimum may rise, up to the true one."""

SIAMESE = {**PAIR, "medium": "coax_power", "construction": "siamese", "gauge": "18 AWG"}
SIAMESE["fit"] = "rg59"


class Decided(NamedTuple):
    """A case of the corpus: kind, seed, and whether all packs are spelt out."""

    kind: str
    seed: int
    spelt: bool = False


def rising_breaks(_: int) -> tuple[Site, Book]:
    """Three signs at 13.00 each; 12.00 at two, 10.00 at one: mixing the tiers would be cheaper."""
    sign = {
        "kind": "extra",
        "price": "10.00",
        "breaks": [{"at_least": 2, "price": "12.00"}, {"at_least": 3, "price": "13.00"}],
    }
    needed = {"require": [{"item": "sign", "quantity": 3}]}
    return site(policy=needed), book(sign=sign)


def generous_offer(_: int) -> tuple[Site, Book]:
    """999.00 off when a sign is bought: the goods then cost nothing, never less than that."""
    made = book(sign={"kind": "extra", "price": "5.00"})
    gift = {
        "id": "gift",
        "name": "999.00 off with a sign",
        "when": [{"items": ["sign"], "at_least": 1}],
        "off": "999.00",
    }
    return site(), Book.model_validate({**made.model_dump(mode="json"), "offers": [gift]})


OLD_COAX = {"medium": "coax_power", "gauge": "18 AWG", "fit": "rg59", "terminated": True}


def idle_boxes(_: int) -> tuple[Site, Book]:
    """Two short boxes are to be used; two cuts are short enough, and one of them can be spared.

    The old cable at b saves two BNC. But then a alone can fill a short box: 40 m twice need a box
    of 100 m. Counted all together, three cuts would be enough for three boxes.
    """
    short = {**SIAMESE, "price": "20.00", "box": "30 m"}
    near = [zone("a"), zone("b", existing=[{**OLD_COAX, "length": "20 m"}])]
    far = [zone("c", run="40 m"), zone("d", run="40 m")]
    needed = {"require": [{"item": "short", "quantity": 2}]}
    return site(*near, *far, policy=needed), book(short=short)


def idle_supplies(_: int) -> tuple[Site, Book]:
    """Two weak supplies are to be used; two cameras are near enough, and one has mains.

    Copper of 18 AWG has 0.042 ohm for a metre there and back: at 5 m a camera of 6 W takes
    6 / 11.9 = 0.504 A, at 40 m 6 / 11.1 = 0.541 A, more than the 0.53 A of the weak supply. An
    adapter at b costs 1.00, the pigtail it saves 2.00.
    """
    weak = {**SUPPLY, "outputs": 1, "output_amps": "0.53 A", "total_amps": "0.53 A"}
    adapter = {**ADAPTER, "price": "1.00"}
    old = [{**OLD_COAX, "length": "5 m"}]
    near = [zone("a", run="5 m"), zone("b", run="5 m", mains=True, existing=old)]
    far = [zone("c", run="40 m"), zone("d", run="40 m")]
    needed = {"require": [{"item": "weak", "quantity": 2}]}
    return site(*near, *far, policy=needed), book(weak=weak, adapter=adapter)


def two_ways(_: int) -> tuple[Site, Book]:
    """Zones on two sides of a mount that bears one camera; another mount is dearer to reach.

    Both cameras of the book see either zone from the mount in the middle, which two leads of
    different lengths reach for 10.00 and 20.00; the other mount needs the longest, for 60.00.
    """
    zones = [
        rooms.zone(rooms.box(0.5, 2, 1.5, 4), "50 px/m", id="left"),
        rooms.zone(rooms.box(8.5, 2, 9.5, 4), "50 px/m", id="right"),
    ]
    mounts = [rooms.mount("middle", 5, 3), rooms.mount("end", 0, 3, run="35 m")]
    longest = {**LONG, "id": "lead-40", "price": "60.00", "length": "40 m"}
    wider = {**rooms.CAMERA, "id": "cam-wide", "focal": "2.4 mm"}
    return rooms.site(rooms.box(0, 0, 10, 6), zones, mounts), rooms.book(wider, LONG, longest).book


LONG = {
    "id": "lead-30", "kind": "lead", "name": "long lead", "price": "20.00",
    "carries": ["video", "power"], "length": "30 m", "series": "vp", "gauge": "18 AWG",
    "fit": "rg59",
}  # fmt: skip


def half_a_floor(_: int) -> tuple[Site, Book]:
    """Half of a floor is asked, which one camera sees; for all of it there would be two."""
    floor = rooms.zone(rooms.box(1, 1, 5, 5), "160 px/m", share="50 %")
    mounts = [rooms.mount("near", 0, 0), rooms.mount("far", 6, 6)]
    return rooms.site(rooms.square(6), [floor], mounts), rooms.book().book


def from_apart(_: int) -> tuple[Site, Book]:
    """Two cameras from apart: the nearest mounts are too close together, the third is dear."""
    floor = rooms.zone(rooms.box(1, 1, 2, 2), "50 px/m", cameras=2, apart="60 deg")
    mounts = [
        rooms.mount("a", 0, 0), rooms.mount("b", 0, 0.5), rooms.mount("c", 6, 6, run="25 m"),
    ]  # fmt: skip
    return rooms.site(rooms.square(6), [floor], mounts), rooms.book(LONG).book


def with_asked(seed: int) -> tuple[Site, Book]:
    """A drawn case that wants some boxes, supplies, switches or recorders used."""
    drawn, prices = free_case(seed)
    rng = random.Random(seed)
    kinds = rng.choice((("cable",), ("supply",), ("switch",), ("recorder",)))
    items = [i.id for i in prices.items if i.kind in kinds and i.id not in drawn.policy.forbid]
    chosen = rng.sample(items, min(len(items), rng.choice((1, 1, 2))))
    needed = tuple({"item": i, "quantity": rng.choice((1, 2, 3))} for i in chosen)
    policy = type(drawn.policy).model_validate(
        drawn.policy.model_dump(mode="json") | {"require": needed}
    )
    return drawn.model_copy(update={"policy": policy}), prices


def one_of_two(_: int) -> tuple[Site, Book]:
    """Two plain zones of which one may be left out: without that limit both would be."""
    return site(zone("a"), zone("b")), book()


COARSE = camera(price="80.00", picture="1280x720")
"""At 10 m it shows 106.7 px/m, the plain camera 160 px/m."""


def two_fine(_: int) -> tuple[Site, Book]:
    """Two zones alike that the coarse camera is too coarse for."""
    finest = camera(price="300.00", picture="3840x2160")
    return site(*fine("a", "b")), book(coarse=COARSE, finest=finest)


def three_cameras(_: int) -> tuple[Site, Book]:
    """Two zones alike; two coarser cameras, the coarsest being the cheapest, and taking most."""
    middle = camera(price="90.00", picture="1600x900")
    hungry = [{"feed": "12 V DC", "watts": "8 W", "volts": "10.8 to 13.2 V"}]
    return site(*fine("a", "b")), book(coarse={**COARSE, "feeds": hungry}, middle=middle)


def coarse_is_dear(_: int) -> tuple[Site, Book]:
    """What an easier site admits costs more than what there was."""
    return site(*fine("a", "b")), book(coarse=camera(price="150.00", picture="1280x720"))


def fine(*names: str, detail: str = "150 px/m") -> list[Zone]:
    """Zones alike."""
    return [zone(name, detail=detail) for name in names]


KINDS = {
    "two fine": two_fine,
    "three cameras": three_cameras,
    "coarse is dear": coarse_is_dear,
    "two ways": two_ways,
    "half a floor": half_a_floor,
    "from apart": from_apart,
    "tiny": tiny_case,
    "free": free_case,
    "asked": with_asked,
    "breaks": rising_breaks,
    "offer": generous_offer,
    "boxes": idle_boxes,
    "supplies": idle_supplies,
    "leaving": one_of_two,
}


LEAVING = {"leaving": Leaving({"a": 1, "b": 1}, 1)}
"""Kinds of case in which zones may be left out."""


EASY = {"detail": "100 px/m"}

OTHERS = {
    # a is to be finer than the plain camera shows; or a or b is to be coarse.
    "two fine": [
        Others({"x": site(*fine("a", detail="300 px/m"), *fine("b"))}),
        Others(
            {
                "x": site(*fine("a", **EASY), *fine("b")),
                "y": site(*fine("a"), *fine("b", **EASY)),
            }
        ),
    ],
    # With x, a may have any camera, b none that is new; y admits the one in the middle only.
    "three cameras": [
        Others(
            {
                "x": site(*fine("a", **EASY), *fine("b")),
                "y": site(*fine("a", detail="130 px/m"), *fine("b")),
            }
        )
    ],
    "coarse is dear": [Others({"x": site(*fine("a", "b", **EASY))}, frozenset("x"))],
}
"""Kinds of case, by seed, in which the program is any one of several sites."""


def told_of(case: Decided) -> tuple[Draft, list[str]] | None:
    """The program of a case and the labels of its rows."""
    others = OTHERS[case.kind][case.seed] if case.kind in OTHERS else None
    asked = KINDS[case.kind](case.seed)
    return traced(*asked, case.spelt, LEAVING.get(case.kind), others)


def posed(case: Decided) -> tuple[Draft, list[str]] | None:
    """The program of a case without aids and rounded rows, and the labels of its rows."""
    found = told_of(case)
    if found is None:
        return None
    draft, labels = found
    pairs = zip(draft.program.rows, labels, strict=True)
    kept = [(r, own) for r, own in pairs if own not in AIDS and own not in ROUNDED]
    draft.program = replace(draft.program, rows=[r for r, _ in kept])
    return draft, [own for _, own in kept]


def decides(case: Decided, label: str) -> bool:
    """Whether the optimum is another one without the rows of a label."""
    found = posed(case)
    assert found is not None, case
    draft, labels = found
    assert label in labels, (case, label)
    return optimum(without(draft, labels, label)) != optimum(draft.program)


DECIDES = {
    "changing change/{table.name}": Decided("three cameras", 0),
    "changing change/{table.name}.{name}": Decided("two fine", 0),
    "changing change/{table.name}/{number}": Decided("two fine", 1),
    "changing change//{name}": Decided("coarse is dear", 0),
    "coverage change": Decided("two fine", 0),
    "coverage gone": Decided("leaving", 0),
    "coverage models": Decided("free", 38),
    "coverage models/{item}/{program.names[var]}": Decided("free", 38),
    "coverage mount/{table.name}": Decided("two ways", 0),
    "coverage seen/{table.name}": Decided("breaks", 0),
    "money bought/{item.id}": Decided("breaks", 0),
    "money budget": Decided("tiny", 12),
    "money offers/goods": Decided("offer", 0),
    "money offers/sum": Decided("tiny", 0),
    "money offer/{offer.id}.most": Decided("tiny", 115),
    "money offer/{offer.id}.{number}": Decided("tiny", 1),
    "money offer/{offer.id}/{item_id}.active": Decided("tiny", 10),
    "money offer/{offer.id}/{item_id}.bought": Decided("tiny", 0),
    "money required/{item.id}": Decided("tiny", 11),
    "money required/{item.id}.kit": Decided("breaks", 0),
    "money tier/{item.id}": Decided("breaks", 0),
    "money tier/{item.id}.{start}.end": Decided("breaks", 0),
    "money tier/{item.id}.{start}.start": Decided("tiny", 10),
    "packs {pack.name}/all{index} [box]": Decided("tiny", 0, True),
    "packs {pack.name}/all{index} [supply]": Decided("tiny", 1, True),
    "packs {pack.name}/all{index} [switch]": Decided("tiny", 7, True),
    "packs {pack.name}/busy [box]": Decided("asked", 19),
    "packs {pack.name}/busy [supply]": Decided("asked", 761),
    "packs {pack.name}/busy [switch]": Decided("asked", 365),
    "packs {pack.name}/pool{number}.{dim}.{step} [box 0]": Decided("breaks", 0),
    "packs {pack.name}/pool{number}.{dim}.{step} [supply 0]": Decided("tiny", 1),
    "packs {pack.name}/pool{number}.{dim}.{step} [supply 1]": Decided("free", 82),
    "packs {pack.name}/pool{number}.{dim}.{step} [switch 0]": Decided("tiny", 7),
    "packs {pack.name}/pool{number}.{dim}.{step} [switch 1]": Decided("tiny", 72),
    "packs {pack.name}/pool{number}.{dim}.{step} [switch 2]": Decided("tiny", 40),
    "packs {pack.name}/{one.item}.busy [box]": Decided("boxes", 0),
    "packs {pack.name}/{one.item}.busy [supply]": Decided("supplies", 0),
    "packs {pack.name}/{one.item}.busy [switch]": Decided("asked", 80),
    "packs {pack.name}/{one.item}.units [box]": Decided("tiny", 0, True),
    "packs {pack.name}/{one.item}.units [supply]": Decided("tiny", 1, True),
    "packs {pack.name}/{one.item}.units [switch]": Decided("tiny", 7, True),
    "packs {pack.name}/{one.item}.{unit}.busy [box]": Decided("asked", 19, True),
    "packs {pack.name}/{one.item}.{unit}.busy [supply]": Decided("asked", 1, True),
    "packs {pack.name}/{one.item}.{unit}.busy [switch]": Decided("asked", 365, True),
    "packs {pack.name}/{one.item}.{unit}.load{dim} [box]": Decided("tiny", 0, True),
    "packs {pack.name}/{one.item}.{unit}.load{dim} [supply]": Decided("tiny", 1, True),
    "packs {pack.name}/{one.item}.{unit}.load{dim} [switch]": Decided("tiny", 7, True),
    "parts part/{role}": Decided("breaks", 0),
    "parts tool/{name}": Decided("tiny", 0),
    "parts tool/{name}/{program.names[var]}": Decided("tiny", 0),
    "parts {name}/{label}.{least} [injector]": Decided("tiny", 10),
    "parts {name}/{label}.{least} [local]": Decided("tiny", 1),
    "recording array/{name}": Decided("tiny", 19),
    "recording bays/{name}.{array}": Decided("free", 75),
    "recording bays/{name}.{array}.{drive.item}": Decided("free", 14),
    "recording busy/{name}": Decided("free", 535),
    "recording least/{name}.{array}": Decided("tiny", 19),
    "recording least/{name}.{array}.{drive.item}": Decided("tiny", 0),
    "recording recorded/{number}": Decided("breaks", 0),
    "recording recorder/{fit.item}.units": Decided("tiny", 0, True),
    "recording spare/channels": Decided("tiny", 19),
    "recording storage/{name}": Decided("tiny", 30),
    "recording {what}/{name} [audio]": Decided("free", 31),
    "recording {what}/{name} [channels]": Decided("free", 126),
    "recording {what}/{name} [encode]": Decided("tiny", 33),
    "recording {what}/{name} [ingest]": Decided("free", 12),
    "recording {what}/{name} [inputs.composite]": Decided("free", 62),
    "recording {what}/{name} [inputs.hd_coax]": Decided("free", 738),
    "recording {what}/{name} [inputs.network]": Decided("free", 80),
    "recording {what}/{name} [port_power]": Decided("tiny", 38),
    "recording {what}/{name} [ports]": Decided("free", 216),
    "recording {what}/{name} [steering]": Decided("free", 311),
    "sound sound/{name}": Decided("tiny", 1),
    "sound sound/{name}/leads": Decided("tiny", 15),
    "sound sound/{name}/pair": Decided("tiny", 1),
    "sound sound/{name}/stream": Decided("tiny", 30),
    "sound sound/{name}/tied": Decided("tiny", 28),
    "sound sound/{name}/{way}.{camera.id}.{microphone or 'own'}": Decided("free", 36),
    "streams stream/{table.name}/{own}": Decided("breaks", 0),
    "streams stream/{table.name}/{number}.ports": Decided("tiny", 7),
    "viewing aim/{name}/{lens}.{duty}": Decided("two ways", 0),
    "viewing view/{zone.id}/{number}": Decided("two ways", 0),
    "viewing view/{zone.id}/{number}.counts": Decided("half a floor", 0),
    "viewing view/{zone.id}/share": Decided("half a floor", 0),
    "viewing view/{zone}/{number}.{names[mount]}": Decided("from apart", 0),
    "viewing view/{zone}/{number}.{names[one]}.{names[two]}": Decided("from apart", 0),
    "wiring existing/{table.name}/{entry}": Decided("tiny", 30),
    "wiring fed/{table.name}/{number}": Decided("breaks", 0),
    "wiring path/{table.name}/{family}": Decided("tiny", 0),
    "wiring path/{table.name}/{family}.coax": Decided("free", 229),
    "wiring steer/{table.name}/{family}": Decided("tiny", 23),
}


def corpus() -> Iterator[Decided]:
    """Cases to look through, small ones first."""
    for kind in ("breaks", "offer", "boxes", "supplies", "leaving", *OTHERS):
        yield Decided(kind, 0)
    for seed in range(120):
        yield Decided("tiny", seed)
        yield Decided("tiny", seed, True)
    for seed in range(800):
        yield Decided("free", seed)
    for seed in range(1200):
        yield Decided("asked", seed)
        if seed < 400:
            yield Decided("asked", seed, True)


def search(wanted: set[str] | None = None) -> tuple[dict[str, Decided], set[str]]:
    """For each constraint the first case that it decides, and every label that was met."""
    found: dict[str, Decided] = {}
    met: set[str] = set()
    for case in corpus():
        drawn = posed(case)
        if drawn is None:
            continue
        draft, labels = drawn
        met |= set(labels)
        open_ = [x for x in dict.fromkeys(labels) if x not in found]
        if wanted is not None:
            open_ = [x for x in open_ if x in wanted]
        if open_:
            best = optimum(draft.program)
            found |= {x: case for x in open_ if optimum(without(draft, labels, x)) != best}
    return found, met


if __name__ == "__main__":
    decided, every = search()
    for name in sorted(decided):
        print(f"    {name!r}: Decided{tuple(decided[name])},")  # noqa: T201
    print("undecided:", sorted(every - set(decided)))  # noqa: T201
