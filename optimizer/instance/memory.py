"""What was worked out for one site and holds for others, so that a question is not begun anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
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
    from optimizer.instance.tables import Feeding
    from optimizer.plan.prepared import Cell, Prepared
    from optimizer.plan.scene import Lens, Scene


CELLS = 400
"""About how many cells the areas of a plan are cut into to begin with."""


@dataclass
class Shared:
    """How places are wired and fed, as far as it is known: the same for sites of equal terms."""

    wirer: Wirer
    alone: Alone
    fed: dict[object, tuple[Feeding, ...]] = field(default_factory=dict)
    laid: dict[object, tuple[Path, ...]] = field(default_factory=dict)
    by_itself: dict[object, int] = field(default_factory=dict)
    heard: dict[object, Heard] = field(default_factory=dict)


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

        key = (scene, tuple(lenses.items()), cells)
        if key not in self.plans:
            self.plans[key] = prepare(scene, lenses, self.cells if cells is None else cells)
        return self.plans[key]

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
