"""How far a requirement can be tightened at the same price, and what the step after that costs.

First the design at hand is carried over to tighter values, which the audit judges without any
search. Where it stops, a kit of the same price is sought among all that there are (`level`), or
else the cheapest kit of the next value; if that costs no more, its design is carried on, in strides
that double, and the last stride is bisected. What the step beyond costs is asked last.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from typing import TypeVar

from optimizer.errors import InputError
from optimizer.explaining.asking import Have, Known
from optimizer.explaining.beyond import SEEING, Item, fresh
from optimizer.explaining.inquiry import Inquiry
from optimizer.explaining.level import Level, at_level, decided, level
from optimizer.site.requirements import Requirement
from optimizer.site.schema import Site
from optimizer.solving.explanation import Change, Headroom, Step
from optimizer.units import money_text

_SHORT = 0.25
"""Share of a question's time at first: a hard one waits until all others had their turn."""

_SEVERAL = 4
"""Tighter sites from which on it pays to look for all kits of the same price."""

_LEVEL_SHARE = 0.7
"""Share of the time left that the search for these may take."""

T = TypeVar("T")
Question = tuple[Site, int | None]
"""A site whose cheapest total is asked for; with a total, only whether it costs less than that."""

Way = Generator[Question, None, T]

MOST_STEPS = 4000
"""Natural steps beyond which nobody looks."""


def headroom(inquiry: Inquiry, requirements: Sequence[Requirement]) -> tuple[Headroom, ...]:
    """Headroom and next price step of each counted requirement, in the order given."""
    return Reaching(inquiry, requirements).found()


class Reaching:
    """How far each of several requirements goes, and what the step beyond costs.

    Parameters
    ----------
    requirements : sequence of Requirement
        Counted ones; the budget may be among them.
    """

    def __init__(self, inquiry: Inquiry, requirements: Sequence[Requirement]) -> None:
        self.inquiry, self.requirements = inquiry, requirements
        self.climbs = {r.id: _Climb(inquiry, r) for r in requirements if r.id != "budget"}
        self.ways = {name: climb.found() for name, climb in self.climbs.items()}
        self.waiting: dict[str, Question] = {}
        self.heads: dict[str, Headroom] = {}
        self.level: Level | None = None
        self.sought = False
        # Climbs that wait for what all kits of the same price do not tell.
        self.left: set[str] = set()

    def climb(self) -> None:
        """Go as far as all kits of the same price tell, if these can be found.

        What the step beyond costs is left to :meth:`found`.
        """
        self._step()
        if not self.sought and sum(self._stricter(name) for name in self.waiting) >= _SEVERAL:
            self.sought = True
            self.level = level(self.inquiry.asker, self.inquiry.base, _LEVEL_SHARE)
        while self.level is not None and not self.inquiry.asker.out_of_time:
            open_ = [n for n in self.waiting if n not in self.left and self._stricter(n)]
            self._ask_level(self.level, open_)
            settled = [name for name in open_ if self._settled(self.waiting[name][0])]
            if not settled:
                return
            if not self.inquiry.asker.out_of_time:
                self.left.update(name for name in open_ if name not in settled)
            for name in settled:
                del self.waiting[name]
            self._step()

    def _ask_level(self, one: Level, names: Sequence[str]) -> None:
        asker, total = self.inquiry.asker, self.inquiry.total
        asked = []
        for name in names:
            site = self.waiting[name][0]
            asked.append((site, bool(self.climbs[name].new(site))))
        at_level(asker, one, asked)
        for name, (site, new_there) in zip(names, asked, strict=True):
            if new_there and asker.so_far(site).low >= total:
                self.climbs[name].rule_out(site)

    def found(self) -> tuple[Headroom, ...]:
        """Headroom and next price step of each, in the order given."""
        share, asker = _SHORT, self.inquiry.asker
        self.climb()
        while self.ways:
            questions = list(self.waiting.values())
            asker.together((site for site, below in questions if below is None), share)
            for below in sorted({b for _, b in questions if b is not None}):
                asker.together((site for site, b in questions if b == below), share, below)
            self.waiting, share = {}, 1.0
            self.left.clear()
            self._step()
        return tuple(
            _budget(self.inquiry, r) if r.id == "budget" else self.heads[r.id]
            for r in self.requirements
        )

    def _step(self) -> None:
        """Let each climb that waits for nothing come to its next question, or to its end.

        All take a step at a time, so that their questions are asked together.
        """
        for name, way in list(self.ways.items()):
            if name not in self.waiting:
                try:
                    self.waiting[name] = next(way)
                except StopIteration as ended:
                    self.heads[name] = ended.value
                    del self.ways[name]

    def _stricter(self, name: str) -> bool:
        """Whether all kits of the same price tell of the site that a climb waits for."""
        site = self.waiting[name][0]
        return not self._settled(site) and self.climbs[name].new(site) is not None

    def _settled(self, site: Site) -> bool:
        """Whether it is known if a tighter site can be had at the same price."""
        return decided(self.inquiry.asker.so_far(site), self.inquiry.total)


def _budget(inquiry: Inquiry, r: Requirement) -> Headroom:
    """A budget can be lowered to the price itself: below it nothing is proven to exist."""
    site = inquiry.asked.site
    design = inquiry.base.design
    least = design.total if site.money.budget_includes_tax else design.net
    in_hundredths = round(float(least) * 100)
    assert site.money.budget is not None
    return Headroom(
        requirement=r.id,
        line=r.line,
        text=r.text,
        asked=r.value,
        reaches=least,
        steps=(site.money.budget - in_hundredths) // 100,
        next=Step(
            changes=(Change(requirement=r.id, asked=r.value, to=money_text(in_hundredths - 1)),),
            status="unmeetable",
            before=design.total,
            because=f"no kit costs less than {least}",
        )
        if in_hundredths
        else None,
        endless=not in_hundredths,
    )


class _Climb:
    """The way up the ladder of one requirement."""

    def __init__(self, inquiry: Inquiry, r: Requirement) -> None:
        self.inquiry, self.r = inquiry, r
        self.values = [r.value]
        self.ended = False
        self.sites: dict[int, Site | InputError] = {}
        # Whether a tightening surely costs no less than what it tightens.
        self.sure = inquiry.monotone([r])
        self.dearer: frozenset[Item] = frozenset()

    def new(self, site: Site) -> frozenset[Item] | None:
        """Cameras with which a kit of a tightened site may be none of the site as it is asked.

        Without those of which it is proven that they make any kit dearer.

        Returns
        -------
        frozenset of (str, int) or None
            None where a kit of it may be none of the site's for other reasons.
        """
        if self.inquiry.free.areas:
            return None
        if self.r.quantity in SEEING:
            taken = fresh(site, self.inquiry.free, self.inquiry.book)
            return None if taken is None else taken - self.dearer
        return frozenset() if self.sure else None

    def rule_out(self, site: Site) -> None:
        """Note that no camera that is new at a site serves a kit of the same price.

        It holds for all tighter values: there each is taken with as many recorded pixels or more.
        """
        self.dearer |= self.new(site) or frozenset()

    def _value(self, steps: int) -> str | None:
        while len(self.values) <= min(steps, MOST_STEPS) and not self.ended:
            harder = self.r.harder(self.values[-1])
            if harder is None:
                self.ended = True
            else:
                self.values.append(harder)
        return self.values[steps] if steps < len(self.values) else None

    def _site(self, steps: int) -> Site | InputError | None:
        value = self._value(steps)
        if value is None:
            return None
        if steps not in self.sites:
            try:
                self.sites[steps] = self.inquiry.site({self.r.id: value})
            except InputError as error:
                self.sites[steps] = error
        return self.sites[steps]

    def found(self) -> Way[Headroom]:
        """Headroom, and the step after it; the questions that it hangs on are yielded."""
        held, failed, settled = yield from self._climb(0)
        step = None
        while failed is not None:
            step = yield from self._beyond(failed)
            if step is None or not _costs_nothing(step):
                break
            # What was open when it was first asked can be had at the same price.
            held, failed, settled = yield from self._climb(failed)
            step = None
        r, value = self.r, self._value(held + 1)
        return Headroom(
            requirement=r.id,
            line=r.line,
            text=r.text,
            asked=r.value,
            reaches=self.values[held],
            steps=held,
            endless=value is None and self.ended,
            # What the value beyond costs may have been settled only when it was asked again.
            proven=settled if step is None else not step.may_cost_the_same,
            next=step,
        )

    def _climb(self, held: int) -> Way[tuple[int, int | None, bool]]:
        """Steps held, going on from some; the first not known to hold; whether that is settled."""
        return (yield from (self._strides(held) if self.sure else self._walk(held)))

    def _beyond(self, steps: int) -> Way[Step | None]:
        """What a value costs of which it is not known that it can be had at the same price."""
        value = self._value(steps)
        if value is None:
            return None
        change = [(self.r, value, steps)]
        if self._too_late(steps):
            return self.inquiry.step(change, Known(low=self.inquiry.total if self.sure else 0))
        site = self._site(steps)
        if not isinstance(site, Site):
            return None if site is None else self.inquiry.refused(change, site)
        yield site, None
        return self.inquiry.step(change, self.inquiry.asker.so_far(site))

    def _too_late(self, steps: int) -> bool:
        """Whether time ran out before the site was made."""
        return self.inquiry.asker.out_of_time and steps not in self.sites

    # One value after the other, where easing may cost more

    def _walk(self, held: int) -> Way[tuple[int, int | None, bool]]:
        asker = self.inquiry.asker
        while not self._too_late(held + 1) and isinstance(site := self._site(held + 1), Site):
            if self.new(site) == frozenset():
                # Each kit of it is one of the site's; mostly the kit at hand is one of its own.
                self._carry(site, self.inquiry.base)
            if not asker.so_far(site).settled:
                yield site, None
            known = asker.so_far(site)
            if known.unmeetable or known.low > self.inquiry.total:
                return held, held + 1, True
            if not known.settled:
                return held, held + 1, False
            held += 1
        if self._too_late(held + 1):
            return held, held + 1, False
        site = self._site(held + 1)
        return held, None if site is None else held + 1, self.ended or site is not None

    # Strides, where it never does

    def _strides(self, held: int) -> Way[tuple[int, int | None, bool]]:
        """Steps held, the least steps known to fail, and whether the two meet."""
        stride = 1
        failed: int | None = None
        have: Have | None = self._kit_at(held)
        while True:
            held = self._carried(have, held, failed)
            if self._value(held + 1) is None:
                return held, None, self.ended
            if failed == held + 1:
                return held, failed, True
            if failed is not None:
                target = (held + failed) // 2
            else:
                target = held + stride
                if self._value(target) is None:
                    target = len(self.values) - 1
            holds = yield from self._holds(target, alone=target == held + 1)
            if holds is None:
                return held, held + 1, False
            if holds:
                held, stride = target, stride * 2
                have = self._kit_at(held)
            else:
                failed = target

    def _kit_at(self, steps: int) -> Have | None:
        """The kit at hand, or the one known of the value so many steps up."""
        if not steps:
            return self.inquiry.base
        site = self._site(steps)
        return self.inquiry.asker.design(site) if isinstance(site, Site) else None

    def _holds(self, steps: int, alone: bool) -> Way[bool | None]:
        """Whether the value so many steps up can be had at the same price.

        Parameters
        ----------
        alone : bool
            Whether it is the next one: then its own price is of interest if it is higher.
        """
        if self._too_late(steps):
            return None
        site = self._site(steps)
        if not isinstance(site, Site):
            return False
        asker, total = self.inquiry.asker, self.inquiry.total
        asker.at_least(site, total)
        yield site, None if alone else total + 1
        known = asker.so_far(site)
        if known.unmeetable or known.low > total:
            return False
        return True if known.high == total else None

    def _carried(self, have: Have | None, held: int, failed: int | None) -> int:
        """The farthest value to which a design can be carried over, by doubling and bisection."""
        if have is None:
            return held
        good, bad, stride = held, failed, 1
        while (bad is None or bad - good > 1) and not self.inquiry.asker.out_of_time:
            target = good + stride if bad is None else (good + bad) // 2
            site = self._site(target)
            passes = isinstance(site, Site) and self._carry(site, have)
            if passes:
                good, stride = target, stride * 2
            else:
                bad = target
        return good

    def _carry(self, site: Site, have: Have) -> bool:
        if self.inquiry.asker.carry(site, have) is None:
            return False
        self.inquiry.asker.at_least(site, self.inquiry.total)
        return True


def _costs_nothing(step: Step) -> bool:
    return step.status == "proven" and step.after is not None and step.after == step.before


__all__ = ["Reaching", "headroom"]
