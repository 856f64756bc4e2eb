"""Random cases for the laws: which are drawn, and sites and books with something changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from hypothesis import HealthCheck, assume, settings
from hypothesis import strategies as st

from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from tests.optimality.asking import program_net
from tests.optimality.generator import free_case

NEVER = 10**15
"""Stands for "cannot be met" where nets are compared. [hundredth]"""

SEEDS = st.integers(1000, 4999)
"""Apart from the draws that the second opinion judges in ``tests/optimality``."""

DRAWS = 40


def law(examples: int = 16) -> settings:
    """Settings of a law: always the same examples, as many as given."""
    return settings(
        derandomize=True,
        deadline=None,
        database=None,
        max_examples=examples,
        suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
    )


def case(
    seed: int, wanted: Callable[[Site, Book], object] = lambda _site, _book: True
) -> tuple[Site, Book]:
    """The first of the draws of a seed that is as wanted."""
    for turn in range(DRAWS):
        site, book = free_case(DRAWS * seed + turn)
        if wanted(site, book):
            return site, book
    raise AssertionError(f"none of {DRAWS} draws of seed {seed} is as wanted")


def net(site: Site, book: Book) -> int:
    """The proven, audited optimum; NEVER where the site is proven unmeetable. [hundredth]"""
    found = program_net(site, book)
    return NEVER if found is None else found


def met(site: Site, book: Book) -> int:
    """The optimum of a case that can be met; other cases are left aside."""
    found = net(site, book)
    assume(found != NEVER)
    return found


def unasked(site: Site) -> Site:
    """The site without what must be *in use* or left free.

    Fewer cameras may leave a recorder, a supply or a switch with nothing to do (RULES.md 2.3, 3),
    and then a piece that must be used, or channels that must be spare, can cost more than before.
    """
    owned = tuple(o.model_copy(update={"pinned": False}) for o in site.owned)
    return with_part(
        site.model_copy(update={"owned": owned}), policy={"require": ()}, spare={"channels": 0}
    )


def one_sound(site: Site) -> Site:
    """The site with its first audio point alone.

    A recorder in use has a camera (RULES.md 2.3): with fewer cameras there can be fewer recorders,
    and so fewer audio inputs.
    """
    return with_part(site, audio={"points": site.audio.points[:1]})


def with_part(site: Site, **parts: Mapping[str, Any]) -> Site:
    """The site with fields of its parts changed."""
    update = {k: getattr(site, k).model_copy(update=dict(v)) for k, v in parts.items()}
    return site.model_copy(update=update)


def with_zone(site: Site, index: int, **fields: Any) -> Site:
    """The site with fields of one zone changed."""
    zones = list(site.zones)
    zones[index] = zones[index].model_copy(update=fields)
    return site.model_copy(update={"zones": tuple(zones)})


def with_items(book: Book, items: Sequence[Any]) -> Book:
    """The book with other items."""
    return book.model_copy(update={"items": tuple(items)})


def named(site: Site, book: Book) -> set[str]:
    """Ids of items that the site or an offer names."""
    found = {o.item for o in site.owned} | {r.item for r in site.policy.require}
    found |= set(site.policy.forbid) | set(site.recording.measured)
    for offer in book.offers:
        found |= {i for c in offer.when for i in c.items} | set(offer.on)
    return found


def again(site: Site) -> Site:
    """The site validated anew, so that a change that the schema refuses cannot pass."""
    return Site.model_validate(site.model_dump(mode="json"))


def again_book(book: Book) -> Book:
    """The book validated anew."""
    return Book.model_validate(book.model_dump(mode="json"))


__all__ = [
    "NEVER",
    "SEEDS",
    "again",
    "again_book",
    "case",
    "law",
    "met",
    "named",
    "net",
    "one_sound",
    "unasked",
    "with_items",
    "with_part",
    "with_zone",
]
