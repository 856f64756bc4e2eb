"""What preparing a plan leads to: cells, views, and what might be seen at best."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from optimizer.plan.scene import Lens, Scene

Ints: TypeAlias = NDArray[np.int32]
Flags: TypeAlias = NDArray[np.bool_]
Shapes: TypeAlias = NDArray[np.object_]


@dataclass(frozen=True, eq=False)
class Cell:
    """A piece of an area.

    Attributes
    ----------
    area_id : str
    polygon : shapely.Polygon
        [m]
    area_m2 : float
        [m^2]
    """

    area_id: str
    polygon: Any
    area_m2: float


@dataclass(frozen=True, eq=False)
class View:
    """A lens on a mount, aimed.

    Attributes
    ----------
    mount_id, lens_key : str
    focal_mm, pan_deg, tilt_deg : float
        As in "Zones on a plan", Camera, of RULES.md. [mm, deg, deg]
    cells : ndarray of int32, sorted
        Cells of which every spot is surely seen.
    areas : tuple of str
        The areas of these cells, in the scene's order: what the view can serve. A camera may serve
        only some of them; it then counts for their cells only.
    """

    mount_id: str
    lens_key: str
    focal_mm: float
    pan_deg: float
    tilt_deg: float
    cells: Ints
    areas: tuple[str, ...]

    @cached_property
    def sure(self) -> frozenset[int]:
        """Numbers of the cells of which every spot is surely seen."""
        return frozenset(self.cells.tolist())


@dataclass(frozen=True)
class Effort:
    """How many settings are tried; pans are not among them, they are complete.

    Attributes
    ----------
    focal_lengths : int
        Of each varifocal lens on each mount, those that meet a density exactly; >= 2.
    tilts : int
        At each focal length, >= 1.
    sharper_tilts : int
        At each focal length, besides: those at which a detail is just met off the axis.
    """

    focal_lengths: int = 4
    tilts: int = 6
    sharper_tilts: int = 3

    def words(self) -> str:
        """Over what set of aims a choice of views is cheapest, for a reader."""
        return (
            "all pans without a step; for each varifocal lens on each mount up to "
            f"{self.focal_lengths} focal lengths at which a detail is just met, and those at which "
            f"the picture is just as wide as a zone; at each of them up to {self.tilts} tilts at "
            "which most of the zones' cells lie between the picture's lower and upper edge, and up "
            f"to {self.sharper_tilts} that bring more of them into detail, off the middle of the "
            "picture"
        )


@dataclass(frozen=True, eq=False)
class Prepared:
    """A plan cut into cells, and the useful ways to aim each lens on each mount.

    Attributes
    ----------
    scene : Scene
    lenses : dict of str to tuple of Lens
        What may be fixed on each mount.
    cells : tuple of Cell
    views : tuple of View
        In the order of mounts, lenses, focal lengths, tilts and pans.
    may : dict of (str, str) to ndarray of int32, sorted
        For each mount and lens key, the cells some spot of which might be seen when the lens is
        set and aimed in any way whatever; a cell that is not in it is seen nowhere.
    effort : Effort
        How many settings were tried; `effort.words()` says so to a reader.
    """

    scene: Scene
    lenses: dict[str, tuple[Lens, ...]]
    cells: tuple[Cell, ...]
    views: tuple[View, ...]
    may: dict[tuple[str, str], Ints]
    effort: Effort
