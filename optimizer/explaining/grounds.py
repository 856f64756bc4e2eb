"""Which changes leave the ways to aim cameras on a plan as they are.

A plan is prepared for what its zones ask: other details, heights or lights have other focal
lengths and tilts listed, and other cameras on a mount. Then a least price, which is proven over the
listed ways, says nothing of the other site. What only counts how much is seen, how often, or how
long it is kept leaves all ways and cells the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from optimizer.pricebook.loading import LoadedBook
from optimizer.site.requirements import Requirement
from optimizer.site.schema import Site

_OF_AREA = ("share", "cameras", "apart", "recorded", "retention")
_OF_SITE = ("recording/retention", "spare/channels", "spare/storage", "spare/supply")


def same_views(site: Site, book: LoadedBook, requirements: Iterable[Requirement]) -> bool:
    """Whether easing or dropping any of these surely leaves the ways to aim as they are."""
    return not site.areas or all(_same(site, book, one) for one in requirements)


def _same(site: Site, book: LoadedBook, one: Requirement) -> bool:
    if one.place in {f"zones.{zone.id}" for zone in site.areas}:
        return one.quantity in _OF_AREA
    if one.quantity.startswith("require."):
        return book.items[one.quantity.removeprefix("require.")].kind not in ("camera", "recorder")
    return one.id in _OF_SITE or one.place.startswith(("zones.", "audio"))


def pools(site: Site, some: Sequence[Requirement]) -> list[list[Requirement]]:
    """Requirements of which all can be dropped together, in the order in which sets are sought.

    On a plan a zone by itself may cost nothing, and what it asks neither; with the zone what it
    asks is gone. So first what zones ask is looked at, then whole zones.
    """
    whole = {f"zones.{zone.id}" for zone in site.areas}
    if not whole:
        return [list(some)]
    asked = [r for r in some if r.id not in whole]
    return [asked, [r for r in some if r.id in whole or r.place not in whole]]


__all__ = ["pools", "same_views"]
