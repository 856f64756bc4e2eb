"""What was worked out for one site and holds for others, so that a question is not begun anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from optimizer.instance.alone import Alone
from optimizer.instance.cables import Construction
from optimizer.instance.feeding import Feeder, SupplyFit
from optimizer.instance.options import Path
from optimizer.instance.sound import Heard
from optimizer.instance.wiring import Wirer
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site

if TYPE_CHECKING:
    from optimizer.instance.tables import Feeding, ZoneTable
    from optimizer.plan.prepared import Cell, Prepared
    from optimizer.plan.scene import Lens, Scene


CELLS = 400
"""About how many cells the areas of a plan are cut into to begin with."""


def _bare(scene: Scene) -> Scene:
    """A scene that asks for any spot of its areas to be seen once."""
    areas = tuple(replace(a, share=1.0, cameras=1, apart_deg=0.0) for a in scene.areas)
    return replace(scene, areas=areas)


@dataclass
class Shared:
    """How places are wired and fed, as far as it is known: the same for sites of equal terms."""

    wirer: Wirer
    alone: Alone
    fed: dict[object, tuple[Feeding, ...]] = field(default_factory=dict)
    laid: dict[object, tuple[Path, ...]] = field(default_factory=dict)
    by_itself: dict[object, int] = field(default_factory=dict)
    heard: dict[object, Heard] = field(default_factory=dict)
    tables: dict[object, ZoneTable] = field(default_factory=dict)


class Memory:
    """What was worked out for one site and holds for others with the same book.

    Wiring and feeding hang on a zone's place and on the terms of the site named in :meth:`of`, not
    on what is to be seen or how long it is kept.

    Parameters
    ----------
    cells : int
        About how many cells the areas of a plan are cut into to begin with.
    """

    def __init__(self, cells: int = CELLS) -> None:
        self.cells = cells
        self.shared: dict[object, Shared] = {}
        self.plans: dict[object, Prepared] = {}
        self.base: Prepared | None = None

    def cut_as(self, base: Prepared) -> None:
        """Cut plans from now on as this one is cut, wherever their zones have the same ground.

        Then what is asked of a zone does not decide which pieces of it count.
        """
        self.base = base
        # Its own lenses are prepared for these cells: that is not done again.
        self.plans[_bare(base.scene), tuple(base.lenses.items()), base.cells] = base

    def plan(
        self,
        scene: Scene,
        lenses: dict[str, tuple[Lens, ...]],
        cells: tuple[Cell, ...] | None = None,
    ) -> Prepared:
        """A plan prepared for the lenses that may be fixed on its mounts.

        Parameters
        ----------
        cells : tuple of Cell, optional
            How its areas are cut; left out: as they are cut by themselves.
        """
        from optimizer.plan.prepare import prepare

        if cells is None:
            cells = self._base_cells(scene)
        key = (scene, tuple(lenses.items()), cells)
        if key not in self.plans:
            # Of how much of a zone is to be seen, and how often, no view and no cell takes notice.
            alone = (_bare(scene), *key[1:])
            if alone not in self.plans:
                wanted = self.cells if cells is None else cells
                self.plans[alone] = prepare(alone[0], lenses, wanted)
            self.plans[key] = replace(self.plans[alone], scene=scene)
        return self.plans[key]

    def _base_cells(self, scene: Scene) -> tuple[Cell, ...] | None:
        """The cells of the plan that others are cut as; None where there is none that fits."""
        if self.base is None:
            return None
        ground = {a.id: (a.outline, a.level, a.low_m) for a in self.base.scene.areas}
        if scene.obstacles != self.base.scene.obstacles or any(
            ground.get(a.id) != (a.outline, a.level, a.low_m) for a in scene.areas
        ):
            return None
        present = {a.id for a in scene.areas}
        return tuple(c for c in self.base.cells if c.area_id in present)

    def plan_at_best(self, scene: Scene, lenses: dict[str, tuple[Lens, ...]]) -> Prepared:
        """What might be seen on a plan, however lenses are set and aimed."""
        from optimizer.plan.prepare import at_best

        key = (scene, tuple(lenses.items()), "at best")
        if key not in self.plans:
            self.plans[key] = at_best(scene, lenses, self.cells)
        return self.plans[key]

    def finer(self, prepared: Prepared) -> Prepared:
        """A prepared plan with those cells cut that might be seen but surely are not."""
        from optimizer.plan.prepare import refine

        key = (id(prepared), "finer")
        if key not in self.plans:
            # The plan itself is kept, so that its id stays its own.
            self.plans[id(prepared)] = prepared
            self.plans[key] = refine(prepared)
        return self.plans[key]

    def of(
        self,
        site: Site,
        book: LoadedBook,
        cables: dict[str, Construction],
        supplies: Sequence[SupplyFit],
    ) -> Shared:
        """What sites share that have these terms."""
        # Nothing else of a site is read by what is shared; see `Wirer`, `LeadShelf`, `Alone`.
        policy = site.policy
        allowed = (policy.forbid, policy.connectors, policy.most_joints, policy.labour)
        terms = (*allowed, site.assumptions, site.spare.supply)
        key = (book.sha256, repr(terms), tuple(cables))
        if key not in self.shared:
            wirer = Wirer(site, book, cables, Feeder(site, supplies))
            self.shared[key] = Shared(wirer, Alone(site, book, cables, supplies))
        return self.shared[key]
