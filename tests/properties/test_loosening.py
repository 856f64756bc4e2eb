"""Asking for less, or having more to choose from, never costs more."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from optimizer.site.schema import Site, Zone
from tests.properties.cases import (
    SEEDS,
    again,
    case,
    law,
    met,
    named,
    net,
    one_sound,
    unasked,
    with_items,
    with_part,
    with_zone,
)

SHARES = st.sampled_from([Decimal("0.97"), Decimal("0.8"), Decimal("0.5"), Decimal("0.2")])
PICK = st.integers(0, 99)


@law()
@given(SEEDS, SHARES)
def test_a_shorter_retention_never_costs_more(seed: int, share: Decimal) -> None:
    site, book = case(seed)
    before = met(site, book)
    shorter = with_part(site, recording={"retention": site.recording.retention * share})
    assert net(again(shorter), book) <= before


@law()
@given(SEEDS, SHARES, PICK)
def test_a_shorter_retention_of_a_zone_never_costs_more(
    seed: int, share: Decimal, pick: int
) -> None:
    site, book = case(seed)
    before = met(site, book)
    index = pick % len(site.zones)
    days = site.retention_days(site.zones[index]) * share
    assert net(with_zone(site, index, retention=days), book) <= before


@law()
@given(SEEDS, SHARES, PICK)
def test_a_lower_detail_never_costs_more(seed: int, share: Decimal, pick: int) -> None:
    site, book = case(seed)
    site = one_sound(unasked(site))
    before = met(site, book)
    index = pick % len(site.zones)
    lower = max(Decimal(1), Decimal(str(float(site.detail_px_m(site.zones[index])))) * share)
    text = f"{lower.quantize(Decimal('0.001'))} px/m"
    assert net(again(with_zone(site, index, detail=text)), book) <= before


@law()
@given(SEEDS, SHARES, PICK)
def test_a_narrower_view_of_the_same_detail_never_costs_more(
    seed: int, share: Decimal, pick: int
) -> None:
    # With n cameras f = min(longest, n x sensor x distance / width): a narrower scene only
    # lengthens the focal that may be set, so whoever fitted still fits.
    site, book = case(seed)
    site = one_sound(unasked(site))
    before = met(site, book)
    index = pick % len(site.zones)
    width = max(Decimal("0.3"), site.zones[index].width * share)
    assert net(with_zone(site, index, width=width), book) <= before


def weathered(zone: Zone) -> bool:
    """Whether a zone states a code or temperatures."""
    return bool(zone.ingress or zone.impact or zone.temperature)


def dim(zone: Zone) -> bool:
    """Whether a zone asks for anything at night."""
    return zone.night_colour or zone.night != "lit"


def one_of(site: Site, wanted: Callable[[Zone], bool], pick: int) -> int:
    """Index of one of the zones that are as wanted."""
    found = [i for i, zone in enumerate(site.zones) if wanted(zone)]
    return found[pick % len(found)]


@law()
@given(SEEDS, PICK)
def test_less_severe_weather_never_costs_more(seed: int, pick: int) -> None:
    site, book = case(seed, lambda s, _: any(map(weathered, s.zones)))
    before = met(site, book)
    index = one_of(site, weathered, pick)
    milder = with_zone(site, index, ingress=None, impact=None, temperature=None)
    assert net(milder, book) <= before


@law()
@given(SEEDS, PICK)
def test_lamps_at_night_or_grey_pictures_never_cost_more(seed: int, pick: int) -> None:
    site, book = case(seed, lambda s, _: any(map(dim, s.zones)))
    before = met(site, book)
    index = one_of(site, dim, pick)
    if site.zones[index].night_colour:
        assert net(with_zone(site, index, night_colour=False), book) <= before
    else:
        assert net(with_zone(site, index, night="lit"), book) <= before


@law()
@given(SEEDS)
def test_fewer_spare_channels_never_cost_more(seed: int) -> None:
    site, book = case(seed)
    more = with_part(site, spare={"channels": site.spare.channels + 1})
    before = met(more, book)
    assert net(site, book) <= before
    assert net(with_part(site, spare={"channels": 0}), book) <= before


@law()
@given(SEEDS, PICK)
def test_a_permission_never_costs_more(seed: int, pick: int) -> None:
    """The case with one more item forbidden, against the case as drawn."""
    site, book = case(seed)
    free = [i.id for i in book.items if i.id not in named(site, book)]
    item = free[pick % len(free)]
    forbidden = with_part(site, policy={"forbid": (*site.policy.forbid, item)})
    before = met(forbidden, book)
    assert net(site, book) <= before


@law()
@given(SEEDS)
def test_lifting_what_was_forbidden_never_costs_more(seed: int) -> None:
    site, book = case(seed, lambda s, _: s.policy.forbid)
    before = met(site, book)
    assert net(with_part(site, policy={"forbid": ()}), book) <= before


@law()
@given(SEEDS, st.integers(0, 50000))
def test_a_budget_decides_only_whether(seed: int, slack: int) -> None:
    site, book = case(seed)
    free = with_part(site, money={"budget": None})
    before = met(free, book)
    terms = {"budget": before + slack, "budget_includes_tax": False}
    assert net(with_part(site, money=terms), book) == before


@law()
@given(SEEDS, PICK)
def test_an_audio_point_less_never_costs_more(seed: int, pick: int) -> None:
    site, book = case(seed, lambda s, _: s.audio.points)
    site = unasked(site)
    before = met(site, book)
    gone = site.audio.points[pick % len(site.audio.points)]
    points = tuple(p for p in site.audio.points if p is not gone)
    assert net(again(with_part(site, audio={"points": points})), book) <= before


def sounding_only_in(site: Site, index: int) -> Site:
    """The site with the audio points of one zone alone; see :func:`one_sound`."""
    kept = tuple(p for p in site.audio.points if p.zone == site.zones[index].id)
    return with_part(site, audio={"points": kept})


def without_zone(site: Site, index: int) -> Site:
    """The site without a zone and the audio point in it."""
    zones = tuple(z for i, z in enumerate(site.zones) if i != index)
    silent = with_part(site, audio={"points": ()})
    return again(silent.model_copy(update={"zones": zones}))


@law()
@given(SEEDS, PICK)
def test_a_zone_less_never_costs_more(seed: int, pick: int) -> None:
    site, book = case(seed, lambda s, _: len(s.zones) > 1)
    index = pick % len(site.zones)
    site = unasked(sounding_only_in(site, index))
    before = met(site, book)
    assert net(without_zone(site, index), book) <= before


@law(30)
@given(SEEDS, PICK)
def test_an_item_more_in_the_book_never_costs_more(seed: int, pick: int) -> None:
    site, book = case(seed)
    free = [i for i in book.items if i.id not in named(site, book)]
    gone = free[pick % len(free)]
    before = met(site, with_items(book, [i for i in book.items if i is not gone]))
    assert net(site, book) <= before


@law()
@given(SEEDS, PICK, SHARES)
def test_a_lower_price_never_costs_more(seed: int, pick: int, share: Decimal) -> None:
    # Without breaks and offers: a percentage of a lower list price takes off less.
    site, book = case(seed)
    book = book.model_copy(update={"offers": ()})
    before = met(site, book)
    one = book.items[pick % len(book.items)]
    breaks = tuple(
        b.model_copy(update={"price": min(b.price, int(b.price * share))}) for b in one.breaks
    )
    cheaper = one.model_copy(update={"price": int(one.price * share), "breaks": breaks})
    items = [cheaper if i is one else i for i in book.items]
    assert net(site, with_items(book, items)) <= before
