"""Which items of a price book could be better, and in what, to settle a conflict."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from optimizer.explaining.argument_power import nearest
from optimizer.instance import Instance, ZoneTable, build_instance
from optimizer.instance.cables import coax_reach, may_lie
from optimizer.instance.tables import UNFED
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import AnyItem, Cable, Camera, Drive, Recorder, Supply
from optimizer.site.schema import Site

Figures = tuple["Figure", ...]
Wanting = tuple[AnyItem, Figures, bool]

_MOST_LIKE = 6
"""Items of a kind that are tried as the one that it would be like."""

_THINNEST = 40
"""Gauges count down as conductors get thicker; a figure counts up as it gets better. [AWG]"""


@dataclass(frozen=True)
class Figure:
    """One figure of an item that could be better.

    Attributes
    ----------
    read : callable
        Its value in an item, in whole units of `step`.
    write : callable
        The item with another value.
    most : int
        A value so good that no site asks for more.
    words : callable
        What it means, in words.
    """

    read: Callable[[Any], int]
    write: Callable[[Any, int], Any]
    most: int
    words: Callable[[int, int], str]


def _with(**fields: Callable[[Any, int], Any]) -> Callable[[Any, int], Any]:
    def write(item: Any, value: int) -> Any:
        return item.model_copy(update={name: make(item, value) for name, make in fields.items()})

    return write


RECORDER = (
    Figure(
        lambda r: r.audio_inputs,
        _with(audio_inputs=lambda _, n: n),
        256,
        lambda n, was: f"at least {n} audio inputs (it has {was})",
    ),
    Figure(
        lambda r: r.bays,
        _with(bays=lambda _, n: n),
        256,
        lambda n, was: f"at least {n} bays (it has {was})",
    ),
    Figure(
        lambda r: int((r.ingest or 0) // 1_000_000),
        _with(ingest=lambda _, n: n * 1_000_000),
        100_000,
        lambda n, was: f"at least {n} Mbit/s of ingest (it has {was})",
    ),
    Figure(
        lambda r: int((r.encode_rate or 0) // 1_000_000),
        _with(encode_rate=lambda _, n: n * 1_000_000),
        100_000,
        lambda n, was: f"an encode rate of at least {n} Mpx/s (it has {was})",
    ),
    Figure(
        lambda r: r.unit_loads,
        _with(unit_loads=lambda _, n: n),
        1024,
        lambda n, was: f"at least {n} unit loads of control (it has {was})",
    ),
)

CAMERA = (
    Figure(
        lambda c: int(c.focal.high),
        lambda c, n: c.model_copy(update={"focal": c.focal._replace(high=type(c.focal.high)(n))}),
        5_000,
        lambda n, was: f"a lens that can be set to {n} mm (its longest is {was} mm)",
    ),
    Figure(
        lambda c: int(c.frame_rate),
        lambda c, n: c.model_copy(update={"frame_rate": type(c.frame_rate)(n)}),
        240,
        lambda n, was: f"at least {n} fps (it gives {was})",
    ),
    Figure(
        lambda c: int(c.infrared or 0),
        lambda c, n: c.model_copy(update={"infrared": type(c.frame_rate)(n)}) if n else c,
        2_000,
        lambda n, was: f"lamps of its own that reach {n} m (they reach {was} m)",
    ),
    Figure(
        lambda c: int(c.outdoors),
        lambda c, n: c.model_copy(update={"outdoors": bool(n)}),
        1,
        lambda *_: "made for outdoors",
    ),
    Figure(
        lambda c: int(c.discreet),
        lambda c, n: c.model_copy(update={"discreet": bool(n)}),
        1,
        lambda *_: "a housing that does not look like a camera",
    ),
)


DRIVE = (
    Figure(
        lambda d: int(d.capacity // 10**12),
        _with(capacity=lambda d, n: type(d.capacity)(n * 10**12)),
        1_000,
        lambda n, was: f"a capacity of at least {n} TB (it has {was} TB)",
    ),
)

_BOX = Figure(
    lambda c: int(c.box),
    _with(box=lambda _, n: Decimal(n)),
    10_000,
    lambda n, was: f"at least {n} m in one piece (a box of it has {was} m)",
)
_GAUGE = Figure(
    lambda c: _THINNEST - int(c.gauge),
    _with(gauge=lambda _, n: Decimal(_THINNEST - n)),
    _THINNEST,
    lambda n, was: f"conductors of {_THINNEST - n} AWG or thicker (it has {_THINNEST - was} AWG)",
)
_REACH = Figure(
    lambda c: int(min(coax_reach(c, "composite"), coax_reach(c, "hd_coax"))),
    _with(reach=lambda _, n: {"composite": Decimal(n), "hd_coax": Decimal(n)}),
    10_000,
    lambda n, was: f"a reach of the picture of at least {n} m (it reaches {was} m)",
)


def _supply(high: Decimal) -> Figures:
    """Figures of a supply for a camera that takes no more than so many volts."""
    return (
        Figure(
            lambda s: int(s.volts * 10),
            _with(volts=lambda _, n: Decimal(n) / 10),
            int(high * 10),
            lambda n, was: f"at least {n / 10:g} V (it gives {was / 10:g} V)",
        ),
        Figure(
            lambda s: int(s.output_amps * 10),
            _with(
                output_amps=lambda _, n: Decimal(n) / 10,
                total_amps=lambda s, n: max(s.total_amps, Decimal(n) / 10),
            ),
            1_000,
            lambda n, was: f"at least {n / 10:g} A from one output (it gives {was / 10:g} A)",
        ),
    )


def wanting(book: LoadedBook, site: Site) -> Iterator[Wanting]:
    """Items that a better one would be like, each with its figures, and whether as a last resort.

    Parameters
    ----------
    site : Site
        One that asks for the members of a conflict alone.
    """
    instance = build_instance(site, book, reduce=False)
    out = next((t for t in instance.zones if not t.candidates), None)
    if out is not None:
        yield from _of_zone(instance, out)
        return
    allowed = set(site.policy.families)
    recorders = [r for r in book.by_kind(Recorder) if r.id not in site.policy.forbid]
    fitting = [r for r in recorders if any(allowed & set(g.families) for g in r.inputs)]
    ranked = sorted(fitting, key=lambda r: (-r.bays, -r.audio_inputs, r.price))
    yield from ((r, RECORDER, False) for r in ranked[:_MOST_LIKE])
    drives = [d for d in book.by_kind(Drive) if d.id not in site.policy.forbid]
    largest = sorted(drives, key=lambda d: (-d.capacity, d.price))
    roomy = max((r.largest_drive for r in fitting), default=0)
    # A larger one must still fit a recorder of the book.
    most = int(roomy // 10**12)
    fitted = tuple(Figure(f.read, f.write, most, f.words) for f in DRIVE)
    yield from ((d, fitted, False) for d in largest[:1] if d.capacity < roomy)
    fits = {c.view.camera.id for t in instance.zones for c in t.candidates}
    cameras = sorted((c for c in book.by_kind(Camera) if c.id in fits), key=lambda c: c.price)
    yield from ((c, CAMERA, True) for c in cameras[:_MOST_LIKE])


def _of_zone(instance: Instance, table: ZoneTable) -> Iterator[Wanting]:
    """For a zone that no camera is left for: what would bring picture and power, or a camera."""
    book, site = instance.book, instance.site
    unfed = [item for item, r in table.refusals if r.limit.startswith(UNFED)]
    feed = nearest(instance, table, unfed) if unfed else None
    if feed is not None:
        yield from _feeding(instance, feed.load.feed, feed.load.high)
    if any(r.quantity == "run" for _, r in table.refusals):
        cables = [c for c in book.by_kind(Cable) if may_lie(table.zone.route, c)]
        cables = [c for c in cables if c.id not in site.policy.forbid]
        long = sorted(cables, key=lambda c: (c.gauge or _THINNEST, -c.box, c.price))
        for medium, figures in (
            ("power_pair", (_BOX, _GAUGE)),
            ("coax_power", (_BOX, _GAUGE, _REACH)),
            ("coax", (_BOX, _REACH)),
        ):
            yield from ((c, figures, False) for c in long if c.medium == medium)
    near = sorted(
        ((r.figure or 0.0, item) for item, r in table.refusals if r.quantity not in _NEVER),
        key=lambda one: (-one[0], book.items[one[1]].price),
    )
    yield from ((book.items[item], CAMERA, True) for _, item in near[:_MOST_LIKE])


def _feeding(instance: Instance, feed: str, high: Decimal) -> Iterator[Wanting]:
    book, site = instance.book, instance.site
    fitting = [s for s in book.by_kind(Supply) if s.feed == feed and s.volts <= high]
    fitting = [s for s in fitting if s.id not in site.policy.forbid and s.form != "adapter"]
    ranked = sorted(fitting, key=lambda s: (-s.volts, -s.output_amps, s.price))
    yield from ((s, _supply(high), False) for s in ranked[:1])


_NEVER = ("family", "forbid", "codec", "recorder", "run")
"""Limits that a better figure of the camera does not lift."""


__all__ = ["Figure", "wanting"]
