"""Which way a change goes, and what that says of prices that are not settled.

A change that only asks for more leaves no kit that was not one before, so that the changed site
costs no less; one that only asks for less costs no more. What a search has not settled by the end
of its time is cut off at that.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from optimizer.errors import InputError
from optimizer.explaining.beyond import within
from optimizer.explaining.monotony import counted, monotone
from optimizer.explaining.seeking import lower
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.changes import changed, with_unit
from optimizer.site.ladders import against
from optimizer.site.requirements import Requirement, reaches, requirements
from optimizer.site.schema import Site
from optimizer.units import money


class Way(NamedTuple):
    """What is sure of the cheapest kit of a changed site.

    Attributes
    ----------
    no_cheaper, no_dearer : bool
        It costs no less, or no more, than that of the site as it stands.
    """

    no_cheaper: bool = False
    no_dearer: bool = False


@dataclass(frozen=True)
class Range:
    """Where the total of a cheapest kit lies, with tax. [hundredth]

    Attributes
    ----------
    low : int
        No kit costs less.
    high : int or None
        A kit at this total is known.
    """

    low: int = 0
    high: int | None = None


def sign(r: Requirement, value: str | None) -> int | None:
    """1 if a value is harder than what is asked, -1 if easier, 0 if alike; None if not known.

    Parameters
    ----------
    value : str or None
        None: dropped.
    """
    if value is None or value == r.loosest:
        return -1
    if r.id == "budget":
        return (money(value) < money(r.value)) - (money(value) > money(r.value))
    return against(r.ladder, r.value, with_unit(r.id, value))


def signs(
    before: Site, after: Site, names: Iterable[str]
) -> list[tuple[Requirement, int | None]] | None:
    """The requirements of some ids, each with which way it was changed; None if one is not known.

    What only one of the two sites asks was added or dropped.
    """
    was, now = ({r.id: r for r in (*requirements(s), *reaches(s))} for s in (before, after))
    found: list[tuple[Requirement, int | None]] = []
    for name in names:
        if name in was:
            found.append((was[name], sign(was[name], now[name].value if name in now else None)))
        elif name in now and not name.endswith("/retention"):
            found.append((now[name], 1))
        else:
            # A time of its own takes the place of the whole site's, which may be longer.
            return None
    return found


def way(
    before: Site,
    after: Site,
    book: LoadedBook,
    moves: Iterable[tuple[Requirement, int | None]],
) -> Way:
    """Which way some changes of requirements go, all of them together.

    Changes of one direction together go that way; of both directions, neither is sure. Asking for
    more can be cheaper where it puts a camera to use that the site as it stands has no need of
    (:func:`~optimizer.explaining.monotony.monotone`). It is not where no zone takes a camera, or so
    many side by side, that it did not take before.

    Parameters
    ----------
    before, after : Site
        As it stands, and with all changes.
    moves : iterable of (Requirement, int or None)
        Which way each is changed; see :func:`sign`.
    """
    made = list(moves)
    some = [r for r, _ in made]
    told = [s for _, s in made if s is not None]
    harder, easier = max(told, default=0) > 0, min(told, default=0) < 0
    if len(told) < len(made) or (harder and easier):
        return Way()
    return Way(
        not easier and (_surely(before, book, some) or within(after, before, book)),
        not harder and (_surely(after, book, some) or within(before, after, book)),
    )


def way_between(before: Site, after: Site, book: LoadedBook) -> Way:
    """Which way one site goes from another, where nothing differs but what requirements ask."""
    was, now = ({r.id: r.value for r in (*requirements(s), *reaches(s))} for s in (before, after))
    differ = [name for name in {**was, **now} if was.get(name) != now.get(name)]
    # With a place goes what is asked of it.
    names = [name for name in differ if name.partition("/")[0] not in {*differ} - {name}]
    if not (_leads(before, after, names, now) or _leads(after, before, names, was)):
        return Way()
    moves = signs(before, after, names)
    return Way() if moves is None else way(before, after, book, moves)


def _leads(start: Site, end: Site, names: Iterable[str], values: Mapping[str, str]) -> bool:
    """Whether setting these, or dropping what has no value, makes one site of the other."""
    try:
        return changed(start, {name: values.get(name) for name in names}) == end
    except InputError:
        return False


def _surely(looser: Site, book: LoadedBook, some: Sequence[Requirement]) -> bool:
    """Whether a kit of the stricter site, less what is not needed, surely is one of the looser."""
    return not counted(looser, book) or monotone(looser, book, some)


def joined(going: Way, before: Range, after: Range) -> tuple[Range, Range]:
    """What is known of two totals, each cut off at what the other one says.

    Where the changed site costs no less, it costs no less than what no kit of the site as it
    stands is below, and a kit of the changed site bounds the other from above. Where it costs no
    more, the same holds with the two exchanged. A bound of one is never moved by a kit of the other
    on the same side: that a kit of the site as it stands costs so much says nothing about how cheap
    a stricter site can be unless it is proven that none is cheaper.
    """
    if going.no_cheaper:
        after = replace(after, low=max(after.low, before.low))
        before = replace(before, high=lower(before.high, after.high))
    if going.no_dearer:
        before = replace(before, low=max(before.low, after.low))
        after = replace(after, high=lower(after.high, before.high))
    return before, after


def difference(going: Way, before: Range, after: Range) -> tuple[int | None, int | None]:
    """Least and most of the changed total less that of the site as it stands. [hundredth]

    Of two totals that both lie in a range, the least difference is that of the lowest changed total
    from the highest as it stands. With the price of the site as it stands proven, its range is one
    figure. Where it is not, the two ranges may lie across each other, and what the direction of the
    change says of the difference itself is told beside what the ranges say: a stricter site is no
    cheaper, however little is known of either price.

    Returns
    -------
    tuple of int or None
        None where nothing is known.
    """
    before, after = joined(going, before, after)
    low = None if before.high is None or not after.low else after.low - before.high
    high = None if after.high is None or not before.low else after.high - before.low
    if going.no_cheaper:
        low = 0 if low is None else max(low, 0)
    if going.no_dearer:
        high = 0 if high is None else min(high, 0)
    return low, high


__all__ = ["Range", "Way", "difference", "joined", "sign", "signs", "way", "way_between"]
