"""What a cheaper kit must use that a site refuses which asks for more."""

from __future__ import annotations

from itertools import count

import pytest

from optimizer.explaining.beyond import SEEING, restrict
from optimizer.explaining.inquiry import without_budget
from optimizer.explaining.seeking import Have, Known, Question, Seeker
from optimizer.instance import build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.model.program import Row
from optimizer.pricebook.schema import Book
from optimizer.site.changes import changed
from optimizer.site.requirements import requirements
from optimizer.site.schema import Site
from optimizer.solving import solve_site
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.generator import tiny_case
from tests.optimality.plain_kit import book, camera, site, zone


def drafted(asked: Site, prices: Book) -> Draft:
    return build(build_instance(asked, loaded(prices)))


def added(draft: Draft) -> Row:
    (row,) = [r for r in draft.program.rows if r.name == "explaining/beyond"]
    return row


def names(draft: Draft) -> set[str]:
    return {draft.program.names[c] for c in added(draft).cols}


# At 10 m the plain camera shows 160 px/m with 1920 px, one with 1280 px 106.7 px/m.
FINE = zone("gate", detail="150 px/m")
EASY = zone("gate", detail="100 px/m")
BOTH = book(coarse=camera(price="80.00", picture="1280x720"))


def test_only_what_was_refused_counts() -> None:
    draft = drafted(site(EASY), BOTH)
    assert restrict(draft, site(FINE))
    assert names(draft) == {"seen/gate/coarsex1"}
    assert added(draft).lo == 1


def test_nothing_new_nothing_cheaper() -> None:
    draft = drafted(site(EASY), book())
    rows = len(draft.program.rows)
    assert not restrict(draft, site(FINE))
    assert len(draft.program.rows) == rows


def test_a_change_of_streams_says_nothing() -> None:
    slower = zone("gate", detail="100 px/m", frame_rate="5 fps")
    draft = drafted(site(slower), BOTH)
    rows = len(draft.program.rows)
    assert restrict(draft, site(FINE))
    assert len(draft.program.rows) == rows


def test_zones_alike_are_told_apart() -> None:
    # Of two zones that now ask for the same, one could use the coarse camera before: only if both
    # use it, one of them uses what it was refused.
    other = zone("yard", detail="100 px/m")
    draft = drafted(site(EASY, other), BOTH)
    assert restrict(draft, site(FINE, other))
    assert added(draft).lo == 2


def cheapest(asked: Site, prices: Book, first: Have, *, proven: bool) -> int:
    """Proven total of a site that a design of another serves."""
    known = Known(high=first.total, bought=first.bought)
    sought = Seeker(loaded(prices)).seek(Question(asked, known, first.total, first, 60, proven))
    high = first.total if sought.have is None else sought.have.total
    assert sought.known.low == high
    return high


@pytest.mark.parametrize("part", range(3))
def test_the_totals_are_those_without_it(part: int) -> None:
    compared = saved = 0
    for seed in count(5000 + 400 * part):
        asked, prices = tiny_case(seed)
        asked = without_budget(asked)
        answer = solve_site(asked, loaded(prices), seconds=60)
        if answer.status == "optimal":
            first = Have(asked, answer.design())
            for r in requirements(unread(asked)):
                if r.quantity in SEEING and r.can_be_dropped:
                    easier = changed(asked, {r.id: None})
                    total = cheapest(easier, prices, first, proven=True)
                    assert total == cheapest(easier, prices, first, proven=False), (seed, r.id)
                    compared += 1
                    saved += total < first.total
        # Seeds are drawn until there are enough of both kinds.
        if compared >= 20 and saved >= 3:
            break
