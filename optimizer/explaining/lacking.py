"""What an item outside the price book would have to do to settle a conflict.

An item of the book is taken, some of its figures are made as good as can be, and the conflict's
site is asked again with that item beside the others. Where that settles it, each figure is taken
back as far as it goes. So whatever is told was tried; and it is told only for facts: a camera, a
recorder. Money that is lacking is no matter of one item.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from optimizer.explaining.conflicts import Quarrels
from optimizer.explaining.holding import BUDGET, Holding
from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import AnyItem, Camera, Recorder
from optimizer.site.schema import Site
from optimizer.solving import cpsat
from optimizer.solving.layout import lay_out
from optimizer.solving.proof import Conflict, Lacking
from optimizer.solving.solve import solve_site

_SECONDS = 5.0
_MOST_LIKE = 6
"""Items of the book that are tried as the one that it would be like."""

NEW = "wanted"
"""Id of the item that is not in the book."""


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


def _wider(item: Any, value: int) -> Any:
    return item.picture.model_copy(update={"width": value})


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


def lacking(holding: Holding, quarrels: Quarrels, deadline: float) -> tuple[Lacking, ...]:
    """For each conflict without the budget, what one better recorder or camera would have to be.

    Parameters
    ----------
    deadline : float
        On the clock of ``time.monotonic``; after it nothing more is tried. [s]
    """
    found: list[Lacking] = []
    for conflict, site in zip(quarrels.conflicts, quarrels.sites, strict=True):
        if BUDGET in conflict.ids:
            continue
        for like, figures in _candidates(holding.book, site):
            if time.monotonic() > deadline:
                return tuple(found)
            told = _tried(holding, conflict, site, like, figures)
            if told is not None:
                found.append(told)
                break
    return tuple(found)


def _candidates(book: LoadedBook, site: Site) -> Iterator[tuple[AnyItem, tuple[Figure, ...]]]:
    """Items that it could be like: those with the best figures, of what the site may use."""
    instance = build_instance(site, book, reduce=False)
    allowed = set(site.policy.families)
    out = next((t for t in instance.zones if not t.candidates), None)
    if out is not None:
        near = sorted(
            ((r.figure or 0.0, item) for item, r in out.refusals if r.quantity not in _NEVER),
            key=lambda one: (-one[0], book.items[one[1]].price),
        )
        yield from ((book.items[item], CAMERA) for _, item in near[:_MOST_LIKE])
        return
    recorders = [r for r in book.by_kind(Recorder) if r.id not in site.policy.forbid]
    fitting = [r for r in recorders if any(allowed & set(g.families) for g in r.inputs)]
    ranked = sorted(fitting, key=lambda r: (-r.bays, -r.audio_inputs, r.price))
    yield from ((r, RECORDER) for r in ranked[:_MOST_LIKE])
    fits = {c.view.camera.id for t in instance.zones for c in t.candidates}
    cameras = sorted((c for c in book.by_kind(Camera) if c.id in fits), key=lambda c: c.price)
    yield from ((c, CAMERA) for c in cameras[:_MOST_LIKE])


_NEVER = ("family", "forbid", "codec", "recorder", "run")
"""Limits that a better figure of the camera does not lift."""


def _tried(
    holding: Holding, conflict: Conflict, site: Site, like: AnyItem, figures: tuple[Figure, ...]
) -> Lacking | None:
    """The least that has to be better than an item of the book; None where that is not enough."""
    have = [figure.read(like) for figure in figures]
    values = [max(figure.most, was) for figure, was in zip(figures, have, strict=True)]

    def enough(tried: list[int]) -> bool:
        return _serves(_with_item(holding.book, like, figures, tried), site)

    if not enough(values):
        return None
    for number, was in enumerate(have):
        low, high = was, values[number]
        if low < high and enough([*values[:number], low, *values[number + 1 :]]):
            values[number] = low
            continue
        while high - low > 1:
            middle = (low + high) // 2
            if enough([*values[:number], middle, *values[number + 1 :]]):
                high = middle
            else:
                low = middle
        values[number] = high
    needs = [
        figure.words(value, was)
        for figure, value, was in zip(figures, values, have, strict=True)
        if value != was
    ]
    if not needs:
        return None
    book = _with_item(holding.book, like, figures, values)
    met = solve_site(holding.asked.site, book, seconds=_SECONDS).met
    return Lacking(
        conflict=conflict.ids, kind=like.kind, like=like.id, needs=tuple(needs), site_met=met
    )


def _with_item(
    book: LoadedBook, like: AnyItem, figures: tuple[Figure, ...], values: list[int]
) -> LoadedBook:
    """The book with one item more, of the same price as the one that it is like."""
    new: Any = like.model_copy(update={"id": NEW, "name": NEW})
    for figure, value in zip(figures, values, strict=True):
        if value != figure.read(like):
            new = figure.write(new, value)
    whole = book.book.model_copy(update={"items": (*book.book.items, new)})
    return replace(book, book=whole, items={**book.items, NEW: new})


def _serves(book: LoadedBook, site: Site) -> bool:
    """Whether a site has a solution that can be laid out with a book."""
    instance = build_instance(site, book)
    if not instance.recorders or any(not z.candidates for z in instance.zones):
        return False
    draft = build(instance)
    outcome = cpsat.CpSat(draft.program).solve(_SECONDS, first=True)
    return outcome.values is not None and not lay_out(draft, outcome.values).failed


__all__ = ["NEW", "Figure", "lacking"]
