"""What if: the site with something changed, solved anew, and the two bills side by side."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from optimizer.design import BillLine, Design
from optimizer.errors import InputError, Trouble, quoted
from optimizer.explaining.direction import Range, Way, difference, signs, way
from optimizer.pricebook.loading import LoadedBook
from optimizer.reading.hints import suggest
from optimizer.site.changes import changed
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import NOT_ASKED, reaches, requirements
from optimizer.site.schema import Needed, Site
from optimizer.solving import solve_site
from optimizer.solving.answer import Answer, proven_to
from optimizer.solving.explanation import Change, FigureStatus
from optimizer.solving.variants import Beside, BillDifference, LineChange, WhatIf
from optimizer.units import money, money_text

Progress = Callable[[str], None]

OVER = (
    "each total is the least over the ways to aim cameras that were looked at for its site; a way "
    "that was not looked at might make either of them less"
)


class Wish(NamedTuple):
    """What is to be different.

    Attributes
    ----------
    have : dict of str to int
        Items that the kit must use, with the number.
    lack : tuple of str
        Items that the kit must do without, even where the site asks for them.
    values : dict of str to str
        Requirement id to its new value, written as in a site file.
    """

    have: Mapping[str, int] = {}
    lack: Sequence[str] = ()
    values: Mapping[str, str] = {}


def wished(asked: LoadedSite, book: LoadedBook, wish: Wish) -> tuple[Site, tuple[Change, ...]]:
    """The site as it would be, and what is changed in it.

    Raises
    ------
    InputError
        If an item is not in the price book, is both wanted and not, or a value is refused.
    """
    for item in (*wish.have, *wish.lack):
        _check_item(item, book)
        if item in wish.have and item in wish.lack:
            raise InputError(
                Trouble(
                    f"{quoted(item)} cannot be both in the kit and not",
                    hint="ask the two questions one after the other",
                )
            )
    site, changes = asked.site, []
    if wish.values:
        site = changed(asked, wish.values)
        for item in (*(n.item for n in site.policy.require), *site.policy.forbid):
            _check_item(item, book)
        for name, value in wish.values.items():
            before, after = _value(asked, name), _value(site, name)
            changes.append(
                Change(requirement=name, asked=before, to=NOT_ASKED if value == "none" else after)
            )
    for item, number in wish.have.items():
        site, change = _have(site, item, number)
        changes += change
    for item in dict.fromkeys(wish.lack):
        site, change = _lack(site, item)
        changes += change
    return site, tuple(changes)


def _check_item(item: str, book: LoadedBook) -> None:
    if item not in book.items:
        raise InputError(
            Trouble(
                f"the price book has no item {quoted(item)}",
                accepted=f"an id of an item in {book.book.name}",
                hint=suggest(item, book.items, "`leastkit book list` shows the ids"),
            )
        )


def _value(site: Site | LoadedSite, name: str) -> str:
    """The value of a requirement as findings write it; what is not asked has none."""
    known = {r.id: r.value for r in (*requirements(site), *reaches(site))}
    return known[name] if name in known else _stated(site, name)


def _stated(site: Site | LoadedSite, name: str) -> str:
    """The value of a field that is no requirement by itself, such as the heights of a target."""
    whole = site.site if isinstance(site, LoadedSite) else site
    data = whole.model_dump(mode="json")
    place, _, quantity = name.partition("/")
    group, _, one = place.partition(".")
    entries = (data["plan"] or {}).get(group, ()) if group == "keep_outs" else data.get(group)
    if one:
        entries = next((e for e in entries or () if e.get("id") == one), None)
    value = entries.get(quantity) if isinstance(entries, dict) else None
    return NOT_ASKED if value is None or isinstance(value, list | dict | bool) else str(value)


def _have(site: Site, item: str, number: int) -> tuple[Site, list[Change]]:
    policy, changes = site.policy, []
    if item in policy.forbid:
        changes.append(Change(requirement=f"policy/forbid.{item}", asked="forbidden", to="allowed"))
    before = next((n.quantity for n in policy.require if n.item == item), 0)
    if before < number:
        changes.append(
            Change(
                requirement=f"policy/require.{item}",
                asked=f"{before} in use" if before else "not asked",
                to=f"at least {number} in use",
            )
        )
    others = tuple(n for n in policy.require if n.item != item)
    need = Needed(item=item, quantity=max(before, number))
    kept = tuple(i for i in policy.forbid if i != item)
    with_it = policy.model_copy(update={"require": (*others, need), "forbid": kept})
    return site.model_copy(update={"policy": with_it}), changes


def _lack(site: Site, item: str) -> tuple[Site, list[Change]]:
    policy, changes = site.policy, []
    for need in policy.require:
        if need.item == item:
            changes.append(
                Change(
                    requirement=f"policy/require.{item}",
                    asked=f"at least {need.quantity} in use",
                    to="not asked",
                )
            )
    for owned in site.owned:
        if owned.item == item and owned.pinned:
            changes.append(
                Change(requirement=f"owned.{item}/pinned", asked="must be used", to="not asked")
            )
    if item not in policy.forbid:
        changes.append(Change(requirement=f"policy/forbid.{item}", asked="allowed", to="forbidden"))
    without = policy.model_copy(
        update={
            "require": tuple(n for n in policy.require if n.item != item),
            "forbid": tuple(dict.fromkeys((*policy.forbid, item))),
        }
    )
    owned_now = tuple(
        o.model_copy(update={"pinned": False}) if o.item == item else o for o in site.owned
    )
    return site.model_copy(update={"policy": without, "owned": owned_now}), changes


def what_if(
    asked: LoadedSite,
    book: LoadedBook,
    before: Answer,
    wish: Wish,
    deadline: float,
    say: Progress,
) -> Answer:
    """The proven answer to the changed question, with its difference from the first.

    Parameters
    ----------
    before : Answer
        To the question of the site file.
    deadline : float
        On the clock of ``time.monotonic``. [s]

    Raises
    ------
    InputError
        As for :func:`wished`.
    """
    site, changes = wished(asked, book, wish)
    say("solving the changed site")
    if _already_so(asked.site, before, site, wish):
        after = before
    else:
        after = solve_site(
            site,
            book,
            seconds=max(deadline - time.monotonic(), 0.1),
            site_sha256=asked.source.sha256,
            progress=say,
        )
    beside: Beside = ""
    if asked.site.areas or not before.status == after.status == "optimal":
        from optimizer.explaining.explain_plan import better_known

        if not asked.site.areas:
            # Time ran out: a kit of one may do for the other.
            after = better_known(site, book, after, before)
            before = better_known(asked.site, book, before, after)
        else:
            # Each was sought over its own ways to aim. The price before stays what the site by
            # itself is told to cost.
            if better_known(asked.site, book, before, after) is not before:
                beside = "after"
            known = better_known(site, book, after, before)
            if known is not after:
                after, beside = known, "before"
    going = wished_way(asked.site, site, book, wish)
    if going.no_cheaper and not asked.site.areas:
        after = _no_cheaper(after, before)
    return after.model_copy(update={"what_if": compared(before, after, changes, going, beside)})


def wished_way(before: Site, after: Site, book: LoadedBook, wish: Wish) -> Way:
    """Which way a wish goes; to use an item, or to do without, only asks for more.

    It asks for less as well where that lifts a ban, or gives up what must be used.
    """
    names = [*wish.values, *(f"policy/require.{item}" for item in wish.have)]
    wanted = {n.item for n in before.policy.require} | {o.item for o in before.owned if o.pinned}
    banned = [item for item in dict.fromkeys(wish.lack) if item not in before.policy.forbid]
    if set(wish.have) & set(before.policy.forbid) or set(wish.lack) & wanted:
        return Way()
    moves = signs(before, after, [*names, *(f"policy/forbid.{item}" for item in banned)])
    return Way() if moves is None else way(before, after, book, moves)


def _no_cheaper(after: Answer, before: Answer) -> Answer:
    """An answer to a site that only asks for more: what no kit of the first is below holds too."""
    if not after.met or before.lower_bound is None or after.status == "optimal":
        return after
    total = money(after.total or "0")
    low = min(max(money(before.lower_bound), money(after.lower_bound or "0")), total)
    return after.model_copy(update=proven_to(low, total))


def _already_so(site: Site, before: Answer, after: Site, wish: Wish) -> bool:
    """Whether the first answer answers the changed question too.

    A design that is proven cheapest stays so where others than itself are ruled out: where the
    only change is that items are forbidden which it neither buys nor uses. Then it is the answer,
    not another design of the same price.
    """
    if before.status != "optimal" or wish.have or wish.values:
        return False
    present = {line.item for line in before.bill}
    asked = {n.item for n in site.policy.require} | {o.item for o in site.owned if o.pinned}
    return after.policy.forbid == site.policy.forbid or not (present | asked) & set(wish.lack)


def compared(
    before: Answer,
    after: Answer,
    changes: tuple[Change, ...],
    going: Way | None = None,
    beside: Beside = "",
) -> WhatIf:
    """The difference of two answers; exact where both are proven, else from `low` to `high`.

    Parameters
    ----------
    going : Way, optional
        Which way the changes go, where that is known.
    beside : str
        "before" or "after" where the kit of that one does for the other site too, for less than
        what was sought there: then the price of the other was the least of too few.
    """
    if after.status == "unmeetable":
        return WhatIf(changes=changes, status="unmeetable", before=before.total)
    # From a site without any kit there is no difference to speak of.
    going = Way() if going is None or before.status == "unmeetable" else going
    was, now = range_of(before), range_of(after)
    low, high = difference(going, was, now)
    proven = low is not None and low == high and not beside
    # Without a first design there is nothing to compare, but a proven total is proven.
    alone = before.status == "unmeetable" and now.low == now.high
    if beside == "before":
        # Of what the changed site costs at least, nothing is known that holds but by its direction.
        low = 0 if going.no_cheaper else None
    elif beside == "after":
        # A kit of the changed site does for the site as it stands; where none of it is cheaper, the
        # latter costs no more.
        low = 0 if going.no_cheaper or now.low == now.high else None
        high = 0 if going.no_dearer else None
    status: FigureStatus = "proven" if proven or alone else "between"
    both = before.met and after.met
    return WhatIf(
        changes=changes,
        status=status,
        before=before.total,
        after=after.total,
        difference=_text(low) if proven else None,
        low=_text(low),
        high=_text(high),
        beside=beside,
        over=OVER if before.over or after.over else "",
        bills=bill_difference(before.design(), after.design()) if both else None,
    )


def range_of(answer: Answer) -> Range:
    """Where the total of the cheapest kit lies, as far as an answer says.

    On a plan, however small the cells are: a kit that is cheapest by whole cells only may be
    another one when more time is given, and a change and its reverse would not sum to nothing.
    """
    least = answer.bound_by_shapes if answer.over else answer.lower_bound
    low = 0 if least is None else money(least)
    return Range(low, None if answer.total is None else money(answer.total))


def _text(amount: int | None) -> str | None:
    return None if amount is None else money_text(amount)


def bill_difference(before: Design, after: Design) -> BillDifference:
    """What is added, removed and bought in another number, and the sums that follow.

    Lines stand in the order of the second bill, then those of the first that are gone.
    """
    old = {line.item: line for line in before.bill}
    new = {line.item: line for line in after.bill}
    lines = []
    for item in dict.fromkeys((*new, *old)):
        change = _line(item, old.get(item), new.get(item))
        if change is not None:
            lines.append(change)
    goods = sum((Decimal(line.amount) for line in lines), Decimal("0.00"))
    return BillDifference(
        lines=tuple(lines),
        goods=str(goods),
        reductions=str(_off(after) - _off(before)),
        labour=str(Decimal(after.labour) - Decimal(before.labour)),
        tax=str(Decimal(after.tax) - Decimal(before.tax)),
        total=str(Decimal(after.total) - Decimal(before.total)),
    )


def _line(item: str, old: BillLine | None, new: BillLine | None) -> LineChange | None:
    before, after = (line.quantity if line else 0 for line in (old, new))
    amount = _amount(new) - _amount(old)
    # A line with nothing bought is taken from stock: that it is there at all is then the change.
    if before == after and not amount and (old is None) == (new is None):
        return None
    what = "added" if old is None else "removed" if new is None else "changed"
    return LineChange(item=item, what=what, before=before, after=after, amount=str(amount))


def _amount(line: BillLine | None) -> Decimal:
    return Decimal(line.line_total) if line else Decimal("0.00")


def _off(design: Design) -> Decimal:
    """What the offers take off: what goods, labour and net leave of it."""
    goods = sum((Decimal(line.line_total) for line in design.bill), Decimal("0.00"))
    return goods + Decimal(design.labour) - Decimal(design.net)


__all__ = ["Wish", "bill_difference", "compared", "range_of", "what_if", "wished", "wished_way"]
