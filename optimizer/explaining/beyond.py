"""What a kit must do that is cheaper than one proven cheapest for a site that asks for more.

No kit of the first site costs less than its proven total. So a cheaper kit of the changed site is
none of the first: somewhere it uses a camera that the first site refuses. Told so, a search ends
much sooner, above all where easing saves nothing. It holds for what decides only which cameras
suit a zone and how many side by side; what changes streams or the whole site is not covered.
"""

from __future__ import annotations

from optimizer.instance import Instance
from optimizer.instance.optics import suits, views
from optimizer.instance.recorders import recorder_fits
from optimizer.instance.streams import recorded_picture
from optimizer.instance.tables import Candidate, ZoneTable
from optimizer.model.draft import Draft, Terms
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Camera
from optimizer.site.schema import Site, Zone

SEEING = (
    "detail",
    "width",
    "night",
    "night_colour",
    "ingress",
    "impact",
    "temperature",
    "discreet",
    "most_cameras",
)
"""Quantities of a zone that decide which cameras suit it, and nothing else."""


Item = tuple[str, int]
"""Camera item, and how many side by side."""


def restrict(draft: Draft, first: Site) -> bool:
    """Add to a program that a camera is used which another site refuses.

    Parameters
    ----------
    draft : Draft
        The pooled program of the changed site.
    first : Site
        A site of which no kit costs less than the price to beat. If more differs than
        :data:`SEEING`, nothing is added.

    Returns
    -------
    bool
        False if no camera is: then no kit of the changed site is cheaper either.
    """
    site = draft.instance.site
    # A camera on a mount may serve several zones; what is refused there is a matter of geometry.
    if site.areas or not _differs_in_seeing(site, first):
        return True
    was = {zone.id: zone for zone in first.views}
    terms: Terms = []
    least: list[int] = []
    for index, table in enumerate(draft.instance.zones):
        changed = [z for z in table.zones if z != was[z.id]]
        before = {repr(_asked(was[z.id])): was[z.id] for z in changed}
        new = _new(draft, index, table, first, list(before.values()))
        if new:
            terms += new
            # Unchanged zones that ask for the same may be the ones that use what is old.
            spread = len(table.zones) - len(changed) + 1 if len(before) == 1 else 1
            least.append(spread)
    if not terms:
        return False
    draft.program.row("explaining/beyond", (), terms, lo=min(least))
    return True


def fresh(site: Site, first: Site, book: LoadedBook) -> frozenset[Item] | None:
    """Cameras, in a number side by side, that only a kit of a site has and none of another.

    A kit of the site with none of these is a kit of the other.

    Parameters
    ----------
    site : Site
        Whose kits are spoken of.
    first : Site
        The other.

    Returns
    -------
    frozenset of (str, int) or None
        Those that some zone takes, with fewer recorded pixels across than it does at the other or
        where the other refuses them. None if more differs than :data:`SEEING`.
    """
    if site.areas or not _differs_in_seeing(site, first):
        return None
    was = {zone.id: zone for zone in first.views}
    changed = [(zone, was[zone.id]) for zone in site.views if zone != was[zone.id]]
    recorders = [fit.recorder for fit in recorder_fits(site, book)[0]]
    found: set[Item] = set()
    for camera in book.by_kind(Camera):
        pictures = {recorded_picture(recorder, camera) for recorder in recorders}
        widths = [p.width for p in pictures if p is not None]
        for now, then in changed:
            there = _fewest(first, then, camera, widths)
            here = _fewest(site, now, camera, widths)
            found |= {(camera.id, n) for n, least in here.items() if there.get(n, _NEVER) > least}
    return frozenset(found)


def within(site: Site, first: Site, book: LoadedBook) -> bool:
    """Whether every kit of a site surely is one of another, by what zones have to see."""
    return fresh(site, first, book) == frozenset()


def _fewest(site: Site, zone: Zone, camera: Camera, widths: list[int]) -> dict[int, int]:
    """Fewest recorded pixels across with which a zone takes a camera, by the number of them."""
    if suits(site, zone, camera) is not None:
        return {}
    fitting = views(site, zone, camera, widths, every=camera.id in _wanted(site))
    return {v.count: v.width_px for v in fitting} if isinstance(fitting, list) else {}


def _wanted(site: Site) -> set[str]:
    """Items that the site wants used: they may stand more often than a zone needs."""
    return {r.item for r in site.policy.require} | {o.item for o in site.owned if o.pinned}


def _differs_in_seeing(site: Site, first: Site) -> bool:
    if first.areas or [z.id for z in site.zones] != [z.id for z in first.zones]:
        return False
    restored = tuple(
        zone.model_copy(update={name: getattr(was, name) for name in SEEING})
        for zone, was in zip(site.views, first.views, strict=True)
    )
    return site.model_copy(update={"zones": restored}) == first


def _asked(zone: Zone) -> Zone:
    return zone.model_copy(update={"id": "", "name": ""})


def _new(draft: Draft, index: int, table: ZoneTable, first: Site, before: list[Zone]) -> Terms:
    """Uses of cameras in a table that some zone, as it was asked before, refuses."""
    streams = [c for c in draft.stream_choices if c.table == index]
    terms: Terms = []
    for number, candidate in enumerate(table.candidates):
        needed = max(
            (_needed(draft.instance, first, zone, candidate) for zone in before), default=0
        )
        refused = [
            c.var for c in streams if c.candidate is candidate and c.level.picture.width < needed
        ]
        kept = [c for c in streams if c.candidate is candidate and c.var not in refused]
        # In a table of several zones it is not known which of them has which stream.
        if not kept or (refused and len(table.zones) > 1):
            terms.append((draft.cameras[index, number], 1))
        else:
            terms += [(var, 1) for var in refused]
    return terms


def _needed(instance: Instance, first: Site, zone: Zone, candidate: Candidate) -> int:
    """Fewest recorded pixels across with which a zone takes a camera; without limit if never."""
    camera, count = candidate.view.camera, candidate.view.count
    pictures = [recorded_picture(fit.recorder, camera) for fit in instance.recorders]
    widths = [p.width for p in dict.fromkeys(pictures) if p is not None]
    return _fewest(first, zone, camera, widths).get(count, _NEVER)


_NEVER = 2**31
