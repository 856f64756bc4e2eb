"""Where asking for less surely costs no more."""

from __future__ import annotations

from collections.abc import Iterable

from optimizer.pricebook.loading import LoadedBook
from optimizer.site.requirements import Requirement
from optimizer.site.schema import Site

_FEWER_PIECES = ("detail", "width", "steerable")


def monotone(site: Site, book: LoadedBook, requirements: Iterable[Requirement]) -> bool:
    """Whether easing these requirements surely costs no more, and tightening them no less.

    With fewer cameras or microphones a recorder, supply or switch may be left with nothing to do
    (RULES.md 2.3 and 3); then pieces that must be used, channels that must stay free and audio
    inputs can cost more than before. Where nothing of the kind is asked, a design of the tighter
    site is a design of the looser one, or becomes one by taking pieces away.
    """
    jobs = _jobs(site, book)
    counting = counted(site, book)
    areas = {f"zones.{zone.id}" for zone in site.areas}
    for one in requirements:
        # Cameras on mounts are none too many while each sees some of a zone: no kit falls away.
        if one.quantity == "detail" and (one.place in areas or one.place.startswith("keep_outs.")):
            continue
        if one.quantity in _FEWER_PIECES or one.quantity == "":
            # Sound alone takes no camera away.
            if one.place.startswith("audio.") and not jobs:
                continue
            if counting:
                return False
        elif one.id == "audio/points" or one.id == "recording/export.optical":
            if jobs:
                return False
        elif one.id.startswith("policy/require.") or one.quantity == "pinned":
            item = one.quantity.removeprefix("require.")
            item = one.place.removeprefix("owned.") if one.quantity == "pinned" else item
            if book.items[item].kind == "camera":
                return False
    return True


def counted(site: Site, book: LoadedBook) -> bool:
    """Whether a site counts pieces, so that with a camera fewer a kit may be none any more."""
    return bool(_jobs(site, book)) or site.spare.channels > 0 or len(site.audio.points) > 1


def _jobs(site: Site, book: LoadedBook) -> set[str]:
    """Items that must be used for something."""
    wanted = {r.item for r in site.policy.require} | {o.item for o in site.owned if o.pinned}
    return {i for i in wanted if book.items[i].kind != "extra"}


__all__ = ["counted", "monotone"]
