"""The camera schedule, and how every piece is put together."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from rich.text import Text

from optimizer.design import PowerUnit, Recorder
from optimizer.engineering.storage import tb_to_tib
from optimizer.reporting.page import QUIET, Column, Page, row, safe
from optimizer.reporting.words import Wording, metres
from optimizer.site import Site
from optimizer.solving.answer import Answer
from optimizer.solving.assumptions import days_words
from optimizer.solving.wording import ARRAY_WORDS, count


def show_cameras(page: Page, answer: Answer, site: Site, wording: Wording) -> None:
    """Print the camera schedule: where, which, lens, detail, recorder, volts."""
    zones = {zone.id: zone for zone in site.views}
    surveyed = [camera for camera in answer.cameras if camera.aim is None]
    if not surveyed:
        return
    page.heading("Cameras", "lens mm and view deg as set; px/m got; recorder:channel; volts there")
    grid = page.table(
        [
            Column("place"),
            Column("item"),
            Column("mm", figures=True),
            Column("deg", figures=True),
            Column("px/m", figures=True),
            Column("asked", figures=True),
            Column("rec:ch", figures=True),
            Column("volts", figures=True),
            *([Column("wiring and feed")] if page.wide else []),
        ]
    )
    for camera in surveyed:
        volts = camera.power.volts_at_load
        cells = [
            f"{camera.zone}/{camera.number}",
            camera.item,
            f"{camera.focal_mm:.2f}",
            f"{camera.view_angle_deg:.1f}",
            f"{camera.px_per_m:,.1f}",
            f"{float(site.detail_px_m(zones[camera.zone])):,.1f}",
            f"{camera.recorder.removeprefix('recorder-')}:{camera.channel}",
            "-" if volts is None else f"{volts:.1f}",
        ]
        wiring = [Text(safe(wording.camera(camera)), style=QUIET)] if page.wide else []
        grid.add_row(*row([*cells, *wiring]))
    page.put(grid, dense=True)


def show_units(page: Page, answer: Answer, site: Site, wording: Wording) -> None:
    """Print one line for each camera's wiring, audio point, recorder, supply and box."""
    page.heading("Put together", "runs, feeds, loads, and what is cut from which box")
    grid = page.table([Column(""), Column("")])
    grid.show_header = False
    lines: list[tuple[str, str]] = []
    if not page.wide:
        lines += [(f"{c.zone}/{c.number}", wording.camera(c)) for c in answer.cameras]
    lines += [(sound.point, wording.sound(sound)) for sound in answer.audio]
    lines += [(unit.id, _recorder(unit, answer, site)) for unit in answer.recorders]
    lines += [(unit.id, _supply(unit)) for unit in answer.supplies]
    lines += [(unit.id, _poe(unit)) for unit in (*answer.switches, *answer.injectors)]
    lines += _boxes(answer)
    for name, words in lines:
        grid.add_row(*row([name, Text(safe(words), style=QUIET)]))
    page.put(grid, dense=True)


def _kept(least: Decimal, most: Decimal) -> str:
    """How long pictures are kept, "14 days", "14 to 30 days"."""
    one, two = days_words(least), days_words(most)
    if one == two:
        return one
    number, unit = one.split(" ", 1)
    return f"{number} to {two}" if two.endswith(f" {unit}") else f"{one} to {two}"


def _recorder(unit: Recorder, answer: Answer, site: Site) -> str:
    """A recorder's load; 1 TB is 0.909 TiB, and it is TiB that the unit itself will show."""
    zones: set[str] = set()
    for camera in answer.cameras:
        if camera.recorder == unit.id:
            zones |= {camera.zone} if camera.aim is None else {s.zone for s in camera.aim.serves}
    days = {site.retention_days(zone) for zone in site.zones if zone.id in zones}
    kept = _kept(min(days), max(days))
    drives = " + ".join(f"{d.count} x {d.item}" for d in unit.drives)
    array = f" {ARRAY_WORDS[unit.array]}" if ARRAY_WORDS[unit.array] else ""
    stored, usable = (tb_to_tib(gb / 1000) for gb in (unit.stored_gb, unit.usable_gb))
    return (
        f"{unit.item}, {drives}{array}: {unit.channels_used} of {unit.channels} channels, "
        f"{unit.stored_gb:,} of {unit.usable_gb:,} GB ({stored:.2f} of {usable:.2f} TiB) for {kept}"
    )


def _where(unit: PowerUnit, outlet: str) -> str:
    place = "" if unit.place == "room" else f" at {unit.place}"
    return f"{unit.item}{place}: {unit.outputs_used} of {count(unit.outputs, outlet)}"


def _supply(unit: PowerUnit) -> str:
    return f"{_where(unit, 'output')}, {unit.load / 1000:,.2f} of {unit.limit / 1000:,.2f} A"


def _poe(unit: PowerUnit) -> str:
    if not unit.limit:
        return f"{_where(unit, 'port')}, no power"
    return f"{_where(unit, 'port')}, {unit.load / 100:,.1f} of {unit.limit / 100:,.1f} W"


def _boxes(answer: Answer) -> Iterator[tuple[str, str]]:
    runs = {run.id: run for run in answer.runs}
    for box in answer.boxes:
        cuts = ", ".join(f"{runs[c].place} {metres(runs[c].length_cm)}" for c in box.cuts)
        yield box.id, f"{box.item}: {cuts}; {metres(box.left_cm)} left"
