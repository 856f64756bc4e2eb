"""Second best: totals and kinds follow from the prices in ``door.py``."""

from __future__ import annotations

import time

import pytest

from optimizer.audit import audit_design
from optimizer.explaining.alternatives import alternatives, cabled_with, kinds_of, left_out
from optimizer.solving.answer import Answer
from optimizer.solving.variants import Alternatives, Variant
from tests.unit.explaining import door
from tests.unit.reporting import handmade


@pytest.fixture(scope="module")
def first() -> Answer:
    return door.answer()


@pytest.fixture(scope="module")
def found(first: Answer) -> Alternatives:
    return alternatives(door.asked(), door.book(), first, 9, time.monotonic() + 120, lambda _: None)


def figures(variants: tuple[Variant, ...]) -> list[tuple[str, str, str | None, str | None]]:
    return [(v.name, v.status, v.total, v.difference) for v in variants]


def test_designs_that_differ_in_kind(found: Alternatives) -> None:
    assert figures(found.ranked) == [
        ("1", "optimal", "231.00", "0.00"),
        ("2", "optimal", "242.00", "11.00"),
        ("3", "optimal", "257.40", "26.40"),
        ("4", "optimal", "268.40", "37.40"),
    ]
    kinds = [v.kinds for v in found.ranked]
    assert [(k.cameras, k.recorders, k.cabling) for k in kinds if k is not None] == [
        (("cam-hd",), ("rec-hd",), ("leads",)),
        (("cam-comp",), ("rec-comp",), ("leads",)),
        (("cam-hd",), ("rec-hd",), ("combined",)),
        (("cam-comp",), ("rec-comp",), ("combined",)),
    ]


def test_that_there_are_no_more_is_proven_and_said(found: Alternatives) -> None:
    assert found.complete
    assert found.note == "every other design has all cameras, recorders and cabling of one of these"


def test_families(found: Alternatives) -> None:
    assert figures(found.families) == [
        ("composite", "optimal", "242.00", "11.00"),
        ("hd_coax", "optimal", "231.00", "0.00"),
    ]


def test_cabling(found: Alternatives) -> None:
    assert figures(found.cabling) == [
        ("leads", "optimal", "231.00", "0.00"),
        ("combined", "optimal", "257.40", "26.40"),
        # The book has neither coax without power, nor baluns.
        ("coax", "unmeetable", None, None),
        ("pairs", "unmeetable", None, None),
    ]


def test_every_design_passes_the_audit_and_says_what_differs(found: Alternatives) -> None:
    book = door.book()
    for variant in (*found.ranked, *found.families, *found.cabling):
        if variant.design is not None:
            assert audit_design(door.asked().site, book.items, (), variant.design) == []
            assert variant.bills is not None
            assert variant.bills.total == variant.difference


def test_as_many_as_asked(first: Answer) -> None:
    two = alternatives(door.asked(), door.book(), first, 2, time.monotonic() + 60, lambda _: None)
    assert [v.total for v in two.ranked] == ["231.00", "242.00"]
    assert two.note == ""


def test_time_that_is_up_is_said(first: Answer) -> None:
    none = alternatives(door.asked(), door.book(), first, 3, time.monotonic() - 1, lambda _: None)
    assert [v.total for v in none.ranked] == ["231.00"]
    assert not none.complete
    assert none.note.startswith("time ran out")
    assert {v.status for v in none.families} == {"undecided"}


def test_kinds_of_the_handmade_design() -> None:
    # Leads at the till, coax with power at the gate, existing coax at the store.
    kinds = kinds_of(handmade.BOOK, handmade.DESIGN)
    assert kinds.families == ("hd_coax",)
    assert kinds.cameras == ("cam-bullet", "cam-dome")
    assert kinds.recorders == ("rec-8",)
    assert kinds.cabling == ("leads", "combined", "existing")


def test_what_is_left_out_of_a_site() -> None:
    site, book = handmade.SITE, handmade.BOOK
    without = left_out(site, book, [("cabling", "existing"), ("cabling", "leads")])
    assert without is not None
    assert [zone.existing for zone in without.zones] == [(), (), ()]
    assert without.policy.forbid == ("lead-vpa-25",)
    wanted = site.policy.model_copy(update={"require": (site.policy.require[0],)})
    pinned = site.model_copy(update={"policy": wanted})
    assert left_out(pinned, book, [("camera", "sign")]) is None
    alone = site.policy.model_copy(update={"families": ("network",)})
    only = site.model_copy(update={"policy": alone})
    assert left_out(only, book, [("cabling", "network")]) is None
    assert cabled_with(only, book, "leads") is None
    existing = cabled_with(site, book, "existing")
    assert existing is not None
    assert set(existing.policy.forbid) == {"lead-vpa-25", "cp59-18-100"}


def test_alternatives_begin_with_a_design(first: Answer) -> None:
    for answer, count in ((handmade.without_kit("unmeetable"), 2), (first, 0)):
        with pytest.raises(ValueError, match="a count of at least 1"):
            alternatives(door.asked(), door.book(), answer, count, time.monotonic(), lambda _: None)
