"""How far a demand reaches, where a question is settled only when it is asked again."""

from __future__ import annotations

import time
from collections.abc import Iterable

import pytest

from optimizer.explaining.asking import Asker, Have
from optimizer.explaining.headroom import headroom
from optimizer.explaining.inquiry import Inquiry
from optimizer.site.schema import Site
from optimizer.solving.explanation import Headroom
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import book, site


class Slow(Asker):
    """Comes to nothing when a site is first asked about, and does not carry the first kit over."""

    def together(self, sites: Iterable[Site], share: float = 1.0, below: int | None = None) -> None:
        self.begun: set[str] = getattr(self, "begun", set())
        waiting = list(sites)
        known = [one for one in waiting if self._mark(one) in self.begun]
        self.begun |= {self._mark(one) for one in waiting}
        super().together(known, share, below)

    def carry(self, site: Site, have: Have) -> Have | None:
        return None if have is self.first else super().carry(site, have)


def reach(kind: type[Asker], name: str, days: str) -> Headroom:
    asked, prices = site(recording={"retention": days}), loaded(book())
    one = kind(prices, time.monotonic() + 60, lambda _: None)
    one.cheapest(asked)
    have = one.design(asked)
    assert have is not None
    inquiry = Inquiry.of(unread(asked), prices, have.design, one)
    return headroom(inquiry, [inquiry.listed[name]])[0]


@pytest.mark.parametrize("kind", [Asker, Slow])
def test_what_is_settled_only_when_asked_again_is_climbed_on(kind: type[Asker]) -> None:
    """A drive of 1 TB, at 13.436928 GB a day, holds 74 days and no more: 74.4.

    From 72 days two steps cost nothing; the third takes a second drive, 50.00.
    """
    found = reach(kind, "recording/retention", "72 days")
    assert (found.reaches, found.steps, found.proven) == ("74 days", 2, True)
    assert found.next is not None
    assert found.next.changes[0].to == "75 days"
    assert (found.next.status, found.next.difference) == ("proven", "50.00")


@pytest.mark.parametrize("kind", [Asker, Slow])
def test_what_cannot_be_met_further_is_proven_so(kind: type[Asker]) -> None:
    """The only camera gives 25 fps, which 10 days fit a drive at: 10 x 33.6 GB."""
    found = reach(kind, "zones.a/frame_rate", "10 days")
    assert (found.reaches, found.proven) == ("25 fps", True)
    assert found.next is not None
    assert found.next.changes[0].to == "26 fps"
    assert found.next.status == "unmeetable"
