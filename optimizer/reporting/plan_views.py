"""How cameras on mounts are aimed, and what of each plan zone they see."""

from __future__ import annotations

from rich.text import Text

from optimizer.reporting.page import QUIET, Column, Page, row, safe
from optimizer.reporting.words import Wording
from optimizer.site import Site
from optimizer.solving.answer import Answer
from optimizer.units import shown_px_m


def show_aims(page: Page, answer: Answer, site: Site, wording: Wording) -> None:
    """Print the schedule of cameras on mounts: which, how set, what each serves."""
    mounted = [(c, c.aim) for c in answer.cameras if c.aim is not None]
    if not mounted:
        return
    details = {zone.id: float(site.detail_px_m(zone)) for zone in site.areas}
    page.heading(
        "Cameras on the plan",
        "lens mm as set; pan and tilt deg; zones served, px/m there at worst (asked)",
    )
    grid = page.table(
        [
            Column("mount"),
            Column("item"),
            Column("mm", figures=True),
            Column("pan", figures=True),
            Column("tilt", figures=True),
            Column("rec:ch", figures=True),
            Column("serves"),
            *([Column("wiring and feed")] if page.wide else []),
        ]
    )
    for camera, aim in mounted:
        serves = ", ".join(
            f"{s.zone} {shown_px_m(s.px_per_m, 0):,.0f} ({details[s.zone]:,.0f})"
            for s in aim.serves
        )
        cells = [
            camera.zone,
            camera.item,
            f"{camera.focal_mm:.2f}",
            f"{aim.pan_deg:.1f}",
            f"{aim.tilt_deg:.1f}",
            f"{camera.recorder.removeprefix('recorder-')}:{camera.channel}",
            serves,
        ]
        wiring = [Text(safe(wording.camera(camera)), style=QUIET)] if page.wide else []
        grid.add_row(*row([*cells, *wiring]))
    page.put(grid, dense=True)


def show_seen(page: Page, answer: Answer, site: Site) -> None:
    """Print what of each plan zone is seen, and where it is seen worst."""
    if not answer.seen:
        return
    zones = {zone.id: zone for zone in site.areas}
    page.heading("What is seen", "share of each zone by its exact shape; the spot seen worst")
    grid = page.table(
        [
            Column("zone"),
            Column("seen", figures=True),
            Column("asked", figures=True),
            Column("px/m", figures=True),
            Column("asked", figures=True),
            Column("worst at x, y [m]"),
            Column("by"),
        ]
    )
    for one in answer.seen:
        zone = zones[one.zone]
        by = "1 camera" if zone.cameras == 1 else f"{zone.cameras} cameras"
        if zone.apart:
            by += f", {float(zone.apart):g} deg apart"
        cells = [
            one.zone,
            f"{_down(one.share):.1f} %",
            f"{100 * one.asked:g} %",
            f"{shown_px_m(one.px_per_m, 1):,.1f}",
            f"{float(site.detail_px_m(zone)):,.1f}",
            f"{one.at[0]:.1f}, {one.at[1]:.1f}",
            by,
        ]
        grid.add_row(*row(cells))
    page.put(grid, dense=True)
    if answer.over:
        page.text(f"Considered: {safe(answer.over)}.", style=QUIET)


def _down(share: float) -> float:
    """A share in percent, rounded down to a tenth; what lacks less than a ten-thousandth is all."""
    return int(1000 * share + 0.1) / 10
