"""Whether counted pieces can be shared out among demands that each accept some of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Shortage:
    """Demands that together want more than all the pieces that any of them accepts."""

    demands: tuple[int, ...]
    pieces: tuple[str, ...]
    wanted: int
    there: int


def shortage(
    demands: Sequence[tuple[int, frozenset[str]]], pieces: Mapping[str, int]
) -> Shortage | None:
    """Share pieces out by augmenting paths; say why where it cannot be done.

    Parameters
    ----------
    demands : sequence of (int, frozenset of str)
        How many pieces each demand wants, and of which items.
    pieces : mapping
        How many pieces of each item there are.

    Returns
    -------
    Shortage or None
        None if every demand can be met; else a set of demands that want more than exists.

    References
    ----------
    .. [1] Ford and Fulkerson, Maximal flow through a network, Canadian Journal of Mathematics 8,
       1956; the set returned is the one of Hall's theorem, found as the source side of the cut.
    """
    left = dict(pieces)
    given: list[dict[str, int]] = [{} for _ in demands]
    short: list[int] = []
    for index, (wanted, _) in enumerate(demands):
        while wanted > 0:
            step = _augment(index, demands, given, left, wanted)
            if step == 0:
                short.append(index)
                break
            wanted -= step
    if not short:
        return None
    reached, items = _reach(short, demands, given)
    return Shortage(
        tuple(sorted(reached)),
        tuple(sorted(items)),
        sum(demands[i][0] for i in reached),
        sum(pieces.get(i, 0) for i in items),
    )


def _augment(
    start: int,
    demands: Sequence[tuple[int, frozenset[str]]],
    given: list[dict[str, int]],
    left: dict[str, int],
    most: int,
) -> int:
    """Give a demand more, taking from others what they can replace; 0 if nothing can be done."""
    came_from: dict[str, int] = {}
    wanting_by: dict[int, str] = {}
    queue = [start]
    for demand in queue:
        for item in sorted(demands[demand][1]):
            if item in came_from:
                continue
            came_from[item] = demand
            if left.get(item, 0) > 0:
                return _shift(item, start, came_from, wanting_by, given, left, most)
            for other, parts in enumerate(given):
                if parts.get(item, 0) > 0 and other != start and other not in wanting_by:
                    wanting_by[other] = item
                    queue.append(other)
    return 0


def _shift(
    item: str,
    start: int,
    came_from: dict[str, int],
    wanting_by: dict[int, str],
    given: list[dict[str, int]],
    left: dict[str, int],
    most: int,
) -> int:
    path = [(came_from[item], item)]
    while path[-1][0] != start:
        replaced = wanting_by[path[-1][0]]
        path.append((came_from[replaced], replaced))
    step = min([most, left[item]] + [given[d][wanting_by[d]] for d, _ in path[:-1]])
    left[item] -= step
    for demand, taken in path:
        given[demand][taken] = given[demand].get(taken, 0) + step
        if demand != start:
            given[demand][wanting_by[demand]] -= step
    return step


def _reach(
    short: list[int],
    demands: Sequence[tuple[int, frozenset[str]]],
    given: list[dict[str, int]],
) -> tuple[set[int], set[str]]:
    reached, items, queue = set(short), set[str](), list(short)
    for demand in queue:
        items |= demands[demand][1]
        for other, parts in enumerate(given):
            if other not in reached and any(parts.get(i, 0) > 0 for i in demands[demand][1]):
                reached.add(other)
                queue.append(other)
    return reached, items
