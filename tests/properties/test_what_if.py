"""Laws of what-ifs, alternatives and reasons, on random small sites with books of their own."""

from __future__ import annotations

import time
from decimal import Decimal

from hypothesis import assume, given

from optimizer import solving
from optimizer.explaining.alternatives import alternatives, kinds_of, left_out
from optimizer.explaining.difference import Wish, what_if
from optimizer.explaining.why import why
from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Book, Camera
from optimizer.reading import Source
from optimizer.site import LoadedSite
from optimizer.site.changes import changed
from optimizer.site.schema import Audio, Site
from optimizer.solving.answer import Answer
from optimizer.units import money
from tests.optimality.asking import loaded
from tests.optimality.readings import total_of
from tests.optimality.second import second_opinion
from tests.properties.cases import SEEDS, case, law, with_part

_SECONDS = 60
_REPLACED = ("drive", "cable", "lead", "supply", "recorder")
"""Kinds of which a drawn book often holds another that will do."""


def asked(site: Site) -> LoadedSite:
    """A site that was never a file."""
    return LoadedSite(site, Source("drawn", site.model_dump(mode="json"), {}, "0" * 64))


def meetable(seed: int) -> tuple[Site, Book]:
    """A drawn case that can be met, in the judgement of the second formulation."""
    return case(seed, lambda site, book: second_opinion(site, book) is not None)


def solved(site: Site, book: LoadedBook) -> Answer:
    """The proven answer of a case that can be met."""
    found = solving.solve_site(site, book, seconds=_SECONDS)
    assert found.status == "optimal"
    return found


def asked_if(site: Site, book: LoadedBook, before: Answer, wish: Wish) -> Answer:
    deadline = time.monotonic() + _SECONDS
    return what_if(asked(site), book, before, wish, deadline, lambda _: None)


def difference(answer: Answer) -> Decimal:
    assert answer.what_if is not None
    assert answer.what_if.status == "proven"
    assert answer.what_if.difference is not None
    bills = answer.what_if.bills
    assert bills is not None
    assert bills.total == answer.what_if.difference
    return Decimal(answer.what_if.difference)


@given(seed=SEEDS)
@law(8)
def test_there_and_back_is_nothing(seed: int) -> None:
    site, plain = meetable(seed)
    book = loaded(plain)
    before = solved(site, book)
    longer = {"recording/retention": f"{site.recording.retention * 3} days"}
    assume(second_opinion(changed(site, longer), plain) is not None)
    there = asked_if(site, book, before, Wish(values=longer))
    after = there.model_copy(update={"what_if": None})
    shorter = {"recording/retention": f"{site.recording.retention} days"}
    back = asked_if(changed(site, longer), book, after, Wish(values=shorter))
    assert difference(there) + difference(back) == 0
    assert back.total == before.total


@given(seed=SEEDS)
@law(8)
def test_doing_without_and_allowing_again_is_nothing(seed: int) -> None:
    site, plain = meetable(seed)
    book = loaded(plain)
    before = solved(site, book)
    named = {n.item for n in site.policy.require} | {o.item for o in site.owned}
    lines = [line.item for line in before.bill if line.kind in _REPLACED]
    gone = next((item for item in lines if item not in named), None)
    assume(gone is not None)
    assert gone is not None
    forbidden = with_part(site, policy={"forbid": (*site.policy.forbid, gone)})
    assume(second_opinion(forbidden, plain) is not None)
    there = asked_if(site, book, before, Wish(lack=(gone,)))
    assert difference(there) >= 0
    after = there.model_copy(update={"what_if": None})
    again = Wish(values={f"policy/forbid.{gone}": "none"})
    assert difference(there) + difference(asked_if(forbidden, book, after, again)) == 0


@given(seed=SEEDS)
@law(6)
def test_an_item_that_is_not_used_is_not_missed(seed: int) -> None:
    site, plain = meetable(seed)
    book = loaded(plain)
    before = solved(site, book)
    there = {line.item for line in before.bill} | {n.item for n in site.policy.require}
    there |= {o.item for o in site.owned}
    unused = [item for item in book.items if item not in there]
    assume(unused)
    chosen = unused[seed % len(unused)]
    after = asked_if(site, book, before, Wish(lack=(chosen,)))
    assert after.design() == before.design()
    assert difference(after) == 0
    # The same by a search of its own.
    forbidden = with_part(site, policy={"forbid": (*site.policy.forbid, chosen)})
    assert solved(forbidden, book).total == before.total


@given(seed=SEEDS)
@law(4)
def test_the_second_design_is_the_cheapest_that_lacks_a_kind(seed: int) -> None:
    site, plain = meetable(seed)
    book = loaded(plain)
    first = solved(site, book)
    found = alternatives(asked(site), book, first, 2, time.monotonic() + _SECONDS, lambda _: None)
    kinds = kinds_of(book, first.design())
    rest = [
        *(("camera", c) for c in kinds.cameras),
        *(("recorder", r) for r in kinds.recorders),
        *(("cabling", w) for w in kinds.cabling),
    ]
    nets = [
        second_opinion(other, plain)
        for one in rest
        if (other := left_out(site, book, [one])) is not None
    ]
    totals = [total_of(site, net) for net in nets if net is not None]
    second = [money(v.total) for v in found.ranked[1:] if v.total is not None]
    assert second == ([min(totals)] if totals else [])


@given(seed=SEEDS)
@law(10)
def test_a_camera_that_is_called_out_cannot_serve_the_zone(seed: int) -> None:
    site, plain = meetable(seed)
    book = loaded(plain)
    answer = solved(site, book)
    reasons = why(asked(site), book, answer)
    # Whatever does a job does it for something that the site asks.
    assert all(one.demands for one, line in zip(reasons, answer.bill, strict=True) if line.used)
    claims = [
        (zone, other)
        for one in reasons
        if isinstance(book.items[one.item], Camera)
        for other in one.others
        for zone in site.zones
        if zone.id in other.place.split(", ")
    ]
    assume(claims)
    zone, other = claims[seed % len(claims)]
    # The second formulation, which knows nothing of the tables that the reason comes from.
    assert second_opinion(_only(site, zone.id, other.item, plain), plain) is None


def _only(site: Site, zone: str, camera: str, book: Book) -> Site:
    """The site with one zone, and one camera item that may be used there."""
    zones = tuple(z for z in site.zones if z.id == zone)
    others = {i.id for i in book.items if isinstance(i, Camera)} - {camera}
    forbid = tuple(dict.fromkeys((*site.policy.forbid, *others)))
    bare = with_part(site, policy={"forbid": forbid, "require": ()}, spare={"channels": 0})
    money_terms = site.money.model_copy(update={"budget": None})
    free = {"zones": zones, "audio": Audio(), "owned": (), "money": money_terms}
    return bare.model_copy(update=free)
