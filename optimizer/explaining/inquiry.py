"""What all questions of one explanation share: the site, its proven design, and who answers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from optimizer.design import Design
from optimizer.errors import InputError
from optimizer.explaining.asking import Asker, Have, Known, least_net
from optimizer.explaining.direction import Range, joined, sign, way
from optimizer.explaining.grounds import same_views
from optimizer.explaining.monotony import monotone
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.changes import changed
from optimizer.site.loading import LoadedSite
from optimizer.site.requirements import NOT_ASKED, Requirement, reaches, requirements
from optimizer.site.schema import Site
from optimizer.solving.explanation import Change, ItemChange, Step
from optimizer.units import money_text


@dataclass(frozen=True)
class Inquiry:
    """A site whose cheapest kit is proven, and the questions about it.

    Attributes
    ----------
    asked : LoadedSite
        As the file has it.
    free : Site
        The same without a budget, which is a limit and never a price: what a change costs is
        told even where it goes beyond the budget.
    base : Have
        The cheapest design.
    listed : dict
        What it asks, by id.
    made : dict
        Changed sites that were made, by their changes.
    """

    asked: LoadedSite
    free: Site
    base: Have
    book: LoadedBook
    asker: Asker
    listed: dict[str, Requirement]
    made: dict[tuple[tuple[str, str | None], ...], Site] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, asked: LoadedSite, book: LoadedBook, design: Design, asker: Asker) -> Inquiry:
        """The questions about a site and the design that is proven cheapest for it."""
        free = without_budget(asked.site)
        asker.tell(free, design, proven=True)
        listed = {r.id: r for r in (*requirements(free), *reaches(free))}
        return cls(asked, free, Have(free, design), book, asker, listed)

    @property
    def total(self) -> int:
        """The proven total with tax. [hundredth]"""
        return self.base.total

    def site(self, changes: Mapping[str, str | None]) -> Site:
        """The site with changes, without a budget; InputError where it is refused."""
        key = tuple(changes.items())
        if key not in self.made:
            self.made[key] = changed(self.free, changes, self.listed)
        return self.made[key]

    def too_late(self, changes: Mapping[str, str | None]) -> bool:
        """Whether time ran out before a site was even made: large sites take long to make."""
        return self.asker.out_of_time and tuple(changes.items()) not in self.made

    def unasked(self, r: Requirement, low: int = 0) -> Known:
        """What is known of a relaxation about which nothing was asked.

        Parameters
        ----------
        low : int
            No kit costs less where the requirement is dropped. [hundredth, with tax]
        """
        if self.monotone([r]):
            return Known(low=min(low, self.total), high=self.total, bought=self.base.bought)
        return Known()

    def possible(self, changes: Mapping[str, str | None]) -> Site | None:
        """The site with changes, or None where it is refused."""
        try:
            return self.site(changes)
        except InputError:
            return None

    def monotone(self, requirements: Iterable[Requirement]) -> bool:
        """Whether easing these surely costs no more; see :mod:`.monotony`."""
        return monotone(self.free, self.book, requirements)

    def nested(self, requirements: Iterable[Requirement]) -> bool:
        """Whether a least price without these holds where they are eased; see :mod:`grounds`."""
        return same_views(self.free, self.book, requirements)

    def relaxed(self, requirements: Iterable[Requirement], site: Site) -> bool:
        """Note for a relaxed site what its being one says; False where that says nothing."""
        if not self.monotone(requirements):
            return False
        self.asker.at_most(site, self.total, self.base.bought)
        return True

    def step(
        self, changes: Iterable[tuple[Requirement, str | None, int | None]], known: Known
    ) -> Step:
        """What is known of a changed site, in words and money.

        What is not settled is cut off at the proven price of the site as it stands; see
        :mod:`optimizer.explaining.direction`.

        Parameters
        ----------
        changes : iterable of (Requirement, value, steps)
            Value None: dropped.
        """
        changes = tuple(changes)
        known = self._cut_off(changes, known)
        made = tuple(
            Change(
                requirement=r.id,
                asked=r.value,
                to=NOT_ASKED if value is None else value,
                steps=steps,
            )
            for r, value, steps in changes
        )
        before = money_text(self.total)
        if known.unmeetable:
            return Step(changes=made, status="unmeetable", before=before, because=known.because)
        if not known.settled:
            return Step(
                changes=made,
                status="between",
                before=before,
                low=money_text(known.low) if known.low else None,
                high=None if known.high is None else money_text(known.high),
                because=known.because,
            )
        assert known.high is not None
        assert known.bought is not None
        return Step(
            changes=made,
            status="proven",
            before=before,
            after=money_text(known.high),
            difference=money_text(known.high - self.total),
            items=item_changes(self.book, self.base.bought, known.bought),
            because=beyond_budget(self.asked.site, known),
        )

    def _cut_off(
        self, changes: Iterable[tuple[Requirement, str | None, int | None]], known: Known
    ) -> Known:
        """What is known of a changed site, with what the way of the change says of its price."""
        moves = [(r, value) for r, value, _ in changes]
        site = self.made.get(tuple((r.id, value) for r, value in moves))
        if site is None or known.settled:
            return known
        going = way(self.free, site, self.book, [(r, sign(r, value)) for r, value in moves])
        _, after = joined(going, Range(self.total, self.total), Range(known.low, known.high))
        # A kit at a total that was not bettered is the one at hand.
        bought = known.bought if after.high == known.high else self.base.bought
        return replace(known, low=after.low, high=after.high, bought=bought)

    def refused(
        self, changes: Iterable[tuple[Requirement, str | None, int | None]], error: InputError
    ) -> Step:
        """A change that leaves no site."""
        step = self.step(changes, Known())
        words = "; ".join(trouble.what for trouble in error.troubles)
        return step.model_copy(update={"status": "refused", "because": words})


def without_budget(site: Site) -> Site:
    """The site with no limit to its price."""
    if site.money.budget is None:
        return site
    return site.model_copy(update={"money": site.money.model_copy(update={"budget": None})})


def beyond_budget(site: Site, known: Known) -> str:
    """Words where a proven total goes beyond the budget of the file."""
    terms = site.money
    if terms.budget is None or known.high is None or not known.settled:
        return ""
    amount = known.high if terms.budget_includes_tax else least_net(known.high, terms.tax)
    over = amount - terms.budget
    return f"{money_text(over)} above the budget" if over > 0 else ""


def item_changes(
    book: LoadedBook, before: Mapping[str, int], after: Mapping[str, int]
) -> tuple[ItemChange, ...]:
    """Items bought in another number, in catalogue order."""
    return tuple(
        ItemChange(item=i, before=before.get(i, 0), after=after.get(i, 0))
        for i in book.items
        if before.get(i, 0) != after.get(i, 0)
    )


__all__ = ["Inquiry", "beyond_budget", "item_changes", "without_budget"]
