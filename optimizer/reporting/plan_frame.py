"""One level of a plan on its part of the sheet: where things lie, and how they are drawn there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from optimizer.plan.scene import Obstacle, Scene
from optimizer.reporting.plan_content import PlanPicture
from optimizer.reporting.plan_labels import Places, about, extent
from optimizer.reporting.plan_sheet import Box, Sheet

_EDGE_MM = 1.0


class Frame:
    """The part of a sheet that one level of a plan takes.

    Parameters
    ----------
    box : Box
        Its place on the sheet. [mm]
    places : Places
        What is taken on the whole sheet.
    """

    def __init__(
        self,
        figure: Any,
        sheet: Sheet,
        box: Box,
        picture: PlanPicture,
        level: str,
        places: Places,
    ) -> None:
        self.sheet, self.box, self.picture, self.level = sheet, box, picture, level
        self.scene: Scene = picture.scene
        self.axes = figure.add_axes(sheet.share(box))
        ground = sheet.ground
        self.axes.set(
            xlim=(ground.west, ground.east), ylim=(ground.south, ground.north), xticks=[], yticks=[]
        )
        for side in self.axes.spines.values():
            side.set_visible(False)
        self.places = places

    def paper(self, spot: tuple[float, float]) -> tuple[float, float]:
        """A spot of the plan on the paper. [mm]"""
        sheet, ground = self.sheet, self.sheet.ground
        x, y = sheet.mm(spot[0] - ground.west), sheet.mm(spot[1] - ground.south)
        return self.box.x + x, self.box.y + y

    def plan(self, x: float, y: float) -> tuple[float, float]:
        """A place on the paper in this floor's plan. [m]"""
        ground, metre = self.sheet.ground, self.sheet.scale / 1000.0
        return ground.west + (x - self.box.x) * metre, ground.south + (y - self.box.y) * metre

    def polygon(self, corners: Sequence[tuple[float, float]], **style: Any) -> None:
        """An area without holes."""
        from matplotlib.patches import Polygon

        self.axes.add_patch(Polygon(corners, closed=True, **style))

    def geometry(self, shape: Any, **style: Any) -> None:
        """Any polygons, holes and all."""
        from matplotlib.patches import PathPatch
        from matplotlib.path import Path

        for part in getattr(shape, "geoms", [shape]):
            if part.geom_type != "Polygon" or part.is_empty:
                continue
            rings = [part.exterior, *part.interiors]
            path = Path.make_compound_path(*(Path(list(r.coords), closed=True) for r in rings))
            self.axes.add_patch(PathPatch(path, **style))

    def text(
        self,
        spot: tuple[float, float],
        text: str,
        points: float,
        towards: float,
        away: float,
        **style: Any,
    ) -> Box:
        """A label beside a spot; returns its place. See :meth:`Places.near`."""
        place = self.places.near(*self.paper(spot), text, points, towards, away)
        self.written(place, text, points, **style)
        return about(place, *extent(text, points))

    def written(self, place: tuple[float, float], text: str, points: float, **style: Any) -> None:
        """A label about a place on the paper. [mm]"""
        box = {"boxstyle": "square,pad=0.12", "fc": "white", "ec": "none", "alpha": 0.85}
        self.axes.text(
            *self.plan(*place),
            text,
            fontsize=points,
            ha="center",
            va="center",
            zorder=9,
            bbox=box,
            **style,
        )

    def bodies(self) -> list[Obstacle]:
        """Obstacles of this level."""
        return [body for body in self.scene.obstacles if body.level == self.level]

    def on_paper(self, outline: Sequence[tuple[float, float]]) -> Box:
        """The box around a shape and its edge, on the paper. [mm]"""
        spots = [self.paper(corner) for corner in outline]
        west, south = (min(spot[axis] for spot in spots) for axis in (0, 1))
        east, north = (max(spot[axis] for spot in spots) for axis in (0, 1))
        return Box(west - _EDGE_MM, south - _EDGE_MM,
                   east - west + 2 * _EDGE_MM, north - south + 2 * _EDGE_MM)  # fmt: skip


__all__ = ["Frame"]
