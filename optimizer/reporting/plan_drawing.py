"""A plan as a drawing to scale; needs matplotlib, the optional extra ``plot``.

Ground that is seen is shaded by the detail in which it is seen, in steps of equal lightness, so
that the drawing reads the same in grey. Everything else differs by hatch and line, not by colour.
"""

from __future__ import annotations

import io
import math
from itertools import pairwise
from typing import Any

import shapely

from optimizer.plan.scene import Mount
from optimizer.plan.shares import Aimed
from optimizer.reporting.plan_content import PlanPicture
from optimizer.reporting.plan_frame import Frame
from optimizer.reporting.plan_heading import draw_foot, draw_heading
from optimizer.reporting.plan_labels import Places
from optimizer.reporting.plan_legend import draw_side
from optimizer.reporting.plan_names import name_areas
from optimizer.reporting.plan_seen import by_detail
from optimizer.reporting.plan_sheet import (
    MM_PER_INCH,
    Box,
    laid_out,
)
from optimizer.reporting.plan_style import (
    FREE_MOUNT,
    INK,
    KEEP_OUT,
    LOW_CORE,
    MISSING,
    OBSTACLE,
    QUIET,
    ROUTE,
    RUN,
    VIEW,
    WALL,
    ZONE,
    shade,
)


def plan_drawn(picture: PlanPicture, ending: str, paper: str = "A3") -> bytes:
    """A plan drawn to scale on a sheet of paper.

    Parameters
    ----------
    picture : PlanPicture
    ending : str
        ".svg" or ".png". The same picture gives the same bytes with the same matplotlib.
    paper : str
        A key of `plan_sheet.PAPERS`.

    Raises
    ------
    ValueError
        If the plan fits on no such sheet.
    """
    import matplotlib as mpl
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    svg = ending.lower() == ".svg"
    sheet = laid_out(picture.scene.outline, len(picture.floors), paper)
    style = {"svg.hashsalt": "leastkit", "hatch.linewidth": 0.5, "font.family": "DejaVu Sans"}
    # Names from files are words, never formulas.
    style["text.parse_math"] = False
    with mpl.rc_context(style):
        wide, high = sheet.size_mm
        figure = Figure(figsize=(wide / MM_PER_INCH, high / MM_PER_INCH))
        (FigureCanvasSVG if svg else FigureCanvasAgg)(figure)
        draw_heading(figure, sheet, picture.title, picture.note, picture.north_deg)
        places = Places(sheet.room)
        for box, (_, name) in zip(sheet.floors, picture.floors, strict=True):
            places.taken.append(Box(box.x, box.y + box.height, 2.2 * len(name), 5))
        for box, (level, name) in zip(sheet.floors, picture.floors, strict=True):
            _Floor(figure, sheet, box, picture, level, places).draw(name)
        draw_side(figure, sheet, picture)
        if picture.cameras:
            draw_foot(figure, sheet)
        target = io.BytesIO()
        if svg:
            figure.savefig(target, format="svg", metadata={"Date": None})
        else:
            figure.savefig(target, format="png", dpi=150)
    return target.getvalue()


class _Floor(Frame):
    """One level of the plan."""

    def draw(self, name: str) -> None:
        """Draw everything, what hides from below upwards."""
        if name:
            self.axes.set_title(name, fontsize=9, loc="left", pad=3)
        outline = self.scene.outline
        self.polygon(outline, fc="none", ec=QUIET, lw=0.5, zorder=0.5)
        for one, two in pairwise((*outline, outline[0])):
            self.places.along(self.paper(one), self.paper(two))
        seen = self._ground()
        self._shapes()
        self._cables()
        self._cameras()
        name_areas(self)
        self._heights()
        self._details(seen)

    def _ground(self) -> list[tuple[float, Any]]:
        """Shade what is seen; returns the ground of each step of detail."""
        steps = [0.0, *(px_m for _, px_m in self.picture.steps)]
        seen = [
            by_detail(self.scene, camera, steps)
            for camera in self.picture.cameras
            if self._mount(camera.mount_id).level == self.level
        ]
        found = []
        for number, px_m in enumerate(steps):
            ground = shapely.union_all([one[number] for one in seen])
            colour = shade(number, len(steps))
            self.geometry(ground, fc=colour, ec="white", lw=0.35, zorder=1)
            found.append((px_m, ground))
        for one in seen:
            self.geometry(one[0], fc="none", zorder=2, **VIEW)
        return found

    def _details(self, seen: list[tuple[float, Any]]) -> None:
        """Write its detail on each shaded piece, where there is room: shades alone mislead."""
        after = [ground for _, ground in seen[1:]] + [shapely.Polygon()]
        # What is drawn over the ground would hide the figure.
        bodies = [shapely.Polygon(b.outline) for b in self.bodies()]
        for (px_m, ground), finer in zip(seen, after, strict=True):
            rest = ground.difference(shapely.union_all([finer, *bodies]))
            for part in getattr(rest, "geoms", [rest]):
                if part.is_empty or part.geom_type != "Polygon" or px_m == 0:
                    continue
                spot = shapely.maximum_inscribed_circle(part, tolerance=0.1)
                x, y = spot.coords[0]
                wide = self.sheet.mm(spot.length)
                if wide > 5.0 and self.places.try_at(*self.paper((x, y)), f"{px_m:g}", 5.5):
                    self.axes.text(
                        x,
                        y,
                        f"{px_m:g}",
                        fontsize=5.5,
                        ha="center",
                        va="center",
                        zorder=2.5,
                        style="italic",
                        color="black",
                    )

    def _shapes(self) -> None:
        for area in self.scene.areas:
            if area.level == self.level:
                self.polygon(area.outline, zorder=3, **ZONE)
        for kept in self.scene.keep_outs:
            if kept.level == self.level:
                self.polygon(kept.outline, zorder=3.2, **KEEP_OUT)
        for _, level, shape in self.picture.missing:
            if level == self.level:
                self.geometry(shape, zorder=3.4, **MISSING)
        for body in self.scene.obstacles:
            if body.level == self.level:
                bold = {"lw": 3.0} if body.id in self.picture.hiding else {}
                self.polygon(body.outline, zorder=4, **{**OBSTACLE, **bold})
        for wall in self.scene.walls:
            if wall.level == self.level:
                style = {**WALL, "lw": 3.6 if wall.id in self.picture.hiding else WALL["lw"]}
                ends = list(zip(*wall.ends, strict=True))
                self.axes.plot(*ends, zorder=5, **style)
                if not math.isinf(wall.height_m):
                    self.axes.plot(*ends, zorder=5.1, **LOW_CORE)
                self.places.along(self.paper(wall.ends[0]), self.paper(wall.ends[1]))

    def _heights(self) -> None:
        """How high each obstacle is, on it, where names and cable runs leave room."""
        for level, line in self.picture.runs:
            if level == self.level:
                for one, two in pairwise(line):
                    self.places.along(self.paper(one), self.paper(two))
        for body in self.scene.obstacles:
            if body.level != self.level or math.isinf(body.height_m):
                continue
            shape = shapely.Polygon(body.outline)
            for spot in _spots(shape):
                inside = self.sheet.mm(spot.distance(shape.exterior))
                place = self.paper((spot.x, spot.y))
                if inside > 2.0 and self.places.try_at(*place, "0.0 m", 5):
                    self._height(spot, body.height_m)
                    break

    def _height(self, spot: Any, height_m: float) -> None:
        label = {"boxstyle": "square,pad=0.25", "fc": "white", "ec": "none"}
        self.axes.text(
            spot.x,
            spot.y,
            f"{height_m:g} m",
            fontsize=5.5,
            ha="center",
            va="center",
            zorder=4.5,
            bbox=label,
            color=QUIET,
        )

    def _cables(self) -> None:
        for lines, style in ((self.picture.routes, ROUTE), (self.picture.runs, RUN)):
            for level, line in lines:
                if level == self.level:
                    self.axes.plot(*zip(*line, strict=True), zorder=6, **style)
        for levels, spot, name in self.picture.risers:
            if self.level not in levels:
                continue
            self.axes.plot(*spot, marker="D", ms=3.6, mfc="white", mec=RUN["color"], zorder=6.1)
            self.text(spot, name, 5, 45, 1.2, color=QUIET)
        room = self.picture.room
        if room is not None and room[0] == self.level:
            self.axes.plot(*room[1], marker="s", ms=7, mfc="white", mec=INK, mew=1.2, zorder=8)
            self.axes.plot(*room[1], marker="+", ms=6, mec=INK, mew=1.0, zorder=8.1)
            self.places.take(*self.paper(room[1]), 1.6)

    def _mount(self, name: str) -> Mount:
        return next(mount for mount in self.scene.mounts if mount.id == name)

    def _cameras(self) -> None:
        used = {camera.mount_id: camera for camera in self.picture.cameras}
        mounts = [mount for mount in self.scene.mounts if mount.level == self.level]
        for mount in mounts:
            self.places.take(*self.paper(mount.at), 1.4 if mount.id in used else 0.8)
            if mount.id not in used:
                self._open_arc(mount)
                self.axes.plot(*mount.at, zorder=8, **FREE_MOUNT)
                continue
            self._camera(mount, used[mount.id])
        for mount in (m for m in mounts if m.id in used):
            self.text(mount.at, mount.id, 7, used[mount.id].pan_deg + 180, 2.0, weight="bold")
        for mount in (m for m in mounts if m.id not in used):
            self.text(mount.at, mount.id, 5, mount.facing_deg + 180, 1.2, color=QUIET)
        room = self.picture.room
        if room is not None and room[0] == self.level:
            self.text(room[1], room[2], 6.5, 90, 2.2, style="italic")

    def _open_arc(self, mount: Mount) -> None:
        """Where an empty mount is open, if not all round."""
        if mount.swing_deg >= 360:
            return
        first = mount.facing_deg - mount.swing_deg / 2
        turns = [math.radians(first + mount.swing_deg * k / 12) for k in range(13)]
        size = 2.6 * self.sheet.scale / 1000.0
        x, y = mount.at
        arc = [(x + size * math.cos(t), y + size * math.sin(t)) for t in turns]
        ring = [(x, y), *arc, (x, y)]
        self.axes.plot(*zip(*ring, strict=True), color=QUIET, lw=0.5, zorder=7.5)

    def _camera(self, mount: Mount, camera: Aimed) -> None:
        """A disc with a blunt nose in the direction of the pan."""
        angle, size = math.radians(camera.pan_deg), self.sheet.scale / 1000.0
        u, v = math.cos(angle) * size, math.sin(angle) * size
        x, y = mount.at
        nose = [
            (x + 1.1 * v, y - 1.1 * u),
            (x + 2.6 * u + 0.6 * v, y + 2.6 * v - 0.6 * u),
            (x + 2.6 * u - 0.6 * v, y + 2.6 * v + 0.6 * u),
            (x - 1.1 * v, y + 1.1 * u),
        ]
        self.polygon(nose, fc=INK, ec="white", lw=0.4, zorder=8)
        self.axes.plot(x, y, marker="o", ms=6, mfc=INK, mec="white", mew=0.6, zorder=8.1)


def _spots(shape: Any) -> list[Any]:
    """Spots of a shape where a figure may stand: its middle first, then along its box."""
    west, south, east, north = shape.bounds
    steps = (0.5, 0.3, 0.7, 0.15, 0.85)
    grid = [
        shapely.Point(west + a * (east - west), south + b * (north - south))
        for a in steps
        for b in steps
    ]
    return [shape.representative_point(), *(spot for spot in grid if shape.covers(spot))]


__all__ = ["PlanPicture", "plan_drawn"]
