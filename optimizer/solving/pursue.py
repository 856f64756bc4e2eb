"""From an instance to a laid-out solution: solve pooled, lay out, spell out what will not fit.

A pooled program is a relaxation: its proven bound holds for every design. A pooled optimum that can
be laid out is therefore the optimum. Where it cannot, the choices are kept and only the units are
chosen anew, spelt out (a repair); if that costs no more, it is optimal too; if it does, the pack is
spelt out for the whole search, with the repaired design to fall back on.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial

from optimizer.errors import Defect
from optimizer.instance import Instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.model.families import recording
from optimizer.solving.buying import bought_well
from optimizer.solving.cpsat import CpSat
from optimizer.solving.layout import Layout, grow, lay_out, recorded
from optimizer.solving.search import Found, minimise
from optimizer.solving.spreading import spread
from optimizer.solving.ties import settle

Progress = Callable[[str], None]
Write = Callable[[Iterable[str]], Draft]

CHOICES = ("seen/", "aim/", "view/", "feed/", "path/", "steer/", "stream/", "sound/", "models/")
"""How the names of variables begin that say what is done, not what is bought for it."""

NOT_BETWEEN = "not settled between different choices of views"
"""What is said of ties where views were chosen by themselves."""

_REPAIR_SECONDS, _LEAST_REPAIR_SECONDS = 10.0, 2.0
_EXACT = 30
"""Things in a pack up to which a repair spells the pack out; beyond, it adds bins one by one."""

_MORE_UNITS = 4
"""Recorders that a repair may add to those of the pooled solution."""


@dataclass(frozen=True, eq=False)
class Pursuit:
    """What was reached.

    Attributes
    ----------
    draft : Draft
        The program that the values belong to.
    found : Found
        Status, objective and proven bound; its values, if any, are laid out.
    layout : Layout or None
    ties : str
        Whether ties were settled, in words.
    """

    draft: Draft
    found: Found
    layout: Layout | None
    ties: str = ""


Lighter = Callable[[Pursuit, float], Pursuit | None]
"""Looks for a cheaper kit than a known one, until some time on the clock of ``time.monotonic``."""


def pursue(
    instance: Instance,
    deadline: float,
    say: Progress,
    *,
    below: int | None = None,
    ties: bool = True,
    draft: Draft | None = None,
    least: int = 0,
    lighter: Lighter | None = None,
) -> Pursuit:
    """Search until a design is proven cheapest or time runs out.

    Parameters
    ----------
    deadline : float
        On the clock of ``time.monotonic``. [s]
    below : int, optional
        Only designs of a lower net price are of interest: "infeasible" then says that there is
        none. [hundredth]
    ties : bool
        Whether to settle which of several equally cheap kits is the preferred one.
    draft : Draft, optional
        The pooled program of the instance, where it is written already.
    least : int
        Known beforehand: no design has a lower net price. [hundredth]
    lighter : callable, optional
        Makes kits on a plan cheaper by means of its own; what it finds is the price to beat.
    """
    if instance.viewing is None or draft is not None:
        return pursued(instance, deadline, say, below, ties, draft, least)
    # Geometry is loaded for sites with a plan only.
    from optimizer.solving.aimed import pursue_aimed

    return pursue_aimed(instance, deadline, say, below, ties, least, lighter)


def pursued(
    instance: Instance,
    deadline: float,
    say: Progress,
    below: int | None = None,
    ties: bool = True,
    draft: Draft | None = None,
    least: int = 0,
    write: Write | None = None,
) -> Pursuit:
    """The same for one program, views and all.

    Parameters
    ----------
    write : callable, optional
        Writes the program with some packs spelt out; left out: that of the instance.
    """
    write = write or partial(build, instance)
    spelt: frozenset[str] = frozenset()
    best: Pursuit | None = None
    while True:
        if draft is None:
            draft = write(spelt)
        found = minimise(draft, max(deadline - time.monotonic(), 0.1), say, below, least)
        if found.values is None:
            return _without(best, found, draft)
        if found.status != "optimal":
            found = _bought(draft, found)
        assert found.values is not None
        layout = lay_out(draft, found.values)
        if not layout.failed:
            laid_out = Pursuit(draft, found, layout)
            return _preferred(laid_out, deadline, say) if ties else laid_out
        failed = frozenset(layout.failed)
        if failed <= spelt:
            raise Defect(f"{min(failed)} is spelt out and still cannot be laid out")
        say(f"choosing units anew for {', '.join(sorted(failed))}")
        mended = repaired(instance, draft, found, spelt | failed, failed, deadline)
        if mended is not None:
            if mended.found.status == "optimal":
                return _preferred(mended, deadline, say) if ties else mended
            if below is None or (mended.found.objective or 0) < below:
                best = _better(best, mended)
        if time.monotonic() > deadline or found.status != "optimal":
            return _without(best, found, draft)
        spelt |= failed
        draft = None


def repaired(
    instance: Instance,
    draft: Draft,
    found: Found,
    spelt: Iterable[str],
    failed: Iterable[str],
    until: float = math.inf,
) -> Pursuit | None:
    """The cheapest units for the choices of a solution that could not be laid out.

    Parameters
    ----------
    until : float
        On the clock of ``time.monotonic``; a little time is taken in any case. [s]
    """
    assert found.values is not None
    seconds = max(_LEAST_REPAIR_SECONDS, min(_REPAIR_SECONDS, until - time.monotonic()))
    fixed = {
        name: found.values[i]
        for i, name in enumerate(draft.program.names)
        if name.startswith(CHOICES)
    }
    units, streams = recorded(draft, found.values)
    holders = None
    if recording.PACK in spelt:
        holders = spread({f.item: f for f in instance.recorders}, units, streams, _MORE_UNITS)
        if holders is None:
            return None
        units = dict(Counter(h.fit.item for h in holders))
    large = {n for n in failed if n in draft.packs and _size(draft, found, n) > _EXACT}
    again = build(instance, frozenset(spelt) - large, units)
    program = again.program
    kept = list(program.lower), list(program.upper)
    for i, name in enumerate(program.names):
        if name in fixed:
            program.lower[i] = program.upper[i] = fixed[name]
    for name in large:
        counts = grow(draft.packs[name], found.values, lambda i: instance.book.items[i].price)
        for one in again.packs[name].bins:
            program.lower[one.var] = program.upper[one.var] = counts.get(one.item, 0)
    if holders is not None:
        for stream, name, var in again.flows:
            count = next((h.streams[stream] for h in holders if h.name == name), 0)
            program.lower[var] = program.upper[var] = count
    outcome = CpSat(program).solve(seconds, search={"linearization_level": 1})
    program.lower, program.upper = kept
    if outcome.values is None:
        return None
    values = outcome.values
    if outcome.status != "optimal":
        values = bought_well(program, values)
    layout = lay_out(again, values)
    if layout.failed:
        return None
    cost = program.value(values)
    bound = found.bound if found.bound is not None else 0
    status = "optimal" if cost <= bound else "feasible"
    return Pursuit(again, Found(status, values, cost, bound), layout)


def _bought(draft: Draft, found: Found) -> Found:
    """A solution that is not proven cheapest, with what it buys settled."""
    assert found.values is not None
    values = bought_well(draft.program, found.values)
    return Found(found.status, values, draft.program.value(values), found.bound)


def _size(draft: Draft, found: Found, name: str) -> int:
    """Things to be packed in a solution."""
    assert found.values is not None
    values = found.values
    return sum(k * values[c] for d in draft.packs[name].demands for c, k in d.terms)


def _better(one: Pursuit | None, two: Pursuit) -> Pursuit:
    if one is None or (two.found.objective or 0) < (one.found.objective or 0):
        return two
    return one


def _without(best: Pursuit | None, found: Found, draft: Draft) -> Pursuit:
    """What is left when a search ends without a solution that was laid out."""
    if best is None:
        if found.values is not None:
            return Pursuit(draft, Found("unknown", None, None, found.bound), None)
        return Pursuit(draft, found, None)
    cost = best.found.objective or 0
    bound = max(best.found.bound or 0, found.bound or 0)
    status = "optimal" if bound >= cost else "feasible"
    return Pursuit(
        best.draft,
        Found(status, best.found.values, cost, min(bound, cost)),
        best.layout,
        "not settled: the search had to fall back on a repaired design",
    )


def _preferred(pursuit: Pursuit, deadline: float, say: Progress) -> Pursuit:
    """The same, with ties settled where the price is proven."""
    found = pursuit.found
    assert found.values is not None
    if found.status != "optimal":
        return Pursuit(
            pursuit.draft, found, pursuit.layout, "not settled: the price itself is not proven"
        )
    say("settling ties")
    settled = settle(pursuit.draft, found.values, max(deadline - time.monotonic(), 1.0))
    layout = lay_out(pursuit.draft, settled.values)
    if layout.failed:
        return Pursuit(
            pursuit.draft, found, pursuit.layout, "not settled: the preferred kit does not pack"
        )
    settled_found = Found(found.status, settled.values, found.objective, found.bound)
    words = "settled" if settled.proven else "not settled to the end"
    return Pursuit(pursuit.draft, settled_found, layout, words)
