"""Which requirements the price hangs on: easing one by a natural step, or dropping it.

What is dropped first decides most: where dropping saves nothing, easing saves nothing either. And
where dropping several together saves nothing, none of them saves anything by itself; so what seldom
decides is asked about together first. Order and sharing change how many questions are put, never an
answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.errors import InputError
from optimizer.explaining.asking import Known
from optimizer.explaining.beyond import SEEING
from optimizer.explaining.inquiry import Inquiry
from optimizer.site.requirements import Requirement
from optimizer.site.schema import Site
from optimizer.solving.explanation import Binding, NextSaving, Step
from optimizer.units import money

_STREAMS = ("frame_rate", "recorded", "retention", "bit_rate")
"""Quantities of a zone that decide how much is recorded."""

_ROUNDS = (0.5, 1.0)
"""Shares of a question's time: a hard one waits until all others had their turn."""

_SHORT = 0.4
"""Share of a question's time for one that is asked to save others: they can be asked one by one."""

_STEPS = 64
"""Natural steps within which the first saving is looked for."""


def binding(inquiry: Inquiry, requirements: Sequence[Requirement]) -> tuple[Binding, ...]:
    """What easing and dropping each requirement saves: all questions, and what comes out."""
    ask(inquiry, requirements)
    ask_of_places(inquiry, requirements)
    return told(inquiry, requirements)


def told(inquiry: Inquiry, requirements: Sequence[Requirement]) -> tuple[Binding, ...]:
    """What easing and dropping each requirement saves, largest saving of a step first.

    From what is known by now.

    Parameters
    ----------
    requirements : sequence of Requirement
        In the order of the site file; the budget among them is never a price and never asked
        about.
    """
    found = [_one(inquiry, r) for r in requirements]
    return tuple(sorted(found, key=_rank))


def ask(inquiry: Inquiry, requirements: Sequence[Requirement]) -> None:
    """Put the questions that :func:`told` tells of, but for those of whole places."""
    small = [r for r in requirements if r.quantity != ""]
    if inquiry.free.areas:
        _ask_together(inquiry, small)
    _ask_each(inquiry, small)


def ask_of_places(inquiry: Inquiry, requirements: Sequence[Requirement]) -> None:
    """Put the questions what a place costs as a whole: bounds of these are the loosest."""
    _ask_each(inquiry, [r for r in requirements if r.quantity == ""])


def _late(r: Requirement) -> int:
    if r.place == "policy":
        return 3
    if r.quantity == "":
        return 2
    return int(r.place.startswith("zones."))


def _rank(one: Binding) -> tuple[int, int, int]:
    return (
        {True: 0, None: 1, False: 2}[one.binds],
        -saving(one.eased),
        -saving(one.dropped),
    )


def saving(step: Step | None) -> int:
    """What a step is proven to save. [hundredth]"""
    if step is None or step.difference is None:
        return 0
    text = step.difference
    return money(text.removeprefix("-")) * (1 if text.startswith("-") else -1)


def _ask_together(inquiry: Inquiry, requirements: Sequence[Requirement]) -> None:
    """Rule out several at a time: what saves nothing together saves nothing one by one.

    Where changes can stand in one search, that serves better.

    What decides which cameras suit a zone is asked about zone by zone; what decides how much is
    recorded, of all zones together.
    """
    droppable = [
        r
        for r in requirements
        if r.can_be_dropped and inquiry.monotone([r]) and inquiry.nested([r])
    ]
    of_zones = [r for r in droppable if r.place.startswith("zones.")]
    by_zone: dict[str, list[Requirement]] = {}
    for r in of_zones:
        if r.quantity in SEEING:
            by_zone.setdefault(r.place, []).append(r)
    streams = [r for r in of_zones if r.quantity in _STREAMS]
    _rule_out(inquiry, [streams, *by_zone.values()])


def _rule_out(inquiry: Inquiry, groups: Sequence[list[Requirement]]) -> None:
    """Ask whether dropping all of a group saves anything, and note it of each where it does not."""
    asked = []
    for group in groups:
        site = inquiry.possible({r.id: None for r in group}) if len(group) > 1 else None
        if site is not None and inquiry.relaxed(group, site):
            asked.append((group, site))
    saves = inquiry.asker.all_save([site for _, site in asked], inquiry.total, _SHORT)
    for (group, _), may_save in zip(asked, saves, strict=True):
        if may_save is False:
            for r in group:
                for value in {None, r.easier()}:
                    inquiry.asker.at_least(inquiry.site({r.id: value}), inquiry.total)


def _ask_each(inquiry: Inquiry, requirements: Sequence[Requirement]) -> None:
    """All questions at once, so that they can be shared out: first dropping, then easing.

    What is recorded and kept spare comes first, whole zones and policy last: time may run out.
    """
    order = sorted(requirements, key=_late)
    gone: dict[str, Site] = {}

    def without() -> Iterator[Site]:
        for r in order:
            if r.can_be_dropped and r.id != "budget":
                site = inquiry.possible({r.id: None})
                if site is not None:
                    inquiry.relaxed([r], site)
                    gone[r.id] = site
                    yield site

    def easier(*, first: bool = False) -> Iterator[Site]:
        for r in order:
            # How much a zone records seldom decides anything, and dropping it says so of easing it.
            later = first and r.place.startswith("zones.") and r.quantity in _STREAMS
            value = None if later else r.easier()
            site = None if value is None else inquiry.possible({r.id: value})
            if site is not None:
                known = inquiry.asker.so_far(gone[r.id]) if r.id in gone else None
                _expect(inquiry, r, site, known)
                yield site

    # What can stand in one search is asked at once; easing where dropping does not settle it.
    inquiry.asker.at_once([*without(), *easier(first=True)])
    inquiry.asker.at_once(easier())
    for share in _ROUNDS:
        inquiry.asker.together(without(), share)
        inquiry.asker.together(easier(), share)


def _one(inquiry: Inquiry, r: Requirement) -> Binding:
    plain = {
        "requirement": r.id,
        "line": r.line,
        "text": r.text,
        "asked": r.value,
        "dropping_means": r.dropping,
    }
    if r.id == "budget":
        # A budget that is kept only limits: without it the cheapest kit is the same.
        known = inquiry.asker.so_far(inquiry.free)
        step = inquiry.step([(r, None, None)], known)
        return Binding(binds=False, eased=None, dropped=step, **plain)
    dropped, gone = _dropped(inquiry, r)
    value = r.easier()
    eased = None if value is None else _eased(inquiry, r, value, 1, gone)
    deciding = dropped if value is None else eased
    binds = None if deciding is None else _saves(inquiry, deciding)
    return Binding(binds=binds, eased=eased, dropped=dropped, **plain)


def _saves(inquiry: Inquiry, step: Step) -> bool | None:
    if step.status == "proven":
        return saving(step) > 0
    if step.status == "between":
        if step.high is not None and money(step.high) < inquiry.total:
            return True
        return None if step.may_save else False
    return False


def _dropped(inquiry: Inquiry, r: Requirement) -> tuple[Step | None, Known | None]:
    if not r.can_be_dropped:
        return None, None
    change = [(r, None, None)]
    if inquiry.too_late({r.id: None}):
        return inquiry.step(change, inquiry.unasked(r)), None
    try:
        site = inquiry.site({r.id: None})
    except InputError as error:
        return inquiry.refused(change, error), None
    inquiry.relaxed([r], site)
    known = inquiry.asker.so_far(site)
    return inquiry.step(change, known), known


def _eased(inquiry: Inquiry, r: Requirement, value: str, steps: int, gone: Known | None) -> Step:
    """A step easier; `gone` is what is known of the site without the requirement."""
    change = [(r, value, steps)]
    if inquiry.too_late({r.id: value}):
        return inquiry.step(change, inquiry.unasked(r, 0 if gone is None else gone.low))
    try:
        site = inquiry.site({r.id: value})
    except InputError as error:
        return inquiry.refused(change, error)
    _expect(inquiry, r, site, gone)
    # One step was asked about before; what lies further is not until now.
    known = inquiry.asker.so_far(site) if steps == 1 else inquiry.asker.cheapest(site)
    return inquiry.step(change, known)


def _expect(inquiry: Inquiry, r: Requirement, site: Site, gone: Known | None) -> None:
    """Note what is known of an eased site from the one without the requirement."""
    if inquiry.relaxed([r], site) and gone is not None and inquiry.nested([r]):
        inquiry.asker.at_least(site, min(gone.low, inquiry.total))


def with_first_saving(
    inquiry: Inquiry, found: Sequence[Binding], requirements: Sequence[Requirement]
) -> tuple[Binding, ...]:
    """The same, with the fewest steps that save something where one step saves nothing."""
    by_id = {r.id: r for r in requirements}
    return tuple(
        one.model_copy(update={"first_saving": _first_saving(inquiry, one, by_id[one.requirement])})
        if one.binds is False and one.eased is not None and saving(one.dropped) > 0
        else one
        for one in found
    )


def _first_saving(inquiry: Inquiry, one: Binding, r: Requirement) -> Step | None:
    """The fewest natural steps of a requirement that save something, by bisection."""
    values = [r.value]
    while len(values) <= _STEPS and (easier := r.easier(values[-1])) is not None:
        values.append(easier)
    assert one.dropped is not None
    if not inquiry.monotone([r]):
        return _first_by_walking(inquiry, r, values)
    low, high = 1, len(values) - 1  # `low` is known to save nothing
    if high < 2 or not _value_saves(inquiry, r, values[high]):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        saves = _value_saves(inquiry, r, values[middle])
        if saves is None:
            return None
        low, high = (low, middle) if saves else (middle, high)
    return _eased(inquiry, r, values[high], high, None)


def _first_by_walking(inquiry: Inquiry, r: Requirement, values: Sequence[str]) -> Step | None:
    for steps, value in enumerate(values[2:], 2):
        step = _eased(inquiry, r, value, steps, None)
        if step.status == "between":
            return None
        if saving(step) > 0:
            return step
    return None


def _value_saves(inquiry: Inquiry, r: Requirement, value: str) -> bool | None:
    site = inquiry.site({r.id: value})
    inquiry.relaxed([r], site)
    return inquiry.asker.saves(site, inquiry.total)


def next_saving(found: Sequence[Binding]) -> NextSaving | None:
    """The smallest relaxation of one requirement that saves something.

    Fewest steps, then the larger saving, then the order of `found`. What is either asked or not
    counts as one step to drop; dropping a whole zone or audio point comes after everything else.
    """
    candidates: list[tuple[int, int, int, Step]] = []
    for place, one in enumerate(found):
        whole = "/" not in one.requirement
        step = one.eased if one.eased is not None else one.dropped
        if step is not None and saving(step) > 0:
            candidates.append((10_000 if whole else 1, -saving(step), place, step))
        elif one.first_saving is not None:
            taken = one.first_saving.changes[0].steps or 0
            candidates.append((taken, -saving(one.first_saving), place, one.first_saving))
        elif one.dropped is not None and saving(one.dropped) > 0:
            candidates.append((1_000, -saving(one.dropped), place, one.dropped))
    return NextSaving(step=min(candidates, key=lambda c: c[:3])[3]) if candidates else None


__all__ = ["ask", "ask_of_places", "binding", "next_saving", "saving", "told", "with_first_saving"]
