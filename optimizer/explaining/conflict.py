"""Which requirements cannot hold together, and which have to give: plain algorithms.

They know requirements by id only, and ask one question: can these hold together? It is answered
"yes", "no" or "unknown"; only proven answers count, and what rests on an unknown one says so.
More requirements are never easier to meet; answers are remembered with that in mind.

A *conflict* cannot be met, and leaving out any one of its members leaves something that can. What
has to give are the smallest sets that hit every conflict [2]_.

References
----------
.. [1] U. Junker, QuickXplain: preferred explanations and relaxations for over-constrained
   problems, AAAI 2004.
.. [2] R. Reiter, A theory of diagnosis from first principles, Artificial Intelligence 32, 1987;
   with R. Greiner, B. A. Smith, R. W. Wilkerson, A correction to the algorithm in Reiter's theory
   of diagnosis, Artificial Intelligence 41, 1989.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

Verdict = Literal["yes", "no", "unknown"]
Meetable = Callable[[frozenset[str]], Verdict]


@dataclass(frozen=True)
class Conflict:
    """Requirements that are proven not to hold together, the user's order kept.

    Attributes
    ----------
    unsure : tuple of str
        Members of which it is not proven that the others can be met without them.
    """

    members: tuple[str, ...]
    unsure: tuple[str, ...] = ()


class Asking:
    """The oracle, with a memory: what is met by more is met by less, and the other way round."""

    def __init__(self, meetable: Meetable) -> None:
        self._meetable = meetable
        self._yes: list[frozenset[str]] = []
        self._no: list[frozenset[str]] = []
        self._unknown: set[frozenset[str]] = set()
        self.asked = 0

    def __call__(self, ids: frozenset[str]) -> Verdict:
        """Whether these can hold together."""
        if any(ids <= known for known in self._yes):
            return "yes"
        if any(ids >= known for known in self._no):
            return "no"
        if ids in self._unknown:
            return "unknown"
        self.asked += 1
        verdict = self._meetable(ids)
        if verdict == "unknown":
            self._unknown.add(ids)
        else:
            (self._yes if verdict == "yes" else self._no).append(ids)
        return verdict


def quickxplain(
    order: Sequence[str], meetable: Meetable, hard: Iterable[str] = ()
) -> Conflict | None:
    """One conflict: the one that the user's order prefers [1]_.

    Of several conflicts it is that whose last member stands earliest in the order, and so on:
    what is named first is kept longest as an explanation.

    Parameters
    ----------
    order : sequence of str
        Requirements that may be in it, the one the reader cares most about first.
    meetable : callable
        The oracle. It is not asked twice for the same.
    hard : iterable of str
        Further ids that are always asked for and never reported.

    Returns
    -------
    Conflict or None
        None if everything can hold together, or if that is not known.

    Raises
    ------
    ValueError
        If an id is named twice, or the hard ones alone cannot be met.
    """
    _check(order, hard)
    ask = meetable if isinstance(meetable, Asking) else Asking(meetable)
    base = frozenset(hard)
    if ask(base | frozenset(order)) != "no":
        return None
    if ask(base) == "no":
        raise ValueError("what is always asked for cannot be met by itself: there is no conflict")
    members = _explain(ask, base, False, tuple(order))
    return _conflict(ask, base, [i for i in order if i in members])


def _explain(
    ask: Asking, base: frozenset[str], added: bool, rest: tuple[str, ...]
) -> frozenset[str]:
    """Members that the base lacks to be a conflict; the base with the rest cannot be met."""
    if added and ask(base) == "no":
        return frozenset()
    if len(rest) == 1:
        return frozenset(rest)
    half = len(rest) // 2
    first, last = rest[:half], rest[half:]
    later = _explain(ask, base | frozenset(first), True, last)
    return later | _explain(ask, base | later, bool(later), first)


def _conflict(ask: Asking, base: frozenset[str], members: list[str]) -> Conflict:
    """A conflict without members proven superfluous, and with what is not proven.

    An unknown answer on the way can leave superfluous members in; a second look takes them out.
    """
    kept = list(members)
    for one in reversed(members):
        if ask(base | frozenset(kept) - {one}) == "no":
            kept.remove(one)
    unsure = [i for i in kept if ask(base | frozenset(kept) - {i}) != "yes"]
    return Conflict(tuple(kept), tuple(unsure))


def smallest_hitting(
    sets: Sequence[Sequence[str]],
    order: Sequence[str],
    longest: int,
    held: Sequence[Sequence[str]] = (),
    without: Iterable[frozenset[str]] = (),
) -> frozenset[str] | None:
    """A smallest set that has a member in common with each of some sets.

    Parameters
    ----------
    order : sequence of str
        Of equally small ones, that with members as late as can be in this order.
    longest : int
        Most members.
    held : sequence
        Sets that it must not hold whole.
    without : iterable of frozenset
        Sets that it must not be.

    Returns
    -------
    frozenset or None
        None if there is none.
    """
    place = {name: number for number, name in enumerate(order)}
    ready = [sorted(one, key=lambda i: -place[i]) for one in sets]
    barred = [frozenset(one) for one in held]
    excluded = set(without)
    for size in range(longest + 1):
        found = [
            hitting
            for hitting in set(_hitting(ready, frozenset(), size))
            if len(hitting) == size
            and hitting not in excluded
            and not any(one <= hitting for one in barred)
        ]
        if found:
            return max(found, key=lambda one: sorted((place[i] for i in one), reverse=True))
    return None


def _hitting(
    sets: Sequence[Sequence[str]], chosen: frozenset[str], room: int
) -> Iterator[frozenset[str]]:
    missed = next((one for one in sets if chosen.isdisjoint(one)), None)
    if missed is None:
        yield chosen
    elif room:
        for member in missed:
            yield from _hitting(sets, chosen | {member}, room - 1)


def _check(order: Sequence[str], hard: Iterable[str]) -> None:
    named = [*order, *hard]
    if len(set(named)) < len(named):
        twice = next(i for i in named if named.count(i) > 1)
        raise ValueError(f"{twice} is named twice")
