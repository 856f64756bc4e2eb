"""Second best: the cheapest design of each signal family and cabling, and of other kinds.

What makes a design another *kind* are its camera models, its recorder models and the ways its
cameras are cabled; screws, drives and supplies follow from these. Designs are ranked so that each
lacks at least one kind of every cheaper one: none is the one before with something added to it.

The ranking is exact. A set of kinds that are left out is a node; the cheapest design without them
is found by a solve. Whatever differs from every design chosen so far lacks a kind of each, so a
node whose design does not is replaced by its children, one for each kind of the design it has in
common [1]_. Leaving out more never costs less, so the cheapest node first gives the cheapest design
first.

References
----------
.. [1] E. L. Lawler, "A procedure for computing the K best solutions to discrete optimization
   problems and its application to the shortest path problem", Management Science 18 (1972),
   401-405: the set of designs that are left is partitioned by what is forced or left out.
"""

from __future__ import annotations

import heapq
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from optimizer.design import Design
from optimizer.explaining.asking_plan import Better
from optimizer.explaining.carrying import carried
from optimizer.explaining.difference import bill_difference
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import Balun, Cable, Camera, Lead
from optimizer.site.loading import LoadedSite
from optimizer.site.runs import ways
from optimizer.site.schema import Mount, PlanZone, Site, Zone
from optimizer.solving import solve_site
from optimizer.solving.answer import Answer
from optimizer.solving.variants import Alternatives, Kinds, Variant

Progress = Callable[[str], None]
Kind = tuple[str, str]
"""What is told apart ("camera", "recorder" or "cabling"), and which one."""

COAX_FAMILIES = ("composite", "hd_coax")
CABLING = ("leads", "combined", "coax", "pairs", "network", "existing")
_OF_PATH = {"V1": "combined", "V2": "coax", "V4": "pairs", "V5": "leads"}
_SIGNAL_MEDIA = ("coax_power", "coax", "category")


def kinds_of(book: LoadedBook, design: Design) -> Kinds:
    """The kinds of a design, each in the order of the price book or of :data:`CABLING`."""
    used = {camera.item for camera in design.cameras}
    recorders = {recorder.item for recorder in design.recorders}
    models = [item for item in book.by_kind(Camera) if item.id in used]
    kept = [run for run in design.runs if run.existing is not None]
    old = {run.id for run in kept if run.medium in _SIGNAL_MEDIA}
    cabling = set()
    for camera in design.cameras:
        if camera.path.startswith("D"):
            cabling.add("network")
        elif camera.path in _OF_PATH:
            cabling.add(_OF_PATH[camera.path])
        if old & set(camera.runs):
            cabling.add("existing")
    return Kinds(
        families=tuple(dict.fromkeys(camera.family for camera in models)),
        cameras=tuple(camera.id for camera in models),
        recorders=tuple(item for item in book.items if item in recorders),
        cabling=tuple(way for way in CABLING if way in cabling),
    )


def _as_set(kinds: Kinds) -> tuple[Kind, ...]:
    return (
        *(("recorder", item) for item in kinds.recorders),
        *(("cabling", way) for way in kinds.cabling),
        *(("camera", item) for item in kinds.cameras),
    )


def left_out(site: Site, book: LoadedBook, kinds: Iterable[Kind]) -> Site | None:
    """The site answered by exactly those of its designs that neither use nor buy some kinds.

    None where there can be no such design, because the site wants an item of them used or allows
    no other signal family.
    """
    forbidden: list[str] = []
    for what, which in kinds:
        if what != "cabling":
            forbidden.append(which)
        elif which == "network":
            families = tuple(f for f in site.policy.families if f != "network")
            if not families:
                return None
            site = _with_policy(site, families=families)
        elif which == "existing":
            site = _without_existing(site, _SIGNAL_MEDIA)
        else:
            forbidden += _items_of(book, which)
    return _forbidding(site, forbidden)


def _items_of(book: LoadedBook, way: str) -> list[str]:
    """The items without which a cabling of composite and HD-coax cameras is not possible."""
    if way == "leads":
        return [lead.id for lead in book.by_kind(Lead) if "video" in lead.carries]
    if way == "pairs":
        return [balun.id for balun in book.by_kind(Balun)]
    medium = {"combined": "coax_power", "coax": "coax"}[way]
    return [cable.id for cable in book.by_kind(Cable) if cable.medium == medium]


def _with_policy(site: Site, **fields: object) -> Site:
    return site.model_copy(update={"policy": site.policy.model_copy(update=fields)})


def _forbidding(site: Site, items: Sequence[str]) -> Site | None:
    wanted = {n.item for n in site.policy.require} | {o.item for o in site.owned if o.pinned}
    if wanted & set(items):
        return None
    return _with_policy(site, forbid=tuple(dict.fromkeys((*site.policy.forbid, *items))))


def _without_existing(site: Site, media: Sequence[str]) -> Site:
    def stripped(zone: Zone | PlanZone) -> Zone | PlanZone:
        if isinstance(zone, PlanZone):
            return zone
        kept = tuple(cable for cable in zone.existing if cable.medium not in media)
        return zone.model_copy(update={"existing": kept})

    def bare(mount: Mount) -> Mount:
        kept = tuple(cable for cable in mount.existing if cable.medium not in media)
        return mount.model_copy(update={"existing": kept})

    zones = tuple(stripped(zone) for zone in site.zones)
    return site.model_copy(update={"zones": zones, "mounts": tuple(map(bare, site.mounts))})


def cabled_with(site: Site, book: LoadedBook, way: str) -> Site | None:
    """The site answered by those of its designs that cable every camera in one way.

    None where it cannot be asked for: the site wants an item used that the way rules out, or allows
    no signal family that it carries.
    """
    if way == "network":
        return _of_families(site, ("network",))
    coax = [other for other in ("leads", "combined", "coax", "pairs") if other != way]
    if way != "existing":
        media = ("coax_power", "coax") if way == "pairs" else _SIGNAL_MEDIA
        only = _of_families(_without_existing(site, media), COAX_FAMILIES)
        return None if only is None else left_out(only, book, [("cabling", o) for o in coax])
    # Baluns stay, for existing category cable; new category cable and the data leads that could
    # lie along a run go, shorter ones still link switches.
    new = [item for other in coax if other != "pairs" for item in _items_of(book, other)]
    new += [cable.id for cable in book.by_kind(Cable) if cable.medium == "category"]
    shortest = min([zone.run for zone in site.views] + [w.run for w in ways(site).values()])
    new += [
        lead.id
        for lead in book.by_kind(Lead)
        if lead.carries == ("data",) and lead.length * (site.policy.most_joints + 1) >= shortest
    ]
    return _forbidding(site, new)


def _of_families(site: Site, families: Sequence[str]) -> Site | None:
    both = tuple(f for f in site.policy.families if f in families)
    return _with_policy(site, families=both) if both else None


@dataclass
class _Asking:
    """Puts questions to the solver, none of them twice."""

    asked: LoadedSite
    book: LoadedBook
    deadline: float
    say: Progress
    first: Answer
    known: dict[str, Answer] = field(default_factory=dict)

    def answer(self, site: Site) -> Answer:
        key = site.model_dump_json()
        if key not in self.known:
            self.known[key] = solve_site(
                site,
                self.book,
                seconds=max(self.deadline - time.monotonic(), 0.1),
                site_sha256=self.asked.source.sha256,
            )
            self._compared(self.known[key])
        return self.known[key]

    def _compared(self, found: Answer) -> None:
        """On a plan a kit of another kind, sought over other ways to aim, may be the cheapest."""
        site = self.asked.site
        if site.areas and found.met and Decimal(found.total or 0) < Decimal(self.first.total or 0):
            design = carried(site, self.book, found.design())
            if design is not None:
                raise Better(design)

    @property
    def over(self) -> bool:
        return time.monotonic() >= self.deadline


def alternatives(
    asked: LoadedSite,
    book: LoadedBook,
    answer: Answer,
    count: int,
    deadline: float,
    say: Progress,
) -> Alternatives:
    """The cheapest design of each family and cabling, and the cheapest that differ in kind.

    Parameters
    ----------
    answer : Answer
        The cheapest design of all.
    count : int
        Designs that differ in kind, the cheapest among them; at least 1.
    deadline : float
        On the clock of ``time.monotonic``. [s]

    Raises
    ------
    ValueError
        If the answer holds no design, or `count` is less than 1.
    Better
        If zones are on a plan and a kit of another kind turns out to be cheaper.
    """
    if not answer.met or count < 1:
        raise ValueError("alternatives need a design to begin with, and a count of at least 1")
    site = asked.site
    asking = _Asking(asked, book, deadline, say, answer, {site.model_dump_json(): answer})
    ranked, left_open = _ranked(asking, answer, count)
    families = site.policy.families
    by_family = []
    for family in families if len(families) > 1 else ():
        say(f"cheapest design of family {family}")
        by_family.append(_variant(asking, answer, family, _of_families(site, (family,))))
    by_cabling = []
    for way in _ways(site):
        say(f"cheapest design with cabling {way}")
        by_cabling.append(_variant(asking, answer, way, cabled_with(site, book, way)))
    settled = all(v.status in ("optimal", "unmeetable") for v in (*by_family, *by_cabling))
    if not settled:
        left_open = left_open or "time ran out; what is not proven is said to be so"
    note = left_open
    if not note and len(ranked) < count:
        note = "every other design has all cameras, recorders and cabling of one of these"
    return Alternatives(
        families=tuple(by_family),
        cabling=tuple(by_cabling),
        ranked=ranked,
        complete=not left_open,
        note=note,
    )


def _ways(site: Site) -> list[str]:
    """The cablings that the site's families and existing cables could use at all."""
    families = site.policy.families
    ways = [w for w in CABLING[:4] if any(f in COAX_FAMILIES for f in families)]
    ways += ["network"] if "network" in families else []
    # A mount may stay empty: one with such a cable is enough, where each view has one.
    if all(any(e.medium in _SIGNAL_MEDIA for e in zone.existing) for zone in site.views) and (
        site.views or any(e.medium in _SIGNAL_MEDIA for m in site.mounts for e in m.existing)
    ):
        ways.append("existing")
    return ways


def _variant(asking: _Asking, first: Answer, name: str, site: Site | None) -> Variant:
    if site is None:
        return Variant(
            name=name,
            status="unmeetable",
            because="the site wants an item used, or a signal family, that does not go with it",
        )
    if asking.over and site.model_dump_json() not in asking.known:
        return Variant(name=name, status="undecided", because="no time was left to look")
    return _shown(asking.book, first, name, asking.answer(site))


def _shown(book: LoadedBook, first: Answer, name: str, found: Answer) -> Variant:
    if not found.met:
        because = "; ".join(f"{r.place}: {r.limit}" for r in found.reasons[:3])
        return Variant(name=name, status=found.status, because=because)
    assert found.total is not None
    assert first.total is not None
    design = found.design()
    return Variant(
        name=name,
        status=found.status,
        total=found.total,
        lower_bound=found.lower_bound,
        difference=str(Decimal(found.total) - Decimal(first.total)),
        kinds=kinds_of(book, design),
        bills=bill_difference(first.design(), design),
        design=design,
    )


def _ranked(asking: _Asking, first: Answer, count: int) -> tuple[tuple[Variant, ...], str]:
    """Designs that differ in kind, cheapest first, and what time left open."""
    book, site = asking.book, asking.asked.site
    chosen: list[Answer] = []
    kinds: list[tuple[Kind, ...]] = []
    # A node stands with its parent's total until it is solved: it cannot cost less.
    heap: list[tuple[Decimal, int, tuple[Kind, ...], Answer | None]] = []
    heapq.heappush(heap, (Decimal(first.total or 0), 0, (), first))
    seen: set[frozenset[Kind]] = {frozenset()}
    made = 1
    left_open = ""
    while heap and len(chosen) < count:
        least, _, out, answer = heapq.heappop(heap)
        if answer is None:
            if asking.over:
                left_open = "time ran out before all designs of other kinds were compared"
                break
            asking.say(f"looking for design {len(chosen) + 1} of another kind")
            answer = _without(asking, site, out)
            if answer is None or answer.status == "unmeetable":
                continue
            if answer.status == "undecided":
                left_open = "time ran out before all designs of other kinds were compared"
                break
            made += 1
            # Ordered by what is proven: an unproven total must not overtake another.
            bound = Decimal(answer.lower_bound or 0)
            heapq.heappush(heap, (max(bound, least), made, out, answer))
            continue
        mine = _as_set(kinds_of(book, answer.design()))
        alike = next((k for k in kinds if set(k) <= set(mine)), None)
        if alike is None:
            chosen.append(answer)
            kinds.append(mine)
            if answer.status != "optimal":
                left_open = "a design in the list is not proven cheapest of its kind"
                break
            alike = mine
        for kind in alike:
            child = frozenset((*out, kind))
            if child not in seen:
                seen.add(child)
                made += 1
                heapq.heappush(heap, (least, made, (*out, kind), None))
    variants = tuple(
        _shown(book, first, str(place), answer) for place, answer in enumerate(chosen, 1)
    )
    return variants, left_open


def _without(asking: _Asking, site: Site, out: tuple[Kind, ...]) -> Answer | None:
    changed = left_out(site, asking.book, out)
    return None if changed is None else asking.answer(changed)


__all__ = ["CABLING", "alternatives", "cabled_with", "kinds_of", "left_out"]
