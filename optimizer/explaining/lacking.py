"""What an item outside the price book would have to do to settle a conflict.

An item of the book is taken, some of its figures are made as good as can be, and the conflict's
site is asked again with that item beside the others. Where that settles it, each figure is taken
back as far as it goes. So whatever is told was tried; and it is told only for facts. Money that is
lacking is no matter of one item. Which items are tried, and their figures: :mod:`wanting`.
"""

from __future__ import annotations

import time
from contextlib import closing
from dataclasses import replace
from typing import Any

from optimizer.explaining.asking import Asker
from optimizer.explaining.conflicts import Quarrels
from optimizer.explaining.deciding import Decider
from optimizer.explaining.holding import BUDGET, Holding
from optimizer.explaining.wanting import Figure, wanting
from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.pricebook.loading import LoadedBook
from optimizer.pricebook.schema import AnyItem
from optimizer.site.schema import Site
from optimizer.solving import cpsat
from optimizer.solving.layout import lay_out
from optimizer.solving.proof import Conflict, Lacking

NEW = "wanted"
"""Id of the item that is not in the book."""

_SECONDS = 5.0


def lacking(holding: Holding, quarrels: Quarrels, deadline: float) -> tuple[Lacking, ...]:
    """For each conflict without the budget, what one better item would have to be.

    Parameters
    ----------
    deadline : float
        On the clock of ``time.monotonic``; after it nothing more is tried. [s]
    """
    found: list[Lacking] = []
    for conflict, site in zip(quarrels.conflicts, quarrels.sites, strict=True):
        if BUDGET in conflict.ids:
            continue
        told: set[str] = set()
        for like, figures, last_resort in wanting(holding.book, site):
            if time.monotonic() > deadline:
                return tuple(found)
            # One of a kind will do, and what changes the picture only where nothing else helps.
            if like.kind in told or (last_resort and told):
                continue
            one = _tried(holding, conflict, site, like, figures, deadline)
            if one is not None:
                found.append(one)
                told.add(like.kind)
    return tuple(found)


def _tried(
    holding: Holding,
    conflict: Conflict,
    site: Site,
    like: AnyItem,
    figures: tuple[Figure, ...],
    deadline: float,
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
    end = min(deadline, time.monotonic() + _SECONDS)
    with closing(Asker(book, end, lambda _: None)) as asker:
        met = Decider(asker).decide(holding.free, holding.limit) is True
    return Lacking(
        conflict=conflict.ids, kind=like.kind, like=like.id, needs=tuple(needs), site_met=met
    )


def _with_item(
    book: LoadedBook, like: AnyItem, figures: tuple[Figure, ...], values: list[int]
) -> LoadedBook:
    """The book with one item more, of the same price as the one that it is like."""
    own = {"id": NEW, "name": NEW, "construction": NEW, "series": NEW}
    fields = type(like).model_fields
    new: Any = like.model_copy(update={k: v for k, v in own.items() if k in fields})
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


__all__ = ["NEW", "lacking"]
