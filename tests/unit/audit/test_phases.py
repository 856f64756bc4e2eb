"""The audit of a purchase in phases finds every rule of section 8 that is broken."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import cache

import pytest

from optimizer.audit.phases import Stated, audit_phases
from optimizer.design import Design
from optimizer.scenarios import PhasePlan, phases
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import book, site, zone
from tests.optimality.test_phases import named

LABOUR = {"labour": {"rate": "60.00", "pulling": "0.5 min/m"}}
ASKED = site(zone("a"), zone("b"), zone("c"), policy=LABOUR, money={"tax": "20 %"})
BOOK = book()
ITEMS = {item.id: item for item in BOOK.items}
Told = list[Stated]


@cache
def plan() -> PhasePlan:
    entries = ({"zones": ["a", "b"], "budget": "700.00"}, {"zones": ["c"]})
    end = time.monotonic() + 60
    return phases(unread(ASKED), loaded(BOOK), named(*entries), end, lambda _: None)


def told() -> Told:
    return [
        Stated(
            ASKED,
            phase.kit,
            {one.item: one.quantity for one in phase.owned},
            phase.labour,
            phase.net,
            phase.tax,
            phase.total,
            700_00 if number == 0 else None,
        )
        for number, phase in enumerate(plan().phases)
    ]


def findings(stated: Told) -> set[str]:
    return {finding.rule for finding in audit_phases(stated, ITEMS, BOOK.offers)}


def test_a_plan_as_it_is_has_none() -> None:
    assert plan().status == "optimal"
    assert audit_phases(told(), ITEMS, BOOK.offers) == []


def second(change: Callable[[Design], Design]) -> Told:
    """The plan with the kit of its second phase changed."""
    first, then = told()
    return [first, then._replace(design=change(then.design))]


def other_camera(design: Design) -> Design:
    first, *rest = design.cameras
    return design.model_copy(
        update={"cameras": (first.model_copy(update={"item": "other"}), *rest)}
    )


def no_recorder(design: Design) -> Design:
    return design.model_copy(update={"recorders": ()})


def shorter_run(design: Design) -> Design:
    first, *rest = design.runs
    return design.model_copy(update={"runs": (first.model_copy(update={"length_cm": 1999}), *rest)})


def no_cable(design: Design) -> Design:
    runs = tuple(run for run in design.runs if not run.place.startswith("a"))
    gone = {run.id for run in design.runs} - {run.id for run in runs}
    boxes = tuple(
        box.model_copy(update={"cuts": tuple(c for c in box.cuts if c not in gone)})
        for box in design.boxes
    )
    return design.model_copy(update={"runs": runs, "boxes": boxes})


def cut_apart(design: Design) -> Design:
    """What was cut from one box, from two."""
    (box,) = design.boxes
    one = box.model_copy(update={"cuts": box.cuts[:1]})
    two = box.model_copy(update={"id": "box-2", "cuts": box.cuts[1:2]})
    three = box.model_copy(update={"id": "box-3", "cuts": box.cuts[2:]})
    return design.model_copy(update={"boxes": (one, two, three)})


def fewer_parts(design: Design) -> Design:
    parts = tuple(p.model_copy(update={"pieces": 1}) for p in design.parts)
    return design.model_copy(update={"parts": parts})


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        (other_camera, "8.3 what is installed stays"),
        (no_recorder, "8.3 what is installed stays"),
        (shorter_run, "8.3 what is installed stays"),
        (no_cable, "8.3 what is installed stays"),
        (fewer_parts, "8.3 what is installed stays"),
        (cut_apart, "8.3 cable is cut once"),
    ],
    ids=lambda x: getattr(x, "__name__", ""),
)
def test_what_does_not_stay(change: Callable[[Design], Design], rule: str) -> None:
    assert rule in findings(second(change))


def test_stock_that_was_never_bought() -> None:
    first, then = told()
    more = {**then.stock, "cam": then.stock["cam"] + 1}
    assert findings([first, then._replace(stock=more)]) == {"8.2 stock of a phase"}
    less = {item: n for item, n in then.stock.items() if item != "rec"}
    assert findings([first, then._replace(stock=less)]) == {"8.2 stock of a phase"}


@pytest.mark.parametrize("what", ["labour", "net", "tax", "total"])
def test_money_that_does_not_add_up(what: str) -> None:
    first, then = told()
    for stated in ([first._replace(**{what: "1.23"}), then], [first, then._replace(**{what: ""})]):
        assert findings(stated) == {"8.4 money of a phase"}


def test_a_budget_that_is_passed() -> None:
    # Two zones 528 and 20 of labour, with 20 % tax 657.60.
    first, then = told()
    assert first.total == "657.60"
    assert findings([first._replace(budget=657_60), then]) == set()
    assert findings([first._replace(budget=657_59), then]) == {"8.4 money of a phase"}
