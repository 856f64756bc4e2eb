"""Many demands in few words: those of one place together, and places that ask alike together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

MOST_NAMES = 6
"""Neighbouring places that are named one by one; of more, the first and the last."""

_WHOLE = "as a whole"


def by_place(demands: Iterable[str]) -> list[str]:
    """Demands with those of one place together: "zones.gate (detail, night)"."""
    return [_one(place, [*filter(None, told)]) for place, told in _places(demands).items()]


def in_few_words(demands: Iterable[str], order: Sequence[str]) -> str:
    """Demands, places of one kind that have the same ones together.

    Parameters
    ----------
    demands : iterable of str
        Ids.
    order : sequence of str
        Ids in the order of the site file: what stands together there may be named by its ends.

    Returns
    -------
    str
        Such as "zones.gate, yard (detail, width); zones.a1 to a9 (run); spare (channels)".
    """
    ranks = {place: n for n, place in enumerate(_places(order))}
    groups: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for place, told in _places(demands).items():
        kind, _, name = place.partition(".")
        # Beside what it asks, that the place is there at all is told in words.
        quantities = tuple(one or _WHOLE for one in told) if any(told) else ()
        # A place without a name of its own stands by itself.
        groups.setdefault((kind, "" if name else place, quantities), []).append(place)
    return "; ".join(
        _one(_named(places, ranks), quantities) for (_, _, quantities), places in groups.items()
    )


def _places(demands: Iterable[str]) -> dict[str, list[str]]:
    """What is asked of each place; empty for the place itself."""
    places: dict[str, list[str]] = {}
    for one in demands:
        place, _, quantity = one.partition("/")
        places.setdefault(place, []).append(quantity)
    return places


def _one(place: str, quantities: Sequence[str]) -> str:
    return f"{place} ({', '.join(quantities)})" if quantities else place


def _named(places: Sequence[str], ranks: dict[str, int]) -> str:
    """Names of places of one kind: the kind once, neighbours by the first and the last."""
    kind, dot, _ = places[0].partition(".")
    ranked = sorted(places, key=lambda p: ranks.get(p, len(ranks)))
    told: list[str] = []
    # Neighbours have ranks that grow as their numbers do.
    numbered = enumerate(ranked)
    for _, run in groupby(numbered, key=lambda at: ranks.get(at[1], -2 * at[0]) - at[0]):
        names = [place.partition(".")[2] for _, place in run]
        if len(names) > MOST_NAMES:
            names = [f"{names[0]} to {names[-1]}"]
        told += names
    return kind + dot + ", ".join(told)


__all__ = ["by_place", "in_few_words"]
