"""Which cameras may be fixed on which mount, and the plan prepared for the lenses of those."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction

from optimizer.errors import listed
from optimizer.instance.making import ZoneMaker
from optimizer.instance.memory import Memory
from optimizer.instance.optics import Refusal, View, may_stand, own_light
from optimizer.instance.shortlist import Offer, enough, holds, ranked
from optimizer.instance.streams import Level, camera_bytes, camera_rate
from optimizer.plan.prepared import Prepared
from optimizer.plan.prepared import View as PlanView
from optimizer.plan.refining import seen_often
from optimizer.plan.scene import Lens, Scene
from optimizer.pricebook.schema import Camera
from optimizer.reading.fields import PictureSize
from optimizer.site.runs import Way, ways
from optimizer.site.scenes import scene_of
from optimizer.site.schema import Mount, PlanZone, Site, Zone

_FINER = 3
"""How often cells that are too large to be surely seen are cut in four."""

_LONGER = 4.0
"""Times as long as one round of that the next one takes."""

_MOST_CUT = 24
"""Times as many cells as to begin with, from which on none is cut: a question may begin with cells
that were cut for another one."""


@dataclass
class Stock:
    """What may be fixed on one mount: cameras with a recorded picture, under their lens.

    Attributes
    ----------
    pictures : dict
        Lens key to the cameras and pictures that have these optics.
    """

    mount: Mount
    zone: Zone
    pictures: dict[str, list[tuple[Camera, PictureSize]]] = field(default_factory=dict)
    refusals: list[tuple[str, Refusal]] = field(default_factory=list)


class Shelf:
    """Puts lenses on mounts and has the plan prepared for them."""

    def __init__(self, site: Site, maker: ZoneMaker, memory: Memory) -> None:
        self.site, self.maker, self.memory = site, maker, memory
        self.lenses: dict[object, Lens] = {}
        self.considered: dict[str, None] = {}
        self.left_out: dict[str, None] = {}
        self.stopped = False

    def filled(self, sure: bool, until: float) -> tuple[list[Stock], Prepared]:
        """What may be fixed on each mount, and the plan prepared for it.

        Parameters
        ----------
        sure : bool
            Prepare the views of the lenses that promise most; else only what might be seen, be
            any lens aimed in any way.
        until : float
            On the clock of ``time.monotonic``: when to stop looking further. [s]
        """
        laid = ways(self.site)
        stocks = [self._stock(mount, laid[mount.id]) for mount in self.site.mounts]
        by_key = {lens.key: lens for lens in self.lenses.values()}
        if sure:
            return stocks, self._prepared(stocks, by_key, until)
        return stocks, _at_best(self._all(stocks, by_key))

    def of(self, prepared: Prepared) -> list[Stock]:
        """What may be fixed on each mount, with the lenses for which a plan is prepared already."""
        laid = ways(self.site)
        stocks = [self._stock(mount, laid[mount.id]) for mount in self.site.mounts]
        by_key = {lens.key: lens for lens in self.lenses.values()}
        for stock in stocks:
            if self.maker.rank is not None:
                self._drop_outdone(stock, by_key)
            kept = {lens.key for lens in prepared.lenses.get(stock.mount.id, ())}
            stock.pictures = {k: pairs for k, pairs in stock.pictures.items() if k in kept}
        return stocks

    def words(self, prepared: Prepared) -> str:
        """Over what set of cameras and aims a choice is cheapest."""
        left = [c for c in self.left_out if c not in self.considered]
        cameras = "every camera of the price book that may be fixed on a mount"
        if left:
            cameras = (
                f"{len(self.considered)} of the {len(self.considered) + len(left)} cameras that "
                f"may be fixed on a mount (not {listed(left, 6)}, which promise least ground for "
                "their price)"
            )
        ended = "; time ran out before more lenses or smaller cells were tried"
        return (
            f"{cameras}; {prepared.effort.words()}; areas cut into {len(prepared.cells)} cells, "
            "of which one counts as seen only if every spot of it surely is"
            f"{ended if self.stopped else ''}"
        )

    def _stock(self, mount: Mount, way: Way) -> Stock:
        stock = Stock(mount, _as_zone(mount, way))
        for camera in self.maker.cameras:
            refusal = may_stand(self.site, stock.zone, camera)
            pictures = self.maker.pictures[camera.id]
            if refusal is None and not pictures:
                refusal = Refusal("recorder", "no recorder takes it")
            if refusal is None and not self.maker.wired(stock.zone, camera):
                refusal = self.maker.unwired(stock.zone, camera)
            if refusal is not None:
                stock.refusals.append((camera.id, refusal))
                continue
            for picture in pictures:
                key = self._lens(camera, picture).key
                stock.pictures.setdefault(key, []).append((camera, picture))
        return stock

    def _prepared(self, stocks: Sequence[Stock], by_key: dict[str, Lens], until: float) -> Prepared:
        """The plan prepared for the lenses that promise most, and for more where these lack.

        Lenses are added while a zone cannot be seen through those that are kept, be each mount's
        camera aimed as it may for each cell.
        """
        scene = scene_of(self.site)
        waiting = self._ranked(scene, stocks, by_key)
        shelf = {s.mount.id: s.pictures for s in stocks}
        for stock in stocks:
            stock.pictures = {}
        prepared = self._with_more(scene, stocks, shelf, waiting, by_key, None)
        short = _lacking(prepared)
        took = 0.0
        for _ in range(_FINER):
            # Each round has several times as many cells as the one before.
            many = len(prepared.cells) > _MOST_CUT * self.memory.cells
            if not short or many or self._late(until - _LONGER * took):
                break
            begun = time.monotonic()
            # Often it is the cells that are too large, not the lenses that are too few.
            prepared = self.memory.finer(prepared)
            short, took = _lacking(prepared), time.monotonic() - begun
        while short and any(waiting.values()) and not self._late(until):
            prepared = self._with_more(scene, stocks, shelf, waiting, by_key, prepared)
            before, short = short, _lacking(prepared)
            if short >= before:
                break
        for stock in stocks:
            for key in waiting[stock.mount.id]:
                self.left_out |= dict.fromkeys(c.id for c, _ in shelf[stock.mount.id][key])
            for pairs in stock.pictures.values():
                self.considered |= dict.fromkeys(c.id for c, _ in pairs)
        return prepared

    def _late(self, until: float) -> bool:
        """Whether it is time to stop; remembered, so that the answer says so."""
        self.stopped = self.stopped or time.monotonic() > until
        return self.stopped

    def _all(self, stocks: Sequence[Stock], by_key: dict[str, Lens]) -> Prepared:
        """What might be seen, through all lenses that may be fixed on a mount."""
        lenses = {s.mount.id: tuple(by_key[k] for k in s.pictures) for s in stocks}
        return self.memory.plan_at_best(scene_of(self.site), lenses)

    def _with_more(
        self,
        scene: Scene,
        stocks: Sequence[Stock],
        shelf: dict[str, dict[str, list[tuple[Camera, PictureSize]]]],
        waiting: dict[str, list[str]],
        by_key: dict[str, Lens],
        known: Prepared | None,
    ) -> Prepared:
        """The plan prepared for some more lenses."""
        step = enough(len(stocks))
        fresh: dict[str, tuple[Lens, ...]] = {}
        for stock in stocks:
            name = stock.mount.id
            keys, waiting[name] = waiting[name][:step], waiting[name][step:]
            stock.pictures |= {k: shelf[name][k] for k in keys}
            fresh[name] = tuple(by_key[k] for k in keys)
        if known is None:
            return self.memory.plan(scene, fresh)
        return _joined(known, self.memory.plan(scene, fresh, known.cells))

    def _ranked(
        self, scene: Scene, stocks: Sequence[Stock], by_key: dict[str, Lens]
    ) -> dict[str, list[str]]:
        """The lenses of each mount, those first that promise most; outdone cameras are dropped."""
        known: dict[object, list[str]] = {}
        found = {}
        for stock in stocks:
            if self.maker.rank is not None:
                self._drop_outdone(stock, by_key)
            kind = tuple((k, *(c.id for c, _ in v)) for k, v in stock.pictures.items())
            if kind not in known:
                known[kind] = ranked(scene, self._offers(stock, by_key))
            found[stock.mount.id] = known[kind]
        return found

    def _offers(self, stock: Stock, by_key: dict[str, Lens]) -> list[Offer]:
        found: dict[tuple[str, str], float] = {}
        for key, pairs in stock.pictures.items():
            for camera, picture in pairs:
                share = min(
                    fit.recorder.price / fit.channels
                    for fit in self.maker.fits
                    if fit.item in self.maker.pictures[camera.id][picture]
                )
                price = camera.price + self.maker.alone(stock.zone, camera) + share
                one = (key, camera.family)
                found[one] = min(found.get(one, math.inf), price)
        return [Offer(by_key[key], family, price) for (key, family), price in found.items()]

    def _drop_outdone(self, stock: Stock, by_key: dict[str, Lens]) -> None:
        """Take out cameras in whose place another one shows no less and makes the kit cheaper."""
        rank = self.maker.rank
        assert rank is not None
        keep_outs = bool(self.site.plan and self.site.plan.keep_outs)
        asked = stock.zone.model_copy(
            update={
                "frame_rate": max(Decimal(z.frame_rate) for z in self.site.areas),
                "retention": max(Decimal(self.site.retention_days(z)) for z in self.site.areas),
            }
        )
        found = []
        for key, pairs in stock.pictures.items():
            for camera, picture in pairs:
                rate = camera_rate(self.site, asked, camera, picture)
                recorders = self.maker.pictures[camera.id][picture]
                level = Level(picture, rate, camera_bytes(self.site, asked, rate), recorders)
                view = View(camera, 1, Fraction(camera.focal.low), picture.width)
                found.append((key, view, (level,)))
        found.sort(key=lambda f: f[1].camera.price)
        kept: list[tuple[str, View, tuple[Level, ...]]] = []
        for one in found:
            beaten = any(
                (other[0] == one[0] or (not keep_outs and holds(by_key[other[0]], by_key[one[0]])))
                and other[1].camera.frame_rate >= one[1].camera.frame_rate
                and rank.beats(asked, other[1:], one[1:], lambda c: self.maker.alone(stock.zone, c))
                for other in kept
            )
            if not beaten:
                kept.append(one)
        left = {(key, id(view.camera), view.width_px) for key, view, _ in kept}
        for key in list(stock.pictures):
            stock.pictures[key] = [
                (c, p) for c, p in stock.pictures[key] if (key, id(c), p.width) in left
            ]
            if not stock.pictures[key]:
                del stock.pictures[key]

    def _lens(self, camera: Camera, picture: PictureSize) -> Lens:
        """The optics of a camera with a recorded picture; cameras that see alike share one."""
        reaches = []
        for zone in self.site.areas:
            reach = _reach(zone, camera)
            if math.isfinite(reach):
                reaches.append((zone.id, reach))
        sides = (camera.sensor_width, camera.sensor_height)
        key = (picture.width, *sides, camera.focal, tuple(reaches))
        if key not in self.lenses:
            self.lenses[key] = Lens(
                key=f"{camera.id}@{picture.width}",
                width_px=picture.width,
                sensor_width_mm=float(sides[0]),
                sensor_height_mm=float(sides[1]),
                focal_min_mm=float(camera.focal.low),
                focal_max_mm=float(camera.focal.high),
                reaches=tuple(reaches),
            )
        return self.lenses[key]


def _as_zone(mount: Mount, way: Way) -> Zone:
    """A mount in the form of a zone of one camera; it asks for nothing to be seen."""
    return Zone.model_construct(
        id=mount.id,
        name=mount.name,
        distance=Decimal(1),
        width=Decimal(1),
        detail="1 px/m",
        frame_rate=Decimal(0),
        place=mount.place,
        ingress=mount.ingress,
        impact=mount.impact,
        temperature=mount.temperature,
        run=way.run,
        mains=mount.mains,
        route=way.route,
        existing=mount.existing,
        most_cameras=1,
    )


def _reach(zone: PlanZone, camera: Camera) -> float:
    """How far a camera sees in a zone, optics apart: 0 where it cannot serve it. [m]"""
    if camera.frame_rate < zone.frame_rate or (zone.discreet and not camera.discreet):
        return 0.0
    return own_light(zone, camera)


def _joined(one: Prepared, two: Prepared) -> Prepared:
    """The same cells, prepared for the lenses of both."""
    order = {mount.id: n for n, mount in enumerate(one.scene.mounts)}
    lenses = {m: (*one.lenses.get(m, ()), *two.lenses.get(m, ())) for m in order}
    views = sorted((*one.views, *two.views), key=lambda view: order[view.mount_id])
    return replace(one, lenses=lenses, views=tuple(views), may={**one.may, **two.may})


def _lacking(prepared: Prepared) -> float:
    """Ground that zones lack, be each seen by as many of the mounts as may be. [m^2]"""
    often = seen_often(prepared)
    asked = {area.id: area for area in prepared.scene.areas}
    have = dict.fromkeys(asked, 0.0)
    whole = dict.fromkeys(asked, 0.0)
    for cell, mounts in zip(prepared.cells, often.tolist(), strict=True):
        whole[cell.area_id] += cell.area_m2
        if mounts >= asked[cell.area_id].cameras:
            have[cell.area_id] += cell.area_m2
    lacks = (area.share * whole[a] * (1 - 1e-9) - have[a] for a, area in asked.items())
    return sum(lack for lack in lacks if lack > 0)


def _at_best(prepared: Prepared) -> Prepared:
    """Each lens of a mount with a single view that holds whatever might be seen through it."""
    views = []
    for (mount, lens), cells in prepared.may.items():
        if len(cells):
            areas = tuple(sorted({prepared.cells[c].area_id for c in cells.tolist()}))
            views.append(PlanView(mount, lens, 0.0, 0.0, 0.0, cells, areas))
    return replace(prepared, views=tuple(views))
