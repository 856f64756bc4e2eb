"""One question about a site with zones on a plan.

A kit is sought among the ways to aim that are listed, with cells counted only where they surely are
seen: what is proven of the least price is proven over that set. That there is no kit at all is
proven only where there is none if a cell counts wherever any lens might show a spot of it.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from optimizer.explaining.sameness import fingerprint
from optimizer.explaining.shaped import shown_by_cells, sought_by_shapes
from optimizer.instance import Instance, Memory, build_instance
from optimizer.model import build
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site
from optimizer.solving.answer import Reason
from optimizer.solving.glance import Glance
from optimizer.solving.placing import Placed, place, seeing_all, weight_of, with_floors
from optimizer.solving.pursue import Pursuit, pursue
from optimizer.solving.reasons import UNFIT, reasons, unseen
from optimizer.solving.search import Found

if TYPE_CHECKING:
    from optimizer.explaining.seeking import Have, Known, Question, Seeker, Sought

_VIEWS_SHARE, _FIRST_VIEWS = 0.4, 2.0
"""Of the time of a question, for the choice of views by itself; the latter for the first."""

_MUCH = 0.8
"""Share of the time given from which on more of it may have led further."""


_LARGE, _WHOLE_SECONDS = 1500, 15.0
"""Aims from which on a whole search is begun only if there is so much time for it. [s]"""

_SHAPES_SECONDS = 2.0
"""For a look at a kit by exact shapes. [s]"""

_EASIER_WORK = 1.0
"""Effort for the easier program of a large one, in deterministic units."""


@dataclass(frozen=True)
class Sighted:
    """What the choice of views alone says, with the time that it was given and that it took. [s]"""

    placed: Placed
    given: float
    taken: float


BETWEEN = "no way to aim that was looked at surely does, yet some other might"


def pin_cells(site: Site, book: LoadedBook, memory: Memory, until: float = math.inf) -> None:
    """Have zones cut in one way for all questions, as the first site has them cut.

    Parameters
    ----------
    until : float
        On the clock of ``time.monotonic``: when to cut no smaller. [s]
    """
    if memory.base is None and site.areas:
        viewing = build_instance(site, book, memory=memory, until=until).viewing
        assert viewing is not None
        memory.cut_as(viewing.prepared)


def seek_on_plan(seeker: Seeker, question: Question) -> Sought:
    """Search for a kit; see :class:`optimizer.explaining.seeking.Question`."""
    from optimizer.explaining import seeking
    from optimizer.explaining.seeking import Sought, least_net, tried

    site, first = question.site, question.first
    book, memory = seeker.book, seeker.memory
    end = time.monotonic() + question.seconds
    pin_cells(site if first is None else first.site, book, memory, end)
    have, known, below, enough = tried(question, book)
    if enough:
        return Sought(known, have)
    instance = build_instance(site, book, memory=memory, until=end)
    if not instance.recorders or instance.lacks_candidates:
        return Sought(seeking.nothing(known, below, _words(instance)), have)
    if below is not None and instance.viewing is not None and instance.viewing.stopped:
        # What costs less might be among what was not looked at.
        return Sought(known, have)
    if first is not None and not _by_cells(seeker, first):
        return _sought_by_shapes(seeker, instance, Sought(known, have, 1), below, end)
    rate = site.money.tax
    limit = None if below is None else least_net(below, rate)
    # What is proven of every choice of views holds for all questions that leave the views alone.
    placed = _placed(seeker, instance, question.seconds)
    viewing = instance.viewing
    assert viewing is not None
    if limit is not None and len(viewing.aims) > _LARGE:
        # A large program is looked at only where the easier one leaves room and time is left.
        bound = _easier(instance, placed, limit, end)
        size = len(viewing.aims)
        if bound is None:
            return Sought(seeking.nothing(known, below, ""), have, 1, size)
        if end - time.monotonic() < _WHOLE_SECONDS:
            return Sought(seeking.raised(known, bound, rate), have, 1, size)
    draft = build(instance)
    size, mark = len(draft.program.names), fingerprint(draft.program)
    with_floors(draft, placed.floors)
    if limit is not None and seeker.floors.get(mark, 0) >= limit:
        return Sought(seeking.nothing(known, below, ""), have, 0, size)
    seen = Glance(draft.program, limit)
    small = None
    if limit is not None:
        if seen.refuted:
            return Sought(seeking.nothing(known, below, ""), have, 0, size)
        small = seeking.at_once(draft, seen, limit, end)
    if small is None or small.found.status == "unknown":
        if time.monotonic() >= end:
            return Sought(seeking.raised(known, seen.bound, rate), have, 2, size)
        if not placed.possible:
            small = Pursuit(draft, Found("infeasible", None, None, None), None)
        else:
            small = pursue(instance, end, _quiet, below=limit, ties=False)
    before = Sought(known, have, 3, size)
    if small.found.status != "infeasible":
        small = _by_shapes(instance, small, end)
        return seeker._found(small, before, below, mark, end)
    if below is None:
        before = replace(before, known=_none_at_all(known, site, book, memory, end))
        if before.known.unmeetable or first is not None:
            return before
        # Nothing is known to hold a price against: the site itself may be such a one.
        return _sought_by_shapes(seeker, instance, before, None, end)
    assert limit is not None
    seeker.floors[mark] = limit
    return replace(before, known=seeking.nothing(known, below, ""))


def _by_cells(seeker: Seeker, first: Have) -> bool:
    """Whether whole cells show that the kit which is explained does; looked at once."""
    key = id(first)
    if key not in seeker.by_cells:
        instance = build_instance(first.site, seeker.book, memory=seeker.memory)
        # The kit is kept beside, so that its id stays its own.
        seeker.by_cells[key] = (first, shown_by_cells(instance, first.design))
    return seeker.by_cells[key][1]


def _sought_by_shapes(
    seeker: Seeker, instance: Instance, before: Sought, below: int | None, end: float
) -> Sought:
    """What exact shapes say, where whole cells say nothing of kits like the one explained."""
    from optimizer.explaining import seeking

    draft, rate = build(instance), instance.site.money.tax
    found, bound = sought_by_shapes(draft, seeker.memory, end)
    before = replace(before, size=len(draft.program.names))
    if found.found.values is not None:
        before = replace(before, known=replace(before.known, because=""))
        return seeker._found(found, before, below, b"", end)
    if bound is not None:
        return replace(before, known=seeking.raised(before.known, bound, rate))
    if below is not None:
        return replace(before, known=seeking.nothing(before.known, below, ""))
    if before.known.because:
        return before
    site, memory = instance.site, seeker.memory
    return replace(before, known=_none_at_all(before.known, site, seeker.book, memory, end))


def _by_shapes(instance: Instance, known: Pursuit, end: float) -> Pursuit:
    """A kit, or a cheaper one of fewer or cheaper cameras that does by exact shapes."""
    cost = known.found.objective
    if known.layout is None or cost is None:
        return known
    from optimizer.solving.shapes import Shapes

    until = min(end, time.monotonic() + _SHAPES_SECONDS)
    found = Shapes(instance, _quiet).lighter(known, until)
    if found is None or found.found.objective is None:
        return known
    # What is proven of the kits by cells is proven of these and this one.
    low = min(known.found.bound or 0, found.found.objective)
    status = "optimal" if known.found.status == "optimal" else "feasible"
    values = found.found.values
    return replace(found, found=Found(status, values, found.found.objective, low))


def _easier(instance: Instance, placed: Placed, limit: int, end: float) -> int | None:
    """What no kit costs less than by an easier program; None if that is the limit. [hundredth]

    There a camera sees at once whatever it could see in all of its aims.
    """
    draft = with_floors(build(seeing_all(instance)), placed.floors)
    seen = Glance(draft.program, limit)
    if seen.refuted:
        return None
    found = seen.settle(limit, max(end - time.monotonic(), 0.1), _EASIER_WORK)
    if found.status == "infeasible":
        return None
    if found.status == "optimal" and found.objective is not None:
        return found.objective
    return max(seen.bound or 0, found.bound or 0)


def _placed(seeker: Seeker, instance: Instance, seconds: float) -> Placed:
    """The choice of views by itself, sought again only where more time is given than before."""
    views = _views(instance)
    known = seeker.placed.get(views)
    # The first views are those of the site that is explained: most other questions share them.
    share = _VIEWS_SHARE if seeker.placed else _FIRST_VIEWS
    if known is None or known.taken > _MUCH * known.given < _MUCH * share * seconds / 2:
        begun = time.monotonic()
        found = place(instance, share * seconds)
        known = Sighted(found, share * seconds, time.monotonic() - begun)
        seeker.placed[views] = known
    return known.placed


def _views(instance: Instance) -> object:
    """What decides the choice of views by itself: the same for two sites, the same choice."""
    assert instance.viewing is not None
    tables = []
    for index, table in enumerate(instance.zones):
        if table.optional:
            for number, candidate in enumerate(table.candidates):
                assert candidate.duty is not None
                zones = tuple(sorted(table.duties[candidate.duty].zones))
                camera = candidate.view.camera.id
                cost = weight_of(instance, (index, number))
                tables.append((table.name, camera, candidate.lens, zones, cost))
    asked = tuple((z.id, z.share, z.cameras, z.apart) for z in instance.site.areas)
    # The views are kept by the memory, so that their id stays their own.
    return id(instance.viewing.prepared.views), asked, tuple(tables)


def _none_at_all(known: Known, site: Site, book: LoadedBook, memory: Memory, end: float) -> Known:
    """What is known where no listed way to aim does: unmeetable only if no way whatever does."""
    result, words = perhaps(site, book, memory, end)
    if result is None:
        return known
    if result.found.status == "infeasible":
        from optimizer.explaining.seeking import _confirmed

        return replace(known, unmeetable=True, because=words) if _confirmed(result, end) else known
    return replace(known, because=BETWEEN)


def perhaps(
    site: Site, book: LoadedBook, memory: Memory, end: float, below: int | None = None
) -> tuple[Pursuit | None, str]:
    """A search in which a cell counts if any lens on a mount might show a spot of it.

    What has no solution there has none however cameras are aimed.

    Parameters
    ----------
    end : float
        On the clock of ``time.monotonic``. [s]
    below : int, optional
        Only kits of a lower price are of interest. [hundredth, net]

    Returns
    -------
    tuple of Pursuit or None and str
        None where time ran out before it began; and what stands in the way, in words, if known.
    """
    if time.monotonic() >= end:
        return None, ""
    instance = build_instance(site, book, memory=memory, sure=False)
    result = pursue(instance, end, _quiet, below=below, ties=False)
    words = "" if result.found.status != "infeasible" else _words(instance)
    return result, words


def _words(instance: Instance) -> str:
    """What leaves no kit, in one sentence; empty where no single place does."""
    found = reasons(instance)
    if not found and instance.viewing is not None and not instance.viewing.sure:
        found = unseen(instance)
    if not found:
        return ""
    first, *rest = found
    bare = [r for r in rest if r.place.startswith("mounts.")]
    if not bare or first.place.partition("/")[2] in UNFIT:
        return _told(first)
    # Where no camera can be fixed on any mount, what it would see is beside the point.
    none = not any(table.candidates for table in instance.zones if table.optional)
    return _told(bare[0]) if none else f"{_told(first)}; {_told(bare[0])}"


def _told(reason: Reason) -> str:
    place = reason.place.partition("/")[0].removeprefix("zones.").removeprefix("mounts.")
    return f"{place}: {reason.limit}"


def _quiet(_: str) -> None:
    """Progress of a single question is not told."""


__all__ = ["BETWEEN", "perhaps", "pin_cells", "seek_on_plan"]
