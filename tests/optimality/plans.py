"""Random small plans, and their cheapest kit by trying every choice of views.

    python -m tests.optimality.plans START STOP

compares the solver with the enumeration on the plans of these seeds. What a view surely sees is
taken from the geometry, which has judges of its own; which views are chosen, whether they see
enough (RULES.md 7.6, by cells as 7.9 says), and what the kit then costs, is worked out here: the
prices of `rooms` are added up by hand, and no table, program or solver is used. A kit may do by
exact shapes where by cells none so cheap does: then it is shown to the judge of single spots.
"""

from __future__ import annotations

import math
import random
import sys
from itertools import combinations, pairwise, product
from typing import Any

from optimizer.design import Design
from optimizer.instance import build_instance
from optimizer.plan.prepared import Prepared
from optimizer.pricebook import LoadedBook
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from tests.optimality import rooms
from tests.optimality.judging_plans import share_seen

TELE: dict[str, Any] = {
    **rooms.CAMERA, "id": "cam-tele", "name": "long lens", "price": "55.00", "focal": "5 mm",
}  # fmt: skip
PRICES = {"cam": 40_00, "cam-tele": 55_00}


def drawn(seed: int) -> tuple[Site, LoadedBook]:
    """A room with two or three mounts, now and then with a wall, a shelf or two zones."""
    rng = random.Random(seed)
    wide, deep = rng.randint(5, 12), rng.randint(5, 10)
    spots = [(0, 0), (wide, 0), (wide, deep), (0, deep), (wide / 2, 0)]
    mounts = [
        rooms.mount(f"m{i}", x, y, height=f"{rng.choice((2, 2.5, 3))} m")
        for i, (x, y) in enumerate(rng.sample(spots, rng.choice((2, 2, 3))))
    ]
    zones = []
    for number in range(rng.choice((1, 1, 2))):
        left, low = rng.uniform(1, wide - 3), rng.uniform(1, deep - 3)
        area = rooms.box(
            round(left, 1), round(low, 1),
            round(left + rng.uniform(1, wide - 1.5 - left), 1),
            round(low + rng.uniform(1, deep - 1.5 - low), 1),
        )  # fmt: skip
        detail = f"{rng.choice((60, 120, 160, 220, 300))} px/m"
        more: dict[str, Any] = {}
        if rng.random() < 0.6:
            more["share"] = f"{rng.choice((50, 70, 90))} %"
        if rng.random() < 0.25:
            more["cameras"] = "2"
            if rng.random() < 0.5:
                more["apart"] = f"{rng.choice((20, 50, 80))} deg"
        zones.append(rooms.zone(area, detail, **more) | {"id": f"z{number}"})
    plan: dict[str, Any] = {}
    if rng.random() < 0.4:
        x = round(rng.uniform(1, wide - 1), 1)
        line = [[f"{x}", "0"], [f"{x}", f"{rng.uniform(1, deep):.1f}"]]
        plan["walls"] = [{"id": "screen", "line": line, "height": f"{rng.choice((1.2, 2.2, 4))} m"}]
    return rooms.site(rooms.box(0, 0, wide, deep), zones, mounts, **plan), rooms.book(TELE)


def price(cameras: list[str]) -> int:
    """What a kit with these cameras costs, up to four on one recorder. [hundredth]"""
    leads = 10_00 * len(cameras)
    supplies = 15_00 * math.ceil(len(cameras) / 2)
    return sum(PRICES[c] for c in cameras) + leads + supplies + 100_00 + 40_00 + 5_00


def by_trying_all(site: Site, book: LoadedBook) -> int | None:
    """The least net price of any choice of views; None if none sees enough. [hundredth]"""
    viewing = build_instance(site, book, reduce=False).viewing
    assert viewing is not None
    prepared = viewing.prepared
    names = [mount.id for mount in site.mounts]
    sets: dict[tuple[str, str], list[frozenset[int]]] = {}
    for view in prepared.views:
        key = (view.mount_id, view.lens_key.partition("@")[0])
        sets.setdefault(key, []).append(view.sure)
    best: int | None = None
    for items in product((None, *PRICES), repeat=len(names)):
        chosen = [(m, i) for m, i in zip(names, items, strict=True) if i is not None]
        cost = price([i for _, i in chosen]) if chosen else 0
        if not chosen or (best is not None and cost >= best):
            continue
        if _some_choice(site, prepared, [(m, sets.get((m, i), [])) for m, i in chosen]):
            best = cost
    return best


def _some_choice(
    site: Site, prepared: Prepared, looks: list[tuple[str, list[frozenset[int]]]]
) -> bool:
    """Whether some aim for each camera sees enough of every zone."""
    asked = [
        (
            {c: cell for c, cell in enumerate(prepared.cells) if cell.area_id == zone.id},
            zone,
        )
        for zone in site.areas
    ]
    places = {m.id: m.at for m in prepared.scene.mounts}
    return any(
        all(_enough(cells, zone, dict(zip((m for m, _ in looks), some, strict=True)), places)
            for cells, zone in asked)
        for some in product(*(_largest(sets) for _, sets in looks))
    )  # fmt: skip


def _largest(sets: list[frozenset[int]]) -> list[frozenset[int]]:
    kept: list[frozenset[int]] = []
    for one in sorted(set(sets), key=len, reverse=True):
        if not any(one <= other for other in kept):
            kept.append(one)
    return kept


def _enough(
    cells: dict[int, Any],
    zone: Any,
    sees: dict[str, frozenset[int]],
    places: dict[str, tuple[float, float]],
) -> bool:
    whole = sum(cell.area_m2 for cell in cells.values())
    seen = 0.0
    for number, cell in cells.items():
        looking = [m for m, some in sees.items() if number in some]
        if any(_apart(cell, some, places, float(zone.apart))
               for some in combinations(looking, zone.cameras)):  # fmt: skip
            seen += cell.area_m2
    return seen >= whole * float(zone.share) * (1 - 1e-7)


def _apart(
    cell: Any, some: tuple[str, ...], places: dict[str, tuple[float, float]], least: float
) -> bool:
    """Whether each two of some mounts lie apart from every corner, and every edge, of a cell.

    Along the edges too, in small steps: the angle is least at a corner or where an edge meets the
    line through both mounts.
    """
    if least == 0:
        return True
    ring = list(cell.polygon.exterior.coords)
    spots = [
        (x1 + (x2 - x1) * t / 64, y1 + (y2 - y1) * t / 64)
        for (x1, y1), (x2, y2) in pairwise(ring)
        for t in range(64)
    ]
    for one, two in combinations(some, 2):
        for x, y in spots:
            a = math.atan2(places[one][1] - y, places[one][0] - x)
            b = math.atan2(places[two][1] - y, places[two][0] - x)
            if math.degrees(abs((a - b + math.pi) % math.tau - math.pi)) < least - 1e-9:
                return False
    return True


def differs(seed: int) -> str:
    """What differs on a plan, or nothing."""
    site, book = drawn(seed)
    least = by_trying_all(site, book)
    found = solve_site(site, book, seconds=120)
    if least is None:
        if found.total is None or meets(site, book, found.design()):
            return ""
        return f"{found.total} is found where no choice does, and it sees too little"
    if found.net is None:
        return f"{found.status}, {least / 100:.2f} by trying all"
    net = round(100 * float(found.net))
    if found.status == "optimal" and net > least:
        return f"{found.net} is called cheapest, {least / 100:.2f} by trying all"
    if net < least and not meets(site, book, found.design()):
        return f"{found.net} is found, {least / 100:.2f} by trying all, and it sees too little"
    return ""


def meets(site: Site, book: LoadedBook, design: Design) -> bool:
    """Whether a kit sees what is asked by the judge of single spots, a share of them either way."""
    return all(
        share_seen(site, book, design, zone) >= float(zone.share) - 0.03 for zone in site.areas
    )


if __name__ == "__main__":
    wrong = 0
    for number in range(int(sys.argv[1]), int(sys.argv[2])):
        words = differs(number)
        wrong += bool(words)
        print(number, words or "agrees", flush=True)  # noqa: T201
    sys.exit(1 if wrong else 0)
