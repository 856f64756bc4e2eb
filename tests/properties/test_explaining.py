"""Laws of explanations: binding, headroom and price curves say what re-solving says."""

from __future__ import annotations

import time
from itertools import pairwise

from hypothesis import assume, given
from hypothesis import strategies as st

from optimizer.explaining.asking import Asker, Known
from optimizer.explaining.binding import binding
from optimizer.explaining.curve import curve
from optimizer.explaining.headroom import headroom
from optimizer.explaining.inquiry import Inquiry, without_budget
from optimizer.explaining.monotony import monotone
from optimizer.explaining.sameness import canonical
from optimizer.pricebook.schema import Book
from optimizer.site.changes import changed
from optimizer.site.requirements import Requirement, reaches, requirements
from optimizer.site.schema import Site
from optimizer.units import money
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.generator import tiny_case
from tests.properties.cases import SEEDS, law

PICK = st.integers(0, 99)


def asker(book: Book) -> Asker:
    """Somebody who knows nothing yet."""
    return Asker(loaded(book), time.monotonic() + 60, lambda _: None)


def afresh(site: Site, book: Book) -> Known:
    """The optimum of a site, found by itself."""
    known = asker(book).cheapest(site)
    assert known.settled
    return known


def solved(seed: int) -> tuple[Site, Book, Inquiry]:
    """A small site that can be met, without a budget, and questions about it."""
    site, book = tiny_case(seed)
    site = without_budget(site)
    asking = asker(book)
    assume(not asking.cheapest(site).unmeetable)
    have = asking.design(site)
    assert have is not None
    about = Inquiry.of(unread(site), loaded(book), have.design, asker(book))
    return site, book, about


def picked(listed: tuple[Requirement, ...], pick: int) -> Requirement:
    return listed[pick % len(listed)]


@law(14)
@given(SEEDS, PICK)
def test_easing_what_binds_lowers_the_total_and_nothing_else_does(seed: int, pick: int) -> None:
    site, book, about = solved(seed)
    r = picked(requirements(site), pick)
    assume(r.easier() is not None or r.can_be_dropped)
    one = binding(about, [r])[0]
    eased = afresh(changed(site, {r.id: r.easier()}), book)
    assert one.binds == (eased.high is not None and eased.high < about.total)


@law(14)
@given(SEEDS, PICK, st.integers(0, 30))
def test_tightening_within_headroom_keeps_the_total(seed: int, pick: int, steps: int) -> None:
    site, book, about = solved(seed)
    r = picked(reaches(site), pick)
    head = headroom(about, [r])[0]
    value = r.value
    for _ in range(min(steps, head.steps)):
        harder = r.harder(value)
        assert harder is not None
        value = harder
    if about.monotone([r]):
        assert afresh(changed(site, {r.id: value}), book).high == about.total
    if head.next is not None:
        beyond = afresh(changed(site, {r.id: head.next.changes[0].to}), book)
        assert beyond.unmeetable or beyond.low > about.total


RANGES = {
    "recording/retention": ("1 day", "90 days"),
    "zones.z1/frame_rate": ("1 fps", "30 fps"),
    "zones.z1/run": ("3 m", "120 m"),
    "zones.z1/detail": ("20 px/m", "500 px/m"),
}


@law(8)
@given(SEEDS, st.sampled_from(sorted(RANGES)), PICK)
def test_a_price_curve_rises_and_is_exact(seed: int, name: str, pick: int) -> None:
    site, book = tiny_case(seed)
    site = without_budget(site)
    low, high = RANGES[name]
    told = curve(unread(site), loaded(book), name, low, high, time.monotonic() + 60, lambda _: None)
    assert told.complete
    assert told.levels[0].first == low
    r = next(r for r in reaches(site) if r.id == name)
    if monotone(site, loaded(book), [r]):
        met = [money(x.total) for x in told.levels if x.total is not None]
        assert all(one < two for one, two in pairwise(met))
        # Nothing that is harder than what cannot be met can be met.
        assert all(x.total is not None for x in told.levels[:-1])
    level = told.levels[pick % len(told.levels)]
    for value in {level.first, level.last}:
        known = afresh(changed(site, {name: value}), book)
        expected = None if level.total is None else money(level.total)
        assert expected == (None if known.unmeetable else known.high)


@law(14)
@given(SEEDS, PICK)
def test_asking_for_less_costs_no_more_where_that_is_relied_on(seed: int, pick: int) -> None:
    site, book, about = solved(seed)
    sure = [r for r in requirements(site) if about.monotone([r])]
    assume(sure)
    r = sure[pick % len(sure)]
    for value in {r.easier(), None} if r.can_be_dropped else {r.easier()}:
        if value is not None or r.can_be_dropped:
            less = afresh(changed(site, {r.id: value}), book)
            assert less.high is not None
            assert less.high <= about.total


@law(20)
@given(SEEDS)
def test_names_and_order_do_not_matter_to_a_question(seed: int) -> None:
    site, _ = tiny_case(seed)
    renamed = site.model_copy(update={"name": "other", "zones": tuple(reversed(site.zones))})
    assert canonical(renamed) == canonical(site)
    more = changed(site, {"recording/retention": "3000 days"})
    assert canonical(more) != canonical(site)
